package path

// Panels that lie over the display: a menu or a box of readings with a border. On monochrome displays the border has
// the trace's ink, and it hangs together better than any trace: a path runs along it where the trace is hidden
// behind.
//
// A border is a rectangle of straight strokes along columns and rows, whose corners end there. Signals have none: a
// square wave has edges and levels, but not both levels between the same two edges. Where a panel reaches the rim of
// the screen its side there may be missing; then the graticule must be missing inside. A panel through which the
// graticule shows hides nothing but what its border covers.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// borderLight is the least score of a border's cells as a share of a usual stroke's, borderHole the longest hole in
	// it, in boxes (TestWhatIsABorder).
	borderLight, borderHole = 0.15, 0.03
	// borderGap is the longest gap between two stretches that may be parts of one side (TestWhatIsABorder).
	borderGap = 0.3
	// strokeSeen is the share of a border's cells that must not be inked by the graticule
	// (TestWhichLevelStrokesAreSeen).
	strokeSeen = 0.4
	// panelWide and panelHigh are the least size of a panel in boxes: a letter of a heading is smaller
	// (TestWhatIsABorder).
	panelWide, panelHigh = 0.5, 0.3
	// sideFull is the share of a side's cells that are lit, sideSlack how far beside the corner the side may lie, in
	// boxes (TestWhatIsABorder).
	sideFull, sideSlack = 0.85, 0.06
	// A corner ends there: of the strip of cornerFrom to cornerTo boxes beyond it, less than half is lit. At mostOpen of
	// the eight such places of a panel that hides the graticule something else may go on (TestWhatIsABorder,
	// TestWhatGoesOnAtThePanelsCorners).
	cornerFrom, cornerTo, mostOpen = 0.08, 0.2, 2
	// mostFilled is the share of lit cells inside above which it is a patch of light and no border (TestWhatIsABorder).
	mostFilled = 0.6
	// panelRim is how near the rim of the frame, in boxes, a side needs no stroke of its own
	// (TestAPanelAtTheRimNeedsNoSide).
	panelRim = 0.08
	// gridHidden is the share of the graticule's ink inside a panel below which it hides the display; gridSure is the
	// greatest standard deviation of that share (TestWhatHidesTheGraticule).
	gridHidden, gridSure = 0.4, 0.12
	// mostStretches bounds the level strokes that are paired; the longest are kept
	// (TestWhichLevelStrokesAreSeen).
	mostStretches = 120
)

// A sight is what is seen in a cell: a stroke, none, or ink of the graticule that would hide one.
type sight uint8

const (
	unlit sight = iota
	lit
	inked
)

// A panel covers columns i0 to i1 and rows j0 to j1, its border included. opaque says that it hides what is inside.
type panel struct {
	i0, i1, j0, j1 int
	opaque         bool
}

// A stretch is a level stroke along row j from column i0 to i1. The frame's lower and upper rim, where nothing need be
// drawn, are stretches as well, and so are two joined across a gap.
type stretch struct {
	j, i0, i1 int
	rim       bool
	joined    bool // of two
}

// hidePanels takes the runs of all colours away that panels with a border in any of them make or hide.
func hidePanels(s *sheet.Sheet, all []*drawing) {
	var panels []panel
	for _, w := range all {
		panels = append(panels, panelsOf(s, w.tint, w.score, w.amount)...)
	}
	for _, w := range all {
		hideBehind(s, w.runs, panels)
	}
}

// panelsOf finds the panels whose borders have the tint of score, amount being a usual stroke's.
func panelsOf(s *sheet.Sheet, d sheet.Tint, score []float32, amount float32) (panels []panel) {
	least := borderLight * amount
	seen := make([]sight, len(score))
	raster.Rows(s.NX, func(a, b int) {
		for k := a * s.NY; k < b*s.NY; k++ {
			switch {
			case score[k] > least:
				seen[k] = lit
			case d[0]*s.Ink[0][k]+d[1]*s.Ink[1][k]+d[2]*s.Ink[2][k] > least && d[0]*s.Light[0][k]+d[1]*s.Light[1][k]+d[2]*s.Light[2][k] > least:
				seen[k] = inked
			}
		}
	})
	strokes := levelStrokes(s, seen)
	if len(strokes) == 0 {
		return nil
	}
	low, top := int(math.Round(s.Row(s.Frame.Bottom()))), int(math.Round(s.Row(-s.Frame.Bottom())))
	low, top = max(low, 0), min(top, s.NY-1)
	rims := []stretch{{j: low, i1: s.NX - 1, rim: true}, {j: top, i1: s.NX - 1, rim: true}}
	b := newBorders(s, seen)
	for n, p := range strokes {
		for _, q := range append(rims, strokes[n+1:]...) {
			if v, ok := b.between(p, q); ok {
				panels = append(panels, v)
			}
		}
	}
	return panels
}

