package analysis

// Decay of a capacitor's voltage, falling or rising:
//
//	V(t) = V∞ + (V0 - V∞)·exp(-(t - t0)/τ)
//
// From a record to results it goes straight on, one value made of another:
//
//	points    those that can be used, with a standard deviation each       (points.go)
//	pieces    one decay each: its points, its curve by variable projection (segments.go, decaypieces.go, knee.go,
//	          levelgiven.go)
//	decays    the pieces that tell τ, and the noise about them             (tellingdecays.go)
//	scheme    what every way to τ uses of them                             (decayscheme.go, logline.go, halflife.go, levels.go)
//	numbers   of each piece, made of the points by the scheme              (evaluate.go)
//	columns   the quantities that are told, averaged over the pieces       (decaycolumns.go)
//	results   with budgets                                                 (decayresults.go)
//
// Every number is made by one function of the record, evaluate. It carries with each number its influence,
// the derivative by each single point, from which the noise and what two methods share of it follow
// (correlate.go); called on moved records it gives the effects that move all points together (budget.go).

import (
	"context"
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A decaying is a record taken as one or more decays.
type decaying struct {
	stated   *points // as the record states them
	settings *Settings
	scheme   *scheme
	base     []numbers // of the record as it is
	advice   advice    // on what was found and planned
}

// fitDecay fits decays.
func fitDecay(ctx context.Context, stated *points, s *Settings) (signal, error) {
	if err := checkDecaySettings(s); err != nil {
		return nil, err
	}
	p, err := decayPoints(stated)
	if err != nil {
		return nil, err
	}
	found := findPieces(ctx, p, s.settling(), s.SettlesU)
	if len(found) == 0 {
		return nil, &NotFoundError{
			Reason: "the record holds no decay whose bend tells a time constant",
			Hint:   "choose the part to use, or another kind of signal; a decay must be seen for about 2 time constants at least",
		}
	}
	telling, leftOut, err := tellingDecays(ctx, p, found)
	if err != nil {
		return nil, err
	}
	d := &decaying{stated: stated, settings: s}
	telling, late := telling.withoutLateStart(ctx)
	if late > 0 {
		first := telling.pieces[0]
		d.advice.note(remark.Of(KindBeginningLeftOut, remark.Number("taus", late), remark.Number("until_s", p.t[first.use[0]])))
	}
	if leftOut > 0 {
		d.advice.note(remark.Of(KindStretchesLeftOut, remark.Count("stretches", leftOut)))
	}
	d.scheme = planScheme(telling, s.Levels, s.LevelShares, &d.advice)
	d.base = d.scheme.evaluate(p.t, p.v, true)
	if !slices.ContainsFunc(d.base, func(n numbers) bool { return !math.IsNaN(n.tau.x) }) { // the noise of so few points is not to be told
		return nil, &NotFoundError{
			Reason: "the decay has too few points for its time constant to be told with an uncertainty",
			Hint:   "choose a longer part of the record, or set the sweep so that the decay fills the screen",
		}
	}
	return d, nil
}

// settling gives the level that decays are held to settle at; nil if it is fitted.
func (s *Settings) settling() *float64 {
	level := 0.0
	switch s.Settles {
	case SettlesFree:
		return nil
	case SettlesGiven:
		level = s.SettlesAt
	}
	return &level
}

// checkDecaySettings refuses settings that cannot be meant.
func checkDecaySettings(s *Settings) error {
	bad := func(field, reason, hint string) error {
		return &calibrate.SetupError{Field: field, Reason: reason, Hint: hint}
	}
	for _, x := range []*float64{s.From, s.To} {
		if x != nil && (math.IsNaN(*x) || math.IsInf(*x, 0)) {
			return bad("from", "the limits of the part to use are not numbers", "give the limits in seconds or boxes")
		}
	}
	if s.Settles == SettlesGiven && (math.IsNaN(s.SettlesAt) || math.IsInf(s.SettlesAt, 0) || !(s.SettlesU >= 0) || math.IsInf(s.SettlesU, 0)) {
		return bad("settles-at", "the level that the decay settles at is not a number", "give it in volts, or as ground or free")
	}
	for _, v := range s.Levels {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return bad("at", "a level to read the time at is not a number", "give it in volts")
		}
	}
	for _, part := range circuitParts(s) {
		if x := part.value; x.X < 0 || math.IsNaN(x.X) || math.IsInf(x.X, 0) || x.U < 0 || math.IsInf(x.U, 0) {
			return bad(part.field, fmt.Sprintf("the %s is %g %s ± %g", part.name, x.X, x.Unit, x.U), "give a value above zero with its accuracy, such as 21.9k±0.3%")
		}
	}
	return nil
}

