package analysis

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"quadrille/calibrate"
)

// The naive twin: every pair of points, in a record with gaps.
func TestLagsByTransformsAreThoseByPairs(t *testing.T) {
	const n, lags = 6000, 900
	rng := rand.New(rand.NewPCG(3, 4))
	slot, x, y := make([]int, n), make([]float64, n), make([]float64, n)
	rho := make([]float64, lags+1)
	for k := range rho {
		rho[k] = math.Exp(-float64(k) / 200)
	}
	for i := range slot {
		if i > 0 {
			slot[i] = slot[i-1] + 1
		}
		if i == 2000 {
			slot[i] += 5000
		}
		x[i], y[i] = rng.NormFloat64(), rng.NormFloat64()
	}
	r := rowOf(slot, lags)
	if r == nil {
		t.Fatal("so many pairs are gone through one by one")
	}
	sum, near := make([]float64, lags+1), make([]float64, n)
	for i := range slot {
		for j := i; j < n && slot[j]-slot[i] <= lags; j++ {
			k := slot[j] - slot[i]
			sum[k] += x[i] * y[j]
			near[i] += rho[k] * x[j]
			if j > i {
				near[j] += rho[k] * x[i]
			}
		}
	}
	for k, s := range r.cross(r.spectrum(x), r.spectrum(y))[:lags+1] {
		if math.Abs(s-sum[k]) > 1e-8 {
			t.Fatalf("lag %d: %g, want %g", k, s, sum[k])
		}
	}
	for i, s := range r.through(rho, r.spectrum(x)) {
		if math.Abs(s-near[i]) > 1e-8 {
			t.Fatalf("point %d: %g, want %g", i, s, near[i])
		}
	}
}

// Ten times the readings take little more than ten times as long: 100,000 of a decay took 40 s of processor time with
// every pair of residuals gone through, and ten times as many 49 times as long.
func TestTimeGrowsAsTheReadings(t *testing.T) {
	for name, v := range map[string]func(x float64) float64{
		"decay": slowDischarge(9, 0, 10, 20), "level": func(float64) float64 { return 1 },
	} {
		took := func(n int) time.Duration {
			rng := rand.New(rand.NewPCG(1, 2))
			rec := &calibrate.Record{GroundBox: math.NaN()}
			for i := range n {
				x := 100 * float64(i) / float64(n)
				rec.T, rec.V = append(rec.T, x), append(rec.V, v(x)+0.02*rng.NormFloat64())
			}
			start := time.Now()
			if _, err := Analyse(t.Context(), rec, nil); err != nil {
				t.Fatal(name, err)
			}
			return time.Since(start)
		}
		few, many := min(took(4000), took(4000)), took(40000)
		if many > 30*few {
			many = min(many, took(40000)) // something else may have kept the processor
		}
		t.Logf("%s: %v, ten times as many %v", name, few, many)
		if many > 30*few {
			t.Errorf("%s: %v, ten times as many %v", name, few, many)
		}
	}
}
