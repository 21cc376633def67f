package analysis

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// additive is a result that is 0 and the sum of terms.
func additive(terms ...Term) *Findings {
	rec := &calibrate.Record{T: []float64{0, 1}, V: []float64{0, 0}}
	p := &points{rec: rec, at: []int{0, 1}, t: rec.T, v: rec.V}
	return &Findings{
		Results: []Result{newResult("v_mean", "mean", "", 0, "V", terms)},
		again: &replay{points: p, settings: &Settings{}, noise: &noise{sigma: []float64{0, 0}, rho: []float64{1}, scale: 1}, dof: math.Inf(1),
			models: []model{{count: 1, of: func(*trial) []float64 { return []float64{0} }}}},
	}
}

// The additive model Y = X1 + X2 + X3 + X4 of JCGM 101:2008, 9.2 (its numbers from memory; those of 9.2.2 and 9.2.3 are
// also 1.96·2 and the 97.5 % point of a sum of four rectangular ones, 3.88, which a convolution gives; 9.2.4 is
// dominated by one input of standard deviation 10).
func TestTrialsAgreeWithTheAdditiveModelOfTheGUM(t *testing.T) {
	term := func(name, distribution string, u float64) Term {
		return Term{Source: name, Unit: "V", Distribution: distribution, Standard: u, Sensitivity: 1, U: u, DOF: math.Inf(1)}
	}
	four := func(distribution string, last float64) []Term {
		return []Term{term("1", distribution, 1), term("2", distribution, 1), term("3", distribution, 1), term("4", distribution, last)}
	}
	for _, c := range []struct {
		clause      string
		terms       []Term
		u, high     float64
		guard       float64 // how far an end may be off, 4 standard deviations of its own
		budgetHolds float64 // U by the budget
	}{
		{"9.2.2", four("normal", 1), 2.00, 3.92, 0.06, 3.92},
		{"9.2.3", four("rectangular", 1), 2.00, 3.88, 0.06, 3.92},
		{"9.2.4", four("rectangular", 10), 10.1, 17.0, 0.12, 19.9},
	} {
		f := additive(c.terms...)
		f.propagate(t.Context(), 100000, 1)
		r := f.Results[0]
		if r.Trials == nil || r.Trials.N != 100000 {
			t.Fatalf("%s: %+v", c.clause, r.Trials)
		}
		near(t, c.clause+": mean", r.Trials.Mean, 0, 4*c.u/math.Sqrt(1e5))
		near(t, c.clause+": u", r.Trials.U, c.u, 4*c.u/math.Sqrt(2e5)+0.05*c.u/10)
		near(t, c.clause+": lower end", r.Trials.Low, -c.high, c.guard)
		near(t, c.clause+": upper end", r.Trials.High, c.high, c.guard)
		near(t, c.clause+": U of the budget", r.Expanded, c.budgetHolds, 0.05)
		if len(r.Doubts) > 0 { // 9.2.4: the budget's is the wider one, which is no harm
			t.Errorf("%s: %q", c.clause, r.Doubts)
		}
	}
}

// The seed makes the trials, whatever the number of processors; another seed gives others that say the same.
func TestTrialsAreRepeatableAndDependOnTheSeed(t *testing.T) {
	rec := specimen{n: 200, span: 50, sigma: 0.03, rho: 0.5, v: slowDischarge(9, 0, 4, 8)}.record(1)
	photoEffects(rec, 9, 50)
	run := func() *Trials { return find(analyse(t, rec, &Settings{Trials: 1500}), "tau", "curve").Trials }
	a, b := run(), run()
	if *a != *b {
		t.Errorf("%+v and %+v", a, b)
	}
	f := analyse(t, rec, nil)
	f.propagate(t.Context(), 1500, 2)
	if other := find(f, "tau", "curve").Trials; other.Mean == a.Mean || math.Abs(other.U/a.U-1) > 0.15 {
		t.Errorf("seed 2 gives %+v, seed 1 %+v", other, a)
	}
	if find(analyse(t, rec, nil), "tau", "curve").Trials != nil {
		t.Error("trials that nobody asked for")
	}
}

