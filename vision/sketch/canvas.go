package sketch

// The evidence of a page, less its axes and what is no stroke, pen by pen.

import (
	"slices"

	"quadrille/vision/raster"
)

const (
	// outsideWorth is what a column at the outer end of the margin is worth: what lies there may be the paper's edge
	// (TestACurveGoesOnBeyondTheRuledPart).
	outsideWorth = 0.3
	// edgeBeyond and edgeLength: a level line so far beyond the ruled part, and so long, in squares, is the sheet's
	// edge (TestACurveGoesOnBeyondTheRuledPart).
	edgeBeyond, edgeLength = 0.4, 6.0
	// solid is the side in squares of what is filled, and no stroke: a table beside the paper, a hand
	// (TestWhatIsFilledIsNoStroke).
	solid, solidInk = 0.5, 0.85
	// onAxis is what a cell of an axis costs on which nothing else is seen, of a cell of paper: ink may hide under ink,
	// and yet a line drawn twice is darker (TestATailOnAnAxisIsTheCurves).
	onAxis = 0.6
	// leanBack is how far a steep flank may lean back, in squares, for a hand is no ruler (TestASteepPeakIsFollowed).
	leanBack = 0.12
	// middleReach, in squares, is how far round a cell it is told how near it is to the middle of its stroke, and
	// middleWorth is the part of its gain that depends on that (TestAWayKeepsToTheMiddle).
	middleReach, middleWorth = 0.05, 0.3
	// usedRim is how far beside a stroke's rim, in squares, a way is still on that stroke (TestAxesAreNoCurves).
	usedRim = 0.08
	// perSquare is how many cells a square has in which ways are looked for (TestASteepPeakIsFollowed).
	perSquare = 20
)

// A canvas is the evidence of a page with what was made of it. Its ink is what is left without axes.
type canvas struct {
	*evidence
	tints  []tint
	own    [][]float32 // by ink: how much each cell is of it, by columns; 0 where a curve was taken off
	level  []line
	stands []line
	axis   []bool // cells of axes, by columns
	used   []bool // cells of strokes that were taken, by columns
}

func canvasOf(e *evidence) *canvas {
	c := &canvas{evidence: e, tints: e.inks(), level: e.lines(true, leastLine, lineGap),
		stands: e.lines(false, leastLine, lineGap), axis: make([]bool, e.w*e.h), used: make([]bool, e.w*e.h)}
	e.axes(c.level, c.stands)
	lines := slices.Concat(c.level, c.stands)
	for _, l := range lines {
		if l.axis || e.isEdge(l) {
			c.takeLine(l)
		}
	}
	for _, l := range lines {
		if l.axis {
			c.takeArrow(l)
		}
	}
	c.takeDimensions()
	c.takeSolids()
	n := max(len(c.tints), 1)
	c.own = make([][]float32, n)
	for k := range c.own {
		c.own[k] = make([]float32, e.w*e.h)
	}
	raster.Rows(e.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range e.w {
				if e.ink.Pix[y*e.w+x] == 0 {
					continue
				}
				t := tint{}
				if n > 1 {
					t = e.tintAt(x, y)
				}
				for k := range c.own {
					c.own[k][x*e.h+y] = share(t, c.tints, k)
				}
			}
		}
	})
	return c
}

// isEdge reports whether a line is the sheet's lower or upper edge.
func (e *evidence) isEdge(l line) bool {
	first := margin * float64(e.per)
	beyond := max(first-max(l.a, l.b), min(l.a, l.b)-float64(e.h)+first)
	return l.level && beyond > edgeBeyond*float64(e.per) && float64(l.to-l.from) > edgeLength*float64(e.per)
}

// takeSolids takes away what is filled.
func (c *canvas) takeSolids() {
	r := int(solid * float64(c.per) / 2)
	mean, _ := c.ink.Local(r, r)
	var at []place
	for y := r; y < c.h-r; y++ {
		for x := r; x < c.w-r; x++ {
			if mean.Pix[y*c.w+x] > solidInk {
				at = append(at, place{x, y})
			}
		}
	}
	for _, p := range at {
		for y := max(p.y-r-2, 0); y <= min(p.y+r+2, c.h-1); y++ {
			for x := max(p.x-r-2, 0); x <= min(p.x+r+2, c.w-1); x++ {
				c.ink.Pix[y*c.w+x] = 0
			}
		}
	}
}

