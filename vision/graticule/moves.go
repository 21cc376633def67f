package graticule

// What the uncertainty of the fit does to places of the display.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
)

// A Move tells how far one independent error of the fit, at one standard deviation, moves each of a
// list of places of the display, in boxes.
type Move struct{ DX, DY []float64 }

// Moves splits the covariance of the fit into independent errors and gives what each does to the
// places bs: their sum of squares is the variance of the places, and all places move together.
// It is nil when Cov is nil.
//
// The errors are the eigenvectors of the covariance scaled to a unit diagonal. A place of the photo is
// held, and its box moves as the parameters move by one such error.
func (g *Graticule) Moves(bs []geom.Box) []Move {
	if g.Cov == nil {
		return nil
	}
	var scale [parameters]float64
	c := mat.NewSymDense(parameters, nil)
	for a := range parameters {
		scale[a] = math.Sqrt(g.Cov.At(a, a))
	}
	for a := range parameters {
		for b := a; b < parameters; b++ {
			if scale[a] > 0 && scale[b] > 0 {
				c.SetSym(a, b, g.Cov.At(a, b)/(scale[a]*scale[b]))
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(c, true) {
		return nil
	}
	var vec mat.Dense
	eig.VectorsTo(&vec)
	seen := make([]geom.Pixel, len(bs))
	for i, b := range bs {
		seen[i] = g.Pixel(b)
	}
	var out []Move
	for e, v := range eig.Values(nil) {
		if v <= 1e-14 { // rounding: the errors left out are under 1e-7 of a parameter's
			continue
		}
		up, down := model{g.H, g.Lens}, model{g.H, g.Lens}
		p := up.params()
		q := p
		for a := range parameters {
			d := math.Sqrt(v) * vec.At(a, e) * scale[a]
			p[a] += d
			q[a] -= d
		}
		up.set(p)
		down.set(q)
		m := Move{make([]float64, len(bs)), make([]float64, len(bs))}
		for i, s := range seen {
			a, b := up.box(s), down.box(s)
			m.DX[i], m.DY[i] = (a.X-b.X)/2, (a.Y-b.Y)/2
		}
		out = append(out, m)
	}
	return out
}
