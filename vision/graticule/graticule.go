// Package graticule finds the graticule of an oscilloscope's display on a photo: the homography from
// boxes to pixels, one radial lens term, the count of columns and rows, and how sure all that is.
package graticule

import (
	"image"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

// A Graticule is the display's frame as found on one photo.
type Graticule struct {
	H     geom.Homography // box -> ideal pixel
	Lens  geom.Radial
	Frame geom.Frame // whole boxes across and down
	// Centred says that the vertical lines count from the centre line: a frame of an odd count of
	// boxes then has half a box at its left and right rim.
	Centred   bool
	Cov       *mat.SymDense // 9×9, of (h0..h7, K); nil if it cannot be estimated
	RMS       float64       // box, of the residuals of the line pieces used; NaN if no line was used
	Crossings int           // crossings of lines that were seen
	ByHand    bool          // the corners came from a person
	Doubts    []string      // each a sentence for the reader; nil if none
}

// Pixel takes a place of the display to the photo, through the homography and the lens.
func (g *Graticule) Pixel(b geom.Box) geom.Pixel { return g.Lens.Bend(g.H.Pixel(b)) }

// Box takes a place of the photo to the display.
func (g *Graticule) Box(p geom.Pixel) geom.Box { return g.H.Box(g.Lens.Straighten(p)) }

// A Move tells how far one independent error of the fit, at one standard deviation, moves each of a
// list of places of the display, in boxes.
type Move struct{ DX, DY []float64 }

// Moves splits the covariance of the fit into independent errors and gives what each does to the
// places bs: their sum of squares is the variance of the places, and all places move together.
// It is nil when Cov is nil.
func (g *Graticule) Moves(bs []geom.Box) []Move { return nil }

// Options steers Find. Nil or zero fields mean the automatic way.
type Options struct {
	// Corners are the frame's corners as a person saw them, top-left first, clockwise on the
	// display. They start the refinement; they are not a road of their own.
	Corners *[4]geom.Pixel
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
	return nil, &NotFoundError{Reason: "not built yet"}
}
