package trace

import (
	"math"
	"testing"
)

// A lead in the trace's colour, thicker and brighter, that hangs before a part of the screen is left for the trace
// that goes on beside it.
func TestATraceGoesOnBesideACable(t *testing.T) {
	truth := sine(0.7, 6, 2)
	for _, side := range []float64{1, -1} {
		p := plain()
		p.curves = []curve{
			{truth, [3]float64{0.25, 0.23, 0.03}, 0.015},
			{func(x float64) float64 {
				if side*x > -0.5 {
					return math.NaN()
				}
				return -1.5 - 0.1*x*x
			}, yellow, 0.07},
		}
		ph, g := p.paint(t)
		ts, err := Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, rms := meanAndRMS(errorsOf(ts[0], truth, nil)); rms > 0.03 || ts[0].Coverage < 0.9 {
			t.Errorf("side %g: %.2f box off (rms), coverage %.2f", side, rms, ts[0].Coverage)
		}
	}
}
