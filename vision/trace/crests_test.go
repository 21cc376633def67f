package trace_test

import (
	"math"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// Of a wave so fast that a tube shows its crests only, the crests are read at their heights and places, with a doubt
// that says so.
func TestCrestsOfAFastWaveAreRead(t *testing.T) {
	t.Parallel()
	for _, cycles := range []float64{20, 26, 33} {
		sc := flatFace(synth.Scene{Seed: uint64(cycles), TimePerBox: 1e-3, Camera: synth.Phone(), Display: synth.Display{Kind: synth.Tube}}.WithMegapixels(2))
		sc.Signals = []synth.Signal{{Form: synth.Sine, VStart: 3.1, Frequency: cycles / 0.01, VoltsPerBox: 1, Codes: -1}}
		ph, g, _ := shoot(t, sc)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Errorf("%g cycles: %v", cycles, err)
			continue
		}
		crests, worst, seen := 0, 0.0, 0
		for i, y := range traces[0].Y {
			if math.IsNaN(y) {
				continue
			}
			seen++
			phase := math.Mod(cycles*(traces[0].X[i]+5)/10, 1) // from a rise through the middle
			want := 3.1 * math.Copysign(1, 0.5-phase)
			if off := math.Abs(y - want); off < 0.15 {
				crests++
				worst = max(worst, math.Abs(math.Abs(phase-0.5)-0.25))
			}
		}
		only := remark.Any(traces[0].Doubts, trace.KindCrestsOnly)
		t.Logf("%g cycles: %d of %d samples at the crests, farthest %.2f of a cycle from one; crests only: %v", cycles, crests, seen, worst, only)
		if !only || crests < seen*9/10 || worst > 0.15 {
			t.Errorf("%g cycles: %d of %d samples at the crests, the farthest %.2f of a cycle from one", cycles, crests, seen, worst)
		}
	}
}
