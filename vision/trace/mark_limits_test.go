package trace

// What the limits of a mark decide, on cells set by hand: each case lies a little to one side of a limit.

import (
	"cmp"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// cells are set where a mark is: width columns from i0 on, and at every one of them rows from to before to about the
// row j.
func cells(mask [][]bool, i0, width, j int, span func(u float64) (from, to float64)) {
	for i := range width {
		from, to := span((float64(i) + 0.5) / float64(width))
		for k := range mask[i0+i] {
			if d := float64(k-j) + 0.5; d > from && d < to {
				mask[i0+i][k] = true
			}
		}
	}
}

// arrow points to the right and is so many rows high; blunt ends at a share of that.
func arrow(rows float64) func(u float64) (from, to float64) {
	return func(u float64) (from, to float64) { return -rows / 2 * (1.1 - u), rows / 2 * (1.1 - u) }
}

func blunt(rows, share float64) func(u float64) (from, to float64) {
	return func(u float64) (from, to float64) {
		if u > 0.6 {
			return -rows / 2 * share, rows / 2 * share
		}
		return -rows / 2, rows / 2
	}
}

// slanting is a digit, a gap, and a sign that slants by a share of its height.
func slanting(share float64) func(u float64) (from, to float64) {
	return func(u float64) (from, to float64) {
		if u < 0.3 {
			return -10, 10
		}
		if u < 0.4 {
			return 0, 0
		}
		off := 30 * share * (u - 0.4) / 0.6
		return -15 + off, -3 + off
	}
}

// A scene is a display of 10 × 8 boxes and the strip left of it, 0.8 box wide.
type scene struct {
	*sheet.Side
	screen *sheet.Sheet
}

// besideScreen is an empty scene, and an empty mask of the strip.
func besideScreen() (*scene, [][]bool) {
	g := sheet.Grid{NX: 40, NY: 910, X0: -5.79, DX: 0.02, Y0: -4.545, DY: 0.01, Across: 50, Up: 100}
	mask := make([][]bool, g.NX)
	for i := range mask {
		mask[i] = make([]bool, g.NY)
	}
	r := &scene{&sheet.Side{Grid: g, Field: make([][3]float32, g.NX)}, screen()}
	for c := range r.Light {
		r.Light[c] = make([]float32, g.NX*g.NY)
	}
	return r, mask
}

// marks are those of red traces that run on the paths.
func (r *scene) marks(starts []start, paths ...*path.Path) []rimMark {
	return r.rim(paths...).marks(starts, []sheet.Tint{{1, 0, 0}}, -4)
}

func (r *scene) rim(paths ...*path.Path) *rim {
	var found []*path.Candidate
	for _, p := range paths {
		found = append(found, &path.Candidate{Tint: sheet.Tint{1, 0, 0}, Path: p})
	}
	return newRim(r.Side, r.screen, found)
}

// light gives the cells so much red light.
func (r *scene) light(mask [][]bool, red float32) {
	for i := range mask {
		for j, on := range mask[i] {
			if on {
				r.Light[0][i*r.NY+j] = red
			}
		}
	}
}

// screen is an empty display of 10 × 8 boxes.
func screen() *sheet.Sheet {
	s := &sheet.Sheet{Grid: sheet.Grid{NX: 500, NY: 840, X0: -4.99, DX: 0.02, Y0: -4.195, DY: 0.01, Across: 50, Up: 100}, Frame: geom.Frame{Cols: 10, Rows: 8}}
	for ch := range 3 {
		s.Light[ch], s.Ink[ch] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
	}
	return s
}

func TestWhichSignsAreMarks(t *testing.T) {
	for _, c := range []struct {
		name        string
		from, width int // columns, 0.02 box each; the frame begins behind column 39
		span        func(u float64) (from, to float64)
		red         float32 // linear light above the bezel
		starts      []start // of traces; the mark is at a height of 1
		goesOn      float64 // box, of a stroke inside the frame at the mark's height
		want        int
		stroke      float32 // its light; 0 for that of the mark
	}{
		{"an arrow", 20, 18, arrow(30), 1, nil, 0, 1, 0},
		{"0.2 box from the frame", 15, 15, arrow(30), 1, nil, 0, 1, 0},
		{"0.36 box from it", 8, 14, arrow(30), 1, nil, 0, 0, 0},
		{"0.6 box wide", 8, 30, arrow(30), 1, nil, 0, 1, 0},
		{"0.06 box wide", 34, 3, blunt(30, 1), 1, nil, 0, 0, 0},
		{"0.14 box wide", 32, 7, arrow(30), 1, nil, 0, 1, 0},
		{"0.04 box high", 20, 18, blunt(4, 1), 1, nil, 0, 0, 0},
		{"0.11 box high", 20, 18, blunt(11, 1), 1, nil, 0, 1, 0},
		{"0.6 box high", 20, 18, blunt(60, 0.5), 1, nil, 0, 1, 0},
		{"0.8 box high", 20, 18, blunt(80, 0.5), 1, nil, 0, 0, 0},
		{"from the strip's second column", 1, 30, arrow(30), 1, nil, 0, 0, 0},
		{"from its fourth", 3, 28, arrow(30), 1, nil, 0, 1, 0},
		{"a digit beside a slanting sign", 14, 24, slanting(0.3), 1, nil, 0, 1, 0},
		{"beside one that slants by two thirds", 14, 24, slanting(0.66), 1, nil, 0, 0, 0},
		{"beside one as slanting as it is high", 14, 24, slanting(1.4), 1, nil, 0, 0, 0},
		{"faint", 20, 18, arrow(30), 0.09, nil, 0, 1, 0},
		{"too faint", 20, 18, arrow(30), 0.05, nil, 0, 0, 0},
		{"where the trace starts, pointed", 18, 18, blunt(30, 0.5), 1, []start{{1, 0.05}}, 0, 1, 0},
		{"where the trace starts, blunt", 18, 18, blunt(30, 0.85), 1, []start{{1, 0.05}}, 0, 0, 0},
		{"blunt, and a stroke goes on inside", 12, 18, blunt(30, 0.85), 1, nil, 0.2, 0, 0},
		{"blunt, and a short one goes on", 12, 18, blunt(30, 0.85), 1, nil, 0.14, 0, 0},
		{"blunt, and what goes on ends at once", 12, 18, blunt(30, 0.85), 1, nil, 0.06, 1, 0},
		{"pointed, and a stroke goes on inside", 18, 18, blunt(30, 0.5), 1, nil, 0.2, 1, 0},
		{"blunt, and a stroke of half its light goes on", 12, 18, blunt(30, 0.85), 1, nil, 0.2, 0, 0.55},
		{"blunt, and one of a quarter of it", 12, 18, blunt(30, 0.85), 1, nil, 0.2, 1, 0.25},
	} {
		r, mask := besideScreen()
		cells(mask, c.from, c.width, int(math.Round(r.Row(1))), c.span)
		r.light(mask, c.red)
		s := r.screen
		for i := range int(c.goesOn/s.DX + 0.5) {
			for k := range 5 {
				s.Light[0][i*s.NY+int(s.Row(1))+k-2] = cmp.Or(c.stroke, 1)
			}
		}
		if got := r.marks(c.starts); len(got) != c.want {
			t.Errorf("%s: %d marks", c.name, len(got))
		}
	}
}

// Light that changes along the rim, as a reflection's does, hides no mark, and is none.
func TestAMarkIsFoundInGlare(t *testing.T) {
	for _, high := range []float64{6, 2.5} { // boxes from dark to bright
		r, mask := besideScreen()
		cells(mask, 20, 18, int(math.Round(r.Row(1))), arrow(30))
		r.light(mask, 0.3)
		for i := range r.NX {
			for j := range r.NY {
				r.Light[0][i*r.NY+j] += float32(0.4 * math.Exp(-math.Pow((r.Y(float64(j))-1.4)/high, 2)*4))
			}
		}
		if got := r.marks(nil); len(got) != 1 || math.Abs(got[0].y-1) > 0.05 {
			t.Errorf("a reflection of %g boxes: %d marks", high, len(got))
		}
	}
}

// Where the rim itself shines, a mark is seen above that light only, at fewer thresholds.
func TestABrightSignMayRunIntoTheRim(t *testing.T) {
	for _, c := range []struct {
		red  float32
		want int
	}{{0.75, 1}, {0.35, 1}, {0.18, 0}, {0.1, 0}} {
		r, mask := besideScreen()
		cells(mask, 20, 18, int(math.Round(r.Row(1))), arrow(30))
		r.light(mask, c.red)
		for i := range r.NX { // a stripe across the strip, as high as the mark
			for j := int(r.Row(0.9)); j < int(r.Row(1.1)); j++ {
				r.Light[0][i*r.NY+j] = max(r.Light[0][i*r.NY+j], c.red*0.4)
			}
		}
		if got := r.marks(nil); len(got) != c.want {
			t.Errorf("light %g: %d marks", c.red, len(got))
		}
	}
}

// Noise on the bezel is as high as a faint mark here and there; a mark is seen above it.
func TestNoiseAtTheRimIsNoMark(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, marked := range []int{0, 1} {
		r, mask := besideScreen()
		if marked > 0 {
			cells(mask, 20, 18, int(math.Round(r.Row(1))), arrow(30))
		}
		r.light(mask, 0.5)
		smooth := make([]float64, r.NX*r.NY)
		for k := range smooth { // grains of ten rows and six columns, as large as a mark may be
			if k%10 == 0 && k/r.NY%6 == 0 {
				v := 0.03 * rng.NormFloat64()
				for i := range 6 {
					for j := range 10 {
						if q := k + i*r.NY + j; q < len(smooth) {
							smooth[q] = v
						}
					}
				}
			}
		}
		for k := range smooth {
			r.Light[0][k] += float32(smooth[k])
		}
		if got := r.marks(nil); len(got) != marked {
			t.Errorf("%d marks, %d drawn", len(got), marked)
		}
	}
}

// A number is the same mark's when it stands beside it.
func TestANumberStandsBesideItsMark(t *testing.T) {
	for _, c := range []struct{ last, first, want int }{{29, 33, 1}, {26, 33, 1}, {22, 33, 2}} { // columns of the number and of the mark
		r, mask := besideScreen()
		j := int(math.Round(r.Row(1)))
		cells(mask, c.last-10, 11, j, blunt(20, 1))
		cells(mask, c.first, 7, j, arrow(30))
		r.light(mask, 1)
		if got := r.rim().signs([]sheet.Tint{{1, 0, 0}}); len(got) != c.want {
			t.Errorf("%d columns apart: %d signs", c.first-c.last, len(got))
		}
	}
}

// A digit and its pointer have a waist, a flag has a tip; a stroke that runs on, and the glow of one, have neither.
func TestWhatHasTheShapeOfAMark(t *testing.T) {
	for _, c := range []struct {
		name    string
		columns []float32
		want    bool
	}{
		{"a stroke", []float32{2, 4, 5, 5, 5, 5, 4, 4, 4}, false},
		{"a glow", []float32{1, 3, 5, 7, 9, 10, 12, 12, 12}, false},
		{"a digit and a pointer", []float32{5, 9, 10, 9, 4, 7, 11, 10, 9, 9}, true},
		{"a shallow waist", []float32{5, 9, 10, 9, 6, 7, 11, 10, 9, 9}, false},
		{"a flag", []float32{8, 10, 10, 10, 9, 8, 6, 5, 3}, true},
		{"a blunt flag", []float32{8, 10, 10, 10, 9, 8, 7, 7, 7}, false},
	} {
		if got := hasTip(c.columns) || hasWaist(c.columns); got != c.want {
			t.Errorf("%s: %v", c.name, got)
		}
	}
}

// Whose a mark is goes by its colour, and of two of one colour by size; where another assignment is nearly as likely
// the other mark is told, or, if that is another trace's, none is taken.
func TestWhoseAMarkIs(t *testing.T) {
	type m struct{ angle, area, y float64 } // radians from the first trace's tint, square boxes
	nan := math.NaN()
	for _, c := range []struct {
		name        string
		traces      []float64 // angles of their tints
		marks       []m
		want, rival []float64
	}{
		{"one of each", []float64{0}, []m{{0.1, 0.06, 2}}, []float64{2}, []float64{nan}},
		{"0.75 off", []float64{0}, []m{{0.75, 0.06, 2}}, []float64{2}, []float64{nan}},
		{"1 off", []float64{0}, []m{{1, 0.06, 2}}, []float64{nan}, []float64{nan}},
		{"the larger of two", []float64{0}, []m{{0, 0.06, 2}, {0, 0.015, 1}}, []float64{2}, []float64{nan}},
		{"of two large ones neither is larger", []float64{0}, []m{{0.25, 0.06, 2}, {0, 0.2, 1}}, []float64{1}, []float64{2}},
		{"two of two hues", []float64{0, 0.8}, []m{{0.75, 0.06, 2}, {0.05, 0.06, 1}}, []float64{1, 2}, []float64{nan, nan}},
		{"a white one is left for the other", []float64{0, 0.8}, []m{{0.4, 0.06, 2}, {0.75, 0.06, 1}}, []float64{2, 1}, []float64{nan, nan}},
		{"one white mark for two traces", []float64{0, 0.8}, []m{{0.4, 0.06, 2}}, []float64{nan, nan}, []float64{2, 2}},
		{"five of five hues", []float64{0, 0.35, 0.7, 1.05, 1.4},
			[]m{{1.4, 0.06, -2}, {1.05, 0.06, -1}, {0.7, 0.06, 0}, {0.35, 0.06, 1}, {0, 0.06, 2}},
			[]float64{2, 1, 0, -1, -2}, []float64{nan, nan, nan, nan, nan}},
		{"one coloured mark for two traces", []float64{0, 0.8}, []m{{0.1, 0.06, 2}}, []float64{2, nan}, []float64{nan, nan}},
	} {
		strip, _ := besideScreen()
		r := strip.rim()
		var traces []*Trace
		var tints []sheet.Tint
		var found []*path.Candidate
		for _, a := range c.traces {
			tr := drawnWith(always(-2), always(0.05), never)
			tr.Colour = [3]uint8{sheet.ToSRGB(math.Cos(a)), sheet.ToSRGB(math.Sin(a)), 0}
			traces, found = append(traces, tr), append(found, &path.Candidate{})
			tints = append(tints, r.tint(sheet.FromSRGB(tr.Colour)))
		}
		var marks []rimMark
		for _, k := range c.marks {
			g := &group{}
			g.cells = make([][2]int, int(k.area/(r.DX*r.DY)+0.5))
			m := rimMark{look: look{group: g, beauty: 1}, y: k.y, tint: sheet.UnitTint([3]float64{math.Cos(k.angle), math.Sin(k.angle), 0})}
			r.weigh(&m, tints)
			marks = append(marks, m)
		}
		owners, _ := r.assign(marks, traces, found)
		for k, got := range owners {
			same := func(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }
			if !same(got.y, c.want[k]) || !same(got.rival, c.rival[k]) {
				t.Errorf("%s: trace %d has %g, perhaps %g", c.name, k, got.y, got.rival)
			}
		}
	}
}

// Where a mark points goes by its middle, by its tip where the end of the screen cuts it, and off the screen where it
// is like its own mirror image, left for right.
func TestWhereAMarkPoints(t *testing.T) {
	down := func(u float64) (from, to float64) { return 20*math.Abs(2*u-1) - 10, 10 }
	half := func(tip float64) func(u float64) (from, to float64) { // a triangle of 20 rows, its tip so far up
		return func(u float64) (from, to float64) {
			return -10 + 20*tip*u, 10 - 20*(1-tip)*u*0.95
		}
	}
	high := func(rows float64) func(u float64) (from, to float64) { // a pointer down
		return func(u float64) (from, to float64) { return rows * (0.4*math.Abs(2*u-1) - 0.5), rows / 2 }
	}
	lopsided := func(u float64) (from, to float64) {
		if u < 0.6 {
			return -20, 20
		}
		return -20 + 34*(u-0.6)/0.4, 20 - 5*(u-0.6)/0.4
	}
	step := func(u float64) (from, to float64) {
		if u < 0.5 {
			return -30, 30
		}
		return 0, 30
	}
	wedge := func(u float64) (from, to float64) { return -10, -10 + 20*u }
	notched := func(columns float64) func(u float64) (from, to float64) { // at both upper corners, of twenty columns
		return func(u float64) (from, to float64) {
			if min(u, 1-u)*20 < columns {
				return -10, 9
			}
			return -10, 10
		}
	}
	nan, off := math.NaN(), math.Inf(-1)
	for _, c := range []struct {
		name string
		dy   float64 // box a row
		y    float64 // box, of the mark's middle
		span func(u float64) (from, to float64)
		want float64 // box
		ok   bool
	}{
		{"an arrow", 0.01, 1, arrow(30), 1, true},
		{"0.05 box past the lowest line", 0.01, -4.05, arrow(30), -4, true},
		{"0.12 box past it", 0.01, -4.12, arrow(30), 0, false},
		{"four rows", 0.02, 1, blunt(4, 1), 0, false},
		{"seven rows", 0.02, 1, blunt(7, 1), 1, true},
		{"cut at its tip", 0.01, -3.9, half(0.02), -4, true},
		{"cut a seventh below its tip", 0.01, -3.9, half(0.14), -4, true},
		{"cut a third below its tip", 0.01, -3.9, half(0.35), -3.91, true},
		{"cut a quarter below its tip", 0.01, -3.9, half(0.26), -4, true},
		{"0.05 box high", 0.008, 1, blunt(5.5, 1), 0, false},
		{"0.1 box high", 0.01, 1, blunt(10, 1), 1, true},
		{"0.6 box high", 0.01, 1, arrow(58), 1, true},
		{"0.85 box high", 0.01, 1, arrow(85), 0, false},
		{"a high arrow down", 0.01, -3.5, high(85), off, true},
		{"a higher one", 0.01, -3.4, high(110), 0, false},
		{"an arrow with its tip above the middle", 0.01, 1, lopsided, 1.02, true},
		{"a bar with a bar of half its height beside it", 0.01, 1, step, 1.075, true},
		{"an arrow down, 0.1 box from the lowest line", 0.01, -3.8, down, off, true},
		{"0.25 box from it", 0.01, -3.65, down, -3.6, true},
		{"a wedge", 0.01, -3.8, wedge, 0, false},
		{"a square, hardly like itself upside down", 0.01, -3.8, notched(8), off, true},
		{"a square, a little less so", 0.01, -3.8, notched(3), nan, true},
	} {
		g := &sheet.Grid{NX: 40, NY: int(9.1 / c.dy), X0: -5.79, DX: 0.02, Y0: -4.55 + c.dy/2, DY: c.dy, Across: 50, Up: int(1 / c.dy)}
		mask := make([][]bool, g.NX)
		for i := range mask {
			mask[i] = make([]bool, g.NY)
		}
		cells(mask, 10, 20, int(math.Round(g.Row(c.y)+0.5)), c.span)
		y, ok := pointsAt(g, blobsOf(mask)[0], -4)
		if ok != c.ok || ok && !(math.Abs(y-c.want) < 0.06 || y == c.want || math.IsNaN(y) && math.IsNaN(c.want)) {
			t.Errorf("%s: points at %.2f, %v, want %.2f, %v", c.name, y, ok, c.want, c.ok)
		}
	}
}

// What is two columns wide is a line, and what is four times as high as wide a stroke.
func TestHowWideAMarkIs(t *testing.T) {
	g := &sheet.Grid{NX: 40, NY: 910, X0: -5.79, DX: 0.02, Y0: -4.545, DY: 0.01, Across: 50, Up: 100}
	for _, c := range []struct {
		columns int // 0.02 box each
		rows    float64
		want    bool
	}{{2, 8, false}, {3, 8, true}, {4, 30, false}, {8, 30, true}} {
		mask := make([][]bool, g.NX)
		for i := range mask {
			mask[i] = make([]bool, g.NY)
		}
		cells(mask, 10, c.columns, 550, blunt(c.rows, 1))
		if _, got := pointsAt(g, blobsOf(mask)[0], -4); got != c.want {
			t.Errorf("%d columns, %g rows: %v", c.columns, c.rows, got)
		}
	}
}

// A mark inside the frame begins at the rim and ends soon; a trace that starts in it is much lower than the mark.
func TestWhichMarksAreInsideTheFrame(t *testing.T) {
	for _, c := range []struct {
		name        string
		from, width int // columns, 0.02 box each
		rows        float64
		run         int // rows of the trace's run where the mark is, of its usual 5; 0 for none
		want        int
	}{
		{"an arrow", 0, 18, 30, 0, 1},
		{"up to 0.4 box inside", 2, 18, 30, 0, 1},
		{"up to 0.6 box", 2, 28, 30, 0, 0},
		{"0.1 box from the rim", 5, 15, 30, 0, 1},
		{"0.16 box from it", 8, 15, 30, 0, 0},
		{"the trace starts in it", 0, 18, 30, 10, 1},
		{"the trace starts in what is four times as high", 0, 18, 20, 9, 1},
		{"in what is three times as high", 0, 18, 16, 12, 1},
		{"in what is twice as high", 0, 18, 9, 8, 0},
		{"a trace crosses it", 0, 18, 30, 6, 1},
	} {
		r, _ := besideScreen()
		s := r.screen
		mask := make([][]bool, 40)
		for i := range mask {
			mask[i] = make([]bool, s.NY)
		}
		j := int(math.Round(s.Row(1)))
		cells(mask, c.from, c.width, j, arrow(c.rows))
		p := &path.Path{Runs: make([]path.Run, s.NX), Amount: 1}
		for i := range p.Runs {
			p.Runs[i] = path.Run{Lo: 218, Hi: 222, Peak: 1}
			if i < 40 {
				p.Runs[i] = path.Run{Hi: -1}
			}
		}
		for i := range mask {
			for k, on := range mask[i] {
				if on {
					s.Light[0][i*s.NY+k] = 1
				}
			}
			if c.run > 0 && i < c.width {
				p.Runs[i] = path.Run{Lo: j - c.run/2, Hi: j - c.run/2 + c.run - 1, Peak: 1}
			}
		}
		if got := r.marks(nil, p); len(got) != c.want {
			t.Errorf("%s: %d marks", c.name, len(got))
		}
	}
}
