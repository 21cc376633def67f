package frame

// Are both families of lines drawn in one ink?
//
// The steep edges of a sine or of a square wave are even lines too, and with the level lines of the graticule they make
// a lattice as good as its own. The lines of a graticule have one colour: the step from field to line in the weakest of
// red, green and blue, over that in all three, is the same for upright and level lines, but not for lines and a
// coloured trace. A white trace tells nothing.

import (
	"math"

	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	inkBeside = 0.2 // box beside a line, where the field is (TestTheInkOfALineIsThatOfItsStripes)
	// inkReach: box to either side of a line, over which its light is summed: its stripes of colour together
	// (TestTheInkOfALineIsThatOfItsStripes)
	inkReach  = 0.06
	inkPlaces = 6 // along a piece (nothing changes from 3 to 12, TestTheInkOfALineIsThatOfItsStripes)
	// inkLeast: linear light, of the median piece: fainter lines show no colour
	// (TestTheInkOfALineIsThatOfItsStripes)
	inkLeast = 1e-3
	// inkApart, of the other family's share: lines of one graticule are within 0.8, edges of a magenta trace 0.6
	// (TestASineIsNoFamilyOfLines)
	inkApart = 0.7
)

// oneInk reports whether the two families of lines of frame f on the lattice h may be of one ink.
func oneInk(l *scene.Colours, h *lattice.Map, f *Frame, sign float32) bool {
	var share [2]float64
	for of := range lattice.Family(2) {
		var steps [3][]float64
		f.Pieces(func(p lattice.Piece) {
			if p.Of != of {
				return
			}
			if s, ok := step(l, h, p); ok {
				for c := range s {
					steps[c] = append(steps[c], float64(sign)*s[c])
				}
			}
		})
		all, least := 0.0, math.Inf(1)
		for c := range steps {
			m := raster.Median(steps[c])
			all += m / 3
			least = min(least, m)
		}
		if !(all > inkLeast) {
			return true
		}
		share[of] = max(least/all, 0)
	}
	return min(share[0], share[1]) >= inkApart*max(share[0], share[1])
}

// step is how much more light there is on a piece of line than beside it, in each colour; ok is false if the piece is
// not all on the picture.
func step(l *scene.Colours, h *lattice.Map, p lattice.Piece) (s [3]float64, ok bool) {
	add := func(off, t, weight float64) bool {
		v, in := l.At(h.Pixel(p.At(off, t)))
		for c := range s {
			s[c] += weight * float64(v[c]) / inkPlaces
		}
		return in
	}
	for i := range inkPlaces {
		t := lattice.AlongFrom + (1-2*lattice.AlongFrom)*(float64(i)+0.5)/inkPlaces
		for k := -2; k <= 2; k++ {
			if !add(float64(k)*inkReach/2, t, 0.2) {
				return s, false
			}
		}
		if !add(-inkBeside, t, -0.5) || !add(inkBeside, t, -0.5) {
			return s, false
		}
	}
	return s, true
}
