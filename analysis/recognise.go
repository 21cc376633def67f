package analysis

// What kind of signal a record holds. Each kind is fitted, and the kinds are ranked by Akaike's criterion
// (IEEE Trans. Automat. Contr. 19 (1974) 716), the sum of squares of n correlated points counting as that of as
// many independent ones as they are worth:
//
//	score = n_eff · ln s² + 2p,   s² = mean square of the whitened residuals, not below the floor
//
// Below the floor a fit is as good as the picture and a better one proves nothing. p counts the fitted
// numbers; a point that a kind leaves unexplained (on an edge, outside every decay) costs it one.

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// Analyse gives the findings of rec. Its errors are *NotFoundError and *calibrate.SetupError. A signal of a
// kind that was asked for is fitted as that kind or refused; one that is to be recognised and fits no
// kind is measured as a level, with a doubt. When ctx is done it ends at once with the error of ctx.
func Analyse(ctx context.Context, rec *calibrate.Record, s *Settings) (*Findings, error) {
	if s == nil {
		s = &Settings{}
	}
	p, err := choose(rec, s)
	if err != nil {
		return nil, err
	}
	var f *Findings
	switch s.Signal {
	case "", SignalAuto:
		f, err = recognise(ctx, p, s)
	case SignalDecay:
		f, err = decayFindings(ctx, p, s)
	case SignalSine:
		f, err = fitSine(ctx, p)
	case SignalStates:
		f, err = fitStates(ctx, p)
	case SignalLevel:
		f = fitLevel(ctx, p)
	default:
		return nil, &calibrate.SetupError{Field: "signal",
			Reason: fmt.Sprintf("%q is not a kind of signal", s.Signal),
			Hint:   "Choose decay, sine, states, level or auto."}
	}
	if err != nil {
		return nil, err
	}
	if s.Signal != "" && s.Signal != SignalAuto {
		f.SignalFrom = "given"
	}
	f.Doubts = append(f.anotherKind(ctx, p, s), f.Doubts...)
	f.compareKnown(s)
	f.addOutermost(p)
	f.again.settings = s
	f.propagate(ctx, s.Trials, trialsSeed)
	if err := ctx.Err(); err != nil { // what was made since then is not whole
		return nil, err
	}
	return f, nil
}

// anotherKind doubts a sine or a decay that was asked for, leaves more of the trace than any shape that is recognised may, and
// stands beside a kind that fits.
func (f *Findings) anotherKind(ctx context.Context, p *points, s *Settings) []remark.Remark {
	if s.Signal != SignalSine && s.Signal != SignalDecay {
		return nil
	}
	sum, n := 0.0, 0
	for _, fit := range f.Fits {
		for _, off := range fit.Off {
			sum, n = sum+off*off, n+1
		}
	}
	if height := slices.Max(p.v) - slices.Min(p.v); n == 0 || !(math.Sqrt(sum/float64(n)) > acceptedShare*height) {
		return nil
	}
	auto := *s
	auto.Signal, auto.Trials = SignalAuto, 0
	g, err := recognise(ctx, p, &auto)
	if err != nil || g.Signal == s.Signal || !strings.HasPrefix(g.SignalFrom, "taken for") || strings.Contains(g.SignalFrom, forWant) {
		return nil
	}
	return []remark.Remark{remark.Text(fmt.Sprintf("You asked for a %s, but by its shape the trace would be %s. The numbers of a %s mean nothing if it is none: leave --signal out, or name another kind.",
		s.Signal, g.SignalFrom, s.Signal))}
}

// forWant marks what was taken for a level because no kind fits.
const forWant = "for want of a shape that fits"

// trialsSeed makes every Monte Carlo calculation repeatable.
const trialsSeed = 1

