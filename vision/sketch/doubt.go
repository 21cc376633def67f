package sketch

import (
	"math"

	"quadrille/calibrate/remark"
)

// Kinds of doubts and notes about a drawing.
const (
	// KindMuchElse says that share of what is drawn on the squares is neither a curve nor an axis: what was followed may be
	// something else.
	KindMuchElse remark.Kind = "sketch.much_else"
	// KindMostlyStraight says that share of the curve lies on straight level lines: it may be a frame, a table or a circuit.
	KindMostlyStraight remark.Kind = "sketch.mostly_straight"
	// KindBroken says that the curve has gaps: share of its width is seen, the longest part without one is longest_box.
	KindBroken remark.Kind = "sketch.broken"
	// KindMeets says that another curve of the same pen is crossed, x_from_left_box squares from the left rim: which of the
	// two goes which way from there was not told by their colour.
	KindMeets remark.Kind = "sketch.meets_another"
	// KindCurled says that the paper is curled: its lines lie up to most_box squares off a plane.
	KindCurled remark.Kind = "sketch.curled"
	// KindFewLines says that only share of the ruling's lines were seen.
	KindFewLines remark.Kind = "sketch.few_lines"
)

const (
	// leastExplained and mostElse: of a drawn graph the curves and axes are at least nine tenths of what is drawn, or three
	// quarters where it is lettered; of a page of words, a table or a circuit half at most (BenchmarkSketches and
	// TestAPageOfWordsHasNoCurve).
	leastExplained, mostElse = 0.2, 0.3
	// mostStraight is which part of a curve may lie on straight level lines (TestACircuitIsDoubted).
	mostStraight = 0.8
	// seenWhole and wholeParts: coverage, and the longest part to the width, of a curve that nobody need doubt
	// (TestABrokenCurveIsDoubted).
	seenWhole, wholeParts = 0.85, 0.4
	// muchCurl is the curl in squares that is worth a note (TestCurledPaperIsFollowed).
	muchCurl = 0.5
	// fewLines is the share of seen pieces of line below which the squares are doubted (TestSquaresOfAllRulings).
	fewLines = 0.75
)

// doubt adds what speaks against the drawing.
func (d *Drawing) doubt() {
	if else_ := 1 - d.Explained; else_ > mostElse {
		d.Doubts = append(d.Doubts, remark.Of(KindMuchElse, remark.Number("share", else_)))
	}
	if d.Paper.Share < fewLines {
		d.Doubts = append(d.Doubts, remark.Of(KindFewLines, remark.Number("share", d.Paper.Share)))
	}
	if d.Paper.Curl > muchCurl {
		d.Notes = append(d.Notes, remark.Of(KindCurled, remark.Number("most_box", d.Paper.Curl)))
	}
}

// doubtsOf tells what speaks against a stroke.
func doubtsOf(s *stroke) (doubts, notes []remark.Remark) {
	if s.straight > mostStraight {
		doubts = append(doubts, remark.Of(KindMostlyStraight, remark.Number("share", s.straight)))
	}
	if s.coverage < seenWhole || s.longest < wholeParts*s.span {
		doubts = append(doubts, remark.Of(KindBroken, remark.Number("share", s.coverage), remark.Number("longest_box", s.longest)))
	}
	return doubts, notes
}

// meetInside is how far from the ends of both, in squares, two curves must cross to be mixed up: two that begin at one
// place cannot be (TestCurvesThatCrossAreDoubted).
const meetInside = 1.0

// meets tells where another stroke of the same ink comes within the strokes' breadth of s, in columns; false if none.
func (c *canvas) meets(s *stroke, all []*stroke) (x int, ok bool) {
	for _, o := range all {
		if o == s || o.inkOf != s.inkOf {
			continue
		}
		inside := int(meetInside * float64(c.per))
		from := max(s.first, o.first) + inside
		to := min(s.first+len(s.enter), o.first+len(o.enter)) - inside
		near := int(s.half+o.half) + 4
		for x := from; x < to; x++ {
			if c.between(s, o, x) < near {
				return x, true
			}
		}
	}
	return 0, false
}

// explained gives which part of what is drawn on the ruled part the strokes and the axes are.
func (c *canvas) explained(strokes []*stroke) float64 {
	taken := make([]bool, c.w*c.h)
	take := func(x, y, r int) {
		for b := max(y-r, 0); b <= min(y+r, c.h-1); b++ {
			for a := max(x-r, 0); a <= min(x+r, c.w-1); a++ {
				taken[b*c.w+a] = true
			}
		}
	}
	const beside = 3 // cells: a blurred stroke's own rim
	for _, s := range strokes {
		s.each(func(x, y int) { take(x, y, int(s.half)+beside) })
	}
	for _, l := range c.level {
		for x := l.from; l.axis && x <= l.to; x++ {
			take(x, int(math.Round(l.at(x))), int(l.half)+beside)
		}
	}
	for _, l := range c.stands {
		for y := l.from; l.axis && y <= l.to; y++ {
			take(int(math.Round(l.at(y))), y, int(l.half)+beside)
		}
	}
	first := int(margin * float64(c.per))
	all, some := 0, 0
	for y := first; y < c.h-first; y++ {
		for x := first; x < c.w-first; x++ {
			if k := y*c.w + x; c.drawing[k] {
				all++
				if taken[k] {
					some++
				}
			}
		}
	}
	return float64(some) / float64(max(all, 1))
}
