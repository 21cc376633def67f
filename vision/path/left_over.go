package path

// What is left over: strokes that stand out, that make a curve, and that nothing explains.
//
// A run is explained by the rule that took it away (what lies outside the frame, upright lines, panels, words) and by
// what the list of traces holds: strokes of those that were kept, their halos, and the edges that they jump over. It
// is explained by the graticule where it lies on a line and is no taller than one, for what the model of the ink
// leaves of lines hangs together. Of the other runs the best path is taken, as of a trace. Those of its pieces that
// are too high for words and hang together are curves, but for a lamp's reflection, which is filled, and a lead or a
// finger before the screen, which is thicker than a trace and comes from beyond the rim.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// leftBeside is how far beside a kept trace's run, in boxes, there may be its halo, or noise of it
	// (TestWhatATraceExplains).
	leftBeside = 0.12
	// besideColumns is how many columns beside a trace's its stroke may be seen (TestWhatATraceExplains).
	besideColumns = 2
	// onLine is how far from a line, in boxes, the middle of a run lies that is what is left of the line's ink, if there
	// is more of it inkFrom to inkTo boxes beside: from one dot of a line to the next but one, further than a curve
	// takes to cross it (TestWhatTheGraticuleExplains).
	onLine, inkFrom, inkTo = 0.06, 0.2, 0.4
	// curvePiece is the least length of a piece of a curve, in boxes, curveHigh its least height: letters are up to
	// letterHigh. curveLit is the least share of its columns in which it stands out (TestWhatIsLeftOver).
	curvePiece, curveHigh, curveLit = 0.2, letterHigh, 0.5
	// leadEnds is how near the rim, in boxes, a lead or a finger's edge is still seen, leadThick how many times as thick
	// as the traces it is at least: two leads had 3 and 3.8, a finger's edge 1.7 (TestALeadIsNotLeftOver).
	leadEnds, leadThick = 0.1, 1.4
	// leastLeft is how many boxes of curves are told. Of 150 simulated displays and 33 photos, those with something left
	// over on which a trace was missing had 0.98 and more but for two with 0.6, the others 0.88 and less
	// (TestWhatIsLeftOver).
	leastLeft = 0.9
)

// A LeftOver is a curve that nothing explains.
type LeftOver struct {
	From, To int // columns of its first and last piece
	Lo, Hi   int // rows
	Columns  int // in which its pieces are seen
	Tint     sheet.Tint
}

// leftOver gives the longest curve that nothing explains in one of the drawings, nil if there is none.
func leftOver(s *sheet.Sheet, rules *rulebook, drawn []*drawing, kept []*Candidate) (most *LeftOver) {
	if len(kept) == 0 {
		return nil
	}
	for _, w := range drawn {
		if isOtherPolarity(&Candidate{Tint: w.tint}, s, kept) {
			continue
		}
		if l := w.curvesLeft(s, w.unexplained(s, rules, kept), kept); l != nil && (most == nil || l.Columns > most.Columns) {
			most = l
		}
	}
	return most
}

// unexplained gives the runs of the drawing that neither words nor upright lines nor the graticule nor the kept traces
// explain.
func (w *drawing) unexplained(s *sheet.Sheet, rules *rulebook, kept []*Candidate) [][]Run {
	rest := copied(w.runs)
	for _, words := range rules.words {
		rest = words(s, rest)
	}
	for _, c := range kept {
		c.Path.explain(s, rest)
	}
	upright := helperLit * -2 * s.Frame.Bottom() * float64(s.Up)
	lines := make([]uint64, len(rest)) // those on which the column has a low run, as bits from the lowest
	for i, rs := range rest {
		lit := 0
		for _, r := range w.runs[i] {
			lit += r.Hi - r.Lo + 1
		}
		if float64(lit) >= upright {
			rest[i] = nil
			continue
		}
		for _, r := range rs {
			lines[i] |= lineOf(s, r)
		}
	}
	from, to := int(inkFrom*float64(s.Across)), int(inkTo*float64(s.Across))
	for i, rs := range rest {
		level := uint64(0)
		for k := from; k <= to; k++ {
			level |= lines[max(i-k, 0)] | lines[min(i+k, len(lines)-1)]
		}
		rest[i] = slices.DeleteFunc(rs, func(r Run) bool { return lineOf(s, r)&level != 0 })
	}
	return rest
}

// lineOf gives the level line of the graticule, as a bit from the lowest, on which a run lies that is no taller than a
// line; 0 if there is none.
func lineOf(s *sheet.Sheet, r Run) uint64 {
	y := s.Y(float64(r.Lo+r.Hi)/2) - s.Frame.Bottom()
	if math.Abs(y-math.Round(y)) >= onLine || float64(r.Hi-r.Lo+1)*s.DY >= inkBridge {
		return 0
	}
	return 1 << max(int(math.Round(y)), 0)
}

