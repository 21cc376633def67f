package experiment_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"quadrille/cmd/internal/experiment"
	"quadrille/cmd/internal/notebook"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// small is the supply's level on a photo of 0.3 million pixels, which is read in a moment.
var small = sync.OnceValue(func() []byte {
	s := synth.Scene{TimePerBox: 1e-3, Camera: synth.Camera{Width: 640, Height: 480},
		Signals: []synth.Signal{{Form: synth.Level, VStart: 9, VEnd: 9, VoltsPerBox: 1.5, GroundBox: -3}}}
	b, _, err := s.JPEG()
	if err != nil {
		panic(err)
	}
	return b
})

// book reads a notebook that lies beside the small photo and other files.
func book(t *testing.T, text string, other map[string]string) *notebook.Notebook {
	t.Helper()
	files := fstest.MapFS{"book.yaml": {Data: []byte(text)}, "level.jpg": {Data: small()}}
	for name, content := range other {
		files[name] = &fstest.MapFile{Data: []byte(content)}
	}
	n, err := notebook.Read(files, "book.yaml")
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func read(t *testing.T, n *notebook.Notebook, o experiment.Options) *report.Experiment {
	t.Helper()
	e, err := experiment.Read(t.Context(), n, o)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

const level = "notebook: 1\ntitle: The supply\nphotos:\n  - {file: level.jpg, name: supply, volts_per_box: 1.5V, time_per_box: 1ms, ground: \"-3\", " +
	"display: {v_mean: 9.02V}, by_hand: {v_mean: 9.0V ± 0.15V}}\n"

// One photo is compared by all its ways and with all that the notebook says of it; a table stands in the place of a
// photo.
func TestPhotosAndTablesAreReadAndCompared(t *testing.T) {
	table := "t_s,v_V,u_V\n0,9.1,0.1\n1,9.0,0.1\n2,8.9,0.1\n3,9.0,0.1\n4,9.0,0.1\n"
	n := book(t, level+"  - {file: hand.csv, signal: level}\ncompare:\n  - {quantity: v_mean, of: supply}\n  - {quantity: v_mean}\n",
		map[string]string{"hand.csv": table})
	var counted []int
	e := read(t, n, experiment.Options{Done: func(done int) { counted = append(counted, done) }})
	if !slices.Equal(counted, []int{1, 2}) {
		t.Errorf("told were %v", counted)
	}
	for _, p := range e.Photos {
		if p.Document.Error != nil || p.Folder != p.Name {
			t.Errorf("%s in %s: %+v", p.Name, p.Folder, p.Document.Error)
		}
	}
	if e.Photos[1].Document.Table == nil || e.Photos[1].Pictures != nil || e.Photos[0].Pictures == nil {
		t.Error("the table is no table, or the photo has no pictures")
	}
	var ways []string
	for _, v := range e.Compared[0].Values {
		ways = append(ways, string(v.Method))
	}
	if got := strings.Join(ways, " "); got != "mean display by_hand" || !e.Compared[0].Agree {
		t.Errorf("compared were %s, agree %v", got, e.Compared[0].Agree)
	}
	if b := e.Compared[1]; len(b.Values) != 2 || b.Values[0].Source != "supply" || b.Values[1].Source != "hand" || !b.Agree || e.Doubted() {
		t.Errorf("of all photos %+v; doubted %v", b, e.Doubted())
	}
}

// What was copied from the display or read by hand is compared even where the notebook does not ask for it, once, and a
// value that the photo cannot give is told as a note.
func TestWhatWasGivenIsComparedUnasked(t *testing.T) {
	kept := experiment.Options{Kept: experiment.NewShelf(t.TempDir(), "one", false)} // one photo, read once
	for _, c := range []struct {
		name, given, asks string
		ways              []string
		agree, doubted    bool
	}{
		{"both", "display: {v_mean: 9.02V}, by_hand: {v_mean: 9.0V ± 0.15V}", "", []string{"mean display by_hand"}, true, false},
		{"wrong by hand", "by_hand: {v_mean: 7.5V ± 0.15V}", "", []string{"mean by_hand"}, false, true},
		{"wrong on the display", "display: {v_mean: 12.31V}", "", []string{"mean display"}, false, true},
		{"one asked for", "display: {v_mean: 9.02V}, by_hand: {v_mean: 9.0V ± 0.15V}", "[supply, supply/display]",
			[]string{"mean display", "mean by_hand"}, true, false},
		{"all asked for", "display: {v_mean: 9.02V}, by_hand: {v_mean: 9.0V ± 0.15V}", "supply", []string{"mean display by_hand"}, true, false},
		{"no such result", "display: {tau: 4.70ms}", "", []string{"display"}, true, false},
	} {
		text := "notebook: 1\nphotos:\n  - {file: level.jpg, name: supply, volts_per_box: 1.5V, time_per_box: 1ms, ground: \"-3\", " + c.given + "}\n"
		if c.asks != "" {
			text += "compare: [{quantity: v_mean, of: " + c.asks + "}]\n"
		}
		e := read(t, book(t, text, nil), kept)
		var got []string
		agree := true
		for i, a := range e.Compared {
			var ways []string
			for _, v := range a.Values {
				ways = append(ways, string(v.Method))
			}
			got = append(got, strings.Join(ways, " "))
			agree = agree && a.Agree
			if asked := i == 0 && c.asks != ""; a.Unasked == asked {
				t.Errorf("%s: comparison %d is taken for unasked: %v", c.name, i, a.Unasked)
			}
		}
		if !slices.Equal(got, c.ways) || agree != c.agree || e.Doubted() != c.doubted {
			t.Errorf("%s: compared %q, agree %v, doubted %v", c.name, got, agree, e.Doubted())
		}
		says := string(report.ExperimentPage(e, report.Print{}))
		if noted := strings.Contains(says, "Not compared with the trace, which gives no time constant τ: the display’s own readout: 4.7"); noted != (c.name == "no such result") {
			t.Errorf("%s: the page has the note: %v", c.name, noted)
		}
	}
}

// A table of readings that departs from its trace is told on the front page and on the terminal.
func TestReadingsThatDepartAreTold(t *testing.T) {
	const text = "notebook: 1\nphotos:\n  - {file: level.jpg, name: supply, volts_per_box: 1.5V, time_per_box: 1ms, ground: \"-3\", " +
		"readings_file: hand.csv, readings_begin: 0s}\n"
	for volts, apart := range map[string]bool{"8.9": false, "7.5": true} {
		table := "t_ms,v_V,u_V\n"
		for ms := range 8 {
			table += fmt.Sprintf("%d,%s%d,0.1\n", ms+1, volts, ms%3)
		}
		e := read(t, book(t, text, map[string]string{"hand.csv": table}), experiment.Options{})
		says := report.ExperimentText(e, 80)
		told := strings.Contains(says, "! supply: 2 of 2 comparisons do not agree; furthest apart: readings and trace")
		if told != apart || e.Doubted() != apart {
			t.Errorf("readings of %s V: doubted %v\n%s", volts, e.Doubted(), says)
		}
	}
}

// A photo that cannot be read stops nothing and is not silent, and what is compared with it is named.
func TestWhatCannotBeReadStopsNothing(t *testing.T) {
	n := book(t, level+"  - {file: broken.jpg}\n  - {file: no-trace.jpg}\ncompare:\n  - {quantity: v_mean, of: [supply, broken]}\n",
		map[string]string{"broken.jpg": "\xff\xd8\xff", "no-trace.jpg": "GIF89a"})
	e := read(t, n, experiment.Options{})
	if e.Photos[0].Document.Error != nil || e.Unread() != 2 || !e.Doubted() {
		t.Errorf("%d not read, doubted %v", e.Unread(), e.Doubted())
	}
	if err := e.Photos[1].Document.Error; err == nil || err.Kind != "file" || err.Hint == "" {
		t.Errorf("the broken one says %+v", err)
	}
	if a := e.Compared[0]; a.Made() || len(a.Lacking) != 1 || a.Lacking[0].Name != "broken" {
		t.Errorf("compared is %+v", a)
	}
}

// A cancelled run ends at once and gives nothing.
func TestACancelledRunEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	n := book(t, level, nil)
	cancel()
	if _, err := experiment.Read(ctx, n, experiment.Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
}

// times are those of the stages, which differ from reading to reading.
func times(e *report.Experiment) (out []wire.Number) {
	for _, s := range e.Photos[0].Document.Stages {
		out = append(out, s.Seconds)
	}
	return out
}

// A second run uses what was kept and gives the same pages; another photo, setting or program, a file that was changed
// or cut, and --fresh do not.
func TestReadingsAreKept(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "kept")
	n := book(t, level, nil)
	first := read(t, n, experiment.Options{Kept: experiment.NewShelf(dir, "one", false)})
	pages := func(e *report.Experiment) []byte {
		files, err := report.ExperimentFiles(e, report.Print{})
		if err != nil {
			t.Fatal(err)
		}
		return slices.Concat(files["sheet.html"], files["sheet.pdf"], files["sheet.json"], files["supply/page.html"], files["supply/result.json"])
	}
	want := pages(first)
	again := read(t, n, experiment.Options{Kept: experiment.NewShelf(dir, "one", false)})
	if !slices.Equal(times(first), times(again)) {
		t.Error("the second run read the photo again")
	}
	if !bytes.Equal(pages(again), want) {
		t.Error("the second run gives other pages")
	}
	anew := func(what string, n *notebook.Notebook, s *experiment.Shelf) {
		t.Helper()
		if e := read(t, n, experiment.Options{Kept: s}); slices.Equal(times(e), times(first)) {
			t.Errorf("%s: what was kept was used", what)
		} else if math.Abs(float64(e.Photos[0].Document.Results[0].Value-first.Photos[0].Document.Results[0].Value)) > 2 {
			t.Errorf("%s: it is %+v", what, e.Photos[0].Document.Results[0].Value)
		}
	}
	anew("nothing is kept", n, nil)
	anew("another program", n, experiment.NewShelf(dir, "two", false))
	anew("fresh", n, experiment.NewShelf(dir, "one", true))
	anew("another setting", book(t, strings.Replace(level, "1.5V", "1.6V", 1), nil), experiment.NewShelf(dir, "one", false))
	for what, spoil := range map[string]func([]byte) []byte{
		"cut": func(b []byte) []byte { return b[:len(b)/2] }, "empty": func([]byte) []byte { return nil },
		"changed": func(b []byte) []byte {
			if len(b) > 0 {
				b[len(b)/2] ^= 1
			}
			return b
		},
	} {
		list, err := filepath.Glob(filepath.Join(dir, "*"))
		if err != nil || len(list) == 0 {
			t.Fatal(list, err)
		}
		for _, path := range list {
			b, err := os.ReadFile(path)
			if err == nil {
				err = os.WriteFile(path, spoil(b), 0o600)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		anew(what, n, experiment.NewShelf(dir, "one", false))
	}
	blocked := filepath.Join(dir, "file")
	if err := os.WriteFile(blocked, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	anew("no folder can be made", n, experiment.NewShelf(filepath.Join(blocked, "kept"), "one", false))
}

// What was longest not used goes when there is no more room, and nothing else in the folder is touched.
func TestTheShelfIsBounded(t *testing.T) {
	dir := t.TempDir()
	n := book(t, level, nil)
	old, other := filepath.Join(dir, "old.reading"), filepath.Join(dir, "letter.txt")
	for _, path := range []string{old, other} {
		f, err := os.Create(path)
		if err == nil {
			err = errors.Join(f.Truncate(experiment.ShelfBytes), f.Close(), os.Chtimes(path, time.Now(), time.Now().Add(-time.Hour)))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	read(t, n, experiment.Options{Kept: experiment.NewShelf(dir, "one", false)})
	if _, err := os.Stat(old); err == nil {
		t.Error("the old one is still there")
	}
	if _, err := os.Stat(other); err != nil {
		t.Error("a file of someone else is gone")
	}
	if list, _ := filepath.Glob(filepath.Join(dir, "*.reading")); len(list) != 1 {
		t.Errorf("there are %v", list)
	}
}

// mist is a photo of the mist timer's display.
var mist = sync.OnceValue(func() string {
	signal, perBox := synth.Specimen(synth.Decay, geom.Frame{Cols: 10, Rows: 8})
	scene := synth.Scene{Signals: []synth.Signal{signal}, TimePerBox: perBox, Camera: synth.Camera{Width: 1200, Height: 900}}
	photo, _, err := scene.JPEG()
	if err != nil {
		panic(err)
	}
	return string(photo)
})

// drawn is a photo of a drawing of the mist timer's display that lies so many boxes too high.
func drawn(t *testing.T, up float64) string {
	t.Helper()
	s := synth.MistSketch(up)
	s.Width, s.Height = 1200, 900
	sketch, _, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	return string(sketch)
}

// A sketch is held against its photo: a right one, one that lies half a box too high, and one that is no drawing. A
// second run does not read it again.
func TestASketchIsHeld(t *testing.T) {
	text := "notebook: 1\nphotos:\n  - {file: mist.jpg, sketch: drawn.jpg, volts_per_box: 1.5V, time_per_box: 5s, ground: bottom}\n"
	dir := t.TempDir()
	kept := experiment.NewShelf(dir, "one", false)
	for _, up := range []float64{0, 0.5} {
		drawing := drawn(t, up)
		n := book(t, text, map[string]string{"mist.jpg": mist(), "drawn.jpg": drawing})
		e := read(t, n, experiment.Options{Kept: kept})
		h := e.Photos[0].Sketch
		if h == nil || h.Check == nil || h.On == nil {
			t.Fatalf("drawn %g box too high: %+v", up, h)
		}
		if h.Check.Within != (up == 0) || e.Doubted() != (up > 0) {
			t.Errorf("drawn %g box too high: rms %.2g box, %v, doubts %v", up, h.Check.RMS, h.Check.Verdict, h.Check.Doubts)
		}
		list, err := filepath.Glob(filepath.Join(dir, "*.reading"))
		if again := read(t, n, experiment.Options{Kept: kept}); err != nil || again.Photos[0].Sketch.Check.RMS != h.Check.RMS || len(list) < 2 {
			t.Errorf("%d are kept, and again it is %+v", len(list), again.Photos[0].Sketch)
		}
		wide := strings.Replace(text, "drawn.jpg", "drawn.jpg, tolerance: 1", 1)
		n = book(t, wide, map[string]string{"mist.jpg": mist(), "drawn.jpg": drawing})
		if c := read(t, n, experiment.Options{Kept: kept}).Photos[0].Sketch.Check; !c.Within || c.Tolerance != 1 {
			t.Errorf("drawn %g box too high it is not within a tolerance of %g box", up, float64(c.Tolerance))
		}
	}
	e := read(t, book(t, text, map[string]string{"mist.jpg": string(small()), "drawn.jpg": "ink"}), experiment.Options{})
	if h := e.Photos[0].Sketch; h == nil || h.Check != nil || h.Error == "" || !e.Doubted() {
		t.Errorf("of what is no picture: %+v", h)
	}
}
