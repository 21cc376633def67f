package graticule

// Growing a seed to the whole lattice.
//
// From ±2 boxes round the seed's origin: look at every piece of line, fit the lattice to those that
// show a peak, and add a line on each side where either the line itself or the lines that cross the
// new strip go on. The projective terms are held back at first, or four boxes tip over, and let go as
// the lattice grows. Growth goes past the frame rather than stop short of it; the frame is found later.

import (
	"math"

	"quadrille/vision/geom"
)

const (
	growMax     = 19   // boxes across or up; displays have up to 18
	peakHeight  = 0.25 // rms of the evidence: lower peaks are not taken
	peakNoise   = 2.2  // of the profile's median absolute deviation: nor such
	lineGoesOn  = 0.40 // of the median line's strength: a new line that strong is a line
	crossGoesOn = 0.45 // of the crossing lines' strength: in the strip before the new line
	coarseBox   = 75   // px of the fine picture: wider boxes are looked at on the coarse one
)

// reach of the search beside a line, in profile samples: at first, while growing, and at the end.
const (
	reachFirst = 9 // 0.28 box
	reachGrow  = 6 // 0.2 box
	reachFinal = 5 // 0.15 box
	reachDots  = 3 // 0.09 box: under half of a fifth
)

// An extent is a rectangle of lattice lines: left..right and bottom..top, inclusive.
type extent struct{ left, right, bottom, top int }

func (x extent) cols() int { return x.right - x.left }
func (x extent) rows() int { return x.top - x.bottom }
func (x extent) mid() geom.Box {
	return geom.Box{X: float64(x.left+x.right) / 2, Y: float64(x.bottom+x.top) / 2}
}

// pieces calls f for each piece of the lines in x.
func (x extent) pieces(f func(pc piece)) {
	for k := x.left; k <= x.right; k++ {
		for c := x.bottom; c < x.top; c++ {
			f(piece{upright, k, c})
		}
	}
	for k := x.bottom; k <= x.top; k++ {
		for c := x.left; c < x.right; c++ {
			f(piece{level, k, c})
		}
	}
}

// A grown is a lattice with the part of it that was seen.
type grown struct {
	h    lattice
	sign float32 // +1: lines are brighter than the field; -1: darker
	part extent
	rms  float64 // box
	ev   *evidence
	seen []sighting
	// dotted lattices have dots between their lines, and are looked at no farther beside a line than
	// halfway to the next.
	dotted bool
}

// grow gives the lattice that sd starts; ok is false when it comes to nothing.
func grow(fine, coarse *evidence, sd seed) (g grown, ok bool) {
	g = grown{h: sd.h, part: extent{-2, 2, -2, 2}, ev: fine}
	if a, u := boxSize(sd.h, geom.Box{}); math.Sqrt(a*u)*fine.scale > coarseBox {
		g.ev = coarse
	}
	if g.sign = g.polarity(); g.sign == 0 {
		return g, false
	}
	if !g.refit(reachFirst, 0.3) {
		return g, false
	}
	return g, g.spread()
}

// spread fits and extends the lattice until it goes on on no side.
func (g *grown) spread() bool {
	dead := [4]bool{}
	for round := 0; ; round++ {
		ridge := 0.1
		if round >= 3 {
			ridge = 0.03
		}
		if !g.refit(reachGrow, ridge) {
			return false
		}
		if !g.extend(&dead) {
			break
		}
	}
	return g.refit(reachFinal, 0)
}

// polarity says whether the pieces have higher peaks upwards or downwards; 0 if nothing was seen.
func (g *grown) polarity() float32 {
	var up, down float64
	n := 0
	g.part.pieces(func(pc piece) {
		p, ok := g.ev.look(&g.h, pc)
		if !ok {
			return
		}
		n++
		_, a, _, _ := p.peak(1, reachFirst)
		_, b, _, _ := p.peak(-1, reachFirst)
		up += a
		down += b
	})
	switch {
	case n < 20:
		return 0
	case up >= down:
		return 1
	}
	return -1
}

