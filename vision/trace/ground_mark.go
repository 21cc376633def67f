package trace

// The mark that shows where a trace has its zero: a pointer, a flag, or a digit with a pointer beside it, at the left
// rim, outside the frame or just inside it. It points at the ground line, so the ground line is its middle, or, where
// the screen's lower end cuts it in half, its tip. A mark in a corner that points down or up says something else: that
// the ground line lies off the screen.
//
// What stands out at the rim (rim_signs.go) is judged by its shape, and given to the traces by likelihood: that
// assignment is taken in which colours agree best. Where another one is nearly as likely, that is told. Only where
// there is nothing outside the frame a mark is looked for inside.

import (
	"math"
	"slices"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// markReach is how far outside the frame the strip is read, in boxes: what crosses all of it is a cable
	// (TestAMarkMayStandFarOut).
	markReach = 1.0
	// markHigh is how far past the frame's ends the strip is read, in boxes: a mark at the lowest line has surroundings
	// too (TestALargeMarkHasSurroundings).
	markHigh = 1.1
	// A mark's tip is within markTip of the frame (TestWhichSignsAreMarks).
	markTip = 0.25
	// markInside is how far inside the frame a mark may reach, in boxes; it begins within markBegins of the rim
	// (TestWhichMarksAreInsideTheFrame).
	markInside, markBegins = 0.5, 0.1
	// markPast is how far past the lowest or highest line a mark may point, in boxes (TestWhereAMarkPoints).
	markPast = 0.08
	// markLeast bounds the height of a mark, in boxes; markThin is the least width, which a stroke
	// that runs on past the frame does not have (TestWhereAMarkPoints).
	markLeast, markThin = 0.06, 0.05
	// markContrast is the least difference in linear light between trace and rim for a mark to be
	// seen, markShare the share of it that a cell of a mark has at least (TestWhichCellsHaveTheTracesColour).
	markContrast, markShare = 0.03, 0.4
	// markAlone is how much heavier than any other blob a mark inside the frame must be (TestWhichMarkIsTheTraces).
	markAlone = 1.5
	// markCells is how many rows of cells a mark has at least for its shape to be seen (TestWhereAMarkPoints).
	markCells = 5
	// besideFrame columns touch the frame. A trace's own start is as high there as elsewhere; a mark inside the frame is
	// at most tipShare as high (TestAWaveThatRunsOnPastTheFrameIsNoMark).
	besideFrame, tipShare = 2, 0.7
	// What goes on inside the frame is seen in goesOnShare of goesOnInside boxes (TestWhichSignsAreMarks).
	goesOnInside, goesOnShare = 0.12, 0.8
	// numberApart is the greatest distance, in boxes, of a mark from its number (TestANumberStandsBesideItsMark).
	numberApart = 0.1
	// cornerReach is how far from the lowest or highest line, in boxes, a mark may end that points off the
	// screen; it is like its mirror image, left for right, in shapeAlike of its area, and more so by shapeMore
	// than upside down (TestWhereAMarkPoints).
	cornerReach, shapeAlike, shapeMore = 0.15, 0.55, 0.05
	// numberAlike is as shapeAlike, for what has a waist (TestWhichSignsAreMarks).
	numberAlike = 0.4
	// tipRows is how near its cut end the tip of a mark cut in half is, as a share of what is left of its height
	// (TestWhereAMarkPoints).
	tipRows = 0.2
	// strokeForeign is how many times the part of a cell's light off the trace's tint is taken from the part along
	// it, as package path does for strokes; markForeign is less strict, for a stroke may be overexposed and its mark
	// not (TestHowFarTheColourOfAMarkInsideIsOff).
	strokeForeign, markForeign = 2, 1.2
	// otherTint is by how many radians a mark inside the frame is nearer to the colour of another trace, from which on it
	// is that one's (TestWhichMarkIsTheTraces).
	otherTint = 0.05
	// hueSpread is by how many radians, one standard deviation, a mark's colour differs from its trace's: one may be
	// overexposed and the other not. Between two things of one colour the larger is the mark, up to fullMark square boxes.
	// noMark is the cost of a trace without a mark, in log likelihood, clearlyOwned by how much dearer any other
	// assignment of a trace must be (TestWhoseAMarkIs).
	hueSpread, fullMark, noMark, clearlyOwned = 0.28, 0.06, 3, 1
	// mostOwners bounds the traces that are assigned, for the work grows with their power (TestWhoseAMarkIs).
	mostOwners = 6
	// Where a trace starts in its mark, columns count as the mark's from startRise times the usual stroke on, and the
	// mark is at least startHeight times as high (TestWhichMarksAreInsideTheFrame).
	startRise, startHeight = 1.5, 2.5
)

