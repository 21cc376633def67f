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

// planLevels finds the points about each level asked for, in the decays that go the way of the first one that
// passes it between points. A level that none passes is told.
func (d *decay) planLevels() {
	for i := range d.plans {
		d.plans[i].levels = make([][]int, len(d.settings.Levels))
	}
	for k, v := range d.settings.Levels {
		var first *piece
		for i, p := range d.pieces {
			t := p.fit.crossing(v)
			if math.IsNaN(t) || t < p.knee || !p.begins() && d.anyBegins(p.rises()) || first != nil && p.rises() != first.rises() {
				continue
			}
			if window := d.around(p.use, t, readingReach*p.fit.tau); window != nil {
				d.plans[i].levels[k] = window
				if first == nil {
					first = p
				}
			}
		}
		from := "the first point"
		if first != nil && first.begins() {
			from = "the knee"
		}
		d.levelLabels = append(d.levelLabels, "from "+from+" to "+unit.Engineering(v, 3, "V"))
		if p := d.pieces[0]; first == nil && p.begins() && math.Abs(v-p.fit.at(p.knee)) < startNear*math.Abs(p.fit.a) {
			d.notes = append(d.notes, remark.Text(fmt.Sprintf("The decay begins at about %s, so that level has no time of its own.", unit.Engineering(v, 3, "V"))))
		} else if first == nil {
			d.doubts = append(d.doubts, remark.Text(fmt.Sprintf("No decay passes %s where it can be read, so there is no time for it.", unit.Engineering(v, 3, "V"))))
		}
	}
}

func (e *reader) levels() {
	for i, v := range e.d.settings.Levels {
		n := unread
		if window := e.plan.levels[i]; window != nil {
			t := e.crossing(window, number{x: v}, e.n.curve.crossing(v))
			n = blend(t.x-e.n.knee.x, share{1, t}, share{-1, e.n.knee})
		}
		e.n.levels = append(e.n.levels, n)
	}
}
