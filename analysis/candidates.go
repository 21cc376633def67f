package analysis

// What each kind of signal makes of a record, as a candidate for recognise: the fit, what it leaves of every point, and the points that
// it does not explain.

import (
	"context"
	"errors"
	"math"
	"slices"
)

func levelCandidate(ctx context.Context, p *points) *candidate {
	mean, _ := weightedMean(p, p.all())
	c := &candidate{kind: SignalLevel, words: "a steady level", numbers: 1, r: make([]float64, len(p.t)),
		findings: func() *Findings { return fitLevel(ctx, p) }}
	for i, v := range p.v {
		c.r[i] = p.w[i] * (v - mean)
	}
	return c
}

func sineCandidate(ctx context.Context, p *points) *candidate {
	s, ok := fitWave(p)
	if !ok || s.f*s.span < recognisedCycles {
		return nil
	}
	// The frequency is the best of about as many as there are points.
	c := &candidate{kind: SignalSine, words: "a sine", numbers: 4 + math.Log(float64(len(p.t))), r: make([]float64, len(p.t)),
		findings: func() *Findings { return s.findings(ctx, p) }}
	for i, t := range p.t {
		c.r[i] = p.w[i] * (p.v[i] - s.at(t))
	}
	return c
}

// recognisedCycles is the least part of a cycle that is taken for a sine unasked: less has no turning point on
// each side, and any bend will do.
const recognisedCycles = 0.6

func statesCandidate(ctx context.Context, p *points) *candidate {
	b, ok := findStates(p)
	if !ok || float64(len(b.inLow)+len(b.inHigh)) < dwelling*float64(len(p.t)) || b.hidesChanges(p) {
		return nil
	}
	c := &candidate{kind: SignalStates, words: "two levels with transitions", r: make([]float64, len(p.t)),
		findings: func() *Findings { return b.findings(ctx, p) }}
	for _, i := range b.inLow {
		c.r[i] = p.w[i] * (p.v[i] - b.low)
	}
	for _, i := range b.inHigh {
		c.r[i] = p.w[i] * (p.v[i] - b.high)
	}
	c.silent = float64(len(p.t) - len(b.inLow) - len(b.inHigh))
	c.numbers = 2 + c.silent
	c.strokes = float64(b.strokes(p))
	return c
}

// strokes counts the points between two different states that lie so near each other that they are the upright stroke of an edge.
func (b *bistate) strokes(p *points) (n int) {
	if !(p.rec.TimePerBox > 0) {
		return 0
	}
	state := b.states(len(p.t))
	step, before := medianStep(p.t), -1
	for i, now := range state {
		if now == 0 {
			continue
		}
		if before >= 0 && state[before] != now && p.t[i]-p.t[before] <= strokeSpacings*step {
			n += i - before - 1
		}
		before = i
	}
	return n
}

// states tells of n points which are in the low (-1) and which in the high state (1).
func (b *bistate) states(n int) []int8 {
	state := make([]int8, n)
	for _, i := range b.inLow {
		state[i] = -1
	}
	for _, i := range b.inHigh {
		state[i] = 1
	}
	return state
}

// hidesChanges says that most changes from one state to the other lie in gaps of the trace: what is left of a wave of which only
// the crests are seen. A transition is drawn, or so fast that it jumps from one column to the next, and levels are longer than gaps.
func (b *bistate) hidesChanges(p *points) bool {
	state := b.states(len(p.t))
	step, changes, hidden, before := medianStep(p.rec.T), 0, 0, -1
	for i, now := range state {
		if now == 0 {
			continue
		}
		if before >= 0 && state[before] != now {
			changes++
			if before == i-1 && p.t[i]-p.t[before] > hiddenChange*step {
				hidden++
			}
		}
		before = i
	}
	seen := float64(len(p.t)-1) * step / (p.t[len(p.t)-1] - p.t[0])
	return changes >= fewestChanges && 2*hidden > changes && seen < 0.5
}