// decayFindings adds to those of a decay that repeats its period.
func decayFindings(ctx context.Context, p *points, s *Settings) (*Findings, error) {
	f, err := fitDecay(ctx, p.rec, s)
	if err != nil {
		return nil, err
	}
	var fitted residuals
	off := make([]float64, len(p.t))
	for _, fit := range f.Fits {
		for k, t := range fit.AtT {
			if i, ok := slices.BinarySearch(p.t, t); ok && (len(fitted.use) == 0 || i > fitted.use[len(fitted.use)-1]) {
				fitted.use = append(fitted.use, i)
				fitted.r = append(fitted.r, p.w[i]*fit.Off[k])
				off[i] = fit.Off[k]
			}
		}
	}
	level, half := p.swing()
	z := findNoise(slots(p.t), p.sigma, p.unknown, []residuals{fitted})
	if c, ok := countedPeriod(ctx, p, &z, off, level, half, "crossings", p.inColumns(half)); ok && c.regular() {
		c.addTo(f)
	}
	return f, nil
}

// A candidate is one kind's account of the points.
type candidate struct {
	kind, words string
	findings    func() *Findings
	r           []float64 // whitened residuals, 0 where a point is left unexplained
	numbers     float64   // p
	silent      float64   // points that each cost a number
	strokes     float64   // those of them that the strokes of edges explain
	square      float64   // s², not below the floor
	rms         float64   // of the residuals, share of the record's height
	score       float64
}

const (
	// resolution is the departure from any model, as a share of the height, that a screen and its photo
	// make by themselves: the steps of an 8-bit converter and of the display's pixels are 0.2 to 0.4 % of 6
	// to 8 boxes (from the numbers for codes and pixels a division in common use, no source).
	resolution = 0.003
	// A kind is accepted if it leaves no more than 2.5 % of the height (rms) or 3 standard deviations of the
	// points. The best sine leaves 3.3 % of a triangle (TestTriangleIsNotTakenForASine).
	acceptedShare, acceptedSquare = 0.025, 9.0
	// Whatever sigma says, a scatter of more than 4 % of the height is told, and with more than 10 % no shape is
	// recognised: a trace is drawn more finely than that, and something else was read for it.
	untidyShare, hopelessShare = 0.04, 0.10
	// mostBetween is the share of points between the levels of a square wave, those on the strokes of its edges left out, that need no
	// explanation (TestAWaveThatIsHardlySquareIsDoubted).
	mostBetween = 0.2
	// leastExplained is the share of a level's mean square that another kind must explain: the best of many frequencies
	// explains a few hundredths of white noise (TestNoiseIsALevel).
	leastExplained = 0.2
	// flatBoxes is the height in boxes of a trace that is flat whatever shape it has: three steps of a converter of 8
	// bits over 10 boxes, between which a level flickers (TestKindsAreRecognisedOnAScreenOfEightBits).
	flatBoxes = 0.12
	// closeScore is the lead in score below which a reader is told of the runner-up: odds of e³, 1 in 20.
	closeScore = 6.0
)

