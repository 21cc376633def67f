package sheet

import (
	"context"
	"errors"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// A Grid says where cells lie on the display: column i has its centre at x = X0 + i·DX, row j at y = Y0 + j·DY, in
// boxes from the graticule's centre. Rows go up.
type Grid struct {
	NX, NY int
	X0, DX float64 // box
	Y0, DY float64 // box
	// Across and Up count cells a box; both are even, so that half a box is whole cells too.
	Across, Up int
}

// X is the place of column i, Y that of row j, which may lie between two, and Row the inverse of Y.
func (s *Grid) X(i int) float64       { return s.X0 + float64(i)*s.DX }
func (s *Grid) Y(j float64) float64   { return s.Y0 + j*s.DY }
func (s *Grid) Row(y float64) float64 { return (y - s.Y0) / s.DY }

// A Sheet is the display over its frame's width, and over its height with Margin boxes more at the top and the bottom.
type Sheet struct {
	Grid
	Frame geom.Frame
	// Light is linear light less the field; that of cell (i, j) in channel c, red, green or blue, is
	// Light[c][i*NY+j]. It is 0 for cells off the photo.
	Light [3][]float32
	Ink   [3][]float32 // what the graticule's lines add to the field, laid out like Light
	Field [3]*Knots    // linear light
	Noise [3]*Knots    // linear light, one standard deviation of a cell without ink
	Own   int          // the display's own pixels a box; 0 when they were not seen
	Lines Lines        // how the graticule's lines look

	fold   *fold
	curved bool
	raw    [3][]float32 // linear light as it was read, NaN off the photo
}

// Margin is how far above and below the frame the display is read, in boxes: a stroke that lies on the rim is
// seen with what is beside it, and the bezel is not (TestASheetReachesBeyondTheRims).
const Margin = 0.2

// ErrSmall says that the photo has too few pixels for each of the display's boxes.
var ErrSmall = errors.New("the display is too small in the photo")

// Read gives the sheet of the display on ph that has the graticule g. Its errors are ErrSmall and that of ctx.
func Read(ctx context.Context, ph *photo.Photo, g *graticule.Graticule) (*Sheet, error) {
	p, ok := pitchOf(g)
	if !ok || g.Frame.Cols < 1 || g.Frame.Rows < 1 {
		return nil, ErrSmall
	}
	left, low := g.Frame.Left(), g.Frame.Bottom()
	m := math.Round(Margin*float64(p.up)) / float64(p.up)
	s := &Sheet{Grid: gridOf(geom.Box{X: left, Y: low - m}, geom.Box{X: -left, Y: -low + m}, p), Frame: g.Frame, curved: curved(g)}
	var err error
	if s.raw, err = s.Grid.sample(ctx, ph, g, p); err != nil {
		return nil, err
	}
	s.fold = newFold(s, g)
	s.takeOff(false)
	return s, ctx.Err()
}

// Crowded gives the same display as a fast wave or a thick band of noise shows it that covers most of it: with the
// field beneath it, and the noise of the display's quieter part (see crowd.go).
func (s *Sheet) Crowded(ctx context.Context) (*Sheet, error) {
	w := &Sheet{Grid: s.Grid, Frame: s.Frame, curved: s.curved, raw: s.raw}
	f := *s.fold
	w.fold, f.s = &f, w
	w.takeOff(true)
	return w, ctx.Err()
}

// takeOff finds field, ink and noise, and leaves the rest in Light.
func (s *Sheet) takeOff(crowds bool) {
	s.flatten(crowds)
	s.Own = s.ownPixels(s.fold)
	s.blur()
	s.Ink = s.fold.ink(s.Frame)
	s.measureNoise()
	if crowds {
		s.calmCrowds()
	}
	s.Lines = s.judgeLines()
}

// Elements is the display's pixels a box, as they are seen or as they usually are.
func (s *Sheet) Elements() float64 {
	if s.Own > 0 {
		return float64(s.Own)
	}
	return displayPixels
}

// displayPixels is how many pixels of its own a display has to a box when they are not seen: about 50 on the common
// ones (common practice, no source; TestWhatASlowRiseTellsOfTheRounding).
const displayPixels = 50
