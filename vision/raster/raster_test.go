package raster

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

func TestBilinearIsExactOnAPlaneOfLight(t *testing.T) {
	p := New(7, 5)
	for y := range 5 {
		for x := range 7 {
			p.Row(y)[x] = float32(2*(float64(x)+0.5) - 3*(float64(y)+0.5))
		}
	}
	for _, q := range []geom.Pixel{{X: 0.5, Y: 0.5}, {X: 3.2, Y: 2.9}, {X: 6.5, Y: 4.5}} {
		v, ok := p.Bilinear(q)
		if !ok || math.Abs(float64(v)-(2*q.X-3*q.Y)) > 1e-5 {
			t.Errorf("at %v: %v %v", q, v, ok)
		}
	}
	for _, q := range []geom.Pixel{{X: 0.4, Y: 2}, {X: 3, Y: 4.6}, {X: math.NaN(), Y: 2}, {X: -9, Y: 2}} {
		if _, ok := p.Bilinear(q); ok {
			t.Errorf("at %v: sampled outside", q)
		}
	}
}

func TestBlurKeepsTheSumAndTheCentre(t *testing.T) {
	p := New(41, 31)
	p.Row(15)[20] = 1
	b := p.Blur(2.5)
	var sum, mx, my, xx float64
	for y := range b.H {
		for x, v := range b.Row(y) {
			sum += float64(v)
			mx += float64(v) * float64(x)
			my += float64(v) * float64(y)
			xx += float64(v) * float64(x-20) * float64(x-20)
		}
	}
	if math.Abs(sum-1) > 1e-5 || math.Abs(mx-20) > 1e-4 || math.Abs(my-15) > 1e-4 {
		t.Errorf("sum %v, centre (%v, %v)", sum, mx, my)
	}
	if sd := math.Sqrt(xx); math.Abs(sd-2.5) > 0.06 { // the cut at 3 sd takes 2 % off
		t.Errorf("standard deviation %v, want 2.5", sd)
	}
}

func TestRowsCoversEachRowOnce(t *testing.T) {
	for _, h := range []int{0, 1, 2, 7, 100} {
		seen := make([]int, h)
		Rows(h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				seen[y]++
			}
		})
		for y, n := range seen {
			if n != 1 {
				t.Errorf("h = %d: row %d seen %d times", h, y, n)
			}
		}
	}
}
