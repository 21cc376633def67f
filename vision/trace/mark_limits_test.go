package trace

// What the limits of a mark decide, on cells set by hand: each case lies a little to one side of a limit.

import (
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

// besideScreen is the grid of a strip left of a display of 10 × 8 boxes, 0.8 box wide, and an empty mask of it.
func besideScreen() (*rim, [][]bool) {
	g := sheet.Grid{NX: 40, NY: 910, X0: -5.79, DX: 0.02, Y0: -4.545, DY: 0.01, Across: 50, Up: 100}
	mask := make([][]bool, g.NX)
	for i := range mask {
		mask[i] = make([]bool, g.NY)
	}
	r := &rim{&sheet.Side{Grid: g, Field: make([][3]float32, g.NX)}}
	for c := range r.Light {
		r.Light[c] = make([]float32, g.NX*g.NY)
	}
	return r, mask
}

// light gives the cells so much red light.
func (r *rim) light(mask [][]bool, red float32) {
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
	}{
		{"an arrow", 20, 18, arrow(30), 1, nil, 0, 1},
		{"0.2 box from the frame", 15, 15, arrow(30), 1, nil, 0, 1},
		{"0.36 box from it", 8, 14, arrow(30), 1, nil, 0, 0},
		{"0.6 box wide", 8, 30, arrow(30), 1, nil, 0, 1},
		{"0.76 box wide", 2, 38, arrow(30), 1, nil, 0, 0},
		{"0.1 box wide", 34, 5, arrow(30), 1, nil, 0, 0},
		{"0.14 box wide", 32, 7, arrow(30), 1, nil, 0, 1},
		{"0.07 box high", 20, 18, blunt(7, 1), 1, nil, 0, 0},
		{"0.11 box high", 20, 18, blunt(11, 1), 1, nil, 0, 1},
		{"0.6 box high", 20, 18, blunt(60, 0.5), 1, nil, 0, 1},
		{"0.8 box high", 20, 18, blunt(80, 0.5), 1, nil, 0, 0},
		{"from the strip's second column", 1, 30, arrow(30), 1, nil, 0, 0},
		{"from its fourth", 3, 28, arrow(30), 1, nil, 0, 1},
		{"a digit beside a slanting sign", 14, 24, slanting(0.3), 1, nil, 0, 1},
		{"beside one as slanting as it is high", 14, 24, slanting(1.4), 1, nil, 0, 0},
		{"faint", 20, 18, arrow(30), 0.09, nil, 0, 1},
		{"too faint", 20, 18, arrow(30), 0.05, nil, 0, 0},
		{"where the trace starts, pointed", 18, 18, blunt(30, 0.5), 1, []start{{1, 0.05}}, 0, 1},
		{"where the trace starts, blunt", 18, 18, blunt(30, 0.85), 1, []start{{1, 0.05}}, 0, 0},
		{"blunt, and a stroke goes on inside", 18, 18, blunt(30, 0.85), 1, nil, 0.2, 0},
		{"blunt, and what goes on ends at once", 18, 18, blunt(30, 0.85), 1, nil, 0.06, 1},
		{"pointed, and a stroke goes on inside", 18, 18, blunt(30, 0.5), 1, nil, 0.2, 1},
	} {
		r, mask := besideScreen()
		cells(mask, c.from, c.width, int(math.Round(r.Row(1))), c.span)
		r.light(mask, c.red)
		s := screen()
		for i := range int(c.goesOn/s.DX + 0.5) {
			for k := range 5 {
				s.Light[0][i*s.NY+int(s.Row(1))+k-2] = 1
			}
		}
		if got := r.marks(s, c.starts, -4); len(got) != c.want {
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
		if got := r.marks(screen(), nil, -4); len(got) != 1 || math.Abs(got[0].y-1) > 0.05 {
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
		if got := r.marks(screen(), nil, -4); len(got) != c.want {
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
		if got := r.marks(screen(), nil, -4); len(got) != marked {
			t.Errorf("%d marks, %d drawn", len(got), marked)
		}
	}
}

// A number is the same mark's when it stands beside it.
func TestANumberStandsBesideItsMark(t *testing.T) {
	for _, c := range []struct{ last, first, want int }{{29, 33, 1}, {24, 32, 2}} { // columns of the number and of the mark
		r, mask := besideScreen()
		j := int(math.Round(r.Row(1)))
		cells(mask, c.last-10, 11, j, blunt(20, 1))
		cells(mask, c.first, 7, j, arrow(30))
		r.light(mask, 1)
		_, size := r.differences()
		if got := r.signs(size); len(got) != c.want {
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
		{"of two large ones neither is larger", []float64{0}, []m{{0.05, 0.06, 2}, {0, 0.2, 1}}, []float64{1}, []float64{2}},
		{"two of two hues", []float64{0, 0.8}, []m{{0.75, 0.06, 2}, {0.05, 0.06, 1}}, []float64{1, 2}, []float64{nan, nan}},
		{"a white one is left for the other", []float64{0, 0.8}, []m{{0.4, 0.06, 2}, {0.75, 0.06, 1}}, []float64{2, 1}, []float64{nan, nan}},
		{"one white mark for two traces", []float64{0, 0.8}, []m{{0.4, 0.06, 2}}, []float64{nan, nan}, []float64{nan, nan}},
		{"five of five hues", []float64{0, 0.35, 0.7, 1.05, 1.4},
			[]m{{1.4, 0.06, -2}, {1.05, 0.06, -1}, {0.7, 0.06, 0}, {0.35, 0.06, 1}, {0, 0.06, 2}},
			[]float64{2, 1, 0, -1, -2}, []float64{nan, nan, nan, nan, nan}},
		{"one coloured mark for two traces", []float64{0, 0.8}, []m{{0.1, 0.06, 2}}, []float64{2, nan}, []float64{nan, nan}},
	} {
		r, _ := besideScreen()
		var traces []*Trace
		var found []*path.Candidate
		for _, a := range c.traces {
			tr := drawnWith(always(-2), always(0.05), never)
			tr.Colour = [3]uint8{sheet.ToSRGB(math.Cos(a)), sheet.ToSRGB(math.Sin(a)), 0}
			traces, found = append(traces, tr), append(found, &path.Candidate{})
		}
		var marks []rimMark
		for _, k := range c.marks {
			g := &group{}
			g.cells = make([][2]int, int(k.area/(r.DX*r.DY)+0.5))
			marks = append(marks, rimMark{look{group: g}, k.y, sheet.UnitTint([3]float64{math.Cos(k.angle), math.Sin(k.angle), 0})})
		}
		for k, got := range r.assign(marks, traces, found) {
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

// The largest mark is the trace's if it stands alone, and if it has no other trace's colour.
func TestWhichMarkIsTheTraces(t *testing.T) {
	tint := func(angle float64) sheet.Tint {
		return sheet.UnitTint([3]float64{math.Cos(angle), math.Sin(angle), 0})
	}
	for _, c := range []struct {
		name      string
		cells     int     // of the mark; another has 100
		own       float64 // radians from the trace's tint; another trace's is 0.2 away on the other side
		other     float64
		ok, alone bool
	}{
		{"1.3 times as large as the next", 130, 0, 0.2, true, false},
		{"1.8 times as large", 180, 0, 0.2, true, true},
		{"nearer to another colour by 0.035", 180, 0.135, 0.1, true, true},
		{"nearer by 0.07", 180, 0.17, 0.1, false, false},
	} {
		y, ok := chosenMark([]mark{{y: 1, cells: c.cells, tint: tint(0.5)}, {y: 2, cells: 100, tint: tint(0.5)}}, []sheet.Tint{tint(0.5 - c.own), tint(0.5 + c.other)}, 0)
		if ok != c.ok || math.IsNaN(y) == c.alone {
			t.Errorf("%s: %g, %v", c.name, y, ok)
		}
	}
}

// A cell has the trace's colour when it has two fifths of its light, on a rim that is not as bright as the trace.
func TestWhichCellsHaveTheTracesColour(t *testing.T) {
	for _, c := range []struct {
		name          string
		colour, light float32 // red, linear
		want          bool
	}{
		{"all of the light", 0.5, 0.5, true}, {"three tenths", 0.5, 0.15, false}, {"six tenths", 0.5, 0.3, true},
		{"a trace that is brighter by 0.02", 0.02, 0.02, false}, {"by 0.045", 0.045, 0.045, true},
	} {
		r, _ := besideScreen()
		r.Light[0][20*r.NY+500] = c.light
		if got := r.alike([3]float32{c.colour, 0, 0}, 20)[500]; got != c.want {
			t.Errorf("%s: of the trace's colour: %v", c.name, got)
		}
	}
}

// A mark inside the frame is seen 15 degrees off the trace's colour, and not 22.
func TestHowFarTheColourOfAMarkInsideIsOff(t *testing.T) {
	for _, c := range []struct {
		degrees float64
		want    int
	}{{0, 1}, {14, 1}, {22, 0}} {
		sin, cos := math.Sincos(c.degrees * math.Pi / 180)
		_, mask := besideScreen()
		s := screen()
		cells(mask, 0, 18, int(math.Round(s.Row(1))), arrow(30))
		for i := range mask {
			for j, on := range mask[i] {
				if on && j < s.NY {
					s.Light[0][i*s.NY+j], s.Light[1][i*s.NY+j] = float32(cos), float32(sin)
				}
			}
		}
		p := &path.Path{Runs: make([]path.Run, s.NX), Amount: 1}
		for i := range p.Runs {
			p.Runs[i].Hi = -1
			if i > 25 {
				p.Runs[i] = path.Run{Lo: 218, Hi: 222, Peak: 1}
			}
		}
		got := insideMarks(s, &path.Candidate{Tint: sheet.Tint{1, 0, 0}, Path: p}, -4, func(float64) bool { return false })
		if len(got) != c.want {
			t.Errorf("%g degrees off: %d marks", c.degrees, len(got))
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
		{"0.06 box from the rim", 3, 15, 30, 0, 1},
		{"0.16 box from it", 8, 15, 30, 0, 0},
		{"the trace starts in it", 0, 18, 30, 10, 1},
		{"the trace starts in what is four times as high", 0, 18, 20, 9, 1},
		{"in what is twice as high", 0, 18, 9, 8, 0},
		{"a trace crosses it", 0, 18, 30, 6, 0},
	} {
		s := &sheet.Sheet{Grid: sheet.Grid{NX: 500, NY: 840, X0: -4.99, DX: 0.02, Y0: -4.195, DY: 0.01, Across: 50, Up: 100}}
		mask := make([][]bool, 40)
		for i := range mask {
			mask[i] = make([]bool, s.NY)
		}
		j := int(math.Round(s.Row(1)))
		cells(mask, c.from, c.width, j, arrow(c.rows))
		for ch := range 3 {
			s.Light[ch], s.Ink[ch] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
		}
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
		got := insideMarks(s, &path.Candidate{Tint: sheet.Tint{1, 0, 0}, Path: p}, -4, func(float64) bool { return false })
		if len(got) != c.want {
			t.Errorf("%s: %d marks", c.name, len(got))
		}
	}
}
