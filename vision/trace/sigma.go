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
	// smooth is the scatter, as a share of that of pixels, below which a trace is drawn without them.
	smooth = 0.5
	// leastPixel is the least standard deviation of any sample, in boxes: a beam's focus and the face
	// of a tube are not better known.
	leastPixel = 0.002
	// converterStep is a step of the instrument's converter in boxes: 8 bits over 10 boxes (common practice, no source).
	converterStep = 1. / 25
	// leastStill is the least width in boxes over which a trace stands still, levelWidth that from which it does so
	// whatever comes after.
	leastStill, levelWidth = 0.1, 0.6
	// localReach is the half-width, in boxes, of the stretch over which a flat trace is taken for a
	// parabola, slopeReach the same for a steep one. For a decay of amplitude 6 boxes and a time constant of
	// 1 box the rest is below 0.004 box.
	localReach, slopeReach = 0.2, 0.1
	// edgeShare turns the height of a stroke beyond a flat one's into a standard deviation: a
	// rectangular distribution over the stroke. On a slope that goes on at both sides the middle of
	// the stroke is better.
	edgeShare = 0.29
	// A trace slopes where it changes over slopeHalf boxes each way by at least slopeShare of the whole, and over one
	// column each way, or within one, by at most slopeStep of it: an edge does it all at once.
	slopeHalf, slopeShare, slopeStep = 0.06, 0.25, 0.75
	// steep is the slope, in boxes a box, from which the width of the display's columns is more than the height of
	// its rows, enoughSteep how many such samples tell it.
	steep, enoughSteep = 1.5, 12
	// thinnest is the share of a trace that is never flat whose strokes are as thin as a flat one's.
	thinnest = 0.02
	// aJump is the step in boxes between neighbouring columns that no parabola follows.
	aJump = 0.3
	// nearlyAll is the share of a trace at rest from which it has levels only; the rest are its edges.
	nearlyAll = 0.85
	// dithering is the scatter of columns, in boxes, that makes the mean of a level finer by e.
	dithering = 0.0095
	// blurred is by how much the blur of photo and sheet makes the scatter of neighbouring columns less than that of the display's: 1.4 to
	// 3.5 on simulated panels (TestARestIsFinerByTheNoiseOfItsColumns).
	blurred = 2
	// flickerWidth is the width in boxes of the means by which a level's noise is measured, wider than a photo's blur, flickerMost
	// the range of one that is level, in boxes, enoughFlicker how many differences of them tell.
	flickerWidth, flickerMost, enoughFlicker = 0.16, 0.15, 8
	// flatRise is the rise over two columns, in thicknesses, below which a trace counts as flat on that side. Over four columns
	// about it the crest of a fast wave would be flat, and as sure as a level (TestManyCyclesAreNotFalselySure).
	flatRise = 0.5
)

// widen adds to the noise of every sample the scatter that the path itself shows, the display's pixel
// and the height of steep strokes.
func (c *centred) widen(s *sheet) {
	thin := rank(finite(c.thick), 0.25)
	flat := make([]bool, len(c.y))
	var flatThick []float64
	for i := 2; i+2 < len(c.y); i++ {
		if flat[i] = max(math.Abs(c.y[i+2]-c.y[i]), math.Abs(c.y[i]-c.y[i-2])) < flatRise*thin; flat[i] { // false for NaN
			flatThick = append(flatThick, c.thick[i])
		}
	}
	if len(flatThick) > len(c.y)/20 {
		thin = max(thin, rank(finite(flatThick), 0.75)) // noise thickens a flat trace too
	} else {
		thin = rank(finite(c.thick), thinnest) // a fast wave is tall all along
	}
	tall := make([]float64, len(c.y))
	sloping := make([]bool, len(c.y))
	slope := make([]float64, len(c.y)) // box a box, of sloping samples
	for i := range tall {
		tall[i] = math.Sqrt(max(c.thick[i]*c.thick[i]-thin*thin, 0))
		if !flat[i] {
			slope[i], sloping[i] = c.slopes(s, i, tall[i])
		}
	}
	c.level, c.camera = thin, rank(finite(c.sigma), 0.5)
	c.pixel = c.pixelError(s)
	c.noise, c.ripple = c.flicker(s), c.differs(flat)
	c.wobble = c.scatter(s, slopeReach, func(i int) bool { return flat[i] })
	floor := max(c.scatter(s, localReach, func(i int) bool { return flat[i] }), leastPixel)
	if !c.onlyRests(s) {
		floor = max(floor, c.pixel)
	}
	across, reach := c.columnError(s, slope), c.breadth(s)
	for i := range c.sigma {
		if math.IsNaN(c.y[i]) {
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
		off := math.Hypot(c.bend(s, i, math.Hypot(c.sigma[i], floor)), c.oneSided(s, i))
		c.sigma[i] = math.Sqrt(c.sigma[i]*c.sigma[i] + floor*floor + side*side + beside*beside + off*off)
	}
}

// pixelError is the standard deviation of a place that the display rounds to its pixels, a rectangular
// distribution. A tube's beam knows no pixels: there a trace that rises evenly does so without steps.
func (c *centred) pixelError(s *sheet) float64 {
	pixel := 1 / (math.Sqrt(12) * s.elements())
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
		if r := c.scatter(s, slopeReach, rises); r < smooth*pixel {
			c.smooth = true
			return max(r, leastPixel)
		} else if r > pixel {
			return r // the steps of the converter are coarser, or the pixels are
		}
	}
	return pixel
}

