package sketch_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"os"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/sketch"
	"quadrille/vision/synth"
)

// A verdict is how well a simulated sketch was read.
type verdict struct {
	err     error
	squares float64 // square, rms of the crossings after a shift by whole squares; NaN where the squares are others
	rms     float64 // square, of the curve as drawn about the one found, over the part found
	share   float64 // 0..1, of the curve that was found: a place of it lies within a tenth of a square
	doubted bool
	doubts  string
}

func (v verdict) placed() bool {
	return v.err == nil && v.squares < 0.05 && v.rms < 0.05 && v.share > 0.9
}
func (v verdict) silent() bool {
	return v.err == nil && !v.doubted && !(v.squares < 0.1 && v.rms < 0.1 && v.share > 0.6)
}

// judge reads a sketch and holds it against its truth.
func judge(t testing.TB, s synth.Sketch) verdict {
	data, truth, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(context.Background(), data, nil)
	if err != nil {
		t.Fatal(err)
	}
	d, err := sketch.Find(context.Background(), ph, nil)
	if err != nil {
		return verdict{err: err, squares: math.NaN()}
	}
	v := verdict{squares: squaresOff(d, &truth), doubted: len(d.Doubts)+len(d.Traces[0].Doubts) > 0}
	for _, r := range append(d.Doubts, d.Traces[0].Doubts...) {
		v.doubts += " " + r.String()
	}
	v.rms = math.Inf(1)
	for k, tr := range d.Traces {
		if k > 0 && len(truth.Other) == 0 {
			break // what else is taken for a curve is none
		}
		var want []geom.Box // in squares as found
		last := geom.Box{X: math.Inf(-1)}
		for _, b := range truth.Curve {
			if math.Hypot(b.X-last.X, b.Y-last.Y) >= 0.1 { // close along steep parts as well: distance takes gaps for gaps
				want = append(want, d.Paper.Box(truth.Pixel(b)))
				last = b
			}
		}
		sum, n, near := 0.0, 0, 0
		for i := range tr.X {
			if math.IsNaN(tr.Y[i]) {
				continue
			}
			off := distance(want, geom.Box{X: tr.X[i], Y: tr.Y[i]})
			sum += min(off, 1) * min(off, 1)
			n++
		}
		var found []geom.Box
		for i := range tr.X {
			if !math.IsNaN(tr.Y[i]) {
				found = append(found, geom.Box{X: tr.X[i], Y: tr.Y[i]})
			}
		}
		for _, b := range want {
			if distance(found, b) < 0.1 {
				near++
			}
		}
		if rms := math.Sqrt(sum / float64(max(n, 1))); float64(near)/float64(len(want)) > v.share {
			v.rms, v.share = rms, float64(near)/float64(len(want))
		}
	}
	return v
}

// distance is how far b lies from a line through places close together.
func distance(line []geom.Box, b geom.Box) float64 {
	best := math.Inf(1)
	for i := 1; i < len(line); i++ {
		p, q := line[i-1], line[i]
		dx, dy := q.X-p.X, q.Y-p.Y
		f := ((b.X-p.X)*dx + (b.Y-p.Y)*dy) / max(dx*dx+dy*dy, 1e-12)
		f = min(max(f, 0), 1)
		if gap := math.Hypot(dx, dy); gap > 0.5 {
			continue
		}
		best = min(best, math.Hypot(b.X-p.X-f*dx, b.Y-p.Y-f*dy))
	}
	return best
}

// squaresOff is how far the true crossings lie from whole squares as found.
func squaresOff(d *sketch.Drawing, truth *synth.SketchTruth) float64 {
	var dx, dy []float64
	left, bottom := d.Paper.Frame.Left(), d.Paper.Frame.Bottom()
	for j, line := range truth.Nodes {
		for i, q := range line {
			b := d.Paper.Box(q)
			x, y := b.X-left, b.Y-bottom
			if x > -0.6 && y > -0.6 && x < float64(d.Paper.Frame.Cols)+0.6 && y < float64(d.Paper.Frame.Rows)+0.6 {
				dx, dy = append(dx, x-float64(i)), append(dy, y-float64(j))
			}
		}
	}
	if len(dx) < truth.Cols*truth.Rows/2 {
		return math.Inf(1)
	}
	sx, sy := math.Round(dx[len(dx)/2]), math.Round(dy[len(dy)/2])
	sum := 0.0
	for i := range dx {
		sum += (dx[i]-sx)*(dx[i]-sx) + (dy[i]-sy)*(dy[i]-sy)
	}
	return math.Sqrt(sum / float64(len(dx)))
}

var keep = flag.String("keep", "", "folder for the photos of sketches that were not placed")

// BenchmarkSketches is the study: -benchtime 300x reads the seeds 0 to 299, and tells how many were placed.
func BenchmarkSketches(b *testing.B) {
	placed, silent, refused, doubted := 0, 0, 0, 0
	var kinds = map[string][2]int{}
	for i := range b.N {
		s := synth.RandomSketch(uint64(i))
		v := judge(b, s)
		k := kinds[s.Ruling.Name]
		k[1]++
		if v.placed() {
			placed++
			k[0]++
		}
		kinds[s.Ruling.Name] = k
		if v.err != nil {
			refused++
		}
		if v.doubted {
			doubted++
		}
		if v.silent() {
			silent++
		}
		if !v.placed() || v.silent() {
			b.Logf("seed %d %s, %s, form %d: %v squares %.3f rms %.3f share %.2f silent %v%s", i, s.Ruling.Name, s.Pen.Name, s.Form, v.err, v.squares, v.rms, v.share, v.silent(), v.doubts)
			if *keep != "" {
				data, _, _ := s.JPEG()
				os.WriteFile(fmt.Sprintf("%s/%03d.jpg", *keep, i), data, 0o644)
			}
		}
	}
	for name, k := range kinds {
		if k[0] < k[1] {
			b.Logf("%s: %d of %d", name, k[0], k[1])
		}
	}
	b.Logf("%d of %d placed within 0.05 square rms over nine tenths of the curve, %d silently misplaced, %d doubted, %d refused", placed, b.N, silent, doubted, refused)
}
