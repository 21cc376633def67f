// Package raster has planes of float32 samples in linear light, and the few operations on them that
// the measuring rooms share: sampling, smoothing, reduction, and a helper that spreads rows over the
// processor's cores.
package raster

import (
	"math"
	"runtime"
	"sync"

	"quadrille/vision/geom"
)

// A Plane is one channel. Sample (x, y) is Pix[y*W+x] and covers the square from (x, y) to
// (x+1, y+1) of the pixel frame, so that its centre is at (x+0.5, y+0.5).
type Plane struct {
	W, H int
	Pix  []float32
}

// New makes a plane of zeros.
func New(w, h int) *Plane { return &Plane{W: w, H: h, Pix: make([]float32, w*h)} }

// Row gives line y of the plane, sharing its memory.
func (p *Plane) Row(y int) []float32 { return p.Pix[y*p.W : (y+1)*p.W] }

// Bilinear samples the plane at q; ok is false closer than half a pixel to the border, or outside.
func (p *Plane) Bilinear(q geom.Pixel) (v float32, ok bool) {
	x, y := q.X-0.5, q.Y-0.5
	if !(x >= 0 && y >= 0 && x <= float64(p.W-1) && y <= float64(p.H-1)) {
		return 0, false
	}
	i, j := min(int(x), p.W-2), min(int(y), p.H-2)
	if i < 0 || j < 0 {
		return 0, false // one pixel wide or high
	}
	fx, fy := float32(x-float64(i)), float32(y-float64(j))
	k := j*p.W + i
	top := p.Pix[k] + fx*(p.Pix[k+1]-p.Pix[k])
	low := p.Pix[k+p.W] + fx*(p.Pix[k+p.W+1]-p.Pix[k+p.W])
	return top + fy*(low-top), true
}

// Blur gives the plane smoothed by a Gaussian of standard deviation sigma pixels, cut off at three
// standard deviations; the border is repeated outwards. A sigma of 0 or less copies.
func (p *Plane) Blur(sigma float64) *Plane {
	out := New(p.W, p.H)
	if sigma <= 0 || len(p.Pix) == 0 {
		copy(out.Pix, p.Pix)
		return out
	}
	kernel := gauss(sigma)
	r := len(kernel) / 2
	across := New(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		padded := make([]float32, p.W+2*r)
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			for i := range r {
				padded[i], padded[p.W+r+i] = row[0], row[p.W-1]
			}
			copy(padded[r:], row)
			dst := across.Row(y)
			for x := range dst {
				var s float32
				for i, k := range kernel {
					s += k * padded[x+i]
				}
				dst[x] = s
			}
		}
	})
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Row(y)
			for i, k := range kernel {
				src := across.Row(min(max(y+i-r, 0), p.H-1))
				for x, v := range src {
					dst[x] += k * v
				}
			}
		}
	})
	return out
}

func gauss(sigma float64) []float32 {
	r := int(math.Ceil(3 * sigma))
	k := make([]float32, 2*r+1)
	sum := 0.0
	for i := range k {
		d := float64(i - r)
		v := math.Exp(-d * d / (2 * sigma * sigma))
		k[i] = float32(v)
		sum += v
	}
	for i := range k {
		k[i] /= float32(sum)
	}
	return k
}

// Rows calls f on blocks of rows that together cover 0..h once, on as many cores as there are; with
// one core (WebAssembly) it runs inline. f must not depend on how the rows are cut.
func Rows(h int, f func(y0, y1 int)) {
	n := min(runtime.GOMAXPROCS(0), h)
	if n <= 1 {
		f(0, h)
		return
	}
	var wg sync.WaitGroup
	for i := range n {
		wg.Add(1)
		go func() {
			defer wg.Done()
			f(i*h/n, (i+1)*h/n)
		}()
	}
	wg.Wait()
}
