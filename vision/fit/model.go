package fit

// The map from boxes to the photo, its parameters, and how a place moves with each of them.

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

// A Model maps boxes to the photo: the face's departure from a plane, the homography, the lens.
type Model struct {
	H    geom.Homography
	Lens geom.Radial
	Face geom.Face
	// shared is the prior spread of what all upright lines share, in boxes.
	shared float64
}

// Where the parameters stand in lists of them: h0..h7, the lens's K and K2, the face's coefficients.
const (
	atLens     = 8                         // TestPlacesAreOffByWhatTheCovarianceSays
	atFace     = 10                        // TestPlacesAreOffByWhatTheCovarianceSays
	Parameters = atFace + 2*geom.FaceTerms // TestPlacesAreOffByWhatTheCovarianceSays
)

// Pixel takes a place of the display to the photo.
func (m *Model) Pixel(b geom.Box) geom.Pixel { return m.Lens.Bend(m.H.Pixel(m.Face.Raise(b))) }

// Box takes a place of the photo to the display.
func (m *Model) Box(p geom.Pixel) geom.Box { return m.Face.Lower(m.H.Box(m.Lens.Straighten(p))) }

func (m *Model) params() (p [Parameters]float64) {
	copy(p[:], m.H[:8])
	p[atLens], p[atLens+1] = m.Lens.K, m.Lens.K2
	copy(p[atFace:], m.Face.DX[:])
	copy(p[atFace+geom.FaceTerms:], m.Face.DY[:])
	return p
}

func (m *Model) set(p [Parameters]float64) {
	copy(m.H[:8], p[:])
	m.Lens.K, m.Lens.K2 = p[atLens], p[atLens+1]
	copy(m.Face.DX[:], p[atFace:])
	copy(m.Face.DY[:], p[atFace+geom.FaceTerms:])
}

// slopes gives the derivatives by the parameters of the box at place p of the photo. The face's own
// slope, under a tenth, is left out.
func (m *Model) slopes(p geom.Pixel) (dx, dy [Parameters]float64) {
	ideal := m.Lens.Straighten(p)
	b := m.H.Box(ideal)
	w := m.H[6]*b.X + m.H[7]*b.Y + 1
	// Of the pixel by the box, and its inverse.
	xx, xy := (m.H[0]-ideal.X*m.H[6])/w, (m.H[1]-ideal.X*m.H[7])/w
	yx, yy := (m.H[3]-ideal.Y*m.H[6])/w, (m.H[4]-ideal.Y*m.H[7])/w
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
	x, y := (ideal.X-m.Lens.Centre.X)/m.Lens.Scale, (ideal.Y-m.Lens.Centre.Y)/m.Lens.Scale
	r2 := x*x + y*y
	k := -m.Lens.Scale * r2 / (1 + r2*(3*m.Lens.K+5*m.Lens.K2*r2))
	step(atLens, k*x, k*y)
	step(atLens+1, k*r2*x, k*r2*y)
	for i, t := range m.Face.Terms(m.Face.Lower(b)) {
		dx[atFace+i] = -t
		dy[atFace+geom.FaceTerms+i] = -t
	}
	return dx, dy
}

// variance of the box at place p across the lines of a family, by the covariance of the parameters.
func (m *Model) variance(p geom.Pixel, fam lattice.Family, cov *mat.SymDense) (v float64) {
	across, dy := m.slopes(p)
	if fam == lattice.Level {
		across = dy
	}
	for a, s := range across {
		for b, t := range across {
			v += s * t * cov.At(a, b)
		}
	}
	return v
}

// Residuals gives the offset in boxes of each observation from its line.
func Residuals(m *Model, obs []Observation) []float64 {
	r := make([]float64, len(obs))
	for i, o := range obs {
		b := m.Box(o.Place)
		if o.Of == lattice.Upright {
			r[i] = b.X - o.At
		} else {
			r[i] = b.Y - o.At
		}
	}
	return r
}

// New starts from the homography h of a frame; lens and face are straight.
func New(w, h int, start geom.Homography, f geom.Frame) *Model {
	return &Model{
		H: start,
		Lens: geom.Radial{
			Centre: geom.Pixel{X: float64(w) / 2, Y: float64(h) / 2},
			Scale:  math.Hypot(float64(w), float64(h)) / 2,
		},
		Face:   geom.Face{Half: geom.Box{X: float64(f.Cols) / 2, Y: float64(f.Rows) / 2}},
		shared: stripes,
	}
}

// Bend is the rms of the face's departure from a plane over the crossings of the lines xs and ys, in boxes.
func (m *Model) Bend(xs, ys []float64) float64 {
	sum := 0.0
	for _, x := range xs {
		for _, y := range ys {
			dx, dy := m.Face.Departure(geom.Box{X: x, Y: y})
			sum += dx*dx + dy*dy
		}
	}
	return math.Sqrt(sum / float64(len(xs)*len(ys)))
}
