package sheet

import (
	"math/rand/v2"
	"testing"
)

func TestQuantileAgreesWithSorting(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 300 {
		v := make([]float32, 1+rng.IntN(40))
		w := make([]float64, len(v))
		for i := range v {
			v[i] = float32(rng.IntN(9))
			w[i] = float64(v[i])
		}
		p := rng.Float64()
		if got, want := float64(Quantile(v, p)), Rank(w, p); got != want {
			t.Fatalf("quantile %g of %v is %g, want %g", p, w, got, want)
		}
	}
}