// steps gives the effects of the display's pixels and of the converter's steps where the trace stays at a height: all
// samples there are off by the same, and so are those of another cycle that come to rest at the same height. On
// a slope the steps scatter and are in Sigma already.
func (c *centred) steps(s *sheet) (effects []Effect) {
	step, still := c.stays(), c.still()
	var heights []float64 // of the levels found, as long as effects
	for _, r := range c.rests(s) {
		k := slices.IndexFunc(heights, func(h float64) bool { return math.Abs(h-r.height) < step })
		if k < 0 {
			k = len(heights)
			heights = append(heights, r.height)
			effects = append(effects, Effect{Name: "pixels of the display", DX: make([]float64, len(c.y)), DY: make([]float64, len(c.y))})
		}
		for j := r.first; j <= r.last; j++ {
			if !math.IsNaN(c.y[j]) {
				effects[k].DY[j] = still
			}
		}
	}
	return effects
}

// A standstill is a stretch of columns in which the trace stays at a height, in boxes, within a step.
type standstill struct {
	first, last int
	height      float64
}

// rests lists where a trace stays within a step: next to an edge, a gap or the rim, where one that bends towards a level
// ends, and anywhere if it is long. Steps that it passes on its way average out.
func (c *centred) rests(s *sheet) (out []standstill) {
	n, step := len(c.y), c.stays()
	least, long := max(int(leastStill*float64(s.across)+0.5), 3), int(levelWidth*float64(s.across)+0.5)
	// grow goes from column i while the trace stays within a step, to the side of the sign.
	grow := func(i, side int) standstill {
		lo, hi, k := c.y[i], c.y[i], i
		for k+side >= 0 && k+side < n && max(hi, c.y[k+side])-min(lo, c.y[k+side]) < step { // false for NaN
			k += side
			lo, hi = min(lo, c.y[k]), max(hi, c.y[k])
		}
		r := standstill{first: min(i, k), last: max(i, k)}
		r.height = rank(c.y[r.first:r.last+1], 0.5)
		return r
	}
	joins := func(i, k int) bool { // false for NaN
		return i >= 0 && k < n && math.Abs(c.y[k]-c.y[i]) < step
	}
	for i := 0; i < n; i++ {
		if math.IsNaN(c.y[i]) {
			continue
		}
		before, after := joins(i-1, i), joins(i, i+1)
		r := standstill{first: i, last: i}
		if !before {
			r = grow(i, 1)
		} else if !after {
			r = grow(i, -1)
		} else if len(out) == 0 || out[len(out)-1].last < i {
			if r = grow(i, 1); r.last-r.first < long {
				continue
			}
		}
		if r.last-r.first+1 >= least {
			out = append(out, r)
		}
	}
	return out
}

// still is the standard deviation of a level, the mean of many columns, that the display's pixels and the instrument's converter
// round, in boxes: of the voltage, not of the row on which it was drawn. Noise makes the mean of a level finer than its steps. What it
// leaves depends on how rows and codes lie to each other, and on how many samples a column is drawn from; over 25 to 60 rows and
// 25 codes it falls by e with every dithering boxes that columns scatter by (TestNoiseMakesLevelsFiner).
// So much is known of a steady level alone. What the means of a trace that moves scatter by may be how its record was drawn, in steps or
// smoothed, which makes nothing finer: decays of an independent simulator were up to 6 u off in silence. Such a trace has no more noise
// than neighbouring columns show (TestARestBesideASlopeIsNoFinerThanItsStep). A trace that rises without steps shows that nothing rounds it.
func (c *centred) still() float64 {
	if c.smooth {
		return c.pixel
	}
	noise := c.noise
	if y := finite(c.y); rank(y, 0.95)-rank(y, 0.05) > c.stays() {
		noise = min(noise, blurred*c.ripple)
	}
	return max(c.rounded()*math.Exp(-noise/dithering), leastPixel)
}

// stays is the range in boxes that a trace at rest keeps to: a step, and its noise.
func (c *centred) stays() float64 { return math.Sqrt(12)*c.rounded() + 4*c.wobble }

// onlyRests tells whether nearly all of a trace is at rest: its rounding is then an effect of whole levels, and no part of the
// scatter of their samples.
func (c *centred) onlyRests(s *sheet) bool {
	n := 0
	for _, r := range c.rests(s) {
		n += len(finite(c.y[r.first : r.last+1]))
	}
	return float64(n) > nearlyAll*float64(len(finite(c.y)))
}

