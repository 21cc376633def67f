package stroke

// What repeated cycles share. A display rounds each height to its rows, and a converter rounded it to its codes before:
// both make the same error each time that the trace comes by. Rows and codes make beats too: with 24 or 26 rows and 25
// codes a box, the error is nearly the same over half a box of heights. The cycles of a square-driven signal
// must not average that down.

import (
	"math"

	"quadrille/vision/path"
	"quadrille/vision/raster"
)

const (
	// heightKnots is the distance in boxes of the heights between which the common error is interpolated
	// (TestKnotsHoldWhatRowsAndCodesShare).
	heightKnots = 0.5
	// common is the most of a single height's error (as standard deviations) that is left of it over the reach of a
	// knot, for any count of rows and for 25 or 32 codes a box, with and without noise: rows that do not beat with
	// the codes leave a tenth, 24 or 26 rows and 25 codes 0.43 (TestKnotsHoldWhatRowsAndCodesShare).
	common = 0.43
	// repeats is how often a trace passes its middle height from which its heights are repeated
	// (TestWhoseHeightsAreRepeated).
	repeats = 4
)

// roundings gives the effects of heights that the trace comes back to: one for each knot of height, whose share in a
// sample falls to 0 at the next knot. It gives none for a trace that passes its heights once or twice.
func (c *Centres) roundings() (effects []Effect) {
	y := finite(c.Y)
	lo, hi := raster.Rank(y, 0), raster.Rank(y, 1)
	if c.smooth || path.Passes(c.Y, raster.Rank(y, 0.1), raster.Rank(y, 0.9)) < repeats {
		return nil
	}
	for k := math.Floor(lo / heightKnots); k <= math.Ceil(hi/heightKnots); k++ {
		e := Effect{Name: "pixels of the display", DX: make([]float64, len(c.Y)), DY: make([]float64, len(c.Y))}
		used := false
		for i, y := range c.Y {
			if share := 1 - math.Abs(y/heightKnots-k); share > 0 { // false for NaN
				e.DY[i] = common * c.Pixel * share
				used = true
			}
		}
		if used {
			effects = append(effects, e)
		}
	}
	return effects
}
