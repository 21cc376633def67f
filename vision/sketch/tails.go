package sketch

// A curve that ends at an axis may go on along it.
//
// A decay ends on its axis, and what is drawn on an axis hides under it where both are of one pen. Where the curve is
// not followed farther than to the axis, and ink that is no tick and no letter still lies along the axis beyond, nobody
// knows how far the curve was drawn.

import "math"

const (
	// tailNear is how near to an axis a curve ends that may go on along it, and how far from it what goes on lies, in
	// squares beyond the strokes' breadths (TestACurveMayGoOnAlongItsAxis).
	tailNear = 0.25
	// tailLeast is how long in squares ink lies along an axis that is no tick and no letter
	// (TestACurveMayGoOnAlongItsAxis).
	tailLeast = 1.0
	// arrowLong is how long in squares an axis's arrow is, which counts for nothing (TestACurveMayGoOnAlongItsAxis).
	arrowLong = 0.6
	// intoNear is how near to an axis a short stroke ends and a curve runs, and intoLeast over how much, in squares, for
	// the two to be mixed up there (TestAShortStrokeThatRunsIntoAnAxis).
	intoNear, intoLeast = 0.3, 1.0
)

// hidesInAxis notes where a curve ends at an axis along which there is more of its ink.
func (c *canvas) hidesInAxis(s *stroke) {
	end := s.at[len(s.at)-1]
	band := s.half + tailNear*float64(c.per)
	for _, l := range c.level {
		if !l.axis || math.Abs(l.at(end.x)-float64(end.y)) > band+l.half {
			continue
		}
		begin, last := 0, 0
		for x := end.x + int(band); x < l.to-int(arrowLong*float64(c.per)); x++ {
			if !c.inkAlong(s.inkOf, x, l.at(x), band+l.half) {
				continue
			}
			if begin == 0 || float64(x-last) > smallGap*float64(c.per) {
				begin = x
			}
			if last = x; float64(last-begin) >= tailLeast*float64(c.per) {
				s.crossings = append(s.crossings, crossing{x: end.x})
				return
			}
		}
	}
}

// inkAlong reports whether there is ink of a pen in a column near a row, that no curve was taken from.
func (c *canvas) inkAlong(k, x int, row, band float64) bool {
	for y := max(int(row-band), 0); y <= min(int(row+band), c.h-1); y++ {
		if i := x*c.h + y; !c.used[i] && c.ink.Pix[y*c.w+x]*c.own[k][i] > isInk {
			return true
		}
	}
	return false
}

// runsInto notes where a short stroke of a curve's ink comes to an axis that the curve runs along from there: nobody
// knows which of the two goes on.
func (c *canvas) runsInto(s, o *stroke) {
	if s.inkOf != o.inkOf {
		return
	}
	near := intoNear * float64(c.per)
	end := o.at[len(o.at)-1]
	for _, l := range c.level {
		if !l.axis || math.Abs(l.at(end.x)-float64(end.y)) > near {
			continue
		}
		n := 0
		for _, p := range s.at {
			if p.x >= end.x && math.Abs(l.at(p.x)-float64(p.y)) <= near {
				n++
			}
		}
		if float64(n) >= intoLeast*float64(c.per) {
			s.crossings = append(s.crossings, crossing{x: end.x})
			return
		}
	}
}
