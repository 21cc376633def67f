package analysis

// Noise: points that scatter about a level by more than their uncertainty, or are drawn as a thick band, without a
// shape that any other kind has: no line in their spectrum, no slow drift. Its mean, its root mean square about the
// mean, and how high the band is that is seen.
//
// A display draws each column from its lowest sample to its highest, so that a point is the middle of a stroke. What
// the samples within a stroke of height h add to the variance depends on how many they are: of two it is h²/4, of
// samples spread evenly h²/12, of many normal ones h²/36 or so. A range is all that is told of it.
//
// Bandwidth is told only if it is seen: if neighbouring points go together over several of them, and the columns are
// no bands. For noise with the correlation time τ the equivalent bandwidth of a low-pass is 1/(2τ) (Wiener–Khinchin;
// common practice, no source); τ is the sum of the correlations, with the relative variance 2·(2W+1)/n for a window
// of W points (Sokal, as in correlate.go).

import (
	"context"
	"math"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
)

const (
	// bandBoxes is the thickness in boxes from which even the thin columns are bands: a stroke is 0.06 to 0.1 boxes
	// thick (TestABandIsNoise).
	bandBoxes = 0.25
	// scatters is the mean square of the points about the mean, in their stated variances, from which they are noise
	// and no level: three standard deviations, as a level may leave (TestNoiseOfManyKinds).
	scatters = acceptedSquare
	// longestMemory is the share of the record over which noise may go together: what goes together longer is a wave
	// or a drift (TestNoiseOfManyKinds).
	longestMemory = 0.04
	// lineShare is the most of the variance that the best sine may explain: of 25 independent points or more the best
	// of all frequencies seldom explains a third (TestNoiseOfManyKinds).
	lineShare = 0.35
	// The fourth moment over the square of the second is 3 of normal noise, 1.5 of a sine, 1 of two levels and far
	// more of pulses: between leastTail and mostTail it is noise (TestNoiseOfManyKinds, TestKindsAreNotConfused).
	leastTail, mostTail = 1.9, 6.0
	// seenMemory is the number of points that must go together for a bandwidth to be the signal's: blur and the
	// display's pixels make up to four do so (TestBandwidthIsToldIfSeen).
	seenMemory = 6.0
	// windowOfMemory is how many times its sum correlations are added over until one is not positive
	// (TestBandwidthIsToldIfSeen).
	windowOfMemory = 2.0
)

// sourceInColumn names the term of what a stroke hides of the samples within a column.
const sourceInColumn = "samples within a column"

// A noisy is a record taken as noise.
type noisy struct {
	*steady
	band   bool    // the columns are drawn as bands
	memory float64 // points that go together
}

// fitNoise takes points for noise.
func fitNoise(ctx context.Context, p *points, s *Settings) (signal, error) {
	none := &NotFoundError{"the points are too few for noise", "Show more of the trace, or choose another kind of signal."}
	if len(p.t) < fewForCorrelation {
		return nil, none
	}
	level, err := fitLevel(ctx, p, s)
	if err != nil {
		return nil, err
	}
	n := &noisy{steady: level.(*steady)}
	o, drawn := p.outline()
	n.band = drawn && o.thin > bandBoxes*p.rec.VoltsPerBox
	r := n.steady.account().r
	n.memory = integratedCorrelation(r, 0)
	return n, nil
}

// account is that of the level it is about, which a band is rather than a level: nil if the points have a shape.
func (n *noisy) account() *account {
	p := n.points
	a := n.steady.account()
	square, fourth := dot(a.r, a.r), 0.0
	for _, r := range a.r {
		fourth += math.Pow(r, 4)
	}
	tail := fourth * float64(len(a.r)) / (square * square)
	scatter := !p.unknown && square > scatters*float64(len(a.r)) && n.memory < longestMemory*float64(len(a.r)) &&
		tail > leastTail && tail < mostTail && !p.hasLine(square)
	if !n.band && !scatter {
		return nil
	}
	if n.band && square > float64(len(a.r)) && !scatter {
		return nil // the band has a shape
	}
	if a.numbers = 0; scatter {
		a.numbers = 1
	}
	return a
}

// hasLine says that a sine explains much of the points' sum of whitened squares, or that they cross their mean evenly.
func (p *points) hasLine(square float64) bool {
	if s, ok := fitWave(p); ok && s.chiSq < (1-lineShare)*square {
		return true
	}
	level, half := p.swing()
	n, ok := countPeriods(crossings(p.t, p.v, p.w, level, half), medianStep(p.t))
	return ok && n.spare > 2 && n.scatter < mostUneven*n.period
}

func (n *noisy) findings(ctx context.Context) (*Findings, error) {
	f := n.about(ctx, "noise")
	for i := range f.Results {
		if f.Results[i].Quantity != "v_sd" {
			continue
		}
		f.Results[i] = n.rms(f.Results[i])
	}
	if !n.band && n.memory > seenMemory {
		f.Results = append(f.Results, n.bandwidth(ctx))
	}
	return f, nil
}

// rms gives the root mean square about the mean, from the standard deviation sd of the points and what is drawn
// within the columns.
func (n *noisy) rms(sd Result) Result {
	p := n.points
	inside := math.Max(0, p.drawnWidth()-usualBoxes*p.rec.VoltsPerBox)
	// Between h²/36 and h²/4, evenly in the logarithm: h²/12 by a factor of 3.
	within := inside * inside / 12
	value := math.Sqrt(sd.Value.X*sd.Value.X + within)
	if !(value > 0) {
		value = sd.Value.X
	}
	share := sd.Value.X / value
	var budget []Term
	for _, t := range sd.Budget {
		t.U *= share
		t.Sensitivity *= share
		budget = append(budget, t)
	}
	if within > 0 {
		column := unit.Value{X: inside, U: inside / 2 / math.Sqrt(3), Unit: "V"}
		budget = append(budget, inputTerm(sourceInColumn, column, "rectangular", inside/12/value))
	}
	return newResult("v_rms", "deviation", "about the mean", value, "V", budget)
}

// bandwidth is the equivalent one of a low-pass.
func (n *noisy) bandwidth(ctx context.Context) Result {
	p := n.points
	step := medianStep(p.t)
	of := func(moved *calibrate.Record) []float64 {
		t, _ := p.of(moved)
		return []float64{1 / (2 * n.memory * medianStep(t))}
	}
	x := 1 / (2 * n.memory * step)
	relative := math.Sqrt(2 * (2*windowOfMemory*n.memory + 1) / float64(len(p.t)))
	dof := float64(len(p.t)) / n.memory
	return newResult("bandwidth", "correlation", "of a low-pass that would make points go together as they do", x, "Hz",
		append([]Term{noiseTerm(relative*x, dof)}, effectTerms(p.rec, effectMoves(ctx, p.rec, of), 0)...))
}
