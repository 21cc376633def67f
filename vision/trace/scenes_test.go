package trace_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sort"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// flatFace takes the curve of a tube's face and its parallax away: they move the trace against the
// graticule, which is not the trace's fault.
func flatFace(s synth.Scene) synth.Scene {
	s.Display.Sag, s.Display.Depth = 0, 0
	return s
}

// shoot gives the photo of a scene and the graticule that its truth tells.
func shoot(t testing.TB, s synth.Scene) (*photo.Photo, *graticule.Graticule, synth.Truth) {
	t.Helper()
	data, truth, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(t.Context(), data, nil)
	if err != nil {
		t.Fatal(err)
	}
	lens := truth.Lens()
	var corners [4]geom.Pixel
	for i, c := range truth.CornersPx {
		corners[i] = lens.Straighten(geom.Pixel{X: c[0], Y: c[1]})
	}
	h, err := geom.HomographyOf(truth.Frame().Corners(), corners)
	if err != nil {
		t.Fatal(err)
	}
	return ph, &graticule.Graticule{H: h, Lens: lens, Frame: truth.Frame(), Centred: truth.Centred}, truth
}

// A score compares one trace with its truth.
type score struct {
	errors, pulls []float64 // of samples that are not on an edge; pulls with all effects
	coverage      float64   // share of the true curve's columns that were seen
}

// edge is the rise over 0.08 box from which a column is an edge: its height is not defined to better
// than the stroke.
const edge = 0.8

func compare(tr *trace.Trace, truth synth.TraceTruth) (s score) {
	at := func(x float64) (float64, bool) {
		k := sort.SearchFloat64s(truth.XBox, x)
		if k == 0 || k == len(truth.XBox) || truth.XBox[k]-truth.XBox[k-1] > 0.03 {
			return 0, false // off the screen, or in the gap
		}
		f := (x - truth.XBox[k-1]) / (truth.XBox[k] - truth.XBox[k-1])
		return truth.YBox[k-1] + f*(truth.YBox[k]-truth.YBox[k-1]), true
	}
	n := 0
	for i, x := range tr.X {
		y, ok := at(x)
		a, okA := at(x - 0.04)
		b, okB := at(x + 0.04)
		if !ok || !okA || !okB || math.Abs(a-b) > edge {
			continue
		}
		n++
		if !math.IsNaN(tr.Y[i]) {
			variance := tr.Sigma[i] * tr.Sigma[i]
			for _, e := range tr.Effects {
				variance += e.DY[i] * e.DY[i]
			}
			s.errors = append(s.errors, tr.Y[i]-y)
			s.pulls = append(s.pulls, (tr.Y[i]-y)/math.Sqrt(variance))
		}
	}
	s.coverage = float64(len(s.errors)) / float64(max(n, 1))
	return s
}

// nearestTo gives the score of the trace that lies nearest to the truth.
func nearestTo(truth synth.TraceTruth, traces []*trace.Trace) (best score) {
	least := math.Inf(1)
	for _, tr := range traces {
		if s := compare(tr, truth); quantile(magnitudes(s.errors), 0.5) < least {
			best, least = s, quantile(magnitudes(s.errors), 0.5)
		}
	}
	return best
}

func magnitudes(v []float64) []float64 {
	out := make([]float64, len(v))
	for i, x := range v {
		out[i] = math.Abs(x)
	}
	return out
}

func quantile(v []float64, p float64) float64 {
	if len(v) == 0 {
		return math.Inf(1)
	}
	w := append([]float64(nil), v...)
	sort.Float64s(w)
	return w[int(p*float64(len(w)-1)+0.5)]
}

func moments(v []float64) (mean, rms float64) {
	for _, x := range v {
		mean += x / float64(len(v))
		rms += x * x / float64(len(v))
	}
	return mean, math.Sqrt(rms)
}

