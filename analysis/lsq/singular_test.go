package lsq

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// The singular values are those of LAPACK's dgesvd, of matrices of full rank and not, well and badly scaled.
func TestSingularValues(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	for n := 1; n <= 9; n++ {
		for _, spread := range []float64{1, 1e-3, 1e-7, 1e-13, 0} { // by which the last column is off the one before
			a := mat.NewDense(n, n, nil)
			columns := make([][]float64, n)
			for j := range n {
				columns[j] = make([]float64, n)
				for i := 0; i <= j; i++ {
					v := random.NormFloat64()
					if j == n-1 && j > 0 {
						v = columns[j-1][i] + spread*v
					}
					columns[j][i] = v
					a.Set(i, j, v)
				}
			}
			var svd mat.SVD
			if !svd.Factorize(a, mat.SVDNone) {
				t.Fatal("no singular values")
			}
			want := svd.Values(nil)
			least, greatest := singularValues(columns)
			if tiny := 4e-15 * want[0]; math.Abs(greatest-want[0]) > tiny || math.Abs(least-want[n-1]) > tiny {
				t.Errorf("n = %d, off by %g: %g to %g, want %g to %g", n, spread, least, greatest, want[n-1], want[0])
			}
		}
	}
	if least, greatest := singularValues([][]float64{{math.NaN(), 1}, {0, 1}}); least > 1e-12*greatest {
		t.Errorf("with NaN %g to %g", least, greatest)
	}
}
