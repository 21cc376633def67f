// Package lsq solves dense non-linear least-squares problems, with the covariance of the solution and
// a plain word on how the run ended.
package lsq

import "gonum.org/v1/gonum/mat"

// A Problem gives residuals divided by their standard deviations ("whitened"): only then is
// Result.Cov the covariance of X.
type Problem struct {
	M, N     int                             // residuals, parameters
	Residual func(r, x []float64)            // fills r (M long) at x (N long); must not modify x
	Jacobian func(j *mat.Dense, x []float64) // fills j (M×N); nil means central differences
}

// Settings steers Solve; nil or zero fields mean the defaults.
type Settings struct {
	MaxIterations int     // 0 means 500
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

// A Result is the best point found.
type Result struct {
	X          []float64
	Cov        *mat.SymDense // inverse of JᵀJ at X, not scaled by the residuals; nil if J is rank deficient
	ChiSq      float64       // sum of squared residuals; compare with M - N
	Iterations int
	Status     Status
}

// Solve minimises the sum of squared residuals from the start x0, which is not modified.
func Solve(p Problem, x0 []float64, s *Settings) Result { return Result{} }
