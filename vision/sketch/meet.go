package sketch

// Strokes of one pen that meet: which goes on which way.
//
// Where two strokes run into each other and part again, the ways may have been exchanged: ink alone does not tell,
// unless there is paper on one way only. A hand goes on as it came. So the two joins are held against each other: how
// far what is before and what is behind lie off one cubic, over a square to both sides; and where corners spoil that,
// how much the joins bend, by the energy of the cubic that leaves the one side and enters the other in the directions
// told from a little before and behind. Two that run together for longer are told by the heights between which each
// goes to and fro (levels.go).

import (
	"math"
	"slices"
)

const (
	// smoothReach is over how many squares before and behind a meeting two parts are held to be one smooth stroke, and
	// clearSmooth how many times as far off it the other choice must be to be told without a doubt: a hand's own swings
	// make up to 1.3 of it (TestAHandGoesOnAsItCame).
	smoothReach, clearSmooth = 1.2, 1.35
	// bareTells is how much more paper there is on the way, in squares, if two that come near each other are exchanged:
	// then they were not (TestWhatCrossesPaperDoesNotMeet).
	bareTells = 0.15
	// crossReach is over how many squares before and behind a meeting the directions are told
	// (TestCornersThatCrossAreTold).
	crossReach = 0.5
	// longMeeting, in squares: two strokes that run together for longer are left as they were followed, unless their
	// levels tell more (TestAHandGoesOnAsItCame).
	longMeeting = 1.2
	// meetInside is how far from the ends of both, in squares, two curves must meet to be mixed up: two that begin at
	// one place cannot be (TestWhereStrokesAreMixedUp).
	meetInside = 0.7
	// clearBend is by how much the one way must bend less than the other to be told by its corners without a doubt:
	// square radians (TestCornersThatCrossAreTold).
	clearBend = 1.2
	// clearAngle is by how many radians two strokes must differ in direction, before and behind where they meet, for
	// their bends to tell which is which (TestCornersThatCrossAreTold).
	clearAngle = 0.35
	// besideStroke, cells, is how far beyond their breadths strokes run together (TestWhereStrokesAreMixedUp).
	besideStroke = 4
	// cutCorner is how much farther apart, in squares, they run together if ink lies all the way between: followed
	// round a corner each, two that cross keep off where they do (TestCornersAreCutWhereStrokesCross).
	cutCorner = 0.25
	// bareBetween is which part of the way between them may be bare: pencil on rough paper
	// (TestCornersAreCutWhereStrokesCross).
	bareBetween = 0.2
	// spikeLeast is how far in squares a stroke goes up and down on another's ink to be held for lost there
	// (TestAStrokeDoesNotComeBackOnAnothers).
	spikeLeast = 0.3
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

// A joint is a meeting after which two strokes may be exchanged.
type joint struct {
	meeting
	i, j     int // places of the one and of the other from which they are exchanged
	exchange bool
	clear    bool
}

// meetings gives where two strokes run together, from left to right.
func (c *canvas) meetings(a, b *stroke) (out []meeting) {
	near := a.half + b.half + besideStroke
	far := near + cutCorner*float64(c.per)
	open := false
	j0 := 0
	for i, p := range a.at {
		for j0 < len(b.at) && float64(p.x-b.at[j0].x) > far {
			j0++
		}
		best, at := far*far, -1
		for j := j0; j < len(b.at) && float64(b.at[j].x-p.x) <= far; j++ {
			dx, dy := float64(b.at[j].x-p.x), float64(b.at[j].y-p.y)
			if d := dx*dx + dy*dy; d < best {
				best, at = d, j
			}
		}
		switch {
		case at < 0 || best >= near*near && !c.inkBetween(p, b.at[at]):
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

// inkBetween reports whether ink lies nearly all the way from one place to another.
func (c *canvas) inkBetween(p, q place) bool {
	n := max(p.x-q.x, q.x-p.x, p.y-q.y, q.y-p.y)
	return float64(c.bareOn(straightTo(p, q))) <= bareBetween*float64(n)
}

// bareOn is how many of some places have paper on them, and a cell to their sides.
func (c *canvas) bareOn(at []place) (bare int) {
	for _, p := range at {
		if p.x < 1 || p.y < 1 || p.x >= c.w-1 || p.y >= c.h-1 {
			bare++
			continue
		}
		i := p.y*c.w + p.x
		if max(c.ink.Pix[i], c.ink.Pix[i-1], c.ink.Pix[i+1], c.ink.Pix[i-c.w], c.ink.Pix[i+c.w]) <= isInk {
			bare++
		}
	}
	return bare
}

// untangle exchanges what follows where two strokes of one ink meet, if both go on more smoothly or at their own levels
// that way, and notes where they met.
func (c *canvas) untangle(a, b *stroke) {
	if a.inkOf != b.inkOf {
		return
	}
	c.comeBack(a, b)
	c.comeBack(b, a)
	js := c.joints(a, b)
	for k := range js {
		c.goOn(a.at, b.at, &js[k])
	}
	for k := range js {
		next := k + 1
		for next < len(js) && js[next].clear {
			next++
		}
		if !js[k].clear {
			c.keepLevels(a.at, b.at, js, k, next)
		}
	}
	for _, m := range js {
		at := crossing{x: (a.at[m.from].x + a.at[m.to].x) / 2, clear: m.clear}
		a.crossings, b.crossings = append(a.crossings, at), append(b.crossings, at)
	}
	a.at, b.at, _ = joined(a.at, b.at, js, -1, len(js))
}

// comeBack takes from a stroke where it goes off on another one's ink and comes back on it.
func (c *canvas) comeBack(s, o *stroke) {
	near, least := int(2*s.half+besideStroke), int(spikeLeast*float64(c.per))
	for _, m := range slices.Backward(c.meetings(s, o)) {
		for u := m.from; u < m.to; u++ {
			away, back := 0, u
			for v := u + 1; v <= m.to && s.at[v].x-s.at[u].x <= near; v++ {
				away = max(away, s.at[v].y-s.at[u].y, s.at[u].y-s.at[v].y)
				if s.at[v].y == s.at[u].y && away >= least {
					back = v
				}
			}
			s.at = slices.Concat(s.at[:u], s.at[back:])
			m.to -= back - u
		}
	}
}

// joints gives where two strokes may have been exchanged.
func (c *canvas) joints(a, b *stroke) (out []joint) {
	inside := int(meetInside * float64(c.per))
	for _, m := range c.meetings(a, b) {
		if m.from < inside || m.from2 < inside || m.to >= len(a.at)-inside || m.to2 >= len(b.at)-inside {
			continue
		}
		i, j := nearest(a.at, b.at, m)
		if n := len(out); n == 0 || i > out[n-1].i && j > out[n-1].j { // a hand may lean back within a meeting
			out = append(out, joint{meeting: m, i: i, j: j})
		}
	}
	return out
}

// nearest gives the places of two strokes in a meeting that are nearest to each other, the middle ones of several, of
// those at which exchanged strokes still go on from left to right.
func nearest(a, b []place, m meeting) (i, j int) {
	i, j = m.from, m.from2
	best := math.Inf(1)
	for u := m.from; u <= m.to; u++ {
		middle := math.Abs(float64(2*u-m.from-m.to)) / float64(m.to-m.from+1)
		for v := m.from2; v <= m.to2; v++ {
			if a[u-1].x > b[v].x || b[v-1].x > a[u].x {
				continue
			}
			if off := middle + math.Hypot(float64(a[u].x-b[v].x), float64(a[u].y-b[v].y)); off < best {
				best, i, j = off, u, v
			}
		}
	}
	return i, j
}

// joined gives what two strokes are from one joint to another, exchanged at those between; -1 stands for their begins
// and len(js) for their ends. The first one begins on a; swapped tells that it ends on b.
func joined(a, b []place, js []joint, from, to int) (p, q []place, swapped bool) {
	i0, j0 := 0, 0
	if from >= 0 {
		i0, j0 = js[from].i, js[from].j
	}
	for k := from + 1; ; k++ {
		i1, j1 := len(a), len(b)
		if k < len(js) {
			i1, j1 = js[k].i, js[k].j
		}
		u, v := a[i0:i1], b[j0:j1]
		if swapped {
			u, v = v, u
		}
		p, q = append(p, u...), append(q, v...)
		if k == to {
			return p, q, swapped
		}
		swapped = swapped != js[k].exchange
		i0, j0 = i1, j1
	}
}

// goOn tells how two strokes go on beyond a joint: as they came.
func (c *canvas) goOn(a, b []place, m *joint) {
	if float64(min(m.to-m.from, m.to2-m.from2)) > longMeeting*float64(c.per) {
		return
	}
	kept, exchanged := c.bareThrough(a, b, m, false), c.bareThrough(a, b, m, true)
	if math.Abs(float64(kept-exchanged)) > bareTells*float64(c.per) {
		m.exchange, m.clear = exchanged < kept, true
		return
	}
	n := int(smoothReach * float64(c.per))
	aIn, bIn := a[max(m.from-n, 0):m.from+1], b[max(m.from2-n, 0):m.from2+1]
	aOut, bOut := a[m.to:min(m.to+n, len(a))], b[m.to2:min(m.to2+n, len(b))]
	asIs := math.Hypot(c.unsmooth(aIn, aOut), c.unsmooth(bIn, bOut))
	other := math.Hypot(c.unsmooth(aIn, bOut), c.unsmooth(bIn, aOut))
	m.exchange = other < asIs
	m.clear = max(asIs, other) > clearSmooth*min(asIs, other)
	if m.clear {
		return
	}
	// Corners spoil the cubics. The directions tell as well, where they do not speak against those.
	n = int(crossReach * float64(c.per))
	u, v := tangentOf(aIn[max(len(aIn)-n, 0):], true), tangentOf(bIn[max(len(bIn)-n, 0):], true)
	x, y := tangentOf(aOut[:min(n, len(aOut))], false), tangentOf(bOut[:min(n, len(bOut))], false)
	gain := bend(u, x) + bend(v, y) - bend(u, y) - bend(v, x)
	if math.Abs(gain) > clearBend && min(angleOf(u, v), angleOf(x, y)) > clearAngle {
		m.clear = m.exchange == (gain > 0)
	}
}

// bareThrough is how many cells of paper two strokes go over in a meeting, exchanged or not, as they are or straight
// through.
func (c *canvas) bareThrough(a, b []place, m *joint, exchange bool) (bare int) {
	at := joint{i: m.i - m.from, j: m.j - m.from2, exchange: exchange}
	p, q, _ := joined(a[m.from:m.to+1], b[m.from2:m.to2+1], []joint{at}, -1, 1)
	for _, way := range [2][]place{p, q} {
		bare += min(c.bareOn(way), c.bareOn(straightTo(way[0], way[len(way)-1])))
	}
	return bare
}

// unsmooth is how far two parts of a stroke, one behind the other, lie off one cubic of the length along them: square,
// rms.
func (c *canvas) unsmooth(in, out []place) float64 {
	all := slices.Concat(in, out)
	n := len(all)
	along, x, y := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, p := range all {
		x[i], y[i] = float64(p.x), float64(p.y)
		if i > 0 {
			along[i] = along[i-1] + math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
		}
	}
	// The powers of the length, each made orthogonal to those before, over the places.
	var powers [4][]float64
	for k := range powers {
		p := make([]float64, n)
		for i := range p {
			p[i] = math.Pow(2*along[i]/math.Max(along[n-1], 1)-1, float64(k))
		}
		for _, q := range powers[:k] {
			takeOff(p, q)
		}
		takeOff(x, p)
		takeOff(y, p)
		powers[k] = p
	}
	return math.Sqrt((dot(x, x)+dot(y, y))/float64(n)) / float64(c.per)
}

// takeOff takes from v what it has of p.
func takeOff(v, p []float64) {
	f := dot(v, p) / math.Max(dot(p, p), 1e-9)
	for i := range v {
		v[i] -= f * p[i]
	}
}

func dot(u, v []float64) (sum float64) {
	for i := range u {
		sum += u[i] * v[i]
	}
	return sum
}

// angleOf is the angle between two tangents.
func angleOf(a, b tangent) float64 {
	return math.Abs(math.Atan2(a.dx*b.dy-a.dy*b.dx, a.dx*b.dx+a.dy*b.dy))
}

// A tangent is a place on a stroke and the direction there, of length one.
type tangent struct{ x, y, dx, dy float64 }

// tangentOf fits a straight line to places of a stroke by least squares over their number, and gives its end, or its
// begin.
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

// bend is the bending energy of the cubic from a to b, times its length: about the square of the angle that it turns
// by.
func bend(a, b tangent) float64 {
	x, y := b.x-a.x, b.y-a.y
	l := math.Max(math.Hypot(x, y), 1)
	x, y = x/l, y/l
	return 4*(2+a.dx*b.dx+a.dy*b.dy) - 12*(x*(a.dx+b.dx)+y*(a.dy+b.dy)) + 12*(x*x+y*y)
}
