package analysis

// What the usual mistakes would do here: for a reader who wants to know which of them is worth a second look. The
// sensitivities are those of this decay, not of a handbook: a level held wrong matters the more, the longer the
// decay is followed.

import (
	"math"

	"quadrille/calibrate/remark"
)

// whatIfs lists those that can be told of this decay.
func (m *mistakes) whatIfs() (list []remark.Remark) {
	add := func(r remark.Remark) { list = append(list, r) }
	tau, s := m.tau, m.settings
	if beyond := m.levelMove(levelOff); !math.IsNaN(beyond) {
		add(misplacedBy(KindIfVInf, m.misplaced(levelOff), remark.Number("too_far", beyond), remark.Number("too_near", m.levelMove(-levelOff))))
	}
	if m.settings.Settles == SettlesFree {
		add(misplacedBy(KindIfGround, m.misplaced(groundOff)))
	} else if move := m.givenMove(groundOff); !math.IsNaN(move) {
		add(misplacedBy(KindIfGround, m.misplaced(groundOff), remark.Number("share", math.Abs(move))))
	}
	if r := s.Resistance.X + s.SourceResistance.X; r > 0 {
		add(remark.Of(KindIfInput, remark.Number("resistance_ohm", r), remark.Number("share", r/(r+usualInput)), remark.Flag("counted", s.InputResistance.X > 0)))
	} else {
		add(remark.Of(KindIfInputAny))
	}
	if rc, budget := tauRC(s); budget != nil {
		add(remark.Of(KindIfCapacitor, remark.Number("limit_share", usualPart), remark.Number("low_s", rc*(1-usualPart)), remark.Number("high_s", rc*(1+usualPart))))
	}
	if half := m.scheme.pieces.halfPeriod(); half < settledAfter*tau {
		left := math.Exp(-half / tau)
		add(remark.Of(KindIfFromDrive, remark.Number("short_share", -math.Log1p(-left)/math.Ln2), remark.Number("taus", half/tau), remark.Number("begins_share", left)))
	}
	if more, ok := m.scheme.shortened(); ok {
		add(remark.Of(KindIfShort, remark.Number("taus", shownTau), remark.Number("times", more)))
	}
	return list
}

// shownTau is a decay that is cut short, in τ (TestWhatIfsFitTheCircuit).
const shownTau = 2.0

// shortened is by how much u of τ from white noise grows if only the first shownTau of the longest decay are seen; ok
// is false if no more is seen anyway.
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
