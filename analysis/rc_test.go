package analysis

import (
	"math"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// Common practice, no source: 9.9 kΩ with 1000 µF is 9.9 s.
func TestRCIsTheProductWithoutLoads(t *testing.T) {
	tau, budget := tauRC(&Settings{Resistance: unitValue(9.9e3, 99, "Ω"), Capacitance: unitValue(1000e-6, 20e-6, "F")})
	near(t, "τ", tau, 9.9, 1e-12)
	u, _ := combine(budget)
	near(t, "u/τ", u/tau, math.Hypot(0.01, 0.02), 1e-9) // relative variances of a product add (JCGM 100:2008, 5.1.6)
}

// Change of τ by an input of 1 MΩ or 10 MΩ in parallel and by a generator of 50 Ω in series (worked out by hand from
// Ohm's law to the digits given).
func TestRCWithLoads(t *testing.T) {
	for _, c := range []struct{ r, in, source, percent, digits float64 }{
		{1e3, 1e6, 0, -0.10, 0.005}, {10e3, 1e6, 0, -0.99, 0.005}, {100e3, 1e6, 0, -9.1, 0.05}, {1e6, 1e6, 0, -50, 0.05},
		{10e3, 10e6, 0, -0.10, 0.005}, {100e3, 10e6, 0, -0.99, 0.005}, {1e6, 10e6, 0, -9.1, 0.05},
		{1e3, 0, 50, 5.0, 0.05}, {10e3, 0, 50, 0.50, 0.005}, {100e3, 0, 50, 0.05, 0.005},
	} {
		const farad = 1e-7
		tau, _ := tauRC(&Settings{Resistance: unitValue(c.r, 0, "Ω"), Capacitance: unitValue(farad, 0, "F"),
			InputResistance: unitValue(c.in, 0, "Ω"), SourceResistance: unitValue(c.source, 0, "Ω")})
		near(t, "change in %", 100*(tau/(c.r*farad)-1), c.percent, c.digits)
	}
}

// Common practice, no source: 9.9 kΩ beside 1 MΩ is 9.80 kΩ.
func TestLoopResistanceIsWhatTheCapacitorSees(t *testing.T) {
	r, ok := loopResistance(&Settings{Resistance: unitValue(9.9e3, 10, "Ω"), InputResistance: unitValue(1e6, 1e4, "Ω")})
	if !ok || r.Label != "R ∥ Rin" || r.Value.Unit != "Ω" {
		t.Fatalf("%+v", r)
	}
	near(t, "9.9 kΩ beside 1 MΩ", r.Value.X, 9.80e3, 5)
	near(t, "its u", r.Value.U, math.Hypot(10/1.0099/1.0099, 1e4*0.0098*0.0098), 0.01)
	if r, _ := loopResistance(&Settings{Resistance: unitValue(1e3, 1, "Ω"), SourceResistance: unitValue(50, 1, "Ω")}); r.Value.X != 1050 || r.Label != "R + Rs" {
		t.Errorf("%+v", r)
	}
	if _, ok := loopResistance(&Settings{Resistance: unitValue(1e3, 1, "Ω")}); ok {
		t.Error("R alone")
	}
}

// Sensitivities against differences, one part at a time.
func TestRCBudgetIsItsDerivative(t *testing.T) {
	x := []float64{22e3, 4.7e-7, 1e6, 600}
	at := func(x []float64) float64 {
		tau, _ := tauRC(&Settings{Resistance: unitValue(x[0], 1, "Ω"), Capacitance: unitValue(x[1], 1e-9, "F"),
			InputResistance: unitValue(x[2], 1e4, "Ω"), SourceResistance: unitValue(x[3], 1, "Ω")})
		return tau
	}
	_, budget := tauRC(&Settings{Resistance: unitValue(x[0], 1, "Ω"), Capacitance: unitValue(x[1], 1e-9, "F"),
		InputResistance: unitValue(x[2], 1e4, "Ω"), SourceResistance: unitValue(x[3], 1, "Ω")})
	for i := range x {
		h := 1e-4 * x[i]
		up, down := append([]float64(nil), x...), append([]float64(nil), x...)
		up[i] += h
		down[i] -= h
		want := (at(up) - at(down)) / (2 * h)
		near(t, budget[i].Source, budget[i].Sensitivity, want, 1e-6*math.Abs(want))
	}
}

// A resistor of ±5 % beside a capacitor of ±5 % gives 4 % of R·C, and a comparison with it is worth something; with one
// of ±10 % it is 6.5 %, and agreement says little.
func TestALooseProductIsToldAsSuch(t *testing.T) {
	for share, want := range map[float64]bool{0.04: false, 0.065: true} {
		notes, _ := rcRemarks(&Settings{}, Result{Value: unitValue(10, 10*share, "s")})
		if got := remark.Any(notes, KindRCLoose); got != want {
			t.Errorf("%g of R·C: told as loose %v", share, got)
		}
	}
}

func TestLooseOrMissingTolerancesAreDoubted(t *testing.T) {
	rec := specimen{n: 300, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}.record(1)
	set := &Settings{Resistance: unitValue(21.9e3, 40, "Ω"), Capacitance: unitValue(470e-6, 470e-6*0.2/math.Sqrt(3), "F"), InputResistance: unitValue(1e6, 1e4, "Ω")}
	if r := find(mustFit(t, rec, set), "tau", "rc"); !remark.Any(r.Notes, KindRCLoose) || remark.Any(r.Doubts, KindInputUnknown) {
		t.Errorf("±20 %%: notes %q, doubts %q", r.Notes, r.Doubts)
	}
	// A load that shortens τ by more than U puts the value in question; a smaller one is worth a note.
	set.InputResistance.X = 0
	if r := find(mustFit(t, rec, set), "tau", "rc"); !remark.Any(r.Notes, KindInputUnknown) || remark.Any(r.Doubts, KindInputUnknown) {
		t.Errorf("±20 %%, no input resistance: notes %q, doubts %q", r.Notes, r.Doubts)
	}
}

// Parts without a tolerance count with that of marked parts (±5 % and ±20 %; common practice, no source), and so can be
// compared.
func TestPartsWithoutAToleranceCountAsMarked(t *testing.T) {
	rec := specimen{n: 300, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 4, 10)}.record(1)
	set := &Settings{Resistance: unitValue(22e3, 0, "Ω"), Capacitance: unitValue(470e-6, 0, "F")}
	f := mustFit(t, rec, set)
	r := find(f, "tau", "rc")
	near(t, "relative u of R·C", r.Value.U/r.Value.X, math.Hypot(0.05, 0.20)/math.Sqrt(3), 1e-6)
	compared := slices.ContainsFunc(f.Comparisons, func(c Comparison) bool {
		return c.What.Kind == KindTwoWays && c.What.Word("other") == "rc" && c.Agree
	})
	if !compared || !remark.Any(r.Notes, KindNoAccuracy) || !remark.Any(r.Notes, KindRCLoose) {
		t.Errorf("compared %v, notes %q", compared, r.Notes)
	}
	c := find(mustFit(t, rec, &Settings{Resistance: unitValue(22e3, 0, "Ω")}), "capacitance", "from tau")
	if !(c.Value.U > 0.05/math.Sqrt(3)*c.Value.X) || !remark.Any(c.Notes, KindNoAccuracy) {
		t.Errorf("C = %v, notes %q", c.Value, c.Notes)
	}
	if set.Resistance.U != 0 {
		t.Error("the settings given were changed")
	}
}

// 50 Ω beside 1 kΩ are 5 %, beside 22 kΩ 0.2 %: told where U is not far wider.
func TestTheSourceIsSuggestedByItsSize(t *testing.T) {
	for _, c := range []struct {
		r, limit, source float64
		told             bool
	}{{1e3, 0.01, 0, true}, {22e3, 0.01, 0, false}, {22e3, 0.0005, 0, true}, {1e3, 0.2, 0, false}, {1e3, 0.01, 50, false}} {
		s := &Settings{Resistance: unit.Limits(c.r, c.limit*c.r, "Ω"), Capacitance: unit.Limits(1e-6, 1e-10, "F"), SourceResistance: unit.Value{X: c.source}}
		r := circuitResults(s, nil)[0]
		if remark.Any(r.Notes, KindSourceUnknown) != c.told {
			t.Errorf("%g Ω ± %g, source %g Ω: notes %q", c.r, c.limit, c.source, r.Notes)
		}
	}
}
