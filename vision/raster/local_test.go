package raster

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat"
	"pgregory.net/rapid"
)

func TestLocalIsTheMeanAndSpreadOfEachRectangle(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, p *Plane, rx, ry int) {
		mean, spread := p.Local(rx, ry)
		for y := range p.H {
			for x := range p.W {
				var around []float64
				for j := max(y-ry, 0); j <= min(y+ry, p.H-1); j++ {
					for i := max(x-rx, 0); i <= min(x+rx, p.W-1); i++ {
						around = append(around, float64(p.Row(j)[i]))
					}
				}
				m, v := stat.PopMeanVariance(around, nil)
				if math.Abs(float64(mean.Row(y)[x])-m) > 1e-6 || math.Abs(float64(spread.Row(y)[x])-math.Sqrt(v)) > 1e-6 {
					t.Fatalf("(%d, %d): %v ± %v, want %v ± %v", x, y, mean.Row(y)[x], spread.Row(y)[x], m, math.Sqrt(v))
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, drawPlane(t, 0, 30), rapid.IntRange(0, 20).Draw(t, "rx"), rapid.IntRange(0, 20).Draw(t, "ry"))
	})
	check(t, random(3, 2*band+20, 18), 1, 4)
}

func BenchmarkLocal(b *testing.B) {
	p := random(700, 600, 19)
	for b.Loop() {
		p.Local(26, 26)
	}
}
