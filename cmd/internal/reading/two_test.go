package reading_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// twoSines is a photo of two sines of one frequency, the second behind the first by phase and ratio times as high, each
// at its own volts a box, each about a ground line apart boxes from the centre; what is drawn at random follows the
// seed.
func twoSines(seed uint64, apart float64) (s synth.Scene, phase, ratio float64) {
	rng := rand.New(rand.NewPCG(seed, 101))
	s = synth.Scene{Seed: seed, Camera: synth.Phone(), TimePerBox: 5e-3}
	s.Camera.Yaw, s.Camera.Pitch, s.Camera.Roll = 0.2*rng.NormFloat64(), 0.15*rng.NormFloat64(), 0.03*rng.NormFloat64()
	f := 35 + 60*rng.Float64()
	phase = (0.1 + 1.3*rng.Float64()) * math.Copysign(1, rng.Float64()-0.5)
	knee := rng.Float64() / f
	// Heights and middles that keep both on the screen.
	one, two := 1.5+0.4*rng.Float64(), 1.2+0.6*rng.Float64() // boxes
	yellow, cyan := [3]float32{0.9, 0.8, 0.05}, [3]float32{0.05, 0.7, 0.9}
	s.Signals = []synth.Signal{
		{Form: synth.Sine, VStart: 2 * one, Frequency: f, Knee: knee, VoltsPerBox: 2, GroundBox: apart, Noise: 0.02, Colour: yellow},
		{Form: synth.Sine, VStart: 0.5 * two, Frequency: f, Knee: knee + phase/(2*math.Pi*f), VoltsPerBox: 0.5, GroundBox: -apart, Noise: 0.02, Colour: cyan},
	}
	return s, -phase, 0.25 * two / one
}

// ownSettings are those of two traces, named by their colours.
func ownSettings(truth synth.Truth, colours ...[3]uint8) *reading.Settings {
	s := &reading.Settings{}
	for i, tr := range truth.Traces {
		s.Traces = append(s.Traces, reading.TraceSettings{TraceColour: &colours[i], Setup: calibrate.Setup{
			VoltsPerBox: unit.Value{X: tr.VoltsPerBox, Unit: "V"},
			TimePerBox:  unit.Value{X: truth.TimePerBox, Unit: "s"},
			Ground:      calibrate.GroundGiven, GroundBox: tr.GroundBox,
		}})
	}
	return s
}

// pullsOfTwoSines reads the photo of a seed; false if it was refused or a trace was not followed.
func pullsOfTwoSines(tb testing.TB, seed uint64, apart, megapixels float64) (phase, ratio, u float64, ok bool) {
	s, wantPhase, wantRatio := twoSines(seed, apart)
	s = s.WithMegapixels(megapixels)
	data, truth, err := s.JPEG()
	if err != nil {
		tb.Fatal(err)
	}
	r, err := reading.Read(tb.Context(), data, ownSettings(truth, [3]uint8{230, 220, 60}, [3]uint8{60, 210, 230}))
	if err != nil {
		tb.Logf("seed %d: %v", seed, err)
		return 0, 0, 0, false
	}
	if len(r.Pairs) != 1 || len(r.Pairs[0].Results) != 3 {
		tb.Logf("seed %d: %d pairs; doubts %q", seed, len(r.Pairs), r.AllDoubts())
		return 0, 0, 0, false
	}
	got := r.Pairs[0].Results
	// The two channels are as wrong as data sheets allow, each by itself.
	rng := rand.New(rand.NewPCG(seed, 102))
	gain := func() float64 { return 1 + calibrate.DefaultGainLimit*(2*rng.Float64()-1) }
	wantRatio *= gain() / gain()
	phase = math.Remainder(got[0].Value.X-wantPhase, 2*math.Pi) / got[0].Value.U
	ratio = (got[2].Value.X - wantRatio) / got[2].Value.U
	return phase, ratio, got[0].Value.U, true
}

