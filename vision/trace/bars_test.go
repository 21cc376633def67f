package trace

import (
	"math"
	"testing"
)

// The words that a tube with a readout draws glow and run together to bars. They are no trace, and a square wave
// beneath them whose edges are too fast to be seen is followed from its start; the words alone are doubted.
func TestWordsOfATubeAreNoTrace(t *testing.T) {
	green := [3]float64{0.05, 0.8, 0.6}
	word := func(x, y float64) bool {
		for _, w := range [][2]float64{{-4.7, 0.45}, {-3.9, 1}, {-2.5, 0.8}, {-1.5, 0.75}, {1.2, 1.1}, {2.9, 0.8}, {4.1, 0.65}} {
			if x > w[0] && x < w[0]+w[1] && math.Abs(y-3.5-0.02*math.Sin(40*x)) < 0.19 {
				return true
			}
		}
		return false
	}
	truth := func(x float64) float64 {
		if math.Mod(x+9.7, 2.5) < 1.4 {
			return 2.4
		}
		return -2.6
	}
	p := plain()
	p.grid = [3]float64{}
	p.curves = []curve{{func(x float64) float64 {
		if truth(x-0.03) != truth(x+0.03) {
			return math.NaN()
		}
		return truth(x)
	}, [3]float64{0.02, 0.2, 0.16}, 0.03}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		if word(x, y) {
			return green, 1
		}
		return green, 0
	}
	tr := p.only(t)
	if _, rms := meanAndRMS(errorsOf(tr, truth, nil)); rms > 0.03 || tr.Coverage < 0.85 || len(tr.Doubts) > 0 {
		t.Errorf("%.3f box off (rms), coverage %.2f, doubts %q", rms, tr.Coverage, tr.Doubts)
	}
	whole := p.curves[0].y
	for _, end := range []float64{0.5, -5} { // a part of the trace, none of it
		p.curves[0].y = func(x float64) float64 {
			if x > end {
				return math.NaN()
			}
			return whole(x)
		}
		ph, g := p.paint(t)
		if ts, err := Extract(t.Context(), ph, g, nil); err == nil && len(ts[0].Doubts) == 0 {
			t.Errorf("up to %g: read without a doubt", end)
		}
	}
}
