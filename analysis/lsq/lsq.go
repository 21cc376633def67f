// Package lsq solves dense non-linear least-squares problems, with the covariance of the solution and
// a plain word on how the run ended.
//
// The method is Levenberg's and Marquardt's in the form of J. J. Moré, "The Levenberg-Marquardt
// algorithm: implementation and theory", Lecture Notes in Mathematics 630 (1978): a trust region in
// parameters scaled by the largest column norms of the Jacobian seen, each step from a QR
// factorisation, the normal equations never formed. Two things are added. Near the solution the sum
// of squares is flat to its last digit long before the parameters have settled, so the end of a run is
// polished by Gauss-Newton steps judged by the part of the residual that the parameters can still
// explain. And a run that ends where a parameter has lost all influence is begun again with a smaller
// first step; the lowest sum is kept.
package lsq

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// A Problem gives residuals divided by their standard deviations ("whitened"): only then is
// Result.Cov the covariance of X.
type Problem struct {
	M, N     int                             // residuals, parameters
	Residual func(r, x []float64)            // fills r (M long) at x (N long); must not modify x
	Jacobian func(j *mat.Dense, x []float64) // fills j (M×N); nil means central differences
}

// Settings steers Solve; nil or zero fields mean the defaults.
type Settings struct {
	MaxIterations int     // over all runs; 0 means 1000
	Tolerance     float64 // relative, on the step and the sum of squares; 0 means as far as float64 goes
}

// A Status says how a run ended.
type Status int

const (
	Failed Status = iota // the zero value: residuals are not finite at the start
	Converged
	IterationLimit
	Stalled // no step lowers the sum and the gradient is not small
)

// String gives the status as a word for messages.
func (s Status) String() string {
	switch s {
	case Converged:
		return "converged"
	case IterationLimit:
		return "iteration limit"
	case Stalled:
		return "stalled"
	}
	return "failed"
}

// A Result is the best point found. Every number in it is finite when Status is Converged.
type Result struct {
	X          []float64
	Cov        *mat.SymDense // inverse of JᵀJ at X, not scaled by the residuals; nil if J is rank deficient
	ChiSq      float64       // sum of squared residuals; compare with M - N
	Iterations int           // Jacobians evaluated, over all runs
	Status     Status
}

const (
	// defaultIterations lets the slowest valleys of TestSolveAgreesWithNIST's family (Bennett5 and MGH17
	// from their far starts: about 750 each) come to their end. Nothing changes from 500 to 1e6.
	defaultIterations = 1000

	// boldRadius and carefulRadius are the first trust radii, in scaled parameter lengths, of the two runs. The first
	// is the customary one (Moré 1978, section 7); the other creeps out of starts from which one bold step throws a
	// rate constant to where the model has no slope (BoxBOD in TestSolveAgreesWithNIST, which fails without it). Any
	// two lengths do: for both nothing changes from 0.03 to 1e3.
	boldRadius, carefulRadius = 100.0, 0.3

	// settledRatio is the share of the residual norm that the parameters may still explain in a
	// solution: the relative offset of Bates and Watts, Technometrics 23 (1981) 179, who propose 1e-3.
	// Nothing changes from 1e-7 to 0.4: what has not come to an end explains all of it, what has 1e-8.
	settledRatio = 1e-4

	// eps is the distance from 1 to the next float64 (IEEE 754). Of the sums that it bounds nothing changes from 1e-19
	// to 9e-13.
	eps = 0x1p-52
)

// Solve minimises the sum of squared residuals from the start x0, which is not modified. It panics if
// a length is wrong, and never returns Converged with a value that is not finite.
func Solve(p Problem, x0 []float64, s *Settings) Result {
	if p.M < 1 || p.N < 1 || len(x0) != p.N || p.Residual == nil {
		panic("lsq: a problem needs M, N > 0, a Residual and a start of N parameters")
	}
	limit, tol := defaultIterations, 0.0
	if s != nil {
		if s.MaxIterations > 0 {
			limit = s.MaxIterations
		}
		if s.Tolerance > 0 {
			tol = s.Tolerance
		}
	}
	best := Result{X: append([]float64(nil), x0...), ChiSq: math.NaN()}
	used := 0
	for i, radius := range []float64{boldRadius, carefulRadius} {
		if i > 0 && used >= limit {
			break
		}
		r := newRun(&p, x0, tol, limit-used)
		res := r.solve(radius)
		used += res.Iterations
		if i == 0 || better(&res, &best) {
			best = res
		}
		if best.Status == Failed || best.Status == Converged && best.Cov != nil {
			break
		}
	}
	best.Iterations = used
	return best
}

