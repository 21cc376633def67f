package analysis

// What every way to τ uses of a record's decays: which points belong to the log line, to half-lives, to the times at
// levels. It is decided once and stays when the record is moved.

import "math"

// A plan is what the other methods use of a piece.
type plan struct {
	log    []int // points of the log line
	half   halfPlan
	levels [][]int // points about each level asked for, nil if it is not reached
}

// A scheme is the decays with a plan for each.
type scheme struct {
	*decays
	in     *inputs
	plans  []plan
	wanted []wanted
}

// planScheme plans, and tells what of the levels asked for cannot be read.
func planScheme(d *decays, levels, shares []float64, told *advice) *scheme {
	s := &scheme{decays: d, in: d.inputs(), plans: make([]plan, len(d.pieces))}
	for i, q := range d.pieces {
		s.plans[i] = plan{log: d.logPoints(q), half: d.planHalves(q)}
	}
	s.planLevels(levels, shares, told)
	return s
}

// forget takes the log line, the half-lives or both of piece i out of the scheme and out of its numbers n.
func (s *scheme) forget(i int, n *numbers, log, half bool) {
	if log {
		s.plans[i].log, n.log = nil, unread
	}
	if half {
		s.plans[i].half.windows, n.halfLife, n.halves = nil, unread, nil
	}
}

// lost tells whether the numbers of piece i lack a log line or half-lives that are planned.
func (s *scheme) lost(i int, n *numbers) (log, half bool) {
	return s.plans[i].log != nil && math.IsNaN(n.log.x), len(s.plans[i].half.windows) > 0 && math.IsNaN(n.halfLife.x)
}
