package stroke

import (
	"math"
	"testing"
)

// Two columns on a tick, five boxes from the trace on either side, go; narrow pulses, whose columns touch the
// level's, and dots that are not joined stay.
func TestLonelySamplesAreNoTrace(t *testing.T) {
	nan := math.NaN()
	made := func(set func(i int) float64) *Centres {
		c := &Centres{Y: make([]float64, 500), Sigma: make([]float64, 500), Thick: make([]float64, 500)}
		for i := range c.Y {
			c.Y[i] = set(i)
		}
		c.dropLonely(plainSheet())
		return c
	}
	onTicks := func(a, b int) *Centres { // two columns in a gap of the trace
		return made(func(i int) float64 {
			switch {
			case i == a || i == b:
				return 0
			case i > 200 && i < 260:
				return nan
			case i < 230:
				return -4
			}
			return 3
		})
	}
	tick := onTicks(250, 251)
	if !math.IsNaN(tick.Y[250]) || !math.IsNaN(tick.Y[251]) || math.IsNaN(tick.Y[200]) || math.IsNaN(tick.Y[260]) {
		t.Errorf("a tick and the trace beside it: %v, %v and %v", tick.Y[250], tick.Y[200], tick.Y[260])
	}
	ticks := onTicks(240, 250)
	if !math.IsNaN(ticks.Y[240]) || !math.IsNaN(ticks.Y[250]) || math.IsNaN(ticks.Y[200]) {
		t.Errorf("two ticks of a line and the trace beside them: %v, %v and %v", ticks.Y[240], ticks.Y[250], ticks.Y[200])
	}
	first := made(func(i int) float64 {
		switch {
		case i == 100:
			return 0
		case i < 110:
			return nan
		}
		return 3
	})
	if !math.IsNaN(first.Y[100]) || math.IsNaN(first.Y[110]) {
		t.Errorf("a tick before the trace, %v, and its beginning, %v", first.Y[100], first.Y[110])
	}
	pulse := made(func(i int) float64 {
		if i == 250 {
			return 3
		}
		return -1
	})
	if math.IsNaN(pulse.Y[250]) {
		t.Error("a pulse of one column is dropped")
	}
	dots := made(func(i int) float64 {
		if i%4 != 0 {
			return nan
		}
		return 3 * math.Sin(float64(i)/8)
	})
	if n := len(finite(dots.Y)); n != 125 {
		t.Errorf("%d of 125 dots are left", n)
	}
}

// How wide a piece may be, how far from the trace it has to be, and how many there may be.
func TestWhatIsLonely(t *testing.T) {
	for _, c := range []struct {
		name   string
		off    float64 // box, from the trace
		wide   int     // columns
		pieces int
		lonely bool
	}{
		{"two columns", 2, 2, 1, true},
		{"five columns", 2, 5, 1, false},
		{"0.2 box from the trace", 0.2, 2, 1, false},
		{"0.45 box from the trace", 0.45, 2, 1, true},
		{"seven of 450 columns", 2, 1, 7, true},
		{"twelve of 450 columns", 2, 1, 12, false},
	} {
		trace := scattered(0, 0, 500, 1)
		for k := range c.pieces {
			for i := range 4 + c.wide {
				trace.Y[20+30*k+i] = math.NaN()
				if i >= 2 && i < 2+c.wide {
					trace.Y[20+30*k+i] = c.off
				}
			}
		}
		trace.dropLonely(plainSheet())
		if got := math.IsNaN(trace.Y[22]); got != c.lonely {
			t.Errorf("%s: lonely: %v", c.name, got)
		}
	}
}
