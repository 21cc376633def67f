package frame

import (
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/geom"
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

// The colour of a line is that of all its stripes together, over the field beside it; lines that are too faint for
// their colour to be seen are of one ink.
func TestTheInkOfALineIsThatOfItsStripes(t *testing.T) {
	stripe := func(at, height float64) func(d float64) float64 { // d in boxes from the line
		return func(d float64) float64 { return height * math.Exp(-(d-at)*(d-at)/(2*0.02*0.02)) }
	}
	grey := [3]func(d float64) float64{stripe(0, 0.1), stripe(0, 0.1), stripe(0, 0.1)}
	for _, c := range []struct {
		name    string
		upright [3]func(d float64) float64
		one     bool
	}{
		{"stripes of three colours", [3]func(d float64) float64{stripe(-0.045, 0.1), stripe(0, 0.1), stripe(0.045, 0.1)}, true},
		{"grey, a coloured line beside it", [3]func(d float64) float64{
			func(d float64) float64 { return stripe(0, 0.1)(d) + stripe(0.12, 0.05)(math.Abs(d)) }, stripe(0, 0.1), stripe(0, 0.1)}, true},
		{"grey, a coloured line farther off", [3]func(d float64) float64{
			func(d float64) float64 { return stripe(0, 0.1)(d) + stripe(0.39, 0.05)(math.Abs(d)) }, stripe(0, 0.1), stripe(0, 0.1)}, true},
		{"red", [3]func(d float64) float64{stripe(0, 0.1), stripe(0, 0.01), stripe(0, 0.01)}, false},
		{"faint red", [3]func(d float64) float64{stripe(0, 0.01), stripe(0, 0), stripe(0, 0)}, false},
		{"hardly red", [3]func(d float64) float64{stripe(0, 0.004), stripe(0, 0), stripe(0, 0)}, true},
	} {
		l := scene.Of(photo.New(inked(c.upright, grey))).Colours()
		h := lattice.Map{inkBox, 0, inkSide / 2, 0, -inkBox, inkSide / 2, 0, 0, 1}
		f := Frame{Extent: lattice.Extent{Left: -4, Right: 4, Bottom: -4, Top: 4}}
		if one := oneInk(l, &h, &f, 1); one != c.one {
			t.Errorf("%s: one ink is %v", c.name, one)
		}
	}
}

// Lines whose families differ in colour are worth six tenths of those that do not.
func TestTwoInksAreWorthLess(t *testing.T) {
	s := scene.Of(photo.New(twoFamilies([3]float64{0.95, 0.35, 0.75}, [3]float64{0.1, 0.1, 0.1})))
	p := s.Picture(scene.Photographed, scene.Fine)
	g := &lattice.Grown{Map: lattice.Map{inkBox, 0, inkSide / 2, 0, -inkBox, inkSide / 2, 0, 0, 1}, Sign: 1,
		Part: lattice.Extent{Left: -4, Right: 4, Bottom: -4, Top: 4}, From: lattice.SourceOf(s, scene.Photographed)}
	two, ok := CandidateOf(g, p, s.Colours(), geom.Frame{Cols: 8, Rows: 8})
	one, fine := CandidateOf(g, p, nil, geom.Frame{Cols: 8, Rows: 8})
	if !ok || !fine || !two.TwoInks || one.TwoInks {
		t.Fatal("no candidate, or its inks are not told")
	}
	if r := two.Quality / one.Quality; r < 0.5 || r > 0.7 {
		t.Errorf("%.2f of the quality", r)
	}
}

// inkSide and inkBox are the sides in px of the picture of two families and of a box on it.
const inkSide, inkBox = 800, 80

// twoFamilies draws upright and level lines whose linear light is so much above the field's.
func twoFamilies(upright, level [3]float64) image.Image {
	stroke := func(heights [3]float64) (of [3]func(d float64) float64) {
		for c, height := range heights {
			of[c] = func(d float64) float64 { return height * math.Exp(-d*d/(2*0.025*0.025)) }
		}
		return of
	}
	return inked(stroke(upright), stroke(level))
}

// inked draws upright and level lines by the light of each colour d boxes beside them.
func inked(upright, level [3]func(d float64) float64) image.Image {
	code := func(v float64) uint8 { // IEC 61966-2-1
		if v <= 0.0031308 {
			return uint8(255*12.92*v + 0.5)
		}
		return uint8(255*(1.055*math.Pow(v, 1/2.4)-0.055) + 0.5)
	}
	beside := func(at int) float64 { return (math.Mod(float64(at)+0.5+inkBox/2, inkBox) - inkBox/2) / inkBox }
	// What is lighter has the higher code, so that each line and each family needs it once.
	var across, up [inkSide][3]uint8
	for i := range inkSide {
		for c := range 3 {
			across[i][c], up[i][c] = code(0.01+upright[c](beside(i))), code(0.01+level[c](beside(i)))
		}
	}
	img := image.NewRGBA(image.Rect(0, 0, inkSide, inkSide))
	for y := range inkSide {
		for x := range inkSide {
			a, b := across[x], up[y]
			img.SetRGBA(x, y, color.RGBA{max(a[0], b[0]), max(a[1], b[1]), max(a[2], b[2]), 255})
		}
	}
	return img
}
