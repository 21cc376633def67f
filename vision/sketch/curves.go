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
	// besideTold is the same of one that is too short for a curve, and may yet be told
	// (TestAShortStrokeThatRunsIntoAnAxis).
	besideTold = 0.12
	// barLeast, in squares, is what is cut from a way's end for another way to be looked for without it, barTries times
	// at most (TestALabelIsNoEndOfACurve).
	barLeast, barTries = 0.3, 4
	// hopeless is which part of the columns that are asked for a way gains at least on all its ink, whatever it turns.
	// From 0 to 0.7 it costs time only (TestSeveralCurvesAreFound).
	hopeless = 0.7
)

// A stroke is a way found, with what tells a curve from other things.
type stroke struct {
	way
	inkOf    int     // index of its ink
	half     float64 // cells, half the stroke's breadth
	coverage float64 // 0..1, of its length on ink
	longest  float64 // square, the longest part without a gap, along x
	height   float64 // square, between its lowest and highest
	span     float64 // square, its width
	inside   float64 // 0..1, cells on the ruled part
	straight float64 // 0..1, cells on straight level lines
	again    float64 // 0..1, cells on strokes that were taken before

	crossings []crossing // of other strokes of its ink
}

// strokes gives the ways, the longest first, at most mostCurves.
func (c *canvas) strokes(ctx context.Context) (out []*stroke, err error) {
	best := make([]*stroke, len(c.own))
	stale := make([]bool, len(c.own))
	var others []*stroke
	for k := range stale {
		stale[k] = true
	}
	for tries := 0; tries < 2*mostCurves && len(out) < mostCurves; tries++ {
		var s *stroke
		least := 0.0
		if len(out) > 0 {
			least = besideMain * out[0].gain
		}
		for k := range c.own {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if stale[k] {
				best[k], stale[k] = c.strokeOf(k, besideTold/besideMain*least), false
			}
			if best[k] != nil && (s == nil || best[k].gain > s.gain) {
				s = best[k]
			}
		}
		if s == nil || s.gain < least {
			break
		}
		c.take(s)
		for k, o := range best {
			stale[k] = k == s.inkOf || o != nil && c.againOf(o) > 0
		}
		if s.isCurve() {
			out = append(out, s)
		} else if s.again < seenAgain && s.inside >= leastInside {
			others = append(others, s)
		}
	}
	for i := range out {
		for j := range i {
			c.untangle(out[j], out[i])
		}
	}
	for _, s := range out {
		c.hidesInAxis(s)
		c.leftBetween(s)
		for _, o := range others {
			c.crossedBy(s, o)
		}
		for _, o := range best {
			if o != nil && o.gain < besideMain*out[0].gain && o.gain >= besideTold*out[0].gain && o.isCurve() {
				c.runsInto(s, o)
			}
		}
	}
	return out, nil
}

// strokeOf gives the best way on an ink; nil if it comes to nothing, or surely to less than so many columns of ink.
func (c *canvas) strokeOf(k int, least float64) *stroke {
	for try := 1; ; try++ {
		p := c.offLabels(k)
		if len(p.at) == 0 || p.gain*float64(c.coarse()) < hopeless*least {
			return nil
		}
		runs := c.trimmed(c.runsOn(&p, k, onAxis))
		if len(runs) == 0 {
			return nil
		}
		a0, b0 := runs[0].from, runs[len(runs)-1].to
		a, b := c.earned(&way{at: p.at[a0:b0]}, k)
		a, b = a+a0, b+a0
		most := int(barLeast * float64(c.per))
		if a < b && (a < most && len(p.at)-b < most || try == barTries) {
			return c.strokeAlong(p, a, b, k)
		}
		if try == barTries {
			return nil
		}
		if a >= b {
			a, b = len(p.at), len(p.at)
		}
		reach := int(c.breadth(&p)/2) + 2
		c.bar(p.at[:a], p.at[a:b], k, reach)
		c.bar(p.at[b:], p.at[a:b], k, reach)
	}
}

// strokeAlong makes the stroke of ink k along the part of a way from place a up to but without b; nil if it is too
// short.
func (c *canvas) strokeAlong(p way, a, b, k int) *stroke {
	s := &stroke{way: way{at: p.at[a:b], gain: p.gain}, inkOf: k}
	x0, x1 := s.at[0].x, s.at[len(s.at)-1].x+1
	if float64(x1-x0) < leastSpan*float64(c.per) {
		return nil
	}
	runs := c.runsOn(&s.way, k, 0)
	n, wide, longest := 0, 0, 0
	for _, r := range runs {
		n += r.to - r.from
		w := s.at[r.to-1].x + 1 - s.at[r.from].x
		wide += w
		longest = max(longest, w)
	}
	s.gain = float64(wide - max(x1-x0-wide, 0))
	s.span = float64(x1-x0) / float64(c.per)
	s.coverage = min(float64(n)/float64(b-a), 1)
	s.longest = float64(longest) / float64(c.per)
	lo, hi := c.h, 0
	first := int(margin * float64(c.per))
	in := 0
	for _, p := range s.at {
		lo, hi = min(lo, p.y), max(hi, p.y)
		if p.x >= first && p.x < c.w-first && p.y >= first && p.y < c.h-first {
			in++
		}
	}
	s.height = float64(hi-lo) / float64(c.per)
	s.half = c.breadth(&s.way) / 2
	s.again = c.againOf(s)
	s.inside = float64(in) / float64(len(s.at))
	s.straight = c.onLines(&s.way)
	return s
}

