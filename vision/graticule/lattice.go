package graticule

// A lattice of equispaced lines under a homography, and its linear fit to pieces of lines.
//
// On the lattice lines are at whole numbers. The inverse map, pixel -> lattice, is
//
//	i = (a·p)/(1 + c·p),   j = (b·p)/(1 + c·p)
//
// with one denominator for both families: c is the image of the line at infinity, which they share.
// A piece of the line i = k seen at p gives one equation, linear in a, b, c: a·p - k·(c·p) = k. No
// crossing needs to be seen, and a dotted line is a line like others. Weights are renewed by
// 1/(1 + (e/2s)²) (Cauchy; P. J. Huber, Robust Statistics, 1981, chapter 7, for the iteration).
// Lines as data for a homography: R. Hartley, A. Zisserman, Multiple View Geometry, 2nd ed., section 4.1.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
)

// A lattice is given by its map from lattice places (i to the right, j up, lines at whole numbers,
// origin at some crossing) to the photo.
type lattice = geom.Homography

// A family tells which lines: those at whole i, which stand upright, or those at whole j.
type family int

const (
	upright family = iota
	level
)

// A piece is one box-long part of a line: of the line k of its family, from the crossing line c to
// c+1 of the other family.
type piece struct {
	fam  family
	k, c int
}

// at gives the lattice place off boxes beside the line and t boxes along the piece.
func (p piece) at(off, t float64) geom.Box {
	if p.fam == upright {
		return geom.Box{X: float64(p.k) + off, Y: float64(p.c) + t}
	}
	return geom.Box{X: float64(p.c) + t, Y: float64(p.k) + off}
}

// A sighting is a piece seen off boxes beside where a lattice had it.
type sighting struct {
	piece
	off    float64    // box, in the direction of growing k
	height float64    // of the peak in the evidence, rms
	place  geom.Pixel // on the photo
}

// fitLattice gives the lattice through the sightings. near is a lattice close to it, which sets the
// scale; ridge pulls the two projective terms to zero, relative to what the data say of them. rms is
// the robust spread of the sightings in boxes; ok is false when they do not fix a lattice.
func fitLattice(seen []sighting, near lattice, ridge float64) (h lattice, rms float64, ok bool) {
	if len(seen) < 8 {
		return near, 0, false
	}
	var mid geom.Pixel
	for _, s := range seen {
		mid.X += s.place.X / float64(len(seen))
		mid.Y += s.place.Y / float64(len(seen))
	}
	scale := 1e-9
	for _, s := range seen {
		scale = max(scale, math.Abs(s.place.X-mid.X), math.Abs(s.place.Y-mid.Y))
	}
	off := make([]float64, len(seen))
	weight := make([]float64, len(seen))
	for i := range weight {
		weight[i] = 1
	}
	var a [8]float64
	const rounds = 6 // weights settle to 1e-3 in five
	for range rounds {
		var m [8][9]float64
		for n, s := range seen {
			x, y, k := (s.place.X-mid.X)/scale, (s.place.Y-mid.Y)/scale, float64(s.k)
			row := [9]float64{6: -k * x, 7: -k * y, 8: k}
			o := 3 * int(s.fam)
			row[o], row[o+1], row[o+2] = x, y, 1
			d := 1 + a[6]*x + a[7]*y
			w := weight[n] / (d * d) // the equation's error is the offset times d
			cols := [6]int{o, o + 1, o + 2, 6, 7, 8}
			for _, r := range cols[:5] {
				for _, c := range cols {
					m[r][c] += w * row[r] * row[c]
				}
			}
		}
		m[6][6] *= 1 + ridge
		m[7][7] *= 1 + ridge
		if a, ok = geom.Solve8(&m); !ok {
			return near, 0, false
		}
		for n, s := range seen {
			x, y := (s.place.X-mid.X)/scale, (s.place.Y-mid.Y)/scale
			o := 3 * int(s.fam)
			off[n] = (a[o]*x+a[o+1]*y+a[o+2])/(1+a[6]*x+a[7]*y) - float64(s.k)
		}
		rms = max(spread(off), 1e-4)
		for n, e := range off {
			weight[n] = 1 / (1 + e*e/(4*rms*rms))
		}
	}
	h, ok = invert([9]float64{
		a[0] / scale, a[1] / scale, a[2] - (a[0]*mid.X+a[1]*mid.Y)/scale,
		a[3] / scale, a[4] / scale, a[5] - (a[3]*mid.X+a[4]*mid.Y)/scale,
		a[6] / scale, a[7] / scale, 1 - (a[6]*mid.X+a[7]*mid.Y)/scale,
	})
	return h, rms, ok
}

// spread is the standard deviation of v as the median absolute value tells it: 1.48 times that, for
// a normal distribution.
func spread(v []float64) float64 {
	s := make([]float64, len(v))
	for i, x := range v {
		s[i] = math.Abs(x)
	}
	return 1.4826 * median(s)
}

// median reorders v; 0 if v is empty.
func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return (v[(len(v)-1)/2] + v[len(v)/2]) / 2
}

// invert gives the inverse of a 3×3 matrix, scaled so that its last element is 1.
func invert(m [9]float64) (geom.Homography, bool) {
	det := m[0]*(m[4]*m[8]-m[5]*m[7]) - m[1]*(m[3]*m[8]-m[5]*m[6]) + m[2]*(m[3]*m[7]-m[4]*m[6])
	last := m[0]*m[4] - m[1]*m[3]
	h := geom.Homography{
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

// shift moves the origin of the lattice to its place (x, y).
func shift(h lattice, x, y float64) lattice {
	out := lattice{
		h[0], h[1], h[0]*x + h[1]*y + h[2],
		h[3], h[4], h[3]*x + h[4]*y + h[5],
		h[6], h[7], h[6]*x + h[7]*y + h[8],
	}
	for i := range out {
		out[i] /= h[6]*x + h[7]*y + h[8]
	}
	return out
}

// times gives the lattice whose steps are x and y of those of h.
func times(h lattice, x, y float64) lattice {
	for i := 0; i < 9; i += 3 {
		h[i] *= x
		h[i+1] *= y
	}
	return h
}

// boxSize gives the width and height in photo pixels of the box at place b.
func boxSize(h lattice, b geom.Box) (across, up float64) {
	l, r := h.Pixel(geom.Box{X: b.X - 0.5, Y: b.Y}), h.Pixel(geom.Box{X: b.X + 0.5, Y: b.Y})
	d, u := h.Pixel(geom.Box{X: b.X, Y: b.Y - 0.5}), h.Pixel(geom.Box{X: b.X, Y: b.Y + 0.5})
	return math.Hypot(r.X-l.X, r.Y-l.Y), math.Hypot(u.X-d.X, u.Y-d.Y)
}
