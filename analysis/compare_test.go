package analysis

import (
	"gonum.org/v1/gonum/stat/distuv"

	"math"
	"testing"

	"quadrille/calibrate/remark"
)

// Of results of one record that differ by noise alone, |zeta| > 2 comes up in 4.6 % (normal distribution), and less
// often where they differ so little that it is immaterial.
func TestComparisonsFailAsOftenAsChanceHasIt(t *testing.T) {
	s := specimen{n: 300, span: 50, sigma: 0.03, rho: 0.4, v: slowDischarge(9, 0, 4, 8)}
	failed, count := map[string]int{}, 0
	for seed := range 250 {
		f := mustFit(t, s.record(uint64(seed)), nil)
		count++
		apart := false
		for _, c := range f.Comparisons {
			// A pair apart beside an "all together" that agrees would puzzle a reader who is not told.
			if together := len(c.Results) > 2; together && c.Agree && apart != c.What.Has("differ") {
				t.Errorf("a pair apart: %v, but all together: %s", apart, c.What)
			}
			apart = apart || !c.Agree
			if !c.Agree {
				failed[string(c.What.Kind)+c.What.Word("one")+c.What.Word("other")]++
			}
			if c.Agree != (math.Abs(c.Zeta) <= agreeing) {
				t.Errorf("zeta = %g and agree is %v", c.Zeta, c.Agree)
			}
		}
	}
	if failed[string(KindTwoWays)+"curvehalf_life"] < 3 {
		t.Errorf("curve and half-lives never disagree: %v", failed)
	}
	for title, n := range failed {
		if share := float64(n) / float64(count); share > 0.08 {
			t.Errorf("%s fails in %.1f %% of %d records", title, 100*share, count)
		}
	}
}

// isPair tells the comparison of two ways to τ.
func isPair(c Comparison, one, other string) bool {
	return c.What.Kind == KindTwoWays && c.What.Word("one") == one && c.What.Word("other") == other
}

func TestComparisonWithRCTellsLoading(t *testing.T) {
	// 100 kΩ with 100 µF discharges through an input of 1 MΩ as well: τ is 9.1 % short of R·C.
	s := specimen{n: 500, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 10/1.1)}
	set := &Settings{Resistance: unitValue(100e3, 200, "Ω"), Capacitance: unitValue(100e-6, 0.5e-6, "F")}
	says := func() Comparison {
		for _, c := range mustFit(t, s.record(1), set).Comparisons {
			if isPair(c, "curve", "rc") {
				return c
			}
		}
		t.Fatal("no comparison with R·C")
		return Comparison{}
	}
	if c := says(); c.Agree || len(c.Causes) == 0 || c.Causes[0].Kind != KindCauseInput || c.Causes[0].Number("share") < 0.995 || c.Zeta < 2 {
		t.Errorf("without the load: %+v", c)
	}
	set.InputResistance = unitValue(1e6, 5e3, "Ω")
	if c := says(); !c.Agree || !c.What.Flag("agree") {
		t.Errorf("with the load: %+v", c)
	}
}

func TestDecaysThatDifferAreTold(t *testing.T) {
	// Charged through twice the resistance that it discharges through.
	v := func(x float64) float64 {
		phase := math.Mod(x+0.3e-3, 4e-3)
		if phase < 2e-3 {
			return 5 - 5*math.Exp(-phase/0.3e-3)
		}
		return 5 * math.Exp(-(phase-2e-3)/0.2e-3)
	}
	f := mustFit(t, specimen{n: 1000, span: 10e-3, sigma: 0.02, v: v}.record(1), nil)
	last := f.Comparisons[len(f.Comparisons)-1]
	r := find(f, "tau", "curve")
	if last.Agree || last.What.Kind != KindDecaysAlike || last.What.Flag("agree") || len(last.Results) != len(f.Fits) {
		t.Errorf("%+v", last)
	}
	if !remark.Any(f.Doubts, KindDecaysDiffer) {
		t.Errorf("doubts %q", f.Doubts)
	}
	if !(termOf(r, sourceDiffer) > 10*termOf(r, sourceNoise)) || !(r.Value.U > 0.01e-3) {
		t.Errorf("τ = %v, budget %+v", r.Value, r.Budget)
	}
	f = mustFit(t, specimen{n: 1000, span: 10e-3, sigma: 0.02, v: squareDriven(5, 2e-3, 0.2e-3, 0.3e-3)}.record(1), nil)
	if last := f.Comparisons[len(f.Comparisons)-1]; !last.Agree || last.What.Kind != KindDecaysAlike || last.What.Number("birge") != 1 || len(f.Doubts) > 0 {
		t.Errorf("%+v", last)
	}
}

