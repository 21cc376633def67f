package sketch

// Where a stroke passes.
//
// A hard pencil's stroke is hardly darker, cell by cell, than what is left of a ruling, and yet an eye sees it, for it
// goes on. So the darkness is averaged along short pieces of line in several directions, and each average is held
// against the noise of its own direction round about: grain averages out, and so does a ruling under a slanted stroke;
// along the ruling the averages have more noise, and more is asked for.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	// pieceLong is how long the pieces of line are, in squares: over more a curve bends out of its stroke's breadth
	// (TestAFaintStrokeIsSeen).
	pieceLong = 0.25
	// directions is how many there are over half a turn: with a piece of seven and a half by two cells, one is never
	// off by more than the stroke is broad (TestAFaintStrokeIsSeen).
	directions = 12
	// passSure is how many times its noise an average is where a stroke passes: of grain alone one cell in thousands is
	// (TestAFaintStrokeIsSeen).
	passSure = 4.5
	// passLeast is the least absorbance that an average has there, a quarter of a pencil's (TestAFaintStrokeIsSeen).
	passLeast = inkLeast / 4
	// pairs is how many cells each way are taken together before: a stroke is as broad, and it is four times quicker
	// (TestAFaintStrokeIsSeen).
	pairs = 2
)

// passing tells of each cell whether a stroke passes there.
func (e *evidence) passing() []bool {
	p := e.dark.Reduce(pairs)
	reach := max(1, int(pieceLong*float64(e.per)/(2*pairs)))
	out := make([]bool, e.w*e.h)
	mean := raster.New(p.W, p.H)
	for d := range directions {
		meanToward(mean, p, reach, math.Pi*float64(d)/directions)
		at := func(i int) float32 {
			return mean.Pix[min(i/e.w/pairs, p.H-1)*p.W+min(i%e.w/pairs, p.W-1)]
		}
		noise := e.spreadOf(passLeast/passSure, at)
		raster.Rows(e.h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				for x := range e.w {
					k := y*e.w + x
					v := at(k)
					if v < passLeast || out[k] {
						continue
					}
					q := geom.Pixel{X: (float64(x) + 0.5) / float64(e.per), Y: (float64(y) + 0.5) / float64(e.per)}
					out[k] = v > passSure*noise.Clamped(q)
				}
			}
		})
	}
	return out
}

// meanToward sets mean to the averages of p over so many cells to both sides in a direction, radians from level.
func meanToward(mean, p *raster.Plane, reach int, direction float64) {
	sin, cos := math.Sincos(direction)
	raster.Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := mean.Pix[y*p.W : (y+1)*p.W]
			clear(row)
			for k := -reach; k <= reach; k++ {
				dx, dy := int(math.Round(float64(k)*cos)), int(math.Round(float64(k)*sin))
				from := p.Pix[min(max(y+dy, 0), p.H-1)*p.W:][:p.W]
				for x := max(0, -dx); x < min(p.W, p.W-dx); x++ {
					row[x] += from[x+dx]
				}
			}
			for x := range row {
				row[x] /= float32(2*reach + 1)
			}
		}
	})
}