// study runs scenes and gives the scores of all traces and how many scenes had another count of them.
func study(t testing.TB, scenes []synth.Scene) (scores []score, miscounted int) {
	for _, sc := range scenes {
		ph, g, truth := shoot(t, sc)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil || len(traces) != len(truth.Traces) {
			miscounted++
			t.Logf("seed %d, %s: %d traces, want %d; error %v", sc.Seed, truth.Display, len(traces), len(truth.Traces), err)
		}
		for _, want := range truth.Traces {
			s := nearestTo(want, traces)
			mean, rms := moments(s.errors)
			_, pull := moments(s.pulls)
			t.Logf("seed %d, %s %s: coverage %.3f, mean error %+.4f, rms %.4f box, pull %.2f",
				sc.Seed, truth.Display, want.Signal, s.coverage, mean, rms, pull)
			scores = append(scores, s)
		}
	}
	return scores, miscounted
}

func TestPullsOverScenes(t *testing.T) {
	t.Parallel()
	var scenes []synth.Scene
	for seed := range uint64(5) {
		scenes = append(scenes, flatFace(synth.Random(100+seed).WithMegapixels(1.5)))
	}
	scores, miscounted := study(t, scenes)
	var all, pulls, means, rms []float64
	for _, s := range scores {
		m, r := moments(s.errors)
		means, rms = append(means, math.Abs(m)), append(rms, r)
		all, pulls = append(all, s.errors...), append(pulls, s.pulls...)
		if s.coverage < 0.95 {
			t.Errorf("coverage %.3f", s.coverage)
		}
	}
	_, total := moments(all)
	_, spread := moments(pulls)
	t.Logf("rms %.4f box, pull %.2f", total, spread)
	// 0.03 box and 0.005 box are the project's targets. Neighbouring samples are correlated, so the
	// pull's spread over five scenes is itself known to about 0.2.
	if miscounted > 0 || quantile(rms, 0.5) > 0.03 || quantile(means, 0.5) > 0.005 || spread > 1.5 || spread < 0.6 {
		t.Errorf("%d scenes miscounted, median rms %.4f and mean %.4f box, pull %.2f",
			miscounted, quantile(rms, 0.5), quantile(means, 0.5), spread)
	}
}

// Where a menu or a table hides the trace, its words are not taken for the trace.
func TestWordsOverTheTraceAreNotFollowed(t *testing.T) {
	t.Parallel()
	for _, trouble := range []string{"menu", "table"} {
		for _, seed := range []uint64{203, 204} {
			sc, err := flatFace(synth.Random(seed).WithMegapixels(1.2)).WithTrouble(trouble)
			if err != nil {
				t.Fatal(err)
			}
			ph, g, truth := shoot(t, sc)
			traces, err := trace.Extract(t.Context(), ph, g, nil)
			if err != nil {
				t.Errorf("%s, seed %d: %v", trouble, seed, err)
				continue
			}
			s := nearestTo(truth.Traces[0], traces)
			if q := quantile(magnitudes(s.errors), 0.99); q > 0.2 || s.coverage < 0.5 {
				t.Errorf("%s, seed %d: one error in a hundred is beyond %.3f box, coverage %.3f", trouble, seed, q, s.coverage)
			}
		}
	}
}

// A tube draws the steep part of a rise dim, and seen by columns its stroke is tall: what comes after it, up to the
// rim, is the trace all the same.
func TestLastSteepPieceIsKept(t *testing.T) {
	t.Parallel()
	for _, knee := range []float64{0.016, 0.02, 0.026} { // the last rise begins 1.2 to 1.7 boxes before the rim
		sc := synth.Scene{Seed: uint64(1000 * knee), TimePerBox: 0.02, Camera: synth.Phone(), Display: synth.Display{Kind: synth.Tube}}
		sc.Camera.Yaw, sc.Camera.Pitch = 4*math.Pi/180, -7*math.Pi/180
		sc = flatFace(sc.WithMegapixels(1.2))
		sc.Signals = []synth.Signal{synth.MistFast(geom.Frame{Cols: 10, Rows: 8})}
		sc.Signals[0].Knee = knee
		ph, g, truth := shoot(t, sc)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		last := 0.0
		for i, y := range traces[0].Y {
			if !math.IsNaN(y) {
				last = traces[0].X[i]
			}
		}
		if s := nearestTo(truth.Traces[0], traces); last < 4.9 || quantile(magnitudes(s.errors), 0.99) > 0.2 {
			t.Errorf("knee %g: the trace ends at %.2f boxes, one error in a hundred is beyond %.3f", knee, last, quantile(magnitudes(s.errors), 0.99))
		}
	}
}

