package trace

// What the limits of a mark decide, on cells set by hand: each case lies a little to one side of a limit.

import (
	"math"
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

// restingAt is a trace of strokes 0.2 box thick, of which share is at the height y and the rest far away.
func restingAt(y, share float64) *Trace {
	return drawnWith(func(x float64) float64 {
		if x+5 < 10*share {
			return y
		}
		return y - 3
	}, always(0.2), never)
}

func TestWhichBlobsAreMarks(t *testing.T) {
	for _, c := range []struct {
		name        string
		from, width int // columns, 0.02 box each; the frame begins behind column 39
		span        func(u float64) (from, to float64)
		trace       *Trace // at a height of 1, which is the mark's
		starts      []start
		want        int
	}{
		{"an arrow", 20, 18, arrow(30), nil, nil, 1},
		{"0.2 box from the frame", 15, 15, arrow(30), nil, nil, 1},
		{"0.36 box from it", 8, 14, arrow(30), nil, nil, 0},
		{"0.5 box wide", 12, 25, arrow(30), nil, nil, 1},
		{"0.72 box wide", 3, 36, arrow(30), nil, nil, 0},
		{"0.04 box wide", 36, 2, arrow(30), nil, nil, 0},
		{"0.08 box wide", 35, 4, arrow(30), nil, nil, 1},
		{"0.05 box high", 20, 18, blunt(5, 1), nil, nil, 0},
		{"0.1 box high", 20, 18, blunt(10, 1), nil, nil, 1},
		{"0.45 box high", 20, 18, arrow(42), nil, nil, 1},
		{"0.7 box high", 20, 18, arrow(66), nil, nil, 0},
		{"from the strip's second column", 1, 30, arrow(30), nil, nil, 0},
		{"from its fourth", 3, 28, arrow(30), nil, nil, 1},
		{"where the trace starts, pointed", 18, 18, blunt(30, 0.6), nil, []start{{1, 0.05}}, 1},
		{"where the trace starts, blunt", 18, 18, blunt(30, 0.85), nil, []start{{1, 0.05}}, 0},
		{"on a level of the trace, as high as its stroke", 18, 18, blunt(24, 1), restingAt(1, 0.25), nil, 0},
		{"half as high again", 18, 18, blunt(32, 1), restingAt(1, 0.25), nil, 1},
		{"on less than an eighth of the trace", 18, 18, blunt(24, 1), restingAt(1, 0.12), nil, 1},
		{"on a fifth", 18, 18, blunt(24, 1), restingAt(1, 0.2), nil, 0},
	} {
		r, mask := besideScreen()
		cells(mask, c.from, c.width, int(math.Round(r.Row(1))), c.span)
		if c.trace == nil {
			c.trace = drawnWith(always(-2), always(0.05), never)
		}
		if got := r.marks(mask, c.trace, c.starts); len(got) != c.want {
			t.Errorf("%s: %d marks", c.name, len(got))
		}
	}
}

// A number is the same mark's when it stands beside it.
func TestANumberStandsBesideItsMark(t *testing.T) {
	for _, c := range []struct{ last, first, want int }{{30, 34, 1}, {28, 36, 2}} { // columns of the number and of the mark
		r, mask := besideScreen()
		j := int(math.Round(r.Row(1)))
		cells(mask, c.last-10, 11, j, blunt(20, 1))
		cells(mask, c.first, 4, j, arrow(30))
		if got := r.marks(mask, drawnWith(always(-2), always(0.05), never), nil); len(got) != c.want {
			t.Errorf("%d columns apart: %d marks", c.first-c.last, len(got))
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
		{"an arrow down, 0.2 box from the lowest line", 0.01, -3.7, down, off, true},
		{"0.45 box from it", 0.01, -3.45, down, -3.4, true},
		{"a wedge", 0.01, -3.7, wedge, 0, false},
		{"a square, hardly like itself upside down", 0.01, -3.7, notched(8), off, true},
		{"a square, a little less so", 0.01, -3.7, notched(3), nan, true},
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
		if got := r.alike([3]float32{c.colour, 0, 0}, 1)[20][500]; got != c.want {
			t.Errorf("%s: of the trace's colour: %v", c.name, got)
		}
	}
}

// A mark outside the frame may differ more in colour than a stroke may: both are seen 15 degrees off, and outside 22.
func TestHowFarAMarksColourIsOff(t *testing.T) {
	for _, c := range []struct {
		degrees         float64
		inside, outside bool
	}{{0, true, true}, {14, true, true}, {22, false, true}, {32, false, false}} {
		for _, inside := range []bool{false, true} {
			sin, cos := math.Sincos(c.degrees * math.Pi / 180)
			r, mask := besideScreen()
			s := &sheet.Sheet{Grid: sheet.Grid{NX: 500, NY: 840, X0: -4.99, DX: 0.02, Y0: -4.195, DY: 0.01, Across: 50, Up: 100}, Frame: geom.Frame{Cols: 10, Rows: 8}}
			for ch := range 3 {
				s.Light[ch], s.Ink[ch] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
			}
			light, g, from, want := &r.Light, &r.Grid, 18, c.outside
			if inside {
				light, g, from, want = &s.Light, &s.Grid, 0, c.inside
			}
			cells(mask, from, 18, int(math.Round(g.Row(1))), arrow(30))
			for i := range mask {
				for j, on := range mask[i] {
					if on {
						light[0][i*g.NY+j], light[1][i*g.NY+j] = float32(cos), float32(sin)
					}
				}
			}
			trace := drawnWith(always(-2), always(0.05), func(x float64) bool { return x < -4.5 })
			trace.Colour = [3]uint8{255, 0, 0}
			p := &path.Path{Runs: make([]path.Run, s.NX), Amount: 1}
			for i := range p.Runs {
				p.Runs[i].Hi = -1
				if i > 25 {
					p.Runs[i] = path.Run{Lo: 218, Hi: 222, Peak: 1}
				}
			}
			r.markGround(s, []*Trace{trace}, []*path.Candidate{{Tint: sheet.Tint{1, 0, 0}, Path: p}})
			if got := math.Abs(trace.GroundMark-1) < 0.05; got != want {
				t.Errorf("%g degrees off, inside %v: the mark is at %.2f", c.degrees, inside, trace.GroundMark)
			}
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