// coarse is how many cells of the sheet are one of those in which ways are looked for.
func (c *canvas) coarse() int { return max(1, (c.per+perSquare/2)/perSquare) }

// ground gives what ways of an ink are looked for on.
func (c *canvas) ground(k int) *ground {
	q := c.coarse()
	broad, _ := c.ink.Local(int(middleReach*float64(c.per)), int(middleReach*float64(c.per)))
	g := &ground{w: c.w / q, h: c.h / q, corner: float32(corner * float64(c.per) / float64(q)), lean: c.lean() / q}
	g.gain, g.steep = make([]float32, g.w*g.h), make([]float32, g.w*g.h)
	raster.Rows(g.w, func(x0, x1 int) {
		for x := x0; x < x1; x++ {
			for y := range g.h {
				best := float32(-1)
				for b := y * q; b < (y+1)*q; b++ {
					for a := x * q; a < (x+1)*q; a++ {
						v := c.gainOf(k, a, b)
						if v > 0 {
							v *= 1 - middleWorth + middleWorth*broad.Pix[b*c.w+a]
						}
						best = max(best, v)
					}
				}
				g.gain[x*g.h+y] = best
			}
		}
	})
	for x := range g.w {
		for y := range g.h {
			v := g.gain[x*g.h+y]
			g.steep[x*g.h+y] = max(v, g.gain[max(x-g.lean, 0)*g.h+y], g.gain[min(x+g.lean, g.w-1)*g.h+y])
		}
	}
	return g
}

// gainOf is what a cell is worth to a way of ink k.
func (c *canvas) gainOf(k, x, y int) float32 {
	i := x*c.h + y
	ink, own := c.ink.Pix[y*c.w+x], c.own[k][i]
	if own == barred {
		return -1
	}
	gain := ink*max(0, 2*own-1) + ink - 1
	if c.axis[i] && gain < -onAxis {
		return -onAxis
	}
	if gain > 0 {
		gain *= c.worth(x, y)
	}
	return gain
}

// worth falls from the rim of the ruled part outwards.
func (c *canvas) worth(x, y int) float32 {
	first := margin * float64(c.per)
	beyond := max(first-float64(x), float64(x)-float64(c.w)+first, first-float64(y), float64(y)-float64(c.h)+first, 0)
	return float32(1 - (1-outsideWorth)*beyond/first)
}

// lean is how far a steep flank may lean back, in cells of the sheet: whole ones of those in which ways are looked for.
func (c *canvas) lean() int {
	q := c.coarse()
	return q * max(1, int(leanBack*float64(c.per)/float64(q)+0.5))
}

// climbs tells whether a way climbs at its place i.
func (c *canvas) climbs(p *way, i int) bool {
	reach := c.lean()
	a, b := p.at[max(i-reach, 0)], p.at[min(i+reach, len(p.at)-1)]
	return max(b.y-a.y, a.y-b.y) > b.x-a.x
}

// beside gives the column with most ink in the row of a way's place i, of its own and those as far to its sides as a
// flank may lean back.
func (c *canvas) beside(p *way, i int) int {
	reach := c.lean()
	if c.climbs(p, i) {
		reach += c.coarse() // a coarse cell's ink may be at its far side
	}
	x, row := p.at[i].x, c.ink.Pix[p.at[i].y*c.w:][:c.w]
	best := x
	for a := max(x-reach, 0); a <= min(x+reach, c.w-1); a++ {
		if row[a] > row[best] {
			best = a
		}
	}
	return best
}

// take takes a stroke off all inks. What runs along it just beside counts as used as well.
func (c *canvas) take(s *stroke) {
	reach := int(s.half) + 3
	round := reach + max(2, int(usedRim*float64(c.per)))
	for _, p := range s.at {
		for a := max(p.x-round, 0); a <= min(p.x+round, c.w-1); a++ {
			for b := max(p.y-round, 0); b <= min(p.y+round, c.h-1); b++ {
				c.used[a*c.h+b] = true
				if max(a-p.x, p.x-a, b-p.y, p.y-b) <= reach {
					for k := range c.own {
						c.own[k][a*c.h+b] = 0
					}
				}
			}
		}
	}
}
