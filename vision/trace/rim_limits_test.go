package trace

// What the limits of the strip at the rim decide, as in mark_limits_test.go.

import (
	"math"
	"slices"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// paint gives the cells of the strip and of the screen inside it a colour, in linear light. Columns count from the
// frame's rim, those outside are negative; rows are boxes.
func (r *scene) paint(from, width int, y float64, span func(u float64) (from, to float64), rgb [3]float32) {
	mask := make([][]bool, width)
	for i := range mask {
		mask[i] = make([]bool, r.NY)
	}
	cells(mask, 0, width, int(math.Round(r.Row(y))), span)
	up := int(math.Round((r.screen.Y0 - r.Y0) / r.DY))
	for i := range mask {
		for j, on := range mask[i] {
			for c := range rgb {
				switch at, k := from+i, j-up; {
				case on && at < 0:
					r.Light[c][(at+r.NX)*r.NY+j] = rgb[c]
				case on && k >= 0 && k < r.screen.NY:
					r.screen.Light[c][at*r.screen.NY+k] = rgb[c]
				}
			}
		}
	}
}

var red, green = [3]float32{1, 0, 0}, [3]float32{0, 1, 0}

// earth is a lead to the right of a bar of so many rows that hangs below it.
func earth(rows float64) func(u float64) (from, to float64) {
	return func(u float64) (from, to float64) {
		if u < 0.5 {
			return -rows, 3
		}
		return -3, 3
	}
}

// pointsTo lists where the marks of red traces point.
func (r *scene) pointsTo(tints ...sheet.Tint) (y []float64) {
	for _, m := range r.rim().marks(nil, append(tints, sheet.Tint{1, 0, 0}), -4) {
		y = append(y, m.y)
	}
	return y
}

func nearTo(got []float64, want ...float64) bool {
	if len(got) != len(want) {
		return false
	}
	for k := range got {
		if got[k] != want[k] && !(math.Abs(got[k]-want[k]) < 0.05) {
			return false
		}
	}
	return true
}

// A display lights its pixels with dark between them, and an outline is one of them wide.
func TestMarksOfFinePixels(t *testing.T) {
	for _, c := range []struct {
		pitch int // columns from pixel to pixel, and half of the rows, of which half are lit
		want  int
	}{{3, 1}, {5, 0}} {
		r, _ := besideScreen()
		r.paint(-22, 20, 1, arrow(30), [3]float32{0.3, 0, 0})
		for i := range r.NX {
			for j := range r.NY {
				if i%c.pitch >= (c.pitch+1)/2 || j%(2*c.pitch) >= c.pitch {
					r.Light[0][i*r.NY+j] = 0
				}
			}
		}
		if got := r.pointsTo(); len(got) != c.want {
			t.Errorf("pixels of %d columns: marks at %v", c.pitch, got)
		}
	}
}

// Two marks that touch are told apart by their colours.
func TestMarksOfTwoColoursMayTouch(t *testing.T) {
	for _, c := range []struct {
		angle float64 // of their colours, radians
		want  int
	}{{0.3, 2}, {0.13, 1}} {
		r, _ := besideScreen()
		other := [3]float32{float32(math.Cos(c.angle)), float32(math.Sin(c.angle)), 0}
		r.paint(-20, 18, 1, arrow(30), red)
		r.paint(-26, 18, 1.3, arrow(30), other)
		if got := r.pointsTo(sheet.Tint(other)); len(got) != c.want {
			t.Errorf("%g radians apart: marks at %v", c.angle, got)
		}
	}
}

// Two signs are one when their boxes share more than a third of the smaller.
func TestWhichSignsAreOne(t *testing.T) {
	a := &blob{i1: 19, j1: 19}
	for shift, want := range map[int]bool{15: false, 12: true, 25: false} {
		if got := a.overlaps(&blob{i0: shift, i1: shift + 19, j1: 19}); got != want {
			t.Errorf("%d of 20 columns beside it: %v", shift, got)
		}
	}
}

// The pointer of a group is a part of at least half its height.
func TestAPointerIsNotMuchLowerThanItsNumber(t *testing.T) {
	for rows, want := range map[int]bool{11: false, 18: true} {
		number, pointer := &blob{i1: 9, j1: 29}, &blob{i0: 12, i1: 21, j1: rows - 1}
		g := &group{blob: blob{i1: 21, j1: 29}, parts: []*blob{number, pointer}}
		if got := g.arrow(3, 6) == pointer; got != want {
			t.Errorf("%d rows of 30: %v", rows, got)
		}
	}
}

// What of one colour is seen twice is one mark, and marks whose boxes overlap a little are two.
func TestMarksMayTouch(t *testing.T) {
	down := func(u float64) (from, to float64) { return 26*math.Abs(2*u-1) - 13, 13 }
	for _, c := range []struct {
		below float64 // box, of the mark that points down, below the other's
		want  int
	}{{0.24, 2}, {0.19, 2}, {0.12, 1}} {
		r, _ := besideScreen()
		r.paint(-20, 18, -3.8+c.below, arrow(30), green)
		r.paint(-22, 18, -3.8, down, red)
		if got := r.pointsTo(sheet.Tint(green)); len(got) != c.want {
			t.Errorf("%g box: marks at %v", c.below, got)
		}
	}
}

// The number of a mark that points down stands over it, and is no mark of its own.
func TestTheNumberOverAMarkThatPointsDown(t *testing.T) {
	down := func(u float64) (from, to float64) { return 26*math.Abs(2*u-1) - 13, 13 }
	for _, c := range []struct {
		gap  float64
		want int
	}{{0.14, 1}, {0.32, 2}} {
		r, _ := besideScreen()
		r.paint(-18, 16, -3.83, down, red)
		r.paint(-18, 15, -3.83+0.13+c.gap+0.15, blunt(30, 0.5), red)
		if got := r.pointsTo(); len(got) != c.want {
			t.Errorf("%g box over it: marks at %v", c.gap, got)
		}
	}
}

// From the arrow of a cursor a dashed line goes on; a graticule's line on both sides, or a short stroke, is none.
func TestACursorsArrowIsNoMark(t *testing.T) {
	for _, c := range []struct {
		name    string
		dash, n int     // columns of a dash, of twice as many, and how many dashes
		off     float64 // box, of the line above the arrow's point
		want    int
	}{
		{"no line", 0, 0, 0, 1},
		{"dashes", 10, 5, 0, 0},
		{"dots over all", 2, 30, 0, 0},
		{"a few dashes", 5, 3, 0, 1},
		{"dashes 0.05 box above", 10, 5, 0.05, 0},
		{"dashes 0.07 box above", 10, 5, 0.07, 1},
	} {
		r, _ := besideScreen()
		r.paint(1, 12, 1, arrow(26), red)
		for k := range c.n {
			r.paint(20+2*c.dash*k, max(c.dash, 1), 1+c.off, blunt(4, 1), red)
		}
		if got := r.pointsTo(); len(got) != c.want {
			t.Errorf("%s: marks at %v", c.name, got)
		}
	}
}

// A bar that goes on is none when it is broad.
func TestABroadBarIsNoCursor(t *testing.T) {
	for half, want := range map[float64]int{8: 0, 15: 1} {
		r, _ := besideScreen()
		r.paint(1, 12, 1, arrow(50), red)
		r.paint(20, 50, 1, blunt(2*half, 1), red)
		if got := r.pointsTo(); len(got) != want {
			t.Errorf("%g rows: marks at %v", half, got)
		}
	}
}

// A sign of earth shows ground where its lead ends.
func TestASignOfEarthPointsWithItsLead(t *testing.T) {
	for _, c := range []struct {
		rows float64
		want float64
	}{{24, 1}, {34, 1}} {
		r, _ := besideScreen()
		r.paint(-36, 11, 1, blunt(30, 1), red)
		r.paint(-20, 18, 1, earth(c.rows), red)
		if got := r.pointsTo(); !nearTo(got, c.want) {
			t.Errorf("%g rows: marks at %v", c.rows, got)
		}
	}
}

// A mark that two traces may own is that of the one that rests at its height.
func TestAMarkBelongsToTheTraceThatRestsThere(t *testing.T) {
	for _, c := range []struct {
		level float64 // of the second trace's flat start; the mark is at 1
		angle float64 // radians by which the mark is nearer to the first trace's colour
		want  [2]float64
	}{
		{1.04, 0.1, [2]float64{math.NaN(), 1}},
		{1.07, 0.1, [2]float64{math.NaN(), 1}},
		{1.14, 0.1, [2]float64{math.NaN(), math.NaN()}},
		{1.04, 0.33, [2]float64{math.NaN(), 1}},
		{1.04, 0.55, [2]float64{math.NaN(), math.NaN()}},
		{1.04, 0.8, [2]float64{1, math.NaN()}},
	} {
		strip, _ := besideScreen()
		r := strip.rim()
		var traces []*Trace
		found := []*path.Candidate{{}, {}}
		var tints []sheet.Tint
		for k, level := range []float64{-3, c.level} {
			tr := drawnWith(func(x float64) float64 { return level + 2*max(x, 0) }, always(0.05), never)
			a := float64(k) * c.angle
			tr.Colour = [3]uint8{sheet.ToSRGB(math.Cos(a)), sheet.ToSRGB(math.Sin(a)), 0}
			traces, tints = append(traces, tr), append(tints, r.tint(sheet.FromSRGB(tr.Colour)))
		}
		g := &group{}
		g.cells = make([][2]int, 300)
		m := rimMark{look: look{group: g, beauty: 1}, y: 1, tint: sheet.Tint{1, 0, 0}}
		r.weigh(&m, tints)
		owners, _ := r.assign([]rimMark{m}, traces, found)
		for k, o := range owners {
			if o.y != c.want[k] && !(math.IsNaN(o.y) && math.IsNaN(c.want[k])) {
				t.Errorf("%+v: trace %d has %g", c, k, o.y)
			}
		}
	}
}

// A quarter of a sign, if it is even, is better than the whole if that is not.
func TestWhichLookIsTaken(t *testing.T) {
	of := func(cells int, beauty float64) look {
		return look{arrow: &blob{cells: make([][2]int, cells)}, beauty: beauty}
	}
	for beauty, whole := range map[float64]bool{0.8: true, 0.6: false} {
		if got := of(400, beauty).worth() > of(100, 1).worth(); got != whole {
			t.Errorf("a whole that is like itself in %g: taken %v", beauty, got)
		}
	}
}

// What is left of something that goes on, and what is inside the frame, is less likely than a mark outside, and may
// still be one.
func TestWhatASignCosts(t *testing.T) {
	r, _ := besideScreen()
	strip := r.rim()
	cost := func(cut, inside bool, beauty, angle float64) float64 {
		g := &group{}
		g.cut, g.cells = cut, make([][2]int, 300)
		if inside {
			g.i0, g.i1 = strip.edge+1, strip.edge+10
		}
		m := rimMark{look: look{group: g, beauty: beauty}, tint: sheet.UnitTint([3]float64{math.Cos(angle), math.Sin(angle), 0})}
		strip.weigh(&m, []sheet.Tint{{1, 0, 0}})
		return m.costs[0]
	}
	plain := cost(false, false, 1, 0)
	for name, c := range map[string]struct{ alike, off float64 }{
		"uneven": {cost(false, false, 0.5, 0), cost(false, false, 0.5, 0.45)},
		"cut":    {cost(true, false, 1, 0), cost(true, false, 1, 0.55)},
		"inside": {cost(false, true, 0.95, 0), cost(false, true, 1, 0.7)},
	} {
		if !(c.alike-plain > clearlyOwned) || !(c.off < noMark) {
			t.Errorf("%s: costs %.2f, and %.2f of another colour", name, c.alike, c.off)
		}
	}
}

// A run is where a stroke is bright; what is left of its light beside it is taken away with it, and no more.
func TestTheSkirtOfAStrokeIsTakenAway(t *testing.T) {
	r, _ := besideScreen()
	j := int(math.Round(r.screen.Row(1)))
	p := &path.Path{Runs: make([]path.Run, r.screen.NX), Amount: 1}
	for i := range p.Runs {
		p.Runs[i] = path.Run{Lo: j - 8, Hi: j + 7, Peak: 1} // sixteen rows
	}
	r.paint(0, 60, 1, blunt(60, 1), red)
	strip := r.rim(p)
	up := int(math.Round((r.screen.Y0 - r.Y0) / r.DY))
	for _, c := range []struct {
		rows int // beyond the run
		dark bool
	}{{10, true}, {16, false}} {
		for _, at := range []int{j + 7 + c.rows, j - 8 - c.rows} {
			if got := strip.size[(strip.edge+10)*strip.NY+at+up] == 0; got != c.dark {
				t.Errorf("%d rows beyond: dark %v", c.rows, got)
			}
		}
	}
}

// A mark too many says that a trace may be missing, if it has the shape of one and points at the screen.
func TestAMarkWithoutATraceIsDoubted(t *testing.T) {
	for _, c := range []struct {
		name   string
		y      float64
		beauty float64
		left   int
	}{
		{"of a colour that no trace has", 2, 1, 1},
		{"hardly even", 2, 0.75, 1},
		{"less so", 2, 0.65, 0},
		{"that points nowhere", math.NaN(), 1, 0},
		{"that points off the screen", math.Inf(-1), 1, 0},
	} {
		strip, _ := besideScreen()
		r := strip.rim()
		tr := drawnWith(always(-2), always(0.05), never)
		tr.Colour = [3]uint8{255, 0, 0}
		mark := func(y, beauty float64, tint sheet.Tint) rimMark {
			g := &group{}
			g.cells = make([][2]int, 300)
			m := rimMark{look: look{group: g, beauty: beauty}, y: y, tint: tint}
			r.weigh(&m, []sheet.Tint{{1, 0, 0}})
			return m
		}
		marks := []rimMark{mark(1, 1, sheet.Tint{1, 0, 0}), mark(c.y, c.beauty, sheet.Tint{0, 1, 0})}
		if _, left := r.assign(marks, []*Trace{tr}, []*path.Candidate{{}}); len(left) != c.left {
			t.Errorf("one %s: %d are left", c.name, len(left))
		}
	}
	p := plain()
	p.curves = []curve{{sine(1, 2, 1), yellow, 0.02}}
	arrow := drawn(arrowhead, -5.03, 1, -9, 9)
	p.extra = func(x, y float64) ([3]float64, float64) {
		if arrowhead(x+5.03, y+2.5) {
			return [3]float64{0.1, 0.6, 0.9}, 1
		}
		return arrow(x, y)
	}
	if tr := p.only(t); !slices.ContainsFunc(tr.Doubts, func(d remark.Remark) bool { return d.Kind == KindMarkWithoutTrace }) || !(math.Abs(tr.GroundMark-1) < 0.03) {
		t.Errorf("mark at %.2f, doubts %q", tr.GroundMark, tr.Doubts)
	}
}
