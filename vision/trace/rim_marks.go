package trace

// Which of the signs at the rim may be marks, how likely, and where they point.
//
// A mark points to the right, at the ground line, so that it is like itself upside down and ground is at its middle;
// or, as the sign of earth does, with a lead that ends there. Where the screen's end cuts it in half, its tip is at the
// cut. In a corner it may point down or up, and is then like itself left for right: ground lies off the screen. A
// number stands beside it, or over one that points off. A stroke that goes on inside the frame, a letter, or the arrow
// of a cursor, from which a line goes on, is none.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

const (
	// A mark's tip is within markTip of the frame, in boxes (TestWhichSignsAreMarks).
	markTip = 0.25
	// markInside is how far inside the frame a mark may reach, in boxes; it begins within markBegins of the rim
	// (TestWhichMarksAreInsideTheFrame).
	markInside, markBegins = 0.5, 0.1
	// markPast is how far past the lowest or highest line a mark may point, in boxes (TestWhereAMarkPoints).
	markPast = 0.08
	// markLeast is the least height of a mark, markThin its least width, which a stroke that runs on past the frame does
	// not have, markMost the most height of one that points to the side, in boxes (TestWhereAMarkPoints,
	// TestHowWideAMarkIs).
	markLeast, markThin, markMost = 0.06, 0.05, 0.75
	// markSlim is the least width of a mark as a share of its height: a stroke is narrower (TestHowWideAMarkIs).
	markSlim = 0.35
	// markCells is how many rows of cells a mark has at least for its shape to be seen (TestWhereAMarkPoints).
	markCells = 5
	// A sign is like its mirror image in so much of its area, 0 to 1: one that points anywhere in shapeAlike, the sign
	// beside a number, such as that of earth, in numberAlike (TestWhichSignsAreMarks); one that points off the screen left
	// for right in downAlike, and by shapeMore more than upside down (TestWhereAMarkPoints).
	shapeAlike, numberAlike, downAlike, shapeMore = 0.55, 0.4, 0.7, 0.05
	// cornerReach is how far from the lowest or highest line, in boxes, a mark ends that points off the screen
	// (TestWhereAMarkPoints).
	cornerReach = 0.15
	// numberOver is the greatest distance, in boxes, of its number (TestTheNumberOverAMarkThatPointsDown).
	numberOver = 0.2
	// A sign less like itself upside down than evenShape, whose right end is lower than leadHeight of it, is one of earth
	// (TestASignOfEarthPointsWithItsLead, TestWhereAMarkPoints).
	evenShape, leadHeight = 0.75, 0.4
	// tipRows is how near its cut end the tip of a mark cut in half is, as a share of what is left of its height
	// (TestWhereAMarkPoints).
	tipRows = 0.2
	// Two signs are one where the boxes round them share more than sameSign of the smaller (TestWhichSignsAreOne).
	sameSign = 0.3
	// The right end of a mark that reaches inside the frame is at most tipShare as high as the whole
	// (TestAWaveThatRunsOnPastTheFrameIsNoMark, TestGroundMarkIsFound).
	tipShare = 0.7
	// Where a trace starts in its mark, that is at least startHeight times as high as its stroke
	// (TestWhichMarksAreInsideTheFrame).
	startHeight = 2.5
	// What goes on inside the frame is seen in goesOnShare of goesOnInside boxes, with markShare of the sign's light
	// (TestWhichSignsAreMarks).
	goesOnInside, goesOnShare, markShare = 0.12, 0.8, 0.4
	// From the point of a cursor's arrow a line goes on: within leadHalf of its height, in boxes, it is seen in more than
	// leadShare of the columns over leadReach boxes than leadBeside boxes above or below
	// (TestACursorsArrowIsNoMark, TestABroadBarIsNoCursor).
	leadHalf, leadShare, leadReach, leadBeside = 0.03, 0.25, 2, 0.12
	// hueSpread is by how many radians, one standard deviation, a mark's colour differs from its trace's: one may be
	// overexposed and the other not. Between two things of one colour the larger is the mark, up to fullMark square boxes.
	// uneven is the cost, in log likelihood, of a sign that is not like its mirror image at all (TestWhoseAMarkIs,
	// TestWhatASignCosts).
	hueSpread, fullMark, uneven = 0.28, 0.06, 4
	// surelyMark is the cost below which a sign is a mark whatever its colour (TestAMarkWithoutATraceIsDoubted).
	surelyMark = -0.5
	// cutCost is the cost of what is left outside of a sign that goes on inside the frame, insideCost that of a sign most
	// of which is inside, where words and lines are too: one display of four has its marks there (TestWhatASignCosts).
	cutCost, insideCost = 1.5, 1
)

