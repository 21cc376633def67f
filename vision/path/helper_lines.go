package path

// Helper lines: level lines that instruments draw from rim to rim, for a person to move to where something is to be
// measured. They hang together better than any trace and may have its colour. A trace at rest looks the same, so that
// a line is a trace as long as nothing else is; beside another trace it comes last.

import (
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// lineWhole is the share of the columns that a line is seen in or crossed in, or between whose dashes they lie;
	// lineInked is that in which it is seen at least: of dashes and their gaps, and of what crosses it
	// (TestWhatIsALevelLine, TestALineOnTheTracesLevelDoesNotHideIt).
	lineWhole, lineInked = 0.97, 0.4
	// lineGap is the longest gap between two dashes, in boxes, lineDashed the share of the columns below which a line
	// that is seen in no more of them is dashed (TestWhatIsALevelLine).
	lineGap, lineDashed = 0.15, 0.8
	// lineLevel is how far from its height a line's runs lie, in boxes: less than a pixel of the display, by which the
	// quietest trace flickers somewhere. lineTall is how many times its usual height they may be high
	// (TestWhatIsALevelLine, TestALineOnTheTracesLevelDoesNotHideIt).
	lineLevel, lineTall = 0.015, 1.4
	// An upright line goes on past what is helperWide boxes beside it by helperPast boxes, and it and what it crosses
	// are helperLit of the frame's height (TestWhatAnUprightLineAddsIsCut).
	helperWide, helperPast, helperLit = 0.07, 0.4, 0.65
)

// isLine reports whether the path is a level line from rim to rim, but for gaps between dashes and what crosses it in
// whatever colour.
func (p *Path) isLine(s *sheet.Sheet) bool {
	if p.share() < lineInked {
		return false
	}
	var y []float64
	for i, r := range p.Runs {
		if p.Seen(i) {
			y = append(y, float64(r.Lo+r.Hi)/2)
		}
	}
	if (raster.Rank(y, 0.95)-raster.Rank(y, 0.05))*s.DY >= 2*lineLevel {
		return false
	}
	return p.heldBy(s, p.seenOrCrossedAt(s, int(raster.Rank(y, 0.5)))) >= lineWhole
}

// seenOrCrossedAt tells the columns in which the path has a run, or something is drawn in a row of it.
func (p *Path) seenOrCrossedAt(s *sheet.Sheet, row int) func(i int) bool {
	return func(i int) bool {
		if p.Seen(i) {
			return true
		}
		_, lit := lightOf(s, i, row)
		return lit
	}
}

// heldBy is the share of the columns that is says, or that lie between two such no more than a dash's gap apart.
func (p *Path) heldBy(s *sheet.Sheet, is func(i int) bool) float64 {
	gap := int(lineGap*float64(s.Across) + 0.5)
	n, last := 0, -1
	for i := range p.Runs {
		if !is(i) {
			continue
		}
		if n++; i-last-1 <= gap {
			n += i - last - 1
		}
		last = i
	}
	if rest := len(p.Runs) - 1 - last; rest <= gap {
		n += rest
	}
	return float64(n) / float64(len(p.Runs))
}

// isDashed reports whether a line is drawn with gaps.
func (p *Path) isDashed() bool { return p.share() < lineDashed }

// levelLines gives the runs of lines from rim to rim, each as a path, and the other runs.
func levelLines(s *sheet.Sheet, runs [][]Run, amount float32) (lines []*Path, rest [][]Run) {
	rest = make([][]Run, len(runs))
	count := make([]int, 2*s.NY) // by twice the row of a run's middle
	for i, rs := range runs {
		rest[i] = append([]Run(nil), rs...)
		for _, r := range rs {
			count[r.Lo+r.Hi]++
		}
	}
	slack := max(int(2*lineLevel/s.DY+0.5), 1) // half rows
	for len(lines) < mostTraces {
		best, most := 0, 0
		for m := slack; m+slack < len(count); m++ {
			n := 0
			for _, c := range count[m-slack : m+slack+1] {
				n += c
			}
			if n > most {
				best, most = m, n
			}
		}
		if float64(most) < lineInked*float64(len(runs)) {
			break
		}
		p := &Path{Runs: make([]Run, len(runs)), Amount: amount}
		var heights []float64
		near := func(r Run) bool { return r.Lo+r.Hi >= best-slack && r.Lo+r.Hi <= best+slack }
		for _, rs := range rest {
			for _, r := range rs {
				if near(r) {
					heights = append(heights, float64(r.Hi-r.Lo+1))
				}
			}
		}
		tall := lineTall * raster.Rank(heights, 0.5)
		for i, rs := range rest {
			p.Runs[i] = absent
			for _, r := range rs {
				if near(r) && float64(r.Hi-r.Lo+1) <= tall {
					p.Runs[i] = r
				}
			}
		}
		clear(count[best-slack : best+slack+1])
		if p.share() < lineInked || p.heldBy(s, p.seenOrCrossedAt(s, best/2)) < lineWhole {
			continue
		}
		if p.takePulses(s, runs); p.pulses > 0 {
			continue // a trace at rest between pulses
		}
		takeOut(rest, p)
		lines = append(lines, p)
	}
	return lines, rest
}

