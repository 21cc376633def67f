package trace

// The mark that shows where a trace has its zero: a small arrow or flag in the trace's colour at the left
// rim, outside the frame or just inside it, often with a number beside it. It points at the ground
// line, so the ground line is its middle, or, where the screen's lower end cuts it in half, its tip. A mark
// in a corner that points down or up says something else: that the ground line lies off the screen.

import (
	"math"
	"slices"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// markReach is how far outside the frame the strip is read, in boxes: what crosses all of it is a
	// cable. A mark's tip is within markTip of the frame, the mark no wider than markWide
	// (TestWhichBlobsAreMarks).
	markReach, markTip, markWide = 0.8, 0.25, 0.62
	// markInside is how far inside the frame a mark may reach, in boxes; it begins within markBegins of the rim
	// (TestWhichMarksAreInsideTheFrame).
	markInside, markBegins = 0.5, 0.1
	// markPast is how far past the lowest or highest line a mark may point, in boxes (TestWhereAMarkPoints).
	markPast = 0.08
	// markLeast and markMost bound the height of a mark, in boxes; markThin is the least width, which a stroke
	// that runs on past the frame does not have (TestWhichBlobsAreMarks).
	markLeast, markMost, markThin = 0.06, 0.55, 0.05
	// markContrast is the least difference in linear light between trace and rim for a mark to be
	// seen, markShare the share of it that a cell of a mark has at least (TestWhichCellsHaveTheTracesColour).
	markContrast, markShare = 0.03, 0.4
	// markAlone is how much heavier than any other blob the mark must be (TestWhichMarkIsTheTraces).
	markAlone = 1.5
	// markCells is how many rows of cells a mark has at least for its shape to be seen (TestWhereAMarkPoints).
	markCells = 5
	// besideFrame columns touch the frame. A trace's own start spills over into them; a mark is told from a trace
	// that runs on past the frame by being at most tipShare as high there as elsewhere. Nor is it at a level of the
	// trace, where restShare of its samples are, and no more than strokeHigh times as high as its stroke: a wave's
	// first level may be too short to be seen as the trace's start (TestWhichBlobsAreMarks).
	besideFrame, tipShare, restShare, strokeHigh = 2, 0.7, 0.15, 1.3
	// numberApart is the greatest distance, in boxes, of a mark from its number (TestANumberStandsBesideItsMark).
	numberApart = 0.1
	// cornerReach is how far from the lowest or highest line, in boxes, a mark may end that points off the
	// screen; it is like its mirror image, left for right, in shapeAlike of its area, and more so by shapeMore
	// than upside down (TestWhereAMarkPoints).
	cornerReach, shapeAlike, shapeMore = 0.3, 0.55, 0.05
	// tipRows is how near its cut end the tip of a mark cut in half is, as a share of what is left of its height
	// (TestWhereAMarkPoints).
	tipRows = 0.2
	// strokeForeign is how many times the part of a cell's light off the trace's tint is taken from the part along
	// it, as package path does for strokes; markForeign is less strict, for a stroke may be overexposed and its mark
	// not (TestHowFarAMarksColourIsOff).
	strokeForeign, markForeign = 2, 1.2
	// otherTint is by how many radians a mark is nearer to the colour of another trace, from which on it is that one's
	// (TestWhichMarkIsTheTraces).
	otherTint = 0.05
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
	outer, inner := make([]sheet.Tint, len(traces)), make([]sheet.Tint, len(traces))
	for k, t := range traces {
		outer[k], inner[k] = r.tint(sheet.FromSRGB(t.Colour)), found[k].Tint
	}
	for k, t := range traces {
		mask := r.alike(sheet.FromSRGB(t.Colour), markForeign)
		beside := slices.Clone(mask[len(mask)-1])
		outside := r.marks(mask, t, starts)
		y, ok := chosenMark(outside, outer, k)
		if !ok || len(outside) == 1 && math.IsNaN(y) { // none, or a number alone, whose mark may be inside
			inside := insideMarks(s, found[k], t.Frame.Bottom(), func(y float64) bool {
				j := int(r.Row(y) + 0.5)
				return j >= 0 && j < len(beside) && beside[j]
			})
			if v, ok := chosenMark(inside, inner, k); ok {
				y = v
			}
		}
		t.GroundMark = y
		// White marks of several channels differ too little to tell whose is whose.
		if math.Abs(found[k].Tint.Grey()) > math.Cos(path.Neutral) && len(r.marks(r.alike(sheet.FromSRGB(t.Colour), 0), t, starts)) > 1 {
			t.GroundMark = math.NaN()
		}
	}
	// Two traces of one ink have two marks, and a mark that only one was found of may be either's. A helper line has
	// none; a trace at rest, which looks the same, is at its mark.
	for k, t := range traces {
		for m, o := range traces {
			idle := found[m].Line && !(math.Abs(raster.Rank(finite(o.Y), 0.5)-t.GroundMark) < markLeast)
			if m != k && found[m].Tint == found[k].Tint && !idle {
				t.GroundMark = math.NaN()
			}
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

// marks lists what may be the mark of t, outside the frame, mask telling by column what has its colour.
func (r *rim) marks(mask [][]bool, t *Trace, starts []start) (out []mark) {
	s, low, thin := r.Side, t.Frame.Bottom(), raster.Rank(finite(t.Thick), 0.25)
	for _, a := range starts {
		for j := range mask[0] {
			for i := len(mask) - besideFrame; i < len(mask) && a.near(s.Y(float64(j)), a.thick/2); i++ {
				mask[i][j] = false
			}
		}
	}
	tip := int((markReach-markTip)*float64(s.Across) + 0.5)
	for _, b := range grouped(blobsOf(mask), int(numberApart*float64(s.Across)+0.5)) {
		a := b.arrow(int(markThin*float64(s.Across)+0.5), int(markLeast*float64(s.Up)+0.5))
		if b.i0 < besideFrame || a.i1 < tip || float64(b.i1-b.i0+1)*s.DX > markWide {
			continue
		}
		if y, ok := pointsAt(&s.Grid, a, low); ok {
			height := float64(a.j1-a.j0+1) * s.DY
			middle := s.Y(float64(a.j0+a.j1) / 2)
			if a.endHeight() > tipShare && (nearAny(starts, middle, height) || height < strokeHigh*thin && t.restsAt(middle, thin/2)) {
				continue // a trace that runs on past the frame is as thick there as further out
			}
			out = append(out, mark{y, len(b.cells), tintOf(a, &s.Light, s.NY, func(int, int) float32 { return 0 })})
		}
	}
	return out
}

// restsAt reports whether the trace has a level within reach of height y.
func (t *Trace) restsAt(y, reach float64) bool {
	n := 0
	for _, v := range t.Y {
		if math.Abs(v-y) < reach { // false for NaN
			n++
		}
	}
	return float64(n) > restShare*float64(len(t.Y))
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
	if wide < markThin || high < markLeast || high > markMost || a.j1-a.j0+1 < markCells ||
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

// alike tells, by column, which cells have the colour, given in linear light, foreign being the price of what is off
// it.
func (r *rim) alike(colour [3]float32, foreign float32) [][]bool {
	s := r.Side
	mask := make([][]bool, s.NX)
	for i := range mask {
		row := make([]bool, s.NY)
		mask[i] = row
		// A mark has the trace's colour on the rim's field, which may be another than the display's.
		var d sheet.Tint
		amount := float32(0)
		for c := range d {
			d[c] = colour[c] - r.Field[i][c]
			amount += d[c] * d[c]
		}
		amount = float32(math.Sqrt(float64(amount)))
		if amount < markContrast {
			continue
		}
		for c := range d {
			d[c] /= amount
		}
		for j := range row {
			k := i*s.NY + j
			v0, v1, v2 := s.Light[0][k], s.Light[1][k], s.Light[2][k]
			row[j] = d.Alike(foreign, d[0]*v0+d[1]*v1+d[2]*v2, v0, v1, v2) > markShare*amount
		}
	}
	return mask
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
