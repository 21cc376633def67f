package graticule

// Are both families of lines drawn in one ink?
//
// The steep edges of a sine or of a square wave are even lines too, and with the level lines of the
// graticule they make a lattice as good as its own. The lines of a graticule have one colour: how much
// of the step from field to line is there in the weakest of the three colours is the same for upright
// and level lines, but not for lines and a coloured trace.

import "math"

const (
	inkBeside = 0.2  // box beside a line, where the field is
	inkReach  = 0.05 // box to either side of a line, where it is brightest or darkest
	inkPlaces = 8    // along a piece
	inkLeast  = 0.01 // log lightness, of the median piece: fainter lines show no colour
	inkApart  = 0.7  // of the other family's share; lines of one graticule are within 0.8 (TestASineIsNoFamilyOfLines)
)

// oneInk reports whether the two families of lines of frame f on the lattice h may be of one ink, by the
// light l.
func oneInk(l light, h *lattice, f frame, sign float32) bool {
	var share [2]float64
	for fam := range family(2) {
		var full, weak []float64
		f.pieces(func(pc piece) {
			if pc.fam != fam {
				return
			}
			if a, b, ok := inkOf(l, h, pc, sign); ok {
				full = append(full, a)
				weak = append(weak, b)
			}
		})
		m := median(full)
		if !(m > inkLeast) {
			return true
		}
		share[fam] = max(median(weak)/m, 0)
	}
	return min(share[0], share[1]) >= inkApart*max(share[0], share[1])
}

// inkOf is the step from the field to the line of one piece, in the log of the light and of its weakest
// colour; false if the piece is not all on the picture.
func inkOf(l light, h *lattice, pc piece, sign float32) (full, weak float64, ok bool) {
	look := func(off, t float64) (a, b float32, ok bool) {
		p := h.Pixel(pc.at(off, t))
		p.X, p.Y = p.X*l.scale, p.Y*l.scale
		if a, ok = l.log.Bilinear(p); ok {
			b, ok = l.weak.Bilinear(p)
		}
		return sign * a, sign * b, ok
	}
	for i := range inkPlaces {
		t := alongFrom + (1-2*alongFrom)*(float64(i)+0.5)/inkPlaces
		most, of := math.Inf(-1), 0.0
		for _, off := range [3]float64{-inkReach, 0, inkReach} {
			a, b, in := look(off, t)
			if !in {
				return 0, 0, false
			}
			if float64(a) > most {
				most, of = float64(a), float64(b)
			}
		}
		a0, b0, in0 := look(-inkBeside, t)
		a1, b1, in1 := look(inkBeside, t)
		if !in0 || !in1 {
			return 0, 0, false
		}
		full += (most - float64(a0+a1)/2) / inkPlaces
		weak += (of - float64(b0+b1)/2) / inkPlaces
	}
	return full, weak, true
}
