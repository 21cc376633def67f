package sketch

// Strokes of one pen that meet: which goes on which way.
//
// Where two strokes run into each other and part again, the ways may have been exchanged: ink alone does not tell. A hand
// goes on as it came. So the two joins are held against each other by how much they bend: the energy of the cubic that
// leaves the one side and enters the other in the directions told from a little before and behind.

import (
	"math"
	"slices"
)

const (
	// crossReach is over how many squares before and behind a meeting the directions are told (TestCurvesThatCrossAreDoubted).
	crossReach = 0.5
	// longMeeting, in squares: two strokes that run together for longer are left as they were followed
	// (TestCurvesThatCrossAreDoubted).
	longMeeting = 1.0
	// meetInside is how far from the ends of both, in squares, two curves must meet to be mixed up: two that begin at one
	// place cannot be (TestCurvesThatCrossAreDoubted).
	meetInside = 0.7
	// clearBend is by how much the one way must bend less than the other to be taken, and told without a doubt: square
	// radians (TestCurvesThatCrossAreDoubted).
	clearBend = 0.15
	// clearAngle is by how many radians two strokes must differ in direction, before and behind where they meet, for it to
	// be told which is which: two that run into each other nearly along look alike (TestCurvesThatCrossAreDoubted).
	clearAngle = 0.35
	// besideStroke, cells, is how far beyond their breadths strokes run together (TestCurvesThatCrossAreDoubted).
	besideStroke = 4
)

// A meeting is where two strokes run together: places from to to of the one, and of the other.
type meeting struct {
	from, to   int
	from2, to2 int
}

// A crossing is a meeting as a stroke's reader is told of it.
type crossing struct {
	x     int // column of its middle
	clear bool
}

// meetings gives where two strokes run together, from left to right.
func (c *canvas) meetings(a, b *stroke) (out []meeting) {
	near := a.half + b.half + besideStroke
	open := false
	j0 := 0
	for i, p := range a.at {
		for j0 < len(b.at) && float64(p.x-b.at[j0].x) > near {
			j0++
		}
		best, at := near*near, -1
		for j := j0; j < len(b.at) && float64(b.at[j].x-p.x) <= near; j++ {
			dx, dy := float64(b.at[j].x-p.x), float64(b.at[j].y-p.y)
			if d := dx*dx + dy*dy; d < best {
				best, at = d, j
			}
		}
		switch {
		case at < 0:
			open = false
		case open || len(out) > 0 && float64(i-out[len(out)-1].to) < 2*near:
			m := &out[len(out)-1]
			m.to, m.from2, m.to2 = i, min(m.from2, at), max(m.to2, at)
			open = true
		default:
			out = append(out, meeting{i, i, at, at})
			open = true
		}
	}
	return out
}

// untangle exchanges what follows where two strokes of one ink meet, if both go on straighter that way, and notes where
// they met.
func (c *canvas) untangle(a, b *stroke) {
	if a.inkOf != b.inkOf {
		return
	}
	inside := int(meetInside * float64(c.per))
	for done := -1; ; {
		ms := c.meetings(a, b)
		k := slices.IndexFunc(ms, func(m meeting) bool {
			return a.at[m.from].x > done && m.from >= inside && m.from2 >= inside &&
				m.to < len(a.at)-inside && m.to2 < len(b.at)-inside
		})
		if k < 0 {
			return
		}
		m := ms[k]
		done = max(a.at[m.from].x, a.at[m.to].x, b.at[m.to2].x) // a hand may lean back within a meeting
		reach := int(crossReach * float64(c.per))
		aIn, bIn := tangentOf(a.at[max(m.from-reach, 0):m.from+1], true), tangentOf(b.at[max(m.from2-reach, 0):m.from2+1], true)
		aOut := tangentOf(a.at[m.to:min(m.to+reach, len(a.at))], false)
		bOut := tangentOf(b.at[m.to2:min(m.to2+reach, len(b.at))], false)
		apart := min(angleOf(aIn, bIn), angleOf(aOut, bOut))
		long := float64(min(m.to-m.from, m.to2-m.from2)) > longMeeting*float64(c.per)
		gain := bend(aIn, aOut) + bend(bIn, bOut) - bend(aIn, bOut) - bend(bIn, aOut)
		at := crossing{x: (a.at[m.from].x + a.at[m.to].x) / 2,
			clear: math.Abs(gain) > clearBend && apart > clearAngle && !long}
		a.crossings, b.crossings = append(a.crossings, at), append(b.crossings, at)
		if gain > clearBend && !long {
			i, j := (m.from+m.to)/2, (m.from2+m.to2)/2
			x := max(a.at[i].x, b.at[j].x)
			i, j = firstFrom(a.at, i, x), firstFrom(b.at, j, x)
			a.at, b.at = slices.Concat(a.at[:i], b.at[j:]), slices.Concat(b.at[:j], a.at[i:])
		}
	}
}

// firstFrom gives the first place from i on that is in column x or beyond.
func firstFrom(at []place, i, x int) int {
	for i < len(at)-1 && at[i].x < x {
		i++
	}
	return i
}

// angleOf is the angle between two tangents.
func angleOf(a, b tangent) float64 {
	return math.Abs(math.Atan2(a.dx*b.dy-a.dy*b.dx, a.dx*b.dx+a.dy*b.dy))
}

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

// A tangent is a place on a stroke and the direction there, of length one.
type tangent struct{ x, y, dx, dy float64 }

// tangentOf fits a straight line to places of a stroke by least squares over their number, and gives its end, or its begin.
func tangentOf(at []place, end bool) tangent {
	n := float64(len(at))
	var x, y, tx, ty, tt float64
	for i, p := range at {
		t := float64(i) - (n-1)/2
		x, y = x+float64(p.x)/n, y+float64(p.y)/n
		tx, ty, tt = tx+t*float64(p.x), ty+t*float64(p.y), tt+t*t
	}
	dx, dy := tx/math.Max(tt, 1), ty/math.Max(tt, 1)
	half := (n - 1) / 2
	if !end {
		half = -half
	}
	l := math.Max(math.Hypot(dx, dy), 1e-9)
	return tangent{x + half*dx, y + half*dy, dx / l, dy / l}
}

// bend is the bending energy of the cubic from a to b, times its length: about the square of the angle that it turns by.
func bend(a, b tangent) float64 {
	x, y := b.x-a.x, b.y-a.y
	l := math.Max(math.Hypot(x, y), 1)
	x, y = x/l, y/l
	return 4*(2+a.dx*b.dx+a.dy*b.dy) - 12*(x*(a.dx+b.dx)+y*(a.dy+b.dy)) + 12*(x*x+y*y)
}