// An engraved line stands before the glow and hides one flank of a trace beside it: unmended, levels are off by up to
// 0.0084 box. 0.005 is the project's target for what lines do to a trace.
func TestLevelBesideAnEngravedLineIsUnbiased(t *testing.T) {
	t.Parallel()
	for i, y := range []float64{-1.94, -1.97, 1.05, 2.92} {
		sc := flatFace(synth.Scene{Seed: uint64(i), Camera: synth.Phone(), Display: synth.Display{Kind: synth.Tube}}.WithMegapixels(1.2))
		sc.Signals = []synth.Signal{{Form: synth.Level, VStart: y, VoltsPerBox: 1, Codes: -1}}
		ph, g, truth := shoot(t, sc)
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		if err != nil {
			t.Fatal(err)
		}
		if mean, _ := moments(nearestTo(truth.Traces[0], traces).errors); math.Abs(mean) > 0.005 {
			t.Errorf("a level at %.2f boxes is off by %+.4f", y, mean)
		}
	}
}

// Whatever a graticule says, Extract gives traces of finite numbers or a NotFoundError.
func FuzzExtract(f *testing.F) {
	sc := synth.Scene{Camera: synth.Camera{Width: 400, Height: 300}}
	img, truth := sc.Shoot()
	ph := photo.New(img)
	h := truth.Homography
	f.Add(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], 0.0, 10, 8)
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0, 0)
	f.Add(30.0, 0.0, 200.0, 0.0, 30.0, 150.0, 0.1, -0.1, 0.5, 15, 10)
	f.Add(math.NaN(), 1.0, math.Inf(1), 0.0, 1e300, 0.0, 1e-300, 0.0, -9.0, 1, 1)
	f.Fuzz(func(t *testing.T, a, b, c, d, e, k, l, m, lens float64, cols, rows int) {
		if cols > 20 || rows > 20 {
			return // more than any display has
		}
		g := &graticule.Graticule{H: geom.Homography{a, b, c, d, e, k, l, m, 1}, Lens: truth.Lens(), Frame: geom.Frame{Cols: cols, Rows: rows}}
		g.Lens.K = lens
		traces, err := trace.Extract(t.Context(), ph, g, nil)
		var missing *trace.NotFoundError
		if err != nil && (!errors.As(err, &missing) || missing.Hint == "" || traces != nil) || err == nil && len(traces) == 0 {
			t.Fatalf("%d traces, error %v", len(traces), err)
		}
		for _, tr := range traces {
			for i, y := range tr.Y {
				if math.IsInf(y, 0) || !math.IsNaN(y) && !(tr.Sigma[i] > 0 && !math.IsInf(tr.Sigma[i], 0)) {
					t.Fatalf("sample %d: y %g, sigma %g", i, y, tr.Sigma[i])
				}
			}
		}
	})
}

