package synth

import (
	"image"
	"math"
	"math/rand/v2"

	"quadrille/vision/raster"
)

// develop turns light on the sensor into the file's picture: exposure, noise, the camera's colours,
// sRGB.
func develop(s Scene, light [3]*raster.Plane) *image.RGBA {
	c := s.Camera
	w, h := c.Width, c.Height
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			rng := rand.New(rand.NewPCG(s.Seed, streamSensor+uint64(y)))
			for i := range light {
				gain := float32(c.Exposure * c.Balance[i])
				for x, v := range light[i].Row(y) {
					light[i].Pix[y*w+x] = noisy(v*gain, c, rng)
				}
			}
		}
	})
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Pix[y*out.Stride : y*out.Stride+4*w]
			r, g, b := light[0].Row(y), light[1].Row(y), light[2].Row(y)
			for x := range r {
				dst[4*x], dst[4*x+1], dst[4*x+2], dst[4*x+3] = encodeSRGB(r[x]), encodeSRGB(g[x]), encodeSRGB(b[x]), 255
			}
		}
	})
	return out
}

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

// srgbSteps is fine enough that no entry is off by more than the rounding: the curve's steepest
// slope, 12.92 at black, moves 0.1 of a level in one step (TestTransferCurveFollowsIEC61966).
const srgbSteps = 1 << 15

var srgbTable = func() *[srgbSteps + 1]uint8 {
	var t [srgbSteps + 1]uint8
	for i := range t {
		t[i] = uint8(math.Round(255 * srgb(float64(i)/srgbSteps)))
	}
	return &t
}()

// srgb is the transfer curve of IEC 61966-2-1, from linear light 0..1 to 0..1.
func srgb(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

func encodeSRGB(v float32) uint8 {
	if !(v > 0) {
		return 0
	}
	return srgbTable[int(min(v, 1)*srgbSteps+0.5)]
}