// χ² of three independent values about their weighted mean, by hand: values 1, 2, 4 with u = 1, 1, 2 have the mean
// 16/9 and χ² = 49/81 + 4/81 + 100/81 = 17/9.
func TestChiSquareOfIndependentValues(t *testing.T) {
	u2 := []float64{1, 1, 4}
	chi2, ok := chiSquare([]float64{1, 2, 4}, func(i, j int) float64 {
		if i == j {
			return u2[i]
		}
		return 0
	})
	if !ok {
		t.Fatal("singular")
	}
	near(t, "χ²", chi2, 17.0/9, 1e-12)
}

func TestATimePerBoxOfAnotherStepIsDoubted(t *testing.T) {
	// R·C is 10 s; the record was made with a time per box that is another step of the row, or has another prefix. A part
	// of 20 % is no reason for this doubt.
	for factor, want := range map[float64]bool{1: false, 1.2: false, 0.8: false, 2: true, 0.5: true, 1e-3: true} {
		s := specimen{n: 500, span: 50 * factor, sigma: 0.02, v: slowDischarge(9, 0, 4*factor, 10*factor)}
		f := mustFit(t, s.record(1), &Settings{Resistance: unitValue(22e3, 60, "Ω"), Capacitance: unitValue(10/22e3, 4e-6, "F")})
		if got := remark.Any(f.Doubts, KindTauFarFromRC); got != want {
			t.Errorf("τ is %g R·C: doubted %v, want %v: %q", factor, got, want, f.Doubts)
		}
	}
}

func TestTheLevelBeforeADecayHasNoTime(t *testing.T) {
	s := specimen{n: 500, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}
	for level, want := range map[float64]bool{9: false, 9.35: false, 8: false, 9.7: true, 12: true} {
		f := mustFit(t, s.record(1), &Settings{Levels: []float64{level, 5}})
		if got := remark.Any(f.Doubts, KindLevelNotPassed); got != want {
			t.Errorf("%g V: doubted %v, want %v: %q", level, got, want, f.Doubts)
		}
	}
}

// Two ways that read the same points differ by a few per cent at most, or it is no decay that they read.
func TestADecayFollowedByALineIsDoubted(t *testing.T) {
	tau := func(method string, x float64) Result {
		return Result{Quantity: "tau", Method: method, Value: unitValue(x, 0.02, "s")}
	}
	for line, want := range map[float64]int{10: 0, 10.3: 0, 9.6: 0, 6: 1, 17: 1} {
		all := []Result{tau("curve", 10), tau("log_line", line), tau("rc", 3)}
		pairs := []Comparison{{Results: []int{0, 1}, Agree: line == 10}, {Results: []int{0, 2}}, {Results: []int{0, 1, 2}}}
		if got := methodDoubts(all, pairs); len(got) != want {
			t.Errorf("10 s and %g s: %q", line, got)
		}
	}
}

func TestADecayBelowGroundIsDoubted(t *testing.T) {
	for end, want := range map[float64]bool{0: false, -2: true, 3: false, -9: false} {
		s := specimen{n: 500, span: 60, sigma: 0.02, v: slowDischarge(9, end, 4, 10)}
		f := mustFit(t, s.record(1), nil)
		got := false
		for _, r := range f.Results {
			got = got || r.Quantity == "v_end" && remark.Any(r.Doubts, KindSettlesBelowGround)
		}
		if got != want {
			t.Errorf("settling at %g V: doubted %v, want %v", end, got, want)
		}
	}
}

// Of n independent comparisons the widest passes the limit as often as one passes 2, and Bonferroni's limit, for n
// tests at a level n times smaller (NIST/SEMATECH e-Handbook, 7.4.7.3, from memory), lies barely above it.
func TestManyComparisonsFailAsSeldomAsOne(t *testing.T) {
	normal := distuv.UnitNormal
	alpha := 2 * normal.Survival(2)
	for _, n := range []int{1, 2, 7, 16, 57, 200} {
		limit := AgreeingAll(n)
		if passes := 1 - math.Pow(1-2*normal.Survival(limit), float64(n)); math.Abs(passes-alpha) > 1e-9 {
			t.Errorf("of %d the widest passes %.3f in %.5f of all cases, want %.5f", n, limit, passes, alpha)
		}
		if bonferroni := normal.Quantile(1 - alpha/2/float64(n)); limit > bonferroni+1e-9 || limit < 0.99*bonferroni {
			t.Errorf("of %d the limit is %.3f, Bonferroni's %.3f", n, limit, bonferroni)
		}
	}
	if AgreeingAll(0) != AgreeingAll(1) || math.Abs(AgreeingAll(1)-agreeing) > 1e-12 {
		t.Errorf("alone: %v", AgreeingAll(1))
	}
}
