package stroke

// A trace along the lowest or highest line, where ground is often set: displays draw nothing outside the
// frame, so that of a stroke on the line only the inner half is seen, and of noise about the line only
// the inner swing. The inner end of the stroke is still where it belongs; the centre lies half a usual
// thickness, as it is elsewhere on the trace, further out.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// CutNear is how near the rim, in boxes, a stroke ends that was cut off there: half a pixel of
	// the display, 0.01 to 0.02 box, and the graticule's own error (TestStrokesThatTheRimCutsOff).
	CutNear = 0.03
	// cutMost is how many times the usual thickness a column may have to be mended: not an edge
	// (TestStrokesThatTheRimCutsOff).
	cutMost = 2
	// enoughWhole is how many whole strokes tell the usual thickness (TestStrokesThatTheRimCutsOff).
	enoughWhole = 10
	// cutUnsure is the standard deviation, in thicknesses, of a cut stroke that is not mended
	// (TestStrokesThatTheRimCutsOff).
	cutUnsure = 0.5
)

// mendCut moves the centres of strokes that were cut off at the line y = rim; side is 1 for the upper rim and
// -1 for the lower one.
func (c *Centres) mendCut(rim, side float64) {
	var cut []int
	var half, thick []float64 // of whole strokes
	for i, y := range c.Y {
		if math.IsNaN(y) {
			continue
		}
		upper, lower := c.top[i], c.top[i]-c.Thick[i]
		outer, inner := upper, lower
		if side < 0 {
			outer, inner = lower, upper
		}
		if math.Abs(outer-rim) < CutNear {
			cut = append(cut, i)
			continue
		}
		half = append(half, side*(y-inner))
		thick = append(thick, c.Thick[i])
	}
	if len(cut) == 0 {
		return
	}
	usual := raster.Rank(slices.Clone(thick), 0.25)
	if len(thick) < enoughWhole {
		for _, i := range cut {
			c.Sigma[i] = math.Hypot(c.Sigma[i], cutUnsure*c.Thick[i])
		}
		return
	}
	var h []float64
	for k := range half {
		if thick[k] < 1.5*usual {
			h = append(h, half[k])
		}
	}
	reach := raster.Rank(h, 0.5)
	for k := range h {
		h[k] = math.Abs(h[k] - reach)
	}
	spread := sheet.MADToSD * raster.Rank(h, 0.5)
	for _, i := range cut {
		if c.Thick[i] > cutMost*usual {
			continue
		}
		inner := c.top[i] - c.Thick[i]
		if side < 0 {
			inner = c.top[i]
		}
		c.Y[i] = inner + side*reach
		c.Sigma[i] = math.Hypot(c.Sigma[i], spread)
	}
}
