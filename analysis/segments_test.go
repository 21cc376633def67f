package analysis

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The naive twin of one cut: every last piece of every length, each by its own least squares.
func TestCutIsTheCheapest(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 7))
	for trial := range 30 {
		n := 12 + rng.IntN(20)
		b := bins{t: make([]float64, n), v: make([]float64, n), w: make([]float64, n), first: make([]int, n+1)}
		for j := range n {
			b.t[j] = float64(j) + 0.3*rng.Float64()
			b.v[j] = squareDriven(5, 7, 2, 1.5)(b.t[j]) + 0.1*rng.NormFloat64()
			b.w[j] = 1 / (0.01 + 0.01*rng.Float64())
			b.first[j+1] = j + 1
		}
		const tau = 2.3
		best := make([]float64, n+1)
		for j := 1; j <= n; j++ {
			best[j] = math.Inf(1)
			for i := range j {
				best[j] = math.Min(best[j], best[i]+cutPrice+naiveLine(b, i, j, tau))
			}
		}
		got := newCutter(b).cut(tau, math.Inf(1))
		near(t, "cost", got, best[n], 1e-6*best[n])
		if limited := newCutter(b).cut(tau, best[n]*0.9); !math.IsInf(limited, 1) {
			t.Errorf("trial %d: a cut dearer than the limit came out at %g", trial, limited)
		}
	}
}

// naiveLine is the misfit of a + b·exp(-t/τ) to bins i to j-1.
func naiveLine(b bins, i, j int, tau float64) float64 {
	var s, e, v float64
	for k := i; k < j; k++ {
		s += b.w[k]
		e += b.w[k] * math.Exp(-(b.t[k]-b.t[i])/tau)
		v += b.w[k] * b.v[k]
	}
	e, v = e/s, v/s
	var ee, ev, vv float64
	for k := i; k < j; k++ {
		de, dv := math.Exp(-(b.t[k]-b.t[i])/tau)-e, b.v[k]-v
		ee += b.w[k] * de * de
		ev += b.w[k] * de * dv
		vv += b.w[k] * dv * dv
	}
	if ee < 1e-12 {
		return vv
	}
	return math.Max(0, vv-ev*ev/ee)
}

func TestStretchesOfASquareDriveBeginAtItsEdges(t *testing.T) {
	const half, t0 = 1e-3, 0.35e-3
	rec := specimen{n: 1000, span: 10e-3, sigma: 0.02, v: squareDriven(5, half, 0.2e-3, t0)}.record(1)
	all, tau := findStretches(rec.T, rec.V, rec.Sigma)
	near(t, "τ", tau, 0.2e-3, 0.02e-3)
	if len(all) != 11 {
		t.Fatalf("%d stretches, want 11", len(all))
	}
	for k, s := range all[1:] {
		near(t, "edge", rec.T[s.lo], t0+half*float64(k), 0.06e-3)
		if all[k].hi != s.lo {
			t.Errorf("stretch %d ends at %d, the next begins at %d", k, all[k].hi, s.lo)
		}
	}
}