// hiddenChange is the gap in point spacings from which a change of state is not seen, fewestChanges how many it takes to tell a wave.
const hiddenChange, fewestChanges = 3, 10

// dwelling is the share of the points that must lie in one of two states for the trace to be taken for such a
// waveform unasked; a discharge over 5 time constants lies within 4 % of its end for a third of them.
const dwelling = 0.5

// decayCandidate is nil if there is no decay; its error is a *calibrate.SetupError.
func decayCandidate(ctx context.Context, p *points, s *Settings) (*candidate, error) {
	f, err := decayFindings(ctx, p, s)
	if none := (*NotFoundError)(nil); errors.As(err, &none) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	c := &candidate{kind: SignalDecay, words: "a decay", r: make([]float64, len(p.t)), findings: func() *Findings { return f }}
	covered := make([]bool, len(p.t))
	for _, fit := range f.Fits {
		c.numbers += 3
		first, last, squares := len(p.t), 0, 0.0
		for k, t := range fit.AtT {
			if i, ok := slices.BinarySearch(p.t, t); ok {
				covered[i] = true
				c.r[i] = p.w[i] * fit.Off[k]
				first, last, squares = min(first, i), max(last, i), squares+c.r[i]*c.r[i]
			}
		}
		// Beside a knee the fit left points out to be sure; those on its curve are the decay's all the same.
		reach := onCurve * math.Max(1, math.Sqrt(squares/float64(len(fit.AtT))))
		belongs := func(i int) bool {
			return i >= 0 && i < len(p.t) && !covered[i] && math.Abs(p.w[i]*(p.v[i]-fit.at(p.t[i]))) <= reach
		}
		for _, way := range []int{-1, 1} {
			for i := map[int]int{-1: first, 1: last}[way] + way; belongs(i); i += way {
				covered[i] = true
				c.r[i] = p.w[i] * (p.v[i] - fit.at(p.t[i]))
			}
		}
	}
	// What lies between the decays may be level, or a part of a decay that tells no time constant; of a short stretch
	// each point costs. Beyond a gap another stretch begins: the pen of a slow sweep has the sweep before ahead of it.
	gap := gapSpacings * medianStep(p.t)
	for i := 0; i < len(covered); i++ {
		if covered[i] {
			continue
		}
		end := i
		for end < len(covered) && !covered[end] && (end == i || p.t[end]-p.t[end-1] < gap) {
			end++
		}
		if end-i < shortStretch {
			c.numbers += float64(end - i)
			c.silent += float64(end - i)
		} else {
			c.numbers += between(p, i, end, c.r)
		}
		i = end
	}
	return c, nil
}

// between fills in the residuals of points first to end-1 about their level or about one exponential, whichever is
// worth its numbers, and gives how many those are.
func between(p *points, first, end int, r []float64) float64 {
	var at []int
	for k := first; k < end; k++ {
		at = append(at, k)
	}
	mean, _ := weightedMean(p, at)
	flat, bent := 0.0, math.Inf(1)
	for _, k := range at {
		r[k] = p.w[k] * (p.v[k] - mean)
		flat += r[k] * r[k]
	}
	e, ok := fitExponential(p.t[first:end], p.v[first:end], p.w[first:end], p.t[first], nil, 0)
	if ok {
		bent = e.chiSq
	}
	n := float64(len(at))
	if n*math.Log(math.Max(flat/n, 1))+2 <= n*math.Log(math.Max(bent/n, 1))+6 {
		return 1
	}
	for _, k := range at {
		r[k] = p.w[k] * (p.v[k] - e.at(p.t[k]))
	}
	return 3
}

// gapSpacings is the least gap in point spacings that parts two stretches: a few columns hidden by a line of the graticule
// do not.
const gapSpacings = 6.0

// shortStretch is the number of points below which a stretch between decays is an edge or a knee and not a level.
const shortStretch = 8