// againOf is which part of a stroke lies on strokes that were taken.
func (c *canvas) againOf(s *stroke) float64 {
	n := 0
	for _, p := range s.at {
		if c.used[p.x*c.h+p.y] {
			n++
		}
	}
	return float64(n) / float64(len(s.at))
}

// fine gives a way over the cells of the sheet, of one over coarse ones: through the middle of the ink round each.
// Where it climbs, that may lie a little to the side.
func (c *canvas) fine(p way, k int) way {
	q := c.coarse()
	lean := c.lean() + q // a coarse cell's ink may be at its far side
	out := way{gain: p.gain}
	var x0, y0 float64
	for i, b := range p.at {
		wide := q
		if i > 0 && p.at[i-1].x == b.x || i+1 < len(p.at) && p.at[i+1].x == b.x {
			wide = lean
		}
		x, y := c.middle(b.x*q+q/2, b.y*q+q/2, wide, q, k)
		if i == 0 {
			out.at = append(out.at, place{int(x), int(y)})
		} else {
			n := int(math.Ceil(math.Max(math.Abs(x-x0), math.Abs(y-y0))))
			for k := 1; k <= n; k++ {
				f := float64(k) / float64(n)
				out.at = append(out.at, place{int(x0 + f*(x-x0)), int(y0 + f*(y-y0))})
			}
		}
		x0, y0 = x, y
	}
	return out
}

// middle gives the middle of an ink within so many cells of one, along and up; that one without any.
func (c *canvas) middle(x, y, wide, high, k int) (mx, my float64) {
	var sum, sx, sy float64
	for b := max(y-high, 0); b <= min(y+high, c.h-1); b++ {
		for a := max(x-wide, 0); a <= min(x+wide, c.w-1); a++ {
			v := float64(c.ink.Pix[b*c.w+a] * max(c.own[k][a*c.h+b], 0))
			sum += v
			sx += v * float64(a)
			sy += v * float64(b)
		}
	}
	if sum < 1 {
		return float64(x) + 0.5, float64(y) + 0.5
	}
	return sx/sum + 0.5, sy/sum + 0.5
}

// onLines is which part of a way lies on straight level lines.
func (c *canvas) onLines(p *way) float64 {
	const near = 0.08 // square (TestACircuitIsDoubted)
	n := 0
	for _, q := range p.at {
		if slices.ContainsFunc(c.level, func(l line) bool {
			return q.x >= l.from && q.x <= l.to && math.Abs(l.at(q.x)-float64(q.y)) < near*float64(c.per)
		}) {
			n++
		}
	}
	return float64(n) / float64(len(p.at))
}

const (
	// leastHeight is how high a curve is at least, in squares: a line of words is lower, and so is a line
	// (TestAPageOfWordsHasNoCurve).
	leastHeight = 1.0
	// leastCover is which part of its columns are on ink, and leastWhole which part of its width one stroke without a
	// gap covers (TestAPageOfWordsHasNoCurve, TestAnEdgeAlongAPrintedLineIsTheCurves).
	leastCover, leastWhole = 0.65, 0.3
	// seenAgain is which part of a way may lie on another curve: more, and it is that one, of which some places look
	// like another pen's (TestAxesAreNoCurves).
	seenAgain = 0.5
	// leastInside is which part of a curve lies on the ruled part (TestACurveGoesOnBeyondTheRuledPart).
	leastInside = 0.5
)

// isCurve tells a curve from a line of words, a table's line, the paper's edge.
func (s *stroke) isCurve() bool {
	return s.again < seenAgain && s.height >= leastHeight && s.coverage >= leastCover && s.inside >= leastInside && s.longest >= leastWhole*s.span
}

// breadth is the usual breadth of a way's stroke in cells: the shorter of the runs of ink across and along at each
// cell.
func (c *canvas) breadth(p *way) float64 {
	var all []float64
	for i := 4; i < len(p.at); i += 5 {
		x, y := p.at[i].x, p.at[i].y
		if c.ink.Pix[y*c.w+x] < 0.5 {
			continue
		}
		run := func(dx, dy int) int {
			n := 0
			for a, b := x+dx, y+dy; a >= 0 && a < c.w && b >= 0 && b < c.h && c.ink.Pix[b*c.w+a] >= 0.5; a, b = a+dx, b+dy {
				n++
			}
			return n
		}
		all = append(all, float64(1+min(run(1, 0)+run(-1, 0), run(0, 1)+run(0, -1))))
	}
	return raster.Median(all)
}