// refit looks at all pieces of g.part and fits the lattice to those seen.
func (g *grown) refit(reach int, ridge float64) bool {
	g.seen = g.seen[:0]
	if g.dotted {
		reach = min(reach, reachDots)
	}
	g.part.pieces(func(pc piece) {
		p, ok := g.ev.look(&g.h, pc)
		if !ok {
			return
		}
		off, height, noise, edge := p.peak(g.sign, reach)
		if edge || height < peakHeight || height < peakNoise*noise {
			return
		}
		g.seen = append(g.seen, sighting{pc, off, height, g.h.Pixel(pc.at(off, 0.5))})
	})
	h, rms, ok := fitLattice(g.seen, g.h, ridge)
	if !ok {
		return false
	}
	// A fit that folds the part over or leaves it far from square boxes is no display's.
	for _, b := range [5]geom.Box{
		g.part.mid(),
		{X: float64(g.part.left), Y: float64(g.part.bottom)}, {X: float64(g.part.right), Y: float64(g.part.bottom)},
		{X: float64(g.part.left), Y: float64(g.part.top)}, {X: float64(g.part.right), Y: float64(g.part.top)},
	} {
		if h[6]*b.X+h[7]*b.Y+1 < 0.3 {
			return false
		}
		a, u := boxSize(h, b)
		if !(a < aspectMax*u && u < aspectMax*a && min(a, u)*g.ev.scale > minStep/4) {
			return false
		}
	}
	g.h, g.rms = h, rms
	return true
}

// extend adds a line to each side that goes on; it reports whether any did.
func (g *grown) extend(dead *[4]bool) bool {
	grew := false
	strengths := [2][]float64{}
	for fam := range 2 {
		lo, hi := g.part.left, g.part.right
		if family(fam) == level {
			lo, hi = g.part.bottom, g.part.top
		}
		for k := lo; k <= hi; k++ {
			strengths[fam] = append(strengths[fam], g.lineStrength(family(fam), k, g.part))
		}
	}
	typical := [2]float64{median(strengths[0]), median(strengths[1])}
	for side := range 4 {
		if dead[side] {
			continue
		}
		wider := g.part
		var fam family // of the new line
		var k, c int   // the new line, and the new strip's cell along the crossing lines
		switch side {
		case 0:
			wider.left--
			fam, k, c = upright, wider.left, wider.left
		case 1:
			wider.right++
			fam, k, c = upright, wider.right, wider.right-1
		case 2:
			wider.bottom--
			fam, k, c = level, wider.bottom, wider.bottom
		case 3:
			wider.top++
			fam, k, c = level, wider.top, wider.top-1
		}
		if wider.cols() > growMax || wider.rows() > growMax {
			dead[side] = true
			continue
		}
		line := g.lineStrength(fam, k, g.part)
		strip := g.stripStrength(1-fam, c)
		if line > lineGoesOn*typical[fam] || strip > crossGoesOn*typical[1-fam] {
			g.part = wider
			grew = true
		} else {
			dead[side] = true
		}
	}
	return grew
}

// lineStrength is the strength of line k over the cells of part.
func (g *grown) lineStrength(fam family, k int, part extent) float64 {
	lo, hi := part.bottom, part.top
	if fam == level {
		lo, hi = part.left, part.right
	}
	var sum profile
	n := 0
	for c := lo; c < hi; c++ {
		if p, ok := g.ev.look(&g.h, piece{fam, k, c}); ok {
			sum.add(&p)
			n++
		}
	}
	if 2*n < hi-lo {
		return 0
	}
	return sum.strength(g.sign) / float64(n)
}

// stripStrength is the mean strength, in the cell c of the strip, of the lines of fam.
func (g *grown) stripStrength(fam family, c int) float64 {
	lo, hi := g.part.left, g.part.right
	if fam == level {
		lo, hi = g.part.bottom, g.part.top
	}
	var sum profile
	n := 0
	for k := lo; k <= hi; k++ {
		if p, ok := g.ev.look(&g.h, piece{fam, k, c}); ok {
			sum.add(&p)
			n++
		}
	}
	if 2*n < hi-lo+1 {
		return 0
	}
	return sum.strength(g.sign) / float64(n)
}
