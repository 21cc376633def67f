package trace

import (
	"math"
	"testing"
)

// Where something hides a trace and another one in a colour near to its own goes on, the first is left out there: it
// does not go along the other.
func TestATraceComesBackFromAnothers(t *testing.T) {
	green := [3]float64{0.55, 0.85, 0.2} // 0.26 radians from yellow
	dips := func(x float64) float64 {    // comes to 1 at both ends of the gap
		if u := (x + 0.6) / 1.6; u > 0 && u < 1 {
			return 1 - 0.6*math.Pow(math.Sin(math.Pi*u), 2)
		}
		return 1 - 0.8*max(-0.6-x, x-1)
	}
	p := plain()
	p.curves = []curve{{outsideOf(flat(1), -0.5, 0.9), yellow, 0.02}, {dips, green, 0.02}}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	first := Nearest(ts, [3]uint8{230, 225, 90})
	if first == nil {
		t.Fatal("no yellow trace")
	}
	off := 0
	for i, y := range first.Y {
		if x := first.X[i]; x > -0.4 && x < 0.8 && y < 0.85 {
			off++
		}
	}
	if off > 3 {
		t.Errorf("%d samples lie on the other trace", off)
	}
}
