package graticule_test

import (
	"errors"
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// ruled draws a plain picture of a graticule of the frame f under h: bright lines on a dark field.
func ruled(w, h int, m geom.Homography, f geom.Frame) image.Image {
	img := image.NewGray(image.Rect(0, 0, w, h))
	c := f.Corners()
	for y := range h {
		for x := range w {
			p := geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5}
			b := m.Box(p)
			v := 60.0
			if b.X >= c[0].X-0.02 && b.X <= c[1].X+0.02 && b.Y >= c[2].Y-0.02 && b.Y <= c[1].Y+0.02 {
				v = 30
				for _, d := range [2]float64{math.Abs(b.X - math.Round(b.X)), math.Abs(b.Y - math.Round(b.Y))} {
					v += 70 * math.Exp(-d*d/(2*0.015*0.015))
				}
			}
			img.SetGray(x, y, color.Gray{Y: uint8(min(v, 255))})
		}
	}
	return img
}

func TestFindSeesAPlainGrid(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	truth, err := geom.HomographyOf(f.Corners(), [4]geom.Pixel{{X: 150, Y: 120}, {X: 850, Y: 150}, {X: 880, Y: 700}, {X: 130, Y: 680}})
	if err != nil {
		t.Fatal(err)
	}
	g, err := graticule.Find(photo.New(ruled(1000, 800, truth, f)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if g.Frame != f {
		t.Fatalf("frame %v, want %v", g.Frame, f)
	}
	for _, b := range f.Corners() {
		p, q := truth.Pixel(b), g.Pixel(b)
		if d := math.Hypot(p.X-q.X, p.Y-q.Y); d > 0.5 {
			t.Errorf("corner %v is %.2f px off", b, d)
		}
	}
}

func TestFindRefusesABlankPhoto(t *testing.T) {
	g, err := graticule.Find(photo.New(image.NewGray(image.Rect(0, 0, 640, 480))), nil)
	var none *graticule.NotFoundError
	if g != nil || !errors.As(err, &none) || none.Hint == "" {
		t.Errorf("got %v, %v", g, err)
	}
}
