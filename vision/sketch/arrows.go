package sketch

// Arrows are no part of a curve: those of axes, and dimension lines, which say how long something is.
//
// A dimension line is straight, along the squares, between two marks. They reach to both sides of it, and beyond them
// there is paper. A level of a square wave has its flanks on one side, and a curve goes on. Close above a level such a
// line would do as well as the level itself: by its arrowheads a way comes to it and leaves it without a corner. And
// an axis's arrow is the only ink that is left of it, at the end of all that a way may run along.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
)

const (
	// dimensionLeast is how long a dimension line is at least, in squares; a letter's bar is shorter
	// (TestADimensionLineIsNoPartOfACurve).
	dimensionLeast = 0.9
	// dimensionMost is which part of what is drawn it goes along at most (TestADimensionLineIsNoPartOfACurve).
	dimensionMost = 0.7
	// tickLeast and tickMost are how far a mark reaches to each side of the line's rim, and headLong how far along it,
	// in squares (TestADimensionLineIsNoPartOfACurve).
	tickLeast, tickMost, headLong = 0.07, 0.5, 0.6
	// bareBeyond is how much paper there is at least beyond a mark, in squares (TestADimensionLineIsNoPartOfACurve).
	bareBeyond = 0.15
	// aloneLeast is along which part of it there is ink on the line and paper beside it: a stroke that is not quite
	// along the squares leaves it (TestADimensionLineIsNoPartOfACurve).
	aloneLeast = 0.85
)

// arrowWide is how far to its sides, and beyond its end, an axis's arrow reaches, in squares
// (TestAnAxissArrowIsNoPartOfACurve).
const arrowWide = 0.4

// takeArrow takes the arrow at the right or upper end of an axis off the ink: what lies there by itself.
func (c *canvas) takeArrow(l line) {
	long, wide := int(arrowLong*float64(c.per)), int(arrowWide*float64(c.per))
	x0, x1, mid := l.to-long, l.to+wide, int(l.at(l.to))
	y0, y1 := mid-wide, mid+wide
	if !l.level {
		mid = int(l.at(l.from))
		x0, x1, y0, y1 = mid-wide, mid+wide, l.from-wide, l.from+long
	}
	x0, x1, y0, y1 = max(x0, 0), min(x1, c.w-1), max(y0, 0), min(y1, c.h-1)
	var spans []raster.Span
	on := make([]bool, max(x1-x0+1, 0))
	for y := y0; y <= y1; y++ {
		for i := range on {
			on[i] = c.ink.Pix[y*c.w+x0+i] > 0 && !c.axis[(x0+i)*c.h+y]
		}
		spans = raster.Spans(spans, y, on)
	}
	list, of := raster.Components(spans, 1)
	for i, s := range spans {
		if m := list[of[i]]; m.Line0 > y0 && m.Line1 <= y1 && m.From > 0 && m.To < len(on) {
			for x := s.From; x < s.To; x++ {
				c.ink.Pix[s.Line*c.w+x0+x] = 0
			}
		}
	}
}

// takeDimensions takes dimension lines off the ink.
func (c *canvas) takeDimensions() {
	x0, x1, y0, y1 := c.drawn()
	for _, level := range [2]bool{true, false} {
		most := dimensionMost * float64(x1-x0)
		if !level {
			most = dimensionMost * float64(y1-y0)
		}
		for _, l := range c.lines(level, dimensionLeast, smallGap) {
			if d := (dimension{c.evidence, l}); float64(l.to-l.from) <= most && d.isAlone() {
				a, b := d.markAt(l.from, -1), d.markAt(l.to, 1)
				if a != nil && b != nil {
					d.erase(a)
					d.erase(b)
					d.eraseLine()
				}
			}
		}
	}
}

// A dimension is a line that may be one, over the ink.
type dimension struct {
	*evidence
	line
}

// cell is the index of a place along the line and across it; false outside.
func (d *dimension) cell(along, across int) (int, bool) {
	x, y := along, across
	if !d.level {
		x, y = across, along
	}
	return y*d.w + x, x >= 0 && y >= 0 && x < d.w && y < d.h
}

func (d *dimension) inked(along, across int) bool {
	i, ok := d.cell(along, across)
	return ok && d.ink.Pix[i] > isInk
}

// rim is how far from its middle a line's stroke reaches, in cells.
func (d *dimension) rim() int { return int(math.Ceil(d.half)) + 1 }

