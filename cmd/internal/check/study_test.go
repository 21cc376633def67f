package check_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/synth"
)

// A trial is a display, a drawing of it, and what is wrong with it on purpose.
type trial struct {
	display, drawn []byte // JPEG
	settings       wire.Settings
	perBox         float64    // squares
	corner         [2]float64 // of the screen in squares of the sheet
	truth          synth.SketchTruth
	up, right      float64 // box: shifted by so much
}

// made makes the trial of a seed: a photo of a display that shows one of the signals of the laboratory, and one of a
// drawing of that by hand on paper of one of the usual rulings, with axes at the screen's left and bottom rims. It is
// shifted by from to to boxes, not at all if they are 0. The photo of the drawing is so many pixels wide.
func made(t testing.TB, seed uint64, from, to float64, width int) trial {
	rng := rand.New(rand.NewPCG(seed, 71))
	f := geom.Frame{Cols: 10, Rows: 8}
	forms := []synth.Form{synth.Decay, synth.Driven, synth.Sine, synth.Square, synth.Triangle, synth.Level}
	sig, perBox := synth.Specimen(forms[seed%uint64(len(forms))], f)
	scene := synth.Scene{Display: synth.Display{Frame: f}, Signals: []synth.Signal{sig}, TimePerBox: perBox, Seed: seed,
		Camera: synth.Camera{Width: 1200, Height: 900}}
	display, _, err := scene.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	out := trial{display: display, perBox: 2, corner: [2]float64{float64(2 + rng.IntN(2)), float64(2 + rng.IntN(2))}}
	out.settings = wire.Settings{TimePerBox: fmt.Sprintf("%gs", perBox), TraceFields: wire.TraceFields{VoltsPerBox: fmt.Sprintf("%gV", sig.VoltsPerBox),
		Ground: fmt.Sprintf("%g", sig.GroundBox)}}
	s := synth.RandomSketch(seed)
	if s.Ruling.Square > 5 {
		out.perBox = 1
	}
	if to > 0 {
		size := from + (to-from)*rng.Float64()
		if rng.IntN(2) == 0 {
			size = -size
		}
		if sig.Form == synth.Level || rng.IntN(2) == 0 {
			out.up = size
		} else {
			out.right = size
		}
	}
	s.Cols, s.Rows = int(out.corner[0]+10*out.perBox)+2, int(out.corner[1]+8*out.perBox)+2
	s.From, s.To = out.corner[0], out.corner[0]+10*out.perBox
	s.Zero, s.High = out.corner[1], 8*out.perBox-1
	s.Axes, s.Second = true, false
	s.Zoom = min(s.Zoom, 1)
	s.Width, s.Height = width, width*3/4
	s.Wobble = min(s.Wobble, 0.03*out.perBox)
	last := math.NaN()
	for x := 0.0; x <= 10; x += 0.01 {
		at := x - out.right
		if at < 0 || at > 10 {
			continue
		}
		y := sig.GroundBox + sig.Volts(at*perBox)/sig.VoltsPerBox + 4 + out.up
		for y0 := last; math.Abs(y-y0) > 0.02; {
			y0 += math.Copysign(0.02, y-y0)
			s.Meant = append(s.Meant, geom.Box{X: s.From + out.perBox*x, Y: s.Zero + out.perBox*y0})
		}
		s.Meant = append(s.Meant, geom.Box{X: s.From + out.perBox*x, Y: s.Zero + out.perBox*y})
		last = y
	}
	if out.drawn, out.truth, err = s.JPEG(); err != nil {
		t.Fatal(err)
	}
	return out
}

// A trialResult is how a trial was told.
type trialResult struct {
	said    string  // of an error
	rms     float64 // box: of the placement, over the screen
	check   *check.Check
	doubted bool
	assumed bool // the verdict says what it takes for granted of where the screen lies
}

func (tr *trial) run() (r trialResult) {
	reader := new(wire.Reader)
	display := reader.Answer(context.Background(), tr.display, tr.settings).Document
	drawn := reader.Answer(context.Background(), tr.drawn, wire.Settings{Paper: "yes"}).Document
	c, err := check.Of(context.Background(), drawn, display, check.Settings{})
	if err != nil {
		return trialResult{said: err.Error()}
	}
	r.check, r.doubted = c, len(c.Doubts) > 0
	for _, v := range c.VerdictData {
		_, corner := v.Values["corner_x_squares"]
		_, ground := v.Values["ground_up_box"]
		r.assumed = r.assumed || corner || ground
	}
	// Where the screen's corners are on the photo, and where they should be, in boxes by the squares found there.
	nodes := drawn.Graticule.Nodes
	at := func(list [][]wire.Point, x, y float64) geom.Pixel {
		i, j := min(max(int(x), 0), len(list[0])-2), min(max(int(y), 0), len(list)-2)
		fx, fy := x-float64(i), y-float64(j)
		of := func(k int) float64 {
			return (1-fy)*((1-fx)*float64(list[j][i][k])+fx*float64(list[j][i+1][k])) + fy*((1-fx)*float64(list[j+1][i][k])+fx*float64(list[j+1][i+1][k]))
		}
		return geom.Pixel{X: of(0), Y: of(1)}
	}
	var truth [][]wire.Point
	for _, row := range tr.truth.Nodes {
		var l []wire.Point
		for _, p := range row {
			l = append(l, wire.Point{wire.Number(p.X), wire.Number(p.Y)})
		}
		truth = append(truth, l)
	}
	a, b := at(truth, 5, 5), at(truth, 6, 5)
	square := math.Hypot(b.X-a.X, b.Y-a.Y)
	sum, n := 0.0, 0.0
	for x := 1.0; x <= 9; x += 2 {
		for y := 1.0; y <= 7; y += 2 {
			p := at(nodes, float64(c.Placement.Corner[0])+float64(c.Placement.SquaresPerBox)*x, float64(c.Placement.Corner[1])+float64(c.Placement.SquaresPerBox)*y)
			q := at(truth, tr.corner[0]+tr.perBox*x, tr.corner[1]+tr.perBox*y)
			sum += math.Pow(math.Hypot(p.X-q.X, p.Y-q.Y)/square/tr.perBox, 2)
			n++
		}
	}
	r.rms = math.Sqrt(sum / n)
	return r
}

