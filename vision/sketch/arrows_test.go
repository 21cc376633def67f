package sketch

import (
	"math"
	"testing"
)

// inkIn counts the cells of ink from (x0, y0) up to but without (x1, y1).
func (c *canvas) inkIn(x0, y0, x1, y1 int) (n int) {
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			if c.ink.Pix[y*c.w+x] > isInk {
				n++
			}
		}
	}
	return n
}

// A straight stroke between two marks is taken off, however close to the curve; what has its marks on one side, goes on
// beyond them, goes along all that is drawn, is short or slants, stays. So does what crosses it.
func TestADimensionLineIsNoPartOfACurve(t *testing.T) {
	const per, row, from, long = 60, 200, 200, 200
	level := func(c *canvas, to int) { c.fill(from, row-2, to, row+3) }
	tick := func(c *canvas, x, up, down int) { c.fill(x-2, row-2-up, x+3, row+3+down) }
	between := func(c *canvas, to, up, down int) { // two ticks
		level(c, to)
		tick(c, from, up, down)
		tick(c, to, up, down)
	}
	for name, x := range map[string]struct {
		draw  func(c *canvas)
		taken bool
	}{
		"between ticks":       {func(c *canvas) { between(c, from+long, 16, 16) }, true},
		"between small ticks": {func(c *canvas) { between(c, from+long, 6, 6) }, true},
		"between tall ones":   {func(c *canvas) { between(c, from+long, 24, 24) }, true},
		"between arrowheads": {func(c *canvas) {
			level(c, from+long)
			for k := range 18 {
				for _, s := range [2]int{-1, 1} {
					c.fill(from+k, row+s*k*3/5-2, from+k+3, row+s*k*3/5+3)
					c.fill(from+long-k-3, row+s*k*3/5-2, from+long-k, row+s*k*3/5+3)
				}
			}
		}, true},
		"close above a level": {func(c *canvas) {
			between(c, from+long, 16, 16)
			c.fill(from-100, row+13, from+long+100, row+18)
		}, true},
		"by an unsteady hand": {func(c *canvas) {
			for k := range long {
				y := row + int(math.Round(3*math.Cos(float64(k)/12)))
				c.fill(from+k, y-2, from+k+1, y+3)
			}
			tick(c, from, 20, 20)
			tick(c, from+long, 20, 20)
		}, true},
		"of one square":              {func(c *canvas) { between(c, from+64, 16, 16) }, true},
		"the level of a square wave": {func(c *canvas) { between(c, from+long, 0, 150) }, false},
		"between edges up and down":  {func(c *canvas) { between(c, from+long, 150, 150) }, false},
		"a stair": {func(c *canvas) {
			level(c, from+long)
			tick(c, from, 16, 0)
			tick(c, from+long, 0, 16)
		}, false},
		"specks": {func(c *canvas) { between(c, from+long, 3, 3) }, false},
		"what goes on behind a gap": {func(c *canvas) {
			between(c, from+long, 16, 16)
			c.fill(from+long+18, row-2, from+long+100, row+3)
		}, false},
		"beside a word": {func(c *canvas) {
			between(c, from+long, 16, 16)
			c.fill(from+long+25, row-20, from+long+30, row+20)
		}, true},
		"an arc": {func(c *canvas) {
			for k := range long {
				y := row - 9 + 9*(2*k-long)*(2*k-long)/(long*long)
				c.fill(from+k, y-2, from+k+1, y+3)
			}
			tick(c, from, 20, 16)
			tick(c, from+long, 20, 16)
		}, false},
		"what goes on": {func(c *canvas) {
			level(c, from+long+40)
			tick(c, from, 16, 16)
			tick(c, from+long, 16, 16)
		}, false},
		"a short bar": {func(c *canvas) { between(c, from+44, 16, 16) }, false},
		"all that is drawn": {func(c *canvas) {
			c.fill(30, row-2, 560, row+3)
			tick(c, 30, 16, 16)
			tick(c, 560, 16, 16)
		}, false},
		"a slanting stroke": {func(c *canvas) {
			for k := range long {
				c.fill(from+k, row-k/8-2, from+k+1, row-k/8+3)
			}
			tick(c, from, 16, 16)
			c.fill(from+long-2, row-43, from+long+3, row-7)
		}, false},
	} {
		c := emptyCanvas(600, 400, per)
		c.fill(20, 390, 580, 395) // more that is drawn, far off
		c.fill(20, 380, 25, 395)
		x.draw(c)
		before := c.inkIn(from+60, row-20, from+140, row+8)
		c.takeDimensions()
		after := c.inkIn(from+60, row-20, from+140, row+8)
		if name == "of one square" || name == "a short bar" {
			before, after = 5*20, c.inkIn(from+12, row-2, from+32, row+3)
		}
		if taken := after < before/10; taken != x.taken {
			t.Errorf("%s: %d of %d cells are left", name, after, before)
		}
		if name == "close above a level" && c.inkIn(from-100, row+13, from+long+100, row+18) < 5*(long+200) {
			t.Errorf("the level below lost ink: %d", c.inkIn(from-100, row+13, from+long+100, row+18))
		}
	}
}

