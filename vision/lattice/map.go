package lattice

import (
	"math"

	"quadrille/vision/geom"
)

// A Map takes lattice places (i to the right, j up, lines at whole numbers, the origin at some crossing) to the photo.
type Map = geom.Homography

// Shift moves the origin of the lattice to its place (x, y).
func Shift(h Map, x, y float64) Map {
	out := Map{
		h[0], h[1], h[0]*x + h[1]*y + h[2],
		h[3], h[4], h[3]*x + h[4]*y + h[5],
		h[6], h[7], h[6]*x + h[7]*y + h[8],
	}
	for i := range out {
		out[i] /= h[6]*x + h[7]*y + h[8]
	}
	return out
}

// Times gives the lattice whose steps are x and y of those of h.
func Times(h Map, x, y float64) Map {
	for i := 0; i < 9; i += 3 {
		h[i] *= x
		h[i+1] *= y
	}
	return h
}

// BoxSize gives the width and height in photo pixels of the box at place b.
func BoxSize(h Map, b geom.Box) (across, up float64) {
	l, r := h.Pixel(geom.Box{X: b.X - 0.5, Y: b.Y}), h.Pixel(geom.Box{X: b.X + 0.5, Y: b.Y})
	d, u := h.Pixel(geom.Box{X: b.X, Y: b.Y - 0.5}), h.Pixel(geom.Box{X: b.X, Y: b.Y + 0.5})
	return math.Hypot(r.X-l.X, r.Y-l.Y), math.Hypot(u.X-d.X, u.Y-d.Y)
}

// invert gives the inverse of a 3×3 matrix, scaled so that its last element is 1; ok is false if there is none.
func invert(m [9]float64) (h Map, ok bool) {
	det := m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
	last := m[0]*m[4] - m[1]*m[3]
	h = Map{
		(m[4]*m[8] - m[5]*m[7]) / last, (m[2]*m[7] - m[1]*m[8]) / last, (m[1]*m[5] - m[2]*m[4]) / last,
		(m[5]*m[6] - m[3]*m[8]) / last, (m[0]*m[8] - m[2]*m[6]) / last, (m[2]*m[3] - m[0]*m[5]) / last,
		(m[3]*m[7] - m[4]*m[6]) / last, (m[1]*m[6] - m[0]*m[7]) / last, 1,
	}
	for _, v := range h {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return h, false
		}
	}
	return h, det != 0
}
