package sketch

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/vision/raster"
)

// Kinds of doubts and notes about a drawing.
const (
	// KindMuchElse says that share of what is drawn on the squares in large pieces is neither a curve nor an axis: what
	// was followed may be something else. Letters, ticks and arrows are small and do not count.
	KindMuchElse remark.Kind = "sketch.much_else"
	// KindMostlyStraight says that share of the curve lies on straight level lines: it may be a frame, a table or a
	// circuit.
	KindMostlyStraight remark.Kind = "sketch.mostly_straight"
	// KindBroken says that the curve has gaps: share of its width is seen, the longest part without one is longest_box.
	KindBroken remark.Kind = "sketch.broken"
	// KindMeets says that another stroke of the same pen is crossed, x_from_left_box squares from the left rim. A doubt
	// where neither colour nor direction tells which of the two goes on which way from there, else a note.
	KindMeets remark.Kind = "sketch.meets_another"
	// KindCurled says that the paper is curled: its lines lie up to most_box squares off a plane.
	KindCurled remark.Kind = "sketch.curled"
	// KindGoesOn says that the curve runs to the edge of what is looked at round the squares that were found: there are
	// more of them, which were not.
	KindGoesOn remark.Kind = "sketch.goes_on"
	// KindFewLines says that only share of the ruling's lines were seen.
	KindFewLines remark.Kind = "sketch.few_lines"
)

const (
	// leastExplained is which part of all that is drawn the curves and axes are at least (TestAPageOfWordsHasNoCurve).
	leastExplained = 0.2
	// mostElse is which part of the large pieces may be something else: at a drawn graph 0 to 0.18, of a table or a
	// circuit 0.26 and more (BenchmarkSketches and TestAPageOfWordsHasNoCurve).
	mostElse = 0.22
	// mostStraight is which part of a curve may lie on straight level lines (TestACircuitIsDoubted).
	mostStraight = 0.8
	// seenWhole and wholeParts: coverage, and the longest part to the width, of a curve that nobody need doubt
	// (TestABrokenCurveIsDoubted).
	seenWhole, wholeParts = 0.85, 0.4
	// muchCurl is the curl in squares that is worth a note (TestCurledPaperIsFollowed).
	muchCurl = 0.5
	// fewLines is the share of seen pieces of line below which the squares are doubted (TestSquaresOfAllRulings).
	fewLines = 0.75
	// edgeNear is how near the edge of what is looked at, in squares, a curve ends that goes on
	// (TestACurveOnSquaresThatWereNotFound).
	edgeNear = 0.25
)

// doubt adds what speaks against the drawing.
func (d *Drawing) doubt() {
	if else_ := 1 - d.large; else_ > mostElse {
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

// goesOn reports whether a stroke runs to the edge of what is looked at, and the photo goes on there.
func (c *canvas) goesOn(s *stroke) bool {
	near := max(1, int(edgeNear*float64(c.per)))
	first, last := s.at[0], s.at[len(s.at)-1]
	return first.x < near && !c.outside[first.y*c.w] || last.x >= c.w-near && !c.outside[last.y*c.w+c.w-1]
}

// explained gives which part of what is drawn on the ruled part the strokes and the axes are, and which part of it and
// of all large pieces that are left: letters, ticks and arrows are small.
func (c *canvas) explained(strokes []*stroke) (ofAll, ofLarge float64) {
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
		for _, p := range s.at {
			take(p.x, p.y, int(s.half)+beside)
		}
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
	some := 0
	var spans []raster.Span
	on := make([]bool, c.w)
	for y := first; y < c.h-first; y++ {
		for x := first; x < c.w-first; x++ {
			k := y*c.w + x
			on[x] = c.drawing[k] && !taken[k]
			if taken[k] && (c.drawing[k] || c.ink.Pix[k] > 0.5) { // a hard pencil's stroke is all small pieces
				some++
			}
		}
		spans = raster.Spans(spans, y, on)
	}
	list, _ := raster.Components(spans, 1)
	most := int(markSize * float64(c.per))
	all, large := some, some
	for _, m := range list {
		all += m.Area
		if max(m.Line1-m.Line0, m.To-m.From) > most {
			large += m.Area
		}
	}
	return float64(some) / float64(max(all, 1)), float64(some) / float64(max(large, 1))
}
