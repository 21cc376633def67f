package raster

// Samples between the grid's: bilinear interpolation, at one place or at evenly spaced places along a
// straight line.
//
// A place is counted in 2⁻³² of a sample, as an integer: its upper half is the sample to the upper left,
// its lower half the share of the neighbours. So a step along a line is two additions, and a place never
// leaves the plane by rounding. An end is rounded by at most 2⁻³² of a sample, a place on a line of a
// thousand samples by 2.5·10⁻⁷.

import "quadrille/vision/geom"

// one is a sample's width in the units of a place (TestBilinearIsExactOnAPlaneOfLight).
const one = 1 << 32

// Bilinear samples the plane at q; ok is false closer than half a pixel to the border, or outside.
func (p *Plane) Bilinear(q geom.Pixel) (v float32, ok bool) {
	if !p.inside(q) {
		return 0, false
	}
	return p.at(p.place(q)), true
}

// Clamped samples the plane at q, or at the place nearest to it where Bilinear can: the border goes on
// outwards for ever. A NaN counts as 0. The plane has at least two rows and two columns.
func (p *Plane) Clamped(q geom.Pixel) float32 {
	q.X = min(max(q.X, 0.5), float64(p.W)-0.5)
	q.Y = min(max(q.Y, 0.5), float64(p.H)-0.5)
	if q.X != q.X || q.Y != q.Y {
		return 0
	}
	return p.at(p.place(q))
}

// Bilinears samples three planes of one size at q, as Bilinear does each.
func Bilinears(p [3]*Plane, q geom.Pixel) (v [3]float32, ok bool) {
	if !p[0].inside(q) {
		return v, false
	}
	x, y := p[0].place(q)
	fx, fy := share(x), share(y)
	w := p[0].W
	k := int(y>>32)*w + int(x>>32)
	for i := range v {
		s := p[i].Pix[k : k+w+2]
		a, b := s[0], s[w]
		a += fx * (s[1] - a)
		b += fx * (s[w+1] - b)
		v[i] = a + fy*(b-a)
	}
	return v, true
}

// Run fills dst with evenly spaced samples, the first at from and the last at to (a single one at from).
// If either end is closer than half a pixel to the border, or outside, dst stays as it is and Run is false.
func (p *Plane) Run(dst []float32, from, to geom.Pixel) bool {
	if !p.inside(from) || !p.inside(to) {
		return false
	}
	clear(dst)
	p.addRun(dst, from, to)
	return true
}

// AddRun is Run, but adds the samples to dst.
func (p *Plane) AddRun(dst []float32, from, to geom.Pixel) bool {
	if !p.inside(from) || !p.inside(to) {
		return false
	}
	p.addRun(dst, from, to)
	return true
}

func (p *Plane) addRun(dst []float32, from, to geom.Pixel) {
	x, y := p.place(from)
	x1, y1 := p.place(to)
	f := 1 / float64(max(len(dst)-1, 1))
	dx, dy := int64(float64(x1-x)*f), int64(float64(y1-y)*f)
	w, high, low := p.W, p.Pix, p.Pix[p.W:]
	for i := range dst {
		fx, fy := share(x), share(y)
		k := int(y>>32)*w + int(x>>32)
		a, b := high[k], low[k]
		a += fx * (high[k+1] - a)
		b += fx * (low[k+1] - b)
		dst[i] += a + fy*(b-a)
		x += dx
		y += dy
	}
}

// inside says whether q has four samples around it; false for NaN.
func (p *Plane) inside(q geom.Pixel) bool {
	return q.X >= 0.5 && q.Y >= 0.5 && q.X <= float64(p.W)-0.5 && q.Y <= float64(p.H)-0.5 && p.W > 1 && p.H > 1
}

// place gives q, which is inside, in units of 1/one from the centre of the first sample; on the last
// sample it stays below it, so that there is always a next one.
func (p *Plane) place(q geom.Pixel) (x, y int64) {
	return min(int64((q.X-0.5)*one), int64(p.W-1)*one-1), min(int64((q.Y-0.5)*one), int64(p.H-1)*one-1)
}

// share is how far a place lies from the sample before it towards the next, 0..1; its 24 upper bits are
// as many as a float32 has.
func share(x int64) float32 { return float32(int32(uint32(x)>>8)) / (1 << 24) }

// at samples the plane at a place.
func (p *Plane) at(x, y int64) float32 {
	fx, fy := share(x), share(y)
	s := p.Pix[int(y>>32)*p.W+int(x>>32):]
	a := s[0] + fx*(s[1]-s[0])
	s = s[p.W:]
	b := s[0] + fx*(s[1]-s[0])
	return a + fy*(b-a)
}
