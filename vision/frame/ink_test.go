package frame

import (
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/lattice"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// The steep edges of a sine of many cycles are even lines: with the level lines of the graticule they make a lattice.
// Steps are of red, green and blue.
func TestASineIsNoFamilyOfLines(t *testing.T) {
	for _, c := range []struct {
		name           string
		upright, level [3]float64
		one            bool
	}{
		{"grey lines", [3]float64{0.1, 0.1, 0.1}, [3]float64{0.06, 0.06, 0.06}, true},
		{"tinted lines", [3]float64{0.08, 0.11, 0.17}, [3]float64{0.04, 0.055, 0.085}, true},
		{"magenta edges across grey lines", [3]float64{0.95, 0.35, 0.75}, [3]float64{0.1, 0.1, 0.1}, false},
		{"yellow edges across grey lines", [3]float64{0.72, 0.95, 0.1}, [3]float64{0.1, 0.1, 0.1}, false},
		{"white edges", [3]float64{0.9, 0.9, 0.9}, [3]float64{0.1, 0.1, 0.1}, true},
	} {
		l := scene.Of(photo.New(twoFamilies(c.upright, c.level))).Colours()
		h := lattice.Map{inkBox, 0, inkSide / 2, 0, -inkBox, inkSide / 2, 0, 0, 1}
		f := Frame{Extent: lattice.Extent{Left: -4, Right: 4, Bottom: -4, Top: 4}}
		if one := oneInk(l, &h, &f, 1); one != c.one {
			t.Errorf("%s: one ink is %v", c.name, one)
		}
	}
}

// inkSide and inkBox are the sides in px of the picture of two families and of a box on it.
const inkSide, inkBox = 800, 80

// twoFamilies draws upright and level lines whose linear light is so much above the field's.
func twoFamilies(upright, level [3]float64) image.Image {
	code := func(v float64) uint8 { // IEC 61966-2-1
		if v <= 0.0031308 {
			return uint8(255*12.92*v + 0.5)
		}
		return uint8(255*(1.055*math.Pow(v, 1/2.4)-0.055) + 0.5)
	}
	step := func(at int, height float64) float64 {
		d := (math.Mod(float64(at)+0.5+inkBox/2, inkBox) - inkBox/2) / 2
		return height * math.Exp(-d*d/2)
	}
	img := image.NewRGBA(image.Rect(0, 0, inkSide, inkSide))
	for y := range inkSide {
		for x := range inkSide {
			var c [3]uint8
			for k := range c {
				c[k] = code(0.01 + max(step(x, upright[k]), step(y, level[k])))
			}
			img.SetRGBA(x, y, color.RGBA{c[0], c[1], c[2], 255})
		}
	}
	return img
}
