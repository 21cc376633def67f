package trace

// What the noise of the picture does not tell: the display draws on its own pixels, samples have 8 bits,
// the signal has noise, and on an edge the column says little about the height.

import (
	"math"
	"slices"
)

const (
	// displayPixels is how many pixels of its own a display has to a box when they are not seen: about
	// 50 on the common ones (common practice, no source).
	displayPixels = 50
	// A trace that rises by leastRise to mostRise boxes over 0.16 box steps from pixel to pixel of the
	// display, and where it does so over enoughRising columns, its scatter tells the pixels.
	leastRise, mostRise, enoughRising = 0.03, 0.2, 25
	// leastPixel is the least standard deviation of any sample, in boxes: a beam's focus and the face
	// of a tube are not better known.
	leastPixel = 0.002
	// levelRise is the rise in boxes over 0.4 box below which a trace is level: less than a pixel.
	levelRise = 0.015
	// localReach is the half-width, in boxes, of the stretch over which a flat trace is taken for a
	// parabola, slopeReach the same for a steep one. For a decay of amplitude 6 boxes and a time constant of
	// 1 box the rest is below 0.004 box.
	localReach, slopeReach = 0.2, 0.1
	// edgeShare turns the height of a stroke beyond a flat one's into a standard deviation: a
	// rectangular distribution over the stroke. On a slope that goes on at both sides the middle of
	// the stroke is better; by how much, the path shows itself, at least leastShareOfSlope.
	edgeShare, leastShareOfSlope = 0.29, 0.02
	// aJump is the step in boxes between neighbouring columns that no parabola follows.
	aJump = 0.3
	// flatRise is the rise over four columns, in thicknesses, below which a trace counts as flat.
	flatRise = 0.5
)

// widen adds to the noise of every sample the scatter that the path itself shows, the display's pixel
// and the height of steep strokes.
func (c *centred) widen(s *sheet) {
	thin := rank(finite(c.thick), 0.25)
	flat := make([]bool, len(c.y))
	var flatThick []float64
	for i := 2; i+2 < len(c.y); i++ {
		if flat[i] = math.Abs(c.y[i+2]-c.y[i-2]) < flatRise*thin; flat[i] {
			flatThick = append(flatThick, c.thick[i])
		}
	}
	if len(flatThick) > len(c.y)/20 {
		thin = max(thin, rank(finite(flatThick), 0.75)) // noise thickens a flat trace too
	}
	tall := make([]float64, len(c.y))
	sloping := make([]bool, len(c.y))
	for i := range tall {
		tall[i] = math.Sqrt(max(c.thick[i]*c.thick[i]-thin*thin, 0))
		sloping[i] = !flat[i] && c.slopes(i, tall[i]) && tall[i] > thin/4
	}
	c.pixel = c.pixelError(s)
	floor := max(c.pixel, c.scatter(s, localReach, func(i int) bool { return flat[i] }))
	share := leastShareOfSlope
	if h := rank(where(tall, sloping), 0.5); h > 0 {
		r := c.scatter(s, slopeReach, func(i int) bool { return sloping[i] })
		share = min(max(math.Sqrt(max(r*r-floor*floor, 0))/h, share), edgeShare)
	}
	for i := range c.sigma {
		if math.IsNaN(c.y[i]) {
			continue
		}
		k := share
		if !sloping[i] {
			k = edgeShare
		}
		// Beside an edge, the edge may begin within the column or what the blur brings to it.
		beside := 0.0
		if !sloping[i] {
			beside = edgeShare / 2 * max(c.step(i, i-1), c.step(i, i+1), c.step(i, i-2), c.step(i, i+2))
		}
		c.sigma[i] = math.Sqrt(c.sigma[i]*c.sigma[i] + floor*floor + k*k*tall[i]*tall[i] + beside*beside)
	}
}

// pixelError is the standard deviation of a place that the display rounds to its pixels, a rectangular
// distribution. A tube's beam knows no pixels: there a trace that rises evenly does so without steps.
func (c *centred) pixelError(s *sheet) float64 {
	n := float64(displayPixels)
	if s.own > 0 {
		n = float64(s.own)
	}
	pixel := 1 / (math.Sqrt(12) * n)
	m, rising := int(0.08*float64(s.across)+0.5), 0
	rises := func(i int) bool {
		if i < m || i+m >= len(c.y) {
			return false
		}
		d := math.Abs(c.y[i+m] - c.y[i-m])
		return d >= leastRise && d <= mostRise
	}
	for i := range c.y {
		if rises(i) {
			rising++
		}
	}
	if rising >= enoughRising {
		pixel = min(pixel, max(c.scatter(s, slopeReach, rises), leastPixel))
	}
	return pixel
}