// better says whether a later run's result a is to be preferred to b: a lower sum, or the same sum
// with a better ending.
func better(a, b *Result) bool {
	// Relative: sums closer than this are one minimum. Minima of one problem differ by far more, and runs to one of them
	// by rounding: nothing changes from 1e-12 to 1e-6.
	const same = 1e-9
	switch {
	case a.Status == Failed:
		return false
	case a.ChiSq < b.ChiSq*(1-same):
		return true
	case a.ChiSq > b.ChiSq*(1+same):
		return false
	}
	return a.Status == Converged && a.Cov != nil && (b.Status != Converged || b.Cov == nil)
}

// A run is one descent from one start.
type run struct {
	p        *Problem
	tol      float64
	limit    int // Jacobians
	count    int
	x        []float64
	r        []float64
	norm     float64 // of r
	f        factors // of the Jacobian at x, if factored
	factored bool
	d        []float64
	ref      []float64 // largest |x| seen, a parameter's own scale for differences
	xt, rt   []float64 // trial
	jac      *mat.Dense
}

func newRun(p *Problem, x0 []float64, tol float64, limit int) *run {
	m, n := p.M, p.N
	singular := eps * float64(m+n)
	if p.Jacobian == nil {
		singular = math.Max(singular, differenceRounding)
	}
	return &run{p: p, tol: tol, limit: limit,
		x: append([]float64(nil), x0...), r: make([]float64, m),
		d: make([]float64, n), ref: make([]float64, n), xt: make([]float64, n), rt: make([]float64, m),
		jac: mat.NewDense(m, n, nil), f: newFactors(m, n, singular)}
}

// residual fills r at x and gives its norm, NaN or Inf if a residual is not finite. The output is
// poisoned first, so that a residual left unset is noticed.
func (g *run) residual(r, x []float64) float64 {
	for i := range r {
		r[i] = math.NaN()
	}
	g.p.Residual(r, x)
	return norm2(r)
}

// solve runs from the start with the first trust radius given in scaled lengths.
func (g *run) solve(radius float64) Result {
	g.norm = g.residual(g.r, g.x)
	if !finite(g.norm) || !allFinite(g.x) || !g.factor(false) {
		return Result{X: g.x, ChiSq: math.NaN(), Iterations: g.count}
	}
	status := g.descend(radius)
	if g.norm > 0 {
		g.polish()
	}
	return g.result(status)
}

// factor evaluates the Jacobian at x, factors it and widens the scales; false if it is not finite.
func (g *run) factor(accurate bool) bool {
	g.count++
	for j, v := range g.x {
		g.ref[j] = math.Max(g.ref[j], math.Abs(v))
	}
	g.jacobian(accurate)
	if g.factored = g.f.set(g.jac, g.r); !g.factored {
		return false
	}
	for j, c := range g.f.col {
		g.d[j] = math.Max(g.d[j], c)
	}
	return true
}

// descend takes trust-region steps until the sum of squares is as low as it goes.
func (g *run) descend(radius float64) Status {
	n := g.p.N
	p := make([]float64, n)
	scale := g.scaledNorm(g.x)
	delta := radius * scale
	if delta == 0 {
		delta = radius
	}
	lambda := 0.0
	for first := true; ; first = false {
		if g.norm == 0 || g.f.gradient() <= eps {
			return Converged
		}
		for tries := 0; ; {
			lambda = g.f.step(p, g.d, delta, lambda)
			length := g.scaledNorm(p)
			if tries++; tries > 300 || length == 0 || delta == 0 {
				return Stalled
			}
			if !finite(length) {
				delta, lambda = delta/10, 0
				continue
			}
			if first {
				delta = math.Min(delta, length)
			}
			for j := range p {
				g.xt[j] = g.x[j] + p[j]
			}
			trial := g.residual(g.rt, g.xt)

			explained := g.f.image(p) / g.norm // ‖Jp‖/‖r‖
			damping := math.Sqrt(lambda) * length / g.norm
			predicted := explained*explained + 2*damping*damping
			slope := -(explained*explained + damping*damping)
			actual := -1.0
			if finite(trial) && trial < 10*g.norm {
				actual = 1 - (trial/g.norm)*(trial/g.norm)
			}
			ratio := 0.0
			if predicted > 0 {
				ratio = actual / predicted
			}
			switch {
			case ratio <= 0.25:
				cut := 0.5
				if actual < 0 {
					cut = 0.5 * slope / (slope + 0.5*actual)
				}
				if !finite(trial) || trial >= 10*g.norm || cut < 0.1 {
					cut = 0.1
				}
				delta = cut * math.Min(delta, length/0.1)
				lambda /= cut
			case ratio >= 0.75 || lambda == 0:
				delta = 2 * length
				lambda /= 2
			}
			tiny := math.Max(g.tol, 4*eps)
			done := predicted <= tiny && math.Abs(actual) <= tiny && ratio <= 2 ||
				delta <= math.Max(g.tol, eps)*g.scaledNorm(g.x)
			if ratio >= 1e-4 && actual > 0 {
				copy(g.x, g.xt)
				g.r, g.rt = g.rt, g.r
				g.norm = trial
				if !done && g.count >= g.limit {
					return IterationLimit
				}
				if !g.factor(false) {
					return Stalled
				}
				if done {
					return Converged
				}
				break
			}
			if done {
				return Converged
			}
		}
	}
}

