package raster

// A plane seen through a map: a part of a photo, straightened.
//
// The map is asked at every eighth sample along either axis only; between, places are taken for evenly
// spaced. A photo's homography and lens bend a line of eight samples by less than a thousandth of one.

import (
	"math"

	"quadrille/vision/geom"
)

// warpStep is the distance of the places that are asked for, in samples (TestAWarpIsTheMapSampleBySample).
const warpStep = 8

// A Warp tells for each sample of a plane of W×H where it lies in another frame.
type Warp struct {
	W, H   int
	nx, ny int
	at     []geom.Pixel // knots, by rows
}

// NewWarp asks at for the places; (x, y) counts from the new plane's top-left corner, so that the first
// sample is at (0.5, 0.5).
func NewWarp(w, h int, at func(x, y float64) geom.Pixel) *Warp {
	m := &Warp{W: w, H: h, nx: w/warpStep + 2, ny: h/warpStep + 2}
	m.at = make([]geom.Pixel, 0, m.nx*m.ny)
	for j := range m.ny {
		for i := range m.nx {
			m.at = append(m.at, at(float64(i*warpStep)+0.5, float64(j*warpStep)+0.5))
		}
	}
	return m
}

// Bounds gives the rectangle in which all samples lie, as places between those asked for are taken; NaN if
// one is at no place.
func (m *Warp) Bounds() (lo, hi geom.Pixel) {
	lo, hi = geom.Pixel{X: math.Inf(1), Y: math.Inf(1)}, geom.Pixel{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, q := range m.at {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, q.X), min(lo.Y, q.Y), max(hi.X, q.X), max(hi.Y, q.Y)
	}
	return lo, hi
}

// Of samples p, in which the place q is at (q - origin)·scale; outside gives the samples at those places
// of p where Bilinear cannot: p.Clamped, where the border goes on.
func (m *Warp) Of(p *Plane, origin geom.Pixel, scale float64, outside func(q geom.Pixel) float32) *Plane {
	out := New(m.W, m.H)
	if len(out.Pix) == 0 {
		return out
	}
	knots := make([]geom.Pixel, len(m.at))
	for i, q := range m.at {
		knots[i] = geom.Pixel{X: (q.X - origin.X) * scale, Y: (q.Y - origin.Y) * scale}
	}
	Rows(m.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			high, v := knots[y/warpStep*m.nx:], float64(y%warpStep)/warpStep
			low := high[m.nx:]
			from := between(high[0], low[0], v)
			for i, dst := 0, out.Row(y); len(dst) > 0; i++ {
				part := dst[:min(warpStep, len(dst))]
				to := between(high[i+1], low[i+1], v)
				last := between(from, to, float64(len(part)-1)/warpStep)
				if !p.Run(part, from, last) {
					for n := range part {
						q := between(from, to, float64(n)/warpStep)
						if s, ok := p.Bilinear(q); ok {
							part[n] = s
						} else {
							part[n] = outside(q)
						}
					}
				}
				from, dst = to, dst[len(part):]
			}
		}
	})
	return out
}

func between(a, b geom.Pixel, t float64) geom.Pixel {
	return geom.Pixel{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)}
}
