package raster

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The blur is the sum over a square of the products of two Gaussians, cut off at three standard deviations.
func TestBlurIsASumOverASquare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, sigma := drawPlane(t, 1, 12), rapid.Float64Range(0.2, 2.5).Draw(t, "sigma")
		got := p.Blur(sigma)
		r := int(math.Ceil(3 * sigma))
		weight := func(i int) float64 { return math.Exp(-float64(i*i) / (2 * sigma * sigma)) }
		for y := range p.H {
			for x, v := range got.Row(y) {
				var sum, all float64
				for j := -r; j <= r; j++ {
					for i := -r; i <= r; i++ {
						w := weight(i) * weight(j)
						all += w
						sum += w * float64(p.Row(min(max(y+j, 0), p.H-1))[min(max(x+i, 0), p.W-1)])
					}
				}
				if want := sum / all; math.Abs(float64(v)-want) > 1e-6 {
					t.Fatalf("(%d, %d): %v, want %v", x, y, v, want)
				}
			}
		}
	})
}

// tapByTap is the first half of a blur as it is written first.
func tapByTap(dst, padded, kernel []float32) {
	for x := range dst {
		var s float32
		for i, k := range kernel {
			s += k * padded[x+i]
		}
		dst[x] = s
	}
}

func BenchmarkBlur(b *testing.B) {
	p := random(1280, 960, 20)
	b.Run("way=raster", func(b *testing.B) {
		for b.Loop() {
			p.Blur(1.1)
		}
	})
	b.Run("way=tapbytap", func(b *testing.B) { // along rows twice, for the same number of sums
		padded, dst, kernel := make([]float32, p.W+8), make([]float32, p.W), make([]float32, 9)
		for b.Loop() {
			for y := range 2 * p.H {
				copy(padded[4:], p.Row(y/2))
				tapByTap(dst, padded, kernel)
			}
		}
	})
}
