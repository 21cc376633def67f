package scene

// Ridges: where the picture is brighter or darker than both of its sides, as ruled lines are.
//
// For upright lines the second difference -g(x-d) + 2·g(x) - g(x+d) of the smoothed log lightness is positive on a
// bright line and negative on a dark one; one signed picture serves both. It is smoothed along the line, so that dots
// join, and divided by its own local rms, so that a bright trace or a bezel does not outshout a faint grid. Lines of
// the other family come from the transposed picture, and their ridges stay transposed. Ridge by second differences: C.
// Steger, An unbiased detector of curvilinear structures, IEEE PAMI 20 (1998) 113, section 2, taken with a fixed width
// because the width of a line is nearly known here.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// preBlur, px, Gaussian: sensor noise and a display's own pixels; wider blurs lose thin lines
	// (TestLinesOfOneToFourPixelsAreRidges, TestPixelsAndNoiseAreNoRidges)
	preBlur = 1.1
	// ridgeStep, px, d above: lines of 1 to 4 px, which reduced photos have (TestLinesOfOneToFourPixelsAreRidges)
	ridgeStep = 2
	// joinWidth, px, two running means along the line: dots a fifth of a box apart join, 25° still adds up
	// (TestATraceDoesNotOutshoutALine)
	joinWidth = 7
	// rmsWidth, px, two running means: the neighbourhood whose rms is divided out, under a box
	// (TestATraceDoesNotOutshoutALine)
	rmsWidth = 35
	// NoiseFloor is added to the rms, in log units: bare noise must not grow into evidence
	// (TestLinesOfOneToFourPixelsAreRidges).
	NoiseFloor = 0.006
	// RidgeMost is the highest ridge, in rms: a trace's edge counts no more than a good line
	// (TestATraceDoesNotOutshoutALine).
	RidgeMost = 2.0
)

// Ridges has the two signed pictures of lines, in units of the local rms. Upright answers vertical lines; Level answers
// horizontal ones and is transposed: its sample (y, x) belongs to the picture's (x, y).
type Ridges struct {
	Scale          float64 // samples to a pixel of the photo
	Upright, Level *raster.Plane
	W, H           int
}

// RidgesOf gives the ridges of a picture of the whole photo.
func RidgesOf(p *Picture) *Ridges {
	smooth := p.Plane.Blur(preBlur)
	return &Ridges{
		Scale: p.Scale, W: p.Plane.W, H: p.Plane.H,
		Upright: uprightRidges(smooth),
		Level:   uprightRidges(smooth.Transpose()),
	}
}

// uprightRidges gives the ridges of vertical lines in the smoothed log picture b.
func uprightRidges(b *raster.Plane) *raster.Plane {
	r := raster.New(b.W, b.H)
	const d = ridgeStep
	raster.Rows(b.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			src, dst := b.Row(y), r.Row(y)
			if len(src) <= 2*d {
				continue
			}
			left, right := src[:len(src)-2*d], src[2*d:]
			dst = dst[d:][:len(left)]
			for x, v := range src[d:][:len(left)] {
				dst[x] = 2*v - left[x] - right[x]
			}
		}
	})
	r.MeanDownTwice(joinWidth)
	power := around(r, rmsWidth, true)
	for i, v := range power.means.Pix { // of a block, and interpolated between blocks as it is
		power.means.Pix[i] = 1 / (float32(math.Sqrt(float64(max(v, 0)))) + NoiseFloor)
	}
	power.each(r, func(row, scale []float32, _ int) {
		for x, v := range row {
			row[x] = raster.Clip(v*scale[x], -RidgeMost, RidgeMost)
		}
	})
	return r
}
