package trace_test

// What is hidden is not invented: panels and words, in the trace's own ink as well, over a part of it.

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/synth"
	"quadrille/vision/trace"
)

// invented is the error in boxes from which on a sample was not read off the trace.
const invented = 0.15

// coveredScene draws an ordinary scene of a panel or words over a part of its trace: over its beginning, its end, or
// between. Every second panel has its edges on lines of the graticule.
func coveredScene(seed uint64) synth.Scene {
	rng := rand.New(rand.NewPCG(seed, 77))
	sc := flatFace(synth.Random(seed).WithMegapixels(1.6))
	sc.Signals = sc.Signals[:1]
	sc.Pen, sc.GapBoxes = 0, 0
	sc.Display.Kind = []synth.Kind{synth.Pale, synth.Blue, synth.Colour}[rng.IntN(3)]
	f := sc.Display.Frame
	left, low := f.Left(), f.Bottom()
	wide, high := 1.2+2.5*rng.Float64(), 0.7+2*rng.Float64()
	x := left + []float64{0, 0.1 + 0.5*rng.Float64(), 0, (-2*left - wide) * rng.Float64(), -2*left - wide}[rng.IntN(5)]
	truth, err := sc.Truth()
	if err != nil {
		panic(err)
	}
	// Its middle lies about as high as the trace in its middle.
	tr := truth.Traces[0]
	k := 0
	for k < len(tr.XBox)-1 && tr.XBox[k] < x+wide/2 {
		k++
	}
	y := tr.YBox[k] + high*(0.6*rng.Float64()-0.8)
	if rng.IntN(2) == 0 { // as instruments do
		step := []float64{1, 0.5}[rng.IntN(2)]
		round := func(v float64) float64 { return step * math.Round(v/step) }
		x, y, wide, high = round(x), round(y), max(round(wide), 1), max(round(high), 1)
	}
	p := synth.Panel{Left: max(x, left), Right: min(x+wide, -left), Bottom: max(y, low), Top: min(y+high, -low),
		Bare: rng.IntN(3) == 0, OfTrace: rng.IntN(2) == 0}
	const letter, line = 0.29, 0.6 // boxes, on displays of 25 picture elements to a box; less on others
	for _, w := range []string{"rise 1.24 ms", "mean 3.1 V", "held 12", "n 1024", "store", "level 2.5"}[rng.IntN(3):] {
		if p.Bare || float64(len(w))*letter < p.Right-p.Left-0.2 && float64(len(p.Words)+1)*line < p.Top-p.Bottom-0.2 {
			p.Words = append(p.Words, w)
		}
	}
	sc.Display.Panels = []synth.Panel{p}
	return sc
}

// A finding says what became of a covered trace.
type finding struct {
	invented int // samples off by more than invented, of all
	seen     int
	coverage float64 // of the columns that no panel hides
	doubts   []remark.Remark
}

func readCovered(t testing.TB, sc synth.Scene) (f finding, err error) {
	ph, g, truth := shoot(t, sc)
	traces, err := trace.Extract(t.Context(), ph, g, nil)
	if err != nil {
		return f, err
	}
	tr, want := traces[0], truth.Traces[0]
	q := sc.Display.Panels[0]
	s := compare(tr, want)
	for _, e := range s.errors {
		f.seen++
		if math.Abs(e) > invented {
			f.invented++
		}
	}
	n, there := 0, 0
	for i, x := range tr.X {
		if x > q.Left-0.1 && x < q.Right+0.1 {
			continue
		}
		n++
		if !math.IsNaN(tr.Y[i]) {
			there++
		}
	}
	f.coverage, f.doubts = float64(there)/float64(max(n, 1)), tr.Doubts
	return f, nil
}

// BenchmarkHidden reads covered traces and tells those with samples that were not read off the trace.
func BenchmarkHidden(b *testing.B) {
	const scenes = 60
	for range b.N {
		wrong, silent, refused, samples := 0, 0, 0, 0
		var covered []float64
		for seed := uint64(1); seed <= scenes; seed++ {
			sc := coveredScene(seed)
			f, err := readCovered(b, sc)
			q := sc.Display.Panels[0]
			about := fmt.Sprintf("seed %d, %s on %s, x %.1f to %.1f, y %.1f to %.1f, bare %v, of trace %v", seed, sc.Signals[0].Form, sc.Display.Kind, q.Left, q.Right, q.Bottom, q.Top, q.Bare, q.OfTrace)
			if err != nil {
				refused++
				b.Logf("%s: %v", about, err)
				continue
			}
			covered = append(covered, f.coverage)
			samples += f.invented
			if f.invented > 5 {
				wrong++
				if len(f.doubts) == 0 {
					silent++
				}
			}
			if f.invented > 5 || f.coverage < 0.9 {
				b.Logf("%s: %d of %d invented, coverage %.2f, doubts %q", about, f.invented, f.seen, f.coverage, f.doubts)
			}
		}
		slices.Sort(covered)
		b.ReportMetric(float64(wrong), "wrong")
		b.ReportMetric(float64(silent), "silent")
		b.ReportMetric(float64(refused), "refused")
		b.ReportMetric(float64(samples), "samples")
		b.ReportMetric(quantile(covered, 0.5), "covered-median")
		b.ReportMetric(quantile(covered, 0.1), "covered-p10")
	}
}

// Behind a panel with a border in the trace's ink, and in words, the trace is absent; beside them it is there.
func TestNothingIsInventedBehindPanels(t *testing.T) {
	t.Parallel()
	for _, seed := range []uint64{1, 12, 49, 54} {
		sc := coveredScene(seed)
		f, err := readCovered(t, sc)
		if err != nil || f.invented > 5 || f.coverage < 0.9 {
			t.Errorf("seed %d, %s on %s: %d of %d samples invented, coverage %.2f, error %v",
				seed, sc.Signals[0].Form, sc.Display.Kind, f.invented, f.seen, f.coverage, err)
		}
	}
}
