package analysis

// What the usual mistakes would do here: for a reader who wants to know which of them is worth a second look. The
// sensitivities are those of this decay, not of a handbook: a level held wrong matters the more, the longer the
// decay is followed.

import (
	"fmt"
	"math"

	"quadrille/calibrate/unit"
)

// A WhatIf is a mistake and what it would do, each a part of one sentence.
type WhatIf struct{ If, Then string }

func (d *decay) whatIfs() (list []WhatIf) {
	add := func(cause, format string, a ...any) { list = append(list, WhatIf{cause, fmt.Sprintf(format, a...)}) }
	tau := d.out[0].number.x
	s := d.settings
	longer := func(share float64) string {
		if share < 0 {
			return percent(-share) + " shorter"
		}
		return percent(share) + " longer"
	}

	if beyond, words := d.levelMove(levelOff); !math.IsNaN(beyond) {
		before, _ := d.levelMove(-levelOff)
		add("V∞ were held wrong by "+words, "τ would be %s if it is held too far from the start, and %s if too near", longer(beyond), longer(before))
	}
	if volts, words := d.offset(groundOff); d.settings.Settles == SettlesFree {
		add("the ground line were off by "+words, "all voltages from ground would move by %s; τ would not, because V∞ is fitted and not taken for ground", unit.Engineering(volts, 2, "V"))
	} else if move, _ := d.levelMove(groundOff); !math.IsNaN(move) {
		add("the ground line were off by "+words, "all voltages from ground would move by %s and τ by about %s, because V∞ is held", unit.Engineering(volts, 2, "V"), percent(math.Abs(move)))
	}
	if r := s.Resistance.X + s.SourceResistance.X; r > 0 {
		counted := ""
		if s.InputResistance.X > 0 {
			counted = " (what was given for the input is counted in R·C already)"
		}
		add("an input of 1 MΩ lay in parallel with the "+unit.Engineering(r, 3, "Ω"), "τ would be %s shorter than R·C%s", percent(r/(r+usualInput)), counted)
	} else {
		add("an input of 1 MΩ lay in parallel with R", "τ would be shorter than R·C by 1 %% for every 10 kΩ of R")
	}
	if rc, budget := tauRC(s); budget != nil {
		add("C were a part marked ±20 %", "R·C could be anything from %s to %s", unit.Engineering(rc*(1-usualPart), 3, "s"), unit.Engineering(rc*(1+usualPart), 3, "s"))
	}
	if half := d.halfPeriod(); half < settledAfter*tau {
		left := math.Exp(-half / tau)
		add("half-lives were counted down from the level of the drive", "the first would be %s too short, because the drive turns round after %.1f τ and a decay begins %s short of its level", percent(-math.Log1p(-left)/math.Ln2), half/tau, percent(left))
	}
	if more, ok := d.shortened(); ok {
		add(fmt.Sprintf("only the first %g τ were on the screen", shownTau), "τ would be uncertain from noise by %.2g times as much", more)
	}
	return list
}

// halfPeriod is the least time from one knee to the next of the other way, s; +Inf if there is none.
func (d *decay) halfPeriod() float64 {
	half := math.Inf(1)
	for i := 1; i < len(d.pieces); i++ {
		if a, b := d.pieces[i-1], d.pieces[i]; a.rises() != b.rises() {
			half = math.Min(half, b.knee-a.knee)
		}
	}
	return half
}

// shownTau is a decay that is cut short, in τ.
const shownTau = 2.0

// shortened is by how much u of τ from white noise grows if only the first shownTau of the longest decay are seen; ok is
// false if no more is seen anyway.
func (d *decay) shortened() (more float64, ok bool) {
	var longest *piece
	for _, p := range d.pieces {
		if longest == nil || len(p.use) > len(longest.use) {
			longest = p
		}
	}
	p := longest
	cut := 0
	for cut < len(p.use) && d.t[p.use[cut]] < d.t[p.use[0]]+shownTau*p.fit.tau {
		cut++
	}
	if p.fixedC != nil || d.t[p.use[len(p.use)-1]]-d.t[p.use[0]] < shortRecord*p.fit.tau || cut < fewForCorrelation/2 {
		return 0, false
	}
	t, v, w := d.gather(p.use[:cut], d.t, d.v)
	f, ok := fitExponential(t, v, w, p.fit.ref, nil, p.fit.tau)
	if !ok {
		return 0, false
	}
	return math.Sqrt(f.cov[0][0] / p.fit.cov[0][0]), true
}
