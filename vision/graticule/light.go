package graticule

// The pictures that the search works on.
//
// The search needs contrast that does not depend on the light that falls on a part of the display:
// it works on the logarithm of the lightness, where a line is a constant step below or above its
// field, in glare as in shadow. The photo is reduced by whole factors (area averages: a position is
// only divided by the factor), or enlarged if it is small, so that a box has some 25 to 120 samples.

import (
	"math"

	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// searchSide is the long side in pixels of the picture that is searched: thinner lines than
	// its samples are lost on a smaller one, a larger one costs time (TestFindOnSimulatedPhotos,
	// BenchmarkFind).
	searchSide = 1280
	// enlargeBelow is the long side in pixels under which a photo is enlarged twice before the
	// search, so that the fixed widths of the evidence fit its lines too.
	enlargeBelow = 960
	// darkFloor is added to a lightness of 0..255 before the logarithm: the noise of dark parts
	// must not count as contrast.
	darkFloor = 12
)

// A light is one picture of the log of the photo's lightness. A position q on the photo is
// q·scale on the picture; both count from the top-left corner.
type light struct {
	scale float64
	log   *raster.Plane
	// colour is the same picture in linear light at half its size; of a picture made from another there
	// is none.
	colour *colours
}

// colours are planes of red, green and blue; scale is as of light.
type colours struct {
	scale float64
	plane [3]*raster.Plane
}

// reduction is by how much the photo is reduced for the search.
func reduction(ph *photo.Photo) int {
	return max(1, int(math.Round(float64(max(ph.W, ph.H))/searchSide)))
}

// lights gives the picture that is searched, and the same at half its size.
func lights(ph *photo.Photo) (fine, coarse light) {
	k := reduction(ph)
	rgb := ph.Reduced(k)
	fine = light{scale: 1 / float64(k), log: logLight(rgb), colour: &colours{scale: 0.5 / float64(k)}}
	for c, p := range rgb {
		fine.colour.plane[c] = halve(p)
	}
	coarse = light{scale: fine.scale / 2, log: halve(fine.log)}
	if max(ph.W, ph.H) < k*enlargeBelow {
		fine, coarse = light{2 * fine.scale, double(fine.log), fine.colour}, fine
	}
	return fine, coarse
}

// logTable has ln(255·√v + darkFloor) at v = (i/4095)²: the square root is close to how a picture
// file codes lightness, and makes dark steps fine.
var logTable = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log(255*float64(i)/4095 + darkFloor))
	}
	return t
}()

// logOf gives the log lightness of linear light 0..1.
func logOf(rgb [3]float32) float32 {
	// Blue counts for more than it does to the eye: many displays rule their grid in blue.
	v := 0.3*rgb[0] + 0.45*rgb[1] + 0.25*rgb[2]
	return logTable[min(4095, max(0, int(4095*math.Sqrt(float64(v))+0.5)))]
}

func logLight(rgb [3]*raster.Plane) *raster.Plane {
	out := raster.New(rgb[0].W, rgb[0].H)
	raster.Rows(out.H, func(y0, y1 int) {
		for i := y0 * out.W; i < y1*out.W; i++ {
			out.Pix[i] = logOf([3]float32{rgb[0].Pix[i], rgb[1].Pix[i], rgb[2].Pix[i]})
		}
	})
	return out
}

// outshone is the picture that is searched when a trace may outshine the lines; fine is the light of ph.
func outshone(ph *photo.Photo, fine light) light { return dimmed(fine, weakLight(ph)) }

// weakLight is the picture that is searched in the weakest of the three colours: grey lines are as bright
// there, a trace of a clear colour is not. It is seldom wanted, and its colours are not kept until then.
func weakLight(ph *photo.Photo) *raster.Plane {
	k := reduction(ph)
	rgb := ph.Reduced(k)
	out := rgb[0]
	raster.Rows(out.H, func(y0, y1 int) {
		for i := y0 * out.W; i < y1*out.W; i++ {
			w := min(rgb[0].Pix[i], rgb[1].Pix[i], rgb[2].Pix[i])
			out.Pix[i] = logOf([3]float32{w, w, w})
		}
	})
	if max(ph.W, ph.H) < k*enlargeBelow {
		return double(out)
	}
	return out
}