// A start is where a trace meets the left rim, and the thickness of its stroke, in boxes.
type start struct{ y, thick float64 }

// near reports whether a blob of the given height about y may be the trace itself.
func (a start) near(y, height float64) bool { return math.Abs(y-a.y) < height+a.thick }

func nearAny(starts []start, y, height float64) bool {
	for _, a := range starts {
		if a.near(y, height) {
			return true
		}
	}
	return false
}

// A rimMark is a sign that may be a mark: as it looks where it is most like its own mirror image, and where it points,
// in boxes, ±Inf if off the screen and NaN if that is not clear.
type rimMark struct {
	look
	y     float64
	tint  sheet.Tint
	cost  float64   // of its being a mark, whatever its colour, less log likelihood
	costs []float64 // of its being that of each trace, less log likelihood
}

// marks lists the signs that may be marks of traces of the tints, of those that overlap the likeliest.
func (r *rim) marks(starts []start, tints []sheet.Tint, low float64) (marks []rimMark) {
	for _, m := range r.signs(tints) {
		var best rimMark
		most := 0.0
		for _, l := range m.looks {
			y, ok := r.pointsOut(l, low)
			if ok && l.worth() > most {
				best, most = rimMark{look: l, y: y, tint: m.tint(l, r)}, l.worth()
			}
		}
		if best.group == nil || !math.IsInf(best.y, 0) && !r.standsAlone(best, m, starts) {
			continue
		}
		r.weigh(&best, tints)
		if slices.Min(best.costs) < noMark || best.cost < surelyMark {
			marks = append(marks, best)
		}
	}
	marks = slices.DeleteFunc(marks, func(m rimMark) bool {
		return slices.ContainsFunc(marks, func(o rimMark) bool { return math.IsInf(o.y, 0) && r.isNumberOf(m, o) })
	})
	sort.SliceStable(marks, func(i, j int) bool { return cmp.Less(slices.Min(marks[i].costs), slices.Min(marks[j].costs)) })
	var out []rimMark
	for _, m := range marks {
		if !slices.ContainsFunc(out, func(o rimMark) bool { return m.overlaps(&o.blob) }) {
			out = append(out, m)
		}
	}
	return out
}

// weigh gives the costs of the sign's being the mark of a trace of each tint.
func (r *rim) weigh(m *rimMark, tints []sheet.Tint) {
	m.cost = uneven*(1-m.beauty) - math.Log(min(float64(len(m.cells))*r.DX*r.DY, fullMark)/(signWide*signHigh))
	if m.cut {
		m.cost += cutCost
	}
	if m.i0+m.i1 > 2*r.edge {
		m.cost += insideCost
	}
	m.costs = make([]float64, len(tints))
	for k, t := range tints {
		off := m.tint.Angle(t) / hueSpread
		m.costs[k] = m.cost + off*off/2
	}
}

// isNumberOf reports whether m is the number of o, which points off the screen: it stands on the other side of its
// point and has its colour.
func (r *rim) isNumberOf(m, o rimMark) bool {
	gap := m.j0 - o.j1
	if o.y > 0 {
		gap = o.j0 - m.j1
	}
	return gap > 0 && float64(gap) <= numberOver*float64(r.Up) && m.i0 <= o.i1 && m.i1 >= o.i0 &&
		m.tint.Angle(o.tint) < tintsApart
}

// standsAlone reports whether a sign that looks so is no piece of what goes on inside the frame.
func (r *rim) standsAlone(l rimMark, m *sign, starts []start) bool {
	switch smear, _ := r.smear(); {
	case l.i1 < r.edge+smear:
		return m.shaped() || !r.goesOn(l, m.level, starts)
	case l.i0 >= r.edge && !l.tip:
		return false // letters have waists
	}
	return m.shaped() && m.endHeight() < tipShare && !r.leads(l, m.level)
}

// goesOn reports whether a sign, seen up to the threshold level, goes on inside the frame, as a trace does that begins
// before it, or a cable.
func (r *rim) goesOn(l rimMark, level float32, starts []start) bool {
	height, middle := float64(l.j1-l.j0+1)*r.DY, r.Y(float64(l.j0+l.j1)/2)
	if nearAny(starts, middle, height) {
		return true
	}
	n, on := int(goesOnInside*float64(r.Across)), 0
	for i := r.edge; i < min(r.edge+n, r.NX); i++ {
		if slices.Max(r.size[i*r.NY+l.j0:i*r.NY+l.j1+1]) > markShare*level {
			on++
		}
	}
	return float64(on) > goesOnShare*float64(n)
}