// levelStrokes lists straight level strokes of at least panelWide boxes, each in the row where it is longest.
func levelStrokes(s *sheet.Sheet, seen []sight) []stretch {
	least, hole := int(panelWide*float64(s.Across)), int(borderHole*float64(s.Across)+0.5)
	begun, last, holes, count := make([]int, s.NY), make([]int, s.NY), make([]int, s.NY), make([]int, s.NY)
	for j := range last {
		begun[j], last[j] = -1, -1
	}
	byRow := make([][]stretch, s.NY)
	end := func(j int) {
		if n := last[j] - begun[j] + 1; begun[j] >= 0 && n >= least && float64(count[j]) > strokeSeen*float64(n) {
			byRow[j] = append(byRow[j], stretch{j: j, i0: begun[j], i1: last[j]})
		}
		begun[j] = -1
	}
	raster.Rows(s.NY, func(low, high int) {
		for i := range s.NX {
			for j, v := range seen[i*s.NY+low : i*s.NY+high] {
				j += low
				switch v {
				case lit:
					if begun[j] < 0 {
						begun[j], count[j] = i, 0
					}
					last[j], holes[j] = i, 0
					count[j]++
				case unlit:
					if holes[j]++; begun[j] >= 0 && holes[j] > hole {
						end(j)
					}
				}
			}
		}
	})
	for j := range s.NY {
		end(j)
		for k, n := 1, len(byRow[j]); k < n; k++ { // what crosses a border, or words that touch it, may part it
			if a, b := byRow[j][k-1], byRow[j][k]; float64(b.i0-a.i1)*s.DX < borderGap {
				byRow[j] = append(byRow[j], stretch{j: j, i0: a.i0, i1: b.i1, joined: true})
			}
		}
	}
	var out []stretch
	for j, rs := range byRow {
		for _, r := range rs {
			if longest(r, byRow, j-1, true) && longest(r, byRow, j+1, false) {
				out = append(out, r)
			}
		}
	}
	for len(out) > mostStretches {
		k := 0
		for n, r := range out {
			if r.i1-r.i0 < out[k].i1-out[k].i0 {
				k = n
			}
		}
		out = append(out[:k], out[k+1:]...)
	}
	return out
}

// longest reports whether no stretch of row j that overlaps r is longer; of equals the lower row counts.
func longest(r stretch, byRow [][]stretch, j int, lower bool) bool {
	if j < 0 || j >= len(byRow) {
		return true
	}
	for _, o := range byRow[j] {
		if o.joined == r.joined && o.i0 <= r.i1 && r.i0 <= o.i1 {
			if n, m := o.i1-o.i0, r.i1-r.i0; n > m || n == m && lower {
				return false
			}
		}
	}
	return true
}

// borders joins strokes to rectangles. It asks again and again how many cells of a column are lit between two rows,
// so that it counts each column once.
type borders struct {
	s     *sheet.Sheet
	seen  []sight   // by cell
	cells []*counts // by column, nil until it is asked for
	pairs []*counts // the same of a column and the next together
}

// counts are, before each row of a column and after the last, the cells below that are lit and that are unlit.
type counts struct{ lit, unlit []int32 }

func newBorders(s *sheet.Sheet, seen []sight) *borders {
	return &borders{s: s, seen: seen, cells: make([]*counts, s.NX), pairs: make([]*counts, s.NX)}
}

