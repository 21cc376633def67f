package analysis

// The passage of a level by a trace that bends on its way: a parabola through the points around it, by weighted
// orthogonal polynomials, so that how sure each point is moves nothing. Of a straight line through a bend, the place
// depends on which of its points have the weight, and that differs from cycle to cycle: it put driven periods
// up to 0.005 box off, with an uncertainty of 0.001 (TestABendOnTheEdgeLeavesThePeriod).

import "math"

// A bow is the weighted parabola v = l.vm + l.slope·x + bend·(x² − tilt·x − l.stt/l.sw), x = t − l.tm, through some
// points.
type bow struct {
	l          straight
	bend, tilt float64
	square     float64 // the sum of the squared weights times the square of the polynomial behind bend
}

const (
	// leastBow is the number of points below which a bend is not told from noise. Nothing changes from 1 to 32
	// (TestABendOnTheEdgeLeavesThePeriod would notice 64).
	leastBow = 8
	// clearBow is the square of how many of its standard uncertainties a bend must be off none. A bend that is used where
	// there is none makes a crossing half as sure; neighbours that go together make a bend seem surer than it is, by
	// √3 on displays of 25 columns a box (TestWhichBendIsClear).
	clearBow = 27
)

// bowThrough fits the parabola to the points first to last, through which l is the straight line; false if no bend is
// clear.
func bowThrough(t, v, w []float64, first, last int, l straight) (bow, bool) {
	n := last - first + 1
	if n < leastBow {
		return bow{}, false
	}
	cubes := 0.0
	for i := first; i <= last; i++ {
		x := t[i] - l.tm
		cubes += w[i] * w[i] * x * x * x
	}
	b := bow{l: l, tilt: cubes / l.stt}
	onto, straightRest := 0.0, 0.0
	for i := first; i <= last; i++ {
		w2, p := w[i]*w[i], b.polynomial(t[i])
		rest := v[i] - l.vm - l.slope*(t[i]-l.tm)
		b.square += w2 * p * p
		onto += w2 * p * rest
		straightRest += w2 * rest * rest
	}
	if !(b.square > 0) {
		return bow{}, false
	}
	b.bend = onto / b.square
	taken := b.bend * onto
	left := math.Max(0, straightRest-taken) / float64(n-3)
	return b, taken > clearBow*left
}

// polynomial is the one behind bend: with no mean and no slope over the points.
func (b *bow) polynomial(t float64) float64 {
	x := t - b.l.tm
	return x*x - b.tilt*x - b.l.stt/b.l.sw
}

// at gives the height and the slope at t.
func (b *bow) at(t float64) (v, slope float64) {
	x := t - b.l.tm
	return b.l.vm + b.l.slope*x + b.bend*b.polynomial(t), b.l.slope + b.bend*(2*x-b.tilt)
}

// passes gives the instant nearest to about at which the parabola passes level; false if it turns before.
func (b *bow) passes(level, about float64) (float64, bool) {
	// Newton's method doubles the digits with each step; nothing changes from 5 to 80
	// (TestABowGoesThroughAParabola).
	const enough = 20
	t := about
	for range enough {
		v, slope := b.at(t)
		if slope*b.l.slope <= 0 {
			return 0, false
		}
		t -= (v - level) / slope
	}
	v, _ := b.at(t)
	return t, math.Abs(v-level) < 1e-9*math.Abs(b.l.slope*(t-b.l.tm))+1e-9*math.Abs(level)+1e-12
}

// influence is ∂v/∂v[i] of the height at t.
func (b *bow) influence(t, ti, weight float64) float64 {
	w2 := weight * weight
	return w2 * (1/b.l.sw + (t-b.l.tm)*(ti-b.l.tm)/b.l.stt + b.polynomial(t)*b.polynomial(ti)/b.square)
}