// dimmed takes from l what outshines the lines, a trace or words. Its light is weak, that of the weakest
// colour, less where there is more colour than in the neighbourhood; and how far the light lies from that
// around it is limited to some times the mean of the neighbourhood. That mean is taken anew after each
// limiting, as one of what is left. It uses up weak.
func dimmed(l light, weak *raster.Plane) light {
	const (
		around = 41  // px, two running means: a box or so, of which a trace covers a small part
		limit  = 2.5 // of the mean distance; a line a twentieth of a box wide has more
		rounds = 3
		// How much darker a place gets by its colour, which is how far its weakest colour lies below its
		// lightness: a bright trace of the least clear colour, magenta, is gone, and a tinted line is not.
		bleach = 1.5
	)
	smooth := func(p *raster.Plane) {
		for range 2 {
			meanDown(p, around)
			meanAcross(p, around)
		}
	}
	// Two planes serve all steps: out has the colour before the light, near the mean of either.
	out, near := raster.New(l.log.W, l.log.H), raster.New(l.log.W, l.log.H)
	for i, v := range l.log.Pix {
		out.Pix[i] = v - weak.Pix[i]
	}
	copy(near.Pix, out.Pix)
	smooth(near)
	for i, v := range out.Pix {
		weak.Pix[i] -= bleach * max(v-near.Pix[i], 0)
	}
	copy(near.Pix, weak.Pix)
	smooth(near)
	for i, v := range weak.Pix {
		out.Pix[i] = v - near.Pix[i]
	}
	for range rounds {
		for i, v := range out.Pix {
			near.Pix[i] = max(v, -v)
		}
		smooth(near)
		for i, v := range out.Pix {
			m := limit * near.Pix[i]
			out.Pix[i] = min(max(v, -m), m)
		}
	}
	return light{scale: l.scale, log: out}
}

// halve averages 2×2 samples to one.
func halve(p *raster.Plane) *raster.Plane {
	out := raster.New(p.W/2, p.H/2)
	raster.Rows(out.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			a, b, dst := p.Row(2*y), p.Row(2*y+1), out.Row(y)
			for x := range dst {
				dst[x] = (a[2*x] + a[2*x+1] + b[2*x] + b[2*x+1]) / 4
			}
		}
	})
	return out
}

// double enlarges p twice, bilinear; the border is repeated outwards.
func double(p *raster.Plane) *raster.Plane {
	out := raster.New(2*p.W, 2*p.H)
	raster.Rows(out.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			near := p.Row(y / 2)
			far := p.Row(min(max(y/2+2*(y%2)-1, 0), p.H-1))
			dst := out.Row(y)
			for x := range dst {
				i := x / 2
				j := min(max(i+2*(x%2)-1, 0), p.W-1)
				dst[x] = (9*near[i] + 3*near[j] + 3*far[i] + far[j]) / 16
			}
		}
	})
	return out
}

// transpose swaps the axes: sample (x, y) goes to (y, x).
func transpose(p *raster.Plane) *raster.Plane {
	const tile = 32 // samples a side: two tiles fit the first cache
	out := raster.New(p.H, p.W)
	raster.Rows((p.H+tile-1)/tile, func(t0, t1 int) {
		for t := t0; t < t1; t++ {
			yEnd := min((t+1)*tile, p.H)
			for x0 := 0; x0 < p.W; x0 += tile {
				for x := x0; x < min(x0+tile, p.W); x++ {
					dst := out.Row(x)
					for y := t * tile; y < yEnd; y++ {
						dst[y] = p.Pix[y*p.W+x]
					}
				}
			}
		}
	})
	return out
}
