package trace

import (
	"math"
	"slices"
	"testing"
)

// A column that goes on to its neighbour on one side lies up to half a column early or late where the trace is steep, and not where
// it is flat. The effect has to hold that, and no more.
func TestColumnsJoinedToOneSideAreWithinTheirEffect(t *testing.T) {
	const columns = 40. // a box
	y := sine(3, 2.4, 0)
	row := func(k float64) float64 { return math.Round(columns * y(k/columns)) }
	for _, side := range []float64{-1, 1} { // of the neighbour
		p := plain()
		p.pitch = 80
		p.extra = func(x, v float64) ([3]float64, float64) {
			k := math.Round(x * columns)
			a, b := row(k), row(k+side)
			if b > a {
				b = max(a, b-1)
			} else {
				b = min(a, b+1)
			}
			if j := math.Round(v * columns); j >= min(a, b) && j <= max(a, b) && math.Abs(x) < 5 {
				return yellow, 1
			}
			return yellow, 0
		}
		tr := p.only(t)
		k := slices.IndexFunc(tr.Effects, func(e Effect) bool { return e.Name == "columns of the display" })
		if k < 0 {
			t.Fatal("no effect of columns")
		}
		var late, most, n float64
		for i, x := range tr.X {
			slope := (y(x+0.01) - y(x-0.01)) / 0.02
			if math.Abs(slope) > 3 && !math.IsNaN(tr.Y[i]) {
				late += (y(x) - tr.Y[i]) / slope
				most += math.Sqrt(3) * tr.Effects[k].DX[i]
				n++
			}
		}
		late, most = late/n, most/n
		if d := late / most * -side; d < 0.7 || d > 1.25 {
			t.Errorf("joined to side %g: steep parts are %.4f box late, the effect allows %.4f", side, late, most)
		}
	}
}
