package analysis

import (
	"math"
	"testing"

	"quadrille/calibrate/unit"
)

// tauOf is τ = 10.12 s, the time constant of 22 kΩ loaded with 1 MΩ and 470 µF, by hand: 470 µF × 21.526 kΩ.
func tauOf(x, u float64) []Result {
	return []Result{newResult("tau", "curve", "", x, "s", []Term{noiseTerm(u, 100)})}
}

// Every derivative of the budget is the difference quotient of the formula, and C put back as given gives R back.
func TestPartFromTauIsTheOtherPart(t *testing.T) {
	ohms := func(x, a float64) unit.Value { return unit.Limits(x, a, "Ω") }
	loaded := Settings{Resistance: ohms(22e3, 220), InputResistance: ohms(1e6, 1e4), SourceResistance: ohms(50, 5)}
	eff := 22050 * 1e6 / (22050 + 1e6)
	tau := 470e-6 * eff
	c, ok := partFromTau(&loaded, tauOf(tau, 0.02))
	if !ok || c.Quantity != "capacitance" || c.Method != "from tau" || math.Abs(c.Value.X/470e-6-1) > 1e-12 || c.Value.Unit != "F" {
		t.Fatalf("%+v", c)
	}
	back := Settings{Capacitance: unit.Limits(c.Value.X, 1e-6, "F"), InputResistance: loaded.InputResistance, SourceResistance: loaded.SourceResistance}
	r, ok := partFromTau(&back, tauOf(tau, 0.02))
	if !ok || r.Quantity != "resistance" || math.Abs(r.Value.X/22e3-1) > 1e-9 {
		t.Fatalf("%+v", r)
	}
	for _, s := range []Settings{loaded, back} {
		_, _, x, byTau, by := partOf(&s, tau)
		const h = 1e-6
		if _, _, up, _, _ := partOf(&s, tau*(1+h)); math.Abs((up-x)/(tau*h)/byTau-1) > 1e-4 {
			t.Errorf("by τ: %v, difference quotient %v", byTau, (up-x)/(tau*h))
		}
		for i, part := range []func(*Settings) *unit.Value{
			func(s *Settings) *unit.Value { return &s.Resistance }, func(s *Settings) *unit.Value { return &s.Capacitance },
			func(s *Settings) *unit.Value { return &s.InputResistance }, func(s *Settings) *unit.Value { return &s.SourceResistance },
		} {
			moved := s
			v := part(&moved)
			if v.X == 0 {
				continue
			}
			d := v.X * h
			v.X += d
			if _, _, up, _, _ := partOf(&moved, tau); math.Abs((up-x)/d/by[i]-1) > 1e-3 {
				t.Errorf("by part %d: %v, difference quotient %v", i, by[i], (up-x)/d)
			}
		}
	}
	// By hand: u(C)/C of τ, R and Rin in quadrature, the loads' shares being small.
	shunt := 1e6 / 1022050.0
	want := math.Sqrt(math.Pow(0.02/tau, 2) + math.Pow(220/math.Sqrt(3)/22050*shunt, 2) + math.Pow((1-shunt)*0.01/math.Sqrt(3), 2) + math.Pow(5/math.Sqrt(3)/22050*shunt, 2))
	if got := c.Value.U / c.Value.X; math.Abs(got/want-1) > 1e-9 {
		t.Errorf("relative u of C is %v, want %v", got, want)
	}
}

func TestPartFromTauNeedsOnePartAndATau(t *testing.T) {
	r, c := unit.Limits(22e3, 220, "Ω"), unit.Limits(470e-6, 1e-6, "F")
	for _, s := range []Settings{{}, {Resistance: r, Capacitance: c}} {
		if got, ok := partFromTau(&s, tauOf(10, 0.1)); ok {
			t.Errorf("%+v of %+v", got, s)
		}
	}
	if got, ok := partFromTau(&Settings{Resistance: r}, nil); ok {
		t.Errorf("%+v of no τ", got)
	}
	// 470 µF and an input of 20 kΩ: no R makes τ = 10.34 s.
	if got, ok := partFromTau(&Settings{Capacitance: c, InputResistance: unit.Value{X: 20e3, Unit: "Ω"}}, tauOf(10.34, 0.1)); ok {
		t.Errorf("%+v of an input below τ/C", got)
	}
	// What an unknown input may hide is told: 1 MΩ takes 2.2 % of τ beside 22 kΩ, and its U holds that; beside 220 kΩ it
	// takes 18 %.
	little, _ := partFromTau(&Settings{Resistance: r}, tauOf(10.34, 0.01))
	much, _ := partFromTau(&Settings{Resistance: unit.Limits(220e3, 2200, "Ω")}, tauOf(10.34, 0.01))
	if len(little.Doubts) != 0 || len(little.Notes) != 1 || !(little.Expanded > 0.022*little.Value.X) || len(much.Doubts) != 1 {
		t.Errorf("doubts %q and %q, notes %q, U %g", little.Doubts, much.Doubts, little.Notes, little.Expanded)
	}
}
