package analysis

// What kind of signal a record holds. Each kind is fitted, and the kinds are ranked by Akaike's criterion
// (IEEE Trans. Automat. Contr. 19 (1974) 716), the sum of squares of n correlated points counting as that of as
// many independent ones as they are worth:
//
//	score = n_eff · ((1 - q)·ln s² + q·ln a²) + 2p
//
// s² is the mean square of the whitened residuals, not below the floor: below it a fit is as good as the picture and a
// better one proves nothing. p counts the fitted numbers. q is the share of the points that a kind leaves unexplained
// (on an edge, outside every decay): they lie anywhere on the height, evenly, which is as likely as a normal scatter of
// a = height/√(2πe).

import (
	"context"
	"errors"
	"math"
	"slices"
	"sort"

	"quadrille/calibrate/remark"
)

// A candidate is a kind that the points may be of.
type candidate struct {
	kind   *kind
	fitted signal
	*account
	square float64 // s², not below the floor
	rms    float64 // of the sure points' residuals, share of the record's height
	score  float64
}

// leaves is the share of the height, rms, that the kind may leave of this trace, whatever the points' uncertainty.
func (c *candidate) leaves() float64 { return math.Hypot(c.kind.leaves, c.drawn) }

const (
	// resolution is the departure from any model, as a share of the height, that a screen and its photo
	// make by themselves: the steps of an 8-bit converter and of the display's pixels are 0.2 to 0.4 % of 6
	// to 8 boxes (from the numbers for codes and pixels a box in common use, no source;
	// TestTriangleIsNotTakenForASine, TestKindsAreRecognisedOnAScreenOfEightBits).
	resolution = 0.003
	// A kind is accepted if it leaves no more than 2.5 % of the height (rms) or 3 standard deviations of the points.
	// Decays, which cut the trace into parts that bend as they like, may leave no more than 1.5 %: of 65 that were
	// followed on busy displays (synth.RandomBusy, seeds 1 to 200) 62 leave 1.3 % at most, and the others no more than
	// three standard deviations; where decays are fitted to what is none and no other kind explains, they leave 2 % and
	// more (TestHowMuchADecayMayLeave). A sine, four numbers for all of the trace, may leave 5 %, which is a harmonic
	// distortion of 14 %: amplifiers and tubes bend it, and up to there it looks like one (no source). What is left of
	// it because slow sweeps draw it in steps comes on top (steps.go). Of a triangle the best sine leaves 3.5 %, but the
	// triangle less (TestTriangleIsNotTakenForASine, TestADistortedSineIsOne, TestWhatScattersTooMuchToBeRecognised).
	acceptedShare, acceptedSquare, acceptedDecay, acceptedSine = 0.025, 9.0, 0.015, 0.05
	// Whatever sigma says, a scatter of more than 4 % of the height is told, and with more than 10 % no shape is
	// recognised: a trace is drawn more finely than that, and something else was read for it
	// (TestWhatScattersTooMuchToBeRecognised).
	untidyShare, hopelessShare = 0.04, 0.10
	// leastExplained is the share of a level's mean square that another kind must explain: the best of many frequencies
	// explains a few hundredths of white noise (TestNoiseIsALevel).
	leastExplained = 0.2
	// leastHigh is the height of a shape as a share of the record's below which it is not what the record shows: where
	// narrow pulses leave only points that are unsure, a ripple of the level explains all sure ones
	// (TestARippleBelowPulsesIsNoSine).
	leastHigh = 0.25
	// flatBoxes is the height in boxes of a trace that is flat whatever shape it has: three steps of a converter of 8
	// bits over 10 boxes, between which a level flickers (TestHowHighAFlatTraceIs).
	flatBoxes = 0.12
	// closeScore is the lead in score below which a reader is told of the runner-up: odds of e³, 1 in 20; nothing
	// changes from 1.5 to 24 (TestKindsAreRecognisedOnAScreenOfEightBits).
	closeScore = 6.0
	// closeRms is how many times as far from the trace another kind may run and still be one that it could also be,
	// however unsure the points are said to be (TestASineOfUnsurePointsIsNoTriangle).
	closeRms = 1.5
)

