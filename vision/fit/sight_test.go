package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// picture draws log lightness at the places of a display that h shows on w×h pixels.
func picture(w, h int, m geom.Homography, light func(b geom.Box) float64) *scene.Picture {
	p := &scene.Picture{Plane: raster.New(w, h), Scale: 1}
	for y := range h {
		for x := range w {
			p.Plane.Row(y)[x] = float32(light(m.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})))
		}
	}
	return p
}

// boxes is a display straight on, with boxes across×up pixels and its centre at (x, y).
func boxes(across, up, x, y float64) geom.Homography {
	return geom.Homography{across, 0, x, 0, -up, y, 0, 0, 1}
}

// bar is a line at x, of unit height.
func bar(x float64) float64 { return math.Exp(-x * x / (2 * 0.018 * 0.018)) }

// grid has a line at each whole box.
func grid(b geom.Box) float64 {
	return 0.3 * max(bar(b.X-math.Round(b.X)), bar(b.Y-math.Round(b.Y)))
}

// sighted gives where the line through the middle of a picture of one box and its surroundings is seen, in boxes.
func sighted(px float64, light func(b geom.Box) float64) (off float64, found bool) {
	h := boxes(px, px, 1.5*px, 1.5*px)
	m := New(int(3*px), int(3*px), h, geom.Frame{Cols: 2, Rows: 2})
	near := picture(int(3*px), int(3*px), h, light)
	at := func(off, t float64) geom.Box { return geom.Box{X: off, Y: t - 0.5} }
	p, found, _ := sightLine(near, m, at, 1, MostRows)
	return m.Box(p).X, found
}

// A line is seen up to a tenth of a box beside its place, and neither the display's own pixels, 25 to a box, nor a
// helper line beside it move it.
func TestALineIsSeenWhereItLies(t *testing.T) {
	for _, px := range []float64{40, 150} {
		for at, want := range map[float64]bool{0: true, 0.03: true, 0.08: true, 0.14: false} {
			off, found := sighted(px, func(b geom.Box) float64 { return 0.3 * bar(b.X-at) })
			if found != want || found && math.Abs(off-at) > 0.002 {
				t.Errorf("boxes of %g: a line at %g is seen at %.4f, %v", px, at, off, found)
			}
		}
	}
	for name, beside := range map[string]func(x float64) float64{
		"pixels":      func(x float64) float64 { return 0.3 * math.Sin(2*math.Pi*25*x) },
		"helper line": func(x float64) float64 { return 0.3 * bar(x-0.16) },
	} {
		off, found := sighted(150, func(b geom.Box) float64 { return 0.3*bar(b.X) + beside(b.X) })
		if !found || math.Abs(off) > 0.004 {
			t.Errorf("%s: a line at 0 is seen at %.4f, %v", name, off, found)
		}
	}
}

// Of pieces of bare noise one in ten at most passes for a line, and of lines of twice its height nine in ten are seen.
func TestNoiseIsNoLine(t *testing.T) {
	h := boxes(50, 50, 300, 300)
	f := geom.Frame{Cols: 10, Rows: 10}
	xs, ys := Rulings(f, false)
	for height, share := range map[float64][2]float64{0: {0, 0.12}, 0.04: {0.9, 1}} {
		rng := rand.New(rand.NewPCG(1, 2))
		near := picture(600, 600, h, func(b geom.Box) float64 { return height/0.3*grid(b) + 0.02*rng.NormFloat64() })
		m := New(600, 600, h, f)
		obs, inside := Observe(near, m, xs, ys, 1, MostRows)
		if s := float64(len(obs)) / float64(inside); s < share[0] || s > share[1] {
			t.Errorf("lines %g high in noise of 0.02: %.2f of the pieces are seen", height, s)
		}
	}
}

// A box of eight samples across a line and as many rows along it is looked at; smaller ones show no line.
func TestSmallBoxesShowNoLine(t *testing.T) {
	for _, c := range []struct {
		across, along float64
		want          bool
	}{{10, 40, true}, {6, 40, false}, {40, 14, true}, {40, 8, false}} {
		h := boxes(c.across, c.along, 100, 100)
		m := New(200, 200, h, geom.Frame{Cols: 2, Rows: 2})
		near := picture(200, 200, h, grid)
		at := func(off, t float64) geom.Box { return geom.Box{X: off, Y: t} }
		if _, _, in := sightLine(near, m, at, 1, 80); in != c.want {
			t.Errorf("boxes of %g by %g samples: looked at is %v", c.across, c.along, in)
		}
		if k := BoxLong(lattice.Upright, 0, 0); c.along == 40 {
			if _, _, in := k.See(near, m, 1, 0.1); in != c.want {
				t.Errorf("boxes of %g by %g samples: a stretch is looked at: %v", c.across, c.along, in)
			}
		}
	}
}

