package synth

import (
	"math"
	"math/rand/v2"

	"quadrille/vision/raster"
)

// What phones do to a picture beyond developing it, and what a rolling shutter does to a screen that
// flickers. The recipes are our own and simple: what matters is what they leave behind, smeared grain,
// rims of light round the screen, bands across it.

const (
	toneWidth   = 0.03 // standard deviation of the neighbourhood whose brightness is evened out, photo widths
	toneFloor   = 0.01 // of light, so that black stays dark
	toneMost    = 4    // the most that a place is brightened, and by its inverse darkened
	denoiseFar  = 2    // px; reach of the neighbours that are averaged
	denoiseNear = 1.5  // px; standard deviation of their weights by distance
	denoiseStep = 0.08 // of full scale at strength 1; the standard deviation of their weights by difference
)

// mapTones brightens dark neighbourhoods and darkens bright ones, in linear light: by the power tone (0..1)
// of what their mean differs from that of the picture, both in logarithms.
func mapTones(p [3]*raster.Plane, tone float64) {
	k := max(1, p[0].W/300)
	base := raster.New(p[0].W, p[0].H)
	for i := range base.Pix {
		bright := 0.299*float64(p[0].Pix[i]) + 0.587*float64(p[1].Pix[i]) + 0.114*float64(p[2].Pix[i])
		base.Pix[i] = float32(math.Log(toneFloor + max(bright, 0))) // interpolated colours may be below nothing
	}
	base = base.Reduce(k)
	mean := 0.0
	for _, v := range base.Pix {
		mean += float64(v) / float64(len(base.Pix))
	}
	base = base.Blur(toneWidth * float64(base.W))
	for i, v := range base.Pix {
		base.Pix[i] = float32(min(max(math.Exp(tone*(mean-float64(v))), 1./toneMost), toneMost))
	}
	eachPixel(p, k, base, func(i int, gain float32) {
		for _, plane := range p {
			plane.Pix[i] *= gain
		}
	})
}

// denoise averages each pixel with the neighbours that are about as bright: C. Tomasi, R. Manduchi,
// Bilateral filtering for gray and color images, ICCV 1998, with weights by brightness for all colours.
func denoise(p [3]*raster.Plane, strength float64) {
	w, h := p[0].W, p[0].H
	bright := raster.New(w, h)
	var src [3][]float32
	for c := range p {
		src[c] = append([]float32(nil), p[c].Pix...)
	}
	for i := range bright.Pix {
		bright.Pix[i] = 0.299*p[0].Pix[i] + 0.587*p[1].Pix[i] + 0.114*p[2].Pix[i]
	}
	const side = 2*denoiseFar + 1
	var near [side * side]float32
	for j := range side {
		for i := range side {
			x, y := float64(i-denoiseFar), float64(j-denoiseFar)
			near[j*side+i] = float32(math.Exp(-(x*x + y*y) / (2 * denoiseNear * denoiseNear)))
		}
	}
	// Weights by difference, tabled: the last entry is nothing.
	const entries = 256
	var alike [entries + 1]float32
	for k := range entries {
		d := 4 * float64(k) / entries // standard deviations
		alike[k] = float32(math.Exp(-d * d / 2))
	}
	scale := float32(entries / (4 * denoiseStep * strength))
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range w {
				here := bright.Pix[y*w+x]
				var sum, r, g, b float32
				for j := max(y-denoiseFar, 0); j <= min(y+denoiseFar, h-1); j++ {
					for i := max(x-denoiseFar, 0); i <= min(x+denoiseFar, w-1); i++ {
						k := j*w + i
						d := bright.Pix[k] - here
						if d < 0 {
							d = -d
						}
						m := near[(j-y+denoiseFar)*side+i-x+denoiseFar] * alike[min(int(d*scale), entries)]
						sum += m
						r, g, b = r+m*src[0][k], g+m*src[1][k], b+m*src[2][k]
					}
				}
				k := y*w + x
				p[0].Pix[k], p[1].Pix[k], p[2].Pix[k] = r/sum, g/sum, b/sum
			}
		}
	})
}

// eachPixel calls do for every pixel of p with the value there of a plane reduced k times.
func eachPixel(p [3]*raster.Plane, k int, reduced *raster.Plane, do func(i int, v float32)) {
	w := p[0].W
	row := reduced.Enlarged(k, w)
	raster.Rows(p[0].H, func(y0, y1 int) {
		values := make([]float32, w)
		for y := y0; y < y1; y++ {
			row(values, y)
			for x, v := range values {
				do(y*w+x, v)
			}
		}
	})
}

// A shutter opens row by row over a screen that flickers: rows that it opens while the screen is dim are
// darker. What the glass reflects does not flicker.
type shutter struct{ depth, perRow, phase float64 }

func newShutter(s Scene) shutter {
	rng := rand.New(rand.NewPCG(s.Seed, streamGlare+3))
	return shutter{s.Camera.Bands, within(rng, 1.2, 5) / float64(s.Camera.Height), rng.Float64()}
}

// share is what is left of the screen's light in row y: a dark band with soft edges, a third of the period high.
func (b shutter) share(y int) float32 {
	if b.depth == 0 {
		return 1
	}
	u := math.Cos(2 * math.Pi * (float64(y)*b.perRow + b.phase))
	return float32(1 - b.depth/(1+math.Exp(-8*(u-0.5))))
}
