package path

// What a path is, and what it looks like, for telling a trace from what else displays draw: text, dashed helper lines,
// menus, lines of the graticule that the model of the ink has left.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// meetHeight is the distance in boxes at which two paths of one colour may be taken for each other
	// (TestWhatComesNear).
	meetHeight = 0.3
	// A path within hugLevel boxes of its own height that lies within hugNear of a line is drawn on
	// the line; where it is no brighter than ink it is the line, displaced by lens or hand (TestWhatLiesOnTheRim).
	hugLevel, hugNear = 0.25, 0.12
)

// A Path holds one run a column; absent columns have Hi < Lo.
type Path struct {
	Runs   []Run
	Amount float32 // usual peak of the score
	pulses int     // narrow pulses that were added
}

// Seen reports whether the path has a run in column i.
func (p *Path) Seen(i int) bool { return p.Runs[i].Hi >= p.Runs[i].Lo }

// evidence is what a column's run earns, 0 to 1.
func (r Run) evidence(amount float32) float64 { return float64(min(r.Peak/(fullShare*amount), 1)) }

// evidence is the columns' worth of the path.
func (p *Path) evidence() float64 {
	sum := 0.0
	for i, r := range p.Runs {
		if p.Seen(i) {
			sum += r.evidence(p.Amount)
		}
	}
	return sum
}

// share is the part of the columns in which the path has a run.
func (p *Path) share() float64 {
	n := 0
	for i := range p.Runs {
		if p.Seen(i) {
			n++
		}
	}
	return float64(n) / float64(len(p.Runs))
}

// evenness is the share of columns that hang together times their mean peak in units of the usual one.
func (p *Path) evenness(s *sheet.Sheet) float64 {
	sum, n := 0.0, 0.0
	for i, r := range p.Runs {
		if p.Seen(i) {
			sum += float64(min(r.Peak/p.Amount, 1))
			n++
		}
	}
	return p.joined(s) * sum / max(n, 1)
}

// usualPeak is the median peak of the path's runs.
func (p *Path) usualPeak() float32 {
	var v []float32
	for i, r := range p.Runs {
		if p.Seen(i) {
			v = append(v, r.Peak)
		}
	}
	return raster.Rank(v, 0.5)
}

// Breadth is the standard deviation, in boxes, of a stroke as tall as the path's thin runs, which end
// at the share visible of the peak.
func (p *Path) Breadth(s *sheet.Sheet) float64 {
	return p.ThinRows() * s.DY / (2 * math.Sqrt(2*math.Log(1/visible)))
}

// ThinRows is the height in rows of the path's thin runs.
func (p *Path) ThinRows() float64 {
	var h []float64
	for i, r := range p.Runs {
		if p.Seen(i) {
			h = append(h, float64(r.Hi-r.Lo+1))
		}
	}
	return raster.Rank(h, 0.25)
}

// joined is the share of the path's columns that touch, within the free step, the one just before.
func (p *Path) joined(s *sheet.Sheet) float64 {
	n, linked := 0, 0
	for i := 1; i < len(p.Runs); i++ {
		if p.Seen(i) {
			n++
			if p.Seen(i-1) && linkCost(s, p.Runs[i-1], p.Runs[i], 1) == 0 {
				linked++
			}
		}
	}
	return float64(linked) / float64(max(n, 1))
}

// runsAlong reports whether p runs where q does: most of its runs overlap those of q or lie half their height
// beside them, in the same column or up to two columns off. The fringe and the halo of a stroke do.
func (p *Path) runsAlong(q *Path) bool {
	n, same := 0, 0
	for i, r := range p.Runs {
		if !p.Seen(i) {
			continue
		}
		n++
		for k := max(i-2, 0); k < min(i+3, len(q.Runs)); k++ {
			o := q.Runs[k]
			if near := (o.Hi - o.Lo + 1) / 2; q.Seen(k) && r.Lo <= o.Hi+near && o.Lo-near <= r.Hi {
				same++
				break
			}
		}
	}
	return 2*same > n
}

