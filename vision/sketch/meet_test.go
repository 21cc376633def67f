package sketch

import (
	"context"
	"math"
	"slices"
	"testing"

	"quadrille/vision/geom"
)

// drawn is a stroke through places, in squares: y counts up.
func drawn(per float64, at ...geom.Box) *stroke {
	s := &stroke{half: 1}
	for i := 1; i < len(at); i++ {
		a := place{int(math.Round(at[i-1].X * per)), int(math.Round((20 - at[i-1].Y) * per))}
		b := place{int(math.Round(at[i].X * per)), int(math.Round((20 - at[i].Y) * per))}
		s.at = append(s.at, straightTo(a, b)...)
	}
	return s
}

// curve is a stroke along a function of x, in squares.
func curve(per, from, to float64, y func(x float64) float64) *stroke {
	var at []geom.Box
	for x := from; x <= to; x += 0.05 {
		at = append(at, geom.Box{X: x, Y: y(x)})
	}
	return drawn(per, at...)
}

// paperWith is paper with strokes drawn on it, three cells broad.
func paperWith(per int, of ...*stroke) *canvas {
	w, h := 0, 0
	for _, s := range of {
		for _, p := range s.at {
			w, h = max(w, p.x+3), max(h, p.y+3)
		}
	}
	c := emptyCanvas(w, h, per)
	for _, s := range of {
		for _, p := range s.at {
			c.fill(p.x-1, p.y-1, p.x+2, p.y+2)
		}
	}
	return c
}

// met tells whether two strokes were exchanged, and whether it is clear, where they met last.
func met(c *canvas, a, b *stroke) (exchanged, clear bool) {
	was := a.at[len(a.at)-1]
	c.untangle(a, b)
	return a.at[len(a.at)-1] != was, len(a.crossings) > 0 && a.crossings[len(a.crossings)-1].clear
}

// Two strokes that cross are told by what is smooth over a square to both sides: at a fair angle without a doubt,
// whatever they do beyond; at a small one the hand's own swings are as large, and nobody can tell. Nor can anybody
// where they ran together for long.
func TestAHandGoesOnAsItCame(t *testing.T) {
	const per = 60
	// Each of the two runs along the other one for long, in squares, and goes on beyond at half the angle up, and down;
	// from corner squares beyond more steeply.
	for name, x := range map[string]struct {
		angle, long, corner float64
		touch               bool // as they were followed they touch and go apart again
		exchanged, clear    bool
	}{
		"a fair angle":                     {angle: 0.4, corner: 9, clear: true},
		"followed the wrong way":           {angle: 0.4, corner: 9, touch: true, exchanged: true, clear: true},
		"a corner far beyond":              {angle: 0.4, corner: 1.6, clear: true},
		"a small angle":                    {angle: 0.3, corner: 9},
		"together for half a square":       {angle: 1, long: 0.5, corner: 9, touch: true, exchanged: true, clear: true},
		"together for a square and a half": {angle: 1, long: 1.5, corner: 9, touch: true},
	} {
		side := func(sign float64) *stroke {
			return curve(per, 1, 9, func(u float64) float64 {
				d := math.Max(math.Abs(u-5)-x.long/2, 0)
				y := x.angle/2*d + 1.5*math.Max(math.Abs(u-5)-x.corner, 0)
				swing := sign
				if u < 5 && !x.touch {
					y = -y
				}
				if u < 5 && x.touch {
					swing = -sign
				}
				if x.long > 0 {
					swing = 0
				}
				return 5 + sign*y + 0.02*math.Sin(3*u+swing)
			})
		}
		a, b := side(1), side(-1)
		if exchanged, clear := met(paperWith(per, a, b), a, b); exchanged != x.exchanged || clear != x.clear {
			t.Errorf("%s: exchanged %v, clear %v", name, exchanged, clear)
		}
	}
}