// head is how far a mark may reach along the line, in cells.
func (d *dimension) head() int { return min(int(headLong*float64(d.per)), (d.to-d.from)/3) }

// isAlone reports whether a line is along the squares and has ink on it, and paper on one side at least, between where
// its marks may be.
func (d *dimension) isAlone() bool {
	beside, long := d.rim()+1, d.head()
	n, alone := 0, 0
	for along := d.from + long; along <= d.to-long; along++ {
		mid := int(math.Round(d.at(along)))
		n++
		if (d.inked(along, mid) || d.inked(along, mid-1) || d.inked(along, mid+1)) &&
			!(d.inked(along, mid-beside) && d.inked(along, mid+beside)) {
			alone++
		}
	}
	return n > 0 && float64(alone) >= aloneLeast*float64(n) && math.Abs(d.b-d.a) <= 2*lineSlope*float64(d.to-d.from)
}

// markAt gives the cells of the mark at a line's end, beyond which there is paper in direction step: as many rows to
// the one side as to the other, fewer where it runs into what lies beside it. Nil without one.
func (d *dimension) markAt(end, step int) (cells []int) {
	mid, rim := d.middleBefore(end, step), d.rim()
	from := end + step*2*rim
	for i := range int(bareBeyond * float64(d.per)) {
		for across := mid - rim; across <= mid+rim; across++ {
			if d.inked(from+step*i, across) {
				return nil
			}
		}
	}
	up, upEnds := d.rowsOf(end, step, mid-rim, -1)
	down, downEnds := d.rowsOf(end, step, mid+rim, 1)
	switch least := int(tickLeast * float64(d.per)); {
	case !upEnds && !downEnds || upEnds && len(up) < least || downEnds && len(down) < least:
		return nil
	case upEnds && !downEnds:
		down = down[:min(len(down), len(up))]
	case downEnds && !upEnds:
		up = up[:min(len(up), len(down))]
	}
	return slices.Concat(slices.Concat(up...), slices.Concat(down...))
}

// middleBefore is the middle row of a line's stroke beside the mark at its end: a hand leads no ruler.
func (d *dimension) middleBefore(end, step int) int {
	long, reach := d.head(), 2*d.rim()
	sum, n := 0, 0
	for i := long; i < 3*long/2; i++ {
		along := end - step*i
		mid := int(math.Round(d.at(along)))
		for across := mid - reach; across <= mid+reach; across++ {
			if d.inked(along, across) {
				sum, n = sum+across, n+1
			}
		}
	}
	if n == 0 {
		return int(math.Round(d.at(end)))
	}
	return int(math.Round(float64(sum) / float64(n)))
}

// rowsOf gives the cells of a mark row by row, from the row beside the line's stroke on to one side: what hangs
// together, until it ends or runs into something that goes on.
func (d *dimension) rowsOf(end, step, across, side int) (rows [][]int, ends bool) {
	lo, hi := end-step*d.head(), end+step*2*d.rim()
	lo, hi = min(lo, hi), max(lo, hi)
	before := make([]bool, hi-lo+1)
	for i := range before {
		before[i] = true // what hangs on the line's stroke
	}
	for len(rows) <= int(tickMost*float64(d.per)) {
		on := hanging(before, func(i int) bool { return d.inked(lo+i, across) })
		var row []int
		for i, v := range on {
			if v {
				k, _ := d.cell(lo+i, across)
				row = append(row, k)
			}
		}
		if len(row) == 0 || on[0] || on[len(on)-1] {
			return rows, len(row) == 0
		}
		rows = append(rows, row)
		before, across = on, across+side
	}
	return rows, false
}

// erase takes cells off the ink, and off what is drawn: they are neither a curve nor anything else.
func (d *dimension) erase(cells []int) {
	for _, i := range cells {
		d.ink.Pix[i], d.drawing[i] = 0, false
	}
}

// eraseLine takes the line itself off, save where something crosses it.
func (d *dimension) eraseLine() {
	rim := d.rim()
	for along := d.from - rim; along <= d.to+rim; along++ {
		mid := int(math.Round(d.at(along)))
		if d.inked(along, mid-rim-1) && d.inked(along, mid+rim+1) {
			continue
		}
		for across := mid - rim; across <= mid+rim; across++ {
			if i, ok := d.cell(along, across); ok {
				d.erase([]int{i})
			}
		}
	}
}