// count counts the cells of one column by what of tells of a row.
func count(rows int, of func(j int) sight) *counts {
	c := &counts{lit: make([]int32, rows+1), unlit: make([]int32, rows+1)}
	for j := range rows {
		c.lit[j+1], c.unlit[j+1] = c.lit[j], c.unlit[j]
		switch of(j) {
		case lit:
			c.lit[j+1]++
		case unlit:
			c.unlit[j+1]++
		}
	}
	return c
}

// cellsOf gives the counts of column i.
func (b *borders) cellsOf(i int) *counts {
	if b.cells[i] == nil {
		col := b.seen[i*b.s.NY : (i+1)*b.s.NY]
		b.cells[i] = count(b.s.NY, func(j int) sight { return col[j] })
	}
	return b.cells[i]
}

// pairOf gives the counts of columns i and i+1 together. They make up for
// each other: in noise not all cells are lit, and a border is wider than one.
func (b *borders) pairOf(i int) *counts {
	if b.pairs[i] == nil {
		left, right := b.seen[i*b.s.NY:(i+1)*b.s.NY], b.seen[(i+1)*b.s.NY:(i+2)*b.s.NY]
		b.pairs[i] = count(b.s.NY, func(j int) sight {
			if left[j] == lit || right[j] == unlit {
				return left[j]
			}
			return right[j]
		})
	}
	return b.pairs[i]
}

func (b *borders) look(i, j int) sight { return b.seen[i*b.s.NY+j] }

// between gives the panel that has p and q for its lower and upper side, in either order.
func (b *borders) between(p, q stretch) (found panel, ok bool) {
	s := b.s
	if p.j > q.j {
		p, q = q, p
	}
	if float64(q.j-p.j)*s.DY < panelHigh || p.i1 < q.i0 || q.i1 < p.i0 {
		return found, false
	}
	slack, rim := int(sideSlack*float64(s.Across)+0.5), int(panelRim*float64(s.Across)+0.5)
	for _, i0 := range []int{max(p.i0, q.i0), min(p.i0, q.i0)} {
		for _, i1 := range []int{min(p.i1, q.i1), max(p.i1, q.i1)} {
			if float64(i1-i0)*s.DX < panelWide || max(p.i0, q.i0) > i0+slack || min(p.i1, q.i1) < i1-slack {
				continue
			}
			left, right := b.hasSide(i0, p.j, q.j), b.hasSide(i1, p.j, q.j)
			atLeft, atRight := i0 <= rim, i1 >= s.NX-1-rim
			if !left && !right || !(left || atLeft) || !(right || atRight) { // two level traces have no sides
				continue
			}
			v := panel{i0: i0, i1: i1, j0: p.j, j1: q.j}
			hidden, known := b.hides(v)
			v.opaque = hidden || !known
			whole := left && right && !p.rim && !q.rim
			if !hidden && (p.rim || q.rim || known && !whole) {
				continue
			}
			most := 0
			if hidden {
				most = mostOpen
			}
			if b.openCorners(v, p.rim, q.rim) <= most && b.litShare(i0+slack, i1-slack, p.j+slack, q.j-slack) < mostFilled {
				return v, true
			}
		}
	}
	return found, false
}

// hasSide reports whether a stroke runs up from row j0 to j1 near column i.
func (b *borders) hasSide(i, j0, j1 int) bool {
	slack := int(sideSlack*float64(b.s.Across) + 0.5)
	for k := max(i-slack, 0); k <= min(i+slack, b.s.NX-2); k++ {
		c := b.pairOf(k)
		if shareOf(int(c.lit[j1+1]-c.lit[j0]), int(c.unlit[j1+1]-c.unlit[j0]), j1-j0+1) >= sideFull {
			return true
		}
	}
	return false
}

// litShare is the share of lit cells in a rectangle, of those that are not inked; 0 if these are few.
func (b *borders) litShare(i0, i1, j0, j1 int) float64 {
	i0, i1, j0, j1 = max(i0, 0), min(i1, b.s.NX-1), max(j0, 0), min(j1, b.s.NY-1)
	if i1 < i0 || j1 < j0 {
		return 0
	}
	on, off := 0, 0
	for i := i0; i <= i1; i++ {
		c := b.cellsOf(i)
		on, off = on+int(c.lit[j1+1]-c.lit[j0]), off+int(c.unlit[j1+1]-c.unlit[j0])
	}
	return shareOf(on, off, (i1-i0+1)*(j1-j0+1))
}

