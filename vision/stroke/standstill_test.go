package stroke

import (
	"math"
	"testing"
)

// A trace stands still beside an edge, if only for a moment, and for longer where it comes and goes on slopes.
func TestWhereATraceStandsStill(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns int
		edges   bool // at both ends, otherwise slopes
		still   bool
	}{
		{"four columns between edges", 4, true, false},
		{"seven columns between edges", 7, true, true},
		{"0.36 box between slopes", 18, false, false},
		{"0.8 box between slopes", 40, false, true},
	} {
		trace := made(func(x float64) float64 {
			away := math.Abs(x-5) - float64(c.columns)*0.01
			switch {
			case away < 0:
				return 0
			case c.edges:
				return math.Copysign(0.5+away, x-5)
			}
			return math.Copysign(away, x-5)
		})
		trace.Pixel = 0.00577
		still := false
		for _, r := range trace.rests(plainSheet()) {
			still = still || r.first <= 250 && r.last >= 250
		}
		if still != c.still {
			t.Errorf("%s: stands still: %v", c.name, still)
		}
	}
}

// A trace has levels only when all but its edges, a seventh, is at rest.
func TestWhichTraceHasLevelsOnly(t *testing.T) {
	for _, c := range []struct {
		rest float64 // share of the trace
		only bool
	}{{0.5, false}, {0.78, false}, {0.93, true}, {1, true}} {
		trace := made(func(x float64) float64 { return max(x-10*c.rest, 0) })
		trace.Pixel = 0.00577
		if got := trace.onlyRests(plainSheet()); got != c.only {
			t.Errorf("%.2f at rest: levels only: %v", c.rest, got)
		}
	}
}

// The signal's noise is measured by means over 0.16 box, wider than a photo's blur, where the trace is level.
func TestWhatALevelsNoiseIs(t *testing.T) {
	wave := made(func(x float64) float64 { return 0.08 * math.Sin(math.Pi*x) })
	for _, c := range []struct {
		name        string
		trace       *Centres
		least, most float64
	}{
		{"a level", scattered(0, 0.02, 500, 1), 0.016, 0.024},
		{"means over five columns", scattered(0, 0.02/math.Sqrt(5), 500, 5), 0.0155, 0.022},
		{"a slow wave", wave, 0, 0.01},
		{"a slow rise", scattered(0.1, 0.005, 500, 1), 0.004, 0.006},
		{"a rise", scattered(0.24, 0.005, 500, 1), 0, 0},
		{"six differences", scattered(0, 0.02, 72, 1), 0, 0},
		{"eleven differences", scattered(0, 0.02, 112, 1), 0.01, 0.03},
	} {
		if got := c.trace.flicker(plainSheet()); got < c.least || got > c.most {
			t.Errorf("%s: a noise of %.4f box, want %g to %g", c.name, got, c.least, c.most)
		}
	}
}

// Neighbouring columns of the display, two of the sheet's each, show its noise; a bend is none.
func TestWhatNeighboursDifferBy(t *testing.T) {
	flat := make([]bool, 500)
	for i := range flat {
		flat[i] = true
	}
	pairs := scattered(0, 0.01, 500, 1)
	for i := 1; i < 500; i += 2 {
		pairs.Y[i] = pairs.Y[i-1]
	}
	if got := pairs.differs(flat); got < 0.0085 || got > 0.0115 {
		t.Errorf("pairs of columns have a noise of %.4f box, want 0.01", got)
	}
	bent := made(func(x float64) float64 { return 0.01 * math.Sin(2*math.Pi*x/0.4) })
	if got := bent.differs(flat); got > 0.003 {
		t.Errorf("a wave has a noise of %.4f box", got)
	}
}
