package analysis

// Times at given levels: when, after the knee, the trace passes each voltage asked for, read off a parabola
// through the points near it.

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// startNear is how near to the level before a decay, as a share of its height, one asked for counts as that level: the
// volts scale is known to ±3 % (TestTheLevelBeforeADecayHasNoTime).
const startNear = 0.05

// A wanted is a level at which the time is asked for.
type wanted struct {
	volts float64
	label string
}

// planLevels finds the points about each level asked for, in the decays that go the way of the first one that
// passes it between points. A level that none passes is told.
func (s *scheme) planLevels(levels []float64, told *advice) {
	for i := range s.plans {
		s.plans[i].levels = make([][]int, len(levels))
	}
	for k, v := range levels {
		var first *piece
		for i, q := range s.pieces {
			t := q.fit.crossing(v)
			if math.IsNaN(t) || t < q.knee || !q.begins() && s.pieces.anyBegins(q.rises()) || first != nil && q.rises() != first.rises() {
				continue
			}
			if window := s.points.around(q.use, t, readingReach*q.fit.tau); window != nil {
				s.plans[i].levels[k] = window
				if first == nil {
					first = q
				}
			}
		}
		from, level := "the first point", unit.Engineering(v, 3, s.points.rec.Axes.Of("V"))
		if first != nil && first.begins() {
			from = "the knee"
		}
		s.wanted = append(s.wanted, wanted{v, "from " + from + " to " + level})
		if q := s.pieces[0]; first == nil && q.begins() && math.Abs(v-q.fit.at(q.knee)) < startNear*math.Abs(q.fit.a) {
			told.note(remark.Of(KindLevelIsStart, remark.Number("level_v", v)))
		} else if first == nil {
			told.doubt(remark.Of(KindLevelNotPassed, remark.Number("level_v", v)))
		}
	}
}

func (e *reader) timesAtLevels() {
	for i, w := range e.wanted {
		n := unread
		if window := e.plan.levels[i]; window != nil {
			t := e.crossing(window, number{x: w.volts}, e.n.curve.crossing(w.volts))
			n = blend(t.x-e.n.knee.x, share{1, t}, share{-1, e.n.knee})
		}
		e.n.levels = append(e.n.levels, n)
	}
}
