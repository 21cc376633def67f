package stroke

// Where a trace stands still, and how sure its height is there. A display draws on its own rows what an instrument's
// converter has put on its codes: all samples of a level are off by the same, and so are those of the next cycle that
// comes to rest there. That is an effect of the level, and no part of the scatter of its samples. Noise carries the
// signal over rows and codes, so that the mean of a level is finer than its steps: it is measured by means of columns
// and, where a trace moves, by neighbouring ones as well.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// converterStep is a step of the instrument's converter in boxes: 8 bits over 10 boxes (common practice, no
	// source; TestNoiseMakesLevelsFiner).
	converterStep = 1. / 25
	// leastStill is the least width in boxes over which a trace stands still, levelWidth that from which it does so
	// whatever comes after (TestWhereATraceStandsStill).
	leastStill, levelWidth = 0.1, 0.6
	// nearlyAll is the share of a trace at rest from which it has levels only; the rest are its edges
	// (TestWhichTraceHasLevelsOnly).
	nearlyAll = 0.85
	// dithering is the scatter of columns, in boxes, that makes the mean of a level finer by e
	// (TestNoiseMakesLevelsFiner).
	dithering = 0.0095
	// blurred is by how much the blur of photo and sheet makes the scatter of neighbouring columns less than that of
	// the display's: 1.4 to 3.5 on simulated panels (TestARestIsFinerByTheNoiseOfItsColumns).
	blurred = 2
	// flickerWidth is the width in boxes of the means by which a level's noise is measured, wider than a photo's
	// blur, flickerMost the range of one that is level, in boxes, enoughFlicker how many differences of them tell
	// (TestWhatALevelsNoiseIs).
	flickerWidth, flickerMost, enoughFlicker = 0.16, 0.15, 8
)

// steps gives the effects of the display's pixels and of the converter's steps where the trace stays at a height: all
// samples there are off by the same, and so are those of another cycle that come to rest at the same height. On
// a slope the steps scatter and are in Sigma already.
func (c *Centres) steps(s *sheet.Sheet) (effects []Effect) {
	step, still := c.stays(), c.still()
	var heights []float64 // of the levels found, as long as effects
	for _, r := range c.rests(s) {
		k := slices.IndexFunc(heights, func(h float64) bool { return math.Abs(h-r.height) < step })
		if k < 0 {
			k = len(heights)
			heights = append(heights, r.height)
			effects = append(effects, Effect{Name: "pixels of the display", DX: make([]float64, len(c.Y)), DY: make([]float64, len(c.Y))})
		}
		for j := r.first; j <= r.last; j++ {
			if !math.IsNaN(c.Y[j]) {
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

// rests lists where a trace stays within a step: next to an edge, a gap or the rim, where one that bends towards a
// level ends, and anywhere if it is long. Steps that it passes on its way average out.
func (c *Centres) rests(s *sheet.Sheet) (out []standstill) {
	n, step := len(c.Y), c.stays()
	least, long := max(int(leastStill*float64(s.Across)+0.5), 3), int(levelWidth*float64(s.Across)+0.5)
	// grow goes from column i while the trace stays within a step, to the side of the sign.
	grow := func(i, side int) standstill {
		lo, hi, k := c.Y[i], c.Y[i], i
		for k+side >= 0 && k+side < n && max(hi, c.Y[k+side])-min(lo, c.Y[k+side]) < step { // false for NaN
			k += side
			lo, hi = min(lo, c.Y[k]), max(hi, c.Y[k])
		}
		r := standstill{first: min(i, k), last: max(i, k)}
		r.height = raster.Rank(slices.Clone(c.Y[r.first:r.last+1]), 0.5)
		return r
	}
	joins := func(i, k int) bool { // false for NaN
		return i >= 0 && k < n && math.Abs(c.Y[k]-c.Y[i]) < step
	}
	for i := 0; i < n; i++ {
		if math.IsNaN(c.Y[i]) {
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

// still is the standard deviation of a level, the mean of many columns, that the display's pixels and the
// instrument's converter round, in boxes: of the voltage, not of the row on which it was drawn. Noise makes the mean
// of a level finer than its steps. What it leaves depends on how rows and codes lie to each other, and on how many
// samples a column is drawn from; over 25 to 60 rows and 25 codes it falls by e with every dithering boxes that
// columns scatter by (TestNoiseMakesLevelsFiner). So much is known of a steady level alone. What the means of a trace
// that moves scatter by may be how its record was drawn, in steps or smoothed, which makes nothing finer: decays of
// an independent simulator were up to 6 u off in silence. Such a trace has no more noise than neighbouring columns
// show (TestARestBesideASlopeIsNoFinerThanItsStep). A trace that rises without steps shows that nothing rounds it.
func (c *Centres) still() float64 {
	if c.smooth {
		return c.Pixel
	}
	noise := c.noise
	if y := finite(c.Y); raster.Rank(y, 0.95)-raster.Rank(y, 0.05) > c.stays() {
		noise = min(noise, blurred*c.ripple)
	}
	return max(c.rounded()*math.Exp(-noise/dithering), leastPixel)
}

// stays is the range in boxes that a trace at rest keeps to: a step, and its noise.
func (c *Centres) stays() float64 { return math.Sqrt(12)*c.rounded() + 4*c.wobble }

// onlyRests tells whether nearly all of a trace is at rest: its rounding is then an effect of whole levels, and no
// part of the scatter of their samples.
func (c *Centres) onlyRests(s *sheet.Sheet) bool {
	n := 0
	for _, r := range c.rests(s) {
		n += len(finite(c.Y[r.first : r.last+1]))
	}
	return float64(n) > nearlyAll*float64(len(finite(c.Y)))
}

// rounded is the standard deviation of a place that a converter rounds, and then the display.
func (c *Centres) rounded() float64 { return math.Hypot(c.Pixel, converterStep/math.Sqrt(12)) }

// flicker is the standard deviation of what a column of the display shows of the signal's noise, on level stretches.
// The camera's blur takes a part of it from single columns, but nothing from the means of so many that they are wider
// than the blur, which scatter less by the root of the number of columns of the display. Third differences of such
// means, of variance 20, leave slopes and bends out.
func (c *Centres) flicker(s *sheet.Sheet) float64 {
	m := max(int(flickerWidth*float64(s.Across)+0.5), 2)
	var means []float64 // NaN where the trace is not level
	for i := 0; i+m <= len(c.Y); i += m {
		lo, hi, sum := math.Inf(1), math.Inf(-1), 0.0
		for _, y := range c.Y[i : i+m] {
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
	return trimmedRMS(d) / math.Sqrt(20) * math.Sqrt(flickerWidth*s.Elements())
}

// differs is the standard deviation of the noise that second differences over columns of the display show on level
// stretches; 0 where most of those are, as on steps of the display.
func (c *Centres) differs(flat []bool) float64 {
	const apart = 2 // columns of the sheet: about one of a coarse display (TestWhatNeighboursDifferBy)
	var d []float64
	for i := apart; i+apart < len(c.Y); i++ {
		if v := math.Abs(c.Y[i+apart] - 2*c.Y[i] + c.Y[i-apart]); flat[i] && !math.IsNaN(v) {
			d = append(d, v)
		}
	}
	return sheet.MADToSD * raster.Rank(d, 0.5) / math.Sqrt(6)
}
