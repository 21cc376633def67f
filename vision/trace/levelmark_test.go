package trace

import (
	"math"
	"testing"
)

// A trace that passes the mark of the trigger's level at the right rim does not end on its shaft. A mark that the
// trace stays away from costs nothing.
func TestAMarkAtTheRightRimIsNotFollowed(t *testing.T) {
	for _, c := range []struct{ level, pass float64 }{{0.5, 4.86}, {0.5, 4.87}, {0.4, 4.87}, {-2, 4.9}} {
		level, truth := c.level, func(x float64) float64 { return 0.85*math.Sin(2*math.Pi*(x-c.pass)) + 0.5 }
		drawn := func(x float64) float64 { // its last column is missing
			if x > 4.95 {
				return math.NaN()
			}
			return truth(x)
		}
		p := plain()
		p.curves = []curve{{drawn, yellow, 0.02}}
		p.extra = func(x, y float64) ([3]float64, float64) {
			head := x > 4.75 && x < 4.93 && math.Abs(y-level) < 0.7*(x-4.75)
			shaft := x > 4.75 && x < 5 && math.Abs(y-level) < 0.02
			if head || shaft {
				return yellow, 1
			}
			return yellow, 0
		}
		tr := p.only(t)
		for i, y := range tr.Y {
			if off := math.Abs(y - truth(tr.X[i])); tr.X[i] > 4.5 && off > 0.16 {
				t.Errorf("%+v: %.2f box off at %.2f", c, off, tr.X[i])
			}
		}
		if seen := tr.Coverage; level < -1 && seen < 0.99 || seen < 0.95 {
			t.Errorf("%+v: coverage %.3f", c, seen)
		}
	}
}
