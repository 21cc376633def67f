package sketch

// The curves of a page: ways on the ink of one pen, one after the other, without what is no curve at their ends.

import (
	"context"
	"math"
	"slices"

	"quadrille/vision/raster"
)

const (
	// mostCurves is how many curves are looked for (TestSeveralCurvesAreFound).
	mostCurves = 4
	// leastSpan is how wide a curve is at least, in squares (TestAPageOfWordsHasNoCurve).
	leastSpan = 3.0
	// besideMain is which part of the gain of the best way another has at least (TestSeveralCurvesAreFound).
	besideMain = 0.3
	// smallGap, in squares, is no gap: pencil on rough paper, a line of the ruling (TestAPencilStrokeIsOneStroke).
	smallGap = 0.12
	// leastEnd and endToGap: what lies at a way's end beyond a gap is the curve's if it is that long, in squares, and that
	// many times as long as the gap (TestALabelIsNoEndOfACurve).
	leastEnd, endToGap = 1.5, 3.0
	// leanBack is how far a steep flank may lean back, in squares, for a hand is no ruler (TestASteepPeakIsFollowed).
	leanBack = 0.06
	// outsideWorth is what a column at the outer end of the margin is worth: what lies there may be the paper's edge
	// (TestACurveGoesOnBeyondTheRuledPart).
	outsideWorth = 0.3
	// edgeBeyond and edgeLength: a level line so far beyond the ruled part, and so long, in squares, is the sheet's edge
	// (TestACurveGoesOnBeyondTheRuledPart).
	edgeBeyond, edgeLength = 0.4, 6.0
)

// A stroke is a way found, with what tells a curve from other things.
type stroke struct {
	way
	inkOf    int     // index of its ink
	half     float64 // cells, half the stroke's breadth
	coverage float64 // 0..1, columns on ink
	longest  float64 // square, the longest part without a gap
	height   float64 // square, between its lowest and highest
	span     float64 // square, its width
	inside   float64 // 0..1, cells on the ruled part
	straight float64 // 0..1, columns on straight level lines
	again    float64 // 0..1, cells on strokes that were taken before
}

// A canvas is the evidence of a page with what was made of it.
type canvas struct {
	*evidence
	tints  []tint
	own    [][]float32 // by ink: how much each cell is of it, by columns; 0 where an axis or a curve was taken off
	level  []line
	stands []line
	steep  []bool // cells of upright axes, by columns
	used   []bool // cells of strokes that were taken, by columns
}

func canvasOf(e *evidence) *canvas {
	c := &canvas{evidence: e, tints: e.inks(), level: e.lines(true), stands: e.lines(false), steep: make([]bool, e.w*e.h), used: make([]bool, e.w*e.h)}
	e.axes(c.level, c.stands)
	n := max(len(c.tints), 1)
	c.own = make([][]float32, n)
	for k := range c.own {
		c.own[k] = make([]float32, e.w*e.h)
	}
	raster.Rows(e.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range e.w {
				if e.ink.Pix[y*e.w+x] == 0 {
					continue
				}
				t := tint{}
				if n > 1 {
					t = e.tintAt(x, y)
				}
				for k := range c.own {
					c.own[k][x*e.h+y] = share(t, c.tints, k)
				}
			}
		}
	})
	first := margin * float64(e.per)
	for _, l := range c.level {
		beyond := max(first-max(l.a, l.b), min(l.a, l.b)-float64(e.h)+first) / float64(e.per)
		if l.axis || beyond > edgeBeyond && float64(l.to-l.from) > edgeLength*float64(e.per) {
			c.takeLine(l)
		}
	}
	for _, l := range c.stands {
		if l.axis {
			c.takeLine(l)
		}
	}
	return c
}

// takeLine takes an axis off all inks: a way may cross it, and gains nothing on it.
func (c *canvas) takeLine(l line) {
	of := c.inksOf(l)
	for k := l.from; k <= l.to; k++ {
		from, to := c.acrossLine(l, k)
		for i := from; i <= to; i++ {
			x, y := k, i
			if !l.level {
				x, y = i, k
			}
			if x < 0 || x >= c.w || y < 0 || y >= c.h {
				continue
			}
			for n := range c.own {
				if of[n] {
					c.own[n][x*c.h+y] = 0
				}
			}
			if !l.level {
				c.steep[x*c.h+y] = true
			}
		}
	}
}

