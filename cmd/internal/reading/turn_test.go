package reading_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report/words"
	"quadrille/vision/geom"
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

func encoded(m image.Image) []byte {
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(&b, m); err != nil {
		panic(err) // a buffer takes everything
	}
	return b.Bytes()
}

// half is half a turn.
var half = 180

// asSet are the settings that the photo's truth has.
func asSet(truth synth.Truth) *reading.Settings {
	return &reading.Settings{Traces: []reading.TraceSettings{{Setup: calibrate.Setup{
		VoltsPerBox: unit.Value{X: truth.Traces[0].VoltsPerBox, Unit: "V"},
		TimePerBox:  unit.Value{X: truth.TimePerBox, Unit: "s"},
	}}}}
}

func TestTurningByHandUndoesATurn(t *testing.T) {
	img, truth := synth.Scene{Seed: 5, Camera: synth.Phone()}.WithMegapixels(1.2).Shoot()
	upright, err := reading.Read(t.Context(), encoded(img), asSet(truth))
	if err != nil {
		t.Fatal(err)
	}
	// Means are summed in another order: they differ by the rounding of float32.
	near := cmp.Options{cmpopts.EquateApprox(1e-4, 1e-9), cmpopts.EquateNaNs(), cmp.Transformer("words", words.Of)}
	for turn := 270; turn > 0; turn -= 90 {
		img = clockwise(img)
		s := asSet(truth)
		s.Turn = &turn
		r, err := reading.Read(t.Context(), encoded(img), s)
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
		if diff := cmp.Diff(said(upright), said(r)); diff != "" {
			t.Errorf("turned by %d, the doubts differ: %s", turn, diff)
		}
	}
}

// A photo that no camera's note and no person speaks for is turned by its words, and reads as if it had been taken
// upright: here a sine, of which half a turn would go unseen.
func TestAPhotoIsTurnedByItsWords(t *testing.T) {
	standing, truth := sineStanding()
	upright, err := standingDesk.Read(t.Context(), standing[0], asSet(truth))
	if err != nil {
		t.Fatal(err)
	}
	near := cmp.Options{cmpopts.EquateApprox(1e-4, 1e-9), cmpopts.EquateNaNs(), cmp.Transformer("words", words.Of)}
	for turn := 270; turn > 0; turn -= 90 {
		r, err := standingDesk.Read(t.Context(), standing[turn], asSet(truth))
		if err != nil {
			t.Fatal(err)
		}
		if r.Photo.Source.Turned != turn {
			t.Errorf("turned by %d, not %d", r.Photo.Source.Turned, turn)
		}
		if len(r.Notes) == 0 || r.Notes[0].Kind != reading.KindTurned || r.Notes[0].Count("turn_deg") != turn {
			t.Errorf("the turn by %d goes untold: %q", turn, r.Notes)
		}
		if diff := cmp.Diff(upright.Traces, r.Traces, near); diff != "" {
			t.Errorf("turned by %d, the traces differ: %s", turn, diff)
		}
		if diff := cmp.Diff(said(upright), said(r)); diff != "" {
			t.Errorf("turned by %d, the doubts differ: %s", turn, diff)
		}
	}
}

// Where the camera or the person told how the photo stands, it stays so, with a doubt that names the turn to try.
func TestWordsThatContradictAreADoubt(t *testing.T) {
	standing, truth := sineStanding()
	down := standing[half]
	for name, s := range map[string]func(*reading.Settings){
		"as it stands": func(s *reading.Settings) { s.Turn = new(int) },
		"the count of boxes by hand": func(s *reading.Settings) {
			s.Graticule.Frame = geom.Frame{Cols: 10, Rows: 8}
		},
	} {
		set := asSet(truth)
		s(set)
		r, err := standingDesk.Read(t.Context(), down, set)
		if err != nil {
			t.Fatal(err)
		}
		if all := strings.Join(said(r), " "); r.Photo.Source.Turned != 0 || !strings.Contains(all, "--turn 180") {
			t.Errorf("%s: turned by %d, doubts %q", name, r.Photo.Source.Turned, all)
		}
	}
	scene := sine(geom.Frame{Cols: 10, Rows: 8})
	scene.Camera.Roll, scene.Camera.Orientation = math.Pi, 6 // held upside down, as the camera noted
	noted, _, err := scene.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	r, err := reading.Read(t.Context(), noted, asSet(truth))
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(said(r), " "); r.Photo.Source.Turned != 0 || !strings.Contains(all, "--turn 180") {
		t.Errorf("against the camera's note: turned by %d, doubts %q", r.Photo.Source.Turned, all)
	}
	set := asSet(truth)
	set.Turn = &half
	r, err = reading.Read(t.Context(), standing[0], set)
	if err != nil {
		t.Fatal(err)
	}
	if all := strings.Join(said(r), " "); !strings.Contains(all, "without --turn") {
		t.Errorf("turned by hand the wrong way: doubts %q", all)
	}
}