// A rim is the strip left of the frame.
type rim struct{ *sheet.Side }

// A start is where a trace meets the left rim, and the thickness of its stroke, in boxes.
type start struct{ y, thick float64 }

// near reports whether a blob of the given height about y may be the trace itself.
func (a start) near(y, height float64) bool { return math.Abs(y-a.y) < height+a.thick }

// markGround fills in the traces' marks; found are their candidates.
func (r *rim) markGround(s *sheet.Sheet, traces []*Trace, found []*path.Candidate) {
	var starts []start
	for _, t := range traces {
		for i, y := range t.Y {
			if !math.IsNaN(y) && t.X[i] < t.Frame.Left()+markTip {
				starts = append(starts, start{y, raster.Rank(finite(t.Thick), 0.25)})
				break
			}
		}
	}
	owned := r.assign(r.marks(s, starts, traces[0].Frame.Bottom()), traces, found)
	inner := make([]sheet.Tint, len(traces))
	for k := range traces {
		inner[k] = found[k].Tint
	}
	for k, t := range traces {
		if t.GroundMark, t.GroundRival = owned[k].y, owned[k].rival; owned[k].seen && !owned[k].number {
			continue
		}
		// None, or a number alone, whose pointer may be inside.
		beside := r.alike(sheet.FromSRGB(t.Colour), r.NX-1)
		inside := insideMarks(s, found[k], t.Frame.Bottom(), func(y float64) bool {
			j := int(r.Row(y) + 0.5)
			return j >= 0 && j < len(beside) && beside[j]
		})
		if v, ok := chosenMark(inside, inner, k); ok {
			t.GroundMark = v
		}
	}
}

// A mark is where one points, in boxes, ±Inf if off the screen, its size in cells, and its colour.
type mark struct {
	y     float64
	cells int
	tint  sheet.Tint
}

// tint is what a stroke of the colour, given in linear light, adds to the field of the strip.
func (r *rim) tint(colour [3]float32) sheet.Tint {
	var sum [3]float64
	for _, f := range r.Field {
		for c := range sum {
			sum[c] += float64(colour[c] - f[c])
		}
	}
	return sheet.UnitTint(sum)
}

// tintOf is the mean colour of the blob's cells, rows of them to a column of light, above what base gives of a cell.
func tintOf(b *blob, light *[3][]float32, rows int, base func(c, k int) float32) sheet.Tint {
	var sum [3]float64
	for _, at := range b.cells {
		k := at[0]*rows + at[1]
		for c := range sum {
			sum[c] += float64(light[c][k] - base(c, k))
		}
	}
	return sheet.UnitTint(sum)
}

// chosenMark gives the place of the largest mark, NaN if it does not stand alone, even where its rivals have the
// colour of another trace: white marks differ too little. It is not ok without a mark, or when the largest is another
// trace's than k.
func chosenMark(marks []mark, tints []sheet.Tint, k int) (y float64, ok bool) {
	best, second := mark{y: math.NaN()}, 0
	for _, m := range marks {
		if m.cells > best.cells {
			best, second = m, best.cells
		} else {
			second = max(second, m.cells)
		}
	}
	own := best.tint.Angle(tints[k])
	if len(marks) == 0 || slices.ContainsFunc(tints, func(d sheet.Tint) bool { return best.tint.Angle(d) < own-otherTint }) {
		return math.NaN(), false
	}
	if float64(best.cells) < markAlone*float64(second) {
		return math.NaN(), true
	}
	return best.y, true
}

// An owner says where a trace's mark points, in boxes: ±Inf if off the screen, NaN if it has none or may have to leave
// it to another trace; and where another sign points that may be its mark as well, NaN if none may. It is not seen if
// nothing at the rim can be its mark.
type owner struct {
	y, rival float64
	seen     bool
	number   bool // what was seen points nowhere
}

// A rimMark is a sign that may be a mark: as it looks where it is most like its own mirror image, and where it points,
// in boxes, ±Inf if off the screen and NaN if that is not clear.
type rimMark struct {
	look
	y    float64
	tint sheet.Tint
}

// marks lists the signs that may be marks.
func (r *rim) marks(s *sheet.Sheet, starts []start, low float64) (marks []rimMark) {
	light, size := r.differences()
	for _, m := range r.signs(size) {
		var best rimMark
		for _, l := range m.looks {
			if y, ok := r.pointsOut(l, low); ok && l.beauty > best.beauty && (l.shaped || math.IsInf(y, 0) || !r.goesOn(rimMark{l, y, m.tint(l, &light, r.NY)}, m.level, s, starts)) {
				best = rimMark{l, y, m.tint(l, &light, r.NY)}
			}
		}
		if best.group != nil {
			marks = append(marks, best)
		}
	}
	return marks
}

