package analysis

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// The naive twin of influences: move one point and make everything again.
func TestInfluencesAreDerivatives(t *testing.T) {
	ground := &Settings{Settles: SettlesGround, Levels: []float64{7, 3}}
	for name, c := range map[string]struct {
		s   specimen
		set *Settings
	}{
		"slow, free":   {specimen{n: 90, span: 50, sigma: 0.02, v: slowDischarge(9, 0.3, 8, 8)}, &Settings{Levels: []float64{7, 3}}},
		"slow, ground": {specimen{n: 90, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 8, 8)}, ground},
		"no knee":      {specimen{n: 60, span: 50, sigma: 0.02, v: slowDischarge(9, 0, -2, 12)}, nil},
		"square":       {specimen{n: 200, span: 10e-3, sigma: 0.02, v: squareDriven(5, 2e-3, 0.4e-3, 1e-3)}, &Settings{Levels: []float64{2.5}}},
	} {
		t.Run(name, func(t *testing.T) {
			if c.set == nil {
				c.set = &Settings{}
			}
			d := fittedTable(t, c.s.record(3), c.set)
			const h = 1e-5 // V
			p := d.scheme.points
			moved := make([]float64, len(p.v))
			largest := make([]float64, len(d.columns))
			for q := range d.columns {
				for _, x := range d.numbers[q].d[:len(p.t)] {
					largest[q] = math.Max(largest[q], math.Abs(x))
				}
			}
			for j := range p.v {
				var side [2][]float64
				for k, step := range []float64{h, -h} {
					copy(moved, p.v)
					moved[j] += step
					side[k] = d.values(d.scheme.evaluate(p.t, moved, false))
				}
				for q, o := range d.columns {
					got, want := d.numbers[q].d[j], (side[0][q]-side[1][q])/(2*h)
					// Influences leave out what the residuals themselves add to curvature, of the order of the
					// noise over the height, and take y of the curve where the logarithm has that of the point.
					if !(math.Abs(got-want) <= 0.06*largest[q]) {
						t.Errorf("%s by %s %q, point %d: %g, want %g (largest %g)", o.quantity, o.method, o.label, j, got, want, largest[q])
					}
				}
			}
		})
	}
}

// effects are those of a photo: what the calibration knows, and a grid fitted with some error.
func photoEffects(rec *calibrate.Record, height, span float64) {
	with(rec, "volts scale", true, func(t, v float64) (float64, float64) { return 0, 0.017 * v })
	with(rec, "time base", true, func(t, v float64) (float64, float64) { return 6e-3 * t, 0 })
	with(rec, "ground line", false, func(t, v float64) (float64, float64) { return 0, 0.003 * height })
	with(rec, "graticule fit", false, func(t, v float64) (float64, float64) { return 2e-3 * t, 1e-3 * height * t / span })
	with(rec, "graticule fit", false, func(t, v float64) (float64, float64) {
		return 1e-3 * span * (t/span - t*t/span/span), 2e-3 * height * (t/span - t*t/span/span)
	})
}

// The budget against a Monte Carlo propagation (JCGM 101:2008, clause 7): every trial draws noise and one factor an
// effect, and the record so made is analysed anew.
func TestBudgetAgreesWithMonteCarlo(t *testing.T) {
	for name, set := range map[string]*Settings{"free": {}, "ground": {Settles: SettlesGround}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := specimen{n: 300, span: 50, sigma: 0.03, v: slowDischarge(9, 0, 4, 9)}
			clean := s
			clean.sigma = 1e-9
			base := clean.record(0)
			for j := range base.Sigma {
				base.Sigma[j] = s.sigma
			}
			photoEffects(base, 9, 50)
			f := mustFit(t, base, set)
			const trials = 250
			rng := rand.New(rand.NewPCG(8, 9))
			wants := [][2]string{{"tau", "curve"}, {"tau", "log_line"}, {"tau", "half_life"}, {"v_start", "level"}}
			sum, squares := make([]float64, len(wants)), make([]float64, len(wants))
			for range trials {
				rec := &calibrate.Record{T: append([]float64(nil), base.T...), Sigma: base.Sigma, Effects: base.Effects}
				for j := range base.V {
					rec.V = append(rec.V, base.V[j]+s.sigma*rng.NormFloat64())
				}
				for _, e := range base.Effects {
					k := rng.NormFloat64()
					for j := range rec.T {
						rec.T[j] += k * e.DT[j]
						rec.V[j] += k * e.DV[j]
					}
				}
				g := mustFit(t, rec, set)
				for q, w := range wants {
					x := find(g, w[0], w[1]).Value.X
					sum[q] += x
					squares[q] += x * x
				}
			}
			for q, w := range wants {
				r := find(f, w[0], w[1])
				mean := sum[q] / trials
				sd := math.Sqrt(squares[q]/trials - mean*mean)
				// A standard deviation from 250 trials is itself uncertain by 4.5 %.
				near(t, fmt.Sprintf("u of %s by %s", w[0], w[1]), r.Value.U, sd, 0.12*sd)
				near(t, fmt.Sprintf("%s by %s", w[0], w[1]), r.Value.X, mean, 0.25*sd)
			}
		})
	}
}

// The volts scale cancels in τ and the time base does not.
func TestGainCancelsInTauAndTheTimeBaseDoesNot(t *testing.T) {
	rec := specimen{n: 400, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 8)}.record(1)
	photoEffects(rec, 9, 50)
	r := find(mustFit(t, rec, nil), "tau", "curve")
	terms := map[string]Term{}
	for _, term := range r.Budget {
		terms[term.Source] = term
	}
	for _, source := range []string{"volts scale", "ground line"} {
		if term, ok := terms[source]; !ok || term.U > 1e-6*r.Value.U {
			t.Errorf("%s contributes %g of %g", source, term.U, r.Value.U)
		}
	}
	base := terms["time base"]
	near(t, "time base", base.U, 6e-3*r.Value.X, 1e-6*r.Value.X)
	near(t, "sensitivity to the time base", base.Sensitivity, r.Value.X, 1e-3*r.Value.X)
	if !base.Shared || base.Distribution != "rectangular" || base.Unit != "1" {
		t.Errorf("time base: %+v", base)
	}
	sum := 0.0
	for _, term := range r.Budget {
		sum += term.U * term.U
	}
	near(t, "u", r.Value.U, math.Sqrt(sum), 1e-12*r.Value.U)
	near(t, "U", r.Expanded, r.K*r.Value.U, 1e-12*r.Value.U)
}

// Effects that move the whole record enter each decay of it alike: averaging must not make them smaller.
func TestCommonEffectsAreNotAveragedDown(t *testing.T) {
	s := specimen{n: 1000, span: 10e-3, sigma: 0.02, v: squareDriven(5, 1.2e-3, 0.2e-3, 0.3e-3)}
	rec := s.record(1)
	with(rec, "time base", true, func(t, v float64) (float64, float64) { return 0.01 * t, 0 })
	f := mustFit(t, rec, nil)
	if len(f.Fits) < 6 {
		t.Fatalf("%d decays", len(f.Fits))
	}
	r := find(f, "tau", "curve")
	near(t, "time base", math.Sqrt(termOf(r, "time base")), 0.01*r.Value.X, 1e-3*r.Value.X)
	alone := 0.0
	for _, x := range f.Results {
		if x.Label == "fall 1 alone" {
			alone = math.Sqrt(termOf(x, sourceNoise))
		}
	}
	if noise := math.Sqrt(termOf(r, sourceNoise)); !(noise < 0.6*alone) {
		t.Errorf("noise of the average %g, of one decay %g", noise, alone)
	}
}
