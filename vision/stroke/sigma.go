package stroke

// What the noise of the picture does not tell: the display draws on its own pixels, samples have 8 bits,
// the signal has noise, and on an edge the column says little about the height.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// A trace that rises by leastRise to mostRise boxes over 0.16 box steps from pixel to pixel of the
	// display, and where it does so over enoughRising columns, its scatter tells the pixels
	// (TestWhatASlowRiseTellsOfTheRounding).
	leastRise, mostRise, enoughRising = 0.03, 0.2, 25
	// smooth is the scatter, as a share of that of pixels, below which a trace is drawn without them
	// (TestWhatASlowRiseTellsOfTheRounding).
	smooth = 0.5
	// leastPixel is the least standard deviation of any sample, in boxes: a beam's focus and the face
	// of a tube are not better known (TestWhatASlowRiseTellsOfTheRounding).
	leastPixel = 0.002
	// localReach is the half-width, in boxes, of the stretch over which a flat trace is taken for a
	// parabola, slopeReach the same for a steep one. For a decay of amplitude 6 boxes and a time constant of
	// 1 box the rest is below 0.004 box (TestOverWhatALevelScatters, TestWhatASteepTraceTellsOfTheColumns).
	localReach, slopeReach = 0.2, 0.1
	// edgeShare turns the height of a stroke beyond a flat one's into a standard deviation: a
	// rectangular distribution over the stroke. On a slope that goes on at both sides the middle of
	// the stroke is better (TestAnEdgeIsAsUnsureAsItIsTall).
	edgeShare = 0.29
	// A trace slopes where it changes over slopeHalf boxes each way by at least slopeShare of the whole, and over one
	// column each way, or within one, by at most slopeStep of it: an edge does it all at once (TestWhatIsASlope).
	slopeHalf, slopeShare, slopeStep = 0.06, 0.25, 0.75
	// steep is the slope, in boxes a box, from which the width of the display's columns is more than the height of
	// its rows, enoughSteep how many such samples tell it (TestWhatASteepTraceTellsOfTheColumns).
	steep, enoughSteep = 1.5, 12
	// thinnest is the share of a trace that is never flat whose strokes are as thin as a flat one's
	// (TestHowThickAFastWavesStrokeIs).
	thinnest = 0.02
	// aJump is the step in boxes between neighbouring columns that no parabola follows (TestWhatIsLonely).
	aJump = 0.3
	// flatRise is the rise over two columns, in thicknesses, below which a trace counts as flat on that side. Over
	// four columns about it the crest of a fast wave would be flat, and as sure as a level
	// (TestWhereATraceIsFlat).
	flatRise = 0.5
	// restThick is the height in level strokes up to which a stroke is that of a level (TestAPulsesTopIsSure).
	restThick = 1.3
)

