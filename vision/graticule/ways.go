package graticule

// The ways to a hypothesis, and the order in which they are gone.

import (
	"fmt"

	"context"

	"quadrille/vision/frame"
	"quadrille/vision/scene"
)

// A way is one row of the table: what it looks at, when it can still change the outcome, and how it is gone. It gives
// nil where it finds nothing.
type way struct {
	name   string
	why    string
	wanted func(s *search) bool
	run    func(s *search) *hypothesis
}

// hardlyRuled is the quality under which the lines found are so few that the display may have none: true lattices have
// 40 to 3,000, lines that are none 0 to 50 (TestMarksAreSoughtEarlyWhereLinesAreFew).
const hardlyRuled = 30.0

// ways are gone in this order, until the leader is settled or two views agree.
var ways = []way{
	{"ruled lines, coarse", "most displays fill much of the photo, and a picture of 640 pixels shows their lines",
		always, byLines(scene.Photographed, scene.Coarse)},
	{"ruled lines, fine", "boxes of under 28 pixels of the fine picture are not told on the coarse one",
		always, byLines(scene.Photographed, scene.Fine)},
	{"marks", "some displays have no lines across, but ticks or crosses",
		(*search).hardlyRuled, byMarks(scene.Photographed)},
	{"limited light, coarse", "a trace, words or glare may outshine the lines",
		always, byLines(scene.Limited, scene.Coarse)},
	{"limited light, fine", "the same for small boxes",
		always, byLines(scene.Limited, scene.Fine)},
	{"colourless, coarse", "the steep edges of a coloured wave stand at even distances",
		(*search).hasColour, byLines(scene.Colourless, scene.Coarse)},
	{"colourless, fine", "the same for small boxes",
		(*search).hasColour, byLines(scene.Colourless, scene.Fine)},
	{"dots", "on a display of dots all over, each third row or seventh may be taken for lines",
		always, (*search).dots},
	{"marks, late", "ticks or crosses may tell more than the lines that were found",
		func(s *search) bool { return !s.marksSought }, byMarks(scene.Photographed)},
	{"marks, colourless", "a coloured trace may hide the ticks of an axis",
		(*search).hasColour, byMarks(scene.Colourless)},
}

// A search is one question to a Finder.
type search struct {
	*Finder
	ctx         context.Context
	o           *Options
	ways        []way // to go
	leader      *hypothesis
	shown       [2][]*frame.Candidate // of each pool, what had been found by the way that is gone, the foremost first
	marksSought bool                  // on the photo as it is
	refused     *NotFoundError        // the first hypothesis that is no graticule
}

// find goes the ways. With corners by hand the same ways are gone, and only what lies at the corners counts.
func (s *search) find() (*Graticule, error) {
	for _, w := range s.ways {
		if s.done() || s.ctx.Err() != nil {
			break
		}
		if w.wanted(s) {
			s.take(w.run(s))
		}
	}
	if s.o.Corners != nil {
		return s.byHand()
	}
	switch {
	case s.leader != nil && s.leader.isNone():
		return nil, &NotFoundError{fmt.Sprintf("no graticule found: only %.0f %% of the lines of the best candidate are there, %.2f boxes off",
			100*s.leader.share, s.leader.rms), retake}
	case s.leader != nil:
		s.showFit(s.leader)
		return s.leader.Graticule, nil
	case s.refused != nil:
		return nil, s.refused
	}
	return nil, &NotFoundError{"no graticule found: nowhere on the photo are there evenly spaced lines that cross",
		"photograph the display alone, straight on and sharp; or give the frame's corners and count of boxes by hand"}
}

// done reports whether no way that is left could change who leads: the leader is settled, nothing speaks against a
// frame by its marks, which are looked for only where lines are few, or the foremost candidates of two views, which
// have nothing but the display in common, are the same frame, of whose lines nothing says that they are a trace's.
func (s *search) done() bool {
	l := s.leader
	switch {
	case l == nil || s.o.Corners != nil && l.standing < clear:
		return false
	case l.standing >= settled, l.standing == markedClearly:
		return true
	case l.inks || l.candidate == nil:
		return false
	}
	seen := map[scene.View]bool{}
	for i := range s.pools {
		for _, c := range s.shown[i] {
			v := s.pools[i].view[c]
			if seen[v] {
				continue
			}
			seen[v] = true // the foremost of its view
			if v == l.view || !c.SameFrame(l.candidate) {
				continue
			}
			// A wave's flanks are there in both views that have colour.
			if v == scene.Colourless || l.view == scene.Colourless || !s.hasColour() || !l.wave && s.bears(l.Graticule, &l.verdict) {
				return true
			}
		}
	}
	return false
}

// take makes h the leader if it is to be preferred.
func (s *search) take(h *hypothesis) {
	if h != nil && h.over(s.leader) {
		s.leader = h
	}
}

func always(*search) bool { return true }

// hardlyRuled reports whether the lines found so far are so few that the display may have none.
func (s *search) hardlyRuled() bool { return s.leader == nil || s.leader.quality < hardlyRuled }

// hasColour reports whether the photo has a colourless view.
func (s *search) hasColour() bool { return s.scene.Kept() != nil }
