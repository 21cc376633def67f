package trace

// Ways in which displays draw a curve, and what each must give.

import (
	"math"
	"testing"

	"quadrille/calibrate/remark"
)

// What a display draws on its highest line because the signal lies above is absent, and told.
func TestClippedPartIsAbsent(t *testing.T) {
	p := plain()
	p.cut = true
	wave := sine(5, 1.5, 0)
	p.curves = []curve{{func(x float64) float64 { return min(max(wave(x), -4), 4) }, yellow, 0.02}}
	tr := p.only(t)
	for i, y := range tr.Y {
		if math.Abs(wave(tr.X[i])) > 4.2 && !math.IsNaN(y) {
			t.Errorf("at %.2f: y = %.3f, where the trace is clipped", tr.X[i], y)
		}
	}
	if !remark.Any(tr.Doubts, KindLeavesTop) || !remark.Any(tr.Doubts, KindLeavesBottom) {
		t.Errorf("doubts %q", tr.Doubts)
	}
	// A charge that starts from the lowest line is not.
	p.curves = []curve{{func(x float64) float64 {
		if x < -3 {
			return -4
		}
		return 2 - 6*math.Exp(-(x+3)/1.5)
	}, yellow, 0.02}}
	if tr := p.only(t); tr.Coverage < 0.97 || len(tr.Doubts) > 0 {
		t.Errorf("a charge from the lowest line: coverage %.2f, doubts %q", tr.Coverage, tr.Doubts)
	}
}

// A square wave whose lower level was cut off at the lowest line has edges and no corners: its mark, which is
// elsewhere, tells. Where ground is on that line there is nothing to doubt, as on the line that the levels do not
// reach.
func TestALevelCutOffAtTheRimIsDoubted(t *testing.T) {
	for _, c := range []struct {
		low, mark float64
		doubted   bool
	}{{-4, -3, true}, {-4, -4, false}, {-3.5, -3, false}} {
		p := plain()
		p.cut = true
		p.curves = []curve{{func(x float64) float64 {
			if math.Sin(2*math.Pi*(x+0.4)/3) > 0 {
				return 1
			}
			return c.low
		}, yellow, 0.02}}
		p.extra = drawn(flag, -5.05, c.mark, -4, 9)
		tr := p.only(t)
		if told := remark.Any(tr.Doubts, KindCutBelow); told != c.doubted || math.Abs(tr.GroundMark-c.mark) > 0.05 {
			t.Errorf("low level at %g: mark at %.2f, doubts %q", c.low, tr.GroundMark, tr.Doubts)
		}
	}
}

// Sweeps drawn before, a fifth as bright, do not move the trace.
func TestShadowsOfEarlierSweepsAreNotFollowed(t *testing.T) {
	p := plain()
	truth := sine(2, 1.5, 0.3)
	dim := [3]float64{yellow[0] / 5, yellow[1] / 5, yellow[2] / 5}
	for _, shift := range []float64{0.25, -0.3, 0.6} {
		p.curves = append(p.curves, curve{func(x float64) float64 { return truth(x + shift) }, dim, 0.02})
	}
	p.curves = append(p.curves, curve{truth, yellow, 0.02})
	ph, g := p.paint(t)
	ts, err := Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	tr := ts[0]
	if mean, rms := meanAndRMS(errorsOf(tr, truth, nil)); math.Abs(mean) > 0.005 || rms > 0.03 || tr.Coverage < 0.85 {
		t.Errorf("mean error %.4f, rms %.4f box, coverage %.3f", mean, rms, tr.Coverage)
	}
}

// Samples that the display does not join are a trace all the same, absent between them.
func TestUnjoinedDotsAreATrace(t *testing.T) {
	p := plain()
	truth := sine(2, 1, 0.3)
	p.extra = func(x, y float64) ([3]float64, float64) {
		at := math.Round(x/0.1) * 0.1
		dx, dy := x-at, y-truth(at)
		if math.Abs(x) > 5 {
			return yellow, 0
		}
		return yellow, math.Exp(-(dx*dx + dy*dy) / (2 * 0.02 * 0.02))
	}
	tr := p.only(t)
	dot := func(x float64) bool { return math.Abs(x-math.Round(x/0.1)*0.1) < 0.015 }
	mean, rms := meanAndRMS(errorsOf(tr, truth, dot))
	if math.Abs(mean) > 0.005 || rms > 0.03 || tr.Coverage < 0.3 {
		t.Errorf("mean error %.4f, rms %.4f box at the dots, coverage %.3f", mean, rms, tr.Coverage)
	}
}

// Four cycles a box: columns hold flanks as tall as the wave, whose sigmas must allow for where in them the wave is.
func TestManyCyclesAreNotFalselySure(t *testing.T) {
	p := plain()
	truth := sine(2.5, 40, 0.2)
	p.curves = []curve{{truth, yellow, 0.02}}
	tr := p.only(t)
	var beyond, n int
	for i, y := range tr.Y {
		if !math.IsNaN(y) {
			if n++; math.Abs(y-truth(tr.X[i])) > 3*tr.Sigma[i] {
				beyond++
			}
		}
	}
	if tr.Coverage < 0.9 || float64(beyond) > 0.05*float64(n) {
		t.Errorf("coverage %.2f, %d of %d samples are off by more than 3 sigma", tr.Coverage, beyond, n)
	}
}

// A slow sweep draws over the one before: between them is a gap, which stays one.
func TestSweepAndTheOneBeforeAreNotJoined(t *testing.T) {
	p := plain()
	p.curves = []curve{{func(x float64) float64 {
		switch {
		case x < 0.5:
			return 3 - 5*(1-math.Exp(-(x+5)/2))
		case x < 0.9:
			return math.NaN()
		}
		return 2.2 - 5*(1-math.Exp(-(x-0.6)/2))
	}, yellow, 0.02}}
	tr := p.only(t)
	for i, y := range tr.Y {
		if tr.X[i] > 0.55 && tr.X[i] < 0.85 && !math.IsNaN(y) {
			t.Errorf("at %.2f, in the gap: y = %.2f", tr.X[i], y)
		}
	}
	truth := p.curves[0].y
	if mean, rms := meanAndRMS(errorsOf(tr, truth, func(x float64) bool { return x < 0.45 || x > 0.95 })); math.Abs(mean) > 0.005 || rms > 0.02 {
		t.Errorf("mean error %.4f, rms %.4f box beside the gap", mean, rms)
	}
}