// undrawnJumps counts the undrawn jumps of p but for those across q, where the run of q holds both.
func (p *Path) undrawnJumps(q *Path, s *sheet.Sheet) (n int) {
	pieces := p.joinedPieces(s)
	for k := 1; k < len(pieces); k++ {
		i := pieces[k-1].end
		a, b := p.Runs[i], p.Runs[pieces[k].start]
		o := q.Runs[i]
		if !q.Seen(i) || o.Hi < min(a.Lo, b.Lo) || o.Lo > max(a.Hi, b.Hi) {
			n++
		}
	}
	return n
}

// comesNear reports whether the paths come within meetHeight boxes of each other anywhere.
func (p *Path) comesNear(q *Path, s *sheet.Sheet) bool {
	for i, r := range p.Runs {
		if o := q.Runs[i]; p.Seen(i) && q.Seen(i) && float64(max(r.Lo-o.Hi, o.Lo-r.Hi))*s.DY < meetHeight {
			return true
		}
	}
	return false
}

// takeOut takes the path's runs out of the lists.
func takeOut(runs [][]Run, p *Path) {
	for i := range runs {
		keep := runs[i][:0]
		for _, r := range runs[i] {
			if !p.Seen(i) || r != p.Runs[i] {
				keep = append(keep, r)
			}
		}
		runs[i] = keep
	}
}

// dropSharedWith drops the columns that p shares with q, a later path in the same colour: where q is absent for
// less than lookBack boxes and would pass through or beside the run of p, the run holds both.
func (p *Path) dropSharedWith(q *Path, s *sheet.Sheet) {
	reach := int(lookBack * float64(s.Across))
	before := -1
	for i := 0; i < len(q.Runs); i++ {
		if q.Seen(i) {
			before = i
			continue
		}
		after := i
		for after < len(q.Runs) && !q.Seen(after) {
			after++
		}
		if before >= 0 && after < len(q.Runs) && after-before <= reach {
			a, b := q.Runs[before], q.Runs[after]
			beside := max(a.Hi-a.Lo, b.Hi-b.Lo)
			for k := i; k < after; k++ {
				if p.Seen(k) && p.Runs[k].Lo-beside <= max(a.Hi, b.Hi) && min(a.Lo, b.Lo) <= p.Runs[k].Hi+beside {
					p.Runs[k] = absent
				}
			}
		}
		i = after - 1
	}
}

// liesOnALine reports whether the path is level all along on a line of the graticule or its rim.
func (p *Path) liesOnALine(s *sheet.Sheet) bool {
	low := s.Frame.Bottom()
	return p.levelOn(s, func(y float64) float64 { return y - low - math.Round(y-low) })
}

// LiesOnTheRim is the same for the upper and lower rim alone.
func (p *Path) LiesOnTheRim(s *sheet.Sheet) bool {
	low := s.Frame.Bottom()
	return p.levelOn(s, func(y float64) float64 { return math.Abs(y) + low })
}

// isLevel reports whether the path is level but for a sixth of its columns on either side.
func (p *Path) isLevel(s *sheet.Sheet) bool {
	return p.levelOn(s, func(float64) float64 { return 0 })
}

// levelOn reports whether the path is level and most of it near, off giving the distance of a height.
func (p *Path) levelOn(s *sheet.Sheet, off func(y float64) float64) bool {
	var y, d []float64
	for i, r := range p.Runs {
		if p.Seen(i) {
			v := s.Y(float64(r.Lo+r.Hi) / 2)
			y, d = append(y, v), append(d, math.Abs(off(v)))
		}
	}
	return raster.Rank(y, 0.85)-raster.Rank(y, 0.15) < hugLevel && raster.Rank(d, 0.5) < hugNear
}

// dropSharedWith drops the columns that p shares with q, a later path in the same colour: where q is absent for
