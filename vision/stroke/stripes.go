package stroke

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

// sameColour is how near, in radians, what a dark stroke takes away lies to the colour of the field when the stroke
// has none of its own: a camera's noise and its white balance leave 0.02 on simulated pale panels
// (TestWhatADarkStrokeTakesAway).
const sameColour = 0.15

// stripes is the effect of a colour display's three stripes. A picture element is a red, a green and a blue stripe
// side by side, so that what is drawn in yellow lies to one side of its elements and what is drawn in cyan to the
// other, by
//
//	(blue - red)/(red + green + blue)/3   of an element,
//
// while the white lines of the graticule lie in the middle. Whether red is at the left or at the right is not seen,
// so that this is one standard deviation; and it is the same for all traces of the photo. It moves a phase from the
// left rim, and two traces of different colours against each other, but no duration.
func stripes(of sheet.Tint, elements float64, n int) (e Effect, ok bool) {
	sum := float64(of[0] + of[1] + of[2])
	shift := float64(of[2]-of[0]) / sum / 3 / elements
	if !(math.Abs(shift) < 1/elements) { // no colour that a display makes
		return e, false
	}
	e = Effect{Name: "colour stripes of the display", Joint: true, DX: make([]float64, n), DY: make([]float64, n)}
	for i := range e.DX {
		e.DX[i] = shift
	}
	return e, true
}

// isColourless tells whether a trace of tint d on a display whose graticule is darker than its field has no colour
// stripes: the beam of a tube behind an engraved graticule has none, nor has a panel that only takes light away, from
// all colours alike.
func isColourless(s *sheet.Sheet, d sheet.Tint) bool {
	if d.Grey() > 0 {
		return true
	}
	var own, taken [3]float64
	for k := range own {
		own[k] = float64(raster.Rank(slices.Clone(s.Field[k].V), 0.5))
		taken[k] = -float64(d[k])
	}
	return sheet.Dot(sheet.Unit(own), sheet.Unit(taken)) > math.Cos(sameColour)
}