// BenchmarkStudy reads so many pairs of photos, a display and a drawing of it, and counts what was told: right drawings
// and such as are shifted, with the small shifts in a row of their own.
func BenchmarkStudy(b *testing.B) {
	for _, shift := range [][2]float64{{0, 0}, {0.1, 0.25}, {0.1, 1}} {
		b.Run(fmt.Sprintf("shift=%g-%g", shift[0], shift[1]), func(b *testing.B) {
			apart := map[string][]float64{} // pulls of what is placed and right
			var placed, misplaced, silent, assumed, unread, doubted, doubtedRight, told int
			for seed := range uint64(b.N) {
				tr := made(b, seed, shift[0], shift[1], 1600)
				r := tr.run()
				if r.check == nil {
					unread++
					b.Logf("%d: not read: %s", seed, r.said)
					continue
				}
				if r.doubted {
					doubted++
				}
				if r.rms > 0.05 {
					misplaced++
					if !r.doubted {
						if r.assumed {
							assumed++
						} else {
							silent++
						}
					}
					b.Logf("%d: off by %.3f box, placed by %s; %q; doubts %q", seed, r.rms, r.check.Placement.From, r.check.Verdict, r.check.Doubts)
					continue
				}
				placed++
				for _, q := range r.check.Quantities {
					if v := float64(q.Difference.Value / q.Difference.U); shift[1] == 0 && !math.IsNaN(v) {
						name := fmt.Sprint(q.Quantity, " ", q.Method)
						apart[name] = append(apart[name], v)
					}
				}
				if r.doubted {
					doubtedRight++
				}
				if right := tr.told(r.check); right {
					told++
				} else {
					b.Logf("%d: up %.2f, right %.2f: %q; doubts %q", seed, tr.up, tr.right, r.check.Verdict, r.check.Doubts)
				}
			}
			for name, list := range apart {
				if mean, sd := spread(list); len(list) > 1 {
					b.Logf("%s: %d pulls of mean %.2f, spread %.2f", name, len(list), mean, sd)
				}
			}
			b.ReportMetric(float64(placed), "placed")
			b.ReportMetric(float64(misplaced), "misplaced")
			b.ReportMetric(float64(silent), "silent")
			b.ReportMetric(float64(assumed), "assumed")
			b.ReportMetric(float64(unread), "unread")
			b.ReportMetric(float64(doubted), "doubted")
			b.ReportMetric(float64(doubtedRight), "doubted_though_placed")
			b.ReportMetric(float64(told), "told_rightly")
		})
	}
}

// told says that a check tells what is wrong, its sign, and its size to 0.05 box, or that nothing is.
func (tr *trial) told(c *check.Check) bool {
	if tr.up == 0 && tr.right == 0 {
		return c.Within
	}
	kind, name, size := "drawing.shifted_up", "up_box", tr.up
	if tr.right != 0 {
		kind, name, size = "drawing.shifted_right", "right_box", tr.right
	}
	for _, r := range c.VerdictData {
		if v, ok := r.Values[name].(float64); ok && r.Kind == kind && math.Abs(v-size) <= 0.05 {
			return true
		}
	}
	return false
}

// Photos of displays and of drawings of them, read and held together: where the screen lies is found to 0.05 box, what
// is right is told to be, and what is wrong on purpose by its sign and size.
func TestPhotosOfDrawings(t *testing.T) {
	for _, c := range []struct {
		seed  uint64
		wrong bool
	}{{6, false}, {2, true}, {4, true}} {
		from, to := 0.0, 0.0
		if c.wrong {
			from, to = 0.4, 1
		}
		tr := made(t, c.seed, from, to, 1200)
		r := tr.run()
		if r.check == nil {
			t.Errorf("%d: %s", c.seed, r.said)
			continue
		}
		if r.rms > 0.05 || !tr.told(r.check) {
			t.Errorf("%d: off by %.3f box; up %.2f, right %.2f: %q", c.seed, r.rms, tr.up, tr.right, r.check.Verdict)
		}
	}
}

// A level is drawn as a straight line, which is no axis then.
func TestALevelIsDrawnAsALine(t *testing.T) {
	tr := made(t, 5, 0, 0, 1200)
	if r := tr.run(); r.check == nil || r.rms > 0.05 || !r.check.Within {
		t.Errorf("off by %.3f box: %+v", r.rms, r)
	}
}
