package graticule_test

import (
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// Lines at two minor divisions to a box, fainter than those at whole boxes, are no boxes.
func TestMinorLinesAreNoBoxes(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	h, err := geom.HomographyOf(f.Corners(), [4]geom.Pixel{{X: 110, Y: 90}, {X: 920, Y: 100}, {X: 910, Y: 740}, {X: 100, Y: 720}})
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, 1000, 800))
	for y := range 800 {
		for x := range 1000 {
			b := h.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			v := 60.0
			if math.Abs(b.X) < 5.02 && math.Abs(b.Y) < 4.02 {
				v = 30
				for _, c := range [2]float64{b.X, b.Y} {
					d, e := c-math.Round(c), 2*c-math.Round(2*c)
					v += 70*math.Exp(-d*d/(2*0.015*0.015)) + 45*math.Exp(-e*e/(2*0.03*0.03))
				}
			}
			img.SetGray(x, y, color.Gray{Y: uint8(min(v, 255))})
		}
	}
	g, err := graticule.Find(t.Context(), photo.New(img), nil)
	if err != nil {
		t.Fatal(err)
	}
	if g.Frame != f {
		t.Fatalf("found %v; doubts %q", g.Frame, g.Doubts)
	}
	for _, b := range f.Corners() {
		if p, q := h.Pixel(b), g.Pixel(b); math.Hypot(p.X-q.X, p.Y-q.Y) > 1 {
			t.Errorf("corner %v is at %v, should be at %v", b, q, p)
		}
	}
}

// Stripes of three colours shift the lines of a colour panel; those of a pale one have none, and are claimed
// to be surer.
func TestDarkLinesHaveNoStripes(t *testing.T) {
	u := func(kind synth.Kind) float64 {
		img, _ := scene(62, synth.Display{Kind: kind, Grid: synth.Solid}).Shoot()
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err != nil {
			t.Fatal(err)
		}
		return math.Sqrt(variance(g, geom.Box{}))
	}
	if pale, colour := u(synth.Pale), u(synth.Colour); pale > 6e-4 || colour < 1e-3 {
		t.Errorf("the centre line's place is claimed to %.4f box on a pale panel, %.4f on a colour panel", pale, colour)
	}
}
