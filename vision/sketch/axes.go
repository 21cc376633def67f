package sketch

// Which straight lines are axes.
//
// A decay ends in a straight line, a square wave is made of them. An axis goes along the whole drawing, or meets one
// that stands across it near its end, or stands upright with nothing going on from it.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
)

const (
	// wholeWidth is which part of what is drawn an axis goes along (TestAxesAreNoCurves).
	wholeWidth = 0.8
	// halfWidth is which part of the drawing's width an axis goes along at least that meets another, and partHeight of
	// its height: two graphs may stand over each other (TestAxesAreNoCurves).
	halfWidth, partHeight = 0.5, 0.25
	// originNear is how far beyond the other one an axis goes on at most, in squares; it may end lineGap before it
	// (TestAxesAreNoCurves).
	originNear = 1.5
	// cornerRun is how long in squares what goes on round a corner is, longer than an arrow with a letter, and
	// cornerNear how far from a line's end, for ends are drawn out (TestWhatGoesOnRoundACornerIsNoAxis).
	cornerRun, cornerNear = 1.5, 0.2
	// cornerInk is which part of it is ink: of pencil nearly all, of letters in a row two thirds
	// (TestWhatGoesOnRoundACornerIsNoAxis).
	cornerInk = 0.85
	// cornerFree is beside which part of it there may be other ink: letters stand over each other
	// (TestWhatGoesOnRoundACornerIsNoAxis).
	cornerFree = 0.3
	// besideLine is how far apart in squares two level lines are of which the shorter is no axis
	// (TestALineBesideALongerOne).
	besideLine = 0.4
	// aloneReach is how far from the end of an upright line, in squares, ink that hangs on it goes on that is no arrow,
	// and aloneNear within how much of its end it does (TestAnUprightStrokeThatEndsIsAnAxis).
	aloneReach, aloneNear = 0.8, 0.6
	// aloneBeyond is how far it goes beyond what else is drawn, in squares (TestAnUprightStrokeThatEndsIsAnAxis).
	aloneBeyond = 0.2
)

// axes marks which lines are axes: level ones along the whole drawing, and those that meet one across near their left
// end; upright ones that they meet there, and that nothing goes on from. The upright edges of a square wave are as high
// as the drawing.
func (e *evidence) axes(level, upright []line) {
	x0, x1, y0, y1 := e.drawn()
	for i := range level {
		l := &level[i]
		x, y := float64(l.to), l.at(l.to)
		l.axis = float64(l.to-l.from) > wholeWidth*float64(x1-x0) && !e.runsBeside(*l, level) &&
			max(e.goesOn(x, y, 0, -1, l.half), e.goesOn(x, y, 0, 1, l.half)) < cornerRun
	}
	near, gap := originNear*float64(e.per), lineGap*float64(e.per)
	for i := range level {
		if e.runsBeside(level[i], level[:i]) {
			continue
		}
		for j := range upright {
			a, b := &level[i], &upright[j]
			x, y := b.at(int(a.a)), a.at(int(b.a)) // where they meet, nearly
			if float64(a.to-a.from) > halfWidth*float64(x1-x0) && float64(b.to-b.from) > partHeight*float64(y1-y0) &&
				x > float64(a.from)-gap && x < float64(a.from)+near && y > float64(b.from)-near && y < float64(b.to)+gap &&
				!e.turns(a, b) {
				a.axis, b.axis = true, true
			}
		}
	}
	for i := range upright {
		if l := &upright[i]; float64(l.to-l.from) > partHeight*float64(y1-y0) && e.standsAlone(*l) {
			l.axis = true
		}
	}
}

// standsAlone reports whether an upright line ends at both ends, save for an arrow, beyond all else but letters: the
// flank of a curve goes on, or ends where others do.
func (e *evidence) standsAlone(l line) bool {
	if math.Abs(l.b-l.a) > lineSlope*float64(l.to-l.from) || !e.isFree(l, l.from, -1) || !e.isFree(l, l.to, 1) {
		return false
	}
	var spans []raster.Span
	on := make([]bool, e.w)
	for y := range e.h {
		for x := range on {
			on[x] = e.ink.Pix[y*e.w+x] > isInk && math.Abs(float64(x)-l.at(y)) > l.half+2
		}
		spans = raster.Spans(spans, y, on)
	}
	list, _ := raster.Components(spans, 1)
	top, bottom, first := e.h, 0, int(margin*float64(e.per))
	for _, m := range list {
		onSheet := m.Line1 > first && m.Line0 < e.h-first && m.To > first && m.From < e.w-first // else the sheet's edge
		if onSheet && max(m.Line1-m.Line0, m.To-m.From) > int(markSize*float64(e.per)) {
			top, bottom = min(top, m.Line0), max(bottom, m.Line1)
		}
	}
	beyond := int(aloneBeyond * float64(e.per))
	return top < bottom && l.from < top-beyond && l.to > bottom+beyond
}

