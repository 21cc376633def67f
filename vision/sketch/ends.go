package sketch

// Where a way is on ink of its own, and where its ends are.
//
// A way runs on beyond its curve wherever that pays: along an axis to its arrow, into a label. So each of its ends has
// to earn its place once more, at a higher price than within: what is bare of ink counts threefold there, what is much
// thinner than the curve's stroke speaks against it, and so does what turns to and fro, as letters do, unless the curve
// itself has corners. And a label's letters stand round it: ink that is left over there in small pieces speaks against
// an end.

import (
	"image"
	"math"
	"slices"

	"quadrille/vision/raster"
)

const (
	// bareEnd and bareAxis are what a cell costs an end that has paper or nothing but an axis under it, in cells of ink
	// (TestAnEndHasToEarnItsPlace).
	bareEnd, bareAxis = 3.0, 1.5
	// endTurn is what turning costs an end, in squares of ink for each radian, and plainTurn where the curve has
	// corners (TestAnEndHasToEarnItsPlace, TestWhatTurnsOrThinsIsNoEnd).
	endTurn, plainTurn = 1.5, 0.3
	// turnStep is over how many squares to both sides a way's turns are told, and wobbleTurn how many radians a hand's
	// wobble turns it there: of simulated ends nine in ten turn by less, and letters by one for each square
	// (TestWhatTurnsOrThinsIsNoEnd).
	turnStep, wobbleTurn = 0.2, 0.3
	// cornered is by how many radians the middle half of a way turns that has corners of its own: two of them
	// (TestWhatTurnsOrThinsIsNoEnd).
	cornered = 1.8
	// thinEnd is how much of the usual ink across the stroke there is less of where it is another one, an axis drawn
	// with less pressure or what is left of one, told over thinReach squares to both sides; thinCost is what its cells
	// cost an end, in cells of ink (TestWhatTurnsOrThinsIsNoEnd).
	thinEnd, thinReach, thinCost = 0.45, 0.15, 1.5
	// markSize is how large at most, in squares, a piece of ink is that is a part of a letter, a tick or an arrow;
	// markReach how far round an end such pieces count, in squares, and markPrice what they cost, in shares of a
	// stroke's own ink (TestAnEndHasToEarnItsPlace).
	markSize, markReach, markPrice = 1.2, 0.3, 3.0
	// labelReach is how far from a way's end letters count, in squares: an axis's name, not those along a curve
	// (TestAnEndHasToEarnItsPlace).
	labelReach = 2.0
	// smallGap, in squares, is no gap: pencil on rough paper, a line of the ruling (TestAPencilStrokeIsOneStroke).
	smallGap = 0.12
	// axisEnd is how long in squares an end on an axis is, and axisTurn by how many radians it turns onto it, seen over
	// axisReach squares to both sides, that is the axis's (TestNoEndTurnsOntoAnAxis).
	axisEnd, axisTurn, axisReach = 0.4, 0.35, 0.35
	// leastEnd and endToGap: what lies at a way's end beyond a gap is the curve's if it is that long, in squares, and
	// that many times as long as the gap (TestALabelIsNoEndOfACurve).
	leastEnd, endToGap = 1.5, 3.0
	// endUnder is how long in squares it is if all that lies between is an axis's (TestALabelIsNoEndOfACurve).
	endUnder = 0.5
)

// A run is a part of a way without a gap, in places of it, and how many cells of paper lie before it. Under an axis
// alone there is none that is seen.
type run struct {
	from, to, gap int
	under         bool // the gap is an axis's
}

// runsOn gives the parts of a way that lie on ink of its own. A gap is paper, not another pen's ink; a bare cell of an
// axis is so much of one.
func (c *canvas) runsOn(p *way, k int, bare float64) (runs []run) {
	paper, under := 0.0, true
	for i, q := range p.at {
		at := c.beside(p, i)
		ink := c.ink.Pix[q.y*c.w+at]
		switch {
		case ink*c.own[k][at*c.h+q.y] > isInk:
			if n := len(runs); n > 0 && paper <= smallGap*float64(c.per) {
				runs[n-1].to = i + 1
			} else {
				runs = append(runs, run{i, i + 1, int(paper), under})
			}
			paper, under = 0, true
		case ink <= isInk && c.axis[q.x*c.h+q.y]:
			paper += bare
		case ink <= isInk:
			paper++
			under = false
		}
	}
	return runs
}

