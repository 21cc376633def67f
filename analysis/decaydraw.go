package analysis

// What is drawn of a decay, and what is told beside it.

import (
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// drawnPoints of a curve, enough to look smooth across a screen.
const drawnPoints = 240

// draw fills in the curves and log lines of f.
func (d *decay) draw(f *Findings) {
	for i, p := range d.pieces {
		n := &d.base[i]
		label := p.label
		if len(d.pieces) == 1 {
			label = "decay"
		}
		f.Fits = append(f.Fits, d.drawCurve(label, p, n))
		if use := d.plans[i].log; use != nil {
			f.Lines = append(f.Lines, d.drawLine(label, n, use))
		}
	}
}

func (d *decay) drawCurve(label string, p *piece, n *numbers) Fit {
	c := Fit{
		Label:       label,
		Formula:     formula(n.curve, n.knee.x),
		at:          n.curve.at,
		EffectiveN:  math.Max(1, float64(len(p.use))/d.noise.inflation),
		Correlation: d.noise.neighbours,
	}
	from, to := math.Min(n.knee.x, d.t[p.use[0]]), d.t[p.use[len(p.use)-1]]
	for k := range drawnPoints {
		t := from + (to-from)*float64(k)/(drawnPoints-1)
		c.T = append(c.T, t)
		c.V = append(c.V, n.curve.at(t))
	}
	for _, j := range p.use {
		c.AtT = append(c.AtT, d.t[j])
		c.Off = append(c.Off, d.v[j]-n.curve.at(d.t[j]))
	}
	return c
}

// formula of the curve with the time counted from the knee at t0.
func formula(f exponential, t0 float64) string {
	v := func(x float64) string { return unit.Engineering(x, 3, "V") }
	t := func(x float64) string { return unit.Engineering(x, 4, "s") }
	height, sign := f.at(t0)-f.c, "+"
	if height < 0 {
		height, sign = -height, "-"
	}
	since := fmt.Sprintf("(t - %s)", t(t0))
	if t0 < 0 {
		since = fmt.Sprintf("(t + %s)", t(-t0))
	}
	return fmt.Sprintf("V = %s %s %s · exp(-%s / %s)", unit.EngineeringBeside(f.c, height, 3, "V"), sign, v(height), since, t(f.tau))
}

func (d *decay) drawLine(label string, n *numbers, use []int) LogLine {
	l := LogLine{Label: label, Slope: n.slope, Intercept: n.intercept, VInf: n.curve.c}
	s := math.Sqrt(d.noise.scale)
	for _, j := range use {
		l.T = append(l.T, d.t[j])
		l.LnV = append(l.LnV, math.Log(math.Abs(d.v[j]-n.curve.c)))
		l.U = append(l.U, s*d.sigma[j]/math.Abs(n.curve.at(d.t[j])-n.curve.c))
	}
	return l
}

const (
	// shortRecord, in τ, is a length below which a fitted V∞ and τ trade against each other: their joint u is
	// then twice that of a known V∞ and more (Fisher information of the model).
	shortRecord = 3.0
	// tooShort, in τ, is where the interval of τ begins to hold it less often than it says: 283 of 300 at 2 τ
	// (TestShortRecordWithFreeLevelIsDoubted).
	tooShort = 2.0
	// settledAfter, in τ, is when a capacitor counts as charged: 0.7 % left (common practice).
	settledAfter = 5.0
	// settledShare of the height still to go is so little that a level after it is no surprise.
	settledShare = 0.1
	// misfit is the ratio of scatter to stated uncertainty above which the reader is told.
	misfit = 2.0
	// birgeDoubt is the ratio of the differences between the decays of a record to what their uncertainties allow from which on
	// neither the single ones nor their average is to be trusted: of 45 simulated photos of driven decays one had more, whose
	// single τ were off by several u (TestDecaysThatDifferAreTold).
	birgeDoubt = 3.0
	// groundDoubt is the zeta of a fitted V∞ against the one that was given above which the reader is told.
	groundDoubt = 3.0
)

// physics tells what a reader should know of the record and the circuit, and what to doubt.
func (d *decay) physics() (notes, doubts []remark.Remark) {
	note := func(format string, a ...any) { notes = append(notes, remark.Text(fmt.Sprintf(format, a...))) }
	say := func(format string, a ...any) { doubts = append(doubts, remark.Text(fmt.Sprintf(format, a...))) }
	tau := d.out[0].number.x
	long := d.seen()
	if long < shortRecord {
		tell := note // the uncertainty says it, and holds
		if long < tooShort {
			tell = say
		}
		tell("The decay is seen for only %.1f τ and the level it settles at is fitted with it, so τ is poorly told: show 5 τ on the screen, or give the level if it is known.", long)
	}
	if d.birge > birgeDoubt {
		say("The decays of this record differ in τ by %.1f times what their uncertainties allow (χ² = %.0f for %d of them): a part of the trace or of the grid was read badly, or the circuit is not the same for all. Look at the points about the fit before you use any τ.", d.birge, d.alike.chi2, len(d.singles()))
	}
	d.fixedLevelDoubts(say)
	if d.goBothWays() && len(d.pieces) >= 2 {
		half := math.Inf(1)
		for i, p := range d.pieces[1:] {
			if d.pieces[i].rises() != p.rises() {
				half = math.Min(half, p.knee-d.pieces[i].knee)
			}
		}
		if half < settledAfter*tau {
			note("The drive turns round after %.1f τ, before the capacitor has settled: each decay begins %s short of the level of the drive. τ is not changed by it.", half/tau, percent(math.Exp(-half/tau)))
		}
	}
	for _, p := range d.pieces {
		left := (p.fit.at(d.t[p.use[len(p.use)-1]]) - p.fit.c) / (p.fit.at(p.knee) - p.fit.c)
		if p.broken && left > settledShare {
			say("%s ends in a flat stretch without bending into it: the trace may leave the screen there, or the record stops.", p.label)
			break
		}
	}
	if !slices.ContainsFunc(d.out, func(o output) bool { return o.quantity == "half_life" }) {
		note("No half-life can be read: where half of the way is left, the trace is hidden, off the record or lost in the noise.")
	}
	dropped := 0
	for _, p := range d.pieces {
		dropped += p.dropped
	}
	if dropped > 0 {
		note("%d points lie far off the curve and were left out.", dropped)
	}
	if s := math.Sqrt(d.noise.measured); s > misfit && !d.noise.sigmaUnknown {
		if d.beyondRows() > misfit {
			say("The points scatter %.1f times as far from the curve as their own uncertainty says; all uncertainties were widened by that factor. Look at the residuals: the trace may not be one exponential.", s)
		} else {
			note("The points scatter %.1f times as far from the curve as their own uncertainty says, which is no more than the steps of a display's pixels make; all uncertainties were widened by that factor.", s)
		}
	}
	if text := d.bend.says(); text != "" {
		tell := note // a bend that moves τ by less than the noise does
		if math.Abs(d.bend.z) > bentForSure || d.bend.limit() > math.Sqrt(d.variance(d.out[0].number)) {
			tell = say
		}
		tell("%s", text)
	}
	return notes, doubts
}

// beyondRows is how many times as far the points lie from their curves as their own uncertainty and the rows of pixels of
// the coarsest displays put them, which is the same error for all points of one row and not in sigma; a table has no rows. A slow decay without
// noise ends in steps of one row or code, so that its points scatter by two and three sigma
// (TestStepsOfADisplayAreNoMisfit).
func (d *decay) beyondRows() float64 {
	row := math.Abs(d.rec.VoltsPerBox) / coarsePixels / math.Sqrt(12)
	stated, withRow := 0.0, 0.0 // sums of squares
	for _, p := range d.pieces {
		for _, j := range p.use {
			off := d.v[j] - p.fit.at(d.t[j])
			stated += math.Pow(off/d.sigma[j], 2)
			withRow += math.Pow(off/math.Hypot(d.sigma[j], row), 2)
		}
	}
	return math.Sqrt(d.noise.measured * withRow / stated)
}

// fixedLevelDoubts compares a level that was given with the one that the points would settle at.
func (d *decay) fixedLevelDoubts(say func(string, ...any)) {
	if d.settings.Settles == SettlesFree {
		return
	}
	name := "ground"
	if d.settings.Settles == SettlesGiven {
		name = "the level given, " + unit.Engineering(d.settings.SettlesAt, 3, "V")
	}
	held := 0
	for _, p := range d.pieces {
		if p.fixedC == nil {
			continue
		}
		held++
		t, v, w := d.gather(p.use, d.t, d.v)
		free, ok := fitExponential(t, v, w, t[0], nil, 0)
		if !ok {
			continue
		}
		u := d.levelU(p.use, &free)
		if off := free.c - *p.fixedC; math.Abs(off) > groundDoubt*u {
			say("Left free, %s would settle at %s and not at %s: the ground line may be misplaced, or a leak or an offset keeps the voltage there. It would then have τ = %s.",
				p.label, unit.Value{X: free.c, U: u, Unit: "V"}, name, unit.Engineering(free.tau, 3, "s"))
		}
	}
	if held < len(d.pieces) {
		say("Of %d decays %d go towards %s; the others settle where the fit finds it.", len(d.pieces), held, name)
	}
}

// levelU is u of the level that free settles at, fitted to the points at places use: noise as of its own residuals, and
// effects on the voltages.
func (d *decay) levelU(use []int, free *exponential) float64 {
	r := make([]float64, len(use))
	for i, j := range use {
		r[i] = (d.v[j] - free.at(d.t[j])) / d.sigma[j]
	}
	z := findNoise(d.noise.slot, d.sigma, d.points.unknown, []residuals{{use: use, r: r, basis: free.basis}})
	variance := z.variance(d.spread(use, free.dC)[:len(d.t)])
	for _, e := range d.rec.Effects {
		move := 0.0
		for i, j := range use {
			if at := d.at[j]; at < len(e.DV) {
				move += free.dC[i] * e.DV[at]
			}
		}
		variance += move * move
	}
	return math.Sqrt(variance)
}
