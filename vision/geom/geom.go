// Package geom has the two frames of a photographed display and the map between them: a plane
// homography followed by one radial lens term. It knows nothing of pictures.
//
// Sources: R. Hartley, A. Zisserman, Multiple View Geometry in Computer Vision, 2nd ed. (2003),
// section 4.1 for the four-point homography; D. C. Brown, Close-range camera calibration,
// Photogrammetric Engineering 37 (1971) 855, for the radial term.
package geom

import (
	"errors"
	"math"
)

// A Pixel is a position on the upright photo, in pixels. (0, 0) is the top-left corner of the
// top-left pixel, whose centre is (0.5, 0.5). Y grows down.
type Pixel struct{ X, Y float64 }

// A Box is a position on the display, in divisions. (0, 0) is the graticule's centre; on a 10×8
// display the frame is |X| <= 5, |Y| <= 4. Y grows up.
type Box struct{ X, Y float64 }

// A Frame is the size of a graticule in whole boxes, e.g. 10 across and 8 down.
type Frame struct{ Cols, Rows int }

// Corners gives the frame's corners: top-left first, then clockwise as seen on the display.
func (f Frame) Corners() [4]Box {
	x, y := float64(f.Cols)/2, float64(f.Rows)/2
	return [4]Box{{-x, y}, {x, y}, {x, -y}, {-x, -y}}
}

// Left is the x of the left rim, Bottom the y of the lowest line, both in boxes from the centre.
func (f Frame) Left() float64   { return -float64(f.Cols) / 2 }
func (f Frame) Bottom() float64 { return -float64(f.Rows) / 2 }

// A Homography maps a Box to an ideal (undistorted) Pixel:
//
//	w = h6·X + h7·Y + h8,  x = (h0·X + h1·Y + h2)/w,  y = (h3·X + h4·Y + h5)/w
//
// It is row-major and scaled so that h8 is 1.
type Homography [9]float64

// Pixel maps b to the ideal photo. Points on the display's horizon give infinities.
func (h Homography) Pixel(b Box) Pixel {
	w := h[6]*b.X + h[7]*b.Y + h[8]
	return Pixel{(h[0]*b.X + h[1]*b.Y + h[2]) / w, (h[3]*b.X + h[4]*b.Y + h[5]) / w}
}

// Box is the inverse of Pixel. It is meaningless for a singular homography, which HomographyOf
// never returns.
func (h Homography) Box(p Pixel) Box {
	// Adjugate: the scale cancels.
	a := h[4]*h[8] - h[5]*h[7]
	b := h[2]*h[7] - h[1]*h[8]
	c := h[1]*h[5] - h[2]*h[4]
	d := h[5]*h[6] - h[3]*h[8]
	e := h[0]*h[8] - h[2]*h[6]
	f := h[2]*h[3] - h[0]*h[5]
	g := h[3]*h[7] - h[4]*h[6]
	k := h[1]*h[6] - h[0]*h[7]
	l := h[0]*h[4] - h[1]*h[3]
	w := g*p.X + k*p.Y + l
	return Box{(a*p.X + b*p.Y + c) / w, (d*p.X + e*p.Y + f) / w}
}

// ErrDegenerate says that four points do not fix a homography: three of them lie on one line, two
// coincide, or the quadrilateral is not convex.
var ErrDegenerate = errors.New("geom: the four points do not make a convex quadrilateral")

// HomographyOf gives the map that takes each of four boxes to its pixel. Both quadrilaterals must
// be convex, in the same cyclic order.
func HomographyOf(from [4]Box, to [4]Pixel) (Homography, error) {
	var quad [4]Pixel
	for i, b := range from {
		quad[i] = Pixel(b)
	}
	if !convex(to) || !convex(quad) {
		return Homography{}, ErrDegenerate
	}
	// Scale the pixels to order 1, or the elimination loses digits on large photos.
	var m Pixel
	for _, p := range to {
		m.X += p.X / 4
		m.Y += p.Y / 4
	}
	scale := 0.0
	for _, p := range to {
		scale = max(scale, math.Abs(p.X-m.X), math.Abs(p.Y-m.Y))
	}
	var a [8][9]float64
	for i, b := range from {
		u, v := (to[i].X-m.X)/scale, (to[i].Y-m.Y)/scale
		a[2*i] = [9]float64{b.X, b.Y, 1, 0, 0, 0, -u * b.X, -u * b.Y, u}
		a[2*i+1] = [9]float64{0, 0, 0, b.X, b.Y, 1, -v * b.X, -v * b.Y, v}
	}
	s, ok := Solve8(&a)
	if !ok {
		return Homography{}, ErrDegenerate
	}
	h := Homography{
		scale*s[0] + m.X*s[6], scale*s[1] + m.X*s[7], scale*s[2] + m.X,
		scale*s[3] + m.Y*s[6], scale*s[4] + m.Y*s[7], scale*s[5] + m.Y,
		s[6], s[7], 1,
	}
	for _, v := range h {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Homography{}, ErrDegenerate
		}
	}
	return h, nil
}