// polish takes Gauss-Newton steps as long as they lower ‖Q₁ᵀr‖, the part of the residual that the
// parameters can still explain; the sum of squares cannot tell any more.
func (g *run) polish() {
	const (
		// Steps: a large residual makes the approach linear, halving or worse each time. Nothing changes from 15 to
		// 1e5, for two misses end it; of 8 TestSolveAgreesWithNIST would notice.
		patience = 60
		// Relative, by which the norm may rise: rounding of the sum and of the model. Nothing changes from 1e-12 to
		// 4e-6; of 5e-13 TestSolveAgreesWithNIST would notice.
		slack = 1e-9
	)
	if !g.factor(true) {
		g.factor(false)
		return
	}
	n := g.p.N
	p := make([]float64, n)
	bestX := append([]float64(nil), g.x...)
	bestR := append([]float64(nil), g.r...)
	start, best := g.norm, g.f.explained()
	misses := 0
	for i := 0; i < patience && misses < 2; i++ {
		if !g.f.newton(p) {
			break
		}
		for j := range p {
			g.xt[j] = g.x[j] + p[j]
		}
		trial := g.residual(g.rt, g.xt)
		if !(trial <= start*(1+slack)) {
			break
		}
		copy(g.x, g.xt)
		g.r, g.rt = g.rt, g.r
		g.norm = trial
		if !g.factor(true) {
			break
		}
		if e := g.f.explained(); e < best {
			if e > 0.9*best {
				misses++
			}
			best = e
			copy(bestX, g.x)
			copy(bestR, g.r)
		} else {
			misses++
		}
		if small(p, g.x, g.tol) {
			break
		}
	}
	copy(g.x, bestX)
	copy(g.r, bestR)
	g.norm = norm2(g.r)
	g.count--
	if !g.factor(true) {
		g.factor(false)
	}
}

// small says whether the step p is below tol of every parameter.
func small(p, x []float64, tol float64) bool {
	for j := range p {
		if math.Abs(p[j]) > math.Max(tol, eps/2)*math.Abs(x[j]) {
			return false
		}
	}
	return true
}

// result states what was reached. A run that ended for want of progress counts as converged only if
// what the parameters can still explain is small beside what they cannot, or the residual is rounding.
func (g *run) result(status Status) Result {
	res := Result{X: g.x, ChiSq: g.norm * g.norm, Iterations: g.count, Status: status}
	if !allFinite(g.x) || !finite(res.ChiSq) || !g.factored {
		res.Status = Stalled
		return res
	}
	res.Cov = g.f.covariance()
	if status != IterationLimit {
		res.Status = Stalled
		if g.settled() {
			res.Status = Converged
		}
	}
	return res
}

// settled is the test of convergence: the gradient is small against the residual, or the remaining
// Gauss-Newton step is small against the parameters.
func (g *run) settled() bool {
	if g.norm == 0 || g.f.explained() <= settledRatio*g.norm || g.f.gradient() <= settledRatio*1e-2 {
		return true
	}
	p := make([]float64, g.p.N)
	return g.f.newton(p) && g.scaledNorm(p) <= 1e-10*g.scaledNorm(g.x)
}

func (g *run) scaledNorm(x []float64) float64 {
	s := 0.0
	for j, v := range x {
		s = math.Hypot(s, g.d[j]*v)
	}
	return s
}

// norm2 is the Euclidean norm, scaled only where squares would leave the range of float64.
func norm2(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	if s > 1e-280 && s < 1e280 || math.IsNaN(s) {
		return math.Sqrt(s)
	}
	big := 0.0
	for _, v := range x {
		big = math.Max(big, math.Abs(v))
	}
	if big == 0 || math.IsInf(big, 0) {
		return big
	}
	s = 0
	for _, v := range x {
		s += (v / big) * (v / big)
	}
	return big * math.Sqrt(s)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func allFinite(x []float64) bool {
	for _, v := range x {
		if !finite(v) {
			return false
		}
	}
	return true
}