// A dimension line that stands upright is one as well, and counts as nothing that is drawn besides; the curve that
// crosses one keeps its ink.
func TestADimensionLineMayStandUprightOrBeCrossed(t *testing.T) {
	const per = 60
	c := emptyCanvas(600, 600, per)
	c.fill(198, 100, 203, 300)
	c.fill(184, 98, 217, 103)
	c.fill(184, 298, 217, 303)
	c.fill(100, 198, 500, 203) // crosses it
	c.fill(100, 20, 105, 580)  // more that is drawn
	for i, v := range c.ink.Pix {
		c.drawing[i] = v > 0
	}
	c.takeDimensions()
	if n := c.inkIn(198, 110, 203, 190); n > 0 {
		t.Errorf("%d cells of it are left", n)
	}
	for y := 110; y < 190; y++ {
		if c.drawing[y*c.w+200] {
			t.Fatalf("row %d of it counts as drawn", y)
		}
	}
	if n := c.inkIn(100, 198, 500, 203); n < 5*400 {
		t.Errorf("of the curve %d of %d cells are left", n, 5*400)
	}
}

// An axis's arrow lies there by itself; a curve that passes its end goes on.
func TestAnAxissArrowIsNoPartOfACurve(t *testing.T) {
	const per, row = 60, 200
	for _, level := range [2]bool{true, false} {
		c := emptyCanvas(400, 400, per)
		l := line{level: level, axis: true, from: 20, to: 340, a: row, b: row, half: 2}
		if !level {
			l.from, l.to = 60, 380
		}
		fill := func(along, across, long, broad int) {
			if level {
				c.fill(along, across, along+long, across+broad)
			} else {
				c.fill(across, 399-along-long, across+broad, 399-along)
			}
		}
		for k := range 22 { // two barbs, beside what was taken off as the axis
			fill(338-k, row-5-k/2, 2, 3)
			fill(338-k, row+4+k/2, 2, 3)
		}
		fill(150, row-40, 240, 4) // a curve above, which goes on
		fill(250, row+8, 20, 20)  // a letter that is none of the arrow
		c.takeArrow(l)
		n, curve, letter := 0, 0, 0
		if level {
			n, curve, letter = c.inkIn(300, row-18, 345, row+20), c.inkIn(150, row-40, 390, row-36), c.inkIn(250, row+8, 270, row+28)
		} else {
			n, curve, letter = c.inkIn(row-18, 55, row+20, 100), c.inkIn(row-40, 0, row-36, 300), c.inkIn(row+8, 120, row+28, 180)
		}
		if n > 0 || curve < 900 || letter < 380 {
			t.Errorf("level %v: of the arrow %d cells are left, of the curve %d, of a letter %d", level, n, curve, letter)
		}
	}
}
