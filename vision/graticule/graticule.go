package graticule

import (
	"context"
	"image"

	"gonum.org/v1/gonum/mat"

	"quadrille/calibrate/remark"
	"quadrille/vision/fit"
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
	Cov       *mat.SymDense // of the parameters of package fit; nil if it cannot be estimated
	RMS       float64       // box, of the residuals of the line pieces used; NaN if no line was used
	Crossings int           // crossings of lines that were seen
	ByHand    bool          // the corners came from a person
	// Doubts speak against the grid when taken together, Notes are such remarks that do not; nil if there are none.
	Doubts, Notes []remark.Remark
}

// Pixel takes a place of the display to the photo, through face, homography and lens.
func (g *Graticule) Pixel(b geom.Box) geom.Pixel { return g.model().Pixel(b) }

// Box takes a place of the photo to the display.
func (g *Graticule) Box(p geom.Pixel) geom.Box { return g.model().Box(p) }

// A Move tells how far one independent error of the fit, at one standard deviation, moves each of a list of places of
// the display, in boxes.
type Move = fit.Move

// Moves splits the covariance of the fit into independent errors and gives what each does to the places bs: their sum
// of squares is the variance of the places, and all places move together. It is nil when Cov is nil.
func (g *Graticule) Moves(bs []geom.Box) []Move { return g.model().Moves(g.Cov, bs) }

func (g *Graticule) model() *fit.Model { return &fit.Model{H: g.H, Lens: g.Lens, Face: g.Face} }

// Options steers Find. Nil or zero fields mean the automatic way.
type Options struct {
	// Corners are the frame's corners as a person saw them, top-left first, clockwise on the display. They choose among
	// what is found; they are not a road of their own.
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

// Find gives the graticule of ph. Its errors are *NotFoundError, *OptionsError, and that of ctx when it is done.
func Find(ctx context.Context, ph *photo.Photo, o *Options) (*Graticule, error) {
	return NewFinder(ph).Find(ctx, o)
}