// besideLines gives the curves found without the lines, if the first of them is whole, and then the lines. A trace that
// rests where somebody has put a line goes on along it.
func (w *drawing) besideLines(s *sheet.Sheet, lines []*Path, curves []*Candidate) (found []*Candidate, ok bool) {
	if len(curves) == 0 {
		return nil, false
	}
	first := curves[0]
	for _, p := range lines {
		if first.Path.awayFrom(p, s) < LeastCoverage { // what noise adds to a trace at rest
			return nil, false
		}
	}
	for _, p := range lines {
		first.Path.fillFrom(p, s)
	}
	if first.Path.share() < wholeCoverage {
		return nil, false
	}
	first.quality = first.Path.evenness(s)
	for _, p := range lines {
		if !first.Path.runsAlong(p) {
			c := w.candidate(s, p)
			c.Line = true
			curves = append(curves, c)
		}
	}
	return curves, true
}

// awayFrom is the share of the columns in which p runs further than meetHeight from q.
func (p *Path) awayFrom(q *Path, s *sheet.Sheet) float64 {
	n := 0
	for i, r := range p.Runs {
		if o := q.Runs[i]; p.Seen(i) && q.Seen(i) && float64(max(r.Lo-o.Hi, o.Lo-r.Hi))*s.DY > meetHeight {
			n++
		}
	}
	return float64(n) / float64(len(p.Runs))
}

// fillFrom takes runs of the line q for those gaps of p at one of whose ends p comes to q.
func (p *Path) fillFrom(q *Path, s *sheet.Sheet) {
	n := len(p.Runs)
	for i := 0; i < n; i++ {
		if p.Seen(i) {
			continue
		}
		end := i
		for end+1 < n && !p.Seen(end+1) {
			end++
		}
		comes := func(k, inside int) bool {
			return k >= 0 && k < n && q.Seen(inside) && linkCost(s, p.Runs[k], q.Runs[inside], 1) == 0
		}
		if comes(i-1, i) || comes(end+1, end) {
			copy(p.Runs[i:end+1], q.Runs[i:end+1])
		}
		i = end
	}
}

// cutUprightLines takes from the path what upright helper lines add to it. Where such a line crosses the trace, the
// run of the column goes on past those beside it, and all runs of the column together are most of the frame's height;
// an edge ends at the runs beside it, and a disturbance is not as high.
func (p *Path) cutUprightLines(s *sheet.Sheet, runs [][]Run) {
	past := int(helperPast*float64(s.Up) + 0.5)
	most := helperLit * -2 * s.Frame.Bottom() * float64(s.Up)
	beside := max(int(helperWide*float64(s.Across)+0.5), 2)
	whole := append([]Run(nil), p.Runs...)
	for i := beside; i+beside < len(whole); i++ {
		a, b, r := whole[i-beside], whole[i+beside], whole[i]
		if r.Hi < r.Lo || a.Hi < a.Lo || b.Hi < b.Lo {
			continue
		}
		lo, hi := min(a.Lo, b.Lo), max(a.Hi, b.Hi)
		if r.Lo > lo-past && r.Hi < hi+past {
			continue
		}
		lit := 0
		for _, o := range runs[i] {
			lit += o.Hi - o.Lo + 1
		}
		if float64(lit) >= most {
			p.Runs[i].Lo, p.Runs[i].Hi = max(r.Lo, lo), min(r.Hi, hi)
		}
	}
}
