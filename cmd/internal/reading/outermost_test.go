package reading_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/synth"
)

// outermostOf reads a photo of the signal and gives its peak-to-peak by the outermost strokes, and that of the curve.
func outermostOf(tb testing.TB, kind synth.Kind, sig synth.Signal, timePerBox float64, seed uint64) (outer, curve float64, u float64, notes string) {
	tb.Helper()
	s := synth.Scene{Seed: seed, TimePerBox: timePerBox, Camera: synth.Phone(), Display: synth.Display{Kind: kind}, Signals: []synth.Signal{sig}}
	s.Camera.Yaw, s.Camera.Pitch = 0.1, -0.06
	data, truth, err := s.WithMegapixels(0.8).JPEG()
	if err != nil {
		tb.Fatal(err)
	}
	r, err := reading.Read(tb.Context(), data, &reading.Settings{Traces: []reading.TraceSettings{{Setup: calibrate.Setup{
		VoltsPerBox: unit.Value{X: truth.Traces[0].VoltsPerBox, Unit: "V"}, TimePerBox: unit.Value{X: truth.TimePerBox, Unit: "s"},
		Ground: calibrate.GroundGiven, GroundBox: truth.Traces[0].GroundBox, GainLimit: 1e-6,
	}}}})
	if err != nil {
		tb.Fatalf("%s %s: %v", kind, truth.Traces[0].Signal, err)
	}
	outer, curve = math.NaN(), math.NaN()
	for _, v := range r.Findings.Results {
		switch {
		case v.Quantity == "v_pp" && v.Method == "outermost":
			outer, u = v.Value.X, v.Value.U
		case v.Quantity == "v_pp":
			curve = v.Value.X
		}
	}
	return outer, curve, u, fmt.Sprint(r.Findings.Notes)
}

// The height from the highest stroke to the lowest is that of what was drawn, on every kind of display and for slow,
// fast and steep signals without noise: each kind with two signals, each signal on one kind or two.
func TestOutermostStrokesGiveTheDrawnHeight(t *testing.T) {
	var pulls []float64
	for _, kind := range []synth.Kind{synth.Colour, synth.Pale, synth.Tube} {
		for i, sig := range []synth.Signal{
			{Form: synth.Sine, VStart: 2.6, Frequency: 45, VoltsPerBox: 1, Codes: -1},
			{Form: synth.Sine, VStart: 0.55, Frequency: 230, VoltsPerBox: 1, Codes: -1},
			{Form: synth.Square, VStart: 2.2, VEnd: -2.3, Frequency: 60, Knee: 0.004, VoltsPerBox: 1, Codes: -1},
			{Form: synth.Driven, VStart: 5, Tau: 4e-3, Knee: 0.007, Frequency: 25, VoltsPerBox: 1, GroundBox: -2.6, Codes: -1},
		} {
			if !slices.Contains([][]synth.Kind{{synth.Colour}, {synth.Pale, synth.Tube}, {synth.Colour, synth.Tube}, {synth.Pale}}[i], kind) {
				continue
			}
			want := sig.VStart
			switch sig.Form {
			case synth.Sine:
				want = 2 * sig.VStart
			case synth.Square:
				want = sig.VStart - sig.VEnd
			case synth.Driven:
				want = 5 - 5*math.Exp(-0.02/4e-3)
			}
			outer, _, u, notes := outermostOf(t, kind, sig, 0.01, uint64(10*i)+uint64(kind))
			pull := (outer - want) / u
			pulls = append(pulls, pull)
			t.Logf("%-6s signal %d: %.3f V, want %.3f, u %.3f, pull %+.2f", kind, i, outer, want, u, pull)
			if !(math.Abs(pull) < 3) || strings.Contains(notes, string(analysis.KindDrawnHigher)) {
				t.Errorf("%s, signal %d: %.3f V, want %.3f, u %.3f; notes %q", kind, i, outer, want, u, notes)
			}
		}
	}
	sum := 0.0
	for _, p := range pulls {
		sum += p * p
	}
	t.Logf("pulls %.2f rms", math.Sqrt(sum/float64(len(pulls))))
}

// Noise is counted: the height is that of the signal and of the extremes of its noise, and a note says so.
func TestOutermostStrokesCountNoise(t *testing.T) {
	// Box. The range of some 300 independent samples, those near the crests, scatters by 0.57 of it.
	const noise, scatter = 0.07, 0.57
	for seed := range uint64(3) {
		sig := synth.Signal{Form: synth.Sine, VStart: 1.2, Frequency: 45, VoltsPerBox: 1, Codes: -1, Noise: noise}
		outer, curve, u, notes := outermostOf(t, synth.Colour, sig, 0.01, 40+seed)
		want := expectedHeight(sig, 0.1, noise, seed)
		t.Logf("outermost %.3f V, %.3f expected, u %.3f; curve %.3f", outer, want, u, curve)
		if math.Abs(outer-want) > 2.5*math.Hypot(u, scatter*noise) || math.Abs(curve-2*sig.VStart) > 0.03 || !strings.Contains(notes, string(analysis.KindDrawnHigher)) {
			t.Errorf("seed %d: %.3f V, %.3f expected, u %.3f; curve %.3f; notes %q", seed, outer, want, u, curve, notes)
		}
	}
}

// expectedHeight is the mean height of what a display of 500 columns draws of six samples in each, over span seconds.
func expectedHeight(sig synth.Signal, span, noise float64, seed uint64) float64 {
	const samples, draws = 3000, 200
	rng := rand.New(rand.NewPCG(seed, 7))
	mean := 0.0
	for range draws {
		lo, hi := math.Inf(1), math.Inf(-1)
		for k := range samples {
			v := sig.Volts(span*(float64(k)+0.5)/samples) + noise*rng.NormFloat64()
			lo, hi = min(lo, v), max(hi, v)
		}
		mean += (hi - lo) / draws
	}
	return mean
}
