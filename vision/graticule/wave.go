package graticule

// Are lines of two colours a trace's edges?
//
// The flanks of a coloured wave and the level lines of the graticule make a lattice. On the picture without what is
// coloured, at places where its light is the photo's own, the lines of a graticule are still there, and flanks are not.

import (
	"quadrille/vision/fit"
	"quadrille/vision/geom"
	"quadrille/vision/scene"
)

const (
	// Of the pieces of a family's lines that lie clear of a trace, enoughClear or more, leastClear are seen on a true
	// graticule: 0.8 to 1 on real photos, and 0.1 to 0.35 of lines that are a wave's flanks
	// (TestALatticeMustBearThatWhatIsColouredIsLeftOut).
	enoughClear, leastClear = 5, 0.45
)

// bears reports whether enough of the lines of g, whose families differ in colour, are there on the colourless picture,
// at places where its light is the photo's own; it notes on v when they are not.
func (s *search) bears(g *Graticule, v *verdict) bool {
	kept := s.scene.Kept()
	if kept == nil {
		return false
	}
	xs, ys := fit.Rulings(g.Frame, g.Centred)
	var asked, seen [2]int
	obs, _ := fit.Observe(s.scene.Picture(scene.Colourless, scene.Fine), &v.fit.Model, xs, ys, v.sign, fit.MostRows)
	clearOf := func(at func(t float64) geom.Box) bool {
		for t := 0.1; t < 1; t += 0.2 {
			if !kept.Own(v.fit.Pixel(at(t))) {
				return false
			}
		}
		return true
	}
	up := func(k, c int) bool {
		return clearOf(func(t float64) geom.Box { return geom.Box{X: xs[k], Y: ys[c] + t} })
	}
	across := func(k, c int) bool {
		return clearOf(func(t float64) geom.Box { return geom.Box{X: xs[c] + t, Y: ys[k]} })
	}
	for k := range xs {
		for c := range len(ys) - 1 {
			if up(k, c) {
				asked[0]++
			}
		}
	}
	for k := range ys {
		for c := range len(xs) - 1 {
			if across(k, c) {
				asked[1]++
			}
		}
	}
	for _, o := range obs {
		if o.Of == 0 && up(o.Line, o.Cell) || o.Of == 1 && across(o.Line, o.Cell) {
			seen[o.Of]++
		}
	}
	for of := range asked {
		if asked[of] < enoughClear || float64(seen[of]) < leastClear*float64(asked[of]) {
			v.wave = true
			return false
		}
	}
	return true
}
