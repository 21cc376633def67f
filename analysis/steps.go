package analysis

// A trace drawn in steps: a slow sweep holds each sample until the next, so that a wave of few samples a period is a
// staircase. What a staircase leaves of the wave that was sampled is no sign of another shape, and how much that is
// follows from the length of a step. Of a wave of the frequency f held for h each, the part at f has sinc(f·h) of the
// amplitude (the zero-order hold; A. V. Oppenheim and R. W. Schafer, Discrete-Time Signal Processing, section 4.1, from
// memory), and the rest of the power is the staircase's.

import "math"

const (
	// A step is a stretch of stepPoints points or more within stepRise of the height. There must be fewestSteps of them,
	// a share onSteps of the points must lie on them, and what a usual one changes in itself must be less than a share
	// stepFlat of the way to the next: a smooth slope goes on at once (TestWhatIsDrawnInSteps).
	stepPoints, stepRise, fewestSteps, onSteps, stepFlat = 4, 0.02, 12, 0.8, 0.3
	// leastOfPeriod is the number of steps of a period: fewer are levels to a reader (TestWhatIsDrawnInSteps).
	leastOfPeriod = 7.0
)

// stepLength is the duration in s of the steps that the points are drawn in; 0 if there are none.
func (p *points) stepLength() float64 {
	rise := stepRise * p.height()
	var lengths, flat []float64
	on, before := 0, math.NaN() // before is the middle of the step before
	for first := 0; first < len(p.t); {
		last, low, high := first, p.v[first], p.v[first]
		for last+1 < len(p.t) && math.Max(high, p.v[last+1])-math.Min(low, p.v[last+1]) < rise {
			last++
			low, high = math.Min(low, p.v[last]), math.Max(high, p.v[last])
		}
		if n := last - first + 1; n >= stepPoints {
			lengths = append(lengths, float64(n))
			on += n
			middle := (low + high) / 2
			if way := math.Abs(middle - before); way > 0 { // false for NaN
				flat = append(flat, (high-low)/way)
			}
			before = middle
		}
		first = last + 1
	}
	if len(lengths) < fewestSteps || float64(on) < onSteps*float64(len(p.t)) || !(median(flat) < stepFlat) {
		return 0
	}
	return median(lengths) * medianStep(p.t)
}

// leftBySteps is what steps leave of a sine of the frequency f, Hz, as a share of its height, rms, and a tenth more
// than they leave of a triangle; 0 if the points are drawn in none.
func (p *points) leftBySteps(f float64) float64 {
	x := math.Pi * f * p.stepLength()
	if x == 0 || leastOfPeriod*x > math.Pi {
		return 0
	}
	held := math.Sin(x) / x
	return math.Sqrt((1 - held*held) / 8)
}
