package path

// Rules of colours, drawings and single paths: what is no trace whatever else the display shows.

import "quadrille/vision/sheet"

const (
	// LeastCoverage is the share of the frame's width that a trace covers at least (TestHowMuchOfATraceIsSeenAtLeast).
	LeastCoverage = 0.2
	// leastQuality is the least quality of the best path, lesserQuality of any other; twinQuality is that of a second
	// path in the colour of a first, which must cover twinCoverage of the width. On 33 real photos, traces have 0.65
	// to 1, lesser ones 0.76 to 1, second ones of a colour 0.78 to 1; rows of text, dashed lines and menus have 0.4
	// to 0.72 (TestHowWellATraceHangsTogetherAtLeast, TestHowMuchOfATraceIsSeenAtLeast). A path that covers less than
	// partShare of the width must have partQuality: it may be one line of text.
	leastQuality, lesserQuality, twinQuality, partQuality = 0.4, 0.72, 0.76, 0.8
	// partedQuality is that of another one in a band of rows of its own, where words or a menu would have been seen as
	// such: beams are dim where they are fast (TestHowWellATraceHangsTogetherAtLeast).
	partedQuality = 0.6
	// TestHowMuchOfATraceIsSeenAtLeast, TestHowWellATraceHangsTogetherAtLeast.
	twinCoverage, partShare = 0.6, 0.5
	// overRim is the least light of a path along the upper or lower rim in units of the rim's ink, whose line is
	// brighter than dots (TestWhatLiesOnTheRim).
	overRim = 1.6
)

func isDarkFringe(lines sheet.Lines, d sheet.Tint) bool { return lines.Lit && d.Grey() < 0 }

func isShort(c *Candidate, _ *sheet.Sheet, _ *drawing, second bool) bool {
	least := LeastCoverage
	if second {
		least = twinCoverage
	}
	return c.Path.share() < least
}

func isRagged(c *Candidate, _ *sheet.Sheet, _ *drawing, second bool) bool {
	least := leastQuality
	if second {
		least = twinQuality
	} else if c.Path.share() < partShare {
		least = partQuality
	}
	return c.quality < least
}

func isGridLine(c *Candidate, s *sheet.Sheet, w *drawing, _ bool) bool {
	return c.Path.liesOnALine(s) && w.amount < w.peakInk
}

func isRim(c *Candidate, s *sheet.Sheet, w *drawing, _ bool) bool {
	return c.Path.LiesOnTheRim(s) && w.amount < overRim*w.rimInk
}
