package words

import "math"

// greyBelow is the chroma, as a share of the light of full white, from which on a colour has a hue for the eye: what
// displays call white and a camera makes a little blue or yellow has 0.02 to 0.1 (TestColoursHaveNames).
const greyBelow = 0.11

// hues are the names of colours by where each ends on the circle of hues, in degrees from red over yellow and green:
// those of everyday speech (common practice, no source).
var hues = []struct {
	to   float64
	name string
}{{15, "red"}, {45, "orange"}, {70, "yellow"}, {90, "yellow-green"}, {160, "green"}, {200, "blue-green"}, {255, "blue"},
	{290, "violet"}, {335, "purple"}, {360, "red"}}

// Hue gives the place of an sRGB colour on the circle of hues, in radians from red over green, and its chroma, 0 to 1.
// The hue of a colour without one (ok is false) means nothing.
func Hue(rgb [3]uint8) (angle, chroma float64, ok bool) {
	r, g, b := float64(rgb[0])/255, float64(rgb[1])/255, float64(rgb[2])/255
	x, y := r-(g+b)/2, math.Sqrt(3)/2*(g-b)
	chroma = math.Hypot(x, y)
	return math.Atan2(y, x), chroma, chroma > greyBelow
}

// Colour names an sRGB colour in a word that a person would use of a trace.
func Colour(rgb [3]uint8) string {
	angle, _, ok := Hue(rgb)
	if !ok {
		switch light := max(rgb[0], rgb[1], rgb[2]); {
		case light > 0xc0:
			return "white"
		case light > 0x50:
			return "grey"
		}
		return "black"
	}
	degrees := math.Mod(angle*180/math.Pi+360, 360)
	for _, h := range hues {
		if degrees < h.to {
			return h.name
		}
	}
	return hues[0].name
}
