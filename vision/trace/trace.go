// Package trace finds the curves drawn on a display whose graticule is known, and gives each as
// samples in boxes with their uncertainties.
package trace

import (
	"image"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// A Trace is one curve on the display.
type Trace struct {
	Name   string     // "a", "b", "c" in the order found
	Colour [3]uint8   // sRGB, as photographed
	Frame  geom.Frame // of the graticule it lies on
	X      []float64  // box, strictly increasing
	Y      []float64  // box; NaN where the trace is hidden or absent
	Sigma  []float64  // box; one standard deviation of Y, independent from sample to sample
	// Thick is the height in boxes over which the display drew each column: more than the stroke
	// on steep edges and on noisy curves.
	Thick    []float64
	Effects  []Effect
	Coverage float64 // 0..1, share of the frame's width where the trace was seen
	// GroundMark is the y in boxes of the mark at the rim in the trace's colour that shows its
	// zero; NaN if none was found.
	GroundMark float64
	Doubts     []string
}

// An Effect is one cause that moves all samples together: by DX, DY boxes at one standard deviation.
// Effects of one Name belong to one source of uncertainty and are independent of each other.
type Effect struct {
	Name   string
	DX, DY []float64
}

// Options steers Extract. Nil or zero fields mean the automatic way.
type Options struct {
	Colour *[3]uint8 // sRGB of the wanted trace; nil takes all
	Stage  func(name string, img image.Image)
}

// A NotFoundError says that no trace was accepted, and what to do.
type NotFoundError struct{ Reason, Hint string }

func (e *NotFoundError) Error() string { return e.Reason }

// Extract gives the traces of ph on g, the most prominent first; never an empty list without an
// error.
func Extract(ph *photo.Photo, g *graticule.Graticule, o *Options) ([]*Trace, error) {
	return nil, &NotFoundError{Reason: "not built yet"}
}
