package trace_test

import (
	"math"
	"testing"

	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// A wave that fills the screen of a panel with seventy strokes is followed through all of them. The median of its
// cells is not the field any more, and with it a half to a third of the wave was absent.
func TestFastWavesAreFollowed(t *testing.T) {
	t.Parallel()
	for _, cycles := range []float64{29, 34, 36} {
		sc := flatFace(synth.Scene{Seed: uint64(cycles), TimePerBox: 1e-3, Camera: synth.Phone(), Display: synth.Display{Kind: synth.Colour}}.WithMegapixels(2))
		sc.Signals = []synth.Signal{{Form: synth.Sine, VStart: 3.2, Frequency: cycles / 0.01, VoltsPerBox: 1}}
		ph, g, _ := shoot(t, sc)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Errorf("%g cycles: %v", cycles, err)
			continue
		}
		turns, side := 0, 0
		for _, y := range traces[0].Y {
			if now := int(math.Copysign(1, y)); math.Abs(y) > 1.5 && now != side {
				turns, side = turns+1, now
			}
		}
		t.Logf("%g cycles: coverage %.2f, %d turns", cycles, traces[0].Coverage, turns)
		if traces[0].Coverage < 0.9 || math.Abs(float64(turns)-2*cycles) > 2 {
			t.Errorf("%g cycles: coverage %.2f, %d turns", cycles, traces[0].Coverage, turns)
		}
	}
}

// A level with noise a box high and more covers most cells at its heights, and is no field.
func TestAThickBandOfNoiseIsFollowed(t *testing.T) {
	sc := flatFace(synth.Scene{Seed: 5, TimePerBox: 1e-3, Camera: synth.Phone(), Display: synth.Display{Kind: synth.Colour}}.WithMegapixels(2))
	sc.Signals = []synth.Signal{{Form: synth.Level, VStart: 1.3, VoltsPerBox: 1, Noise: 0.5}}
	ph, g, _ := shoot(t, sc)
	traces, err := trace.Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	sum, n := 0.0, 0
	for _, y := range traces[0].Y {
		if !math.IsNaN(y) {
			sum, n = sum+y, n+1
		}
	}
	t.Logf("coverage %.2f, mean %.3f", traces[0].Coverage, sum/float64(n))
	if traces[0].Coverage < 0.95 || math.Abs(sum/float64(n)-1.3) > 0.1 {
		t.Errorf("coverage %.2f, mean %.3f", traces[0].Coverage, sum/float64(n))
	}
}