// isFree reports whether the ink of an upright line leads nowhere near its end, beyond which it would go on in
// direction step: none that hangs on it reaches as far as aloneReach, but back along the line.
func (e *evidence) isFree(l line, end, step int) bool {
	reach, near := int(aloneReach*float64(e.per)), int(aloneNear*float64(e.per))
	mid, band := int(l.at(end)), int(l.half)+2
	x0, x1 := max(mid-reach, 0), min(mid+reach, e.w-1)
	within, beyond := min(max(end-step*near, 0), e.h-1), min(max(end+step*reach, 0), e.h-1)
	var spans []raster.Span
	on := make([]bool, x1-x0+1)
	for y := min(within, beyond); y <= max(within, beyond); y++ {
		for i := range on {
			on[i] = e.ink.Pix[y*e.w+x0+i] > isInk
		}
		spans = raster.Spans(spans, y, on)
	}
	list, of := raster.Components(spans, 1)
	hangs, leads := make([]bool, len(list)), make([]bool, len(list))
	for i, s := range spans {
		along := x0+s.From <= mid+band && x0+s.To > mid-band
		hangs[of[i]] = hangs[of[i]] || along && (s.Line-end)*step <= 0
		leads[of[i]] = leads[of[i]] || s.From == 0 || s.To == len(on) || s.Line == beyond || s.Line == within && !along
	}
	for i := range list {
		if hangs[i] && leads[i] {
			return false
		}
	}
	return slices.Contains(hangs, true)
}

// turns reports whether two lines that meet go on round a corner at the other end of one of them: the edge of a square
// wave and its level do, axes end. Those of a frame go on too, as far as the other one is long.
func (e *evidence) turns(a, b *line) bool {
	x, y := b.at(b.from), float64(b.from) // the upright one's upper end
	if e.goesOn(x, y, -1, 0, b.half) > cornerRun {
		return true
	}
	long := func(n, of float64) bool { return n > cornerRun && n*float64(e.per) < wholeWidth*of }
	if long(e.goesOn(x, y, 1, 0, b.half), float64(a.to-a.from)) {
		return true
	}
	x, y = float64(a.to), a.at(a.to) // the level one's right end
	high := float64(b.to - b.from)
	return long(e.goesOn(x, y, 0, -1, a.half), high) || long(e.goesOn(x, y, 0, 1, a.half), high)
}

// goesOn gives how far a stroke goes on from near the end of a line at right angles to it, to one side, in squares:
// letters beside an axis's end have more paper in them.
func (e *evidence) goesOn(x, y float64, dx, dy int, half float64) float64 {
	const drift = 12 // cells for each that it may be off
	near, skip := int(cornerNear*float64(e.per)), int(half)+2
	gap := max(1, int(smallGap*float64(e.per)))
	on := func(u, v int) bool { return u >= 0 && v >= 0 && u < e.w && v < e.h && e.ink.Pix[v*e.w+u] > isInk }
	most := 0
	for off := -near; off <= near; off++ {
		side, seen, last, crowded := off, 0, skip, 0
		for n := skip; n-last <= gap && (seen > 0 || n <= skip+2); n++ { // it hangs on the line, as letters do not
			for _, d := range [3]int{0, -1, 1} {
				u, v := int(x)+n*dx+(side+d)*dy*dy, int(y)+n*dy+(side+d)*dx*dx
				if !on(u, v) {
					continue
				}
				seen, last = seen+1, n
				if w := 2*int(half) + 4; on(u+w*dy*dy, v+w*dx*dx) || on(u-w*dy*dy, v-w*dx*dx) {
					crowded++
				}
				if float64(seen) >= cornerInk*float64(n-skip+1) && float64(crowded) <= cornerFree*float64(seen) {
					most = max(most, n-skip+1)
				}
				if n%drift == 0 {
					side += d
				}
				break
			}
		}
	}
	return float64(most) / float64(e.per)
}

// runsBeside reports whether a level line runs beside one of others that is longer: the low level of a square wave
// beside its axis, which begins at an edge of the wave.
func (e *evidence) runsBeside(l line, others []line) bool {
	return slices.ContainsFunc(others, func(o line) bool {
		a, b := max(l.from, o.from), min(l.to, o.to)
		return o.to-o.from > l.to-l.from && 2*(b-a) > l.to-l.from && math.Abs(l.at((a+b)/2)-o.at((a+b)/2)) < besideLine*float64(e.per)
	})
}

// drawn is the rectangle of cells in which nearly all ink lies.
func (e *evidence) drawn() (x0, x1, y0, y1 int) {
	cols, rows := make([]float64, e.w), make([]float64, e.h)
	total := 0.0
	for y := range e.h {
		for x := range e.w {
			if v := float64(e.ink.Pix[y*e.w+x]); v > 0.5 {
				cols[x] += v
				rows[y] += v
				total += v
			}
		}
	}
	ends := func(v []float64) (a, b int) {
		const tail = 0.01
		sum := 0.0
		a, b = -1, len(v)-1
		for i, x := range v {
			sum += x
			if a < 0 && sum > tail*total {
				a = i
			}
			if sum > (1-tail)*total {
				return max(a, 0), i
			}
		}
		return max(a, 0), b
	}
	x0, x1 = ends(cols)
	y0, y1 = ends(rows)
	return x0, x1, y0, y1
}
