package report

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestTicksAreRoundAndEven(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		wide := math.Pow(10, rapid.Float64Range(-6, 6).Draw(t, "wide"))
		n := rapid.IntRange(2, 12).Draw(t, "n")
		if wide < 1e-9*math.Abs(lo) {
			return
		}
		at, decimals := ticks(lo, lo+wide, n)
		if len(at) > n+1 || len(at) < n/3 {
			t.Fatalf("%d ticks for %d steps", len(at), n)
		}
		for i, v := range at {
			if v < lo-1e-6*wide || v > lo+wide*(1+1e-6) {
				t.Fatalf("tick %v outside of %v to %v", v, lo, lo+wide)
			}
			if i == 0 {
				continue
			}
			step := v - at[i-1]
			mantissa := step / math.Pow(10, math.Floor(math.Log10(step*1.0001)))
			if d := min(math.Abs(mantissa-1), math.Abs(mantissa-2), math.Abs(mantissa-5)); d > 1e-3 {
				t.Fatalf("a step of %v", step)
			}
			if fixed(v, decimals) == fixed(at[i-1], decimals) {
				t.Fatalf("two ticks read %s", fixed(v, decimals))
			}
		}
	})
	if at, _ := ticks(1, 1, 5); at != nil {
		t.Errorf("an empty range has the ticks %v", at)
	}
	if at, _ := ticks(math.NaN(), 1, 5); at != nil {
		t.Errorf("an unknown range has the ticks %v", at)
	}
}

// What is nothing once it is rounded has no sign.
func TestZeroHasNoSign(t *testing.T) {
	for v, want := range map[float64]string{-0.004: "0.00", 0.004: "0.00", 0: "0.00", -0.006: "−0.01", 0.51: "+0.51"} {
		if got := signed(v, 2); got != want {
			t.Errorf("%g is printed %q, want %q", v, got, want)
		}
	}
}
