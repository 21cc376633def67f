package fit

// What the uncertainty of the fit does to places of the display.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
)

// A Move tells how far one independent error of the fit, at one standard deviation, moves each of a
// list of places of the display, in boxes.
type Move struct{ DX, DY []float64 }

// Moves splits cov, the covariance of the parameters, into independent errors and gives what each does to the
// places bs: their sum of squares is the variance of the places, and all places move together.
// It is nil when cov is nil.
//
// A place of the photo is held, and its box moves with the parameters. The errors are the principal
// components of the moves of all places, largest first, so that few of them say nearly all.
func (m *Model) Moves(cov *mat.SymDense, bs []geom.Box) []Move {
	if cov == nil || len(bs) == 0 {
		return nil
	}
	root, ok := rootOf(cov)
	if !ok {
		return nil
	}
	slopes := mat.NewDense(2*len(bs), Parameters, nil)
	for i, b := range bs {
		dx, dy := m.slopes(m.Pixel(b))
		slopes.SetRow(2*i, dx[:])
		slopes.SetRow(2*i+1, dy[:])
	}
	var all, gram mat.Dense
	all.Mul(slopes, root)
	gram.Mul(all.T(), &all)
	var eig mat.EigenSym
	if !eig.Factorize(symmetric(&gram), true) {
		return nil
	}
	var turn, moves mat.Dense
	eig.VectorsTo(&turn)
	moves.Mul(&all, &turn)
	values := eig.Values(nil)
	total := 0.0
	for _, v := range values {
		total += max(v, 0)
	}
	// What is left out is under a ten millionth of all variance together
	// (nothing changes from 5e-8 to 2e-7, TestPlacesAreOffByWhatTheCovarianceSays).
	const leftOut = 1e-7
	var out []Move
	for e := len(values) - 1; e >= 0 && total > 0 && values[e] > leftOut*total/Parameters; e-- {
		v := Move{make([]float64, len(bs)), make([]float64, len(bs))}
		for i := range bs {
			v.DX[i], v.DY[i] = moves.At(2*i, e), moves.At(2*i+1, e)
		}
		out = append(out, v)
	}
	return out
}

// rootOf gives a matrix whose product with its transpose is c, a covariance: its eigenvectors, scaled.
// They are taken of c scaled to a unit diagonal, for parameters differ by many orders of magnitude;
// some may have no variance.
func rootOf(c *mat.SymDense) (*mat.Dense, bool) {
	n := c.SymmetricDim()
	scale := make([]float64, n)
	for i := range scale {
		scale[i] = math.Sqrt(max(c.At(i, i), 0))
	}
	unit := mat.NewSymDense(n, nil)
	for a := range n {
		for b := a; b < n; b++ {
			if scale[a] > 0 && scale[b] > 0 {
				unit.SetSym(a, b, c.At(a, b)/(scale[a]*scale[b]))
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(unit, true) {
		return nil, false
	}
	var root mat.Dense
	eig.VectorsTo(&root)
	for e, v := range eig.Values(nil) {
		for a := range n {
			root.Set(a, e, root.At(a, e)*scale[a]*math.Sqrt(max(v, 0)))
		}
	}
	return &root, true
}

// symmetric copies a matrix that is symmetric but for rounding.
func symmetric(d *mat.Dense) *mat.SymDense {
	n, _ := d.Dims()
	s := mat.NewSymDense(n, nil)
	for a := range n {
		for b := a; b < n; b++ {
			s.SetSym(a, b, (d.At(a, b)+d.At(b, a))/2)
		}
	}
	return s
}
