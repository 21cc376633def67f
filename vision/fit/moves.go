package fit

// What the uncertainty of the fit does to places of the display.

import (
	"cmp"
	"math"
	"slices"
	"sort"

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
	values, turn := eigen(symmetric(&gram))
	var moves mat.Dense
	moves.Mul(&all, turn)
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
	values, root := eigen(unit)
	for e, v := range values {
		if math.IsNaN(v) {
			return nil, false
		}
		for a := range n {
			root.Set(a, e, root.At(a, e)*scale[a]*math.Sqrt(max(v, 0)))
		}
	}
	return root, true
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

// eigen gives the eigenvalues of a symmetric matrix, the least first, and the eigenvectors as columns, each with its
// largest component positive, so that the same error has the same sign for the places of another trace. Pairs of rows
// and columns are turned until nothing is left beside the diagonal (Jacobi; Golub, Van Loan, Matrix Computations, 4th
// ed., 8.5). For as few parameters as a frame has it is as good as any way, and a tenth of LAPACK's in size.
func eigen(s *mat.SymDense) ([]float64, *mat.Dense) {
	const sweeps = 60 // about six are taken; the bound is for NaN
	n := s.SymmetricDim()
	a, v := mat.NewDense(n, n, nil), mat.NewDense(n, n, nil)
	a.Copy(s)
	for i := range n {
		v.Set(i, i, 1)
	}
	for turned, k := true, 0; turned && k < sweeps; k++ {
		turned = false
		for p := range n {
			for q := p + 1; q < n; q++ {
				apq, app, aqq := a.At(p, q), a.At(p, p), a.At(q, q)
				if !(math.Abs(apq) > 1e-16*math.Sqrt(math.Abs(app*aqq))) || apq == 0 {
					continue
				}
				turned = true
				theta := (aqq - app) / (2 * apq)
				t := math.Copysign(1, theta) / (math.Abs(theta) + math.Hypot(1, theta))
				cos := 1 / math.Hypot(1, t)
				turn := func(m *mat.Dense, of func(k, c int) (int, int)) {
					for k := range n {
						pi, pj := of(k, p)
						qi, qj := of(k, q)
						x, y := m.At(pi, pj), m.At(qi, qj)
						m.Set(pi, pj, cos*(x-t*y))
						m.Set(qi, qj, cos*(y+t*x))
					}
				}
				turn(a, func(k, c int) (int, int) { return k, c })
				turn(a, func(k, c int) (int, int) { return c, k })
				turn(v, func(k, c int) (int, int) { return k, c })
				a.Set(p, q, 0)
				a.Set(q, p, 0)
			}
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return a.At(order[i], order[i]) < a.At(order[j], order[j]) })
	values, vectors := make([]float64, n), mat.NewDense(n, n, nil)
	for k, i := range order {
		values[k] = a.At(i, i)
		col := mat.Col(nil, i, v)
		if large := slices.MaxFunc(col, func(x, y float64) int { return cmp.Compare(math.Abs(x), math.Abs(y)) }); large < 0 {
			for j := range col {
				col[j] = -col[j]
			}
		}
		vectors.SetCol(k, col)
	}
	return values, vectors
}
