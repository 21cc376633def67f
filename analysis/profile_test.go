package analysis

import (
	"math"
	"testing"
)

// Over seeds the interval of a short decay holds the truth as often as it says, and misses it as often on one side as
// on the other, which ± U does not.
func TestProfileIntervalHoldsShortDecays(t *testing.T) {
	const seeds = 200
	for _, c := range []struct{ taus, sigma, rho float64 }{{1.5, 0.02, 0}, {2, 0.04, 0.5}} {
		s := specimen{n: 300, span: 10, sigma: c.sigma, rho: c.rho, v: slowDischarge(6, 0, 0, 10/c.taus)}
		truth := 10 / c.taus
		low, high, longer, shorter := 0, 0, 0, 0
		for seed := range uint64(seeds) {
			r := find(mustFit(t, s.record(seed), nil), "tau", "curve")
			if r.Interval == nil {
				t.Fatalf("%g τ, seed %d: no interval", c.taus, seed)
			}
			switch i := r.Interval; {
			case truth < i.Low:
				low++
			case truth > i.High:
				high++
			}
			switch {
			case truth > r.Value.X+r.Expanded:
				longer++
			case truth < r.Value.X-r.Expanded:
				shorter++
			}
		}
		missed := float64(low+high) / seeds
		t.Logf("%g τ, rho %g: the profile misses %d below and %d above, ± U %d and %d, of %d", c.taus, c.rho, low, high, shorter, longer, seeds)
		if math.Abs(missed-(1-coverage)) > 0.02+2*math.Sqrt(coverage*(1-coverage)/seeds) {
			t.Errorf("%g τ, rho %g: misses %d below and %d above of %d", c.taus, c.rho, low, high, seeds)
		}
	}
}

// Where the parabola holds the profile says the same as ± U.
func TestProfileIntervalOfLittleNoiseIsSymmetric(t *testing.T) {
	s := specimen{n: 400, span: 10, sigma: 0.0005, v: slowDischarge(6, 0, 0, 4)}
	r := find(mustFit(t, s.record(3), nil), "tau", "curve")
	if r.Interval == nil {
		t.Fatal("no interval")
	}
	near(t, "lower end", r.Value.X-r.Interval.Low, r.Expanded, 0.03*r.Expanded)
	near(t, "upper end", r.Interval.High-r.Value.X, r.Expanded, 0.03*r.Expanded)
}

func TestProfileIntervalIsForShortDecaysOnly(t *testing.T) {
	s := specimen{n: 400, span: 10, sigma: 0.01, v: slowDischarge(6, 0, 0, 2)}
	if r := find(mustFit(t, s.record(1), nil), "tau", "curve"); r.Interval != nil {
		t.Errorf("5 τ are seen, and there is the interval %+v", *r.Interval)
	}
	s.v = slowDischarge(6, 0, 0, 5)
	if r := find(mustFit(t, s.record(1), &Settings{Settles: SettlesGround}), "tau", "curve"); r.Interval != nil {
		t.Errorf("the level is held, and there is the interval %+v", *r.Interval)
	}
}
