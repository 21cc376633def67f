package sketch

import (
	"math"
	"slices"
	"testing"
)

// Two lines that meet are no axes if a stroke goes on round a corner from the upper end of the upright one: one that is
// long, begins at that end, has no holes and stands alone. A tick, an arrow, letters and a curve that begins below are
// none.
func TestWhatGoesOnRoundACornerIsNoAxis(t *testing.T) {
	const per = 40
	upright := line{from: 60, to: 340, a: 300, b: 300, half: 2}
	level := line{level: true, from: 240, to: 560, a: 340, b: 340, half: 2}
	for name, x := range map[string]struct {
		long, below float64 // squares
		holes       int     // cells of twelve
		beside      float64 // share of it beside which other ink is
		turns       bool
	}{
		"a level":                     {long: 2, turns: true},
		"an arrow with a letter":      {long: 1},
		"a level from just below":     {long: 2, below: 0.15, turns: true},
		"a curve that begins below":   {long: 2, below: 0.3},
		"letters in a row":            {long: 2, holes: 3},
		"letters over each other":     {long: 2, beside: 0.45},
		"a level with a figure on it": {long: 2, beside: 0.2, turns: true},
	} {
		c := emptyCanvas(600, 400, per)
		c.fill(298, 60, 303, 340)
		c.fill(240, 338, 560, 343)
		y := 60 + int(x.below*per)
		for k := range int(x.long * per) {
			if k%12 >= x.holes {
				c.fill(297-k, y-2, 298-k, y+3)
			}
			if float64(k) < x.beside*x.long*per {
				c.fill(297-k, y+6, 298-k, y+16)
			}
		}
		if c.turns(&level, &upright) != x.turns {
			t.Errorf("%s: %v", name, !x.turns)
		}
	}
}

// An end that goes along an axis up to its arrow is the axis's, whatever the curve does before; a tail ends earlier.
func TestNoEndGoesUpToAnArrow(t *testing.T) {
	const per, row = 60, 300
	for _, x := range []struct {
		short float64 // squares before the axis's end
		cut   bool
	}{{0, true}, {0.4, true}, {0.8, false}} {
		c := emptyCanvas(1000, 400, per)
		c.level = []line{{level: true, axis: true, from: 20, to: 900, a: row, b: row, half: 2}}
		end := 900 - int(x.short*per)
		// A square wave whose low level lies on the axis.
		p := &way{at: slices.Concat(straightTo(place{50, 150}, place{200, 150}), straightTo(place{200, 150}, place{200, row}),
			straightTo(place{200, row}, place{400, row}), straightTo(place{400, row}, place{400, 150}),
			straightTo(place{400, 150}, place{600, 150}), straightTo(place{600, 150}, place{600, row}),
			straightTo(place{600, row}, place{end, row}))}
		for i := range 880 {
			c.axis[(20+i)*c.h+row] = true
		}
		if _, b := c.offAxis(p, 0, len(p.at)); b < len(p.at) != x.cut {
			t.Errorf("%.1f squares before the axis's end: to %d of %d", x.short, b, len(p.at))
		}
	}
}

// An upright stroke that ends at both ends is an axis, with an arrow or without; one that a curve goes on from, or that
// goes on itself, is a flank.
func TestAnUprightStrokeThatEndsIsAnAxis(t *testing.T) {
	const per, mid = 40, 300
	for name, x := range map[string]struct {
		draw func(c *canvas)
		axis bool
	}{
		"bare": {func(c *canvas) {}, true},
		"an arrow": {func(c *canvas) {
			c.fill(mid-14, 98, mid+15, 108)
			c.fill(mid-14, 98, mid-8, 120)
			c.fill(mid+9, 98, mid+15, 120)
		}, true},
		"a curve that begins below": {func(c *canvas) { c.fill(mid, 130, mid+100, 134) }, true},
		"a level to the right":      {func(c *canvas) { c.fill(mid, 100, mid+100, 104) }, false},
		"a level just below":        {func(c *canvas) { c.fill(mid, 108, mid+100, 112) }, false},
		"a crest": {func(c *canvas) {
			for k := range 60 {
				c.fill(mid+k, 100-k/3, mid+k+1, 106-k/3)
			}
		}, false},
		"a tip that leans": {func(c *canvas) {
			for k := range 40 {
				c.fill(mid+k/4-2, 100-k, mid+k/4+3, 101-k)
			}
		}, false},
		"a peak's flank": {func(c *canvas) {
			c.fill(mid, 98, mid+20, 103)
			c.fill(mid+16, 98, mid+21, 301)
		}, false},
		"flanks as high":      {func(c *canvas) { c.fill(400, 100, 404, 301) }, false},
		"one a little lower":  {func(c *canvas) { c.fill(400, 112, 404, 289) }, true},
		"one nearly as high":  {func(c *canvas) { c.fill(400, 106, 404, 295) }, false},
		"nothing but letters": {func(c *canvas) { c.clear(310, 140, 510, 260); c.fill(400, 150, 404, 180) }, false},
		"a level at its foot": {func(c *canvas) { c.fill(mid-80, 297, mid, 301) }, false},
	} {
		c := emptyCanvas(600, 400, per)
		c.fill(mid-2, 100, mid+3, 301)
		c.fill(320, 150, 324, 250) // a curve
		c.fill(320, 246, 500, 250)
		x.draw(c)
		l := line{from: 100, to: 300, a: mid, b: mid, half: 2}
		if got := c.standsAlone(l); got != x.axis {
			t.Errorf("%s: %v", name, got)
		}
		upright := []line{l}
		if c.axes(nil, upright); upright[0].axis != x.axis {
			t.Errorf("%s: an axis: %v", name, upright[0].axis)
		}
	}
}

// clear takes the ink off the cells from (x0, y0) up to but without (x1, y1).
func (c *canvas) clear(x0, y0, x1, y1 int) {
	for y := y0; y < y1; y++ {
		clear(c.ink.Pix[y*c.w+x0 : y*c.w+x1])
	}
}

// The low level of a square wave runs beside the axis; two graphs may stand over each other.
func TestALineBesideALongerOne(t *testing.T) {
	e := &evidence{sheet: &sheet{per: 40}}
	long := line{level: true, from: 0, to: 500, a: 200, b: 200}
	for _, x := range []struct {
		off    float64 // squares
		beside bool
	}{{0.3, true}, {0.6, false}} {
		y := 200 + x.off*40
		if got := e.runsBeside(line{level: true, from: 100, to: 300, a: y, b: y}, []line{long}); got != x.beside {
			t.Errorf("%.1f squares beside: %v", x.off, got)
		}
	}
}

// An end that turns onto an axis, and stays on it for a while, is the axis's; one that comes to it slowly is the
// curve's.
func TestNoEndTurnsOntoAnAxis(t *testing.T) {
	const per = 60
	for _, x := range []struct {
		slope, long float64 // squares a square, squares
		cut         bool
	}{{0.55, 0.6, true}, {0.55, 0.3, false}, {0.25, 0.6, false}} {
		c := emptyCanvas(600, 400, per)
		p := &way{}
		for i := range 300 {
			p.at = append(p.at, place{20 + i, 300 - int(math.Round(x.slope*float64(299-i)))})
		}
		for i := range int(x.long * per) {
			p.at = append(p.at, place{320 + i, 300})
			c.axis[(320+i)*c.h+300] = true
		}
		if _, b := c.offAxis(p, 0, len(p.at)); b < len(p.at) != x.cut {
			t.Errorf("%.2f onto an axis, %.1f squares along it: to %d of %d", x.slope, x.long, b, len(p.at))
		}
	}
}