// A display that is higher than wide is no doubt when its words stand upright, nor is a square one.
func TestUprightWordsLeaveNoDoubtOfTheTurn(t *testing.T) {
	for _, f := range []geom.Frame{{Cols: 8, Rows: 10}, {Cols: 10, Rows: 10}} {
		img, truth := sineWithWords(f)
		r, err := reading.Read(t.Context(), encoded(img), asSet(truth))
		if err != nil {
			t.Fatal(err)
		}
		if all := strings.Join(said(r), " "); r.Graticule.Frame != f || strings.Contains(all, "turn") {
			t.Errorf("%v, %v found: doubts %q", f, r.Graticule.Frame, all)
		}
	}
}

// Without words nothing tells: a frame that is not wider than high gets a doubt, a sine a note.
func TestWhatNothingTellsIsSaid(t *testing.T) {
	for _, f := range []geom.Frame{{Cols: 10, Rows: 8}, {Cols: 8, Rows: 10}, {Cols: 10, Rows: 10}} {
		scene := synth.Scene{Seed: 3, Display: synth.Display{Kind: synth.Tube, Frame: f}, Camera: synth.Phone()}
		wave, per := synth.Specimen(synth.Sine, f)
		scene.Signals, scene.TimePerBox = []synth.Signal{wave}, per
		img, truth := scene.WithMegapixels(0.8).Shoot()
		r, err := reading.Read(t.Context(), encoded(img), asSet(truth))
		if err != nil {
			t.Fatal(err)
		}
		if doubted := strings.Contains(strings.Join(said(r), " "), "lies on its side"); doubted != (f.Cols <= f.Rows) {
			t.Errorf("%v: doubts %q", f, r.AllDoubts())
		}
		if !remark.Any(r.Notes, reading.KindStanceUnknown) {
			t.Errorf("%v: notes %q", f, r.Notes)
		}
	}
}

// said gives the doubts of a reading as a person reads them.
func said(r *reading.Reading) (list []string) {
	for _, t := range r.AllDoubts() {
		list = append(list, words.About(t.About, words.Of(t.Remark)))
	}
	return list
}

// sineStanding gives files of a sine with words, by the clockwise turn in degrees that makes each upright, and the
// truth.
var sineStanding = sync.OnceValues(func() (map[int][]byte, synth.Truth) {
	img, truth := sineWithWords(geom.Frame{Cols: 10, Rows: 8})
	files := map[int][]byte{}
	for _, turn := range []int{0, 270, 180, 90} {
		files[turn] = encoded(img)
		img = clockwise(img)
	}
	return files, truth
})

// standingDesk keeps what several tests find on those files.
var standingDesk reading.Desk

// sineWithWords is a display with words enough to tell which way is up.
func sineWithWords(f geom.Frame) (*image.RGBA, synth.Truth) { return sine(f).Shoot() }

func sine(f geom.Frame) synth.Scene {
	s := synth.Scene{Seed: 6, Display: synth.Display{Kind: synth.Blue, Frame: f}, Camera: synth.Phone()}
	wave, per := synth.Specimen(synth.Sine, f)
	s.Signals, s.TimePerBox = []synth.Signal{wave}, per
	return s.WithMegapixels(1.2)
}

// Half a turn makes a falling decay one that begins flat
// and ends steep, which no capacitor does: it must not come out as a time constant without a doubt,
// whether the person says that it is a decay or not.
func TestAnUpsideDownDecayIsNotReadInSilence(t *testing.T) {
	for seed := uint64(1); seed <= 4; seed++ {
		scene := synth.Scene{Seed: seed, Display: synth.Display{Kind: synth.Kind(seed - 1)}, Camera: synth.Phone()}
		img, truth := scene.WithMegapixels(0.8).Shoot()
		data := encoded(img)
		var desk reading.Desk // grid and trace are the same for both
		for _, signal := range []string{analysis.SignalAuto, analysis.SignalDecay} {
			t.Run(fmt.Sprintf("%s/%s", truth.Display, signal), func(t *testing.T) {
				s := asSet(truth)
				s.Turn, s.Traces[0].Analysis.Signal = &half, signal
				r, err := desk.Read(t.Context(), data, s)
				if err == nil && len(r.AllDoubts()) == 0 {
					t.Errorf("read without a doubt: %+v", r.Findings.Results)
				}
			})
		}
	}
}
