package trace

// The colour of a trace, and the trace of a colour.

import (
	"fmt"
	"math"
	"math/cmplx"
	"strings"

	"quadrille/vision/sheet"
)

// photographed is the mean colour of the photo on the trace's centre line, in sRGB.
func photographed(s *sheet.Sheet, t *Trace) (srgb [3]uint8) {
	var rgb [3]float32
	n := float32(0)
	for i, y := range t.Y {
		if math.IsNaN(y) {
			continue
		}
		j := min(max(int(s.Row(y)+0.5), 0), s.NY-1)
		for c := range rgb {
			rgb[c] += s.Light[c][i*s.NY+j] + s.Field[c].At(i, j)
		}
		n++
	}
	for c := range srgb {
		srgb[c] = sheet.ToSRGB(float64(rgb[c] / n))
	}
	return srgb
}

// mostApart is how far, in hue and chroma, a trace may be from the colour asked for. Where both are further than hasHue
// from grey, their hues may be mostTurned radians apart: yellow and orange traces, or orange and red ones, are 0.5 to
// 0.7 apart (TestWhichColourIsNear).
const mostApart, hasHue, mostTurned = 0.8, 0.15, 0.45

// Nearest gives the trace whose colour is nearest to rgb, nil if none is near. Brightness does not
// count when the wanted colour has a hue.
func Nearest(traces []*Trace, rgb [3]uint8) *Trace {
	var best *Trace
	least := mostApart
	wanted := chroma(rgb)
	for _, t := range traces {
		c := chroma(t.Colour)
		turned := min(cmplx.Abs(c), cmplx.Abs(wanted)) > hasHue && math.Abs(cmplx.Phase(c/wanted)) > mostTurned
		if d := cmplx.Abs(c - wanted); d < least && !turned {
			best, least = t, d
		}
	}
	return best
}

// chroma is a colour's place on the plane across the grey axis, where pure colours are 1 from grey, when it is divided
// by its own brightest channel. Its phase is the hue, red having 0.
func chroma(c [3]uint8) complex128 {
	top := float64(max(c[0], c[1], c[2], 1))
	r, g, b := float64(c[0])/top, float64(c[1])/top, float64(c[2])/top
	return complex(r-(g+b)/2, math.Sqrt(3)/2*(g-b))
}

// coloursOf lists the traces' colours for a message.
func coloursOf(traces []*Trace) string {
	var list []string
	for _, t := range traces {
		list = append(list, fmt.Sprintf("#%02x%02x%02x", t.Colour[0], t.Colour[1], t.Colour[2]))
	}
	return strings.Join(list, ", ")
}
