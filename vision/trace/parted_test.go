package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/raster"
)

// A level in noise, of which one column hangs together with the left part and not with the right one: the short part
// is as wide as a word and has stems, but it ends where the trace goes on.
func TestNoiseThatPartsALevelIsNoWord(t *testing.T) {
	const columns = 25. // of the display to a box
	rng := rand.New(rand.NewPCG(3, 1))
	var ends []float64
	for range 252 {
		ends = append(ends, 1.5+0.13*rng.NormFloat64())
	}
	y := func(x float64) float64 { return ends[min(max(int((x+5)*columns), 0), 250)] }
	p := plain()
	p.extra = func(x, v float64) ([3]float64, float64) {
		k := min(max(int((x+5)*columns), 0), 250)
		a, b := ends[k], ends[k+1]
		if k == 60 || k == 61 { // two columns that do not touch
			a, b = 1.5+0.13*float64(2*k-121), 1.5+0.15*float64(2*k-121)
		}
		if math.Abs(a-b) > 0.16 && math.Abs(v-(a+b)/2) < 0.03 { // a tall stroke is faint in its middle
			return yellow, 0
		}
		if math.Abs(x) < 5 && v > min(a, b)-0.02 && v < max(a, b)+0.02 {
			return yellow, 1
		}
		return yellow, 0
	}
	if tr := p.only(t); tr.Coverage < 0.95 || math.Abs(raster.Rank(finite(tr.Y), 0.5)-1.5) > 0.05 {
		t.Errorf("coverage %.2f, at %.2f (first end %.2f)", tr.Coverage, raster.Rank(finite(tr.Y), 0.5), y(-5))
	}
}
