package lsq

// The linear algebra of one iteration: J = QR by Householder reflections, and the step that minimises
// ‖r + Jp‖ within a trust radius (Moré 1978, sections 3 to 5; Golub and Van Loan, Matrix
// Computations, section 5.2). Only R and the first N components of Qᵀr are kept.

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// factors holds J = QR for an M×N Jacobian J with unit columns: J·diag(1/col).
type factors struct {
	m, n int
	col  []float64   // column norms of J, 0 of a parameter without influence
	a    [][]float64 // columns; on and above the diagonal R, below it what is left of the reflections
	b    []float64   // Qᵀr
	aug  [][]float64 // 2N×N workspace: R above √λ·D
	rhs  []float64
	v, w []float64
	// singular is the share of the largest singular value below which one is taken for zero: the
	// Jacobian's rounding.
	singular float64
}

func newFactors(m, n int, singular float64) factors {
	rows := max(m, n)
	f := factors{m: m, n: n, singular: singular, col: make([]float64, n), b: make([]float64, rows),
		a: make([][]float64, n), aug: make([][]float64, n), rhs: make([]float64, 2*n),
		v: make([]float64, n), w: make([]float64, n)}
	for j := range f.a {
		f.a[j] = make([]float64, rows)
		f.aug[j] = make([]float64, 2*n)
	}
	return f
}

// set factors jac and applies Qᵀ to r; false if jac is not finite.
func (f *factors) set(jac *mat.Dense, r []float64) bool {
	raw := jac.RawMatrix()
	for j, a := range f.a {
		for i := range f.m {
			a[i] = raw.Data[i*raw.Stride+j]
		}
		clear(a[f.m:])
		f.col[j] = norm2(a)
		if !finite(f.col[j]) {
			return false
		}
		if f.col[j] > 0 {
			for i := range a {
				a[i] /= f.col[j]
			}
		}
	}
	copy(f.b, r)
	clear(f.b[f.m:])
	householder(f.a, f.b)
	return true
}

// householder reduces the columns a to upper triangular form and applies the same reflections to b.
func householder(a [][]float64, b []float64) {
	for k := range a {
		c := a[k][k:]
		s := norm2(c)
		if s < 1e-150 { // its square would be lost
			clear(c)
			continue
		}
		if c[0] > 0 {
			s = -s
		}
		// The reflection I - v vᵀ/(s·v₀) with v = c - s·e₀ maps c to s·e₀.
		c[0] -= s
		h := -1 / (s * c[0])
		for j := k + 1; j < len(a); j++ {
			reflect(a[j][k:], c, h)
		}
		reflect(b[k:], c, h)
		c[0] = s
	}
}

// reflect takes h·(v·x)·v from x.
func reflect(x, v []float64, h float64) {
	dot := 0.0
	for i, e := range v {
		dot += e * x[i]
	}
	dot *= h
	for i, e := range v {
		x[i] -= dot * e
	}
}

// gradient is the largest cosine between the residual and a column of J, 0 at a stationary point.
func (f *factors) gradient() float64 {
	nr := norm2(f.b)
	if nr == 0 {
		return 0
	}
	g := 0.0
	for j, a := range f.a {
		s := 0.0
		for i := 0; i <= j; i++ {
			s += a[i] * f.b[i]
		}
		g = math.Max(g, math.Abs(s)/nr)
	}
	return g
}

// explained is ‖Q₁ᵀr‖, the part of the residual in the span of J's columns.
func (f *factors) explained() float64 { return norm2(f.b[:f.n]) }

// image is ‖Jp‖.
func (f *factors) image(p []float64) float64 {
	for i := range f.n {
		s := 0.0
		for j := i; j < f.n; j++ {
			s += f.a[j][i] * f.col[j] * p[j]
		}
		f.v[i] = s
	}
	return norm2(f.v)
}

// newton fills p with the Gauss-Newton step; false if R is singular to rounding.
func (f *factors) newton(p []float64) bool {
	for j := range f.n {
		if math.Abs(f.a[j][j]) <= f.singular {
			return false
		}
	}
	for i := range f.n {
		p[i] = -f.b[i]
	}
	backsolve(f.a, p)
	for j := range p {
		p[j] /= f.col[j]
	}
	return allFinite(p)
}

// backsolve overwrites x with the solution of Rx = x.
func backsolve(r [][]float64, x []float64) {
	for i := len(x) - 1; i >= 0; i-- {
		x[i] /= r[i][i]
		for k := range i {
			x[k] -= r[i][k] * x[i]
		}
	}
}

