package analysis

// Whether the decays of one record have one τ: χ² of their own values about the average, with the covariance of noise
// and effects, on n - 1 degrees of freedom; of ln τ, since u grows with τ. If they differ more than one in five by
// chance, the noise of each and of the average is widened by the Birge ratio √(χ²/(n-1)) (Birge, Phys. Rev. 40 (1932)
// 207); the reader is told from chanceLimit on.

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// An alikeness says how alike the n decays of a record are; n is 0 if there are none to compare.
type alikeness struct {
	n       int
	chi2, p float64
	birge   float64 // at least 1
}

// chanceLimit is the probability below which a difference is not put down to chance: that of |zeta| > 2
// (TestOddReadingsAreThoseBeyondChance).
const chanceLimit = 0.0455

// widening is the probability of a χ² below which the average is widened. On simulated photos of driven decays 12 % lie
// below chanceLimit: the display's pixels make edges differ that look alike. Widened from there on, U holds 92 % of
// them, from here on 93 %, and of decays that differ by noise alone 95 to 96 % (TestWhichAverageIsWidened).
const widening = 0.2

// alikenessOf compares the numbers x, whose covariances are given.
func alikenessOf(x []float64, covariance func(i, j int) float64) alikeness {
	a := alikeness{birge: 1}
	if len(x) < 2 {
		return a
	}
	logs := make([]float64, len(x))
	for i := range x {
		logs[i] = math.Log(x[i])
	}
	chi2, ok := chiSquare(logs, func(i, j int) float64 { return covariance(i, j) / (x[i] * x[j]) })
	if !ok {
		return a
	}
	dof := float64(len(x) - 1)
	a.n, a.chi2, a.p = len(x), chi2, distuv.ChiSquared{K: dof}.Survival(chi2)
	if a.p < widening {
		a.birge = math.Max(1, math.Sqrt(chi2/dof))
	}
	return a
}

// chiSquare of values about their best common value, with their covariances: that of the differences from the
// first. ok is false if the differences have no proper covariance.
func chiSquare(x []float64, covariance func(i, j int) float64) (chi2 float64, ok bool) {
	n := len(x) - 1
	difference := mat.NewVecDense(n, nil)
	m := mat.NewSymDense(n, nil)
	for i := range n {
		difference.SetVec(i, x[i+1]-x[0])
		for j := i; j < n; j++ {
			m.SetSym(i, j, covariance(i+1, j+1)-covariance(i+1, 0)-covariance(0, j+1)+covariance(0, 0))
		}
	}
	var chol mat.Cholesky
	var solved mat.VecDense
	if !chol.Factorize(m) || chol.SolveVecTo(&solved, difference) != nil {
		return 0, false
	}
	return mat.Dot(difference, &solved), true
}
