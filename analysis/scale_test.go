package analysis_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate/unit"
)

// Every step of the 1-2-5 and 1-2.5-5 rows (common practice, no source) is found from a size read to 3 % and a known
// quantity that is off by up to the limits stated for it, and none is ever taken for another.
func TestForgottenSettingIsFoundOrRefused(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	refused, n := 0, 0
	for _, c := range []float64{1e-9, 2e-6, 2.5e-3, 5e-3, 0.01, 0.02, 0.25, 0.5, 1, 2, 2.5, 5, 100} {
		for range 200 {
			n++
			known := c * (1 + 6*rng.Float64())
			size := unit.Value{X: known / c, Unit: "1"}
			size.U = 0.015 * size.X
			size.X += size.U * rng.NormFloat64()
			s, err := analysis.FindScale(size, unit.Limits(known*(1+0.03*(2*rng.Float64()-1)), 0.03*known, "s"))
			if err != nil {
				refused++
			} else if math.Abs(s.Setting/c-1) > 1e-12 || math.Abs(s.Zeta) > 3.01 || math.Abs(s.NextZeta) < 5 {
				t.Fatalf("%v boxes of %v: found %v, off by %v, next %v by %v", size.X, c, s.Setting, s.Zeta, s.Next, s.NextZeta)
			}
		}
	}
	if refused > n/20 {
		t.Errorf("%d of %d refused", refused, n)
	}
}

func TestForgottenSettingIsRefusedWithAHint(t *testing.T) {
	one := func(x, u float64) unit.Value { return unit.Value{X: x, U: u, Unit: "1"} }
	volts := unit.Limits(9, 0.09, "V")
	for says, size := range map[string]unit.Value{
		"both 2 V a box":         one(4.4, 0.3),
		"not known well enough":  one(4.5, math.NaN()),
		"not known well enough ": one(-4.5, 0.1),
	} {
		_, err := analysis.FindScale(size, volts)
		var none *analysis.NotFoundError
		if !errors.As(err, &none) || !strings.Contains(err.Error(), strings.TrimSpace(says)) || none.Hint == "" {
			t.Errorf("%v boxes: %v, want %q", size, err, says)
		}
	}
}

// A display at 1.5 V a box is on no row: the value is told, with its uncertainty and the nearest step, and said to be
// off the row.
func TestASettingOffTheRowIsToldAsSuch(t *testing.T) {
	s, err := analysis.FindScale(unit.Value{X: 6.01, U: 0.03, Unit: "1"}, unit.Limits(9, 0.09, "V"))
	if err != nil || !s.OffRow || s.Setting != 1.5 || math.Abs(s.OffU-1.5*math.Hypot(0.03/6.01, 0.01/math.Sqrt(3))) > 1e-4 || s.Next != 1 && s.Next != 2 {
		t.Fatalf("%+v, %v", s, err)
	}
}

// A mains hum of 50 Hz with its period over 4.00 boxes was recorded at 5 ms a box: 1/(50 Hz) = 20 ms = 4 × 5 ms, by
// hand.
func TestForgottenSettingIsFound(t *testing.T) {
	s, err := analysis.FindScale(unit.Value{X: 4.01, U: 0.01, Unit: "1"}, unit.Value{X: 0.02, Unit: "s"})
	if err != nil {
		t.Fatal(err)
	}
	if s.OffRow || s.Setting != 0.005 || s.Next != 0.0025 || s.TakenLimit != 0.05 || !(math.Abs(s.Zeta) < 0.15) || !(s.NextZeta < -5) {
		t.Errorf("%+v", s)
	}
}
