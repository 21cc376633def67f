package analysis

// The low and the high state level of a waveform, in the terms of IEEE Std 181 (its twin is IEC 60469), by the
// histogram's modes. A mode is sharpened by the mean of the points near it, near being measured by the points' own
// scatter, so that the levels do not depend on the bins' width. The standard leaves bins and rule to the user, and they
// are told here: half the range is split into histogramBins bins each.

import (
	"context"
	"math"
	"slices"
)

const (
	// histogramBins is the number of bins over the whole range: about as many as the screen has pixels to
	// half a box, and enough points in each from a record of a few hundred; nothing changes from 16 to 256
	// (TestPullsOfStates).
	histogramBins = 64
	// nearState is how far from a mode a point may lie to be looked at, as a share of the height, and nearSigmas
	// how far from the level it may lie to belong to the state, in standard deviations of those looked at
	// (TestWhatBelongsToALevel, TestWhatDwellsAtTwoLevels).
	nearState, nearSigmas = 0.04, 3.0
	fewestStatePoints     = 8 // (TestWhatDwellsAtTwoLevels)
	// fewestInState is the share of the points that each state must hold: pulses of a twenty-fifth of their period show
	// four points each at their tops (TestWhatDwellsAtTwoLevels).
	fewestInState = 0.01
	// crowding is how much denser points must lie about the levels than between them; about the turning
	// points of a triangle they lie no denser (TestTriangleHasNoStates).
	crowding = 1.5
)

// A bistate is a record's two levels, with the places of the points in each.
type bistate struct {
	low, high     float64
	inLow, inHigh []int
	toLow, toHigh []float64 // influence of each point on the levels
	inner         float64   // share of the usual part of an edge that its 50 % crossing is read from, 0..1
}

func (b *bistate) height() float64 { return b.high - b.low }

// findStates gives the two state levels; false if the trace does not dwell at two.
func findStates(p *points) (*bistate, bool) {
	b, ok := stateModes(p)
	if !ok {
		return nil, false
	}
	// Points between the levels are spread over the height; in a state they crowd.
	reach := math.Max(nearState*b.height(), nearSigmas*p.typical)
	inside, between := float64(len(p.near(b.low, reach))+len(p.near(b.high, reach))), 0.0
	for _, v := range p.v {
		if v > b.low+reach && v < b.high-reach {
			between++
		}
	}
	return b, !(inside/(4*reach) < crowding*between/(b.height()-2*reach))
}

// stateModes gives the levels by the two modes; false without two.
func stateModes(p *points) (*bistate, bool) {
	n := len(p.t)
	if n < fewestStatePoints {
		return nil, false
	}
	low, high := slices.Min(p.v), slices.Max(p.v)
	// A point on an edge has a wide sigma and no say in the range, if enough others have one.
	if sure := p.sure(); len(sure) >= fewestStatePoints {
		low, high = math.Inf(1), math.Inf(-1)
		for _, i := range sure {
			low, high = math.Min(low, p.v[i]), math.Max(high, p.v[i])
		}
	}
	if !(high > low) {
		return nil, false
	}
	var bins [histogramBins]float64
	for i, v := range p.v {
		k := int(float64(histogramBins) * (v - low) / (high - low))
		if k == histogramBins && v <= high {
			k--
		}
		if k >= 0 && k < histogramBins {
			bins[k] += math.Min(1, p.w[i]*p.typical) // an unsure point has less weight
		}
	}
	mode := func(from, to int) float64 {
		best, at := -1.0, from
		for k := from; k < to; k++ {
			s := bins[k]
			if k > 0 {
				s += bins[k-1] / 2
			}
			if k+1 < len(bins) {
				s += bins[k+1] / 2
			}
			if s > best {
				best, at = s, k
			}
		}
		return low + (high-low)*(float64(at)+0.5)/histogramBins
	}
	b := &bistate{inner: 1, low: mode(0, histogramBins/2), high: mode(histogramBins/2, histogramBins)}
	enough := math.Max(2, fewestInState*float64(n))
	sharpen := func(level *float64, in *[]int, to *[]float64) bool {
		wide := math.Max(nearState*b.height(), nearSigmas*p.typical)
		*in = p.near(*level, wide)
		if float64(len(*in)) < enough {
			return false
		}
		v := make([]float64, len(*in))
		for k, i := range *in {
			v[k] = p.v[i]
		}
		*level = median(v)
		apart := codeStep(v)
		for k := range v {
			v[k] = math.Abs(v[k] - *level)
		}
		// 1.4826 times the median departure is the standard deviation of a normal scatter. The feet of slow
		// transitions lie outside. Where most points stand on one code of the converter there is no median departure, and
		// the next code belongs to the level (TestALevelOnTwoCodes).
		spread := 1.4826 * median(v)
		if spread == 0 {
			spread = 1.2 * apart / nearSigmas
		}
		if !p.unknown {
			spread = math.Max(spread, p.typical)
		}
		*in = p.near(*level, math.Min(wide, math.Max(nearSigmas*spread, resolution*b.height())))
		if float64(len(*in)) < enough {
			return false
		}
		*level, *to = weightedMean(p, *in)
		return true
	}
	if !sharpen(&b.low, &b.inLow, &b.toLow) || !sharpen(&b.high, &b.inHigh, &b.toHigh) {
		return nil, false
	}
	if !(b.height() > 0) || !p.unknown && !(b.height() > 2*nearSigmas*p.typical) {
		return nil, false
	}
	return b, true
}

// codeStep is the least distance of two different values of v; 0 if all are one.
func codeStep(v []float64) float64 {
	sorted, least := slices.Sorted(slices.Values(v)), math.Inf(1)
	for k := 1; k < len(sorted); k++ {
		if d := sorted[k] - sorted[k-1]; d > 1e-9*math.Abs(sorted[k]) {
			least = math.Min(least, d)
		}
	}
	if math.IsInf(least, 1) {
		return 0
	}
	return least
}

// unsureShare is the share of the height from which on the sigma of a point makes it unsure: on an edge it is a
// quarter, on the top of a short pulse a hundredth, though that may be many times the typical one
// (TestTopsOfShortPulsesAreSure).
const unsureShare = 0.03

// sure gives the places of points whose sigma is not more than three times the typical, or than a small part of the
// height.
func (p *points) sure() []int {
	most := math.Max(3*p.typical, unsureShare*p.height())
	var at []int
	for i, u := range p.sigma {
		if u <= most {
			at = append(at, i)
		}
	}
	return at
}

// near gives the places of points within reach of the level.
func (p *points) near(level, reach float64) []int {
	var at []int
	for i, v := range p.v {
		if math.Abs(v-level) <= reach {
			at = append(at, i)
		}
	}
	return at
}

// noise of the two flat levels.
func (b *bistate) noise(ctx context.Context, p *points) noise {
	z := make([]residuals, 0, 2)
	// A rounded top has no points in a state.
	for _, state := range []struct {
		at    []int
		level float64
	}{{b.inLow, b.low}, {b.inHigh, b.high}} {
		if len(state.at) == 0 {
			continue
		}
		r := residuals{basis: [][]float64{nil}}
		sum := 0.0
		for _, i := range state.at {
			r.use = append(r.use, i)
			r.r = append(r.r, p.w[i]*(p.v[i]-state.level))
			r.basis[0] = append(r.basis[0], p.w[i])
			sum += p.w[i] * p.w[i]
		}
		for k := range r.basis[0] {
			r.basis[0][k] /= math.Sqrt(sum)
		}
		z = append(z, r)
	}
	return p.noiseOf(ctx, slots(p.t), z)
}
