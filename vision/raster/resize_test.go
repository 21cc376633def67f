package raster

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
)

func drawPlane(t *rapid.T, least, most int) *Plane {
	side := rapid.IntRange(least, most)
	return random(side.Draw(t, "w"), side.Draw(t, "h"), rapid.Uint64().Draw(t, "seed"))
}

func TestReducedSamplesAreMeansOfTheirSquares(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, k := drawPlane(t, 0, 40), rapid.IntRange(1, 7).Draw(t, "k")
		out := p.Reduce(k)
		if out.W != p.W/k || out.H != p.H/k {
			t.Fatalf("%d × %d", out.W, out.H)
		}
		for y := range out.H {
			for x, v := range out.Row(y) {
				sum := 0.0
				for j := range k {
					for i := range k {
						sum += float64(p.Row(y*k + j)[x*k+i])
					}
				}
				if want := sum / float64(k*k); math.Abs(float64(v)-want) > 1e-6 {
					t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
				}
			}
		}
	})
}

// A doubled plane has at each of its samples what the plane has at that place.
func TestDoubleIsBilinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlane(t, 0, 20)
		out := p.Double()
		if out.W != 2*p.W || out.H != 2*p.H {
			t.Fatalf("%d × %d", out.W, out.H)
		}
		for y := range out.H {
			for x, v := range out.Row(y) {
				want := blend(p, geom.Pixel{X: (float64(x) + 0.5) / 2, Y: (float64(y) + 0.5) / 2})
				if math.Abs(float64(v)-want) > 1e-6 {
					t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
				}
			}
		}
	})
}

func TestEnlargedIsClampedAtEachSample(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, k := drawPlane(t, 2, 20), rapid.IntRange(1, 7).Draw(t, "k")
		row := p.Enlarged(k, p.W*k+3)
		dst := make([]float32, p.W*k+3)
		for y := range p.H*k + 3 {
			row(dst, y)
			for x, v := range dst {
				if want := p.Clamped(geom.Pixel{X: (float64(x) + 0.5) / float64(k), Y: (float64(y) + 0.5) / float64(k)}); v != want {
					t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
				}
			}
		}
	})
}

func TestTransposeSwapsTheAxes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := drawPlane(t, 0, 80)
		out := p.Transpose()
		if out.W != p.H || out.H != p.W {
			t.Fatalf("%d × %d", out.W, out.H)
		}
		for y := range p.H {
			for x, v := range p.Row(y) {
				if out.Row(x)[y] != v {
					t.Fatalf("(%d, %d): %v, want %v", x, y, out.Row(x)[y], v)
				}
			}
		}
	})
}

func BenchmarkResize(b *testing.B) {
	p := random(1280, 960, 10)
	for _, to := range []struct {
		name string
		make func() *Plane
	}{
		{"half", p.Halve}, {"third", func() *Plane { return p.Reduce(3) }},
		{"double", p.Double}, {"transposed", p.Transpose},
	} {
		b.Run("to="+to.name, func(b *testing.B) {
			for b.Loop() {
				to.make()
			}
		})
	}
}
