package trace

// What a path looks like, for telling a trace from what else displays draw: text, dashed helper lines,
// menus, lines of the graticule that the model of the ink has left.

import (
	"math"

	"quadrille/vision/graticule"
)

// meetHeight is the distance in boxes at which two paths of one colour may be taken for each other.
const meetHeight = 0.3

// fringe is how far beside a run, in boxes, the other fringe of its stroke may lie.
const fringe = 0.1

// share is the part of the columns in which the path has a run.
func (p *path) share() float64 {
	n := 0
	for i := range p.runs {
		if p.seen(i) {
			n++
		}
	}
	return float64(n) / float64(len(p.runs))
}

// quality is the share of columns that hang together times their mean peak in units of the usual one.
func (p *path) quality(s *sheet) float64 {
	sum, n := 0.0, 0.0
	for i, r := range p.runs {
		if p.seen(i) {
			sum += float64(min(r.peak/p.amount, 1))
			n++
		}
	}
	return p.joined(s) * sum / max(n, 1)
}

// usualPeak is the median peak of the path's runs.
func (p *path) usualPeak() float32 {
	var v []float32
	for i, r := range p.runs {
		if p.seen(i) {
			v = append(v, r.peak)
		}
	}
	return median(v)
}

// breadth is the standard deviation, in boxes, of a stroke as tall as the path's thin runs, which end
// at the share visible of the peak.
func (p *path) breadth(s *sheet) float64 {
	var h []float64
	for i, r := range p.runs {
		if p.seen(i) {
			h = append(h, float64(r.hi-r.lo+1))
		}
	}
	return rank(h, 0.25) * s.dy / (2 * math.Sqrt(2*math.Log(1/visible)))
}

// joined is the share of the path's columns that touch, within the free step, the one just before.
func (p *path) joined(s *sheet) float64 {
	n, linked := 0, 0
	for i := 1; i < len(p.runs); i++ {
		if p.seen(i) {
			n++
			if p.seen(i-1) && linkCost(s, p.runs[i-1], p.runs[i], 1) == 0 {
				linked++
			}
		}
	}
	return float64(linked) / float64(max(n, 1))
}

// follows reports whether p runs where q does: most of its runs overlap those of q or lie half their height
// beside them, in the same column or up to two columns off. The fringe and the halo of a stroke do.
func (p *path) follows(q *path) bool {
	n, same := 0, 0
	for i, r := range p.runs {
		if !p.seen(i) {
			continue
		}
		n++
		for k := max(i-2, 0); k < min(i+3, len(q.runs)); k++ {
			o := q.runs[k]
			if near := (o.hi - o.lo + 1) / 2; q.seen(k) && r.lo <= o.hi+near && o.lo-near <= r.hi {
				same++
				break
			}
		}
	}
	return 2*same > n
}

// own is the share of the columns in which the path is seen by itself: off the upper and lower rim, and not on or right beside another path.
// The fringes of an overexposed stroke lie on both sides of its core, and are of one tint.
func (c *candidate) own(kept []*candidate, s *sheet, g *graticule.Graticule) float64 {
	n, beside := 0, int(fringe*float64(s.up)+0.5)
	for i, r := range c.path.runs {
		if !c.path.seen(i) || math.Abs(math.Abs(s.y(float64(r.lo+r.hi)/2))+g.Frame.Bottom()) < hugNear {
			continue
		}
		on := false
		for _, k := range kept {
			o := k.path.runs[i]
			on = on || k.path.seen(i) && r.lo <= o.hi+beside && o.lo-beside <= r.hi
		}
		if !on {
			n++
		}
	}
	return float64(n) / float64(len(c.path.runs))
}

// jumps counts the undrawn jumps of p but for those across q, where the run of q holds both.
func (p *path) jumps(q *path, s *sheet) (n int) {
	pieces := p.pieces(s)
	for k := 1; k < len(pieces); k++ {
		i := pieces[k-1].end
		a, b := p.runs[i], p.runs[pieces[k].start]
		o := q.runs[i]
		if !q.seen(i) || o.hi < min(a.lo, b.lo) || o.lo > max(a.hi, b.hi) {
			n++
		}
	}
	return n
}

// near reports whether the paths come within meetHeight boxes of each other anywhere.
func (p *path) near(q *path, s *sheet) bool {
	for i, r := range p.runs {
		if o := q.runs[i]; p.seen(i) && q.seen(i) && float64(max(r.lo-o.hi, o.lo-r.hi))*s.dy < meetHeight {
			return true
		}
	}
	return false
}

// without takes the path's runs out of the lists.
func without(runs [][]run, p *path) {
	for i := range runs {
		keep := runs[i][:0]
		for _, r := range runs[i] {
			if !p.seen(i) || r != p.runs[i] {
				keep = append(keep, r)
			}
		}
		runs[i] = keep
	}
}

// part drops the columns that p shares with q, a later path in the same colour: where q is absent for
// less than lookBack boxes and would pass through or beside the run of p, the run holds both.
func (p *path) part(q *path, s *sheet) {
	reach := int(lookBack * float64(s.across))
	before := -1
	for i := 0; i < len(q.runs); i++ {
		if q.seen(i) {
			before = i
			continue
		}
		after := i
		for after < len(q.runs) && !q.seen(after) {
			after++
		}
		if before >= 0 && after < len(q.runs) && after-before <= reach {
			a, b := q.runs[before], q.runs[after]
			beside := max(a.hi-a.lo, b.hi-b.lo)
			for k := i; k < after; k++ {
				if p.seen(k) && p.runs[k].lo-beside <= max(a.hi, b.hi) && min(a.lo, b.lo) <= p.runs[k].hi+beside {
					p.runs[k] = absent
				}
			}
		}
		i = after - 1
	}
}

// hugs reports whether the path is level all along on a line of the graticule or its rim.
func (p *path) hugs(s *sheet, g *graticule.Graticule) bool {
	low := g.Frame.Bottom()
	return p.levelOn(s, func(y float64) float64 { return y - low - math.Round(y-low) })
}

// hugsRim is the same for the upper and lower rim alone.
func (p *path) hugsRim(s *sheet, g *graticule.Graticule) bool {
	low := g.Frame.Bottom()
	return p.levelOn(s, func(y float64) float64 { return math.Abs(y) + low })
}

// levelOn reports whether the path is level and most of it near, off giving the distance of a height.
func (p *path) levelOn(s *sheet, off func(y float64) float64) bool {
	var y, d []float64
	for i, r := range p.runs {
		if p.seen(i) {
			v := s.y(float64(r.lo+r.hi) / 2)
			y, d = append(y, v), append(d, math.Abs(off(v)))
		}
	}
	return rank(y, 0.85)-rank(y, 0.15) < hugLevel && rank(d, 0.5) < hugNear
}

// part drops the columns that p shares with q, a later path in the same colour: where q is absent for
