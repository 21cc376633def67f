package trace_test

import (
	"math"
	"testing"

	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// Narrow pulses whose edges solid lines of the graticule part are followed, with words in their colour beside them.
func TestNarrowPulsesAreFollowedAcrossLinesAndBesideWords(t *testing.T) {
	sc := synth.Scene{Seed: 9, TimePerBox: 1e-3, Camera: synth.Phone(), Display: synth.Display{Grid: synth.Solid, GridLight: 0.3,
		Panels: []synth.Panel{{Left: -3.5, Right: -1, Bottom: -2.5, Top: -1.2, Bare: true, OfTrace: true, Words: []string{"p-p 5.0 V", "6.5 kHz"}}}}}.WithMegapixels(1.6)
	sc.Signals = []synth.Signal{{Form: synth.Square, VStart: 5, Frequency: 650, Duty: 0.2, Knee: 0.3e-3, VoltsPerBox: 1, GroundBox: -3, Noise: 0.01}}
	ph, g, truth := shoot(t, sc)
	traces, err := trace.Extract(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := compare(traces[0], truth.Traces[0])
	off := 0
	for _, e := range s.errors {
		if math.Abs(e) > invented {
			off++
		}
	}
	ups := 0
	for i := 1; i < len(traces[0].Y); i++ {
		if traces[0].Y[i-1] < 0 && traces[0].Y[i] > 0 {
			ups++
		}
	}
	if s.coverage < 0.9 || float64(off) > 0.02*float64(len(s.errors)) || ups < 5 {
		t.Errorf("coverage %.2f, %d of %d samples off, %d pulses", s.coverage, off, len(s.errors), ups)
	}
}
