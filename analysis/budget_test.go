package analysis

import (
	"math"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tolerance)
	}
}

// The end-gauge calibration of JCGM 100:2008, H.1 (Table H.1, H.1.6; figures from memory): components of
// 25 nm (18 degrees of freedom), 9.7 nm (25.6), 2.9 nm (50) and 16.6 nm (2) give 32 nm with 16 effective
// degrees of freedom after truncation.
func TestBudgetCombinesTheEndGaugeOfTheGUM(t *testing.T) {
	var budget []Term
	for _, c := range [][2]float64{{25, 18}, {9.7, 25.6}, {2.9, 50}, {16.6, 2}} {
		budget = append(budget, noiseTerm(c[0], c[1]))
	}
	u, dof := combine(budget)
	near(t, "u in nm", u, 32, 0.5)
	near(t, "whole effective degrees of freedom", math.Floor(dof), 16, 0)
}

// Table G.2 of JCGM 100:2008 (Student's t for 95 %; from memory).
func TestCoverageFactorIsThatOfTheGUMTable(t *testing.T) {
	for _, c := range [][2]float64{{1, 12.71}, {2, 4.30}, {3, 3.18}, {5, 2.57}, {10, 2.23}, {20, 2.09}, {50, 2.01}, {math.Inf(1), 1.960}} {
		near(t, "k", coverageFactor(c[0]), c[1], 0.005)
	}
}

func TestBudgetTellsTheSizeOfAnEffect(t *testing.T) {
	rec := &calibrate.Record{T: []float64{0, 1, 2, 3}, V: []float64{4, math.NaN(), 1, 0.5}}
	cases := []struct {
		name   string
		e      calibrate.Effect
		size   float64
		inUnit string
	}{
		{"ground line", calibrate.Effect{DV: []float64{-0.02, 0, -0.02, -0.02}}, 0.02, "V"},
		{"trigger", calibrate.Effect{DT: []float64{0.1, 0.1, 0.1, 0.1}}, 0.1, "s"},
		{"gain", calibrate.Effect{DV: []float64{0.04, math.NaN(), 0.01, 0.005}}, 0.01, "1"},
		{"time base", calibrate.Effect{DT: []float64{0, 1e-4, 2e-4, 3e-4}, DV: make([]float64, 4)}, 1e-4, "1"},
		{"tilt", calibrate.Effect{DT: []float64{0, 1, 2, 3}, DV: []float64{1, 1, 1, 1}}, 1, "1"},
		{"nothing", calibrate.Effect{}, 1, "1"},
	}
	for _, c := range cases {
		size, in := effectSize(rec, c.e)
		if math.Abs(size-c.size) > 1e-12 || in != c.inUnit {
			t.Errorf("%s: %g %s, want %g %s", c.name, size, in, c.size, c.inUnit)
		}
	}
}

func TestEffectsOfOneNameAreOneTermAndAddInQuadrature(t *testing.T) {
	rec := &calibrate.Record{T: []float64{0, 1}, V: []float64{2, 4}, Effects: []calibrate.Effect{
		{Name: "graticule fit", DV: []float64{0.3, 0.3}},
		{Name: "volts scale", Shared: true, DV: []float64{0.02, 0.04}},
		{Name: "graticule fit", DV: []float64{0.8, 0}},
	}}
	mean := func(r *calibrate.Record) []float64 { return []float64{(r.V[0] + r.V[1]) / 2, r.V[1] * r.V[1]} }
	moves := effectMoves(t.Context(), rec, mean)
	terms := effectTerms(rec, moves, 0)
	if len(terms) != 2 || terms[0].Source != "graticule fit" || terms[1].Source != "volts scale" || !terms[1].Shared || terms[0].Shared {
		t.Fatalf("terms: %+v", terms)
	}
	near(t, "graticule fit", terms[0].U, math.Hypot(0.3, 0.4), 1e-12)
	near(t, "volts scale", terms[1].U, 0.03, 1e-12)
	near(t, "sensitivity to the volts scale", terms[1].Sensitivity, 3, 1e-9)
	// Of a square the half difference of up and down is exactly the derivative.
	near(t, "move of the square", moves[1][1], 2*4*0.04, 1e-12)
	if rec.V[0] != 2 || rec.V[1] != 4 {
		t.Error("effectMoves changed the record")
	}
}

func TestBudgetRefusesAnUncertaintyThatIsNotOne(t *testing.T) {
	for _, u := range []float64{0, math.NaN(), math.Inf(1)} {
		r := newResult("tau", "curve", "", 1, "s", []Term{noiseTerm(u, 10)})
		if !math.IsNaN(r.Value.U) || !math.IsNaN(r.Expanded) || len(r.Doubts) == 0 {
			t.Errorf("u = %g gave %+v", u, r)
		}
	}
}

func TestBudgetSaysWhenDegreesOfFreedomAreFew(t *testing.T) {
	if r := newResult("tau", "curve", "", 1, "s", []Term{noiseTerm(0.1, 2)}); !remark.Any(r.Notes, KindFewDegrees) || len(r.Doubts) != 0 {
		t.Errorf("at 2 degrees of freedom: doubts %q, notes %q", r.Doubts, r.Notes)
	}
	r := newResult("tau", "curve", "", 1, "s", []Term{noiseTerm(0.1, 10)})
	if len(r.Doubts)+len(r.Notes) != 0 {
		t.Errorf("at 10 degrees of freedom: doubts %q, notes %q", r.Doubts, r.Notes)
	}
	near(t, "U", r.Expanded, 0.223, 0.0005)
}

func TestCoverageFactorAtManyDegreesOfFreedom(t *testing.T) {
	for _, dof := range []float64{1e3, 1e5, 0.999e6, 1.001e6, 1e9, 1.4e17, math.Inf(1)} {
		if k := coverageFactor(dof); !(k > 1.9599 && k < 1.9624) {
			t.Errorf("at %g degrees of freedom: k = %v", dof, k)
		}
	}
}

func TestBudgetSaysWhyThereIsNoUncertainty(t *testing.T) {
	because := func(why string, more ...remark.Value) remark.Remark {
		return remark.Of(KindUncertaintyUnknown, append([]remark.Value{remark.Word("why", why)}, more...)...)
	}
	for _, c := range []struct {
		x      float64
		budget []Term
		why    remark.Remark
	}{
		{1, nil, because("inputs")},
		{1, []Term{noiseTerm(0, 5)}, because("inputs")},
		{1, []Term{noiseTerm(0.1, 0)}, because("freedom")},
		{1, []Term{noiseTerm(0.1, 5), {Source: "ground line", U: math.NaN(), DOF: math.Inf(1)}}, because("source", remark.Word("source", "ground line"))},
		{math.NaN(), []Term{noiseTerm(0.1, 5)}, because("value")},
	} {
		r := newResult("tau", "curve", "", c.x, "s", c.budget)
		if len(r.Doubts) != 1 || !r.Doubts[0].Equal(c.why) || !math.IsNaN(r.Expanded) {
			t.Errorf("%v of %+v: %q", c.x, c.budget, r.Doubts)
		}
	}
}
