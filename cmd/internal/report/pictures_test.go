package report_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"

	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
)

// scene paints a photo of w×h pixels from a function of the place on the display, seen at a tilt
// through a lens.
func scene(t testing.TB, w, h int, paint func(b geom.Box) color.RGBA) (*photo.Photo, *graticule.Graticule) {
	t.Helper()
	f := geom.Frame{Cols: 10, Rows: 8}
	x, y := float64(w), float64(h)
	hom, err := geom.HomographyOf(f.Corners(), [4]geom.Pixel{{X: .22 * x, Y: .2 * y}, {X: .8 * x, Y: .17 * y}, {X: .83 * x, Y: .8 * y}, {X: .2 * x, Y: .77 * y}})
	if err != nil {
		t.Fatal(err)
	}
	g := &graticule.Graticule{H: hom, Frame: f, Lens: geom.Radial{Centre: geom.Pixel{X: x / 2, Y: y / 2}, Scale: math.Hypot(x, y) / 2, K: -0.02}}
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for j := range h {
		for i := range w {
			img.SetRGBA(i, j, paint(g.Box(geom.Pixel{X: float64(i) + .5, Y: float64(j) + .5})))
		}
	}
	return photo.New(img), g
}

// A lamp at a known place outside the frame is seen at that place of the straightened margin.
func TestMarginsAreStraight(t *testing.T) {
	lamps := map[string]geom.Box{
		"above, left half":  {X: -4, Y: 4.7},
		"above, right half": {X: 3, Y: 4.9},
		"left, upper half":  {X: -6, Y: 2},
		"left, lower half":  {X: -6.1, Y: -3},
		"right, upper half": {X: 6, Y: 1},
		"right, lower half": {X: 5.8, Y: -1.5},
		"below, left half":  {X: -2, Y: -4.8},
		"below, right half": {X: 4, Y: -4.6},
	}
	ph, g := scene(t, 1000, 750, func(b geom.Box) color.RGBA {
		for _, l := range lamps {
			if math.Hypot(b.X-l.X, b.Y-l.Y) < 0.25 {
				return color.RGBA{255, 255, 255, 255}
			}
		}
		return color.RGBA{30, 40, 50, 255}
	})
	margins := report.Margins(t.Context(), ph, g)
	if len(margins) != len(lamps) {
		t.Errorf("%d margins, want %d", len(margins), len(lamps))
	}
	for _, m := range margins {
		img, err := jpeg.Decode(bytes.NewReader(m.JPEG))
		if err != nil {
			t.Fatalf("%s: %v", m.Name, err)
		}
		// The strips begin 0.2 boxes inside the frame, and reach 0.4 over the axes.
		scale := pixels(g)
		lamp := lamps[m.Name]
		var cx, cy, n float64
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if r, _, _, _ := img.At(x, y).RGBA(); r > 0xd000 {
					cx, cy, n = cx+float64(x)+.5, cy+float64(y)+.5, n+1
				}
			}
		}
		cx, cy = cx/n, cy/n
		var ex, ey float64
		w, h := float64(img.Bounds().Dx()), float64(img.Bounds().Dy())
		switch m.Name {
		case "above, left half":
			ex, ey = w+(lamp.X-0.4)*scale, h-(lamp.Y-3.8)*scale
		case "above, right half":
			ex, ey = (lamp.X+0.4)*scale, h-(lamp.Y-3.8)*scale
		case "left, upper half":
			ex, ey = w-(-4.8-lamp.X)*scale, h-(lamp.Y+0.4)*scale
		case "left, lower half":
			ex, ey = w-(-4.8-lamp.X)*scale, (0.4-lamp.Y)*scale
		case "right, upper half":
			ex, ey = (lamp.X-4.8)*scale, h-(lamp.Y+0.4)*scale
		case "right, lower half":
			ex, ey = (lamp.X-4.8)*scale, (0.4-lamp.Y)*scale
		case "below, left half":
			ex, ey = w+(lamp.X-0.4)*scale, (-3.8-lamp.Y)*scale
		case "below, right half":
			ex, ey = (lamp.X+0.4)*scale, (-3.8-lamp.Y)*scale
		}
		if math.Hypot(cx-ex, cy-ey) > 1.5 {
			t.Errorf("%s: the lamp is seen at %.1f, %.1f px, want %.1f, %.1f", m.Name, cx, cy, ex, ey)
		}
	}
}

