package graticule

import (
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/fit"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

// Where what is coloured is left out, half of the upright pieces must be seen, of five that lie clear of it or more:
// fewer are a wave's flanks, or tell nothing.
func TestALatticeMustBearThatWhatIsColouredIsLeftOut(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	h := geom.Homography{80, 0, 632, 0, -80, 474, 0, 0, 1}
	for _, c := range []struct {
		name  string
		drawn int // of ten upright pieces
		clear int // upright pieces without a coloured stroke across them; all if negative
		want  bool
	}{{"all", 10, -1, true}, {"six of ten", 6, -1, true}, {"three of ten", 3, -1, false}, {"seven clear", 10, 7, true}, {"three clear", 10, 3, false}} {
		img := image.NewRGBA(image.Rect(0, 0, 1264, 948))
		for y := range 948 {
			for x := range 1264 {
				b := h.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
				dx, dy := math.Abs(b.X-math.Round(b.X)), math.Abs(b.Y-math.Round(b.Y))
				inside := math.Abs(b.X) < 5.05 && math.Abs(b.Y) < 4.05
				piece := int(math.Round(b.X)+5)*8 + int(math.Floor(b.Y)+4) // of 88 upright ones
				v := 30.0
				if inside && dy < 0.08 {
					v += 70 * math.Exp(-dy*dy/(2*0.015*0.015))
				}
				if inside && dx < 0.08 && piece*7%10 < c.drawn {
					v = max(v, 30+70*math.Exp(-dx*dx/(2*0.015*0.015)))
				}
				ink := color.RGBA{uint8(v), uint8(v), uint8(v), 255}
				across := c.clear >= 0 && inside && piece >= c.clear && dx < 0.15 && math.Abs(dy-0.5) < 0.04
				if beside := y > 900 && y < 910; across || beside {
					ink = color.RGBA{250, 40, 220, 255}
				}
				img.SetRGBA(x, y, ink)
			}
		}
		s := &search{Finder: NewFinder(photo.New(img)), ctx: t.Context(), o: &Options{}}
		m := fit.Fit{Model: *fit.New(1264, 948, h, f)}
		v := verdict{fit: &m, sign: 1}
		if got := s.bears(graticuleOf(&m, f, false), &v); got != c.want || v.wave == c.want {
			t.Errorf("%s: bears it is %v, a wave is %v", c.name, got, v.wave)
		}
	}
}