// Where corners are near, the directions tell over half a square, if they differ enough before and behind.
func TestCornersThatCrossAreTold(t *testing.T) {
	const per = 60
	for name, x := range map[string]struct {
		before, behind float64 // radians between the two
		corner         float64 // squares to the next corners
		clear          bool
	}{
		"a fair angle":                   {0.9, 0.9, 0.8, true},
		"a small angle":                  {0.6, 0.6, 0.8, false},
		"one angle smaller":              {0.55, 1.2, 0.8, true},
		"nearly one direction before":    {0.3, 1.3, 0.8, false},
		"nearer corners":                 {1.2, 1.2, 0.55, true},
		"corners beside where they meet": {1, 1, 0.2, false},
	} {
		side := func(sign float64) *stroke {
			slope := func(angle float64) float64 { return sign * math.Tan(angle/2) }
			u, v := slope(x.before), slope(x.behind)
			return drawn(per, geom.Box{X: 2, Y: 5 - 2*u*x.corner}, geom.Box{X: 5 - x.corner, Y: 5 - 2*u*x.corner},
				geom.Box{X: 5 - x.corner, Y: 5 - u*x.corner}, geom.Box{X: 5, Y: 5},
				geom.Box{X: 5 + x.corner, Y: 5 + v*x.corner},
				geom.Box{X: 5 + x.corner, Y: 5 + 2*v*x.corner}, geom.Box{X: 8, Y: 5 + 2*v*x.corner})
		}
		a, b := side(1), side(-1)
		if exchanged, clear := met(paperWith(per, a, b), a, b); exchanged && clear || clear != x.clear {
			t.Errorf("%s: exchanged %v, clear %v", name, exchanged, clear)
		}
	}
}

// Strokes are mixed up where they come nearer to each other than their breadths, a little blur counted in, and not next
// to their ends.
func TestWhereStrokesAreMixedUp(t *testing.T) {
	const per = 60
	for name, x := range map[string]struct {
		apart float64 // cells, where they are nearest
		from  float64 // squares before it they begin
		told  bool
	}{
		"two that cross":                    {0, 3, true},
		"two that touch":                    {5, 3, true},
		"two that pass":                     {8, 3, false},
		"two that cross after they began":   {0, 1.1, true},
		"two that begin where they crossed": {0, 0.6, false},
	} {
		c := emptyCanvas(1, 1, per)
		a := curve(per, 5-x.from, 9, func(u float64) float64 { return 5 + (u - 5) + x.apart/per })
		b := curve(per, 5-x.from, 9, func(u float64) float64 { return 5 - (u - 5) })
		if x.apart > 0 {
			a = curve(per, 5-x.from, 9, func(u float64) float64 { return 5 + math.Abs(u-5) + x.apart/per })
			b = curve(per, 5-x.from, 9, func(u float64) float64 { return 5 - math.Abs(u-5) })
		}
		if c.untangle(a, b); len(a.crossings) > 0 != x.told || len(b.crossings) != len(a.crossings) {
			t.Errorf("%s: %v", name, a.crossings)
		}
	}
}

// What runs over paper between two strokes does not meet: each goes on on its own ink, whatever its corners.
func TestWhatCrossesPaperDoesNotMeet(t *testing.T) {
	const per = 60
	for _, x := range []struct {
		gap  float64 // squares of paper between the two strokes
		told bool
	}{{0.25, true}, {0.2, true}, {0.1, false}} {
		// One comes down and goes on down; the other one comes level, and turns down at a corner, the gap to the left.
		down := drawn(per, geom.Box{X: 4, Y: 8}, geom.Box{X: 6, Y: 2})
		corner := drawn(per, geom.Box{X: 2, Y: 5.2}, geom.Box{X: 4.9 - x.gap, Y: 5.2}, geom.Box{X: 6 - x.gap, Y: 1.9})
		c := paperWith(per, down, corner)
		i := slices.IndexFunc(down.at, func(p place) bool { return p.y >= int(14.8*per) })
		j := slices.IndexFunc(corner.at, func(p place) bool { return p.x >= int((4.9-x.gap)*per) })
		a, b := &stroke{half: 1}, &stroke{half: 1}
		over := straightTo(corner.at[j], down.at[i])
		a.at = slices.Concat(down.at[:i], straightTo(down.at[i], corner.at[j+10]), corner.at[j+10:])
		b.at = slices.Concat(corner.at[:j], over, down.at[i:])
		if exchanged, clear := met(c, a, b); (exchanged && clear) != x.told {
			t.Errorf("%.2f squares of paper: exchanged %v, clear %v", x.gap, exchanged, clear)
		}
	}
}

// A stroke that goes off on another one's edge and comes back on it has no business there.
func TestAStrokeDoesNotComeBackOnAnothers(t *testing.T) {
	const per = 60
	for _, x := range []struct {
		high  float64 // squares
		stays bool
	}{{0.5, false}, {3, false}, {0.2, true}} {
		c := emptyCanvas(1, 1, per)
		a := drawn(per, geom.Box{X: 1, Y: 5}, geom.Box{X: 4, Y: 5}, geom.Box{X: 4, Y: 5 + x.high},
			geom.Box{X: 4.05, Y: 5 + x.high}, geom.Box{X: 4.05, Y: 5}, geom.Box{X: 8, Y: 5})
		b := drawn(per, geom.Box{X: 2, Y: 3}, geom.Box{X: 4, Y: 3}, geom.Box{X: 4, Y: 9}, geom.Box{X: 8, Y: 9})
		c.untangle(a, b)
		top := 20.0
		for _, s := range []*stroke{a, b} {
			if s.at[0].y == 15*per {
				top = 0
				for _, p := range s.at {
					top = math.Max(top, 15-float64(p.y)/per)
				}
			}
		}
		if stays := top > x.high/2; stays != x.stays {
			t.Errorf("%.1f squares off its level and back: %.2f stays", x.high, top)
		}
	}
}