// explain takes from the runs what lies on the path or beside it, also of the columns besideColumns from it, and on the
// edges over which it jumps.
func (p *Path) explain(s *sheet.Sheet, runs [][]Run) {
	near, reach := int(leftBeside*float64(s.Up)+0.5), int(lookBack*float64(s.Across))
	before, after := p.neighbours()
	for i, rs := range runs {
		lo, hi := s.NY, -1
		for k := max(i-besideColumns, 0); k <= min(i+besideColumns, len(p.Runs)-1); k++ {
			if p.Seen(k) {
				lo, hi = min(lo, p.Runs[k].Lo), max(hi, p.Runs[k].Hi)
			}
		}
		if a, b := before[i], after[i]; a >= 0 && b >= 0 && b-a < reach {
			lo, hi = min(lo, p.Runs[a].Lo, p.Runs[b].Lo), max(hi, p.Runs[a].Hi, p.Runs[b].Hi)
		}
		runs[i] = slices.DeleteFunc(rs, func(r Run) bool { return hi >= lo && r.Hi >= lo-near && r.Lo <= hi+near })
	}
}

// neighbours gives of each column the last column up to it in which the path is seen, and the first from it on; -1
// where there is none.
func (p *Path) neighbours() (before, after []int) {
	before, after = make([]int, len(p.Runs)), make([]int, len(p.Runs))
	last, next := -1, -1
	for i := range p.Runs {
		if p.Seen(i) {
			last = i
		}
		before[i] = last
	}
	for i := len(p.Runs) - 1; i >= 0; i-- {
		if p.Seen(i) {
			next = i
		}
		after[i] = next
	}
	return before, after
}

// curvesLeft gives the curves that the best path through the runs has, nil if they are short in all.
func (w *drawing) curvesLeft(s *sheet.Sheet, runs [][]Run, kept []*Candidate) *LeftOver {
	least := int(leastLeft * float64(s.Across))
	held := 0
	for _, rs := range runs {
		held += min(len(rs), 1)
	}
	if held < least {
		return nil
	}
	p := bestPath(s, runs, w.amount)
	l := &LeftOver{From: -1, Lo: s.NY, Hi: -1, Tint: w.tint}
	for _, c := range p.unbrokenPieces(s) {
		v := p.measure(s, c)
		if !v.isCurve(s) || v.isPatch() || v.isLead(s, kept) {
			continue
		}
		if l.From < 0 {
			l.From = c.start
		}
		l.To, l.Lo, l.Hi, l.Columns = c.end, min(l.Lo, v.lo), max(l.Hi, v.hi), l.Columns+v.seen
	}
	if l.Columns < least {
		return nil
	}
	return l
}

// unbrokenPieces lists the path's pieces whose runs touch, but for the columns in which noise parts them.
func (p *Path) unbrokenPieces(s *sheet.Sheet) (all []piece) {
	prev := -1
	for i := range p.Runs {
		if !p.Seen(i) {
			continue
		}
		if prev < 0 || i-prev > partedBy || linkCost(s, p.Runs[prev], p.Runs[i], i-prev) > 0 {
			all = append(all, piece{start: i})
		}
		all[len(all)-1].end = i
		prev = i
	}
	return all
}

// A leftPiece is what is measured of a piece of a path: the rows low to high between which it lies, but for a
// twentieth of its columns at either end, and lo to hi of all of them; in how many columns it is seen, and stands out
// in some channel; how many cells its runs have together, and how many rows its thin ones.
type leftPiece struct {
	piece
	low, high int
	lo, hi    int
	seen, lit int
	cells     int
	thin      float64
}

func (p *Path) measure(s *sheet.Sheet, c piece) leftPiece {
	v := leftPiece{piece: c, lo: s.NY, hi: -1}
	var lows, highs []float64
	for i := c.start; i <= c.end; i++ {
		if !p.Seen(i) {
			continue
		}
		r := p.Runs[i]
		lows, highs = append(lows, float64(r.Lo)), append(highs, float64(r.Hi))
		v.lo, v.hi = min(v.lo, r.Lo), max(v.hi, r.Hi)
		v.seen++
		v.cells += r.Hi - r.Lo + 1
		if _, ok := strokeTint(s, i, r); ok {
			v.lit++
		}
	}
	heights := make([]float64, len(lows))
	for k := range lows {
		heights[k] = highs[k] - lows[k] + 1
	}
	v.thin = raster.Rank(heights, 0.25)
	v.low, v.high = int(raster.Rank(lows, 0.05)), int(raster.Rank(highs, 0.95))
	return v
}

// isCurve reports whether a piece is too high for words and hangs together.
func (v leftPiece) isCurve(s *sheet.Sheet) bool {
	return float64(v.end-v.start+1)*s.DX >= curvePiece && float64(v.high-v.low+1)*s.DY > curveHigh &&
		float64(v.lit) >= curveLit*float64(v.seen)
}

// isPatch reports whether a piece fills most of the rectangle round it, as a lamp's reflection does.
func (v leftPiece) isPatch() bool {
	return float64(v.cells) > mostFilled*float64((v.end-v.start+1)*(v.hi-v.lo+1))
}

// isLead reports whether a piece is a lead or a finger's edge before the screen: thicker than the traces, and from out
// over the upper or lower rim.
func (v leftPiece) isLead(s *sheet.Sheet, kept []*Candidate) bool {
	first, last := followed(s)
	edge := int((rimSlack+leadEnds)*float64(s.Up) + 0.5)
	if v.lo > first+edge && v.hi < last-edge {
		return false
	}
	for _, c := range kept {
		if v.thin < leadThick*c.Path.ThinRows() {
			return false
		}
	}
	return true
}