// recognise ranks the kinds and gives the findings of the best.
func recognise(ctx context.Context, p *points, s *Settings) (*Findings, error) {
	all, err := candidates(ctx, p, s)
	if err != nil {
		return nil, err
	}
	level := all[0] // what every other kind must explain more than
	height := p.height()
	floor := p.floor(height)
	flat := height < flatBoxes*p.rec.VoltsPerBox
	if flat {
		all = all[:1]
	}
	scoreAll(all, p, height, floor)
	all = slices.DeleteFunc(all, func(c *candidate) bool {
		return c != level && !c.kind.shapeless() && c.square > (1-leastExplained)*level.square || c.high > 0 && c.high < leastHigh*height
	})
	sort.SliceStable(all, func(i, j int) bool { return all[i].score < all[j].score })
	fits := func(c *candidate) bool {
		if c == level {
			return flat || p.unknown || c.square <= acceptedSquare*floor
		}
		return c.kind.shapeless() || c.rms <= hopelessShare && (c.rms <= c.leaves() || c.square <= acceptedSquare*math.Max(floor, 1))
	}
	// What no one would accept stands in nobody's way, but makes a level none.
	likeliest := slices.DeleteFunc(slices.Clone(all), func(c *candidate) bool { return !fits(c) })
	if len(likeliest) == 0 || likeliest[0] == level && all[0] != level {
		if f, ok := roughSquare(ctx, p); ok {
			others := slices.DeleteFunc(leftBy(all), func(l Left) bool { return l.Kind == SignalStates })
			f.Signal, f.Told = SignalStates, Told{Recognised, append([]Left{{Kind: SignalStates, Share: f.leaves(height)}}, others...)}
			return f, nil
		}
		if f, ok, err := bentSine(ctx, all); ok || err != nil {
			return f, err
		}
		f := unrecognised(ctx, p)
		f.Signal, f.Told = level.kind.name, Told{ForWant, leftBy(all)}
		return f, nil
	}
	best := likeliest[0]
	for _, c := range likeliest[1:] {
		// Where the points are too unsure to tell, the one that runs nearer to them; and before one that stands only because
		// they are unsure, one that runs through them (TestAPulseOfUnsureEdgesIsNoDecay); and before one that is doubted, one
		// that runs nearer or leaves less out, and is not (TestDecaysWithFewPointsBetweenTheirLevelsAreNoSquareWave).
		nearer := c.score < best.score+closeScore && closeRms*c.rms < best.rms
		through := c.rms <= c.leaves() && best.rms > best.leaves() && closeRms*c.rms < best.rms
		calmer := len(c.doubts) == 0 && len(best.doubts) > 0 && (closeRms*c.rms < best.rms || best.silent > manySilent*float64(len(p.t)))
		if !best.kind.shapeless() && c != level && c.price < manySilent*float64(len(p.t)) && (nearer || through || calmer) {
			best = c
		}
	}
	likeliest = bestFirst(likeliest, best)
	f, err := best.fitted.findings(ctx)
	if err != nil {
		return nil, err
	}
	f.Signal, f.Told = best.kind.name, Told{Recognised, leftBy(bestFirst(all, best))}
	if best == level {
		f.Told.Left = nil // nothing explains more
		return f, nil
	}
	if !best.kind.shapeless() && best.rms > math.Hypot(untidyShare, best.drawn) && best.rms*height > p.drawnWidth()/2 {
		f.Doubts = append(f.Doubts, remark.Of(KindPointsScatter, remark.Number("share", best.rms)))
	}
	f.Doubts = append(f.Doubts, best.doubts...)
	// A rival that is doubted itself is none (TestDecaysWithFewPointsBetweenTheirLevelsAreNoSquareWave).
	if len(likeliest) > 1 && !best.kind.shapeless() && !likeliest[1].kind.shapeless() && len(likeliest[1].doubts) == 0 && likeliest[1].score < best.score+closeScore && likeliest[1].rms < closeRms*best.rms+resolution {
		f.Doubts = append(f.Doubts, remark.Of(KindCouldAlsoBe, remark.Word("signal", likeliest[1].kind.name)))
	}
	return f, nil
}

// drawnWidth is the thickness of the drawn trace in V, the median over its columns: points may lie half of it off any
// curve and still be on the trace (TestABandOfNoiseIsNotDoubted). 0 of a table.
func (p *points) drawnWidth() float64 {
	if len(p.rec.Stroke) != len(p.rec.T) {
		return 0
	}
	var all []float64
	for _, j := range p.at {
		if h := p.rec.Stroke[j]; h > 0 {
			all = append(all, h)
		}
	}
	if len(all) == 0 {
		return 0
	}
	return median(all)
}

// bestFirst gives the candidates with the best one before the others.
func bestFirst(all []*candidate, best *candidate) []*candidate {
	others := slices.DeleteFunc(slices.Clone(all), func(c *candidate) bool { return c == best })
	return append([]*candidate{best}, others...)
}

// height is that from the lowest to the highest point.
func (p *points) height() float64 { return slices.Max(p.v) - slices.Min(p.v) }

// floor is the mean square of whitened residuals of a record of the height given below which a fit is as good as the
// picture.
func (p *points) floor(height float64) float64 {
	floor := math.Pow(resolution*height/p.typical, 2)
	if !p.unknown {
		floor = math.Max(floor, 1)
	}
	return floor
}

