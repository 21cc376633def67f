package synth

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// spotsTogether is how many pixels of a row are asked at once which slabs of the scenery are near them: most have none.
const spotsTogether = 32

// expose gives the light that falls on the sensor, 1 being the white of the display, before noise.
func expose(s Scene, v *view, p panel) [3]*raster.Plane {
	c := s.Camera
	around, glass := newScenery(s, p), newGlass(s, p)
	var out [3]*raster.Plane
	for i := range out {
		out[i] = raster.New(c.Width, c.Height)
	}
	bands := newShutter(s)
	left, right, bottom, top := p.edges()
	raster.Rows(c.Height, func(y0, y1 int) {
		near := make([]int, 0, len(around.slabs))
		spots := make([]spot, spotsTogether)
		for y := y0; y < y1; y++ {
			r, g, b := out[0].Row(y), out[1].Row(y), out[2].Row(y)
			seen := bands.share(y)
			for x := range r {
				if x%spotsTogether == 0 {
					spots = spots[:min(spotsTogether, len(r)-x)]
					for i := range spots {
						spots[i] = v.plane(geom.Pixel{X: float64(x+i) + 0.5, Y: float64(y) + 0.5})
					}
					near = around.near(near[:0], spots)
				}
				q := geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5}
				at := spots[x%spotsTogether]
				// Share of the pixel that the panel covers.
				share := overlap(at.x-at.dx/2, at.x+at.dx/2, left, right) / at.dx *
					overlap(at.y-at.dy/2, at.y+at.dy/2, bottom, top) / at.dy
				var l rgb
				if share < 1 {
					l = around.light(at, q, near)
				}
				if share > 0 {
					lit, reflected := p.shine(at), glass.light(at)
					lit = rgb{lit[0]*seen + reflected[0], lit[1]*seen + reflected[1], lit[2]*seen + reflected[2]}
					l = mix(l, lit, float32(share))
				}
				r[x], g[x], b[x] = l[0], l[1], l[2]
			}
		}
	})
	if c.Dust > 0 {
		addDust(s, out, v, p)
	}
	if s.Cables > 0 || s.CableAcross {
		addCables(s, out, v, p)
	}
	if s.Finger {
		addFinger(s, out, v)
	}
	for i := range out {
		if c.Halo > 0 {
			scatter(out[i], c.Halo)
		}
		if c.Disc > 0 {
			out[i] = disc(out[i], c.Disc)
		}
		if c.Blur > 0 {
			out[i] = out[i].Blur(c.Blur)
		}
	}
	if c.Vignette > 0 {
		falloff(out, c.Vignette)
	}
	return out
}

// disc spreads each pixel evenly over a disc of radius r px, by running sums along the rows.
func disc(p *raster.Plane, r float64) *raster.Plane {
	out := raster.New(p.W, p.H)
	reach := int(math.Ceil(r + 0.5))
	sums := make([][]float64, p.H) // sums[y][x] is the sum of row y before x, its border repeated reach px out
	raster.Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			sum := make([]float64, p.W+2*reach+1)
			for x := range p.W + 2*reach {
				sum[x+1] = sum[x] + float64(row[min(max(x-reach, 0), p.W-1)])
			}
			sums[y] = sum
		}
	})
	halves := make([]float64, 2*reach+1) // half the disc's chord, averaged over the row of pixels
	area := 0.0
	for k := range halves {
		const parts = 16
		for i := range parts {
			dy := float64(k-reach) + (float64(i)+0.5)/parts - 0.5
			halves[k] += math.Sqrt(max(0, r*r-dy*dy)) / parts
		}
		area += 2 * halves[k]
	}
	raster.Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Row(y)
			for k, half := range halves {
				sum := sums[min(max(y+k-reach, 0), p.H-1)]
				n := int(max(half-0.5, 0)) // whole pixels to each side of the middle one
				middle, part := 1.0, half-0.5-float64(n)
				if half < 0.5 {
					middle, part = 2*half, 0
				}
				for x := range dst {
					i := x + reach
					own := sum[i+1] - sum[i]
					whole := sum[i+n+1] - sum[i-n]
					rim := sum[i+n+2] - sum[i+n+1] + sum[i-n] - sum[i-n-1]
					dst[x] += float32((whole - own + middle*own + part*rim) / area)
				}
			}
		}
	})
	return out
}

// Scattered light spreads over about this share of the photo's width (one standard deviation).
const scatterWidth = 0.012

// scatter moves a share of the light into a wide halo, computed on a reduced picture.
func scatter(p *raster.Plane, share float64) {
	k := max(1, p.W/500)
	small := p.Reduce(k)
	small = small.Blur(scatterWidth * float64(small.W))
	wideRow := small.Enlarged(k, p.W)
	raster.Rows(p.H, func(y0, y1 int) {
		wide := make([]float32, p.W)
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			wideRow(wide, y)
			for x := range row {
				row[x] += float32(share) * (wide[x] - row[x])
			}
		}
	})
}

// falloff darkens towards the corners with the square of the distance, by loss in the corners.
func falloff(out [3]*raster.Plane, loss float64) {
	w, h := out[0].W, out[0].H
	scale := float64(w*w+h*h) / 4
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dy := float64(y) + 0.5 - float64(h)/2
			for x := range w {
				dx := float64(x) + 0.5 - float64(w)/2
				m := float32(1 - loss*(dx*dx+dy*dy)/scale)
				for i := range out {
					out[i].Pix[y*w+x] *= m
				}
			}
		}
	})
}