// leastScatter, as a share of the height, stands in for the uncertainty of points that have none stated and do not
// scatter; it only tells where the decays are; nothing changes from 0.00025 to 0.004
// (TestReadingsOfANoiselessDecayAreExact).
const leastScatter = 1e-3

// flatHeight, in standard deviations of a point, is the least height of a record with a decay: noise alone
// reaches 5 to 6 between the extremes of 1000 points (TestFlatTraceIsRefused).
const flatHeight = 8

// decayPoints gives the points with a standard deviation each, and refuses a trace without a decay.
func decayPoints(stated *points) (*points, error) {
	p := stated
	if len(p.t) < spareReadings+2 {
		return nil, &NotFoundError{
			Reason: fmt.Sprintf("only %d points of the record can be used, too few for a decay", len(p.t)),
			Hint:   "widen the part to use, or read more points",
		}
	}
	if p.unknown {
		sigma := leastScatter * height(p.v)
		if len(p.t) >= sparse { // from one of few readings to the next the curve bends more than they scatter
			sigma = math.Max(sigma, scatter(p.v))
		}
		p = p.withSigma(sigma)
	}
	typical := median(p.sigma)
	if h := height(p.v); !(h > flatHeight*typical) || h == 0 {
		return nil, &NotFoundError{
			Reason: fmt.Sprintf("the trace is flat: it changes by %s, and its points are uncertain by %s", unit.Engineering(h, 2, p.rec.Axes.Of("V")), unit.Engineering(typical, 2, p.rec.Axes.Of("V"))),
			Hint:   "take the photo while the capacitor discharges, or measure the trace as a level",
		}
	}
	return p, nil
}

func (d *decaying) findings(ctx context.Context) (*Findings, error) {
	t := newTable(ctx, d.scheme, d.base)
	f := &Findings{drive: isDriven, Results: t.results()}
	circuit := circuitResults(d.settings, f.Results)
	own := f.Results                          // what R·C can be held against
	if d.scheme.points.rec.Axes.TimeInBoxes { // R·C is in seconds all the same, and nothing else is
		circuit = slices.DeleteFunc(circuit, func(r Result) bool { return r.Method == "from tau" })
		f.Results = slices.Concat(own, circuit)
	} else {
		f.Results = slices.Concat(own, circuit)
		own = f.Results
	}
	f.again = t.replay(f.Results)
	m := &mistakes{scheme: d.scheme, settings: d.settings, tau: t.numbers[0].x, bend: t.bend}
	c := &comparer{table: t, mistakes: m, results: own}
	f.Comparisons = c.comparisons()
	f.WhatIfs = m.whatIfs()
	d.draw(f)
	told := d.advice
	told.add(t.physics(ctx, d.settings))
	f.Notes = told.notes
	f.Doubts = append(append(told.doubts, settingDoubts(own)...), methodDoubts(own, f.Comparisons)...)
	d.addPeriod(ctx, f)
	return f, nil
}

// addPeriod adds the period of decays that repeat.
func (d *decaying) addPeriod(ctx context.Context, f *Findings) {
	p := d.stated
	var fitted residuals
	off := make([]float64, len(p.t))
	for i, q := range d.scheme.pieces {
		for _, j := range q.use {
			if len(fitted.use) == 0 || j > fitted.use[len(fitted.use)-1] {
				off[j] = p.v[j] - d.base[i].curve.at(p.t[j])
				fitted.use = append(fitted.use, j)
				fitted.r = append(fitted.r, p.w[j]*off[j])
			}
		}
	}
	level, half := p.swing()
	z := p.noiseOf(ctx, slots(p.t), []residuals{fitted})
	pick := func(c []crossing) []crossing { return each(p.inColumns(half))(d.scheme.pieces.passed(p, c)) }
	if c, ok := countedPeriod(ctx, p, &z, off, level, half, "crossings", pick); ok && c.regular() {
		c.addTo(f)
	}
}

// passed gives the crossings of a level, none if noise makes some of them: an exponential passes a level once
// (TestNoFrequencyFromNoiseBesideADecay).
func (all pieces) passed(p *points, c []crossing) []crossing {
	for _, q := range all {
		first, last := p.t[q.use[0]], p.t[q.use[len(q.use)-1]]
		n := 0
		for _, x := range c {
			if x.t > first && x.t < last {
				n++
			}
		}
		if n > 1 {
			return nil
		}
	}
	return c
}
