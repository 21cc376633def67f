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

// whatIfs lists those that can be told of this decay.
func (m *mistakes) whatIfs() (list []WhatIf) {
	add := func(cause, format string, a ...any) { list = append(list, WhatIf{cause, fmt.Sprintf(format, a...)}) }
	tau, s := m.tau, m.settings
	longer := func(share float64) string {
		if share < 0 {
			return percent(-share) + " shorter"
		}
		return percent(share) + " longer"
	}

	if beyond, words := m.levelMove(levelOff); !math.IsNaN(beyond) {
		before, _ := m.levelMove(-levelOff)
		add("V∞ were held wrong by "+words, "τ would be %s if it is held too far from the start, and %s if too near", longer(beyond), longer(before))
	}
	if volts, words := m.offset(groundOff); m.settings.Settles == SettlesFree {
		add("the ground line were off by "+words, "all voltages from ground would move by %s; τ would not, because V∞ is fitted and not taken for ground", unit.Engineering(volts, 2, "V"))
	} else if move, _ := m.levelMove(groundOff); !math.IsNaN(move) {
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
	if half := m.scheme.pieces.halfPeriod(); half < settledAfter*tau {
		left := math.Exp(-half / tau)
		add("half-lives were counted down from the level of the drive", "the first would be %s too short, because the drive turns round after %.1f τ and a decay begins %s short of its level", percent(-math.Log1p(-left)/math.Ln2), half/tau, percent(left))
	}
	if more, ok := m.scheme.shortened(); ok {
		add(fmt.Sprintf("only the first %g τ were on the screen", shownTau), "τ would be uncertain from noise by %.2g times as much", more)
	}
	return list
}

// shownTau is a decay that is cut short, in τ.
const shownTau = 2.0

// shortened is by how much u of τ from white noise grows if only the first shownTau of the longest decay are seen; ok is
// false if no more is seen anyway.
func (d *decays) shortened() (more float64, ok bool) {
	var longest *piece
	for _, q := range d.pieces {
		if longest == nil || len(q.use) > len(longest.use) {
			longest = q
		}
	}
	p, q := d.points, longest
	cut := 0
	for cut < len(q.use) && p.t[q.use[cut]] < p.t[q.use[0]]+shownTau*q.fit.tau {
		cut++
	}
	if q.fixedC != nil || p.t[q.use[len(q.use)-1]]-p.t[q.use[0]] < shortRecord*q.fit.tau || cut < fewForCorrelation/2 {
		return 0, false
	}
	t, v, w := p.gather(q.use[:cut], p.t, p.v)
	f, ok := fitExponential(t, v, w, q.fit.ref, nil, q.fit.tau)
	if !ok {
		return 0, false
	}
	return math.Sqrt(f.cov[0][0] / q.fit.cov[0][0]), true
}
