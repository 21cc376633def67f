package analysis

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// moved is rec with each effect in it, by a factor of its own; what is known of the effects stays.
func moved(rec *calibrate.Record, seed uint64) *calibrate.Record {
	rng := rand.New(rand.NewPCG(seed, 77))
	for _, e := range rec.Effects {
		k := rng.NormFloat64()
		for j := range rec.T {
			rec.T[j] += k * e.DT[j]
			rec.V[j] += k * e.DV[j]
		}
	}
	return rec
}

// That a decay settles at ground is true here, however well ground lies: by 0.1 V of 9 as on a display, where the
// decay's own end is known ten times better, or by 2 mV. u of every τ is not above that of a free level, and is what τ
// is off.
func TestATrueLevelNeverMakesTauWorse(t *testing.T) {
	const seeds = 30 // the ratios of u hardly scatter; the pulls notice a U at 0.70 of its size, at 80 one at 0.79
	for name, c := range map[string]struct {
		s      specimen
		tau    float64
		ground float64 // V, u
	}{
		"5 τ, ground as on a display":    {specimen{n: 500, span: 54, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}, 10, 0.1},
		"5 τ, ground well known":         {specimen{n: 500, span: 54, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}, 10, 0.002},
		"5 τ, as well as the curve's":    {specimen{n: 500, span: 54, sigma: 0.02, rho: 0.7, v: slowDischarge(9, 0, 4, 10)}, 10, 0.007},
		"2 τ, ground as on a display":    {specimen{n: 300, span: 24, sigma: 0.03, v: slowDischarge(9, 0, 4, 10)}, 10, 0.1},
		"3 τ, correlated":                {specimen{n: 400, span: 34, sigma: 0.03, rho: 0.8, v: slowDischarge(9, 0, 4, 10)}, 10, 0.05},
		"square drive, 2 falls, 3 rises": {specimen{n: 400, span: 10e-3, sigma: 0.02, v: squareDriven(5, 2e-3, 0.6e-3, 0.5e-3)}, 0.6e-3, 0.05},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			methods := []string{"curve", "log_line", "half_life"}
			var all, ofFree []*pulls
			for _, m := range methods {
				all, ofFree = append(all, &pulls{name: m, truth: c.tau}), append(ofFree, &pulls{name: m + " of a free level", truth: c.tau})
			}
			worst, more := 0.0, 0.0
			for seed := range uint64(seeds) {
				rec := with(c.s.record(seed), "ground line", false, func(t, v float64) (float64, float64) { return 0, c.ground })
				moved(with(rec, "graticule fit", false, func(t, v float64) (float64, float64) { return 0, 1e-3 * v * t / c.s.span }), seed)
				free, held := mustFit(t, rec, nil), mustFit(t, rec, &Settings{Settles: SettlesGround})
				for k, m := range methods {
					f, h := find(free, "tau", m), find(held, "tau", m)
					if !(f.Value.U > 0 && h.Value.U > 0) { // a half-life that a short decay does not show
						continue
					}
					all[k].add(h)
					ofFree[k].add(f)
					ratio := h.Value.U / f.Value.U
					worst = math.Max(worst, ratio)
					more += ratio / seeds / float64(len(methods))
				}
			}
			t.Logf("u over that of a free level: %.3f on average, %.3f at most", more, worst)
			if !(more < 1.02) || !(worst < 1.2) {
				t.Errorf("u is %.3f times that of a free level on average, %.3f at most", more, worst)
			}
			for k := range all {
				all[k].check(t, name)
				t.Logf("of a free level the spread is %.2f", math.Sqrt(ofFree[k].square/float64(ofFree[k].n)))
			}
		})
	}
}

// The naive twin: the level is one more point of the list, so late that the exponential is over.
func TestALevelToFitTowardsIsOneMorePoint(t *testing.T) {
	s := specimen{n: 60, span: 20, sigma: 0.05, v: slowDischarge(9, 0.2, 0, 6)}
	rec := s.record(2)
	w := make([]float64, s.n)
	for j := range w {
		w[j] = 1 / s.sigma
	}
	for _, loose := range []float64{1e-3, 0.02, 0.3, 50} {
		goal := 0.1
		got, ok := fitTowards(rec.T, rec.V, w, rec.T[0], &goal, loose, 0)
		want, fine := fitExponential(append(rec.T[:s.n:s.n], 600), append(rec.V[:s.n:s.n], goal), append(w[:s.n:s.n], 1/loose), rec.T[0], nil, got.tau)
		if !ok || !fine {
			t.Fatalf("%g V: no fit", loose)
		}
		where := fmt.Sprintf("%g V", loose)
		near(t, where+": τ", got.tau, want.tau, 1e-8)
		near(t, where+": level", got.c, want.c, 1e-8)
		near(t, where+": u of ln τ", math.Sqrt(got.cov[0][0]), math.Sqrt(want.cov[0][0]), 1e-8)
		near(t, where+": ln τ by the level", got.dLogTau[s.n], want.dLogTau[s.n], 1e-8)
	}
}

// What is told of a level given with an uncertainty holds it: the level is drawn, the decay settles elsewhere.
func TestALevelGivenWithAnUncertaintyIsInTheBudget(t *testing.T) {
	const seeds, u = 80, 0.1 // pulls notice a U at 0.79 of its size, at 150 one at 0.83
	p, doubted := &pulls{name: "τ", truth: 10}, 0
	for seed := range uint64(seeds) {
		at := 0.5 + u*rand.New(rand.NewPCG(seed, 5)).NormFloat64()
		rec := specimen{n: 300, span: 15, sigma: 0.03, v: slowDischarge(9, 0.5, 0, 10)}.record(seed)
		f := mustFit(t, rec, &Settings{Settles: SettlesGiven, SettlesAt: at, SettlesU: u})
		r := find(f, "tau", "curve")
		p.add(r)
		if termOf(r, sourceLevel) == 0 {
			t.Fatalf("seed %d: the budget of τ = %v has no term of the level", seed, r.Value)
		}
		if remark.Any(f.Doubts, KindSettlesElsewhere) {
			doubted++
		}
		free, exact := find(mustFit(t, rec, nil), "tau", "curve"), find(mustFit(t, rec, &Settings{Settles: SettlesGiven, SettlesAt: 0.5}), "tau", "curve")
		if !(r.Value.U > 1.2*exact.Value.U) || !(r.Value.U < 1.05*free.Value.U) {
			t.Errorf("seed %d: u of τ is %g, with the true level exactly %g, without any %g", seed, r.Value.U, exact.Value.U, free.Value.U)
		}
	}
	if doubted > 1 {
		t.Errorf("%d of %d levels are doubted", doubted, seeds)
	}
	p.check(t, "level known to 0.1 V")
}

// What if ground were off: a curve with an end of its own hardly moves, one that has none does.
func TestWhatIfOfGroundCountsTheCurvesOwnEnd(t *testing.T) {
	for _, c := range []struct{ span, low, high float64 }{{54, 0, 0.05}, {12, 0.2, 1}} {
		rec := specimen{n: 400, span: c.span, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}.record(3)
		rec.VoltsPerBox = 1.5
		with(rec, "ground line", false, func(t, v float64) (float64, float64) { return 0, 0.087 })
		m := mistakesIn(t, rec, &Settings{Settles: SettlesGround})
		if share := m.givenMove(groundOff) / m.levelMove(groundOff); !(share >= c.low && share < c.high) {
			t.Errorf("%g s: τ would move by %g of what it would if it were held", c.span, share)
		}
	}
}
