package marks

// Which count of boxes has its marks on a frame?
//
// A count whose marks are a part of the true ones (each third, each fifth) has a mean height near 1 too, but fewer
// marks: mean times the root of the count decides, as it does for noise.

import (
	"math"

	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

const (
	// marksSeen: mean clipped height of a strip or a lattice of crosses that is there (TestHowManyTicksMustBeThere)
	marksSeen = 0.4
	minorSeen = 0.3 // the same of the ticks that are at no division (TestHowManyTicksMustBeThere)
	// longBonus: score of longer ticks at all divisions and nowhere else (TestTheCountIsTheOneWhoseTicksAreAllThere)
	longBonus  = 3.0
	innerRuled = 0.6 // share of the pieces of a line that is drawn (TestLinesInsideAFrameMakeItABezel)
)

// A markSight is what was seen of a count's marks on a rectangle.
type markSight struct {
	Sight
	ticks int          // a box; 0 where only crosses were looked for
	comb  [8]combSight // of the strips
	band  [8]int       // in which band
}

// A Sight says how well the marks of one count were seen.
type Sight struct {
	Size    frame.Size
	Score   float64
	Ticks   [2]float64 // of upright and level ticks: mean clipped height of the better pair of strips, 0..1
	Strips  [2]float64 // and that of the worse strip of the pair
	Crosses float64    // mean clipped height of the crosses, less that halfway between them
	Nodes   float64    // how many crosses it is of
	Ends    float64    // the least mean over the marks next to a rim
	Past    float64    // the largest mean over those where the next would be outside
	Longer  float64    // 0..1: ticks at divisions, and only they, are longer
	Rival   float64    // score of the next count over this one's
	Other   frame.Size // that count
	// OtherLonger is Longer of that count.
	OtherLonger float64
}

// counted is the count of which s was seen.
func (s *markSight) counted() count { return count{s.Size, s.ticks} }

// rate rates the ticks of c on r, or the crosses if c has no ticks.
func (r *rectangle) rate(c count) (s markSight) {
	s.Size, s.ticks = c.Size, c.ticks
	s.Ends, s.Past = -1, math.NaN()
	if c.ticks > 0 {
		var ends, past [2]float64
		for fam := range 2 {
			if fam == 1 && s.Ticks[0] <= marksSeen {
				break // both ways or not at all
			}
			for pair := range 2 {
				var mean, minor float64
				least, most := 1.0, -1.0
				var e, p [2]float64
				for i := fam*4 + pair*2; i < fam*4+pair*2+2; i++ {
					s.comb[i] = r.combOf(i, c, 0)
					if t := r.combOf(i, c, 1); t.mean > s.comb[i].mean+0.1 {
						s.comb[i], s.band[i] = t, 1
					}
					t := &s.comb[i]
					if c.ticks > 1 && t.mean > marksSeen && r.strip[i].runsOn(c, t.unit) {
						*t = combSight{}
					}
					mean += t.mean / 2
					least, most = min(least, t.mean), max(most, t.mean)
					minor += t.minor / 2
					for k := range 2 {
						e[k] += t.ends[k] / 2
						p[k] += t.past[k] / 2
					}
				}
				if minor < minorSeen {
					continue // the ticks of fewer a box
				}
				mean = (mean + most) / 2 // a menu or the trace may lie on one strip
				if mean > s.Ticks[fam] {
					s.Ticks[fam], s.Strips[fam] = mean, least
					ends[fam], past[fam] = min(e[0], e[1]), max(p[0], p[1])
				}
			}
		}
		if min(s.Ticks[0], s.Ticks[1]) > marksSeen {
			n := func(boxes int) float64 { return math.Sqrt(float64(boxes * c.ticks)) }
			s.Score = s.Ticks[0]*n(c.Size.Cols) + s.Ticks[1]*n(c.Size.Rows) - c.Size.Cost/10
			s.told(min(ends[0], ends[1]), max(past[0], past[1]))
			s.Longer = r.longer(&s)
			s.Score += longBonus * s.Longer
		}
	}
	if c.ticks == 0 {
		r.lookCrosses(&s)
	}
	return s
}

// longer tells whether the ticks at the divisions of s reach deeper than the others, in the mean of the
// strips that show ticks and in the band where that is clearest.
func (r *rectangle) longer(s *markSight) float64 {
	most := 0.0
	for band := 1; band < len(bands); band++ {
		sum, n := 0.0, 0.0
		for i := range r.strip {
			if s.comb[i].mean > marksSeen && s.band[i] < band {
				sum += r.strip[i].ticksAt(s.counted(), band, s.comb[i].unit).longer
				n++
			}
		}
		if n > 0 {
			most = max(most, sum/n)
		}
	}
	return min(most, 1)
}

// told keeps what ticks, and what crosses say of the rims: either may show where the marks end, and that they go on.
func (s *markSight) told(ends, past float64) {
	s.Ends = max(s.Ends, ends)
	if !(s.Past >= past) {
		s.Past = past
	}
}

// ruled is the share of the inner pieces of the line at x of fam that are drawn; it goes over n boxes from
// the rim at from.
func (r *rectangle) ruled(fam lattice.Family, x, from float64, n int) float64 {
	seen := 0.0
	for i := 1; i < n-1; i++ {
		k := fit.BoxLong(fam, x, from+float64(i))
		if _, h, _ := k.See(r.near, &r.m, r.sign, rimNear); h > fit.RimClear {
			seen++
		}
	}
	return seen / float64(max(n-2, 1))
}

// inner is how many of the four sides there are next to which, a box inside, a line is drawn and two boxes inside
// is none: the rim of the display is there, and the frame is a bezel's.
func (r *rectangle) inner(c count) (sides int) {
	f := c.Size.Boxes()
	for _, s := range [2]float64{-1, 1} {
		x, y := -s*f.Left(), -s*f.Bottom()
		if r.ruled(lattice.Upright, x-s, f.Bottom(), f.Rows) > innerRuled && r.ruled(lattice.Upright, x-2*s, f.Bottom(), f.Rows) < innerRuled/2 {
			sides++
		}
		if r.ruled(lattice.Level, y-s, f.Left(), f.Cols) > innerRuled && r.ruled(lattice.Level, y-2*s, f.Left(), f.Cols) < innerRuled/2 {
			sides++
		}
	}
	return sides
}

// across is the share of the inner lines of a frame that are drawn from rim to rim: where the only ticks
// are at whole boxes, they may be lines of anything, a tiled wall.
func (r *rectangle) across() float64 {
	f := r.frame
	drawn, n := 0.0, 0.0
	for i := 1; i < f.Cols; i++ {
		drawn += r.ruled(lattice.Upright, f.Left()+float64(i), f.Bottom(), f.Rows)
		n++
	}
	for i := 1; i < f.Rows; i++ {
		drawn += r.ruled(lattice.Level, f.Bottom()+float64(i), f.Left(), f.Cols)
		n++
	}
	return drawn / n
}

// count gives the count whose marks are seen best on r; score 0 if none.
func (r *rectangle) count(want geom.Frame) (best markSight) {
	var all []markSight
	for _, z := range frame.MarkedSizes(want) {
		w, h := r.size()
		if a := w / float64(z.Cols) / (h / float64(z.Rows)); a > frame.AspectUsual || a < 1/frame.AspectUsual {
			continue
		}
		crossed := r.rate(count{z, 0})
		if crossed.Score > 0 {
			all = append(all, crossed)
		}
		for _, t := range ticksOf {
			s := r.rate(count{z, t})
			if s.Score == 0 {
				continue
			}
			if crossed.Score > 0 {
				s.Crosses, s.Nodes = crossed.Crosses, crossed.Nodes
				s.Score += crossed.Score
				s.told(crossed.Ends, crossed.Past)
			}
			all = append(all, s)
		}
	}
	for _, s := range all {
		if s.Score > best.Score {
			best = s
		}
	}
	for _, s := range all {
		if (s.Size.Cols != best.Size.Cols || s.Size.Rows != best.Size.Rows || s.Size.Centred != best.Size.Centred) && s.Score > best.Rival*best.Score {
			best.Rival, best.Other, best.OtherLonger = s.Score/best.Score, s.Size, s.Longer
		}
	}
	return best
}
