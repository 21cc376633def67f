package path

// Whose stroke is it, of several colours. The score of a cell is by its own colour (likeness), and a stroke's cells
// differ: its core is bleached, its edges have the stripes of the display and of the camera's mosaic. So a stroke of
// one colour has cells that score in another, and the best path in an orange tint may run along a yellow trace. The
// light of the whole stroke, summed over its height, has the stroke's colour. Where two strokes meet in a column their
// sum lies between.

import (
	"context"
	"math"
	"slices"

	"quadrille/vision/sheet"
)

const (
	// strokeReach is how far beyond a run, in boxes, its stroke is summed up: a run of the core alone has the edges
	// within it (TestTheTintOfAStroke).
	strokeReach = 0.1
	// plainlyNearer is how many times nearer than any other tint, as an angle, a stroke's colour is to that which it
	// is plainly of (TestAColourOfItsOwnIsAPlace).
	plainlyNearer = 2
	// ownCoverage is the share of the width in which a lesser path must have strokes plainly of its own colour to be
	// a trace although others cover the rest of it.
	// ownQuality is the least quality of such a path: that of coloured words is up to 0.8
	// (TestAColourOfItsOwnIsAPlace).
	ownCoverage, ownQuality = 0.35, 0.85
	// mostStrayed is the share of the columns from which on a trace that runs on another's strokes has strayed there: the
	// two are one stroke where they cross, and its colour lies between (TestATraceComesBackFromAnothers).
	mostStrayed = 0.02
)

// amongOthers gives the kept traces, each without what it has of another's strokes, and those of further drawings that
// are seen when the strokes of all others are left out. Its error is that of ctx.
func amongOthers(ctx context.Context, s *sheet.Sheet, rules *rulebook, drawn []*drawing, kept []*Candidate) ([]*Candidate, error) {
	if len(kept) == 0 {
		return nil, nil
	}
	var more []*Candidate
	for _, w := range drawn {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		traces := false
		for n, c := range kept {
			if c.Tint == w.tint {
				traces = true
				if !c.Line {
					kept[n] = c.backFromOthers(s, rules, w, kept)
				}
			}
		}
		if traces || w.leaveOthersStrokes(s, drawn) < LeastCoverage {
			continue
		}
		for _, c := range w.candidates(s, rules) {
			if c.quality >= ownQuality {
				more = append(more, c)
			}
		}
	}
	return keep(kept, inOrder(more, s, rules), s, rules), nil
}

// backFromOthers gives the kept trace anew where it strays onto another's strokes, as where a lead hides it and the
// other goes on; as it was if it does not, or if too little is left of it.
func (c *Candidate) backFromOthers(s *sheet.Sheet, rules *rulebook, w *drawing, kept []*Candidate) *Candidate {
	strayed := 0
	for i, r := range c.Path.Runs {
		if c.Path.Seen(i) && isStrokeOf(s, i, r, c.Tint, kept, plainlyNearer) {
			strayed++
		}
	}
	if float64(strayed) < mostStrayed*float64(len(c.Path.Runs)) {
		return c
	}
	v := *w
	v.runs = copied(w.runs)
	for i, rs := range v.runs {
		v.runs[i] = slices.DeleteFunc(rs, func(r Run) bool { return isStrokeOf(s, i, r, c.Tint, kept, plainlyNearer) })
	}
	for _, again := range v.candidates(s, rules) {
		if again.quality >= lesserQuality && again.Path.share() >= twinCoverage && again.Path.runsAlong(c.Path) {
			again.leaveCrossings(s, kept)
			again.Meets, again.Prominence = c.Meets, again.prominence(s)
			return again
		}
	}
	return c
}

// leaveCrossings takes the runs from the path that touch one of the other traces and are nearer to its colour: what is
// there of its own stroke has another middle.
func (c *Candidate) leaveCrossings(s *sheet.Sheet, kept []*Candidate) {
	for i, r := range c.Path.Runs {
		if c.Path.Seen(i) && isStrokeOf(s, i, r, c.Tint, kept, 1) {
			c.Path.Runs[i] = absent
		}
	}
}

// isStrokeOf reports whether run r of column i lies on one of the traces and is so many times nearer to its colour than
// to tint d.
func isStrokeOf(s *sheet.Sheet, i int, r Run, d sheet.Tint, traces []*Candidate, nearer float64) bool {
	for _, k := range traces {
		o := k.Path.Runs[i]
		if k.Tint == d || !k.Path.Seen(i) || r.Lo > o.Hi+1 || o.Lo-1 > r.Hi {
			continue
		}
		if drawn, ok := strokeTint(s, i, r); ok && nearer*drawn.Angle(k.Tint) < drawn.Angle(d) {
			return true
		}
	}
	return false
}

// leaveOthersStrokes takes from the drawing's runs those whose strokes are nearer to the tint of another of the
// drawings, and gives the share of the columns where it took some.
func (w *drawing) leaveOthersStrokes(s *sheet.Sheet, drawn []*drawing) float64 {
	taken := 0
	for i := range w.runs {
		keep := w.runs[i][:0]
		for _, r := range w.runs[i] {
			if !w.isOthersStroke(s, i, r, drawn) {
				keep = append(keep, r)
			}
		}
		if len(keep) < len(w.runs[i]) {
			taken++
		}
		w.runs[i] = keep
	}
	return float64(taken) / float64(max(len(w.runs), 1))
}

// isOthersStroke reports whether the stroke of run r of column i is nearer to another drawing's tint.
func (w *drawing) isOthersStroke(s *sheet.Sheet, i int, r Run, drawn []*drawing) bool {
	d, ok := strokeTint(s, i, r)
	return ok && slices.ContainsFunc(drawn, func(o *drawing) bool { return d.Angle(o.tint) < d.Angle(w.tint) })
}

// isOwnStroke reports whether the path's stroke in column i is plainly of its own colour and of none of those kept.
func (c *Candidate) isOwnStroke(s *sheet.Sheet, i int, kept []*Candidate) bool {
	d, ok := strokeTint(s, i, c.Path.Runs[i])
	nearest := math.Inf(1)
	for _, k := range kept {
		nearest = min(nearest, d.Angle(k.Tint))
	}
	return ok && plainlyNearer*d.Angle(c.Tint) < nearest
}

// strokeTint is the colour of the stroke that run r of column i is a part of: the cells that stand out from r.Lo to
// r.Hi and on to both sides. ok is false where none does.
func strokeTint(s *sheet.Sheet, i int, r Run) (d sheet.Tint, ok bool) {
	reach := int(strokeReach*float64(s.Up) + 0.5)
	var sum [3]float64
	add := func(j int) bool {
		v, lit := lightOf(s, i, j)
		if lit {
			for c := range sum {
				sum[c] += float64(v[c])
			}
		}
		return lit
	}
	for j := r.Lo; j <= r.Hi; j++ {
		add(j)
	}
	for j := r.Lo - 1; j >= max(r.Lo-reach, 0) && add(j); j-- {
	}
	for j := r.Hi + 1; j <= min(r.Hi+reach, s.NY-1) && add(j); j++ {
	}
	return sheet.UnitTint(sum), sum != [3]float64{}
}
