package graticule

// Minor ticks: the strongest single clue to where a graticule's centre and rims are.
//
// Most displays draw short ticks, five to a box, across their two centre lines and inwards from their
// rims, and nowhere else. Close beside a line (0.05 to 0.13 box: ticks reach there, the dots of a
// dotted line do not) the lightness along the line then has a component of five periods a box with
// its crest at the crossings. A Hann window over each box keeps the crossing lines out.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	ticksPerBox  = 5
	tickSamples  = 40 // a box, eight to a tick
	tickMinBox   = 50 // px of the reduced picture a box must have for ticks to be seen on it; else the photo itself is sampled
	tickFlatClip = 0.5
)

// tickOffsets are the distances from the line, in boxes, that are averaged.
var tickOffsets = [3]float64{0.06, 0.09, 0.12}

// tickWave has the Hann window times the wave of five periods, and the window, both over one box.
var tickWave = func() (w [tickSamples]struct{ cos, sin, win float64 }) {
	for i := range w {
		t := (float64(i) + 0.5) / tickSamples
		win := 1 - math.Cos(2*math.Pi*t)
		w[i].win = win
		w[i].cos = win * math.Cos(2*math.Pi*ticksPerBox*t)
		w[i].sin = win * math.Sin(2*math.Pi*ticksPerBox*t)
	}
	return w
}()

// A tickSight is the component of one side of one piece, in log lightness; ok is false outside the photo.
type tickSight struct {
	re, im float64
	ok     bool
}

// A lightField gives the log lightness at a place of the photo, from the picture that suits the size
// of the boxes.
type lightField struct {
	ph    *photo.Photo
	plane *raster.Plane // nil: sample the photo
	scale float64
}

func (f *lightField) at(q geom.Pixel) (float32, bool) {
	if f.plane != nil {
		return f.plane.Bilinear(geom.Pixel{X: q.X * f.scale, Y: q.Y * f.scale})
	}
	rgb, ok := f.ph.Sample(q)
	return logOf(rgb), ok
}

// fieldFor chooses the reduced picture if its boxes are large enough.
func fieldFor(ph *photo.Photo, l light, h *lattice, mid geom.Box) *lightField {
	a, u := boxSize(*h, mid)
	if l.scale >= 1 || min(a, u)*l.scale >= tickMinBox {
		return &lightField{plane: l.log, scale: l.scale}
	}
	return &lightField{ph: ph}
}

// tick gives the component beside pc, on the side of growing k (side = +1) or of falling k (-1).
func (f *lightField) tick(h *lattice, pc piece, side float64, sign float32) (s tickSight) {
	var v [tickSamples]float64
	n := 0.0
	for _, off := range tickOffsets {
		a, b := h.Pixel(pc.at(side*off, 0)), h.Pixel(pc.at(side*off, 1))
		for i := range v {
			t := (float64(i) + 0.5) / tickSamples
			g, ok := f.at(geom.Pixel{X: a.X + t*(b.X-a.X), Y: a.Y + t*(b.Y-a.Y)})
			if !ok {
				return s
			}
			v[i] += float64(sign*g) / float64(len(tickOffsets))
		}
	}
	mean := 0.0
	for i, w := range tickWave {
		mean += v[i] * w.win
		n += w.win
	}
	mean /= n
	for i, w := range tickWave {
		d := min(max(v[i]-mean, -tickFlatClip), tickFlatClip)
		s.re += d * w.cos / n
		s.im += d * w.sin / n
	}
	s.ok = true
	return s
}
