package scene

// The photo with its light limited, for displays on which a trace or words outshine the lines.

import (
	"math"

	"quadrille/vision/raster"
)

// weakest gives the log of the weakest of the three colours: grey lines are as bright there, a trace of a clear colour
// is not.
func weakest(rgb [3]*raster.Plane) *raster.Plane {
	out := raster.New(rgb[0].W, rgb[0].H)
	raster.Rows(out.H, func(y0, y1 int) {
		for i := y0 * out.W; i < y1*out.W; i++ {
			v := rgb[0].Pix[i]
			if g := rgb[1].Pix[i]; g < v {
				v = g
			}
			if b := rgb[2].Pix[i]; b < v {
				v = b
			}
			out.Pix[i] = logOf(v)
		}
	})
	return out
}

// limited takes from log lightness what outshines the lines. Its light is weak, that of the weakest colour, less where
// there is more colour than in the neighbourhood; and how far the light lies from that around it is limited to some
// times the mean of the neighbourhood. That mean is taken anew after each limiting, as one of what is left. It uses up
// both planes.
func limited(light, weak *raster.Plane) *raster.Plane {
	const (
		// wide, px, two running means: a box or so, of which a trace covers a small part
		// (TestLimitingBringsATraceNearerToTheLines)
		wide = 41
		// limit: of the mean distance; a line a twentieth of a box wide has more
		// (TestLimitingBringsATraceNearerToTheLines)
		limit  = 2.5
		rounds = 3 // TestLimitingBringsATraceNearerToTheLines
		// How much darker a place gets by its colour, which is how far its weakest colour lies below its
		// lightness: a bright trace of the least clear colour, magenta, is gone, and a tinted line is not
		// (TestBleachingTakesATraceAndLeavesALine).
		bleach = 1.5
	)
	colour := light
	raster.Rows(colour.H, func(y0, y1 int) {
		for i := y0 * colour.W; i < y1*colour.W; i++ {
			colour.Pix[i] -= weak.Pix[i]
		}
	})
	around(colour, wide, false).each(colour, func(row, means []float32, y int) {
		for x, w := range weak.Row(y) {
			more := row[x] - means[x]
			if row[x] = w; more > 0 {
				row[x] -= bleach * more
			}
		}
	})
	out := colour // which is the bleached light now
	away := weak
	around(out, wide, false).each(out, func(row, means []float32, y int) {
		far := away.Row(y)
		for x, v := range row {
			row[x] = v - means[x]
			far[x] = float32(math.Abs(float64(row[x])))
		}
	})
	for range rounds {
		around(away, wide, false).each(out, func(row, means []float32, y int) {
			far := away.Row(y)
			for x, v := range row {
				m := limit * means[x]
				row[x] = raster.Clip(v, -m, m)
				far[x] = float32(math.Abs(float64(row[x])))
			}
		})
	}
	return out
}