// steps gives the effects of the display's pixels on level stretches: all samples of a level are off by
// the same, and levels of one height by the same again. On a slope the steps scatter and are in
// Sigma already.
func (c *centred) steps(s *sheet) (effects []Effect) {
	m := max(int(0.2*float64(s.across)+0.5), 1)
	step := c.pixel * math.Sqrt(12)
	var heights []float64 // of the levels found, as long as effects
	for i := m; i+m < len(c.y); i++ {
		if !(math.Abs(c.y[i+m]-c.y[i-m]) < levelRise && math.Abs(c.y[i]-(c.y[i+m]+c.y[i-m])/2) < levelRise) {
			continue
		}
		k := slices.IndexFunc(heights, func(h float64) bool { return math.Abs(h-c.y[i]) < step })
		if k < 0 {
			k = len(heights)
			heights = append(heights, c.y[i])
			effects = append(effects, Effect{Name: "pixels of the display", DX: make([]float64, len(c.y)), DY: make([]float64, len(c.y))})
		}
		for j := i - m; j <= i+m; j++ {
			if math.Abs(c.y[j]-heights[k]) < 2*step { // false for NaN
				effects[k].DY[j] = c.pixel
			}
		}
	}
	return effects
}

// step is how far, in boxes, the neighbour k of column i lies beyond two thicknesses; a gap counts one.
func (c *centred) step(i, k int) float64 {
	if k < 0 || k >= len(c.y) {
		return 0
	}
	if math.IsNaN(c.y[k]) {
		return c.thick[i]
	}
	return max(math.Abs(c.y[k]-c.y[i])-2*c.thick[i], 0)
}

func where(v []float64, keep []bool) (out []float64) {
	for i, x := range v {
		if keep[i] {
			out = append(out, x)
		}
	}
	return out
}

// slopes reports whether the trace goes on rising or falling on both sides of a stroke at column i:
// over two columns each way by more than the stroke itself.
func (c *centred) slopes(i int, tall float64) bool {
	if i < 2 || i+2 >= len(c.y) {
		return false
	}
	return math.Abs(c.y[i+2]-c.y[i-2]) > 1.5*tall // false for NaN
}

// scatter is the standard deviation of the samples that keep names about their own parabola over ±reach
// boxes (Savitzky, Golay, Anal. Chem. 36 (1964) 1627) beyond what the noise explains, in boxes: steps of
// the instrument's converter and the signal's noise show here. It is 0 for too few samples.
func (c *centred) scatter(s *sheet, reach float64, keep func(i int) bool) float64 {
	m := max(int(reach*float64(s.across)+0.5), 2)
	n := float64(2*m + 1)
	// Weights of the parabola's value at the middle of the window.
	s2, s4 := 0.0, 0.0
	for k := -m; k <= m; k++ {
		d := float64(k * k)
		s2, s4 = s2+d, s4+d*d
	}
	det := n*s4 - s2*s2
	var seen, told []float64
	for i := m; i+m < len(c.y); i++ {
		if !keep(i) {
			continue
		}
		fit, jump := 0.0, false
		for k := -m; k <= m; k++ {
			fit += (s4 - s2*float64(k*k)) / det * c.y[i+k]
			jump = jump || k > -m && math.Abs(c.y[i+k]-c.y[i+k-1]) > aJump
		}
		if jump {
			continue
		}
		if d := c.y[i] - fit; !math.IsNaN(d) {
			seen = append(seen, math.Abs(d))
			told = append(told, c.sigma[i])
		}
	}
	// A residual has 1 − w of a sample's variance, w the weight in the fit of the sample and of its
	// neighbour, which a pixel of the display and the blur make err alike.
	rest := math.Sqrt(max(1-2*s4/det, 0.25))
	a, b := trimmedRMS(seen)/rest, rank(told, 0.5)
	return math.Sqrt(max(a*a-b*b, 0))
}

// trimmedRMS is the root mean square of a normal distribution whose magnitudes are v, from the smaller
// 95 % of them. Steps of a converter are no normal distribution, for which a median would do.
func trimmedRMS(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	w := append([]float64(nil), v...)
	slices.Sort(w)
	w = w[:int(0.95*float64(len(w))+0.5)]
	sum := 0.0
	for _, x := range w {
		sum += x * x
	}
	// Within 1.96 standard deviations a normal distribution has 0.759 of its variance.
	return math.Sqrt(sum / float64(max(len(w), 1)) / 0.759)
}

func finite(v []float64) []float64 {
	var out []float64
	for _, x := range v {
		if !math.IsNaN(x) {
			out = append(out, x)
		}
	}
	return out
}

// widenNearOthers widens samples where another trace lies on or beside the stroke: one hides a part of
// the other, and what is left has another centre.
func widenNearOthers(traces []*Trace) {
	for k, t := range traces {
		for i, y := range t.Y {
			for m, o := range traces {
				if m == k || math.IsNaN(y) {
					continue
				}
				if reach := (t.Thick[i] + o.Thick[i]) / 2; math.Abs(y-o.Y[i]) < 1.5*reach { // false for NaN
					t.Sigma[i] = math.Hypot(t.Sigma[i], edgeShare*min(t.Thick[i], o.Thick[i]))
					break
				}
			}
		}
	}
}
