package raster

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// A display seen at a slant through a lens that bends as much as a wide phone's does.
func slant(x, y float64) geom.Pixel {
	w := 1 + 2e-4*x + 1e-4*y
	p := geom.Pixel{X: (30 + 0.9*x + 0.1*y) / w, Y: (20 - 0.08*x + 0.95*y) / w}
	return geom.Radial{Centre: geom.Pixel{X: 400, Y: 300}, Scale: 500, K: -0.1}.Bend(p)
}

// ramp is light that climbs evenly, so that a sample tells its place.
func ramp(w, h int) *Plane {
	p := New(w, h)
	for y := range h {
		for x := range w {
			p.Row(y)[x] = float32(x) + 3*float32(y)
		}
	}
	return p
}

func TestAWarpIsTheMapSampleBySample(t *testing.T) {
	p, origin := ramp(300, 250), geom.Pixel{X: 10, Y: 4}
	for _, size := range [][2]int{{0, 5}, {1, 1}, {8, 16}, {203, 171}} {
		m := NewWarp(size[0], size[1], slant)
		out := m.Of(p, origin, 0.5, p.Clamped)
		lo, hi := m.Bounds()
		for y := range out.H {
			for x, v := range out.Row(y) {
				q := slant(float64(x)+0.5, float64(y)+0.5)
				const slack = 0.01
				if !(q.X >= lo.X-slack && q.Y >= lo.Y-slack && q.X <= hi.X+slack && q.Y <= hi.Y+slack) {
					t.Fatalf("(%d, %d) lies at %v, outside %v to %v", x, y, q, lo, hi)
				}
				want := p.Clamped(geom.Pixel{X: (q.X - origin.X) / 2, Y: (q.Y - origin.Y) / 2})
				if math.Abs(float64(v-want)) > 0.02 { // of a place 0.01 off along both axes, on slopes of 1/2 and 3/2
					t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
				}
			}
		}
	}
}

func TestAWarpAsksForWhatLiesOutside(t *testing.T) {
	p := ramp(40, 40)
	m := NewWarp(60, 50, func(x, y float64) geom.Pixel { return geom.Pixel{X: x - 8, Y: y - 6} })
	out := m.Of(p, geom.Pixel{}, 1, func(geom.Pixel) float32 { return -1 })
	for y := range out.H {
		for x, v := range out.Row(y) {
			want := float32(-1)
			if x >= 8 && x < 48 && y >= 6 && y < 46 {
				want = float32(x-8) + 3*float32(y-6)
			}
			if v != want {
				t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
			}
		}
	}
	nowhere := NewWarp(9, 9, func(x, _ float64) geom.Pixel { return geom.Pixel{X: math.Sqrt(4 - x), Y: 1} })
	if lo, hi := nowhere.Bounds(); lo.X == lo.X || hi.X == hi.X {
		t.Errorf("places that are none lie between %v and %v", lo, hi)
	}
}

func BenchmarkWarp(b *testing.B) {
	p := random(1000, 800, 17)
	for b.Loop() {
		NewWarp(800, 600, slant).Of(p, geom.Pixel{}, 1, p.Clamped)
	}
}
