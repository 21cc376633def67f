package trace

// Helper lines: level lines that instruments draw from rim to rim, for a person to move to where something is to be measured.
// They hang together better than any trace and may have its colour. A trace at rest looks the same, so that a line is a trace as
// long as nothing else is; beside another trace it comes last.

import "quadrille/vision/graticule"

const (
	// lineWhole is the share of the columns that a line is seen in or crossed in, lineFree that in which nothing crosses it
	// (TestHelperLinesComeAfterTheTrace).
	lineWhole, lineFree = 0.97, 0.75
	// lineLevel is how far from its height a line's runs lie, in boxes: less than a pixel of the display, by which the
	// quietest trace flickers somewhere. lineTall is how many times its usual height they may be high.
	lineLevel, lineTall = 0.015, 1.4
	// An upright line goes on past what is helperWide boxes beside it by helperPast boxes, and it and what it crosses are
	// helperLit of the frame's height (TestAnUprightHelperLineIsNoStroke).
	helperWide, helperPast, helperLit = 0.07, 0.4, 0.65
)

// isLine reports whether the path is a level line from rim to rim.
func (p *path) isLine(s *sheet) bool {
	if p.share() < lineWhole {
		return false
	}
	var y []float64
	for i, r := range p.runs {
		if p.seen(i) {
			y = append(y, s.y(float64(r.lo+r.hi)/2))
		}
	}
	return rank(y, 0.95)-rank(y, 0.05) < 2*lineLevel
}

// levelLines gives the runs of lines from rim to rim, each as a path, and the other runs.
func levelLines(s *sheet, runs [][]run, amount float32) (lines []*path, rest [][]run) {
	rest = make([][]run, len(runs))
	count := make([]int, 2*s.ny) // by twice the row of a run's middle
	for i, rs := range runs {
		rest[i] = append([]run(nil), rs...)
		for _, r := range rs {
			count[r.lo+r.hi]++
		}
	}
	slack := max(int(2*lineLevel/s.dy+0.5), 1) // half rows
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
		if float64(most) < lineFree*float64(len(runs)) {
			break
		}
		p := &path{runs: make([]run, len(runs)), amount: amount}
		var heights []float64
		near := func(r run) bool { return r.lo+r.hi >= best-slack && r.lo+r.hi <= best+slack }
		for _, rs := range rest {
			for _, r := range rs {
				if near(r) {
					heights = append(heights, float64(r.hi-r.lo+1))
				}
			}
		}
		tall := lineTall * rank(heights, 0.5)
		free, crossed := 0, 0
		for i, rs := range rest {
			p.runs[i] = absent
			for _, r := range rs {
				if near(r) && float64(r.hi-r.lo+1) <= tall {
					p.runs[i] = r
				} else if 2*r.lo <= best && best <= 2*r.hi {
					crossed++
				}
			}
			if p.seen(i) {
				free++
			}
		}
		clear(count[best-slack : best+slack+1])
		if float64(free) < lineFree*float64(len(runs)) || float64(free+crossed) < lineWhole*float64(len(runs)) {
			continue
		}
		if p.takePulses(s, runs) > 0 {
			continue // a trace at rest between pulses
		}
		without(rest, p)
		lines = append(lines, p)
	}
	return lines, rest
}

// besideLines gives the paths through the runs that are no lines, if the first of them is whole, and then the lines. A trace that
// rests where somebody has put a line goes on along it.
func (w *drawing) besideLines(s *sheet, curves func(runs [][]run) []*candidate, runs [][]run) (found []*candidate, ok bool) {
	lines, rest := levelLines(s, runs, w.amount)
	if len(lines) == 0 {
		return nil, false
	}
	found = curves(rest)
	if len(found) == 0 {
		return nil, false
	}
	for _, p := range lines {
		if found[0].path.awayFrom(p, s) < leastCoverage { // what noise adds to a trace at rest
			return nil, false
		}
	}
	for _, p := range lines {
		found[0].path.fill(p, s)
	}
	if found[0].path.share() < wholeCoverage {
		return nil, false
	}
	found[0].quality = found[0].path.quality(s)
	for _, p := range lines {
		if !found[0].path.follows(p) {
			found = append(found, &candidate{tint: w.tint, path: p, noise: w.noise, quality: p.quality(s), line: true})
		}
	}
	return found, true
}

// awayFrom is the share of the columns in which p runs further than meetHeight from q.
func (p *path) awayFrom(q *path, s *sheet) float64 {
	n := 0
	for i, r := range p.runs {
		if o := q.runs[i]; p.seen(i) && q.seen(i) && float64(max(r.lo-o.hi, o.lo-r.hi))*s.dy > meetHeight {
			n++
		}
	}
	return float64(n) / float64(len(p.runs))
}

// fill takes runs of the line q for those gaps of p at one of whose ends p comes to q.
func (p *path) fill(q *path, s *sheet) {
	n := len(p.runs)
	for i := 0; i < n; i++ {
		if p.seen(i) {
			continue
		}
		end := i
		for end+1 < n && !p.seen(end+1) {
			end++
		}
		comes := func(k, inside int) bool {
			return k >= 0 && k < n && q.seen(inside) && linkCost(s, p.runs[k], q.runs[inside], 1) == 0
		}
		if comes(i-1, i) || comes(end+1, end) {
			copy(p.runs[i:end+1], q.runs[i:end+1])
		}
		i = end
	}
}

// cutHelpers takes from the path what upright helper lines add to it. Where such a line crosses the trace, the run of the column
// goes on past those beside it, and all runs of the column together are most of the frame's height; an edge ends at the runs
// beside it, and a disturbance is not as high.
func (p *path) cutHelpers(s *sheet, g *graticule.Graticule, runs [][]run) {
	past := int(helperPast*float64(s.up) + 0.5)
	most := helperLit * -2 * g.Frame.Bottom() * float64(s.up)
	beside := max(int(helperWide*float64(s.across)+0.5), 2)
	whole := append([]run(nil), p.runs...)
	for i := beside; i+beside < len(whole); i++ {
		a, b, r := whole[i-beside], whole[i+beside], whole[i]
		if r.hi < r.lo || a.hi < a.lo || b.hi < b.lo {
			continue
		}
		lo, hi := min(a.lo, b.lo), max(a.hi, b.hi)
		if r.lo > lo-past && r.hi < hi+past {
			continue
		}
		lit := 0
		for _, o := range runs[i] {
			lit += o.hi - o.lo + 1
		}
		if float64(lit) >= most {
			p.runs[i].lo, p.runs[i].hi = max(r.lo, lo), min(r.hi, hi)
		}
	}
}
