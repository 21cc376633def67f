package trace

import (
	"math"
	"testing"
)

// Of narrow pulses beside upright helper lines the edges are hidden or too faint to be seen: their tops are read all
// the same, and not the level between them alone. The dashes of a helper line over such a gap are none.
func TestNarrowPulsesBesideAHelperLineAreRead(t *testing.T) {
	const wide, apart = 0.14, 5.0
	inPulse := func(x float64) float64 { return x + 1.9 - apart*math.Round((x+1.9)/apart) } // from the pulse's middle
	p := plain()
	p.curves = []curve{{func(x float64) float64 {
		switch d := math.Abs(inPulse(x)) - wide/2; {
		case math.Abs(d) < 0.025:
			return math.NaN()
		case d < 0:
			return 0.6
		}
		return -1.1
	}, yellow, 0.025}}
	for _, pulses := range []bool{true, false} {
		helpers := func(x, y float64) ([3]float64, float64) {
			upright := math.Abs(inPulse(x)+wide/2+0.02) < 0.03 && math.Abs(y) < 4
			dash := math.Abs(x) < 5 && (math.Abs(y-2) < 0.03 || math.Abs(y+2) < 0.03) && math.Mod(x+5, 0.17) < 0.1
			gap := !pulses && math.Abs(inPulse(x)) < wide/2 // a level that is not seen in the gap
			if upright || dash {
				return yellow, 1
			}
			if gap && y > 0 && y < 1 {
				return p.field, 1
			}
			return yellow, 0
		}
		p.extra = helpers
		tr := p.only(t)
		tops, off := 0, 0
		for i, x := range tr.X {
			switch y := tr.Y[i]; {
			case math.Abs(inPulse(x)) < wide/2-0.03 && math.Abs(y-0.6) < 0.05:
				tops++
			case math.Abs(y+1.1) > 0.1:
				off++
			}
		}
		if pulses && tops < 4 || !pulses && tops > 0 || off > 2 {
			t.Errorf("pulses %v: %d samples on their tops, %d elsewhere", pulses, tops, off)
		}
	}
}