// isInk is from which evidence on a cell counts as ink (TestInkIsWhatTheRulingIsNot).
const isInk = 0.4

// trimmed gives the runs of a way without what lies loose at its ends.
func (c *canvas) trimmed(runs []run) []run {
	loose := func(r run, gap run) bool {
		n, least := float64(r.to-r.from), leastEnd
		if gap.under {
			least = endUnder
		}
		return n < least*float64(c.per) || n < endToGap*float64(gap.gap)
	}
	for len(runs) > 1 {
		n := len(runs)
		switch {
		case loose(runs[0], runs[1]):
			runs = runs[1:]
		case loose(runs[n-1], runs[n-1]):
			runs = runs[:n-1]
		default:
			return runs
		}
	}
	return runs
}

// earned gives the part of a way, from place a up to but without b, whose ends are worth their price.
func (c *canvas) earned(p *way, k int) (a, b int) {
	n := len(p.at)
	worth := make([]float64, n)
	most := int(labelReach * float64(c.per))
	marks := make([]float64, n)
	if n <= 2*most {
		c.marksBeside(p, k, 0, n, marks)
	} else {
		c.marksBeside(p, k, 0, most, marks)
		c.marksBeside(p, k, n-most, n, marks)
	}
	full := c.fullness(p)
	for i, q := range p.at {
		at := c.beside(p, i)
		if c.axis[q.x*c.h+q.y] && !c.climbs(p, i) { // along an axis ticks stand
			at = q.x
		}
		ink := c.ink.Pix[q.y*c.w+at]
		switch {
		case ink*c.own[k][at*c.h+q.y] > isInk && full[i] < thinEnd && !c.axis[q.x*c.h+q.y]:
			worth[i] = -thinCost
		case ink*c.own[k][at*c.h+q.y] > isInk:
			worth[i] = 1
			worth[i] -= markPrice * marks[i]
		case ink <= isInk && c.axis[q.x*c.h+q.y]:
			worth[i] = float64(ink)/isInk*(1+bareAxis) - bareAxis
		case ink <= isInk:
			worth[i] = -bareEnd
		}
	}
	turns := c.turning(p)
	within := 0.0
	for _, t := range turns[n/4 : n-n/4] {
		within += t
	}
	price := endTurn
	if within > cornered {
		price = plainTurn
	}
	for i, t := range turns {
		worth[i] -= price * t * float64(c.per)
	}
	b = n
	sum, least := 0.0, 0.0
	for i := 0; i < n/2; i++ {
		if sum += worth[i]; sum < least {
			least, a = sum, i+1
		}
	}
	sum, least = 0, 0
	for i := n - 1; i >= n/2; i-- {
		if sum += worth[i]; sum < least {
			least, b = sum, i
		}
	}
	return c.offAxis(p, a, b)
}

// offAxis gives the part of a way from place a up to but without b without ends that turn onto an axis, or go along it
// up to its arrow: an axis is uneven, and what is left of it looks like ink. A decay comes to its axis without a turn,
// and ends before the axis does; a square wave turns onto it within as well.
func (c *canvas) offAxis(p *way, a, b int) (int, int) {
	least, reach := int(axisEnd*float64(c.per)), max(2, int(axisReach*float64(c.per)))
	on := func(i int) bool { return c.axis[p.at[i].x*c.h+p.at[i].y] }
	from, to := a, b
	for from < b && on(from) {
		from++
	}
	for to > from && on(to-1) {
		to--
	}
	if b-to >= least && c.atArrow(p.at[b-1]) {
		b = to
	}
	long := 0
	for i := from; i < to; i++ {
		if long++; !on(i) {
			long = 0
		}
		if long >= least {
			return a, b
		}
	}
	turns := func(i int) bool {
		if i-reach < a || i+reach >= b {
			return false
		}
		return p.turn(i, reach) > axisTurn
	}
	if from-a >= least && turns(from) {
		a = from
	}
	if b-to >= least && turns(to) {
		b = to
	}
	return a, b
}