// leads reports whether a line goes on from the point of a sign inside the frame that is no trace, as from the arrow of
// a cursor.
func (r *rim) leads(l rimMark, level float32) bool {
	s := r.screen
	light := s.LightAlong(l.tint)
	row := func(y float64) int { return int(math.Round(s.Row(y))) }
	half := max(int(leadHalf*float64(s.Up)+0.5), 1)
	bright := func(i, j int) bool {
		from, to := max(j-half, 0), min(j+half+1, s.NY)
		return from < to && slices.Max(light[i*s.NY+from:i*s.NY+to]) > markShare*level
	}
	at, beside := row(r.Y(l.arrow.tip())), row(r.Y(l.arrow.tip())+leadBeside)-row(r.Y(l.arrow.tip()))
	n, on, off := 0, 0, 0
	from := l.i1 + 1 - r.edge + int(leadHalf*float64(s.Across))
	for i := from; i < min(from+int(leadReach*float64(s.Across)), s.NX); i++ {
		if slices.ContainsFunc(r.paths, func(p *path.Path) bool {
			return p.Seen(i) && p.Runs[i].Lo <= at+beside && p.Runs[i].Hi >= at-beside
		}) {
			continue
		}
		n++
		if bright(i, at) {
			on++
		}
		if bright(i, at+beside) || bright(i, at-beside) {
			off++
		}
	}
	return float64(on-off) > leadShare*float64(max(n, 1))
}

// pointsOut gives where a sign that looks so points; it is not ok if it is no mark.
func (r *rim) pointsOut(l look, low float64) (y float64, ok bool) {
	least := shapeAlike
	if l.waist && l.i0 < r.edge { // a digit beside a sign, such as that of earth
		least = numberAlike
	}
	reach := func(boxes float64) int { return int(boxes*float64(r.Across) + 0.5) }
	if l.arrow.i1 < r.edge-reach(markTip) || l.i0 > r.edge+reach(markBegins) || l.i1 >= r.edge+reach(markInside) ||
		l.beauty < least && !l.arrow.isCut(&r.Grid, low) {
		return 0, false
	}
	_, smear := r.smear()
	if usual, ok := r.meets(&l.blob); ok && float64(l.j1-l.j0+1-2*smear) < startHeight*usual {
		return 0, false // a thick piece of a trace
	}
	if y, ok = pointsAt(&r.Grid, l.arrow, low); ok && math.IsNaN(y) && l.waist {
		y = r.Y(l.arrow.tip()) // beside a number
	}
	return y, ok
}

// pointsAt judges a mark's shape and gives where it points, in boxes; NaN if that is not clear.
func pointsAt(s *sheet.Grid, a *blob, low float64) (y float64, ok bool) {
	wide, high := float64(a.i1-a.i0+1)*s.DX, float64(a.j1-a.j0+1)*s.DY
	if wide < max(markThin, markSlim*high) || high < markLeast || high > signMost || a.j1-a.j0+1 < markCells ||
		float64(len(a.cells))*s.DX*s.DY < markLeast*markLeast/2 { // a triangle as small as a mark may be
		return 0, false
	}
	upright, sideways := a.mirrored()
	bottom, top := s.Y(float64(a.j0)-0.5), s.Y(float64(a.j1)+0.5)
	y = s.Y(a.middle())
	if upright < evenShape && a.endHeight() < leadHeight {
		y = s.Y(a.tip())
	}
	if math.Abs(y) > -low+markPast {
		return 0, false
	}
	if min(bottom-low, -low-top) < cornerReach && sideways > downAlike && sideways > upright+shapeMore {
		if bottom-low < -low-top {
			return math.Inf(-1), true
		}
		return math.Inf(1), true
	}
	// Cut in half at the screen's end, a mark has its tip there.
	rows := tipRows*float64(a.j1-a.j0) + smoothing/2*float64(s.Up)
	if math.Abs(bottom-low) < markPast && a.tip()-float64(a.j0) < rows {
		return low, true
	}
	if math.Abs(top+low) < markPast && float64(a.j1)-a.tip() < rows {
		return -low, true
	}
	if min(bottom-low, -low-top) < cornerReach && upright <= sideways {
		if sideways < shapeAlike {
			return 0, false // like neither: no mark
		}
		return math.NaN(), true // it may point down or to the side
	}
	if upright < shapeAlike && a.isCut(s, low) || high > markMost {
		return 0, false
	}
	return min(max(y, low), -low), true
}
