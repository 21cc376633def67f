package trace

import (
	"math"
	"testing"

	"quadrille/vision/raster"
)

func TestHelperLinesComeAfterTheTrace(t *testing.T) {
	decay := func(x float64) float64 { return -3 + 5.5*math.Exp(-max(x+3.7, 0)/1.8) }
	white := [3]float64{0.8, 0.8, 0.8}
	for _, lines := range [][3]float64{yellow, white} {
		p := plain()
		p.curves = []curve{{decay, yellow, 0.015}, {flat(-1.3), lines, 0.015}, {flat(0.8), lines, 0.015}, {flat(3.1), lines, 0.015}}
		ph, g := p.paint(t)
		ts, err := Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, rms := meanAndRMS(errorsOf(ts[0], decay, nil)); rms > 0.02 || ts[0].Coverage < 0.9 || ts[0].Line || len(ts[0].Doubts) > 0 {
			t.Errorf("lines of %v: rms %.3f box, coverage %.2f, doubts %q", lines, rms, ts[0].Coverage, ts[0].Doubts)
		}
		for _, o := range ts[1:] {
			if !o.Line {
				t.Errorf("lines of %v: trace %s is taken for a curve", lines, o.Name)
			}
		}
	}
}

// A level is measured by putting a helper line on it; what rests there is still the trace.
func TestALineOnTheTracesLevelDoesNotHideIt(t *testing.T) {
	square := func(x float64) float64 { return math.Copysign(2, math.Sin(2*math.Pi*(x+0.37)/3)) }
	p := plain()
	p.curves = []curve{{square, yellow, 0.02}, {flat(-2), yellow, 0.02}}
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	high, low := 0, 0
	for _, y := range ts[0].Y {
		if math.Abs(y-2) < 0.05 {
			high++
		} else if math.Abs(y+2) < 0.05 {
			low++
		}
	}
	if n := len(ts[0].Y); high < n/3 || low < n/3 {
		t.Errorf("of %d samples %d are high and %d low", n, high, low)
	}
}

// A steady level alone is a trace.
func TestALevelAloneIsRead(t *testing.T) {
	p := plain()
	p.curves = []curve{{flat(1.3), yellow, 0.02}}
	if tr := p.only(t); !tr.Line || math.Abs(raster.Rank(finite(tr.Y), 0.5)-1.3) > 0.01 {
		t.Errorf("level at %.3f, want 1.3", raster.Rank(finite(tr.Y), 0.5))
	}
}

// An upright line that crosses the trace, in two parts because something is drawn over it, is no stroke of it; a
// narrow pulse is.
func TestAnUprightHelperLineIsNoStroke(t *testing.T) {
	square := func(x float64) float64 { return math.Copysign(1, math.Sin(2*math.Pi*(x+0.37)/3)) + 1 }
	p := plain()
	p.curves = []curve{{square, yellow, 0.02}}
	p.extra = func(x, y float64) ([3]float64, float64) {
		if math.Abs(x-2.2) < 0.015 && y < 3.2 && math.Abs(y-0.9) > 0.2 || math.Abs(x+0.35) < 0.02 && y > 0 && y < 3.6 {
			return yellow, 1
		}
		return yellow, 0
	}
	tr := p.only(t)
	line, pulse := 0.0, 0.0
	for i, x := range tr.X {
		if math.Abs(x-2.2) < 0.1 && !math.IsNaN(tr.Y[i]) {
			line = max(line, math.Abs(tr.Y[i]-square(x)))
		}
		if math.Abs(x+0.35) < 0.1 && !math.IsNaN(tr.Y[i]) {
			pulse = max(pulse, tr.Thick[i])
		}
	}
	if line > 0.1 || pulse < 1.2 {
		t.Errorf("at the line %.2f boxes off, the pulse %.2f boxes high", line, pulse)
	}
}
