package graticule_test

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// Even steps on a tilted display are not even steps on the photo: taking them for even moved whole
// grids by 0.002 box here.
func TestTiltDoesNotMoveTheGrid(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	for _, c := range [][4]geom.Pixel{
		{{X: 120, Y: 60}, {X: 780, Y: 160}, {X: 780, Y: 500}, {X: 120, Y: 600}},  // far at the right
		{{X: 230, Y: 120}, {X: 690, Y: 110}, {X: 830, Y: 580}, {X: 100, Y: 590}}, // far at the top
	} {
		truth, err := geom.HomographyOf(f.Corners(), c)
		if err != nil {
			t.Fatal(err)
		}
		g, err := graticule.Find(t.Context(), photo.New(ruled(900, 680, truth, f)), nil)
		if err != nil || g.Frame != f {
			t.Fatalf("%+v, %v", g, err)
		}
		var dx, dy float64
		for x := -5.0; x <= 5; x++ {
			for y := -4.0; y <= 4; y++ {
				b := g.Box(truth.Pixel(geom.Box{X: x, Y: y}))
				dx += (b.X - x) / 99
				dy += (b.Y - y) / 99
			}
		}
		if math.Abs(dx) > 5e-4 || math.Abs(dy) > 5e-4 {
			t.Errorf("the grid lies (%.5f, %.5f) box off", dx, dy)
		} else {
			t.Logf("the grid lies (%.5f, %.5f) box off", dx, dy)
		}
	}
}
