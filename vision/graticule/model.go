package graticule

// The map from boxes to the photo, its parameters, and how a place moves with each of them.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
)

// model maps boxes to the photo: the face's departure from a plane, the homography, the lens.
type model struct {
	h    geom.Homography
	lens geom.Radial
	face geom.Face
	// shared is the prior spread of what all upright lines share, in boxes.
	shared float64
}

// Where the parameters stand in lists of them: h0..h7, the lens's K and K2, the face's coefficients.
const (
	atLens     = 8
	atFace     = 10
	parameters = atFace + 2*geom.FaceTerms
)

func (m *model) pixel(b geom.Box) geom.Pixel { return m.lens.Bend(m.h.Pixel(m.face.Raise(b))) }
func (m *model) box(p geom.Pixel) geom.Box   { return m.face.Lower(m.h.Box(m.lens.Straighten(p))) }

func (m *model) params() (p [parameters]float64) {
	copy(p[:], m.h[:8])
	p[atLens], p[atLens+1] = m.lens.K, m.lens.K2
	copy(p[atFace:], m.face.DX[:])
	copy(p[atFace+geom.FaceTerms:], m.face.DY[:])
	return p
}

func (m *model) set(p [parameters]float64) {
	copy(m.h[:8], p[:])
	m.lens.K, m.lens.K2 = p[atLens], p[atLens+1]
	copy(m.face.DX[:], p[atFace:])
	copy(m.face.DY[:], p[atFace+geom.FaceTerms:])
}

// slopes gives the derivatives by the parameters of the box at place p of the photo. The face's own
// slope, under a tenth, is left out.
func (m *model) slopes(p geom.Pixel) (dx, dy [parameters]float64) {
	ideal := m.lens.Straighten(p)
	b := m.h.Box(ideal)
	w := m.h[6]*b.X + m.h[7]*b.Y + 1
	// Of the pixel by the box, and its inverse.
	xx, xy := (m.h[0]-ideal.X*m.h[6])/w, (m.h[1]-ideal.X*m.h[7])/w
	yx, yy := (m.h[3]-ideal.Y*m.h[6])/w, (m.h[4]-ideal.Y*m.h[7])/w
	det := xx*yy - xy*yx
	// The box that goes with a step of the pixel.
	step := func(i int, x, y float64) {
		dx[i], dy[i] = (yy*x-xy*y)/det, (xx*y-yx*x)/det
	}
	for i, t := range [3]float64{b.X, b.Y, 1} {
		step(i, -t/w, 0)
		step(3+i, 0, -t/w)
		if i < 2 {
			step(6+i, ideal.X*t/w, ideal.Y*t/w)
		}
	}
	x, y := (ideal.X-m.lens.Centre.X)/m.lens.Scale, (ideal.Y-m.lens.Centre.Y)/m.lens.Scale
	r2 := x*x + y*y
	k := -m.lens.Scale * r2 / (1 + r2*(3*m.lens.K+5*m.lens.K2*r2))
	step(atLens, k*x, k*y)
	step(atLens+1, k*r2*x, k*r2*y)
	for i, t := range m.face.Terms(m.face.Lower(b)) {
		dx[atFace+i] = -t
		dy[atFace+geom.FaceTerms+i] = -t
	}
	return dx, dy
}

// variance of the box at place p across the lines of a family, by the covariance of the parameters.
func (m *model) variance(p geom.Pixel, fam family, cov *mat.SymDense) (v float64) {
	across, dy := m.slopes(p)
	if fam == level {
		across = dy
	}
	for a, s := range across {
		for b, t := range across {
			v += s * t * cov.At(a, b)
		}
	}
	return v
}

// residuals gives the offset in boxes of each observation from its line.
func residuals(m *model, obs []observation) []float64 {
	r := make([]float64, len(obs))
	for i, o := range obs {
		b := m.box(o.place)
		if o.fam == upright {
			r[i] = b.X - o.coord
		} else {
			r[i] = b.Y - o.coord
		}
	}
	return r
}

// newModel starts from the homography h of a frame; lens and face are straight.
func newModel(w, h int, start geom.Homography, f geom.Frame) *model {
	return &model{
		h: start,
		lens: geom.Radial{
			Centre: geom.Pixel{X: float64(w) / 2, Y: float64(h) / 2},
			Scale:  math.Hypot(float64(w), float64(h)) / 2,
		},
		face:   geom.Face{Half: geom.Box{X: float64(f.Cols) / 2, Y: float64(f.Rows) / 2}},
		shared: stripes,
	}
}

// bend is the rms of the face's departure from a plane over the crossings of the lines xs and ys, in boxes.
func (m *model) bend(xs, ys []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		for _, y := range ys {
			dx, dy := m.face.Departure(geom.Box{X: x, Y: y})
			sum += dx*dx + dy*dy
		}
	}
	return math.Sqrt(sum / float64(len(xs)*len(ys)))
}
