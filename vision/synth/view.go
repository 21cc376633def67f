package synth

import (
	"errors"
	"math"

	"quadrille/vision/geom"
)

// A view is where the camera sees each place of the display: a pinhole before a plane (Hartley and
// Zisserman, section 8.1: H = K·[r1 r2 t]), one radial term, and for tubes a face that curves away
// from the plane.
//
// Camera frame: x right, y down, z forward. Display frame: x right, y down, z away from the camera,
// unit the height of a box; Box flips y and stretches x by the aspect.
type view struct {
	w, h   int
	h0     geom.Homography // of the plane that touches the face at its centre
	inv    [9]float64      // its inverse
	lens   lens
	eye    [3]float64 // the camera's centre in the display frame; eye[2] < 0
	aspect float64
	sag    float64
}

var errBehind = errors.New("part of the display is behind the camera or seen edge-on; tilt it less or step back")

func newView(s Scene) (*view, error) {
	d, c := s.Display, s.Camera
	w, h := float64(c.Width), float64(c.Height)
	f := c.Focal * max(w, h)
	cols, rows := float64(d.Frame.Cols)*d.Aspect, float64(d.Frame.Rows)
	dist := max(cols*f/(c.Fill*w), rows*f/(c.Fill*h))
	r := rotation(c.Yaw, c.Pitch, c.Roll)
	t := [3]float64{c.OffX * w / f * dist, c.OffY * h / f * dist, dist}
	var m [9]float64
	for i := range 3 {
		m[3*i] = r[3*i] * d.Aspect
		m[3*i+1] = -r[3*i+1]
		m[3*i+2] = t[i]
	}
	for j := range 3 { // K on the left
		m[j] = f*m[j] + w/2*m[6+j]
		m[3+j] = f*m[3+j] + h/2*m[6+j]
	}
	v := &view{w: c.Width, h: c.Height, aspect: d.Aspect, sag: d.Sag,
		lens: lens{geom.Radial{Centre: geom.Pixel{X: w / 2, Y: h / 2}, Scale: math.Hypot(w, h) / 2, K: c.K1}, c.K2}}
	if d.Kind != Tube {
		v.sag = 0
	}
	for i := range m {
		v.h0[i] = m[i] / m[8]
	}
	for j := range 3 {
		for i := range 3 {
			v.eye[j] -= r[3*i+j] * t[i]
		}
	}
	for _, b := range d.Frame.Corners() {
		if v.h0[6]*b.X+v.h0[7]*b.Y+1 < 0.1 {
			return nil, errBehind
		}
	}
	if -v.eye[2] < 0.1*dist {
		return nil, errBehind
	}
	v.inv = inverse(v.h0)
	return v, nil
}

// rotation is Rz(roll)·Rx(pitch)·Ry(yaw), row-major.
func rotation(yaw, pitch, roll float64) [9]float64 {
	sy, cy := math.Sincos(yaw)
	sp, cp := math.Sincos(pitch)
	sr, cr := math.Sincos(roll)
	a := [9]float64{cy, 0, sy, 0, 1, 0, -sy, 0, cy}
	b := [9]float64{1, 0, 0, 0, cp, -sp, 0, sp, cp}
	c := [9]float64{cr, -sr, 0, sr, cr, 0, 0, 0, 1}
	return product(c, product(b, a))
}

func product(a, b [9]float64) (m [9]float64) {
	for i := range 3 {
		for j := range 3 {
			for k := range 3 {
				m[3*i+j] += a[3*i+k] * b[3*k+j]
			}
		}
	}
	return m
}

// inverse gives the adjugate: as a homography it is the inverse.
func inverse(h geom.Homography) [9]float64 {
	return [9]float64{
		h[4]*h[8] - h[5]*h[7], h[2]*h[7] - h[1]*h[8], h[1]*h[5] - h[2]*h[4],
		h[5]*h[6] - h[3]*h[8], h[0]*h[8] - h[2]*h[6], h[2]*h[3] - h[0]*h[5],
		h[3]*h[7] - h[4]*h[6], h[1]*h[6] - h[0]*h[7], h[0]*h[4] - h[1]*h[3],
	}
}