func pixels(g *graticule.Graticule) float64 {
	a, b, c := g.Pixel(geom.Box{}), g.Pixel(geom.Box{X: 1}), g.Pixel(geom.Box{Y: 1})
	return max(math.Hypot(b.X-a.X, b.Y-a.Y), math.Hypot(c.X-a.X, c.Y-a.Y))
}

// Strips that lie outside the photo are left out, and nothing fails on the smallest pictures.
func TestMarginsOfACropAndOfNothing(t *testing.T) {
	img := image.NewRGBA(image.Rect(0, 0, 500, 400))
	f := geom.Frame{Cols: 10, Rows: 8}
	h, err := geom.HomographyOf(f.Corners(), [4]geom.Pixel{{X: 0, Y: 0}, {X: 500, Y: 0}, {X: 500, Y: 400}, {X: 0, Y: 400}})
	if err != nil {
		t.Fatal(err)
	}
	if m := report.Margins(t.Context(), photo.New(img), &graticule.Graticule{H: h, Frame: f}); len(m) != 0 {
		t.Errorf("%d margins of a photo that ends at the frame", len(m))
	}
	for _, size := range []image.Point{{1, 1}, {3000, 1}, {1, 3000}} {
		r := &reading.Reading{Photo: photo.New(image.NewRGBA(image.Rect(0, 0, size.X, size.Y)))}
		if p := report.Illustrate(r); p == nil {
			t.Errorf("%v: no pictures", size)
		}
	}
}

// A graticule whose lines count from the centre has half a box at its left and right rim.
func TestLatticeFollowsTheDrawnLines(t *testing.T) {
	_, g := scene(t, 50, 40, func(geom.Box) color.RGBA { return color.RGBA{} })
	g.Frame = geom.Frame{Cols: 15, Rows: 10}
	for centred, want := range map[bool]struct {
		lines int
		x     float64
	}{false: {16 + 11, 0.5}, true: {2 + 15 + 11, 0}} {
		g.Centred = centred
		l := report.Lattice(g)
		if len(l) != want.lines {
			t.Errorf("centred %v: %d lines, want %d", centred, len(l), want.lines)
		}
		found := false
		for _, line := range l {
			found = found || math.Abs(g.Box(line[0]).X-want.x) < 1e-9 && math.Abs(g.Box(line[len(line)-1]).X-want.x) < 1e-9
		}
		if !found {
			t.Errorf("centred %v: no line at x = %v", centred, want.x)
		}
	}
}

// A hidden stretch parts the line that is drawn over the photo.
func TestLinesPartWhereTheTraceIsHidden(t *testing.T) {
	_, g := scene(t, 50, 40, func(geom.Box) color.RGBA { return color.RGBA{} })
	nan := math.NaN()
	tr := &trace.Trace{Name: "a", X: []float64{-3, -2, -1, 0, 1, 2}, Y: []float64{nan, 1, 1, nan, 2, 2}}
	lines := report.Lines(g, []*trace.Trace{tr})
	if len(lines) != 1 || len(lines[0].Pieces) != 2 || len(lines[0].Pieces[0]) != 2 || len(lines[0].Pieces[1]) != 2 {
		t.Fatalf("%+v", lines)
	}
	if got, want := lines[0].Pieces[1][0], g.Pixel(geom.Box{X: 1, Y: 2}); got != want {
		t.Errorf("%v, want %v", got, want)
	}
}

func BenchmarkIllustrate(b *testing.B) {
	ph, g := scene(b, 4000, 3000, func(q geom.Box) color.RGBA {
		return color.RGBA{uint8(40 * math.Abs(q.X)), uint8(40 * math.Abs(q.Y)), 90, 255}
	})
	var raw bytes.Buffer
	if err := jpeg.Encode(&raw, ph.Upright(), nil); err != nil {
		b.Fatal(err)
	}
	ph, err := photo.Decode(b.Context(), raw.Bytes(), nil)
	if err != nil {
		b.Fatal(err)
	}
	r := &reading.Reading{Photo: ph, Graticule: g}
	b.Run("mp=12", func(b *testing.B) {
		for b.Loop() {
			report.Illustrate(r)
		}
	})
}