// assign gives each trace its mark: that assignment of signs to traces whose colours agree best, in which no sign has
// two traces. A trace is better left without one than with one of another hue, and a helper line beside a trace of its
// ink has none; a trace at rest, which looks the same, is at its mark.
func (r *rim) assign(marks []rimMark, traces []*Trace, found []*path.Candidate) []owner {
	out := make([]owner, len(traces))
	for k := range out {
		out[k] = owner{y: math.NaN(), rival: math.NaN()}
	}
	if len(marks) == 0 || len(traces) > mostOwners {
		return out
	}
	costs := make([][]float64, len(traces)) // by trace and mark
	for k, t := range traces {
		tint := r.tint(sheet.FromSRGB(t.Colour))
		beside := found[k].Line && slices.ContainsFunc(found, func(c *path.Candidate) bool { return c != found[k] && c.Tint == found[k].Tint })
		costs[k] = make([]float64, len(marks))
		for m, s := range marks {
			off := s.tint.Angle(tint) / hueSpread
			area := min(float64(len(s.cells))*r.DX*r.DY, fullMark)
			costs[k][m] = off*off/2 - math.Log(area/(signWide*signHigh))
			if beside && !(math.Abs(raster.Rank(finite(t.Y), 0.5)-s.y) < markLeast) {
				costs[k][m] = math.Inf(1)
			}
		}
	}
	best, mine := cheapest(costs, none, none)
	for k, m := range mine {
		if m == none {
			continue
		}
		out[k].seen, out[k].number = true, math.IsNaN(marks[m].y)
		switch dearer, other := cheapest(costs, k, m); {
		case dearer-best > clearlyOwned:
			out[k].y = marks[m].y
		case other[k] != none:
			out[k].y, out[k].rival = marks[m].y, marks[other[k]].y
		}
	}
	return out
}

// none stands for no mark, or for no trace (TestWhoseAMarkIs).
const none = -1

// cheapest is the assignment of least cost: by trace, its mark or none. Trace not does not take mark but; it takes
// another one, or leaves that to another trace.
func cheapest(costs [][]float64, not, but int) (least float64, mine []int) {
	least = math.Inf(1)
	now := make([]int, len(costs))
	var try func(k int, sum float64, taken uint64)
	try = func(k int, sum float64, taken uint64) {
		if k == len(costs) {
			if left := not != none && now[not] == none && taken&(1<<but) == 0; sum < least && !left {
				least, mine = sum, slices.Clone(now)
			}
			return
		}
		now[k] = none
		try(k+1, sum+noMark, taken)
		for m, c := range costs[k] {
			if taken&(1<<m) == 0 && c < noMark && !(k == not && m == but) {
				now[k] = m
				try(k+1, sum+c, taken|1<<m)
			}
		}
	}
	try(0, 0, 0)
	return least, mine
}

// pointsOut gives where a sign left of the frame that looks so points; it is not ok if it is no mark.
func (r *rim) pointsOut(l look, low float64) (y float64, ok bool) {
	tip := r.NX - int(markTip*float64(r.Across)+0.5)
	least := shapeAlike
	if l.waist { // a digit beside a sign, such as that of earth
		least = numberAlike
	}
	if l.arrow.i1 < tip || l.beauty < least && !l.arrow.isCut(&r.Grid, low) {
		return 0, false
	}
	return pointsAt(&r.Grid, l.arrow, low)
}

// goesOn reports whether a sign, seen up to the threshold level, goes on inside the frame, as a trace does that begins
// before it.
func (r *rim) goesOn(l rimMark, level float32, s *sheet.Sheet, starts []start) bool {
	height, middle := float64(l.j1-l.j0+1)*r.DY, r.Y(float64(l.j0+l.j1)/2)
	if nearAny(starts, middle, height) {
		return true
	}
	light := s.LightAlong(l.tint)
	from, to := max(int(s.Row(middle-height/2)), 0), min(int(s.Row(middle+height/2))+1, s.NY)
	n, on := int(goesOnInside*float64(s.Across)), 0
	for i := range n {
		if from < to && slices.Max(light[i*s.NY+from:i*s.NY+to]) > markShare*level {
			on++
		}
	}
	return float64(on) > goesOnShare*float64(n)
}

func nearAny(starts []start, y, height float64) bool {
	for _, a := range starts {
		if a.near(y, height) {
			return true
		}
	}
	return false
}

