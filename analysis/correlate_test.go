package analysis

import (
	"math"
	"math/rand/v2"
	"testing"
)

// residualsOf makes n AR(1) residuals of unit variance with some places missing, and takes a mean and a slope out of
// them.
func residualsOf(n int, rho float64, missing func(j int) bool, seed uint64) (slot []int, f residuals) {
	rng := rand.New(rand.NewPCG(seed, 5))
	e := rng.NormFloat64()
	var one, slope []float64
	for j := range n {
		if !missing(j) {
			f.use = append(f.use, len(slot))
			slot = append(slot, j)
			f.r = append(f.r, e)
			one = append(one, 1)
			slope = append(slope, float64(j))
		}
		e = rho*e + math.Sqrt(1-rho*rho)*rng.NormFloat64()
	}
	f.basis = orthonormal(one, slope)
	for _, q := range f.basis {
		along := dot(f.r, q)
		for i := range f.r {
			f.r[i] -= along * q[i]
		}
	}
	return slot, f
}

func orthonormal(columns ...[]float64) [][]float64 {
	var out [][]float64
	for _, c := range columns {
		c = append([]float64(nil), c...)
		for _, q := range out {
			along := dot(c, q)
			for i := range c {
				c[i] -= along * q[i]
			}
		}
		length := math.Sqrt(dot(c, c))
		for i := range c {
			c[i] /= length
		}
		out = append(out, c)
	}
	return out
}

// Of AR(1) noise τ_int = (1 + ρ)/(1 - ρ), and the variance is 1. Ending the sum before the first ρ that is not
// positive keeps chance correlations in it, so that τ_int is some 20 % high on average: the safe side.
func TestNoiseOfAnAutoregressionIsRecovered(t *testing.T) {
	for _, rho := range []float64{0, 0.5, 0.9} {
		for name, missing := range map[string]func(j int) bool{
			"whole": func(int) bool { return false },
			"gaps":  func(j int) bool { return j%97 < 20 },
		} {
			const seeds = 60
			inflation, scale := 0.0, 0.0
			for seed := range seeds {
				slot, f := residualsOf(600, rho, missing, uint64(seed))
				z := findNoise(t.Context(), slot, onesOf(len(slot)), true, []residuals{f})
				inflation += z.inflation / seeds
				scale += z.measured / seeds
			}
			if ratio := inflation / ((1 + rho) / (1 - rho)); !(ratio > 0.97 && ratio < 1.35) {
				t.Errorf("%s, ρ = %g: τ_int is %.2f times what it is", name, rho, ratio)
			}
			near(t, name+": variance", scale, 1, 0.1)
		}
	}
}

// The naive twin of the quadratic form.
func TestCovarianceIsTheFullQuadraticForm(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	z := noise{rho: []float64{1, 0.7, 0.3, 0.1}, scale: 1.7}
	var a, b []float64
	place := 0
	for range 40 {
		place += 1 + rng.IntN(2)
		z.slot = append(z.slot, place)
		z.sigma = append(z.sigma, 0.5+rng.Float64())
		a, b = append(a, rng.NormFloat64()), append(b, rng.NormFloat64())
	}
	want := 0.0
	for j := range a {
		for k := range b {
			lag := z.slot[j] - z.slot[k]
			if lag < 0 {
				lag = -lag
			}
			if lag < len(z.rho) {
				want += z.scale * a[j] * z.sigma[j] * z.rho[lag] * z.sigma[k] * b[k]
			}
		}
	}
	near(t, "covariance", z.covariance(a, b), want, 1e-12*math.Abs(want)+1e-12)
}

// Without correlation the sum of squares of n residuals after a fit of p parameters is n - p on average.
func TestScatterIsDividedByDegreesOfFreedom(t *testing.T) {
	sum := 0.0
	const seeds = 400
	for seed := range seeds {
		slot, f := residualsOf(8, 0, func(int) bool { return false }, uint64(seed))
		sum += findNoise(t.Context(), slot, onesOf(len(slot)), true, []residuals{f}).measured / seeds
	}
	near(t, "mean variance of 8 points about a line", sum, 1, 0.1)
}

func TestSlotsCountGapsAsWideAsTheyAre(t *testing.T) {
	got := slots([]float64{0, 0.1, 0.2, 0.3, 0.8, 0.9})
	want := []int{0, 1, 2, 3, 8, 9}
	for j := range want {
		if got[j] != want[j] {
			t.Fatalf("slots %v, want %v", got, want)
		}
	}
}

func onesOf(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1
	}
	return x
}
