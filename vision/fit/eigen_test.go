package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// Eigenvalues are those of LAPACK's dsyev, and the vectors make the matrix again, of full rank and not.
func TestEigen(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for n := 1; n <= 14; n++ {
		for rank := 0; rank <= n; rank++ {
			half := mat.NewDense(n, n, nil)
			for i := range n {
				for j := range rank {
					half.Set(i, j, random.NormFloat64()*math.Pow(10, -float64(j%4)))
				}
			}
			var product mat.Dense
			product.Mul(half, half.T())
			s := symmetric(&product)
			values, vectors := eigen(s)
			var eig mat.EigenSym
			if !eig.Factorize(s, false) {
				t.Fatal("no eigenvalues")
			}
			tiny := 1e-13 * (1 + math.Abs(values[n-1]))
			for i, want := range eig.Values(nil) {
				if math.Abs(values[i]-want) > tiny {
					t.Errorf("n = %d, rank %d: eigenvalue %d is %g, want %g", n, rank, i, values[i], want)
				}
			}
			var left, again mat.Dense
			left.Mul(vectors, mat.NewDiagDense(n, values))
			again.Mul(&left, vectors.T())
			if !mat.EqualApprox(&again, s, tiny) {
				t.Errorf("n = %d, rank %d: values and vectors do not make the matrix again", n, rank)
			}
		}
	}
}
