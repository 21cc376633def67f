package path

// Rules of candidates beside each other: the order in which they are taken, and what instruments draw beside traces.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// lesserCoverage is the share of the width in which a lesser path must be seen by itself: what goes along the
	// rim, a menu's border and the levels of another trace by turns does not (TestWhatHasNoPlaceBesideATrace).
	lesserCoverage = 0.6
	// besideRim is the quality from which a path that covers twinCoverage of the width is taken before one along the
	// rim; rows of text seldom cover that much (TestWhenLinesComeLast).
	besideRim = 0.6
	// faintest is the least prominence of such a path as a share of the most prominent: remains of the graticule that
	// hang together had 0.07 beside a steady level, a thin trace beside helper lines 0.85 (TestWhenLinesComeLast).
	faintest = 0.25
	// aPixel is the width, in boxes and as a standard deviation, that a line of one or two display
	// pixels cannot exceed in a sharp photo. A lesser path that is both this thin and less than half
	// as wide as the best is a line of the graticule or a helper line (TestWhatIsThinBesideATrace).
	aPixel = 0.0125
	// Neutral is how near to grey, in radians, a tint is white: text and frames are, beside a trace
	// that has a hue (TestWhatIsWhiteBesideAHue).
	Neutral = 0.14
	// fringe is how far beside a run, in boxes, the other fringe of its stroke may lie
	// (TestWhatHasNoPlaceBesideATrace).
	fringe = 0.1
)

// linesLast puts lines from rim to rim, and paths along the upper or lower rim, behind all others, if one of those is
// likely enough: such a line hangs together better than many a trace. What runs along one of them, as the halo of a
// bright level does, is not.
func linesLast(found []*Candidate, s *sheet.Sheet) []*Candidate {
	var lines, others []*Candidate
	likely := false
	for _, c := range found {
		if c.Line || c.Path.LiesOnTheRim(s) {
			lines = append(lines, c)
			continue
		}
		others = append(others, c)
		halo := slices.ContainsFunc(found, func(o *Candidate) bool { return o != c && o.Line && c.Path.runsAlong(o.Path) })
		likely = likely || !halo && c.quality >= besideRim && c.Path.share() >= twinCoverage && c.prominence(s) > faintest*found[0].prominence(s)
	}
	if !likely {
		return found
	}
	return append(others, lines...)
}

func isRaggedBeside(c *Candidate, _ *sheet.Sheet, _ []*Candidate) bool {
	if c.parted {
		return c.quality < partedQuality
	}
	return c.quality < lesserQuality
}

func isOtherPolarity(c *Candidate, _ *sheet.Sheet, kept []*Candidate) bool {
	return (c.Tint.Grey() > 0) != (kept[0].Tint.Grey() > 0)
}

// isCursor reports whether a level line beside a trace is one that instruments draw for measuring. A display that draws
// lines draws its graticule as well; on a tube with an engraved one each level line is a beam's.
func isCursor(c *Candidate, s *sheet.Sheet, kept []*Candidate) bool {
	trace := slices.ContainsFunc(kept, func(k *Candidate) bool { return !k.Line })
	if !c.Line || !trace {
		return false
	}
	sameColour := func(k *Candidate) bool { return k.Tint == c.Tint }
	return c.Path.isDashed() || c.paired || c.hued && !s.Lines.Engraved && slices.ContainsFunc(kept, sameColour)
}

// hasNoPlace reports whether the path is seen by itself in few columns: off the upper and lower rim, and not on or
// right beside another path; a curve in a colour of its own may have others cover more of it. The fringes of an
// overexposed stroke lie on both sides of its core, and are of one tint.
func hasNoPlace(c *Candidate, s *sheet.Sheet, kept []*Candidate) bool {
	n, beside := 0, int(fringe*float64(s.Up)+0.5)
	var own []float64 // heights of strokes plainly of its own colour
	for i, r := range c.Path.Runs {
		y := s.Y(float64(r.Lo+r.Hi) / 2)
		if !c.Path.Seen(i) || math.Abs(math.Abs(y)+s.Frame.Bottom()) < hugNear {
			continue
		}
		on := false
		for _, k := range kept {
			o := k.Path.Runs[i]
			on = on || k.Path.Seen(i) && r.Lo <= o.Hi+beside && o.Lo-beside <= r.Hi
		}
		if !on {
			n++
			if c.quality >= ownQuality && !c.lettered && c.isOwnStroke(s, i, kept) {
				own = append(own, y)
			}
		}
	}
	columns := float64(len(c.Path.Runs))
	hasColour := float64(len(own)) >= ownCoverage*columns && raster.Rank(own, 0.95)-raster.Rank(own, 0.05) > hugLevel
	return float64(n) < lesserCoverage*columns && !hasColour
}

func isWhiteBesideHue(c *Candidate, _ *sheet.Sheet, kept []*Candidate) bool {
	white := math.Cos(Neutral)
	return c.Tint.Grey() > white && kept[0].Tint.Grey() < white
}

func isInkBesideHue(c *Candidate, _ *sheet.Sheet, kept []*Candidate) bool {
	return !c.hued && kept[0].hued
}

func isThinLine(c *Candidate, s *sheet.Sheet, kept []*Candidate) bool {
	w := c.Path.Breadth(s)
	return w < aPixel && w < kept[0].Path.Breadth(s)/2
}

func runsAlongKept(c *Candidate, _ *sheet.Sheet, kept []*Candidate) bool {
	for _, k := range kept {
		if c.Path.runsAlong(k.Path) {
			return true
		}
	}
	return false
}