// pixel is where the photo shows place b of the face.
func (v *view) pixel(b geom.Box) geom.Pixel {
	if v.sag != 0 {
		x, y := b.X*v.aspect, -b.Y
		m := 1 / (1 - v.sag/2*(x*x+y*y)/v.eye[2])
		b = geom.Box{X: (v.eye[0] + (x-v.eye[0])*m) / v.aspect, Y: -(v.eye[1] + (y-v.eye[1])*m)}
	}
	return v.lens.bend(v.h0.Pixel(b))
}

// A lens has the term of geom.Radial and one more, k2, of the fourth power.
type lens struct {
	geom.Radial
	k2 float64
}

// bend takes an ideal pixel to where the lens shows it.
func (l lens) bend(ideal geom.Pixel) geom.Pixel {
	dx, dy := ideal.X-l.Centre.X, ideal.Y-l.Centre.Y
	r2 := (dx*dx + dy*dy) / (l.Scale * l.Scale)
	m := 1 + r2*(l.K+l.k2*r2)
	return geom.Pixel{X: l.Centre.X + m*dx, Y: l.Centre.Y + m*dy}
}

// straighten is the inverse of bend, by Newton's method on the factor that the lens puts on the
// radius: s = r/seen solves s·(1 + s²·(a + b·s²)) = 1, with a = K·seen² and b = k2·seen⁴.
func (l lens) straighten(seen geom.Pixel) geom.Pixel {
	dx, dy := seen.X-l.Centre.X, seen.Y-l.Centre.Y
	r2 := (dx*dx + dy*dy) / (l.Scale * l.Scale)
	s := 1.0
	if a, b := l.K*r2, l.k2*r2*r2; a != 0 || b != 0 {
		s = shrunk(a, b)
	}
	return geom.Pixel{X: l.Centre.X + s*dx, Y: l.Centre.Y + s*dy}
}

func shrunk(a, b float64) float64 {
	s := 1 - a - b
	for range 12 { // three or four are enough for any phone
		s2 := s * s
		step := (s*(1+s2*(a+b*s2)) - 1) / (1 + s2*(3*a+5*b*s2))
		s -= step
		if math.Abs(step) < 1e-12 {
			break
		}
	}
	return s
}

// A spot is the place of the display plane under one photo pixel, in boxes, and the sides of the
// rectangle that the pixel covers there.
type spot struct{ x, y, dx, dy float64 }

// plane gives the spot under photo pixel p of the flat plane.
func (v *view) plane(p geom.Pixel) spot {
	q := v.lens.straighten(p)
	m := &v.inv
	w := m[6]*q.X + m[7]*q.Y + m[8]
	x := (m[0]*q.X + m[1]*q.Y + m[2]) / w
	y := (m[3]*q.X + m[4]*q.Y + m[5]) / w
	size := math.Abs(w)
	return spot{x, y, length(m[0]-x*m[6], m[1]-x*m[7]) / size, length(m[3]-y*m[6], m[4]-y*m[7]) / size}
}

// length is math.Hypot without its care for overflow, which takes most of its time.
func length(x, y float64) float64 { return math.Sqrt(x*x + y*y) }

// deeper follows the ray through a spot of the plane on to the face, and depth boxes behind it.
func (v *view) deeper(s spot, depth float64) spot {
	if v.sag == 0 && depth == 0 {
		return s
	}
	px, py := s.x*v.aspect, -s.y
	x, y := px, py
	for range 4 { // contracts by about sag·r per round: 1e-6 box after four on any real tube
		m := 1 - (v.sag/2*(x*x+y*y)+depth)/v.eye[2]
		x, y = v.eye[0]+(px-v.eye[0])*m, v.eye[1]+(py-v.eye[1])*m
	}
	s.x, s.y = x/v.aspect, -y
	return s
}