// recognise ranks the kinds and gives the findings of the best.
func recognise(ctx context.Context, p *points, s *Settings) (*Findings, error) {
	level := levelCandidate(ctx, p)
	kinds := []*candidate{level}
	decay, err := decayCandidate(ctx, p, s)
	if err != nil {
		return nil, err
	}
	for _, c := range []*candidate{sineCandidate(ctx, p), statesCandidate(ctx, p), decay} {
		if c != nil {
			kinds = append(kinds, c)
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	height := slices.Max(p.v) - slices.Min(p.v)
	floor := math.Pow(resolution*height/p.typical, 2)
	if !p.unknown {
		floor = math.Max(floor, 1)
	}
	flat := height < flatBoxes*p.rec.VoltsPerBox
	if flat {
		kinds = kinds[:1]
	}
	n := float64(len(p.t))
	best := level
	for _, c := range kinds {
		sum, off := 0.0, 0.0
		for i, r := range c.r {
			sum += r * r
			off += r * r / (p.w[i] * p.w[i])
		}
		if math.IsNaN(sum) { // a curve that runs off all numbers explains nothing
			sum, off = math.Inf(1), math.Inf(1)
		}
		c.square = math.Max(sum/n, floor)
		if height > 0 {
			c.rms = math.Sqrt(off/n) / height
		}
		if c.square < best.square {
			best = c
		}
	}
	worth := n / rough(best.r, floor)
	for _, c := range kinds {
		if c.square > 0 { // 0: a flat line, without scatter
			c.score = worth*math.Log(c.square) + 2*c.numbers
		}
	}
	kinds = slices.DeleteFunc(kinds, func(c *candidate) bool { return c != level && c.square > (1-leastExplained)*level.square })
	slices.SortStableFunc(kinds, func(a, b *candidate) int { return cmp.Compare(a.score, b.score) })
	best = kinds[0]

	if best.kind == SignalLevel && best.square > acceptedSquare*floor && !p.unknown && !flat ||
		best.kind != SignalLevel && (best.rms > hopelessShare || best.rms > acceptedShare && best.square > acceptedSquare*math.Max(floor, 1)) {
		return unrecognised(ctx, p, kinds), nil
	}
	f := best.findings()
	f.SignalFrom = "taken for " + best.words + ": " + shares(kinds)
	if best.kind == SignalLevel {
		f.SignalFrom = "taken for a steady level: no other kind explains more of the scatter of the points"
	}
	if best.kind != SignalLevel && best.rms > untidyShare {
		f.Doubts = append(f.Doubts, remark.Text(fmt.Sprintf("The points scatter about the curve by %s of the height of the trace: check that the right trace was read.", percent(best.rms))))
	}
	if between := (best.silent - best.strokes) / float64(len(best.r)); best.kind == SignalStates && between > mostBetween {
		f.Doubts = append(f.Doubts, remark.Text(fmt.Sprintf("%.0f %% of the points lie on neither of the two levels nor on an upright edge between them, which is much for a square wave: check that the right trace was read, or name the kind of signal.", 100*between)))
	}
	if len(kinds) > 1 && kinds[1].score < best.score+closeScore && best.kind != SignalLevel {
		f.Doubts = append(f.Doubts, remark.Text(fmt.Sprintf("The trace could also be %s; name the kind of signal if you know it.", kinds[1].words)))
	}
	return f, nil
}

// shares tells what the first kind leaves unexplained and what the others would: of the height, or of the points if
// one is silent about many.
func shares(kinds []*candidate) string {
	const many = 0.1 // of the points
	left := func(c *candidate) string {
		if silent := c.silent / float64(len(c.r)); silent > many {
			return fmt.Sprintf("%.0f %% of the points", 100*silent)
		}
		return percent(c.rms) + " of the height"
	}
	says := "it leaves " + left(kinds[0]) + " unexplained"
	for i, c := range kinds[1:] {
		join := ", "
		if i == 0 {
			join = "; "
		}
		says += join + c.words + " " + left(c)
	}
	return says
}

// rough is the correlation factor 1 + 2Σρ of residuals, up to the first ρ that is not positive. What they have below the
// floor of their mean square proves nothing, and may be the same rounding all along a level: it counts as not correlated.
func rough(r []float64, floor float64) float64 {
	whole := math.Max(dot(r, r), floor*float64(len(r)))
	if !(whole > 0) {
		return 1
	}
	tau := 1.0
	for k := 1; k < len(r)/4; k++ {
		c := dot(r[:len(r)-k], r[k:]) / whole
		if !(c > 0) {
			break
		}
		tau += 2 * c
	}
	return tau
}

// nameIt is the hint for a shape that was not recognised: of half a cycle of a sine nothing but its name tells that it is one.
const nameIt = "If you know what it is, name the kind of signal."

// unrecognised measures what needs no shape: mean, height, and the period if the trace repeats.
func unrecognised(ctx context.Context, p *points, kinds []*candidate) *Findings {
	z := p.localNoise()
	f := &Findings{Signal: SignalLevel,
		SignalFrom: "taken for a level " + forWant + ": the nearest is " + kinds[0].words + ", but " + shares(kinds),
		Results:    levelResults(ctx, p, &z),
		again:      levelReplay(p, &z),
		Doubts:     []remark.Remark{remark.Text("The shape of the trace was not recognised: only its mean and its height were measured. " + nameIt)}}
	level, half := p.swing()
	if c, ok := countedPeriod(ctx, p, &z, nil, level, half, "crossings", nil); ok && c.regular() {
		c.addTo(f)
		f.Doubts[0] = remark.Text("The shape of the trace was not recognised: only its mean, its height and the period of its crossings were measured. " + nameIt)
	}
	return f
}

// regular tells whether the spread of a counted period is so small that it is one.
func (c *counted) regular() bool {
	const most = 0.1 // of the period
	return c.results[0].Value.U < most*c.results[0].Value.X
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