// convex reports whether the quadrilateral turns the same way at all four corners.
func convex(q [4]Pixel) bool {
	sign := 0.0
	for i := range q {
		a, b, c := q[i], q[(i+1)%4], q[(i+2)%4]
		ab, bc := math.Hypot(b.X-a.X, b.Y-a.Y), math.Hypot(c.X-b.X, c.Y-b.Y)
		cross := ((b.X-a.X)*(c.Y-b.Y) - (b.Y-a.Y)*(c.X-b.X)) / (ab * bc)
		if !(math.Abs(cross) > 1e-6) { // three corners on a line, or NaN
			return false
		}
		if sign != 0 && (cross > 0) != (sign > 0) {
			return false
		}
		sign = cross
	}
	return true
}

// Solve8 solves eight linear equations, of which the last column is the right-hand side, by elimination
// with partial pivoting. They should be scaled to order 1: ok is false when a pivot is under 1e-12, or
// not a number. It leaves a in ruins.
func Solve8(a *[8][9]float64) (s [8]float64, ok bool) {
	for i := range 8 {
		p := i
		for r := i + 1; r < 8; r++ {
			if math.Abs(a[r][i]) > math.Abs(a[p][i]) {
				p = r
			}
		}
		a[i], a[p] = a[p], a[i]
		if !(math.Abs(a[i][i]) > 1e-12) {
			return s, false
		}
		for r := i + 1; r < 8; r++ {
			f := a[r][i] / a[i][i]
			for c := i; c < 9; c++ {
				a[r][c] -= f * a[i][c]
			}
		}
	}
	for i := 7; i >= 0; i-- {
		s[i] = a[i][8]
		for c := i + 1; c < 8; c++ {
			s[i] -= a[i][c] * s[c]
		}
		s[i] /= a[i][i]
	}
	return s, true
}

// A Radial is a lens with two terms: an ideal pixel at distance r·Scale from Centre is seen at
// r·(1 + K·r² + K2·r⁴)·Scale.
type Radial struct {
	Centre Pixel
	Scale  float64 // px, half the photo's diagonal; 0 only in the zero value, which bends nothing
	K      float64 // 1; > 0 is pincushion, < 0 barrel, 0 no distortion
	K2     float64 // 1
}

// Bend takes an ideal pixel to where the lens shows it.
func (l Radial) Bend(ideal Pixel) Pixel {
	if l.K == 0 && l.K2 == 0 {
		return ideal
	}
	dx, dy := (ideal.X-l.Centre.X)/l.Scale, (ideal.Y-l.Centre.Y)/l.Scale
	r2 := dx*dx + dy*dy
	m := 1 + r2*(l.K+l.K2*r2)
	return Pixel{l.Centre.X + m*dx*l.Scale, l.Centre.Y + m*dy*l.Scale}
}

// Straighten is the inverse of Bend, by Newton's method on the radius; exact to 1e-12 of Scale for
// |K| <= 0.2 and |K2| <= 0.05 inside the photo, far more than any phone bends.
func (l Radial) Straighten(seen Pixel) Pixel {
	if l.K == 0 && l.K2 == 0 {
		return seen
	}
	dx, dy := (seen.X-l.Centre.X)/l.Scale, (seen.Y-l.Centre.Y)/l.Scale
	rs := math.Hypot(dx, dy)
	if rs == 0 {
		return seen
	}
	r := rs
	for range 20 {
		r2 := r * r
		step := (r*(1+r2*(l.K+l.K2*r2)) - rs) / (1 + r2*(3*l.K+5*l.K2*r2))
		r -= step
		if math.Abs(step) < 1e-14 {
			break
		}
	}
	return Pixel{l.Centre.X + dx*r/rs*l.Scale, l.Centre.Y + dy*r/rs*l.Scale}
}
