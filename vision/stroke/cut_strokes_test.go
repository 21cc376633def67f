package stroke

import (
	"math"
	"testing"
)

// Of a stroke that is cut off at the lowest line the inner end is where it belongs: its centre lies half a usual
// thickness further out. Edges stay, and of too few whole strokes the half of a thickness is what is not known.
func TestStrokesThatTheRimCutsOff(t *testing.T) {
	const usual, end = 0.06, -3.98 // box: thickness of a stroke, upper end of those that are cut off
	for _, c := range []struct {
		name  string
		thick float64 // of the cut strokes, in usual ones
		off   float64 // of their lower end from the line, box
		whole int     // how many other strokes there are
		y     float64 // wanted
		sigma float64 // wanted, box
	}{
		{"on the line", 0.5, 0, 100, end - 0.03, 0.001},
		{"0.02 box off it", 0.5, 0.02, 100, end - 0.03, 0.001},
		{"0.045 box off it is not cut", 0.5, 0.045, 100, end - 0.015, 0.001},
		{"thick with noise", 1.6, 0, 100, end - 0.03, 0.001},
		{"an edge", 3, 0, 100, end - 0.09, 0.001},
		{"fourteen whole strokes tell the thickness", 0.5, 0, 14, end - 0.03, 0.001},
		{"seven do not", 0.5, 0, 7, end - 0.015, 0.015},
	} {
		trace := scattered(0, 0, 500, 1)
		trace.top = make([]float64, 500)
		for i := range trace.Y {
			y, h, top := 1.0, usual, 1+usual/2
			if i >= c.whole {
				y, h = math.NaN(), math.NaN()
			}
			if i == 400 {
				h = c.thick * usual
				y, top = end-h/2, end
			}
			trace.Y[i], trace.Sigma[i], trace.Thick[i], trace.top[i] = y, 0.001, h, top
		}
		rim := end - c.thick*usual - c.off
		trace.mendCut(rim, -1)
		if math.Abs(trace.Y[400]-c.y) > 1e-6 {
			t.Errorf("%s: the centre is at %.4f, want %.4f", c.name, trace.Y[400], c.y)
		}
		if r := trace.Sigma[400] / c.sigma; r < 0.7 || r > 1.4 {
			t.Errorf("%s: sigma %.4f box, want %.4f", c.name, trace.Sigma[400], c.sigma)
		}
	}
}
