package unit

import (
	"math"
	"slices"
	"testing"
)

// A column has one prefix, that of its largest number, and Plain as many decimals for all.
func TestAColumnHasOnePrefix(t *testing.T) {
	volts := ColumnOf("V", 9, 0.3, math.NaN())
	for v, want := range map[Value]string{
		{X: 9, U: 0.15, Unit: "V"}: "9.00(15) V", {X: 0.3, U: 0.15, Unit: "V"}: "0.30(15) V",
		{X: 0.3, U: 0.002, Unit: "V"}: "0.3000(20) V",
		{X: 0, U: 0.03, Unit: "V"}:    "0.000(30) V", {X: 0.25, Unit: "V"}: "0.25 V",
	} {
		if got := volts.Of(v); got != want {
			t.Errorf("%v is %q, want %q", v, got, want)
		}
	}
	for _, c := range []struct {
		values []float64
		unit   string
		want   []string
	}{
		{[]float64{8.962, 0.8103, 0.3336, 0}, "V", []string{"8.962 V", "0.810 V", "0.334 V", "0.000 V"}},
		{[]float64{0, 5, 7.5, 40}, "s", []string{"0.00 s", "5.00 s", "7.50 s", "40.00 s"}},
		{[]float64{0.0012, 0.013, 1.2}, "s", []string{"0.0012 s", "0.0130 s", "1.2000 s"}},
		{[]float64{-0.02, 0.0005}, "V", []string{"−20.00 mV", "0.50 mV"}},
		{[]float64{0, 0}, "V", []string{"0 V", "0 V"}},
		{[]float64{math.NaN()}, "V", []string{"not determined"}},
	} {
		var got []string
		for _, x := range c.values {
			got = append(got, ColumnOf(c.unit, c.values...).Plain(x, 4, 7))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %q, want %q", c.values, got, c.want)
		}
	}
}