func ExampleExtract() {
	// The greenhouse's mist timer at rest, 4.5 V at 1.5 V a box above the lowest line.
	scene := synth.Scene{
		Camera:  synth.Camera{Width: 800, Height: 600},
		Signals: []synth.Signal{{Form: synth.Level, VStart: 4.5, VoltsPerBox: 1.5, GroundBox: -4, Noise: 0.02}},
	}
	img, truth := scene.Shoot()
	// On a real photo, graticule.Find gives the graticule.
	g := &graticule.Graticule{H: truth.Homography, Lens: truth.Lens(), Frame: truth.Frame()}
	traces, err := trace.Extract(context.Background(), photo.New(img), g, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, tr := range traces {
		middle := len(tr.Y) / 2
		fmt.Printf("trace %s at %.1f boxes, ground mark at %.1f, seen on %.0f %% of the width\n",
			tr.Name, tr.Y[middle], tr.GroundMark, 100*tr.Coverage)
	}
	// Output: trace a at -1.0 boxes, ground mark at -4.0, seen on 100 % of the width
}

// BenchmarkScenes is the study behind the numbers in DEVELOPERS.md: 48 ordinary scenes of all kinds.
func BenchmarkScenes(b *testing.B) {
	for range b.N {
		var scenes []synth.Scene
		for seed := range uint64(48) {
			scenes = append(scenes, flatFace(synth.Random(1+seed)))
		}
		scores, miscounted := study(b, scenes)
		var all, pulls, rms, means []float64
		covered := 0
		for _, s := range scores {
			m, r := moments(s.errors)
			rms, means = append(rms, r), append(means, math.Abs(m))
			all, pulls = append(all, s.errors...), append(pulls, s.pulls...)
			if s.coverage > 0.98 {
				covered++
			}
		}
		_, total := moments(all)
		_, spread := moments(pulls)
		b.ReportMetric(total*1000, "mbox-rms")
		b.ReportMetric(quantile(rms, 0.5)*1000, "mbox-rms-median")
		b.ReportMetric(quantile(rms, 0.9)*1000, "mbox-rms-p90")
		b.ReportMetric(quantile(means, 0.5)*1000, "mbox-bias-median")
		b.ReportMetric(quantile(means, 0.9)*1000, "mbox-bias-p90")
		b.ReportMetric(spread, "pull-rms")
		b.ReportMetric(1.4826*quantile(magnitudes(pulls), 0.5), "pull-robust")
		b.ReportMetric(float64(covered)/float64(len(scores)), "covered")
		b.ReportMetric(float64(miscounted), "miscounted")
	}
}

// BenchmarkKinds prints the table by kind of display and form of curve: seen is the share of the true columns off
// edges that was found, rms and bias are in thousandths of a box, the pull counts all effects; the last column is
// what another noise of the camera moves thin strokes by, beside the Cramér–Rao bound: the rest of the rms is the
// display's and the instrument's steps.
func BenchmarkKinds(b *testing.B) {
	const seeds, rests = 3, 16 // a display rounds a level once, so that each gives one or two errors
	forms := []synth.Form{synth.Decay, synth.Driven, synth.Sine, synth.Square, synth.Level}
	for range b.N {
		for _, kind := range []synth.Kind{synth.Colour, synth.Pale, synth.Blue, synth.Tube} {
			for _, form := range forms {
				want := seeds
				if form == synth.Level || form == synth.Square {
					want = rests
				}
				var all, pulls []float64
				seen, n, missed, ratio, most, rated := 0.0, 0, 0, 0.0, 0.0, 0.0
				for seed := uint64(1); n < want; seed++ {
					sc := flatFace(synth.Random(seed).WithMegapixels(2))
					if sc.Signals[0].Form != form {
						continue
					}
					n++
					sc.Display.Kind, sc.Signals = kind, sc.Signals[:1]
					ph, g, truth := shoot(b, sc)
					traces, err := trace.Extract(b.Context(), ph, g, nil)
					if err != nil {
						missed++
						continue
					}
					s := nearestTo(truth.Traces[0], traces)
					all, pulls, seen = append(all, s.errors...), append(pulls, s.pulls...), seen+s.coverage/float64(want)
					if n > seeds {
						continue
					}
					if noise, bound, usual, n := noiseOf(b, sc, 0.12); n > 0 { // a level may lie along a line
						ratio, most, rated = ratio+noise/bound, most+usual, rated+1
					}
				}
				mean, rms := moments(all)
				_, pull := moments(pulls)
				b.Logf("%-6s %-6s missed %d, seen %.3f, rms %4.1f, bias %+4.1f, pull %.2f, noise %.2f of the bound, of most samples %.2f", kind, form, missed, seen, 1000*rms, 1000*mean, pull, ratio/rated, most/rated)
			}
		}
	}
}

func BenchmarkExtract(b *testing.B) {
	b.Run("mp=12", func(b *testing.B) {
		sc := flatFace(synth.Random(5).WithMegapixels(12))
		sc.Camera.Fill = 0.8
		ph, g, _ := shoot(b, sc)
		b.ReportAllocs()
		for b.Loop() {
			if _, err := trace.Extract(b.Context(), ph, g, nil); err != nil {
				b.Fatal(err)
			}
		}
	})
}
