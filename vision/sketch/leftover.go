package sketch

// What was left over where curves are: a stroke of the same pen that meets one, or stands between two, and is no curve
// as it stands. Nobody knows how these go on.

import "slices"

const (
	// leftUsed is which part of an upright straight stroke lies on curves at most that was left over, and leftNear how
	// near to curves both of its ends lie, in squares (TestAFlankThatIsLeftOver).
	leftUsed, leftNear = 0.3, 0.2
)

// crossedBy notes where a stroke meets a way of its ink that is no curve as it stands: nobody knows how the two go on.
func (c *canvas) crossedBy(s, o *stroke) {
	if s.inkOf != o.inkOf {
		return
	}
	inside := int(meetInside * float64(c.per))
	for _, m := range c.meetings(s, o) {
		if m.from >= inside && m.to < len(s.at)-inside {
			s.crossings = append(s.crossings, crossing{x: (s.at[m.from].x + s.at[m.to].x) / 2})
		}
	}
}

// leftBetween notes where an upright straight stroke that was left over ends at a stroke, and at another one or the
// same with its other end.
func (c *canvas) leftBetween(s *stroke) {
	near := int(leftNear * float64(c.per))
	for _, l := range c.stands {
		top, bottom := place{int(l.at(l.from)), l.from}, place{int(l.at(l.to)), l.to}
		if !l.axis && !c.isUsed(l) && c.usedNear(top, near) && c.usedNear(bottom, near) &&
			(s.passes(top, near) || s.passes(bottom, near)) {
			s.crossings = append(s.crossings, crossing{x: top.x})
		}
	}
}

// isUsed reports whether curves were taken along an upright line.
func (c *canvas) isUsed(l line) bool {
	n := 0
	for y := l.from; y <= l.to; y++ {
		if c.used[int(l.at(y))*c.h+y] {
			n++
		}
	}
	return float64(n) > leftUsed*float64(l.to-l.from)
}

// usedNear reports whether a curve was taken so near a place.
func (c *canvas) usedNear(p place, near int) bool {
	for x := max(p.x-near, 0); x <= min(p.x+near, c.w-1); x++ {
		for y := max(p.y-near, 0); y <= min(p.y+near, c.h-1); y++ {
			if c.used[x*c.h+y] {
				return true
			}
		}
	}
	return false
}

// passes reports whether a stroke comes so near a place, its breadth beside.
func (s *stroke) passes(p place, near int) bool {
	near += int(s.half) + 3
	return slices.ContainsFunc(s.at, func(q place) bool { return max(q.x-p.x, p.x-q.x, q.y-p.y, p.y-q.y) <= near })
}