// step fills p with the minimiser of ‖r + Jp‖ under ‖Dp‖ ≤ delta and gives its λ: zero if the
// Gauss-Newton step fits within a tenth more than delta, else by the iteration of Moré 1978,
// equation 5.5 onwards, which needs two or three rounds.
func (f *factors) step(p, d []float64, delta, lambda float64) float64 {
	const slack = 0.1 // Moré's; nothing changes from 0.01 to 0.1, of 0.2 TestSolveAgreesWithNIST would notice
	scale := func() float64 {
		s := 0.0
		for j := range p {
			s = math.Hypot(s, d[j]*p[j])
		}
		return s
	}
	low := 0.0
	if f.newton(p) {
		length := scale()
		if length <= (1+slack)*delta {
			return 0
		}
		if s := f.slope(f.a, p, d, length); s > 0 {
			low = (length - delta) / (s * delta)
		}
	}
	// ‖D⁻¹Jᵀr‖/delta bounds λ from above.
	up := 0.0
	for j, a := range f.a {
		s := 0.0
		for i := 0; i <= j; i++ {
			s += a[i] * f.b[i]
		}
		if d[j] > 0 {
			up = math.Hypot(up, s*f.col[j]/d[j])
		}
	}
	up /= delta
	if !(up > 0) {
		clear(p)
		return 0
	}
	if !finite(up) {
		up = math.MaxFloat64
	}
	lambda = math.Min(math.Max(lambda, low), up)
	if lambda == 0 {
		lambda = math.Max(0.001*up, math.SmallestNonzeroFloat64)
	}
	for range 12 {
		f.damped(p, d, lambda)
		length := scale()
		over := length - delta
		if math.Abs(over) <= slack*delta || low == 0 && over < 0 && lambda <= 1e-12*up {
			break
		}
		if over > 0 {
			low = math.Max(low, lambda)
		} else {
			up = math.Min(up, lambda)
		}
		s := f.slope(f.aug, p, d, length)
		next := lambda + over/(s*delta)
		if !(next > low && next < up) {
			next = math.Max(0.001*up, math.Sqrt(low*up))
		}
		lambda = next
	}
	return lambda
}

// damped fills p with the minimiser of ‖r + Jp‖² + λ‖Dp‖², leaving the triangle in aug.
func (f *factors) damped(p, d []float64, lambda float64) {
	root := math.Sqrt(lambda)
	for j, c := range f.aug {
		clear(c)
		copy(c[:j+1], f.a[j][:j+1])
		// In the unit-column parameters col·p the weight of D is d/col.
		if f.col[j] > 0 {
			c[f.n+j] = root * d[j] / f.col[j]
		} else {
			c[f.n+j] = 1 // a parameter without influence stays where it is
		}
	}
	clear(f.rhs)
	copy(f.rhs, f.b[:f.n])
	householder(f.aug, f.rhs)
	for i := range p {
		p[i] = -f.rhs[i]
	}
	backsolve(f.aug, p)
	for j := range p {
		if f.col[j] > 0 {
			p[j] /= f.col[j]
		} else {
			p[j] = 0
		}
	}
}

// slope is ‖S⁻ᵀD²p/‖Dp‖‖² with S the triangle r unscaled: minus the derivative of ln‖Dp‖ by λ.
func (f *factors) slope(r [][]float64, p, d []float64, length float64) float64 {
	w := f.w
	for j := range w {
		w[j] = 0
		if f.col[j] > 0 {
			w[j] = d[j] * (d[j] * p[j] / length) / f.col[j]
		}
	}
	s := 0.0
	for i := range w {
		for k := range i {
			w[i] -= r[i][k] * w[k]
		}
		w[i] /= r[i][i]
		s += w[i] * w[i]
	}
	return s
}

// covariance is (JᵀJ)⁻¹, nil if J with unit columns is rank deficient to the rounding of its size.
func (f *factors) covariance() *mat.SymDense {
	n := f.n
	if f.m < n {
		return nil
	}
	r := make([][]float64, n) // columns of R
	for j := range n {
		if f.col[j] == 0 {
			return nil
		}
		r[j] = make([]float64, n)
		for i := 0; i <= j; i++ {
			r[j][i] = f.a[j][i]
		}
	}
	if least, greatest := singularValues(r); !(least > f.singular*greatest) {
		return nil
	}
	inv := make([][]float64, n) // columns of R⁻¹
	for j := range inv {
		inv[j] = make([]float64, n)
		inv[j][j] = 1
		backsolve(f.a, inv[j])
	}
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			s := 0.0
			for k := j; k < n; k++ {
				s += inv[k][i] * inv[k][j]
			}
			s /= f.col[i] * f.col[j]
			if !finite(s) {
				return nil
			}
			cov.SetSym(i, j, s)
		}
	}
	return cov
}

// singularValues gives the least and the greatest singular value of a matrix of columns, which it changes: pairs of
// columns are turned until all are orthogonal, and their lengths are the values (one-sided Jacobi; Golub, Van Loan,
// Matrix Computations, 4th ed., 8.6.3). Of matrices as small as a model has parameters nothing is as accurate.
func singularValues(columns [][]float64) (least, greatest float64) {
	const sweeps = 60 // about six are taken; the bound is for NaN
	const small = 1e-15
	for turned, k := true, 0; turned && k < sweeps; k++ {
		turned = false
		for i := range columns {
			for j := range i {
				a, b := columns[j], columns[i]
				var aa, bb, ab float64
				for k := range a {
					aa, bb, ab = aa+a[k]*a[k], bb+b[k]*b[k], ab+a[k]*b[k]
				}
				if !(math.Abs(ab) > small*math.Sqrt(aa*bb)) {
					continue
				}
				turned = true
				zeta := (bb - aa) / (2 * ab)
				t := math.Copysign(1, zeta) / (math.Abs(zeta) + math.Hypot(1, zeta))
				c := 1 / math.Hypot(1, t)
				for k := range a {
					a[k], b[k] = c*(a[k]-t*b[k]), c*(b[k]+t*a[k])
				}
			}
		}
	}
	least = math.Inf(1)
	for _, c := range columns {
		long := 0.0
		for _, v := range c {
			long = math.Hypot(long, v)
		}
		least, greatest = min(least, long), max(greatest, long)
	}
	return least, greatest
}
