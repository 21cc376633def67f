package path

// Pulses narrower than two jumps cost. The best path leaves out a piece between two jumps that is shorter than what
// they cost, and so a train of narrow pulses whose edges are not seen, as beside an upright helper line, was read as
// the level between them, in silence. Such a piece lies over a gap of the path, is drawn as the path is, and at its
// height nothing of that colour lies where the path is seen, as would the dashes of a helper line. A beam is at one
// place at a time: where blur fills the gap with the level's light, the level is dim there and the pulse brighter.

import (
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// leastPulse is the least width of a pulse in columns: two are what is left of a dot of noise that the sheet's
	// running mean has spread. pulsePast is how many columns past each end of the gap it may go on: the running mean
	// spreads a pulse and the feet of its edges by two columns each (TestWhatIsANarrowPulse).
	leastPulse, pulsePast = 3, 4
	// pulseFills is the share of the gap's columns that it fills: more than half, so that no gap holds two.
	// pulseLight is its least light as a share of the usual one, and the most that the path has in its gap: a stroke at
	// half its light is still told from the blur of another (TestWhatIsANarrowPulse, TestPulsesOverADimLevel).
	pulseFills, pulseLight = 0.6, 0.5
	// pulseAlone is the share of the columns, the path being seen there, in which something may lie at its height:
	// dashes cover a third of a line and more, and what a trace crosses there in passing is a stroke wide
	// (TestWhatIsANarrowPulse).
	pulseAlone = 0.05
)

// takePulses gives the path the narrow pulses over its gaps and counts them in p.pulses: first over what is empty of
// it, then over what is dim.
func (p *Path) takePulses(s *sheet.Sheet, runs [][]Run) {
	p.takePulsesOver(s, runs, func(r Run) bool { return r.Hi < r.Lo })
	p.takePulsesOver(s, runs, func(r Run) bool { return r.Hi < r.Lo || r.Peak < pulseLight*p.Amount })
}

// takePulsesOver does so over gaps of the runs that gap tells.
func (p *Path) takePulsesOver(s *sheet.Sheet, runs [][]Run, gap func(r Run) bool) {
	var heights []float64
	for i, r := range p.Runs {
		if p.Seen(i) {
			heights = append(heights, float64(r.Hi-r.Lo+1))
		}
	}
	usual := raster.Rank(heights, 0.5)
	stroke := func(r Run) bool {
		n := float64(r.Hi - r.Lo + 1) // counted to a row
		return n-1 < OtherStroke*usual && (n+1)*OtherStroke > usual && r.Peak > pulseLight*p.Amount
	}
	touch := func(a, b Run) bool { return linkCost(s, a, b, 1) == 0 }
	least := int(pieceJump*float64(s.Up) + 0.5) // rows from the path's ends at the gap
	whole := append([]Run(nil), p.Runs...)
	for first := 1; first < len(whole); first++ {
		if gap(whole[first-1]) || !gap(whole[first]) {
			continue
		}
		last := first
		for last+1 < len(whole) && gap(whole[last+1]) {
			last++
		}
		if last+1 == len(whole) || last-first+1 > int(lookBack*float64(s.Across)) {
			continue
		}
		a, b := whole[first-1], whole[last+1]
		lo, hi := min(a.Lo, b.Lo), max(a.Hi, b.Hi)
		var best []Run // by column from at
		at := 0
		for i := first; i <= last; i++ {
			for _, r := range runs[i] {
				if !stroke(r) || r.Lo < hi+least && r.Hi > lo-least {
					continue
				}
				piece := []Run{r}
				from := i
				for k := i + 1; k < len(runs); k++ {
					o, ok := touching(runs[k], piece[len(piece)-1], touch)
					if !ok || !stroke(o) {
						break
					}
					piece = append(piece, o)
				}
				for from > 0 {
					o, ok := touching(runs[from-1], piece[0], touch)
					if !ok || !stroke(o) {
						break
					}
					piece = append([]Run{o}, piece...)
					from--
				}
				end := from + len(piece) - 1
				inside := min(end, last) - max(from, first) + 1
				if len(piece) >= leastPulse && len(piece) > len(best) && from >= first-pulsePast && end <= last+pulsePast &&
					float64(inside) >= pulseFills*float64(last-first+1) && p.isAloneAt(piece, runs, whole, gap) {
					best, at = piece, from
				}
			}
		}
		if len(best) > 0 {
			for k, r := range best {
				if r.Peak > p.Runs[at+k].Peak || p.Runs[at+k].Hi < p.Runs[at+k].Lo {
					p.Runs[at+k] = r
				}
			}
			p.pulses++
		}
	}
}

// touching gives the run of a column that touches r.
func touching(rs []Run, r Run, touch func(a, b Run) bool) (Run, bool) {
	for _, o := range rs {
		if touch(r, o) {
			return o, true
		}
	}
	return Run{}, false
}

// isAloneAt reports whether next to nothing lies at the height of the piece in the columns in which the whole path is
// seen elsewhere and far from its gaps, past whose ends other pulses go on.
func (p *Path) isAloneAt(piece []Run, runs [][]Run, whole []Run, gap func(r Run) bool) bool {
	lo, hi := piece[0].Lo, piece[0].Hi
	for _, r := range piece {
		lo, hi = min(lo, r.Lo), max(hi, r.Hi)
	}
	n, beside, before := 0, 0, -pulsePast-1 // the last column of a gap
	next := make([]int, len(whole)+1)       // the first column of one from each column on
	next[len(whole)] = len(whole) + pulsePast
	for i := len(whole) - 1; i >= 0; i-- {
		if next[i] = next[i+1]; gap(whole[i]) {
			next[i] = i
		}
	}
	for i, w := range whole {
		if gap(w) {
			before = i
		}
		if i-before <= pulsePast || next[i]-i <= pulsePast || w.Lo <= hi && lo <= w.Hi {
			continue
		}
		n++
		for _, r := range runs[i] {
			if middle := (r.Lo + r.Hi) / 2; middle >= lo && middle <= hi {
				beside++
				break
			}
		}
	}
	return float64(beside) <= pulseAlone*float64(n)
}
