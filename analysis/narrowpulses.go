package analysis

// Pulses so narrow that no points dwell at their tops: strokes on a level (strokes.go), alike in height, to one side of
// it. The base is the level of the other points. Period and duration are those of the strokes, and the amplitude is
// told by the outermost strokes (outermost.go). A single stroke may be anything, and stays what a level is doubted for.

import (
	"context"
	"math"

	"quadrille/calibrate/remark"
)

// fewestNarrow is the number of strokes alike that are pulses (TestWhatNarrowPulsesAre).
const fewestNarrow = 2

// A narrow is a record taken as narrow pulses.
type narrow struct {
	points *points
	base   *steady // of the points beside the strokes
	list   []stroke
}

// fitNarrow finds narrow pulses; nil if there are none.
func fitNarrow(p *points) *narrow {
	level, _ := weightedMean(p, p.all())
	list := p.strokes(level)
	if len(list) < fewestNarrow {
		return nil
	}
	on := make([]bool, len(p.t))
	least, most := math.Inf(1), 0.0
	for _, s := range list {
		if s.up != list[0].up {
			return nil
		}
		reach := math.Abs(p.strokeEnd(s) - level)
		least, most = math.Min(least, reach), math.Max(most, reach)
		for i := s.first; i <= s.last; i++ {
			on[i] = true
		}
	}
	if least < (1-alikePeaks)*most {
		return nil
	}
	var beside []int
	for i, is := range on {
		if !is {
			beside = append(beside, i)
		}
	}
	base := p.only(beside)
	mean, influence := weightedMean(base, base.all())
	return &narrow{p, &steady{base, mean, influence}, list}
}

// strokeEnd is the voltage of the far end of a stroke, of which a point is the middle.
func (p *points) strokeEnd(s stroke) float64 {
	if len(p.rec.Stroke) != len(p.rec.T) {
		return s.top
	}
	side, far := -1.0, math.Inf(-1)
	if s.up {
		side = 1
	}
	thin := p.drawnWidth()
	for i := s.first; i <= s.last; i++ {
		far = math.Max(far, side*p.v[i]+math.Max(0, p.rec.Stroke[p.at[i]]-thin)/2)
	}
	return side * far
}

// only gives the points at the places given.
func (p *points) only(places []int) *points {
	q := *p
	q.at, q.t, q.v, q.sigma, q.w, q.sought = nil, nil, nil, nil, nil, nil
	for _, i := range places {
		q.at, q.t, q.v = append(q.at, p.at[i]), append(q.t, p.t[i]), append(q.v, p.v[i])
		q.sigma, q.w = append(q.sigma, p.sigma[i]), append(q.w, p.w[i])
	}
	return &q
}

func (n *narrow) account() *account {
	p := n.points
	a := &account{numbers: 1 + float64(len(n.list)), r: make([]float64, len(p.t))}
	for i, v := range p.v {
		a.r[i] = p.w[i] * (v - n.base.mean)
	}
	for _, s := range n.list {
		for i := s.first; i <= s.last; i++ {
			a.leave(p, i)
		}
	}
	return a
}

func (n *narrow) findings(ctx context.Context) (*Findings, error) {
	p, up := n.points, n.list[0].up
	f := n.base.about(ctx, "base of the pulses")
	base := &f.Results[0]
	if base.Quantity, base.Label = "v_low", "base state"; !up {
		base.Quantity = "v_high"
	}
	list := n.list
	if s := n.shape(); s.burst {
		list = list[s.first : s.first+s.count]
		f.Notes = append(f.Notes, remark.Of(KindBurst, remark.Count("pulses", s.count)))
	}
	f.Results = append(f.Results, p.ofStrokes(ctx, list)...)
	f.Notes = append(f.Notes, remark.Of(KindNarrowPulses, remark.Count("pulses", len(n.list))))
	return f, nil
}

// shape says how the strokes lie, as that of wider pulses.
func (n *narrow) shape() *pulseShape {
	p, s := n.points, &pulseShape{up: n.list[0].up}
	var edges []edge
	for k, x := range n.list {
		edges = append(edges, edge{mid: crossing{t: p.t[x.first], rising: s.up}}, edge{mid: crossing{t: p.t[x.last], rising: !s.up}})
		s.whole = append(s.whole, [2]int{2 * k, 2*k + 1})
	}
	s.group(p, edges)
	return s
}