// acrossLine gives the cells that a line's stroke has across it at k: its usual breadth, or all that hangs together there
// where that is little more, for a hand leads no ruler.
func (c *canvas) acrossLine(l line, k int) (from, to int) {
	ink := func(i int) bool {
		x, y := k, i
		if !l.level {
			x, y = i, k
		}
		return x >= 0 && x < c.w && y >= 0 && y < c.h && c.ink.Pix[y*c.w+x] > 0
	}
	at := l.at(k)
	from, to = int(math.Ceil(at-l.half-2)), int(math.Floor(at+l.half+2))
	most := int(lineSlack * float64(c.per))
	a, b := from, to
	for n := 0; ink(a-1) && n < most; n++ {
		a--
	}
	for n := 0; ink(b+1) && n < most; n++ {
		b++
	}
	if !ink(a-1) && !ink(b+1) {
		return a, b
	}
	return from, to
}

// lineSlack is how far beyond its usual breadth a line's stroke may reach, in squares (TestAxesAreNoCurves).
const lineSlack = 0.12

// inksOf tells which inks a line is drawn with: those that a good third of it is of. A curve of another pen may lie on
// it.
func (c *canvas) inksOf(l line) []bool {
	sum, all := make([]float32, len(c.own)), float32(1e-6)
	for k := l.from; k <= l.to; k++ {
		x, y := k, int(math.Round(l.at(k)))
		if !l.level {
			x, y = y, x
		}
		if x < 0 || x >= c.w || y < 0 || y >= c.h {
			continue
		}
		for n := range c.own {
			sum[n] += c.own[n][x*c.h+y]
			all += c.own[n][x*c.h+y]
		}
	}
	of := make([]bool, len(c.own))
	for n := range of {
		const least = 0.35 // a curve that ends on an axis lies on a third of it (TestAxesAreNoCurves)
		of[n] = sum[n] > least*all
	}
	return of
}

// ground gives what ways of an ink are looked for on.
func (c *canvas) ground(k int) *ground {
	g := &ground{c.w, c.h, make([]float32, c.w*c.h), make([]float32, c.w*c.h)}
	raster.Rows(c.w, func(x0, x1 int) {
		for x := x0; x < x1; x++ {
			for y := range c.h {
				i := x*c.h + y
				ink, own := c.ink.Pix[y*c.w+x], c.own[k][i]
				gain := ink*max(0, 2*own-1) + ink - 1
				if gain > 0 {
					gain *= c.worth(x, y)
				}
				g.gain[i] = gain
				// A flank that a hand leans back climbs beside its ink.
				at := c.beside(x, y)
				g.cost[i] = 1 - (1-upright)*c.ink.Pix[y*c.w+at]
				if c.steep[i] || c.steep[at*c.h+y] {
					g.cost[i] = 1
				}
			}
		}
	})
	return g
}

// beside gives the column with most ink in row y, of x and those as far to its sides as a flank may lean back.
func (c *canvas) beside(x, y int) int {
	lean := max(1, int(leanBack*float64(c.per)+0.5))
	best := x
	for _, a := range [2]int{max(x-lean, 0), min(x+lean, c.w-1)} {
		if c.ink.Pix[y*c.w+a] > c.ink.Pix[y*c.w+best] {
			best = a
		}
	}
	return best
}

// worth falls from the rim of the ruled part outwards.
func (c *canvas) worth(x, y int) float32 {
	first := margin * float64(c.per)
	beyond := max(first-float64(x), float64(x)-float64(c.w)+first, first-float64(y), float64(y)-float64(c.h)+first, 0)
	return float32(1 - (1-outsideWorth)*beyond/first)
}

// strokes gives the ways, the longest first, at most mostCurves.
func (c *canvas) strokes(ctx context.Context) (out []*stroke, err error) {
	for tries := 0; tries < 2*mostCurves && len(out) < mostCurves; tries++ {
		var best *stroke
		for k := range c.own {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if s := c.strokeOf(k); s != nil && (best == nil || s.gain > best.gain) {
				best = s
			}
		}
		if best == nil || len(out) > 0 && best.gain < besideMain*out[0].gain {
			break
		}
		c.take(best)
		if best.isCurve() {
			out = append(out, best)
		}
	}
	for i := range out {
		for j := range i {
			c.untangle(out[j], out[i])
		}
	}
	return out, nil
}

// crossReach is over how many squares before and behind a crossing the directions are told, and crossTurn by how many
// radians less two curves must turn there to be exchanged (TestCurvesThatCrossAreDoubted).
const crossReach, crossTurn = 0.5, 0.1