// shareOf is the share of lit cells of those that are lit or not; 0 if these are few of all.
func shareOf(on, off, all int) float64 {
	if float64(on+off) < strokeSeen*float64(all) {
		return 0
	}
	return float64(on) / float64(max(on+off, 1))
}

// openCorners counts the corners' sides beyond which the stroke goes on.
func (b *borders) openCorners(v panel, lowRim, topRim bool) (n int) {
	s := b.s
	fromX, toX := int(cornerFrom*float64(s.Across)+0.5), int(cornerTo*float64(s.Across)+0.5)
	fromY, toY := int(cornerFrom*float64(s.Up)+0.5), int(cornerTo*float64(s.Up)+0.5)
	goesOn := func(i0, i1, j0, j1 int) {
		if b.litShare(i0, i1, j0, j1) > 0.5 {
			n++
		}
	}
	for k, j := range []int{v.j0, v.j1} {
		if k == 0 && lowRim || k == 1 && topRim {
			continue
		}
		goesOn(v.i0-toX, v.i0-fromX, j, j)
		goesOn(v.i1+fromX, v.i1+toX, j, j)
	}
	for _, i := range []int{v.i0, v.i1} {
		if i > fromX && i < s.NX-1-fromX {
			goesOn(i, i, v.j0-toY, v.j0-fromY)
			goesOn(i, i, v.j1+fromY, v.j1+toY)
		}
	}
	return n
}

// hides tells whether the graticule's ink is missing inside v, by the regression of the light on the ink over cells
// that no stroke covers; known is false where the ink is too weak to tell.
func (b *borders) hides(v panel) (hidden, known bool) {
	s := b.s
	inX, inY := int(sideSlack*float64(s.Across)+0.5)+1, int(sideSlack*float64(s.Up)+0.5)+1
	var n, sx, sy, sxx, sxy, syy float64
	for i := v.i0 + inX; i <= v.i1-inX; i++ {
		for j := v.j0 + inY; j <= v.j1-inY; j++ {
			if b.look(i, j) == lit || b.look(i, max(j-2, 0)) == lit || b.look(i, min(j+2, s.NY-1)) == lit {
				continue
			}
			k := i*s.NY + j
			x := float64(s.Ink[0][k] + s.Ink[1][k] + s.Ink[2][k])
			y := float64(s.Light[0][k] + s.Light[1][k] + s.Light[2][k])
			n, sx, sy = n+1, sx+x, sy+y
			sxx, sxy, syy = sxx+x*x, sxy+x*y, syy+y*y
		}
	}
	vx := sxx - sx*sx/max(n, 1)
	if n < 20 || !(vx > 0) {
		return false, false
	}
	slope := (sxy - sx*sy/n) / vx
	rest := max(syy-sy*sy/n-slope*slope*vx, 0) / n
	sd := 2 * math.Sqrt(rest/vx) // neighbouring cells share photo pixels: a quarter of them are independent
	return slope < gridHidden && sd < gridSure, sd < gridSure
}

// hideBehind takes the runs away that a panel's border or its inside makes.
func hideBehind(s *sheet.Sheet, runs [][]Run, panels []panel) {
	m, n := max(int(sideSlack/2*float64(s.Across)+0.5), 1), int(sideSlack/2*float64(s.Up)+0.5)
	for _, v := range panels {
		for i := max(v.i0-m, 0); i <= min(v.i1+m, s.NX-1); i++ {
			inside := v.opaque || i <= v.i0+m || i >= v.i1-m
			keep := runs[i][:0]
			for _, r := range runs[i] {
				covered := r.Hi >= v.j0-n && r.Lo <= v.j1+n
				if !inside {
					covered = r.Hi >= v.j0-n && r.Lo <= v.j0+n || r.Hi >= v.j1-n && r.Lo <= v.j1+n
				}
				if !covered {
					keep = append(keep, r)
				}
			}
			runs[i] = keep
		}
	}
}
