package trace_test

import (
	"math"
	"testing"

	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// noiseOf shoots a scene twice, with a signal without noise and another noise of the camera, and gives the rms of what that alone
// moves the centres by, and the rms of its Cramér–Rao bound, in boxes, where the stroke is thin and lies clear boxes from all lines.
// It is NaN for a tube: the simulator draws its glow anew with the noise, so that two photos differ by more.
func noiseOf(tb testing.TB, sc synth.Scene, clear float64) (rms, bound float64, n int) {
	tb.Helper()
	if sc.Display.Kind == synth.Tube {
		return math.NaN(), math.NaN(), 0
	}
	for i := range sc.Signals {
		sc.Signals[i].Noise = 0
	}
	ph, g, _ := shoot(tb, sc)
	a, errA := trace.Extract(ph, g, nil)
	sc.Seed += 1000
	again, _, _ := shoot(tb, sc)
	b, errB := trace.Extract(again, g, nil)
	limit := trace.CentreBound(ph, again, g)
	if errA != nil || errB != nil || len(limit) == 0 {
		return math.NaN(), math.NaN(), 0
	}
	for i, x := range a[0].X {
		y := a[0].Y[i]
		d := y - b[0].Y[i]
		off := math.Min(math.Abs(x-math.Round(x)), math.Abs(y-math.Round(y)))
		if !(off > clear) || math.IsNaN(d) || math.IsNaN(limit[i]) {
			continue
		}
		rms += d * d / 2
		bound += limit[i] * limit[i]
		n++
	}
	return math.Sqrt(rms / float64(n)), math.Sqrt(bound / float64(n)), n
}

// Where nothing hides the trace, the camera's noise moves the centre of a level by no more than 1.5 times the bound.
func TestNoiseOfPhotosReachesTheBound(t *testing.T) {
	for _, kind := range []synth.Kind{synth.Colour, synth.Pale, synth.Blue} {
		sc := flatFace(synth.Scene{Seed: 11, Camera: synth.Phone(), Display: synth.Display{Kind: kind}}.WithMegapixels(2))
		sc.Signals = []synth.Signal{{Form: synth.Level, VStart: 1.47, VoltsPerBox: 1, Codes: -1}}
		rms, bound, n := noiseOf(t, sc, 0.12)
		t.Logf("%-6s noise %.2f mbox, bound %.2f, ratio %.2f, of %d samples", kind, 1000*rms, 1000*bound, rms/bound, n)
		if n < 200 || !(rms < 1.5*bound) {
			t.Errorf("%s: noise %.2f mbox, bound %.2f, of %d samples", kind, 1000*rms, 1000*bound, n)
		}
	}
}