// untangle exchanges what follows where two strokes of one ink meet, if both go on straighter that way.
func (c *canvas) untangle(a, b *stroke) {
	if a.inkOf != b.inkOf {
		return
	}
	reach, near := int(crossReach*float64(c.per)), int(a.half+b.half)+4
	mid := func(s *stroke, x int) float64 { return float64(s.enter[x-s.first]+s.leave[x-s.first]) / 2 }
	turn := func(s, o *stroke, x0, x1 int) float64 { // from s before x0 to o behind x1
		before := math.Atan2(mid(s, x0)-mid(s, x0-reach), float64(reach))
		behind := math.Atan2(mid(o, x1+reach)-mid(o, x1), float64(reach))
		return math.Abs(behind - before)
	}
	from, to := max(a.first, b.first)+reach, min(a.first+len(a.enter), b.first+len(b.enter))-1-reach
	for x := from; x <= to; x++ {
		if c.between(a, b, x) >= near {
			continue
		}
		end := x
		for end < to && c.between(a, b, end+1) < near {
			end++
		}
		if end < to && turn(a, b, x, end)+turn(b, a, x, end) < turn(a, a, x, end)+turn(b, b, x, end)-crossTurn {
			at := (x + end) / 2
			i, j := at-a.first, at-b.first
			ae, al, be, bl := a.enter, a.leave, b.enter, b.leave
			a.enter, b.enter = slices.Concat(ae[:i], be[j:]), slices.Concat(be[:j], ae[i:])
			a.leave, b.leave = slices.Concat(al[:i], bl[j:]), slices.Concat(bl[:j], al[i:])
			to = min(a.first+len(a.enter), b.first+len(b.enter)) - 1 - reach
		}
		x = end
	}
}

// between is the distance in cells up between two strokes in a column, negative where they overlap.
func (c *canvas) between(s, o *stroke, x int) int {
	a, b := s.enter[x-s.first], s.leave[x-s.first]
	p, q := o.enter[x-o.first], o.leave[x-o.first]
	return max(min(a, b), min(p, q)) - min(max(a, b), max(p, q))
}

// strokeOf gives the best way on an ink; nil if it comes to nothing.
func (c *canvas) strokeOf(k int) *stroke {
	g := c.ground(k)
	p := g.follow()
	if len(p.enter) == 0 {
		return nil
	}
	s := &stroke{way: p, inkOf: k}
	runs := c.trimmed(c.runsOn(&s.way, k))
	if len(runs) == 0 {
		return nil
	}
	a, b := runs[0].from, runs[len(runs)-1].to
	if float64(b-a) < leastSpan*float64(c.per) {
		return nil
	}
	s.way = p.cut(p.first+a, p.first+b)
	c.sharpen(&s.way, k)
	n, longest := 0, 0
	for _, r := range runs {
		n += r.to - r.from
		longest = max(longest, r.to-r.from)
	}
	s.gain = float64(n - max(b-a-n, 0))
	s.span = float64(b-a) / float64(c.per)
	s.coverage = min(float64(n)/float64(b-a), 1)
	s.longest = float64(longest) / float64(c.per)
	lo, hi := c.h, 0
	s.each(func(_, y int) { lo, hi = min(lo, y), max(hi, y) })
	s.height = float64(hi-lo) / float64(c.per)
	s.half = c.breadth(&s.way) / 2
	first := int(margin * float64(c.per))
	in := 0
	s.each(func(x, y int) {
		if x >= first && x < c.w-first && y >= first && y < c.h-first {
			in++
		}
	})
	cells, again := 0, 0
	s.each(func(x, y int) {
		cells++
		if c.used[x*c.h+y] {
			again++
		}
	})
	s.again = float64(again) / float64(cells)
	s.inside = float64(in) / float64(cells)
	s.straight = c.onLines(&s.way)
	return s
}

// onLines is which part of a way's columns lies on straight level lines.
func (c *canvas) onLines(p *way) float64 {
	const near = 0.08 // square (TestACircuitIsDoubted)
	n := 0
	for i, y := range p.enter {
		x := p.first + i
		if slices.ContainsFunc(c.level, func(l line) bool {
			return x >= l.from && x <= l.to && math.Abs(l.at(x)-float64(y)) < near*float64(c.per)
		}) {
			n++
		}
	}
	return float64(n) / float64(len(p.enter))
}