// An analysis that is given up while it runs more trials than anyone would wait for ends with the reason.
func TestAnAnalysisThatIsGivenUpEnds(t *testing.T) {
	for name, v := range map[string]func(float64) float64{"decay": slowDischarge(9, 0, 4, 8), "sine": sineOf(0, 3, 0.2, 0)} {
		rec := specimen{n: 500, span: 50, sigma: 0.03, rho: 0.5, v: v}.record(1)
		photoEffects(rec, 9, 50)
		ctx, cancel := context.WithTimeout(t.Context(), 100*time.Millisecond)
		f, err := Analyse(ctx, rec, &Settings{Trials: MostTrials})
		cancel()
		if f != nil || !errors.Is(err, context.DeadlineExceeded) {
			t.Errorf("%s: %v, %v", name, f, err)
		}
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, kind := range []string{SignalAuto, SignalDecay, SignalSine, SignalStates, SignalLevel} {
		rec := specimen{n: 500, span: 10e-3, sigma: 0.03, v: pulseOf(0, 5, 0.4e-3, 2.3e-3, 1e-3, 0.2e-3)}.record(1)
		photoEffects(rec, 9, 10e-3)
		if f, err := Analyse(ctx, rec, &Settings{Signal: kind}); f != nil || !errors.Is(err, context.Canceled) {
			t.Errorf("%s, given up before it began: %v, %v", kind, f, err)
		}
	}
}

// The noise drawn has the variance and the correlation that it is asked for, across a gap as well.
func TestDrawnNoiseHasTheCorrelationAskedFor(t *testing.T) {
	rec := specimen{n: 400, span: 1, sigma: 0.1, rho: 0.8, v: func(float64) float64 { return 0 }}.record(1)
	cut := slices.Concat(rec.T[:150], rec.T[230:])
	z := noise{slot: slots(cut), sigma: make([]float64, len(cut)), scale: 4}
	for j := range z.sigma {
		z.sigma[j] = 0.1
	}
	for k := range 30 {
		z.rho = append(z.rho, math.Pow(0.8, float64(k)))
	}
	a := additive()
	a.again.noise = &z
	a.again.points = &points{rec: &calibrate.Record{T: cut, V: make([]float64, len(cut))}, t: cut, at: make([]int, len(cut))}
	for j := range cut {
		a.again.points.at[j] = j
	}
	// Beside each other, two apart, and on both sides of the gap.
	const trials = 20000
	f := &Findings{again: a.again, Results: make([]Result, 4)}
	f.again.models = []model{{count: 4, of: func(tr *trial) []float64 { v := tr.rec.V; return []float64{v[20], v[21], v[22], v[149] - v[150]} }}}
	sums := map[string]float64{}
	plans := f.planTerms()
	d := f.again.newDrawer()
	for k := range trials {
		x := d.draw(newTrialRand(1, k), plans, 4)
		sums["variance"] += x[0] * x[0] / trials
		sums["one apart"] += x[0] * x[1] / trials
		sums["two apart"] += x[0] * x[2] / trials
		sums["across the gap"] += x[3] * x[3] / trials
	}
	for name, want := range map[string]float64{"variance": 0.04, "one apart": 0.8 * 0.04, "two apart": 0.64 * 0.04, "across the gap": 0.08} {
		near(t, name, sums[name], want, 0.03*0.04*math.Max(1, want/0.04))
	}
}

// For every kind of signal the trials reproduce the u of the budget, which is made in another way.
func TestTrialsAgreeWithTheBudgets(t *testing.T) {
	for name, c := range map[string]struct {
		s   specimen
		set Settings
	}{
		"decay":   {specimen{n: 300, span: 50, sigma: 0.02, rho: 0.6, v: slowDischarge(9, 0, 4, 8)}, Settings{Levels: []float64{5}, Resistance: unitValue(22e3, 60, "Ω"), Capacitance: unitValue(364e-6, 4e-6, "F")}},
		"C asked": {specimen{n: 300, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 8)}, Settings{Resistance: unitValue(22e3, 200, "Ω"), InputResistance: unitValue(1e6, 1e4, "Ω")}},
		"decays":  {specimen{n: 400, span: 10e-3, sigma: 0.02, rho: 0.3, v: squareDriven(5, 2e-3, 0.45e-3, 1e-3)}, Settings{}},
		"sine":    {specimen{n: 300, span: 10e-3, sigma: 0.03, rho: 0.3, v: sineOf(1, 3, 310, 0.3)}, Settings{}},
		"states":  {specimen{n: 500, span: 10e-3, sigma: 0.03, v: pulseOf(0, 5, 0.4e-3, 2.3e-3, 1e-3, 0.2e-3)}, Settings{}},
		"level":   {specimen{n: 300, span: 1, sigma: 0.03, rho: 0.5, v: func(float64) float64 { return 4 }}, Settings{}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rec := c.s.record(3)
			photoEffects(rec, 9, c.s.span)
			c.set.Trials = 1300
			f := analyse(t, rec, &c.set)
			seen := 0
			for _, r := range f.Results {
				if r.Trials == nil {
					continue
				}
				seen++
				about := fmt.Sprintf("%s by %s %s", r.Quantity, r.Method, r.Label)
				if strings.HasPrefix(r.Quantity, "transition") { // limits larger than the value
					continue
				}
				near(t, "u of "+about, r.Trials.U, r.Value.U, 0.15*r.Value.U)
				near(t, about, r.Trials.Mean, r.Value.X, 0.25*r.Value.U)
				if remark.Any(r.Doubts, KindTrialsDisagree) {
					t.Errorf("%s: %s", about, r.Doubts)
				}
			}
			if want := map[string]int{"level": 1}[name]; seen < max(want, 1) || name != "level" && seen < len(f.Results) {
				t.Errorf("%d of %d results have trials", seen, len(f.Results))
			}
		})
	}
}

// BenchmarkTrials times 10000 trials of a photo's decay; a few seconds are wanted.
func BenchmarkTrials(b *testing.B) {
	for name, s := range map[string]specimen{
		"decay":  {n: 500, span: 50, sigma: 0.02, rho: 0.6, v: slowDischarge(9, 0, 4, 8)},
		"decays": {n: 500, span: 10e-3, sigma: 0.02, rho: 0.6, v: squareDriven(5, 1e-3, 0.2e-3, 0.3e-3)},
		"sine":   {n: 500, span: 10e-3, sigma: 0.02, rho: 0.6, v: sineOf(0, 3, 440, 0)},
	} {
		b.Run(name, func(b *testing.B) {
			rec := s.record(1)
			photoEffects(rec, 9, s.span)
			for b.Loop() {
				if _, err := Analyse(b.Context(), rec, &Settings{Trials: 10000}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