// atArrow reports whether a place on a level axis lies where its arrow is: as far the axis is drawn, not a curve.
func (c *canvas) atArrow(p place) bool {
	return slices.ContainsFunc(c.level, func(l line) bool {
		on := l.axis && c.axis[p.x*c.h+p.y] && math.Abs(l.at(p.x)-float64(p.y)) < l.half+besideAxis*float64(c.per)+2
		return on && p.x > l.to-int(arrowLong*float64(c.per))
	})
}

// marksBeside tells in marks, of places a up to but without b of a way, how much ink lies round them in small pieces
// that hang on the way and that it leaves over, in shares of what a stroke has there. What was cut from the end of a
// way of ink k before is none of them: it was the curve's or is barred already.
func (c *canvas) marksBeside(p *way, k, a, b int, marks []float64) {
	half := c.breadth(p) / 2
	reach, r, most := int(half)+3, max(1, int(markReach*float64(c.per))), int(markSize*float64(c.per))
	// A piece that leaves this part of the sheet is too large in it already.
	part := image.Rectangle{Min: image.Pt(c.w, c.h)}
	for _, q := range p.at[a:b] {
		part.Min.X, part.Min.Y = min(part.Min.X, q.x), min(part.Min.Y, q.y)
		part.Max.X, part.Max.Y = max(part.Max.X, q.x+1), max(part.Max.Y, q.y+1)
	}
	part = part.Inset(-(r + most + 3)).Intersect(image.Rect(0, 0, c.w, c.h))
	w, h := part.Dx(), part.Dy()
	way := make([]bool, w*h)
	for _, q := range p.at {
		x, y := q.x-part.Min.X, q.y-part.Min.Y
		for j := max(y-reach, 0); j <= min(y+reach, h-1); j++ {
			for i := max(x-reach, 0); i <= min(x+reach, w-1); i++ {
				way[j*w+i] = true
			}
		}
	}
	var spans []raster.Span
	on := make([]bool, w)
	for y := range h {
		for x := range on {
			i, j := part.Min.X+x, part.Min.Y+y
			on[x] = c.ink.Pix[j*c.w+i] > 0.5 && !way[y*w+x] && c.own[k][i*c.h+j] != barred
		}
		spans = raster.Spans(spans, y, on)
	}
	list, of := raster.Components(spans, 1)
	hangs := make([]bool, len(list))
	for i, s := range spans {
		for x := max(s.From-1, 0); x < min(s.To+1, w) && !hangs[of[i]]; x++ {
			hangs[of[i]] = way[s.Line*w+x] || way[max(s.Line-1, 0)*w+x] || way[min(s.Line+1, h-1)*w+x]
		}
	}
	mark := make([]bool, w*h)
	for i, s := range spans {
		if m := list[of[i]]; hangs[of[i]] && max(m.Line1-m.Line0, m.To-m.From) <= most {
			for x := s.From; x < s.To; x++ {
				mark[s.Line*w+x] = true
			}
		}
	}
	for i, q := range p.at[a:b] {
		x, y := q.x-part.Min.X, q.y-part.Min.Y
		x0, x1, y0, y1 := max(x-r, 0), min(x+r+1, w), max(y-r, 0), min(y+r+1, h)
		n := 0
		for j := y0; j < y1; j++ {
			for _, m := range mark[j*w+x0 : j*w+x1] {
				if m {
					n++
				}
			}
		}
		marks[a+i] = float64(n) / float64((x1-x0)*(y1-y0)) * float64(2*r+1) / (2*half + 1)
	}
}

