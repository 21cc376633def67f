// Package graticule finds the graticule of an oscilloscope's display on a photo: the homography from
// boxes to pixels, one radial lens term, the count of columns and rows, and how sure all that is.
package graticule

import (
	"fmt"
	"image"

	"gonum.org/v1/gonum/mat"

	"quadrille/calibrate/remark"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

// A Graticule is the display's frame as found on one photo.
type Graticule struct {
	H     geom.Homography // place of the plane -> ideal pixel
	Lens  geom.Radial
	Face  geom.Face  // how the face departs from the plane
	Frame geom.Frame // whole boxes across and down
	// Centred says that the vertical lines count from the centre line: a frame of an odd count of
	// boxes then has half a box at its left and right rim.
	Centred   bool
	Cov       *mat.SymDense   // 24×24, of (h0..h7, K, K2, Face.DX, Face.DY); nil if it cannot be estimated
	RMS       float64         // box, of the residuals of the line pieces used; NaN if no line was used
	Crossings int             // crossings of lines that were seen
	ByHand    bool            // the corners came from a person
	Doubts    []remark.Remark // nil if none
}

// Pixel takes a place of the display to the photo, through face, homography and lens.
func (g *Graticule) Pixel(b geom.Box) geom.Pixel { return g.model().pixel(b) }

// Box takes a place of the photo to the display.
func (g *Graticule) Box(p geom.Pixel) geom.Box { return g.model().box(p) }

func (g *Graticule) model() *model { return &model{h: g.H, lens: g.Lens, face: g.Face} }

// Options steers Find. Nil or zero fields mean the automatic way.
type Options struct {
	// Corners are the frame's corners as a person saw them, top-left first, clockwise on the
	// display. They start the refinement; they are not a road of their own.
	Corners *[4]geom.Pixel
	// CornerSigma is the standard uncertainty in pixels of each coordinate of Corners, where no lines
	// are seen that would say better; 0 means 0.4 % of the frame's diagonal, a finger on a phone.
	CornerSigma float64
	// Frame is the count of boxes as a person knows it; a zero count is found from the picture.
	Frame geom.Frame
	// Stage, if not nil, receives a picture of what each stage saw, in order.
	Stage func(name string, img image.Image)
}

// A NotFoundError says that no graticule was accepted: how far the search came, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

// An OptionsError says that what a person gave cannot be right: corners outside the picture or
// crossed, a count of boxes that no display has.
type OptionsError struct{ Field, Reason, Hint string }

func (e *OptionsError) Error() string { return e.Reason }

// Find gives the graticule of ph. Its errors are *NotFoundError and *OptionsError.
func Find(ph *photo.Photo, o *Options) (*Graticule, error) {
	if o == nil {
		o = &Options{}
	}
	if err := o.check(ph); err != nil {
		return nil, err
	}
	var g *Graticule
	var err error
	if o.Corners != nil {
		g, err = byHand(ph, o)
	} else {
		g, _, err = automatic(ph, o)
	}
	if err == nil && o.Stage != nil {
		o.Stage("found", drawFound(ph, g))
	}
	return g, err
}

// showPieces hands out the picture of what the last fit saw.
func (o *Options) showPieces(ph *photo.Photo, g *Graticule, v *verdict) {
	if o.Stage != nil {
		o.Stage(fmt.Sprintf("lines off %d times", offTimes), drawPieces(ph, g, v.pieces))
	}
}

// automatic takes the best lattice of ruled lines; where that is not clear, it looks for one on the picture without the
// trace, and for a frame with ticks or crosses too.
func automatic(ph *photo.Photo, o *Options) (*Graticule, verdict, error) {
	fine, coarse := lights(ph)
	g, v, err := ruled(ph, fine, coarse, func() light { return outshone(ph, fine) }, o)
	if err == nil && v.clear() {
		return g, v, nil
	}
	plain, ok := bare(ph, fine)
	if ok {
		wave := err == nil && v.inks && !plain.bears(g, &v)
		bg, bv, berr := ruled(ph, plain.light, light{scale: plain.scale / 2, log: halve(plain.log)}, nil, o)
		if wave && !(berr == nil && bv.inks) || berr == nil && (err != nil || bv.clear()) {
			g, v, err = bg, bv, berr
		}
		if err == nil && v.clear() {
			return g, v, nil
		}
	}
	if err == nil && v.surelyRuled() {
		return g, v, nil
	}
	m := marked(ph, fine, o)
	if ok && (m == nil || !m.clear) {
		if bm := marked(ph, plain.light, o); bm != nil && bm.clear {
			m = bm
		}
	}
	if m == nil || err == nil && !m.over(&v) {
		return g, v, err
	}
	o.showPieces(ph, m.Graticule, &m.verdict)
	return m.Graticule, m.verdict, nil
}

// ruled takes the best candidate of the search for ruled lines; again is as in search.
func ruled(ph *photo.Photo, fine, coarse light, again func() light, o *Options) (*Graticule, verdict, error) {
	found := search(ph, fine, coarse, o.Frame, again, o.Stage)
	if len(found) == 0 {
		return nil, verdict{}, &NotFoundError{"no graticule found: nowhere on the photo are there evenly spaced lines that cross",
			"photograph the display alone, straight on and sharp; or give the frame's corners and count of boxes by hand"}
	}
	// The first that stands a closer look; a lattice of the display's own pixels does not.
	var refused error
	for i := range found[:min(tries, len(found))] {
		best := &found[i]
		g, v, ok := finish(ph, fine, best)
		if !ok {
			if refused == nil {
				refused = &NotFoundError{"no graticule found: the lines of the best candidate vanish on a closer look",
					"photograph the display straight on and sharp, without glare; or give the frame's corners and count of boxes by hand"}
			}
			continue
		}
		if reason, hint := v.refusal(); reason != "" {
			if refused == nil {
				refused = &NotFoundError{reason, hint}
			}
			continue
		}
		for _, c := range found[i+1:] {
			if !agree(best.survey.g.h, c.survey.g.h, c.survey.g.part) {
				v.rival = c.quality / best.quality
				break
			}
		}
		g.Doubts = remark.Texts(v.doubts(g.Frame))
		o.showPieces(ph, g, &v)
		return g, v, nil
	}
	return nil, verdict{}, refused
}

// tries is how many candidates are looked at closely before the photo is given up.
const tries = 4

// finish refines a candidate on the photo and gathers what there is to say of it.
func finish(ph *photo.Photo, fine light, c *candidate) (*Graticule, verdict, bool) {
	f := c.frame.boxes()
	h := c.homography()
	near := closeUpOf(ph, fine, &c.survey.g.h, c.frame.extent, fineBox)
	fit, ok := refine(ph, near, h, f, c.frame.size.centred, c.survey.g.sign)
	if !ok {
		return nil, verdict{}, false
	}
	a, u := boxSize(fit.h, geom.Box{})
	v := verdict{
		share:  float64(fit.seen) / float64(max(fit.pieces, 1)),
		rms:    fit.rms,
		bend:   fit.bend,
		margin: c.margin,
		aspect: a / u,
		stops:  c.frame.stops,
		known:  c.frame.known(),
		inks:   c.inks,
		second: c.survey.everySecond(c.frame),
		pieces: fit.obs,
		model:  &fit.model,
		sign:   c.survey.g.sign,
	}
	if c.frame.size.centred {
		v.rimOff = rimOff(near, v.model, f, v.sign)
	}
	if c.survey.g.dotted {
		v.second = 1 // rows of dots are known to be there, divisions or not
		v.alike = c.frame.centreTicks[0]+c.frame.centreTicks[1] < 1
	}
	g := &Graticule{
		H: fit.h, Lens: fit.lens, Face: fit.face, Frame: f, Centred: c.frame.size.centred,
		Cov: fit.cov, RMS: fit.rms, Crossings: fit.crossings,
	}
	for _, corner := range f.Corners() {
		p := g.Pixel(corner)
		v.cut = v.cut || p.X < 0 || p.Y < 0 || p.X > float64(ph.W) || p.Y > float64(ph.H)
	}
	return g, v, true
}