// BenchmarkTwoSines prints the pulls of phase difference and ratio over so many photos, of sines that stand apart and
// of sines about one line, which cross:
//
//	go test -run '^$' -bench TwoSines -benchtime 40x -timeout 0 ./cmd/internal/reading
func BenchmarkTwoSines(b *testing.B) {
	for _, place := range []struct {
		name  string
		apart float64
	}{{"apart", 1.6}, {"crossing", 0}} {
		b.Run("sines="+place.name, func(b *testing.B) {
			var phases, ratios []float64
			for seed := range uint64(b.N) {
				phase, ratio, u, ok := pullsOfTwoSines(b, seed+1, place.apart, 2)
				if !ok {
					continue
				}
				if math.Abs(phase) > 2.5 || math.Abs(ratio) > 2.5 {
					fmt.Printf("seed %d: phase %+.1f u (u = %.4f rad), ratio %+.1f u\n", seed+1, phase, u, ratio)
				}
				phases, ratios = append(phases, phase), append(ratios, ratio)
			}
			b.ReportMetric(spread(phases), "phase-pull-spread")
			b.ReportMetric(spread(ratios), "ratio-pull-spread")
			b.ReportMetric(float64(len(phases)), "read")
		})
	}
}

// Two traces of one photo, each with its own volts a box and ground: both come out, and so does what lies between them.
func TestTwoTracesAreReadInOneRun(t *testing.T) {
	for seed := uint64(1); seed <= 3; seed++ {
		phase, ratio, _, ok := pullsOfTwoSines(t, seed, 1.6, 1.2)
		if !ok || math.Abs(phase) > 3 || math.Abs(ratio) > 3 {
			t.Errorf("seed %d: phase off by %+.1f u, ratio by %+.1f u, read %v", seed, phase, ratio, ok)
		}
	}
}

// The drive on one trace and the capacitor on the other: τ, the drive, and that the capacitor settles at its levels.
func TestADriveAndItsDecayAreReadInOneRun(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	fast := synth.MistFast(f)
	fast.VoltsPerBox, fast.GroundBox, fast.Colour = 2, -3.5, [3]float32{0.05, 0.7, 0.9}
	square := synth.Signal{Form: synth.Square, VStart: 6, Frequency: fast.Frequency, Knee: 0.07, VoltsPerBox: 2, GroundBox: 0.5, Noise: 0.02, Colour: [3]float32{0.9, 0.8, 0.05}}
	data, truth, err := synth.Scene{Seed: 8, Camera: synth.Phone(), TimePerBox: 20e-3, Signals: []synth.Signal{square, fast}}.WithMegapixels(1.2).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	r, err := reading.Read(t.Context(), data, ownSettings(truth, [3]uint8{230, 220, 60}, [3]uint8{60, 210, 230}))
	if err != nil {
		t.Fatal(err)
	}
	all := r.All()
	if len(all) != 2 || all[0].Findings.Signal != "states" || all[1].Findings.Signal != "decay" || len(r.Pairs) != 1 {
		t.Fatalf("%d traces, %d pairs", len(all), len(r.Pairs))
	}
	if tau := all[1].Findings.Results[0].Value; math.Abs(tau.X-fast.Tau) > 3*tau.U {
		t.Errorf("τ is %v, want %g s", tau, fast.Tau)
	}
	p := r.Pairs[0]
	if len(p.Results) != 1 || p.Results[0].Quantity != "v_drive" || math.Abs(p.Results[0].Value.X-6) > 3*p.Results[0].Value.U {
		t.Errorf("the drive is %+v, want 6 V", p.Results)
	}
	for _, c := range p.Comparisons {
		if !c.Agree {
			t.Errorf("%v", c.What)
		}
	}
	if len(p.Comparisons) != 2 {
		t.Errorf("%d comparisons, want the drive's and the period's", len(p.Comparisons))
	}
}