// candidates fits every kind, the level first. Its error is a *calibrate.SetupError, or that of ctx.
func candidates(ctx context.Context, p *points, s *Settings) (all []*candidate, err error) {
	last := len(kinds) - 1
	for i := range kinds {
		k := &kinds[(last+i)%len(kinds)]
		fitted, err := k.fit(ctx, p, s)
		if none := (*NotFoundError)(nil); errors.As(err, &none) {
			continue
		}
		if err != nil {
			return nil, err
		}
		if a := fitted.account(); a != nil {
			all = append(all, &candidate{kind: k, fitted: fitted, account: a})
		}
		if err := ctx.Err(); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// scoreAll gives every candidate its score.
func scoreAll(all []*candidate, p *points, height, floor float64) {
	n := float64(len(p.t))
	best := all[0]
	sure := p.sure() // on an edge a point is anywhere on its stroke, and how far it lies off a curve says nothing
	for _, c := range all {
		sum, off := 0.0, 0.0
		for _, r := range c.r {
			sum += r * r
		}
		for _, i := range sure {
			off += c.r[i] * c.r[i] / (p.w[i] * p.w[i])
		}
		if math.IsNaN(sum) { // a curve that runs off all numbers explains nothing
			sum, off = math.Inf(1), math.Inf(1)
		}
		c.square = math.Max(sum/math.Max(1, n-c.silent), floor)
		if height > 0 {
			c.rms = math.Sqrt(off/float64(len(sure))) / height
		}
		if c.square < best.square {
			best = c
		}
	}
	worth := n / integratedCorrelation(best.r, floor)
	anywhere := height * height / (p.typical * p.typical) / (2 * math.Pi * math.E)
	for _, c := range all {
		if c.square > 0 { // 0: a flat line, without scatter
			q := c.price / n
			c.score = worth*((1-q)*math.Log(c.square)+q*math.Log(math.Max(anywhere, c.square))) + 2*c.numbers
		}
	}
}

// integratedCorrelation is the correlation factor 1 + 2Σρ of residuals, up to the first ρ that is not positive. What
// they have below the floor of their mean square proves nothing, and may be the same rounding all along a level: it
// counts as not correlated.
func integratedCorrelation(r []float64, floor float64) float64 {
	whole := math.Max(dot(r, r), floor*float64(len(r)))
	if !(whole > 0) {
		return 1
	}
	tau := 1.0
	var further []float64
	for k := 1; k < len(r)/4; k++ {
		if k == firstLags {
			if in := rowOf(slotsInARow(len(r)), len(r)/4); in != nil {
				x := in.spectrum(r)
				further = in.cross(x, x)
			}
		}
		var c float64
		if further != nil {
			c = further[k] / whole
		} else {
			c = dot(r[:len(r)-k], r[k:]) / whole
		}
		if !(c > 0) {
			break
		}
		tau += 2 * c
	}
	return tau
}

// unrecognised measures what needs no shape: mean, height, and the period if the trace repeats.
func unrecognised(ctx context.Context, p *points) *Findings {
	z := p.localNoise()
	f := &Findings{
		Results: levelResults(ctx, p, &z),
		again:   levelReplay(p, &z),
		Doubts:  []remark.Remark{remark.Of(KindNotRecognised, remark.Flag("with_period", false))}}
	level, half := p.swing()
	if c, ok := countedPeriod(ctx, p, &z, nil, level, half, "crossings", nil); ok && c.regular() {
		c.addTo(f)
		f.Doubts[0] = remark.Of(KindNotRecognised, remark.Flag("with_period", true))
	}
	return f
}

// swing gives the middle line and half the height, from the 5th and 95th percentiles.
func (p *points) swing() (level, half float64) {
	v := slices.Clone(p.v)
	slices.Sort(v)
	low, high := v[len(v)/20], v[len(v)-1-len(v)/20]
	return (low + high) / 2, (high - low) / 2
}

// localNoise is the noise told from neighbours alone, when no curve is fitted: second differences, which a smooth
// trace hardly has. Edges make them large, so the median counts.
func (p *points) localNoise() noise {
	z := noise{slot: slots(p.t), sigma: p.sigma, rho: []float64{1}, scale: 1, measured: 1, n: len(p.t), inflation: 1, sigmaUnknown: p.unknown}
	var d []float64
	for i := 1; i+1 < len(p.v); i++ {
		d = append(d, math.Abs(p.v[i-1]-2*p.v[i]+p.v[i+1])*p.w[i])
	}
	if len(d) > 0 {
		// The median of |x| of a normal x is 0.6745 standard deviations, here sqrt(6) of a point's.
		z.measured = math.Pow(median(d)/0.6745, 2) / 6
		z.scale = z.measured
		if !p.unknown {
			z.scale = math.Max(1, z.measured)
		}
	}
	return z
}
