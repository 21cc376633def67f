package trace

// The mark that shows where a trace has its zero: a small arrow or flag in the trace's colour at the left
// rim, outside the frame or just inside it, often with a number beside it. It points at the ground
// line, so the ground line is its middle, or, where the screen's lower end cuts it in half, its tip. A mark
// in a corner that points down or up says something else: that the ground line lies off the screen.

import (
	"context"
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

const (
	// markReach is how far outside the frame the strip is read, in boxes: what crosses all of it is a
	// cable. A mark's tip is within markTip of the frame, the mark no wider than markWide.
	markReach, markTip, markWide = 0.8, 0.25, 0.62
	// markInside is how far inside the frame a mark may reach, in boxes; it begins within markBegins of the rim.
	markInside, markBegins = 0.5, 0.1
	// markPast is how far past the lowest or highest line a mark may point, in boxes.
	markPast = 0.08
	// markLeast and markMost bound the height of a mark, in boxes; markThin is the least width, which a stroke
	// that runs on past the frame does not have.
	markLeast, markMost, markThin = 0.06, 0.55, 0.05
	// markContrast is the least difference in linear light between trace and rim for a mark to be
	// seen, markShare the share of it that a cell of a mark has at least.
	markContrast, markShare = 0.03, 0.4
	// markAlone is how much heavier than any other blob the mark must be.
	markAlone = 1.5
	// markCells is how many rows of cells a mark has at least for its shape to be seen.
	markCells = 5
	// besideFrame columns touch the frame. A trace's own start spills over into them; a mark is told from
	// a trace that runs on past the frame by being at most tipShare as high there as elsewhere. Nor is it at a level of the trace,
	// where restShare of its samples are, and no more than strokeHigh times as high as its stroke: a wave's first level may be too
	// short to be seen as the trace's start (TestAWaveThatRunsOnPastTheFrameIsNoMark).
	besideFrame, tipShare, restShare, strokeHigh = 2, 0.7, 0.15, 1.3
	// numberApart is the greatest distance, in boxes, of a mark from its number.
	numberApart = 0.1
	// cornerReach is how far from the lowest or highest line, in boxes, a mark may end that points off the
	// screen; it is like its mirror image, left for right, in shapeAlike of its area, and more so by shapeMore
	// than upside down (TestMarkThatPointsOffTheScreen).
	cornerReach, shapeAlike, shapeMore = 0.3, 0.55, 0.05
	// tipRows is how near its cut end the tip of a mark cut in half is, as a share of what is left of its height.
	tipRows = 0.2
	// markForeign is as foreign, but less strict: a stroke may be overexposed and its mark not.
	markForeign = 1.2
	// otherTint is by how many radians a mark is nearer to the colour of another trace, from which on it is that one's
	// (TestAMarkBelongsToTheTraceOfItsColour).
	otherTint = 0.05
	// Where a trace starts in its mark, columns count as the mark's from startRise times the usual stroke on, and the
	// mark is at least startHeight times as high.
	startRise, startHeight = 1.5, 2.5
)

// A rim is the strip left of the frame, as differences from its field.
type rim struct {
	s     *sheet
	field [][3]float32 // linear light, by column
}

func readRim(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, fine pitch) (*rim, error) {
	left, low := g.Frame.Left(), g.Frame.Bottom()
	w := math.Round(markReach*float64(fine.across)) / float64(fine.across)
	h := math.Round(markMost*float64(fine.up)) / float64(fine.up) // a mark at the lowest line reaches below it
	s, err := sampleSheet(ctx, ph, g, geom.Box{X: left - w, Y: low - h}, geom.Box{X: left, Y: -low + h}, fine)
	if err != nil {
		return nil, err
	}
	r := &rim{s: s}
	// Each column has its own field, the median over its rows: marks are small, and what surrounds
	// the frame (a menu's colour, the bezel) changes from column to column.
	r.field = make([][3]float32, r.s.nx)
	var buf []float32
	for c := range 3 {
		for i := range r.s.nx {
			col := r.s.rgb[c][i*r.s.ny : (i+1)*r.s.ny]
			buf = buf[:0]
			for _, v := range col {
				if v == v {
					buf = append(buf, v)
				}
			}
			m := median(buf)
			r.field[i][c] = m
			for j := range col {
				if col[j] -= m; col[j] != col[j] {
					col[j] = 0
				}
			}
		}
	}
	return r, nil
}

// A start is where a trace meets the left rim, and the thickness of its stroke, in boxes.
type start struct{ y, thick float64 }

// near reports whether a blob of the given height about y may be the trace itself.
func (a start) near(y, height float64) bool { return math.Abs(y-a.y) < height+a.thick }

// markGround fills in the traces' marks; found are their candidates.
func (r *rim) markGround(s *sheet, ink *[3][]float32, traces []*Trace, found []*candidate) {
	var starts []start
	for _, t := range traces {
		for i, y := range t.Y {
			if !math.IsNaN(y) && t.X[i] < t.Frame.Left()+markTip {
				starts = append(starts, start{y, rank(finite(t.Thick), 0.25)})
				break
			}
		}
	}
	outer, inner := make([]tint, len(traces)), make([]tint, len(traces))
	for k, t := range traces {
		outer[k], inner[k] = r.tint(fromSRGB(t.Colour)), found[k].tint
	}
	for k, t := range traces {
		mask := r.alike(fromSRGB(t.Colour), markForeign)
		beside := slices.Clone(mask[len(mask)-1])
		outside := r.marks(mask, t, starts)
		y, ok := chosenMark(outside, outer, k)
		if !ok || len(outside) == 1 && math.IsNaN(y) { // none, or a number alone, whose mark may be inside
			inside := insideMarks(s, ink, found[k], t.Frame.Bottom(), func(y float64) bool {
				j := int(r.s.row(y) + 0.5)
				return j >= 0 && j < len(beside) && beside[j]
			})
			if v, ok := chosenMark(inside, inner, k); ok {
				y = v
			}
		}
		t.GroundMark = y
		// White marks of several channels differ too little to tell whose is whose.
		if math.Abs(found[k].tint.grey()) > math.Cos(neutral) && len(r.marks(r.alike(fromSRGB(t.Colour), 0), t, starts)) > 1 {
			t.GroundMark = math.NaN()
		}
	}
	// Two traces of one ink have two marks, and a mark that only one was found of may be either's. A helper line has none; a trace at
	// rest, which looks the same, is at its mark.
	for k, t := range traces {
		for m, o := range traces {
			idle := found[m].line && !(math.Abs(rank(finite(o.Y), 0.5)-t.GroundMark) < markLeast)
			if m != k && found[m].tint == found[k].tint && !idle {
				t.GroundMark = math.NaN()
			}
		}
	}
}

// A mark is where one points, in boxes, ±Inf if off the screen, its size in cells, and its colour.
type mark struct {
	y     float64
	cells int
	tint  tint
}

// tint is what a stroke of the colour, given in linear light, adds to the field of the strip.
func (r *rim) tint(colour [3]float32) tint {
	var sum [3]float64
	for _, f := range r.field {
		for c := range sum {
			sum[c] += float64(colour[c] - f[c])
		}
	}
	return unitTint(sum)
}

// tintOf is the mean colour of the blob's cells above what base gives of a cell.
func (s *sheet) tintOf(b *blob, base func(c, k int) float32) tint {
	var sum [3]float64
	for _, at := range b.cells {
		k := at[0]*s.ny + at[1]
		for c := range sum {
			sum[c] += float64(s.rgb[c][k] - base(c, k))
		}
	}
	return unitTint(sum)
}

func unitTint(v [3]float64) tint {
	v = unit(v)
	return tint{float32(v[0]), float32(v[1]), float32(v[2])}
}

// chosenMark gives the place of the largest mark, NaN if it does not stand alone, even where its rivals have the colour of
// another trace: white marks differ too little. It is not ok without a mark, or when the largest is another trace's than k.
func chosenMark(marks []mark, tints []tint, k int) (y float64, ok bool) {
	best, second := mark{y: math.NaN()}, 0
	for _, m := range marks {
		if m.cells > best.cells {
			best, second = m, best.cells
		} else {
			second = max(second, m.cells)
		}
	}
	own := best.tint.angle(tints[k])
	if len(marks) == 0 || slices.ContainsFunc(tints, func(d tint) bool { return best.tint.angle(d) < own-otherTint }) {
		return math.NaN(), false
	}
	if float64(best.cells) < markAlone*float64(second) {
		return math.NaN(), true
	}
	return best.y, true
}

// marks lists what may be the mark of t, outside the frame, mask telling by column what has its colour.
func (r *rim) marks(mask [][]bool, t *Trace, starts []start) (out []mark) {
	s, low, stroke := r.s, t.Frame.Bottom(), rank(finite(t.Thick), 0.25)
	for _, a := range starts {
		for j := range mask[0] {
			for i := len(mask) - besideFrame; i < len(mask) && a.near(s.y(float64(j)), a.thick/2); i++ {
				mask[i][j] = false
			}
		}
	}
	tip := int((markReach-markTip)*float64(s.across) + 0.5)
	for _, b := range grouped(blobsOf(mask), int(numberApart*float64(s.across)+0.5)) {
		a := b.arrow(int(markThin*float64(s.across)+0.5), int(markLeast*float64(s.up)+0.5))
		if b.i0 < besideFrame || a.i1 < tip || float64(b.i1-b.i0+1)*s.dx > markWide {
			continue
		}
		if y, ok := s.pointsAt(a, low); ok {
			height := float64(a.j1-a.j0+1) * s.dy
			middle := s.y(float64(a.j0+a.j1) / 2)
			if a.endHeight() > tipShare && (nearAny(starts, middle, height) || height < strokeHigh*stroke && t.restsAt(middle, stroke/2)) {
				continue // a trace that runs on past the frame is as thick there as further out
			}
			out = append(out, mark{y, len(b.cells), s.tintOf(a, func(int, int) float32 { return 0 })})
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
func (s *sheet) pointsAt(a *blob, low float64) (y float64, ok bool) {
	wide, high := float64(a.i1-a.i0+1)*s.dx, float64(a.j1-a.j0+1)*s.dy
	if wide < markThin || high < markLeast || high > markMost || a.j1-a.j0+1 < markCells ||
		float64(len(a.cells))*s.dx*s.dy < markLeast*markLeast/2 { // a triangle as small as a mark may be
		return 0, false
	}
	upright, sideways := a.mirrored()
	bottom, top := s.y(float64(a.j0)-0.5), s.y(float64(a.j1)+0.5)
	if y = s.y(a.middle()); math.Abs(y) > -low+markPast {
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
	if upright < shapeAlike && a.cut(s, low) {
		return 0, false
	}
	return min(max(y, low), -low), true
}

// alike tells, by column, which cells have the colour, given in linear light, foreign being the price of what is off it.
func (r *rim) alike(colour [3]float32, foreign float32) [][]bool {
	s := r.s
	mask := make([][]bool, s.nx)
	for i := range mask {
		row := make([]bool, s.ny)
		mask[i] = row
		// A mark has the trace's colour on the rim's field, which may be another than the display's.
		var d tint
		amount := float32(0)
		for c := range d {
			d[c] = colour[c] - r.field[i][c]
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
			k := i*s.ny + j
			v0, v1, v2 := s.rgb[0][k], s.rgb[1][k], s.rgb[2][k]
			row[j] = d.alikeBut(foreign, d[0]*v0+d[1]*v1+d[2]*v2, v0, v1, v2) > markShare*amount
		}
	}
	return mask
}

// insideMarks lists what may be the mark of candidate c just inside the frame. Its own strokes are left out but for
// those much higher than usual: a trace may start in its mark. What goes on outside, as outside tells of a height, is
// none.
func insideMarks(s *sheet, ink *[3][]float32, c *candidate, low float64, outside func(y float64) bool) (out []mark) {
	n := min(int(markInside*float64(s.across)+0.5), s.nx)
	usual := c.path.breadth(s) * 2 * math.Sqrt(2*math.Log(1/visible)) / s.dy // rows
	mask := make([][]bool, n)
	for i := range mask {
		mask[i] = make([]bool, s.ny)
		for j := range mask[i] {
			k := i*s.ny + j
			v0, v1, v2 := s.rgb[0][k]-ink[0][k], s.rgb[1][k]-ink[1][k], s.rgb[2][k]-ink[2][k]
			mask[i][j] = c.tint.alike(c.tint[0]*v0+c.tint[1]*v1+c.tint[2]*v2, v0, v1, v2) > markShare*c.path.amount
		}
		if r := c.path.runs[i]; c.path.seen(i) && float64(r.hi-r.lo+1) < startRise*usual {
			about := int(usual/2 + 0.5)
			clear(mask[i][max(r.lo-about, 0):min(r.hi+about+1, s.ny)])
		}
	}
	for _, b := range blobsOf(mask) {
		if float64(b.i0)*s.dx > markBegins || b.i1 == n-1 {
			continue
		}
		if b.i0 == 0 && outside(s.y(b.middle())) {
			continue
		}
		if upright, _ := b.mirrored(); upright < shapeAlike && !b.cut(s, low) {
			continue // a piece of the trace
		}
		if b.meets(c.path) && (float64(b.j1-b.j0+1) < startHeight*usual || b.endHeight() > tipShare) {
			continue // a thick piece of it
		}
		if y, ok := s.pointsAt(b, low); ok {
			out = append(out, mark{y, len(b.cells), s.tintOf(b, func(c, k int) float32 { return ink[c][k] })})
		}
	}
	return out
}
