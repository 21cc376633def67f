package analysis

// Times at given levels: when, after the knee, the trace passes each voltage asked for, read off a parabola
// through the points near it.

import (
	"fmt"
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// startNear is how near to the level before a decay, as a share of its height, one asked for counts as that level: the
// volts scale is known to ±3 % (TestTheLevelBeforeADecayHasNoTime).
const startNear = 0.05

// A wanted is a level at which the time is asked for.
type wanted struct {
	volts float64 // 0 where share is given
	share float64 // of the voltage at the start
	label string
}

// of gives the level in V of a decay that starts at a voltage.
func (w *wanted) of(start number) number {
	if w.share > 0 {
		return blend(w.share*start.x, share{w.share, start})
	}
	return number{x: w.volts}
}

// planLevels finds the points about each level asked for, in volts and as shares of the start, in the decays that go
// the way of the first one that passes it between points. A level that none passes is told.
func (s *scheme) planLevels(levels, shares []float64, told *advice) {
	for _, v := range levels {
		s.wanted = append(s.wanted, wanted{volts: v, label: unit.Engineering(v, 3, s.points.rec.Axes.Of("V"))})
	}
	for _, p := range shares {
		s.wanted = append(s.wanted, wanted{share: p, label: fmt.Sprintf("%.4g %% of the start", 100*p)})
	}
	for i := range s.plans {
		s.plans[i].levels = make([][]int, len(s.wanted))
	}
	for k := range s.wanted {
		w := &s.wanted[k]
		var first *piece
		for i, q := range s.pieces {
			v := w.of(number{x: q.fit.at(q.knee)}).x
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
		from := "the first point"
		if first != nil && first.begins() {
			from = "the knee"
		}
		w.label = "from " + from + " to " + w.label
		q := s.pieces[0]
		v := w.of(number{x: q.fit.at(q.knee)}).x
		if first == nil && q.begins() && math.Abs(v-q.fit.at(q.knee)) < startNear*math.Abs(q.fit.a) {
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
			level := w.of(e.n.start)
			t := e.crossing(window, level, e.n.curve.crossing(level.x))
			n = blend(t.x-e.n.knee.x, share{1, t}, share{-1, e.n.knee})
		}
		e.n.levels = append(e.n.levels, n)
	}
}