// Two decays of one pen run into their axis, one of them soon: it may be that one which goes on along the axis. A short
// stroke that ends above the axis, and one whose axis the curve leaves, say nothing; nor do very short ones.
func TestAShortStrokeThatRunsIntoAnAxis(t *testing.T) {
	const per = 20
	for name, x := range map[string]struct {
		long, short float64 // squares
		above       float64 // squares above the axis the short one ends
		along       float64 // squares that the long one goes along the axis
		told        bool
	}{
		"a short one":            {long: 24, short: 4, above: 0.2, along: 8, told: true},
		"a very short one":       {long: 36, short: 3.3, above: 0.2, along: 8},
		"one above the axis":     {long: 24, short: 4, above: 0.5, along: 8},
		"a curve across":         {long: 24, short: 4, above: 0.2, along: 0.1},
		"a curve along for less": {long: 24, short: 4, above: 0.2, along: 0.9, told: true},
	} {
		w, h := int(x.long*per)+4*per, 13*per
		c := emptyCanvas(w, h, per)
		c.level = []line{{level: true, from: per, to: w - per, a: 8 * per, b: 8 * per, half: 1, axis: true}}
		low := 20 - 8 + 0.15
		draw := func(at ...geom.Box) {
			for _, p := range drawn(per, at...).at {
				c.fill(p.x-1, p.y-1, p.x+2, p.y+2)
			}
		}
		foot := x.long / 2
		draw(geom.Box{X: 2, Y: 19}, geom.Box{X: foot - 3, Y: 14.5}, geom.Box{X: foot, Y: low},
			geom.Box{X: foot + x.along, Y: low}, geom.Box{X: foot + x.along + 2, Y: low - 1.6},
			geom.Box{X: 2 + x.long, Y: low - 2})
		draw(geom.Box{X: 2, Y: 15}, geom.Box{X: 2 + x.short, Y: 12 + x.above})
		got, err := c.strokes(context.Background())
		if err != nil || len(got) != 1 {
			t.Fatalf("%s: %d curves, %v", name, len(got), err)
		}
		if told := len(got[0].crossings) > 0; told != x.told {
			t.Errorf("%s: %v", name, got[0].crossings)
		}
	}
}

// Two strokes that cross may each have been followed round a corner, cut short, so that they keep off where they cross:
// the ink between them tells, rough as it may be.
func TestCornersAreCutWhereStrokesCross(t *testing.T) {
	const per, mid = 60, 5 * 60
	for name, x := range map[string]struct {
		apart float64 // cells, along the arms of the crossing
		ink   bool
		gap   int // cells of the crossing's middle that are bare
		told  bool
	}{
		"cut at a crossing":           {22, true, 0, true},
		"in rough pencil":             {17, true, 4, true},
		"with paper in between":       {17, true, 13, false},
		"two corners":                 {17, false, 0, false},
		"two corners far apart":       {40, true, 0, false},
		"corners that are nearly one": {5, false, 0, true},
	} {
		c := emptyCanvas(16*per, 20*per, per)
		if x.ink {
			c.fill(2*per, 2*mid-2, 8*per, 2*mid+3)
			c.fill(mid-2, 7*per, mid+3, 13*per)
		}
		for y := range x.gap {
			for u := range x.gap {
				c.ink.Pix[(2*mid-x.gap/2+y)*c.w+mid-x.gap/2+u] = 0
			}
		}
		cut := x.apart / 2 / per
		a := drawn(per, geom.Box{X: 2, Y: 10}, geom.Box{X: 5 - cut, Y: 10}, geom.Box{X: 5, Y: 10 + cut},
			geom.Box{X: 5, Y: 13})
		b := drawn(per, geom.Box{X: 5, Y: 7}, geom.Box{X: 5, Y: 10 - cut}, geom.Box{X: 5 + cut, Y: 10},
			geom.Box{X: 8, Y: 10})
		exchanged, clear := met(c, a, b)
		if exchanged != x.told || clear != x.told {
			t.Errorf("%s: exchanged %v, clear %v", name, exchanged, clear)
		}
	}
}
