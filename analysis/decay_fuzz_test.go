package analysis

import (
	"errors"
	"math"
	"testing"

	"quadrille/calibrate"
)

// FuzzDecay fits records of arbitrary shape, spacing, gaps and settings: never a panic, never an error of another kind,
// never a number that is not finite, or a finite one whose uncertainty is 0 or missing, without a doubt.
func FuzzDecay(f *testing.F) {
	shapes := []func(x float64) float64{
		slowDischarge(100, 0, 20, 30), squareDriven(100, 25, 6, 3), func(float64) float64 { return 7 },
		func(x float64) float64 { return x }, func(x float64) float64 { return 50 * math.Sin(x/9) },
	}
	for i, shape := range shapes {
		for _, n := range []int{0, 3, 5, 9, 40, 150} {
			raw := make([]byte, n)
			for j := range raw {
				raw[j] = byte(int8(shape(float64(j))))
			}
			f.Add(raw, uint16(i*977), 1.0, 0.5)
		}
	}
	f.Add([]byte{255, 255, 0, 0, 9, 9, 1, 1}, uint16(0xffff), 1e-300, math.Inf(1))
	f.Fuzz(func(t *testing.T, raw []byte, how uint16, step, sigma float64) {
		rec := &calibrate.Record{}
		x := 0.0
		for j, b := range raw {
			if j == 400 {
				break
			}
			v := float64(int8(b))
			if how&1 != 0 && b == 255 {
				v = math.NaN()
			}
			if how&2 != 0 {
				x += step * float64(b&7) // unequal spacing, and times that do not rise
			} else {
				x += step
			}
			rec.T, rec.V = append(rec.T, x), append(rec.V, v)
			if how&4 == 0 {
				rec.Sigma = append(rec.Sigma, sigma)
			}
		}
		if how&8 != 0 {
			with(rec, "volts scale", true, func(_, v float64) (float64, float64) { return 0, 0.02 * v })
			with(rec, "ground line", false, func(_, _ float64) (float64, float64) { return step, sigma })
		}
		set := &Settings{Settles: Settles(how >> 4 & 3 % 3), SettlesAt: step}
		if how&64 != 0 {
			set.Levels = []float64{sigma, 10, 0}
			set.Resistance, set.Capacitance = unitValue(step, 0, "Ω"), unitValue(1e-6, math.Abs(sigma), "F")
		}
		if how&128 != 0 {
			set.From = &step
		}
		got, err := findDecays(t.Context(), rec, set)
		if err != nil {
			var setup *calibrate.SetupError
			var none *NotFoundError
			if got != nil || !errors.As(err, &setup) && !errors.As(err, &none) {
				t.Fatalf("error %#v with findings %v", err, got)
			}
			return
		}
		for _, r := range got.Results {
			sure := r.Value.U > 0 && !math.IsInf(r.Value.U, 0) && r.Expanded >= r.Value.U && !math.IsInf(r.Expanded, 0) && !math.IsNaN(r.Value.X) && !math.IsInf(r.Value.X, 0)
			if !sure && len(r.Doubts) == 0 {
				t.Errorf("%s by %s is %g ± %g (U = %g) without a doubt", r.Quantity, r.Method, r.Value.X, r.Value.U, r.Expanded)
			}
		}
		for _, c := range got.Comparisons {
			for _, i := range c.Results {
				if i < 0 || i >= len(got.Results) {
					t.Errorf("%v compares result %d of %d", c.What, i, len(got.Results))
				}
			}
			if c.What.Kind == "" || c.Agree && math.IsNaN(c.Zeta) {
				t.Errorf("%+v", c)
			}
		}
	})
}
