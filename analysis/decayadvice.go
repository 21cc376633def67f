package analysis

// What a reader should know of decays and of the circuit behind them, and what to doubt.

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate/unit"
)

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
func (t *table) physics(ctx context.Context, settings *Settings) (told advice) {
	d, p, tau := t.scheme.decays, t.scheme.points, t.numbers[0].x
	if long := d.pieces.seen(p); long < shortRecord { // the uncertainty says it, and holds
		told.tell(long < tooShort, "The decay is seen for only %.1f τ and the level it settles at is fitted with it, so τ is poorly told: show 5 τ on the screen, or give the level if it is known.", long)
	}
	if t.alike.birge > birgeDoubt {
		told.doubt("The decays of this record differ in τ by %.1f times what their uncertainties allow (χ² = %.0f for %d of them): a part of the trace or of the grid was read badly, or the circuit is not the same for all. Look at the points about the fit before you use any τ.", t.alike.birge, t.alike.chi2, t.alike.n)
	}
	if settings.Settles != SettlesFree {
		told.add(d.againstFree(ctx, settings))
	}
	if half := d.pieces.halfPeriod(); half < settledAfter*tau {
		told.note("The drive turns round after %.1f τ, before the capacitor has settled: each decay begins %s short of the level of the drive. τ is not changed by it.", half/tau, percent(math.Exp(-half/tau)))
	}
	for _, q := range d.pieces {
		left := (q.fit.at(p.t[q.use[len(q.use)-1]]) - q.fit.c) / (q.fit.at(q.knee) - q.fit.c)
		if q.broken && left > settledShare {
			told.doubt("%s ends in a flat stretch without bending into it: the trace may leave the screen there, or the record stops.", q.label)
			break
		}
	}
	if !slices.ContainsFunc(t.columns, func(c column) bool { return c.quantity == "half_life" }) {
		told.note("No half-life can be read: where half of the way is left, the trace is hidden, off the record or lost in the noise.")
	}
	dropped := 0
	for _, q := range d.pieces {
		dropped += q.dropped
	}
	if dropped > 0 {
		told.note("%d points lie far off the curve and were left out.", dropped)
	}
	if s := math.Sqrt(d.noise.measured); s > misfit && !d.noise.sigmaUnknown {
		if d.beyondRows() > misfit {
			told.doubt("The points scatter %.1f times as far from the curve as their own uncertainty says; all uncertainties were widened by that factor. Look at the residuals: the trace may not be one exponential.", s)
		} else {
			told.note("The points scatter %.1f times as far from the curve as their own uncertainty says, which is no more than the steps of a display's pixels make; all uncertainties were widened by that factor.", s)
		}
	}
	if t.bend.isClear() { // a note of one that moves τ by less than the noise does
		told.tell(math.Abs(t.bend.z) > bentForSure || t.bend.limit() > math.Sqrt(t.scheme.in.variance(t.numbers[0])), "%s", t.bend.says())
	}
	return told
}

// beyondRows is how many times as far the points lie from their curves as their own uncertainty and the rows of pixels of
// the coarsest displays put them, which is the same error for all points of one row and not in sigma; a table has no rows. A slow decay without
// noise ends in steps of one row or code, so that its points scatter by two and three sigma
// (TestStepsOfADisplayAreNoMisfit).
func (d *decays) beyondRows() float64 {
	p := d.points
	row := math.Abs(p.rec.VoltsPerBox) / coarsePixels / math.Sqrt(12)
	stated, withRow := 0.0, 0.0 // sums of squares
	for _, q := range d.pieces {
		for _, j := range q.use {
			off := p.v[j] - q.fit.at(p.t[j])
			stated += math.Pow(off/p.sigma[j], 2)
			withRow += math.Pow(off/math.Hypot(p.sigma[j], row), 2)
		}
	}
	return math.Sqrt(d.noise.measured * withRow / stated)
}

// againstFree compares a level that was given with the one that the points would settle at.
func (d *decays) againstFree(ctx context.Context, s *Settings) (told advice) {
	name := "ground"
	if s.Settles == SettlesGiven {
		name = "the level given, " + unit.Engineering(s.SettlesAt, 3, "V")
	}
	held, p := 0, d.points
	for _, q := range d.pieces {
		if q.fixedC == nil {
			continue
		}
		held++
		t, v, w := p.gather(q.use, p.t, p.v)
		free, ok := fitExponential(t, v, w, t[0], nil, 0)
		if !ok {
			continue
		}
		u := d.levelU(ctx, q.use, &free)
		if off := free.c - *q.fixedC; math.Abs(off) > groundDoubt*u {
			told.doubt("Left free, %s would settle at %s and not at %s: the ground line may be misplaced, or a leak or an offset keeps the voltage there. It would then have τ = %s.",
				q.label, unit.Value{X: free.c, U: u, Unit: "V"}, name, unit.Engineering(free.tau, 3, "s"))
		}
	}
	if held < len(d.pieces) {
		told.doubt("Of %d decays %d go towards %s; the others settle where the fit finds it.", len(d.pieces), held, name)
	}
	return told
}

// levelU is u of the level that free settles at, fitted to the points at places use: noise as of its own residuals, and
// effects on the voltages.
func (d *decays) levelU(ctx context.Context, use []int, free *exponential) float64 {
	p := d.points
	r := make([]float64, len(use))
	for i, j := range use {
		r[i] = (p.v[j] - free.at(p.t[j])) / p.sigma[j]
	}
	z := findNoise(ctx, d.noise.slot, p.sigma, p.unknown, []residuals{{use: use, r: r, basis: free.basis}})
	variance := z.variance(d.inputs().spread(use, free.dC)[:len(p.t)])
	for _, e := range p.rec.Effects {
		move := 0.0
		for i, j := range use {
			if at := p.at[j]; at < len(e.DV) {
				move += free.dC[i] * e.DV[at]
			}
		}
		variance += move * move
	}
	return math.Sqrt(variance)
}
