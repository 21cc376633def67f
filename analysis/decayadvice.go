package analysis

// What a reader should know of decays and of the circuit behind them, and what to doubt.

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

const (
	// shortRecord, in τ, is a length below which a fitted V∞ and τ trade against each other: their joint u is
	// then twice that of a known V∞ and more (Fisher information of the model;
	// TestShortRecordWithFreeLevelIsDoubted).
	shortRecord = 3.0
	// tooShort, in τ, is where the interval of τ begins to hold it less often than it says: 283 of 300 at 2 τ
	// (TestShortRecordWithFreeLevelIsDoubted).
	tooShort = 2.0
	// settledAfter, in τ, is when a capacitor counts as charged: 0.7 % left (common practice;
	// TestFindsTheDecaysOfASquareDrive).
	settledAfter = 5.0
	// settledShare of the height still to go is so little that a level after it is no surprise (TestWhatIsToldOfDecays).
	settledShare = 0.1
	// misfit is the ratio of scatter to stated uncertainty above which the reader is told (TestWhatIsToldOfDecays).
	misfit = 2.0
	// birgeDoubt is the ratio of the differences between the decays of a record to what their uncertainties allow from
	// which on neither the single ones nor their average is to be trusted: of 45 simulated photos of driven decays one had
	// more, whose single τ were off by several u (TestWhatIsToldOfDecays).
	birgeDoubt = 3.0
	// groundDoubt is the zeta of a fitted V∞ against the one that was given above which the reader is told
	// (TestWhatSettlesNearGround).
	groundDoubt = 3.0
)

// physics tells what a reader should know of the record and the circuit, and what to doubt.
func (t *table) physics(ctx context.Context, settings *Settings) (told advice) {
	d, p, tau := t.scheme.decays, t.scheme.points, t.numbers[0].x
	if long := d.pieces.seen(p); long < shortRecord { // the uncertainty says it, and holds
		told.tell(long < tooShort, remark.Of(KindShortDecay, remark.Number("taus", long)))
	}
	if t.alike.birge > birgeDoubt {
		told.doubt(remark.Of(KindDecaysDiffer, remark.Number("birge", t.alike.birge), remark.Number("chi2", t.alike.chi2), remark.Count("decays", t.alike.n)))
	}
	if settings.Settles != SettlesFree {
		told.add(d.againstFree(ctx, settings))
	}
	if half := d.pieces.halfPeriod(); half < settledAfter*tau {
		told.note(remark.Of(KindTurnsEarly, remark.Number("taus", half/tau), remark.Number("share", math.Exp(-half/tau))))
	}
	for _, q := range d.pieces {
		left := (q.fit.at(p.t[q.use[len(q.use)-1]]) - q.fit.c) / (q.fit.at(q.knee) - q.fit.c)
		if q.broken && left > settledShare {
			told.doubt(remark.Of(KindEndsFlat, remark.Word("decay", q.label)))
			break
		}
	}
	if !slices.ContainsFunc(t.columns, func(c column) bool { return c.quantity == "half_life" }) {
		told.note(remark.Of(KindNoHalfLife))
	}
	dropped := 0
	for _, q := range d.pieces {
		dropped += q.dropped
	}
	if dropped > 0 {
		told.note(remark.Of(KindPointsLeftOut, remark.Count("points", dropped)))
	}
	if s := math.Sqrt(d.noise.measured); s > misfit && !d.noise.sigmaUnknown {
		if d.beyondRows() > misfit {
			told.doubt(remark.Of(KindScatterWide, remark.Number("times", s)))
		} else {
			told.note(remark.Of(KindScatterOfRows, remark.Number("times", s)))
		}
	}
	if t.bend.isClear() { // a note of one that moves τ by less than the noise does
		told.tell(math.Abs(t.bend.z) > bentForSure || t.bend.limit() > math.Sqrt(t.scheme.in.variance(t.numbers[0])), t.bend.remark())
	}
	return told
}

// beyondRows is how many times as far the points lie from their curves as their own uncertainty and the rows of pixels
// of the coarsest displays put them, which is the same error for all points of one row and not in sigma; a table has no
// rows. A slow decay without noise ends in steps of one row or code, so that its points scatter by two and three sigma
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
	var at []remark.Value // nothing for ground
	if s.Settles == SettlesGiven {
		at = append(at, remark.Number("at_v", s.SettlesAt))
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
		u := math.Hypot(d.levelU(ctx, q.use, &free), q.fixedU)
		if off := free.c - *q.fixedC; math.Abs(off) > groundDoubt*u {
			told.doubt(remark.Of(KindSettlesElsewhere, append(at, remark.Word("decay", q.label), remark.Number("level_v", free.c), remark.Number("u_level_v", u),
				remark.Number("tau_s", free.tau))...))
		}
	}
	if held < len(d.pieces) {
		told.doubt(remark.Of(KindSomeSettleElsewhere, append(at, remark.Count("decays", len(d.pieces)), remark.Count("held", held))...))
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
	z := p.noiseOf(ctx, d.noise.slot, []residuals{{use: use, r: r, basis: free.basis}})
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
