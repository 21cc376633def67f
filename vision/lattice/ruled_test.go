package lattice

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// A ruling tells how high the ridge of a line is, by its family, at the place off boxes beside line k and t boxes along
// the lines of its family.
type ruling func(of Family, k int, off, t float64) float64

// lines are ridges of full height on all lines of x, of height outside on those beyond.
func lines(x Extent, outside float64) ruling {
	return func(of Family, k int, off, t float64) float64 {
		first, last, from, to := x.Lines(of)
		v := math.Exp(-off * off / (2 * 0.03 * 0.03))
		if k < first || k > last || t < float64(from) || t > float64(to) {
			return outside * v
		}
		return v
	}
}

// ruled gives ridges of w×h samples on which the lattice m has the ruling.
func ruled(w, h int, m Map, of ruling) *scene.Ridges {
	r := &scene.Ridges{Scale: 1, W: w, H: h, Upright: raster.New(w, h), Level: raster.New(h, w)}
	for y := range h {
		for x := range w {
			b := m.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			i, j := math.Round(b.X), math.Round(b.Y)
			r.Upright.Row(y)[x] = float32(of(Upright, int(i), b.X-i, b.Y))
			r.Level.Row(x)[y] = float32(of(Level, int(j), b.Y-j, b.X))
		}
	}
	return r
}

// square is a lattice of square boxes of so many pixels with its origin at (x, y).
func square(box, x, y float64) Map { return Map{box, 0, x, 0, -box, y, 0, 0, 1} }

// from gives the same ridges for boxes of any size.
func from(r *scene.Ridges) Source { return func(float64) *scene.Ridges { return r } }