// widen adds to the noise of every sample the scatter that the path itself shows, the display's pixel
// and the height of steep strokes.
func (c *Centres) widen(s *sheet.Sheet) {
	thin := raster.Rank(finite(c.Thick), 0.25)
	flat := make([]bool, len(c.Y))
	var flatThick []float64
	for i := 2; i+2 < len(c.Y); i++ {
		if flat[i] = max(math.Abs(c.Y[i+2]-c.Y[i]), math.Abs(c.Y[i]-c.Y[i-2])) < flatRise*thin; flat[i] { // false for NaN
			flatThick = append(flatThick, c.Thick[i])
		}
	}
	if len(flatThick) > len(c.Y)/20 {
		thin = max(thin, raster.Rank(finite(flatThick), 0.75)) // noise thickens a flat trace too
	} else {
		thin = raster.Rank(finite(c.Thick), thinnest) // a fast wave is tall all along
	}
	tall := make([]float64, len(c.Y))
	sloping := make([]bool, len(c.Y))
	slope := make([]float64, len(c.Y)) // box a box, of sloping samples
	for i := range tall {
		tall[i] = math.Sqrt(max(c.Thick[i]*c.Thick[i]-thin*thin, 0))
		if !flat[i] {
			slope[i], sloping[i] = c.slopes(s, i, tall[i])
		}
	}
	c.level, c.camera = thin, raster.Rank(finite(c.Sigma), 0.5)
	c.Pixel = c.pixelError(s)
	c.noise, c.ripple = c.flicker(s), c.differs(flat)
	c.wobble = c.scatter(s, slopeReach, func(i int) bool { return flat[i] })
	floor := max(c.scatter(s, localReach, func(i int) bool { return flat[i] }), leastPixel)
	if !c.onlyRests(s) {
		floor = max(floor, c.Pixel)
	}
	across, reach := c.columnError(s, slope), c.breadth(s)
	for i := range c.Sigma {
		if math.IsNaN(c.Y[i]) {
			continue
		}
		side := edgeShare * tall[i]
		if sloping[i] {
			side = across * slope[i]
		}
		// Beside an edge, the edge may begin within the column or what the blur brings to it.
		beside := 0.0
		if !sloping[i] {
			for k := 1; k <= reach; k++ {
				beside = max(beside, edgeShare/2*max(c.step(i, i-k), c.step(i, i+k)))
			}
		}
		off := math.Hypot(c.bend(s, i, math.Hypot(c.Sigma[i], floor)), c.oneSided(s, i))
		beside = math.Hypot(beside, off)
		if c.restsAt(i, thin) {
			beside = min(beside, edgeShare*c.Thick[i])
		}
		c.Sigma[i] = math.Sqrt(c.Sigma[i]*c.Sigma[i] + floor*floor + side*side + beside*beside)
	}
}

// restsAt says that the stroke of column i is one of a level that goes on at one side of it at least: it is as thin as
// a level's, thin, and its two neighbours there lie beside it. Whatever edge begins beyond, its light is not in the
// stroke, and so the level was drawn there.
func (c *Centres) restsAt(i int, thin float64) bool {
	if !(c.Thick[i] < restThick*thin) {
		return false
	}
	for _, side := range []int{1, -1} {
		if i+2*side < 0 || i+2*side >= len(c.Y) {
			continue
		}
		if max(math.Abs(c.Y[i+side]-c.Y[i]), math.Abs(c.Y[i+2*side]-c.Y[i])) < flatRise*thin { // false for NaN
			return true
		}
	}
	return false
}

// pixelError is the standard deviation of a place that the display rounds to its pixels, a rectangular
// distribution. A tube's beam knows no pixels: there a trace that rises evenly does so without steps.
func (c *Centres) pixelError(s *sheet.Sheet) float64 {
	pixel := 1 / (math.Sqrt(12) * s.Elements())
	m, rising := int(0.08*float64(s.Across)+0.5), 0
	rises := func(i int) bool {
		if i < m || i+m >= len(c.Y) {
			return false
		}
		d := math.Abs(c.Y[i+m] - c.Y[i-m])
		return d >= leastRise && d <= mostRise
	}
	for i := range c.Y {
		if rises(i) {
			rising++
		}
	}
	if rising >= enoughRising {
		if r := c.scatter(s, slopeReach, rises); r < smooth*pixel {
			c.smooth = true
			return max(r, leastPixel)
		} else if r > pixel {
			return r // the steps of the converter are coarser, or the pixels are
		}
	}
	return pixel
}

// step is how far, in boxes, the neighbour k of column i lies beyond two thicknesses; a gap counts one.
func (c *Centres) step(i, k int) float64 {
	if k < 0 || k >= len(c.Y) {
		return 0
	}
	if math.IsNaN(c.Y[k]) {
		return c.Thick[i]
	}
	return max(math.Abs(c.Y[k]-c.Y[i])-2*c.Thick[i], 0)
}