const (
	// leastHeight is how high a curve is at least, in squares: a line of words is lower, and so is a line
	// (TestAPageOfWordsHasNoCurve).
	leastHeight = 1.0
	// leastCover is which part of its columns are on ink, and leastWhole which part of its width one stroke without a gap
	// covers (TestAPageOfWordsHasNoCurve).
	leastCover, leastWhole = 0.75, 0.3
	// seenAgain is which part of a way may lie on another curve: more, and it is that one, of which some places look like
	// another pen's (TestAxesAreNoCurves).
	seenAgain = 0.5
	// leastInside is which part of a curve lies on the ruled part (TestACurveGoesOnBeyondTheRuledPart).
	leastInside = 0.5
)

// isCurve tells a curve from a line of words, a table's line, the paper's edge.
func (s *stroke) isCurve() bool {
	return s.again < seenAgain && s.height >= leastHeight && s.coverage >= leastCover && s.inside >= leastInside && s.longest >= leastWhole*s.span
}

// A run is a part of a way without a gap, in columns, and how many cells of paper lie before it.
type run struct{ from, to, gap int }

// runsOn gives the parts of a way that lie on ink of its own. A gap is paper, along or up: another pen's ink or an axis is
// none.
func (c *canvas) runsOn(p *way, k int) (runs []run) {
	paper := 0
	p.each(func(x, y int) {
		i, at := x-p.first, c.beside(x, y)
		ink := c.ink.Pix[y*c.w+at]
		switch {
		case ink*c.own[k][at*c.h+y] > isInk:
			if n := len(runs); n > 0 && float64(paper) <= smallGap*float64(c.per) {
				runs[n-1].to = i + 1
			} else {
				runs = append(runs, run{i, i + 1, paper})
			}
			paper = 0
		case ink <= isInk:
			paper++
		}
	})
	return runs
}

// sharpen takes off a way's first and last column what it climbs there before it meets its own ink, and after it left it.
func (c *canvas) sharpen(p *way, k int) {
	own := func(x, y int) bool {
		at := c.beside(x, y)
		return c.ink.Pix[y*c.w+at]*c.own[k][at*c.h+y] > isInk
	}
	p.enter, p.leave = slices.Clone(p.enter), slices.Clone(p.leave)
	x := p.first
	for from, to := &p.enter[0], p.leave[0]; *from != to && !own(x, *from); {
		*from += step(*from, to)
	}
	n := len(p.enter) - 1
	for from, to := &p.leave[n], p.enter[n]; *from != to && !own(x+n, *from); {
		*from += step(*from, to)
	}
}

func step(from, to int) int {
	if from < to {
		return 1
	}
	return -1
}

// isInk is from which evidence on a cell counts as ink (TestInkIsWhatTheRulingIsNot).
const isInk = 0.4

// trimmed gives the runs of a way without what lies loose at its ends.
func (c *canvas) trimmed(runs []run) []run {
	loose := func(r run, gap int) bool {
		n := float64(r.to - r.from)
		return n < leastEnd*float64(c.per) || n < endToGap*float64(gap)
	}
	for len(runs) > 1 {
		n := len(runs)
		switch {
		case loose(runs[0], runs[1].gap):
			runs = runs[1:]
		case loose(runs[n-1], runs[n-1].gap):
			runs = runs[:n-1]
		default:
			return runs
		}
	}
	return runs
}

// breadth is the usual breadth of a way's stroke in cells: the shorter of the runs of ink across and along at each cell.
func (c *canvas) breadth(p *way) float64 {
	var all []float64
	i := 0
	p.each(func(x, y int) {
		if i++; i%5 != 0 || c.ink.Pix[y*c.w+x] < 0.5 {
			return
		}
		run := func(dx, dy int) int {
			n := 0
			for a, b := x+dx, y+dy; a >= 0 && a < c.w && b >= 0 && b < c.h && c.ink.Pix[b*c.w+a] >= 0.5; a, b = a+dx, b+dy {
				n++
			}
			return n
		}
		all = append(all, float64(1+min(run(1, 0)+run(-1, 0), run(0, 1)+run(0, -1))))
	})
	return raster.Median(all)
}

// take takes a stroke off all inks.
func (c *canvas) take(s *stroke) {
	reach := int(s.half) + 3
	s.each(func(x, y int) {
		for a := max(x-reach, 0); a <= min(x+reach, c.w-1); a++ {
			for b := max(y-reach, 0); b <= min(y+reach, c.h-1); b++ {
				c.own[s.inkOf][a*c.h+b], c.used[a*c.h+b] = 0, true
			}
		}
	})
}
