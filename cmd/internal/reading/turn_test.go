package reading_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/synth"
)

// clockwise turns a picture by a quarter.
func clockwise(m *image.RGBA) *image.RGBA {
	b := m.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dy(), b.Dx()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			out.SetRGBA(b.Dy()-1-y, x, m.RGBAAt(x, y))
		}
	}
	return out
}

func pngOf(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// asSet are the settings that the photo's truth has.
func asSet(truth synth.Truth) *reading.Settings {
	return &reading.Settings{TraceSettings: reading.TraceSettings{Setup: calibrate.Setup{
		VoltsPerBox: unit.Value{X: truth.Traces[0].VoltsPerBox, Unit: "V"},
		TimePerBox:  unit.Value{X: truth.TimePerBox, Unit: "s"},
	}}}
}

func TestTurningByHandUndoesATurn(t *testing.T) {
	img, truth := synth.Scene{Seed: 5, Camera: synth.Phone()}.WithMegapixels(1.2).Shoot()
	upright, err := reading.Read(pngOf(t, img), asSet(truth))
	if err != nil {
		t.Fatal(err)
	}
	// Means are summed in another order: they differ by the rounding of float32.
	near := cmp.Options{cmpopts.EquateApprox(1e-4, 1e-9), cmpopts.EquateNaNs()}
	for turn := 270; turn > 0; turn -= 90 {
		img = clockwise(img)
		s := asSet(truth)
		s.Photo.Turn = turn
		r, err := reading.Read(pngOf(t, img), s)
		if err != nil {
			t.Fatal(err)
		}
		if r.Photo.Source.Turned != turn {
			t.Errorf("the source says turned by %d, not %d", r.Photo.Source.Turned, turn)
		}
		if diff := cmp.Diff(upright.Traces, r.Traces, near); diff != "" {
			t.Errorf("turned by %d, the traces differ: %s", turn, diff)
		}
		if diff := cmp.Diff(upright.Findings, r.Findings, near, cmpopts.IgnoreUnexported(analysis.Findings{}, analysis.Fit{})); diff != "" {
			t.Errorf("turned by %d, the findings differ: %s", turn, diff)
		}
		if diff := cmp.Diff(upright.AllDoubts(), r.AllDoubts()); diff != "" {
			t.Errorf("turned by %d, the doubts differ: %s", turn, diff)
		}
	}
}

// Nothing in the grid tells which way is up. Half a turn makes a falling decay one that begins flat
// and ends steep, which no capacitor does: it must not come out as a time constant without a doubt,
// whether the person says that it is a decay or not.
func TestAnUpsideDownDecayIsNotReadInSilence(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		scene := synth.Scene{Seed: seed, Display: synth.Display{Kind: synth.Kind(seed - 1)}, Camera: synth.Phone()}
		img, truth := scene.WithMegapixels(1.2).Shoot()
		data := pngOf(t, img)
		for _, signal := range []string{analysis.SignalAuto, analysis.SignalDecay} {
			t.Run(fmt.Sprintf("%s/%s", truth.Display, signal), func(t *testing.T) {
				s := asSet(truth)
				s.Photo.Turn, s.Analysis.Signal = 180, signal
				r, err := reading.Read(data, s)
				if err == nil && len(r.AllDoubts()) == 0 {
					t.Errorf("read without a doubt: %+v", r.Findings.Results)
				}
			})
		}
	}
}