// A frame is fitted where 18 pieces are seen, and a fifth of those inside the picture, from a start a twelfth of a box
// off.
func TestAFrameTakesEnoughPieces(t *testing.T) {
	for _, c := range []struct {
		name string
		f    geom.Frame
		seen func(b geom.Box) bool
		want bool
	}{
		{"17 pieces", geom.Frame{Cols: 2, Rows: 3}, nil, false},
		{"24 pieces", geom.Frame{Cols: 3, Rows: 3}, nil, true},
		{"all of 346", geom.Frame{Cols: 16, Rows: 10}, nil, true},
		{"a third of 346", geom.Frame{Cols: 16, Rows: 10}, func(b geom.Box) bool { return b.X < -2.5 }, true},
		{"an eighth of 346", geom.Frame{Cols: 16, Rows: 10}, func(b geom.Box) bool { return b.X < -5.9 }, false},
	} {
		h := boxes(40, 40, 400, 300)
		near := picture(800, 600, h, func(b geom.Box) float64 {
			x, y := b.X-c.f.Left(), b.Y-c.f.Bottom()
			if math.Abs(b.X) > -c.f.Left()+0.1 || math.Abs(b.Y) > -c.f.Bottom()+0.1 || c.seen != nil && !c.seen(b) {
				return 0
			}
			return grid(geom.Box{X: x, Y: y})
		})
		out, ok := Lines(near, 800, 600, boxes(40, 40, 403, 297), c.f, false, 1)
		if ok != c.want {
			t.Errorf("%s: fitted is %v, %d of %d seen", c.name, ok, out.Seen, out.Pieces)
		}
		if q := out.Pixel(geom.Box{}); ok && c.seen == nil && math.Hypot(q.X-400, q.Y-300) > 0.04 {
			t.Errorf("%s: the centre is at %v", c.name, q)
		}
	}
}

// How far the farther rim is from its place is told up to a fifth of a box, and noise is no rim.
func TestRimsAreSeenUpToAFifthOfABoxOff(t *testing.T) {
	f := geom.Frame{Cols: 6, Rows: 6}
	h := boxes(50, 50, 250, 250)
	for _, c := range []struct {
		at, height, want float64
	}{{0.15, 0.3, 0.15}, {0.26, 0.3, 0}, {0.1, 0, 0}, {0.15, 0.06, 0.15}} {
		rng := rand.New(rand.NewPCG(3, 4))
		near := picture(500, 500, h, func(b geom.Box) float64 {
			return c.height*bar(math.Abs(b.X)-3-c.at) + 0.02*rng.NormFloat64()
		})
		if off := RimOff(near, New(500, 500, h, f), f, 1); math.Abs(off-c.want) > 0.02 {
			t.Errorf("rims %g high, %g box off: told to be %.3f off", c.height, c.at, off)
		}
	}
}

// Of lines of thin dots, five to a box of 150 samples, four in five pieces are seen at the last look and half of them
// at the first ones, where fewer rows are looked at.
func TestThinDotsAreSeen(t *testing.T) {
	const px, phases = 150.0, 20
	h := boxes(px, px, px, px)
	m := New(2*px, 2*px, h, geom.Frame{Cols: 2, Rows: 2})
	at := func(off, t float64) geom.Box { return geom.Box{X: off, Y: t - 0.5} }
	var seen, first int
	for phase := range phases {
		rng := rand.New(rand.NewPCG(1, uint64(phase)))
		from := rng.Float64() / 5
		near := picture(2*px, 2*px, h, func(b geom.Box) float64 {
			y := 5 * (b.Y - from)
			y = (y - math.Round(y)) / 5
			return 0.6*math.Exp(-px*px*(b.X*b.X+y*y)/(2*0.5*0.5)) + 0.02*rng.NormFloat64()
		})
		on := func(rows int) int {
			if p, found, _ := sightLine(near, m, at, 1, rows); found && math.Abs(m.Box(p).X) < 0.01 {
				return 1
			}
			return 0
		}
		seen, first = seen+on(MostRows), first+on(fewRows)
	}
	if 5*seen < 4*phases || 2*first < phases {
		t.Errorf("of %d pieces %d are seen, and %d at the first look", phases, seen, first)
	}
}