// pointsAt judges a mark's shape and gives where it points, in boxes; NaN if that is not clear.
func pointsAt(s *sheet.Grid, a *blob, low float64) (y float64, ok bool) {
	wide, high := float64(a.i1-a.i0+1)*s.DX, float64(a.j1-a.j0+1)*s.DY
	if wide < markThin || high < markLeast || high > signMost || a.j1-a.j0+1 < markCells ||
		float64(len(a.cells))*s.DX*s.DY < markLeast*markLeast/2 { // a triangle as small as a mark may be
		return 0, false
	}
	upright, sideways := a.mirrored()
	bottom, top := s.Y(float64(a.j0)-0.5), s.Y(float64(a.j1)+0.5)
	if y = s.Y(a.middle()); math.Abs(y) > -low+markPast {
		return 0, false
	}
	// Cut in half at the screen's end, a mark has its tip there.
	rows := tipRows * float64(a.j1-a.j0)
	if math.Abs(bottom-low) < markPast && a.tip()-float64(a.j0) < rows {
		return low, true
	}
	if math.Abs(top+low) < markPast && float64(a.j1)-a.tip() < rows {
		return -low, true
	}
	if min(bottom-low, -low-top) < cornerReach && upright <= sideways {
		if sideways < shapeAlike && upright < shapeAlike {
			return 0, false // like neither: no mark
		}
		if !(sideways > shapeAlike && sideways > upright+shapeMore) {
			return math.NaN(), true // it may point down or to the side
		}
		if bottom-low < -low-top {
			return math.Inf(-1), true
		}
		return math.Inf(1), true
	}
	if upright < shapeAlike && a.isCut(s, low) {
		return 0, false
	}
	return min(max(y, low), -low), true
}

// alike tells which cells of a column have the colour, given in linear light.
func (r *rim) alike(colour [3]float32, column int) []bool {
	on := make([]bool, r.NY)
	// A mark has the trace's colour on the rim's field, which may be another than the display's.
	var d sheet.Tint
	amount := float32(0)
	for c := range d {
		d[c] = colour[c] - r.Field[column][c]
		amount += d[c] * d[c]
	}
	amount = float32(math.Sqrt(float64(amount)))
	if amount < markContrast {
		return on
	}
	for c := range d {
		d[c] /= amount
	}
	for j := range on {
		k := column*r.NY + j
		v0, v1, v2 := r.Light[0][k], r.Light[1][k], r.Light[2][k]
		on[j] = d.Alike(markForeign, d[0]*v0+d[1]*v1+d[2]*v2, v0, v1, v2) > markShare*amount
	}
	return on
}

// insideMarks lists what may be the mark of candidate c just inside the frame. Its own strokes are left out but for
// those much higher than usual: a trace may start in its mark. What goes on outside, as outside tells of a height, is
// none.
func insideMarks(s *sheet.Sheet, c *path.Candidate, low float64, outside func(y float64) bool) (out []mark) {
	n := min(int(markInside*float64(s.Across)+0.5), s.NX)
	usual := c.Path.ThinRows()
	mask := make([][]bool, n)
	for i := range mask {
		mask[i] = make([]bool, s.NY)
		for j := range mask[i] {
			k := i*s.NY + j
			v0, v1, v2 := s.Light[0][k]-s.Ink[0][k], s.Light[1][k]-s.Ink[1][k], s.Light[2][k]-s.Ink[2][k]
			mask[i][j] = c.Tint.Alike(strokeForeign, c.Tint[0]*v0+c.Tint[1]*v1+c.Tint[2]*v2, v0, v1, v2) > markShare*c.Path.Amount
		}
		if r := c.Path.Runs[i]; c.Path.Seen(i) && float64(r.Hi-r.Lo+1) < startRise*usual {
			about := int(usual/2 + 0.5)
			clear(mask[i][max(r.Lo-about, 0):min(r.Hi+about+1, s.NY)])
		}
	}
	for _, b := range blobsOf(mask) {
		if float64(b.i0)*s.DX > markBegins || b.i1 == n-1 {
			continue
		}
		if b.i0 == 0 && outside(s.Y(b.middle())) {
			continue
		}
		if upright, _ := b.mirrored(); upright < shapeAlike && !b.isCut(&s.Grid, low) {
			continue // a piece of the trace
		}
		if b.meets(c.Path) && (float64(b.j1-b.j0+1) < startHeight*usual || b.endHeight() > tipShare) {
			continue // a thick piece of it
		}
		if y, ok := pointsAt(&s.Grid, b, low); ok {
			out = append(out, mark{y, len(b.cells), tintOf(b, &s.Light, s.NY, func(c, k int) float32 { return s.Ink[c][k] })})
		}
	}
	return out
}
