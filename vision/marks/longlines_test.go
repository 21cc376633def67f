package marks

import (
	"image"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// ridge draws a ridge x = of(y) of a height on p, from y0 to y1.
func ridge(p *raster.Plane, height, y0, y1 float64, of func(y float64) float64) {
	for y := int(y0); y < int(y1); y++ {
		for x := max(0, int(of(float64(y)))-6); x < min(p.W, int(of(float64(y)))+7); x++ {
			d := (float64(x) - of(float64(y))) / 1.5
			p.Row(y)[x] += float32(height * math.Exp(-d*d/2))
		}
	}
}

// A line of a frame stands within 31° of upright, is a tenth of the picture long, has a ridge of nearly the rms or
// more, and bends by no more than a lens does.
func TestWhichLinesAreLong(t *testing.T) {
	straight := func(slope float64) func(y float64) float64 {
		return func(y float64) float64 { return 400 + slope*(y-300) }
	}
	for _, c := range []struct {
		name   string
		height float64
		long   float64 // of the picture
		of     func(y float64) float64
		want   bool
	}{
		{"upright", 1.1, 0.8, straight(0), true},
		{"leaning by 0.5", 1.1, 0.8, straight(0.5), true},
		{"leaning by 0.75", 1.1, 0.8, straight(0.75), false},
		{"short", 1.1, 0.15, straight(0), true},
		{"shorter", 1.1, 0.07, straight(0), false},
		{"faint", 0.97, 0.8, straight(0), true},
		{"fainter", 0.75, 0.8, straight(0), false},
		{"bent by 18 samples", 1.1, 0.8, func(y float64) float64 { return 400 + 18*(y-300)*(y-300)/(240*240) }, true},
		{"bent by six samples", 1.1, 0.8, func(y float64) float64 { return 400 + 6*(y-300)*(y-300)/(240*240) }, true},
	} {
		p := raster.New(800, 600)
		ridge(p, c.height, 300-300*c.long, 300+300*c.long, c.of)
		ls := longLines(p, 1)
		got := len(ls) > 0 && ls[0].hi-ls[0].lo > 0.9*600*c.long && math.Abs(ls[0].at(300)-c.of(300)) < 1
		if got != c.want {
			t.Errorf("%s: found is %v, %d lines", c.name, got, len(ls))
		}
		if len(longLines(p, -1)) > 0 {
			t.Errorf("%s: a dark line is found", c.name)
		}
	}
}

// Where a line is brighter than any, or dark, its evidence is limited.
func TestTheSupportOfALineIsLimited(t *testing.T) {
	p := raster.New(800, 600)
	ridge(p, 2, 0, 400, func(float64) float64 { return 400 })
	ridge(p, -2, 400, 600, func(float64) float64 { return 400 })
	ls := longLines(p, 1)
	if len(ls) == 0 {
		t.Fatal("no line")
	}
	if bright, whole := ls[0].support(20, 380), ls[0].support(20, 580); math.Abs(bright-1.2) > 0.05 || math.Abs(whole-(1.2*380-0.5*180)/560) > 0.06 {
		t.Errorf("the support is %.2f where it is bright, %.2f with what is dark", bright, whole)
	}
}

// Of a grille of fifty bars forty are taken.
func TestAGrilleHasNoMoreThanFortyLines(t *testing.T) {
	p := raster.New(1000, 400)
	for k := range 50 {
		ridge(p, 1.2, 0, 400, func(float64) float64 { return 10 + 19.5*float64(k) })
	}
	if n := len(longLines(p, 1)); n != 40 {
		t.Errorf("%d lines", n)
	}
}

// sideOf is a straight line at x of a picture h high with a strength by the place along it.
func sideOf(at, h float64, strength func(y float64) float64) longLine {
	l := longLine{c0: at, hi: h, rows: h / 4, sum: []float64{0}}
	for y := 2.0; y < h; y += 4 {
		l.sum = append(l.sum, l.sum[len(l.sum)-1]+strength(y))
	}
	return l
}

// Four lines make a rectangle that is large enough and not too flat, whose sides are drawn, one of them perhaps in
// part, and end at its corners.
func TestWhichLinesMakeARectangle(t *testing.T) {
	const w, h = 800, 800
	for _, c := range []struct {
		name         string
		width, hight float64
		left, top    float64 // strengths; those of the others are 1
		over         float64 // how far the sides go on beyond the corners, of a side
		want         bool
	}{
		{"a rectangle", 400, 400, 1, 1, 0, true},
		{"a small one", 160, 160, 1, 1, 0, true},
		{"a smaller one", 90, 90, 1, 1, 0, false},
		{"a flat one", 460, 200, 1, 1, 0, true},
		{"a flatter one", 600, 190, 1, 1, 0, false},
		{"an upright one", 190, 600, 1, 1, 0, false},
		{"a covered side", 400, 400, 0.3, 1, 0, true},
		{"a missing side", 400, 400, 0.13, 1, 0, false},
		{"two faint sides", 400, 400, 0.6, 0.6, 0, true},
		{"two covered sides", 400, 400, 0.4, 0.4, 0, false},
		{"sides that go on a little", 400, 400, 1, 1, 0.012, true},
		{"sides that go on", 400, 400, 1, 1, 0.05, false},
	} {
		side := func(at, from, to, strength float64) longLine {
			g := c.over * (to - from)
			return sideOf(at, h, func(y float64) float64 {
				if y < from-g || y > to+g {
					return 0
				}
				return strength
			})
		}
		l, r, top, bottom := 400-c.width/2, 400+c.width/2, 400-c.hight/2, 400+c.hight/2
		us := []longLine{side(l, top, bottom, c.left), side(r, top, bottom, 1)}
		ls := []longLine{side(top, l, r, c.top), side(bottom, l, r, 1)}
		if got := len(join(&scene.Ridges{Scale: 1, W: w, H: h}, us, ls, 1)) > 0; got != c.want {
			t.Errorf("%s: made is %v", c.name, got)
		}
	}
}

// Two dozen rectangles are tried, and three of those that are much alike.
func TestRectanglesThatAreTriedDiffer(t *testing.T) {
	var apart, alike, near []quad
	at := func(x, y float64, i int) quad {
		c := [4]geom.Pixel{{X: x, Y: y}, {X: x + 600, Y: y}, {X: x + 600, Y: y + 800}, {X: x, Y: y + 800}} // a diagonal of 1000
		return quad{c, 1, 9 - float64(i)/100, [4]int{i, i, i, i}}
	}
	for i := range 60 {
		apart = append(apart, at(100*float64(i%8), 100*float64(i/8), i))
	}
	for i := range 8 {
		alike = append(alike, at(20*float64(i%2), 10*float64(i/2)/3, i))
		near = append(near, at(42*float64(i), 0, i))
	}
	for name, c := range map[string]struct {
		from []quad
		want int
	}{"sixty apart": {apart, 24}, "eight alike": {alike, 3}, "eight next to each other": {near, 8}} {
		if n := len(diverse(c.from, 2)); n != c.want {
			t.Errorf("%s: %d are tried, want %d", name, n, c.want)
		}
	}
}

// A rectangle's marks are looked for on a close-up where a tenth of its height is under 64 samples of the fine picture.
func TestSmallRectanglesAreSeenOnACloseUp(t *testing.T) {
	s := scene.Of(photo.New(image.NewGray(image.Rect(0, 0, 2600, 1950))))
	fine := s.Picture(scene.Photographed, scene.Fine) // of half the photo's size
	for height, close := range map[float64]bool{1600: false, 1000: true} {
		q := quad{corners: [4]geom.Pixel{{X: 300, Y: 100}, {X: 2000, Y: 100}, {X: 2000, Y: 100 + height}, {X: 300, Y: 100 + height}}}
		if got := closerTo(s, scene.Photographed, []quad{q}) != fine; got != close {
			t.Errorf("a rectangle %g high: on a close-up is %v", height, got)
		}
	}
}

// Two lines less than two samples apart are one.
func TestLinesCloseToEachOtherAreOne(t *testing.T) {
	l := longLine{c0: 100, hi: 500}
	for apart, one := range map[float64]bool{0: true, 1.5: true, 3: false} {
		if got := l.covers(&longLine{c0: 100 + apart, hi: 480}); got != one {
			t.Errorf("%g samples apart: one line is %v", apart, got)
		}
	}
}
