// Package raster has planes of float32 samples in linear light, and the operations on them that the
// measuring rooms share: samples between samples (sample.go), a Gaussian blur, running means, planes of
// other sizes (resize.go), order statistics, connected components, and Rows, by which alone work on a
// plane is spread over the processor's cores.
package raster

import (
	"runtime"
	"sync"
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
