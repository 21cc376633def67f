package synth

import (
	"image"
	"math"
	"math/rand/v2"

	"quadrille/vision/raster"
)

// develop turns light on the sensor into the file's picture: the sensor's colours and noise, the
// missing colours of its mosaic, the transfer curve, sharpening. It uses light up.
func develop(s Scene, light [3]*raster.Plane) *image.RGBA {
	c := s.Camera
	w, h := c.Width, c.Height
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			rng := rand.New(rand.NewPCG(s.Seed, streamSensor+uint64(y)))
			r, g, b := light[0].Row(y), light[1].Row(y), light[2].Row(y)
			m := float32(c.Mixing)
			for x := range r {
				sum := r[x] + g[x] + b[x]
				for i, p := range [3][]float32{r, g, b} {
					if c.Mosaic && mosaicColour(x, y) != i {
						continue // this pixel does not see the colour
					}
					v := p[x] + m*(sum-3*p[x])
					v = noisy(v*float32(c.Exposure*c.Balance[i]), c, rng)
					p[x] = min(v, 1) // the well is full
				}
			}
		}
	})
	if c.Mosaic {
		demosaic(light)
	}
	if c.Tone > 0 {
		mapTones(light, c.Tone)
	}
	curve := transferCurve(c.Contrast)
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for _, p := range light {
				for x, v := range p.Row(y) {
					p.Row(y)[x] = curve[int(min(max(v, 0), 1)*curveEntries+0.5)]
				}
			}
		}
	})
	if c.Denoise > 0 {
		denoise(light, c.Denoise)
	}
	if c.Sharpen > 0 {
		sharpen(light, float32(c.Sharpen))
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Pix[y*out.Stride : y*out.Stride+4*w]
			r, g, b := light[0].Row(y), light[1].Row(y), light[2].Row(y)
			for x := range r {
				dst[4*x], dst[4*x+1], dst[4*x+2], dst[4*x+3] = level(r[x]), level(g[x]), level(b[x]), 255
			}
		}
	})
	return out
}

func level(v float32) uint8 { return uint8(min(max(v, 0), 1)*255 + 0.5) }

// noisy counts v as electrons and gives it back with their noise: photons arrive independently
// (Poisson), the read-out adds a Gaussian of its own.
func noisy(v float32, c Camera, rng *rand.Rand) float32 {
	if c.FullWell <= 0 {
		return v
	}
	n := poisson(float64(v)*c.FullWell, rng)
	if c.ReadNoise > 0 {
		n += c.ReadNoise * rng.NormFloat64()
	}
	return float32(n / c.FullWell)
}

// Above this mean a Poisson count is drawn as a rounded Gaussian: the skewness left out is below
// 1/√40 = 0.16 (TestPhotonNoiseIsPoisson).
const poissonAsGauss = 40

// poisson draws a count of the given mean: by multiplying uniform numbers (Knuth, The Art of
// Computer Programming 2, section 3.4.1) or, when large, as a Gaussian.
func poisson(mean float64, rng *rand.Rand) float64 {
	if mean <= 0 {
		return 0
	}
	if mean > poissonAsGauss {
		return max(0, math.Round(mean+math.Sqrt(mean)*rng.NormFloat64()))
	}
	n, p, limit := 0, rng.Float64(), math.Exp(-mean)
	for p > limit {
		n++
		p *= rng.Float64()
	}
	return float64(n)
}

// curveEntries is fine enough that a step moves the curve by at most 12.92/2¹⁵ = 0.1 of a level of
// 8 bits, at black (TestTransferCurveFollowsIEC61966).
const curveEntries = 1 << 15

// transferCurve is the curve of IEC 61966-2-1, steeper in the middle by the share contrast, as a
// table from linear light 0..1 to 0..1.
func transferCurve(contrast float64) []float32 {
	t := make([]float32, curveEntries+1)
	for i := range t {
		v := srgb(float64(i) / curveEntries)
		t[i] = float32(v + contrast*v*(1-v)*(2*v-1))
	}
	return t
}

// srgb is the transfer curve of IEC 61966-2-1, from linear light 0..1 to 0..1.
func srgb(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// sharpenWidth is the standard deviation in px of the blur that the unsharp mask takes off.
const sharpenWidth = 1.2

// sharpen adds to all colours what the brightness differs from its own blur.
func sharpen(p [3]*raster.Plane, strength float32) {
	bright := raster.New(p[0].W, p[0].H)
	for k := range bright.Pix {
		bright.Pix[k] = 0.299*p[0].Pix[k] + 0.587*p[1].Pix[k] + 0.114*p[2].Pix[k]
	}
	soft := bright.Blur(sharpenWidth)
	raster.Rows(bright.H, func(y0, y1 int) {
		for k := y0 * bright.W; k < y1*bright.W; k++ {
			d := strength * (bright.Pix[k] - soft.Pix[k])
			p[0].Pix[k] += d
			p[1].Pix[k] += d
			p[2].Pix[k] += d
		}
	})
}