// slopes gives the slope of the trace at column i, boxes up or down a box across, if it goes on rising or falling on
// both sides: over slopeHalf boxes each way it changes by a fair part, and by no more than slopeStep of it all at
// once, as in the stroke of column i, tall boxes high.
func (c *Centres) slopes(s *sheet.Sheet, i int, tall float64) (slope float64, ok bool) {
	m := max(int(slopeHalf*float64(s.Across)+0.5), 2)
	if i < m || i+m >= len(c.Y) {
		return 0, false
	}
	sum, squares := 0.0, 0.0
	for k := -m; k <= m; k++ {
		sum += float64(k) * c.Y[i+k]
		squares += float64(k * k)
	}
	before, after, all := c.Y[i]-c.Y[i-m], c.Y[i+m]-c.Y[i], math.Abs(c.Y[i+m]-c.Y[i-m])
	ok = min(before*math.Copysign(1, after), math.Abs(after)) > slopeShare*all && max(math.Abs(c.Y[i+1]-c.Y[i-1]), tall) < slopeStep*all
	slope = math.Abs(sum / squares / s.DX)
	return slope, ok && !math.IsNaN(slope)
}

// columnError is the standard deviation, in boxes, of the place across of what a column shows: a display's
// own columns are as wide as its pixels, and a steep trace falls in steps from one to the next. The steps show where
// slope, which is 0 elsewhere, is steep.
func (c *Centres) columnError(s *sheet.Sheet, slope []float64) float64 {
	m := max(int(slopeReach*float64(s.Across)+0.5), 2)
	s2, s4 := 0.0, 0.0
	for k := -m; k <= m; k++ {
		d := float64(k * k)
		s2, s4 = s2+d, s4+d*d
	}
	size := float64(2*m + 1)
	det := size*s4 - s2*s2
	var off []float64
	for i := m; i+m < len(c.Y); i++ {
		if slope[i] < steep {
			continue
		}
		fit, jump := 0.0, false
		for k := -m; k <= m; k++ {
			fit += (s4 - s2*float64(k*k)) / det * c.Y[i+k]
			jump = jump || slope[i+k] == 0 // a knee or an edge
		}
		if d := math.Abs(c.Y[i]-fit) / slope[i]; !jump && !math.IsNaN(d) {
			off = append(off, d)
		}
	}
	if len(off) < enoughSteep {
		return 1 / (math.Sqrt(12) * s.Elements())
	}
	return min(max(trimmedRMS(off)/math.Sqrt(max(1-s4/det, 0.25)), leastPixel), 1/(math.Sqrt(12)*sheet.FewestPixels))
}

// scatter is the standard deviation of the samples that keep names about their own parabola over ±reach
// boxes (Savitzky, Golay, Anal. Chem. 36 (1964) 1627) beyond what the noise explains, in boxes: steps of
// the instrument's converter and the signal's noise show here. It is 0 for too few samples.
func (c *Centres) scatter(s *sheet.Sheet, reach float64, keep func(i int) bool) float64 {
	m := max(int(reach*float64(s.Across)+0.5), 2)
	n := float64(2*m + 1)
	// Weights of the parabola's value at the middle of the window.
	s2, s4 := 0.0, 0.0
	for k := -m; k <= m; k++ {
		d := float64(k * k)
		s2, s4 = s2+d, s4+d*d
	}
	det := n*s4 - s2*s2
	var seen, told []float64
	for i := m; i+m < len(c.Y); i++ {
		if !keep(i) {
			continue
		}
		fit, jump := 0.0, false
		for k := -m; k <= m; k++ {
			fit += (s4 - s2*float64(k*k)) / det * c.Y[i+k]
			jump = jump || k > -m && math.Abs(c.Y[i+k]-c.Y[i+k-1]) > aJump
		}
		if jump {
			continue
		}
		if d := c.Y[i] - fit; !math.IsNaN(d) {
			seen = append(seen, math.Abs(d))
			told = append(told, c.Sigma[i])
		}
	}
	// A residual has 1 − w of a sample's variance, w the weight in the fit of the sample and of its
	// neighbour, which a pixel of the display and the blur make err alike.
	rest := math.Sqrt(max(1-2*s4/det, 0.25))
	a, b := trimmedRMS(seen)/rest, raster.Rank(told, 0.5)
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