// turning gives by how many radians a way turns at each of its places beyond what a hand's wobble does, seen between
// the means of its places in stretches of turnStep, for a way goes from cell to cell: in the middle of each, 0 at the
// other places.
func (c *canvas) turning(p *way) []float64 {
	type node struct {
		i    int // its place
		x, y float64
		axis bool
	}
	stretch := max(2, int(turnStep*float64(c.per)))
	var nodes []node
	for i := 0; i+stretch <= len(p.at); i += stretch {
		m := node{i: i + stretch/2}
		m.axis = c.axis[p.at[m.i].x*c.h+p.at[m.i].y]
		for _, q := range p.at[i : i+stretch] {
			m.x, m.y = m.x+float64(q.x)/float64(stretch), m.y+float64(q.y)/float64(stretch)
		}
		nodes = append(nodes, m)
	}
	// On an axis the course is not seen: of one that is crossed nothing counts, of one that is run along both ends.
	kept := nodes[:0]
	for i := 0; i < len(nodes); {
		j := i
		for j < len(nodes) && nodes[j].axis {
			j++
		}
		switch run := nodes[i:j]; {
		case j == i:
			kept = append(kept, nodes[i])
			j++
		case float64(len(run))*turnStep > axisEnd || i == 0 || j == len(nodes):
			kept = append(kept, run[0])
			if len(run) > 1 {
				kept = append(kept, run[len(run)-1])
			}
		}
		i = j
	}
	out := make([]float64, len(p.at))
	for n := 1; n+1 < len(kept); n++ {
		u, v, w := kept[n-1], kept[n], kept[n+1]
		turn := math.Atan2(w.y-v.y, w.x-v.x) - math.Atan2(v.y-u.y, v.x-u.x)
		out[v.i] = max(math.Abs(turn)-wobbleTurn, 0)
	}
	return out
}

// fullness gives how much ink lies across a way at each of its places, in shares of what usually does.
func (c *canvas) fullness(p *way) []float64 {
	r := int(0.75*c.breadth(p)) + 2
	across := make([]float64, len(p.at))
	for i, q := range p.at {
		dx, dy := 0, 1
		if c.climbs(p, i) {
			dx, dy = 1, 0
		}
		for d := -r; d <= r; d++ {
			if x, y := q.x+d*dx, q.y+d*dy; x >= 0 && y >= 0 && x < c.w && y < c.h {
				across[i] += float64(c.ink.Pix[y*c.w+x])
			}
		}
	}
	usual := max(raster.Median(slices.Clone(across)), 1)
	reach := int(thinReach * float64(c.per))
	out := make([]float64, len(across))
	for i := range out {
		near := across[max(i-reach, 0):min(i+reach+1, len(across))]
		for _, v := range near {
			out[i] += v / usual / float64(len(near))
		}
	}
	return out
}

// turn is by how many radians a way turns at its place i, seen over r places to both sides.
func (p *way) turn(i, r int) float64 {
	u, v, w := p.at[i-r], p.at[i], p.at[i+r]
	return math.Abs(math.Atan2(float64(w.y-v.y), float64(w.x-v.x)) - math.Atan2(float64(v.y-u.y), float64(v.x-u.x)))
}

// bar keeps ways of ink k off what was cut from one, save where the rest of it is near.
func (c *canvas) bar(cut, rest []place, k, reach int) {
	near := func(q place, of []place) bool {
		for _, p := range of {
			if max(p.x-q.x, q.x-p.x, p.y-q.y, q.y-p.y) <= reach {
				return true
			}
		}
		return false
	}
	if n := 4 * reach; len(rest) > 2*n {
		// Only its ends can be near.
		rest = append(append([]place{}, rest[:n]...), rest[len(rest)-n:]...)
	}
	for _, p := range cut {
		for x := max(p.x-reach, 0); x <= min(p.x+reach, c.w-1); x++ {
			for y := max(p.y-reach, 0); y <= min(p.y+reach, c.h-1); y++ {
				if i := x*c.h + y; c.own[k][i] != barred && !near(place{x, y}, rest) {
					c.own[k][i] = barred
				}
			}
		}
	}
}

// barred marks cells of no use to the ways of an ink.
const barred = -1
