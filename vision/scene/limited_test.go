package scene

import (
	"math/rand/v2"
	"testing"

	"quadrille/vision/raster"
)

// A trace ten times as bright as the lines is brought to within six times, and the lines keep half.
func TestLimitingBringsATraceNearerToTheLines(t *testing.T) {
	const size, step, line, trace = 400, 50, 0.1, 1.0
	p := raster.New(size, size)
	rng := rand.New(rand.NewPCG(1, 2))
	for y := range size {
		for x := range size {
			v := 0.01 * rng.NormFloat64()
			if x%step < 2 || y%step < 2 {
				v += line
			}
			if y >= 170 && y < 174 {
				v += trace
			}
			p.Pix[y*size+x] = float32(v)
		}
	}
	grey := raster.New(size, size)
	copy(grey.Pix, p.Pix)
	d := limited(p, grey)
	ridge := func(x, y int) float64 {
		return float64(d.Pix[y*size+x] - (d.Pix[(y-15)*size+x-15]+d.Pix[(y+15)*size+x+15])/2)
	}
	var lines, traces float64
	for k := 60; k < 340; k++ {
		lines += ridge(200, k)
		traces += ridge(k, 172)
	}
	if lines < 280*line/2 || traces > 6*lines {
		t.Errorf("the line is %.3f high, the trace %.3f", lines/280, traces/280)
	}
}
