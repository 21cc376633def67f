package lattice

// Lattices that go with one that was found: of every second line, with lines halfway between, or of the divisions among
// rows of dots.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// DotsPerBox is how many minor divisions a display of dots has to a box
	// (TestDivisionsAreThoseOfTheLatticeThatLiesOnTheDots).
	DotsPerBox = 5
	// dotsBetween is how strong the lines at minor divisions must be, of those of a lattice, for a display that has a dot
	// at every crossing of its minor divisions (TestRowsOfDotsAreFoundBetweenLines).
	dotsBetween = 0.5
	// dotsRMS, box, of a lattice of dots; one that takes dots here and there for lines has more
	// (TestDivisionsAreThoseOfTheLatticeThatLiesOnTheDots)
	dotsRMS = 0.03
	dotsFit = 0.004 // box, of one that is right throughout (TestDivisionsAreThoseOfTheLatticeThatLiesOnTheDots)
	// mostDots: steps of dots to a step of a lattice that took some for lines (TestRowsOfDotsAreFoundBetweenLines)
	mostDots  = 8
	leastDots = 0.1 // of the ridges' unit, strength of such lines (TestRowsOfDotsAreFoundBetweenLines)
)

// least boxes both ways, of a part that is left when lines are taken out (TestALatticeOfEverySecondLineHasThreeBoxes).
const leastLeft = 3

// EverySecond gives the lattices of every second line of a family, from each of two.
func (g *Grown) EverySecond(of Family) (out []*Grown) {
	for phase := range 2 {
		p := float64(phase)
		first := func(k int) int { return int(math.Ceil((float64(k) - p) / 2)) }
		last := func(k int) int { return int(math.Floor((float64(k) - p) / 2)) }
		n := g.bare()
		if of == Upright {
			n.Map = Times(Shift(n.Map, p, 0), 2, 1)
			n.Part.Left, n.Part.Right = first(g.Part.Left), last(g.Part.Right)
		} else {
			n.Map = Times(Shift(n.Map, 0, p), 1, 2)
			n.Part.Bottom, n.Part.Top = first(g.Part.Bottom), last(g.Part.Top)
		}
		if n.Part.Cols() >= leastLeft && n.Part.Rows() >= leastLeft && n.Refit() {
			out = append(out, &n)
		}
	}
	return out
}

// Halfway gives the lattice with a line more halfway between those of a family, grown anew; ok is false if it comes to
// nothing.
func (g *Grown) Halfway(of Family) (n *Grown, ok bool) {
	h := g.bare()
	n = &h
	if of == Upright {
		n.Map = Times(n.Map, 0.5, 1)
		n.Part.Left, n.Part.Right = 2*g.Part.Left, 2*g.Part.Right
	} else {
		n.Map = Times(n.Map, 1, 0.5)
		n.Part.Bottom, n.Part.Top = 2*g.Part.Bottom, 2*g.Part.Top
	}
	return n, n.Refit() && n.Spread()
}

// Halved gives the lattices of every second line both ways, grown anew: lines may be ruled at two minor divisions to a
// box.
func (g *Grown) Halved() (out []*Grown) {
	for phase := range 4 {
		x, y := phase%2, phase/2
		n := g.bare()
		n.Map = Times(Shift(g.Map, float64(x), float64(y)), 2, 2)
		half := func(k, phase int) int { return int(math.Round(float64(k-phase) / 2)) }
		n.Part = Extent{half(g.Part.Left, x), half(g.Part.Right, x), half(g.Part.Bottom, y), half(g.Part.Top, y)}
		if n.Part.Cols() >= leastLeft && n.Part.Rows() >= leastLeft && n.Spread() {
			out = append(out, &n)
		}
	}
	return out
}

// bare is g without what was seen of it.
func (g *Grown) bare() Grown {
	n := *g
	n.Seen, n.RMS = nil, 0
	return n
}

// Divisions gives the lattices that the divisions may have on a display with a dot at every crossing of its minor
// divisions, five to a box, where nothing but the rims and the ticks tells the lines from the rest: 25 places of the
// origin. What was grown on such a display has each third or each seventh row of dots for lines. It is nil when there
// are no such dots. from gives the ridges on which dots are looked at.
func Divisions(grown []*Grown, from Source) (out []*Grown) {
	var base Grown
	most := 0.0
	for _, g := range grown {
		if g.RMS > dotsRMS {
			continue
		}
		d := g.bare()
		d.RMS = g.RMS
		d.From, d.box = from, 0
		if !d.toDots(Upright) || !d.toDots(Level) {
			continue
		}
		d.Map = Times(d.Map, DotsPerBox, DotsPerBox)
		in := func(k int) int { return int(math.Round(float64(k) / DotsPerBox)) }
		d.Part = Extent{in(d.Part.Left), in(d.Part.Right), in(d.Part.Bottom), in(d.Part.Top)}
		// The largest, but one that slipped a dot somewhere has a larger spread.
		worth := float64(d.Part.Cols()*d.Part.Rows()) / (1 + d.RMS*d.RMS/(dotsFit*dotsFit))
		if worth > most && d.Part.Cols() >= 2 && d.Part.Rows() >= 2 {
			base, most = d, worth
		}
	}
	if base.From == nil {
		return nil
	}
	base.Dotted = true
	if wide := base; wide.Spread() {
		base = wide
	}
	for px := range DotsPerBox {
		for py := range DotsPerBox {
			n := base
			n.Seen = nil
			n.Map = Shift(base.Map, float64(px)/DotsPerBox, float64(py)/DotsPerBox)
			out = append(out, &n)
		}
	}
	return out
}

// toDots divides the steps between the lines of a family by the most for which all lines of the finer lattice are
// there, each about as strong as those of the coarse one. It reports whether there were any.
func (g *Grown) toDots(of Family) bool {
	for m := mostDots; m > 1; m-- {
		d := *g
		lo, hi := &d.Part.Left, &d.Part.Right
		if of == Upright {
			d.Map = Times(d.Map, 1/float64(m), 1)
		} else {
			d.Map = Times(d.Map, 1, 1/float64(m))
			lo, hi = &d.Part.Bottom, &d.Part.Top
		}
		*lo, *hi = m**lo, m**hi
		// strength of the lines that lie c steps after those of the coarse lattice
		strength := func(c int) float64 {
			var s []float64
			for k := *lo + c; k <= *hi; k += m {
				s = append(s, d.LineStrength(of, k))
			}
			return raster.Median(s)
		}
		s := strength(0)
		there := s > leastDots
		for c := 1; c < m && there; c++ {
			there = strength(c) > dotsBetween*s
		}
		if there {
			*g = d
			return true
		}
	}
	return false
}
