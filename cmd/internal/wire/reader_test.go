package wire_test

import (
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"os"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// with gives settings with one more.
func with(s map[string]string, more ...string) map[string]string {
	out := maps.Clone(s)
	for i := 0; i < len(more); i += 2 {
		out[more[i]] = more[i+1]
	}
	return out
}

func jsonOf(s map[string]string) []byte {
	text, err := json.Marshal(s)
	if err != nil {
		panic(err) // a map of texts is always JSON
	}
	return text
}

// document reads a photo and takes the stages out of the document: their times, and whether they were kept, are not the
// photo's.
func document(tb testing.TB, r *wire.Reader, photo []byte, s map[string]string) (*wire.Document, []wire.Stage) {
	text, _ := r.Read(tb.Context(), photo, jsonOf(s))
	d, err := wire.Decode(text)
	if err != nil {
		panic(err) // from whatever goroutine
	}
	stages := d.Stages
	d.Stages = nil
	return d, stages
}

// same compares documents as they are written, for null is equal to null there.
func same(t *testing.T, about string, got, want *wire.Document) {
	t.Helper()
	one, err := wire.Encode(got)
	if err != nil {
		t.Fatal(err)
	}
	two, err := wire.Encode(want)
	if err != nil {
		t.Fatal(err)
	}
	if string(one) != string(two) {
		t.Errorf("%s: not the document of a fresh reading: %s", about, cmp.Diff(strings.Split(string(two), "\n"), strings.Split(string(one), "\n")))
	}
}

// After a change of settings only the stages that depend on it work again, and the document is that of a fresh reading;
// going back to what was read before takes no work at all.
func TestAChangeAsksForWhatDependsOnItOnly(t *testing.T) {
	scene := synth.Scene{Seed: 6, Display: synth.Display{Kind: synth.Colour}, Camera: synth.Phone()}
	photo, _, err := scene.WithMegapixels(0.35).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	before := map[string]string{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom", "resistance": "21.9k±0.3%", "capacitance": "470u±20%"}
	d, _ := document(t, new(wire.Reader), photo, before)
	if d.Error != nil || d.Graticule == nil {
		t.Fatalf("%+v", d.Error)
	}
	var corners []string
	for i, c := range d.Graticule.Corners {
		corners = append(corners, fmt.Sprintf("%.1f,%.1f", float64(c[0])+float64(i%2), float64(c[1])))
	}
	readings := "t_s,v_V\n0,9\n5,8\n10,5\n15,3\n20,2\n30,1\n"
	r := new(wire.Reader)
	if _, stages := document(t, r, photo, before); len(worked(stages)) < 5 {
		t.Fatalf("the first reading worked on %q only", worked(stages))
	}
	for _, c := range []struct {
		what   string
		change []string
		work   string
	}{
		{"nothing", nil, ""},
		{"the file's name", []string{"file", "screen.jpg"}, ""},
		{"volts per box", []string{"volts_per_box", "2V"}, "calibrate analysis"},
		{"time per box", []string{"time_per_box", "2s"}, "calibrate analysis"},
		{"the ground line", []string{"ground", "-3.5"}, "calibrate analysis"},
		{"the probe", []string{"probe", "10"}, "calibrate analysis"},
		{"the part to use", []string{"from", "-3", "to", "4"}, "analysis"},
		{"the kind of signal", []string{"signal", "states"}, "analysis"},
		{"the resistance", []string{"resistance", "22k±1%"}, "analysis"},
		{"levels", []string{"at", "7V,5V"}, "analysis"},
		{"trials", []string{"monte_carlo", "1000"}, "analysis"},
		{"the time per box to be found", []string{"time_per_box", "find", "known_frequency", "0.05Hz±1%", "signal", "decay"}, "settings"},
		{"the volts per box to be found", []string{"volts_per_box", "find", "known_level", "9V±1%"}, "settings calibrate analysis"},
		{"readings beside it", []string{"readings", readings, "u_volts", "0.1V"}, "readings"},
		{"the readings' begin", []string{"readings", readings, "u_volts", "0.1V", "readings_begin", "1s"}, "readings"},
		{"the trace's name", []string{"trace", "a"}, ""},
		{"the trace's colour", []string{"trace", "#e0d040"}, "trace calibrate analysis"},
		{"a corner", []string{"corners", strings.Join(corners, " "), "boxes", fmt.Sprintf("%dx%d", d.Graticule.Columns, d.Graticule.Rows)},
			"graticule upright trace calibrate analysis"},
		{"a turn", []string{"turn", "180"}, "graticule upright trace calibrate analysis"},
		{"that it stands as it is", []string{"turn", "0"}, ""},
	} {
		after := with(before, c.change...)
		got, stages := document(t, r, photo, after)
		want, fresh := document(t, new(wire.Reader), photo, after)
		same(t, c.what, got, want)
		if now := strings.Join(worked(stages), " "); now != c.work {
			t.Errorf("%s: worked again on %q, want %q", c.what, now, c.work)
		}
		if len(stages) != len(fresh) {
			t.Errorf("%s: stages %v, of a fresh reading %v", c.what, stages, fresh)
		}
		back, stages := document(t, r, photo, before)
		same(t, "back from "+c.what, back, d)
		if now := worked(stages); len(now) != 0 {
			t.Errorf("back from %s: worked again on %q", c.what, now)
		}
	}
}

// worked names the stages that made something.
func worked(stages []wire.Stage) (names []string) {
	for _, s := range stages {
		if s.Worked {
			names = append(names, s.Name)
		}
	}
	return names
}

// A photo that its words turn, one of two traces, and one that is refused are kept as well.
func TestWhatIsKeptIsTheFreshReading(t *testing.T) {
	scene := synth.Scene{Seed: 3, Display: synth.Display{Kind: synth.Colour, Frame: geom.Frame{Cols: 10, Rows: 8}}, Camera: synth.Phone()}
	upside, _, err := scene.WithMegapixels(0.8).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	pair, err := os.ReadFile("../../../testdata/photos/pair-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	r := new(wire.Reader)
	for name, c := range map[string]struct {
		photo []byte
		s     string
	}{
		"two traces": {pair, `{"time_per_box": "5ms", "signal": "sine", "traces": [{"trace": "a", "volts_per_box": "2V"}, {"trace": "b", "volts_per_box": "1V"}]}`},
		"no photo":   {[]byte("a letter"), `{}`},
		"upright":    {upside, `{"volts_per_box": "1V", "time_per_box": "1ms"}`},
		"turned":     {upside, `{"volts_per_box": "1V", "time_per_box": "1ms", "turn": "180"}`},
	} {
		fresh, status := wire.Read(t.Context(), c.photo, []byte(c.s))
		want, err := wire.Decode(fresh)
		if err != nil {
			t.Fatal(err)
		}
		want.Stages = nil
		for range 2 {
			text, again := r.Read(t.Context(), c.photo, []byte(c.s))
			got, err := wire.Decode(text)
			if err != nil {
				t.Fatal(err)
			}
			got.Stages = nil
			same(t, name, got, want)
			if again != status {
				t.Errorf("%s: status %d, then %d", name, status, again)
			}
		}
	}
}

// A counted context is cancelled when it has been asked so many times, and counts how often it is asked after that.
type counted struct {
	context.Context
	cancel      context.CancelFunc
	mu          sync.Mutex // of the rest
	left, after int
}

func (c *counted) Err() error {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.left--; c.left == 0 {
		c.cancel()
	}
	err := c.Context.Err()
	if err != nil {
		c.after++
	}
	return err
}

// Whenever a reading is interrupted it ends soon, counted in questions to the context: at most one of each goroutine
// that is at work and one of each room on the way out. Nothing half-made is kept: the next reading is as a fresh one.
func TestACancelledReadingEndsAndLeavesNothing(t *testing.T) {
	scene := synth.Scene{Seed: 6, Display: synth.Display{Kind: synth.Colour}, Camera: synth.Phone()}
	photo, _, err := scene.WithMegapixels(0.35).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	settings := map[string]string{"volts_per_box": "1V", "time_per_box": "1ms", "monte_carlo": "1000"}
	want, _ := document(t, new(wire.Reader), photo, settings)
	all := &counted{Context: t.Context(), cancel: func() {}, left: math.MaxInt}
	if _, status := wire.Read(all, photo, jsonOf(settings)); status != 200 {
		t.Fatalf("status %d", status)
	}
	questions := math.MaxInt - all.left
	const moments = 6
	for i := range moments {
		left := 1 + i*questions/moments
		under, cancel := context.WithCancel(t.Context())
		ctx := &counted{Context: under, cancel: cancel, left: left}
		r := new(wire.Reader)
		text, status := r.Read(ctx, photo, jsonOf(settings))
		d, err := wire.Decode(text)
		if err != nil {
			t.Fatal(err)
		}
		if status != 503 || d.Error == nil || d.Error.Kind != "interrupted" || d.Error.Hint == "" {
			t.Errorf("interrupted at %d of %d questions: status %d, %+v", left, questions, status, d.Error)
		}
		if ctx.after > 16+2*runtime.GOMAXPROCS(0) {
			t.Errorf("interrupted at %d of %d questions: %d more", left, questions, ctx.after)
		}
		cancel()
		got, _ := document(t, r, photo, settings)
		same(t, fmt.Sprintf("after the interruption at %d of %d questions", left, questions), got, want)
	}
}

// Pages ask for several readings at once: each gets the document of a fresh one.
func TestAReaderServesSeveralAtOnce(t *testing.T) {
	var photos [2][]byte
	for i := range photos {
		scene := synth.Scene{Seed: uint64(5 + i), Display: synth.Display{Kind: synth.Colour}, Camera: synth.Phone()}
		var err error
		if photos[i], _, err = scene.WithMegapixels(0.35).JPEG(); err != nil {
			t.Fatal(err)
		}
	}
	var r wire.Reader
	var wg sync.WaitGroup
	var got, want [6]*wire.Document
	settings := func(i int) map[string]string {
		return map[string]string{"volts_per_box": fmt.Sprintf("%dV", 1+i%3), "time_per_box": "5s"}
	}
	for i := range got {
		wg.Go(func() { got[i], _ = document(t, &r, photos[i%2], settings(i)) })
	}
	wg.Wait()
	for i := range want {
		want[i], _ = document(t, new(wire.Reader), photos[i%2], settings(i))
		same(t, fmt.Sprintf("reading %d", i), got[i], want[i])
	}
}

// changed measures a reading after a change that was never made before; number gives the i-th of such changes.
func changed(b *testing.B, number func(s map[string]string, i int) map[string]string) {
	for _, mp := range []float64{2, 12} {
		b.Run(fmt.Sprintf("mp=%g", mp), func(b *testing.B) {
			photo, truth, err := synth.Random(5).WithMegapixels(mp).JPEG()
			if err != nil {
				b.Fatal(err)
			}
			s := map[string]string{"volts_per_box": fmt.Sprintf("%gV", truth.Traces[0].VoltsPerBox), "time_per_box": fmt.Sprintf("%gs", truth.TimePerBox), "ground": "-3"}
			var r wire.Reader
			d, _ := document(b, &r, photo, s)
			if d.Error != nil {
				b.Fatalf("%+v", d.Error)
			}
			var corners []string
			for _, c := range d.Graticule.Corners {
				corners = append(corners, fmt.Sprintf("%.2f,%.2f", float64(c[0]), float64(c[1])))
			}
			s["boxes"], s["corners"] = fmt.Sprintf("%dx%d", d.Graticule.Columns, d.Graticule.Rows), strings.Join(corners, " ")
			document(b, &r, photo, s)
			i := 0
			for b.Loop() {
				i++
				if _, status := r.Read(b.Context(), photo, jsonOf(number(s, i))); status != 200 {
					b.Fatalf("status %d", status)
				}
			}
		})
	}
}

// What a person waits for at the page after another volts per box: at most 20 ms is the aim.
func BenchmarkScaleChanged(b *testing.B) {
	changed(b, func(s map[string]string, i int) map[string]string {
		return with(s, "volts_per_box", fmt.Sprintf("%gV", 1+0.001*float64(i)))
	})
}

// The same after another ground line.
func BenchmarkGroundChanged(b *testing.B) {
	changed(b, func(s map[string]string, i int) map[string]string {
		return with(s, "ground", fmt.Sprintf("%g", -3.5+0.0001*float64(i)))
	})
}

// The same while a corner is dragged: at most 150 ms is the aim.
func BenchmarkCornerDragged(b *testing.B) {
	changed(b, func(s map[string]string, i int) map[string]string {
		first, rest, _ := strings.Cut(s["corners"], " ")
		x, y, _ := strings.Cut(first, ",")
		at, _ := strconv.ParseFloat(x, 64)
		return with(s, "corners", fmt.Sprintf("%.3f,%s %s", at+0.01*float64(i%200), y, rest))
	})
}

// The time from the cancelling of a reading to its end, at twenty moments of it: the longest is told, and at most 50 ms
// is the aim.
func BenchmarkCancelled(b *testing.B) {
	for _, mp := range []float64{2, 12} {
		b.Run(fmt.Sprintf("mp=%g", mp), func(b *testing.B) {
			photo, _, err := synth.Random(5).WithMegapixels(mp).JPEG()
			if err != nil {
				b.Fatal(err)
			}
			s := jsonOf(map[string]string{"volts_per_box": "1V", "time_per_box": "1ms", "monte_carlo": "2000"})
			begun := time.Now()
			wire.Read(b.Context(), photo, s)
			whole := time.Since(begun)
			longest := time.Duration(0)
			for b.Loop() {
				for i := range 20 {
					ctx, cancel := context.WithCancel(b.Context())
					var at time.Time
					timer := time.AfterFunc(whole*time.Duration(i)/20, func() {
						at = time.Now()
						cancel()
					})
					_, status := wire.Read(ctx, photo, s)
					if timer.Stop(); status == 503 {
						longest = max(longest, time.Since(at))
					}
					cancel()
				}
			}
			b.ReportMetric(float64(longest.Microseconds())/1000, "longest-ms")
		})
	}
}