// rounded is the standard deviation of a place that a converter rounds, and then the display.
func (c *centred) rounded() float64 { return math.Hypot(c.pixel, converterStep/math.Sqrt(12)) }

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

// flicker is the standard deviation of what a column of the display shows of the signal's noise, on level stretches. The camera's
// blur takes a part of it from single columns, but nothing from the means of so many that they are wider than the blur, which scatter
// less by the root of the number of columns of the display. Third differences of such means, of variance 20, leave slopes and bends out.
func (c *centred) flicker(s *sheet) float64 {
	m := max(int(flickerWidth*float64(s.across)+0.5), 2)
	var means []float64 // NaN where the trace is not level
	for i := 0; i+m <= len(c.y); i += m {
		lo, hi, sum := math.Inf(1), math.Inf(-1), 0.0
		for _, y := range c.y[i : i+m] {
			lo, hi, sum = min(lo, y), max(hi, y), sum+y
		}
		if !(hi-lo < flickerMost) { // or NaN
			sum = math.NaN()
		}
		means = append(means, sum/float64(m))
	}
	var d []float64
	for k := 0; k+3 < len(means); k++ {
		if v := means[k+3] - 3*means[k+2] + 3*means[k+1] - means[k]; !math.IsNaN(v) {
			d = append(d, math.Abs(v))
		}
	}
	if len(d) < enoughFlicker {
		return 0
	}
	return trimmedRMS(d) / math.Sqrt(20) * math.Sqrt(flickerWidth*s.elements())
}

// differs is the standard deviation of the noise that second differences over columns of the display show on level stretches; 0 where
// most of those are, as on steps of the display.
func (c *centred) differs(flat []bool) float64 {
	const apart = 2 // columns of the sheet: about one of a coarse display
	var d []float64
	for i := apart; i+apart < len(c.y); i++ {
		if v := math.Abs(c.y[i+apart] - 2*c.y[i] + c.y[i-apart]); flat[i] && !math.IsNaN(v) {
			d = append(d, v)
		}
	}
	return madToSD * rank(d, 0.5) / math.Sqrt(6)
}

// elements is the display's pixels a box, as they are seen or as they usually are.
func (s *sheet) elements() float64 {
	if s.own > 0 {
		return float64(s.own)
	}
	return displayPixels
}

// slopes gives the slope of the trace at column i, boxes up or down a box across, if it goes on rising or falling on both
// sides: over slopeHalf boxes each way it changes by a fair part, and by no more than slopeStep of it all at once, as in
// the stroke of column i, tall boxes high.
func (c *centred) slopes(s *sheet, i int, tall float64) (slope float64, ok bool) {
	m := max(int(slopeHalf*float64(s.across)+0.5), 2)
	if i < m || i+m >= len(c.y) {
		return 0, false
	}
	sum, squares := 0.0, 0.0
	for k := -m; k <= m; k++ {
		sum += float64(k) * c.y[i+k]
		squares += float64(k * k)
	}
	before, after, all := c.y[i]-c.y[i-m], c.y[i+m]-c.y[i], math.Abs(c.y[i+m]-c.y[i-m])
	ok = min(before*math.Copysign(1, after), math.Abs(after)) > slopeShare*all && max(math.Abs(c.y[i+1]-c.y[i-1]), tall) < slopeStep*all
	slope = math.Abs(sum / squares / s.dx)
	return slope, ok && !math.IsNaN(slope)
}

// columnError is the standard deviation, in boxes, of the place across of what a column shows: a display's
// own columns are as wide as its pixels, and a steep trace falls in steps from one to the next. The steps show where
// slope, which is 0 elsewhere, is steep.
func (c *centred) columnError(s *sheet, slope []float64) float64 {
	m := max(int(slopeReach*float64(s.across)+0.5), 2)
	s2, s4 := 0.0, 0.0
	for k := -m; k <= m; k++ {
		d := float64(k * k)
		s2, s4 = s2+d, s4+d*d
	}
	size := float64(2*m + 1)
	det := size*s4 - s2*s2
	var off []float64
	for i := m; i+m < len(c.y); i++ {
		if slope[i] < steep {
			continue
		}
		fit, jump := 0.0, false
		for k := -m; k <= m; k++ {
			fit += (s4 - s2*float64(k*k)) / det * c.y[i+k]
			jump = jump || slope[i+k] == 0 // a knee or an edge
		}
		if d := math.Abs(c.y[i]-fit) / slope[i]; !jump && !math.IsNaN(d) {
			off = append(off, d)
		}
	}
	if len(off) < enoughSteep {
		return 1 / (math.Sqrt(12) * s.elements())
	}
	return min(max(trimmedRMS(off)/math.Sqrt(max(1-s4/det, 0.25)), leastPixel), 1/(math.Sqrt(12)*fewestPixels))
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
