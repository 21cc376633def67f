package path

// What is drawn, before any path is looked for: colours, the score of a cell, and the runs of a column.

import (
	"image"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/sheet"
)

// quiet is the sheet of a dark display of 4 × 4 boxes, 50 × 100 cells each, whose noise is 0.01 in every channel.
func quiet(t *testing.T) *sheet.Sheet { return quietOf(t, geom.Frame{Cols: 4, Rows: 4}) }

// quietOf is the same of a display of other boxes.
func quietOf(t *testing.T, frame geom.Frame) *sheet.Sheet {
	t.Helper()
	wide, high := 100*frame.Cols+50, 100*frame.Rows+50 // px
	var corners [4]geom.Pixel
	for k, b := range frame.Corners() {
		corners[k] = geom.Pixel{X: float64(wide)/2 + 100*b.X, Y: float64(high)/2 - 100*b.Y}
	}
	h, err := geom.HomographyOf(frame.Corners(), corners)
	if err != nil {
		t.Fatal(err)
	}
	s, err := sheet.Read(t.Context(), photo.New(image.NewGray(image.Rect(0, 0, wide, high))), &graticule.Graticule{H: h, Frame: frame})
	if err != nil {
		t.Fatal(err)
	}
	for c := range 3 {
		for k := range s.Noise[c].V {
			s.Noise[c].V[k] = 0.01
		}
	}
	return s
}

// paint gives one in so many of the cells that tell colours this light.
func paint(s *sheet.Sheet, first, every int, light [3]float64) {
	for i := 1; i < s.NX; i += 2 {
		for j := 0; j < s.NY; j += 2 {
			if (i/2*s.NY/2+j/2)%every == first {
				for c := range 3 {
					s.Light[c][i*s.NY+j] = float32(light[c])
				}
			}
		}
	}
}

// turned is a light of 1 in a colour between red and green, or between that and blue.
func turned(angle, blue float64) [3]float64 {
	return [3]float64{math.Cos(angle) * math.Cos(blue), math.Sin(angle) * math.Cos(blue), math.Sin(blue)}
}

func TestWhichColoursAreDrawnWith(t *testing.T) {
	type part struct {
		every int // one of so many cells
		light [3]float64
	}
	grey := func(v float64) [3]float64 { return [3]float64{v, v, v} }
	var five, nine []part
	for k := range 9 {
		p := part{20, turned(float64(k%3)*0.7, float64(k/3)*0.7)}
		if k < 5 {
			five = append(five, p)
		}
		if nine = append(nine, p); k > 5 { // darker than the field
			for c := range 3 {
				nine[k].light[c] *= -1
			}
		}
	}
	for _, c := range []struct {
		name  string
		parts []part
		want  int
	}{
		{"nothing", nil, 0},
		{"light of four and a half standard deviations", []part{{20, grey(0.045)}}, 0},
		{"light of eight", []part{{20, grey(0.08)}}, 1},
		{"two colours 0.1 apart", []part{{20, turned(0.3, 0.2)}, {20, turned(0.4, 0.2)}}, 1},
		{"two colours 0.21 apart, as pink and white", []part{{20, turned(0.3, 0)}, {20, turned(0.51, 0)}}, 2},
		{"two colours 0.36 apart", []part{{20, turned(0.3, 0)}, {20, turned(0.66, 0)}}, 2},
		{"two colours 0.28 apart that are alike to a quarter in each channel", []part{{20, [3]float64{0.26, 0.66, 0.70}}, {20, [3]float64{0.49, 0.51, 0.70}}}, 2},
		{"a colour of a seventieth of the light", []part{{20, turned(0, 0)}, {1400, turned(1, 0)}}, 1},
		{"a colour of a thirtieth", []part{{20, turned(0, 0)}, {600, turned(1, 0)}}, 2},
		{"five colours", five, 5},
		{"nine colours, of which six are tried", nine, 6},
	} {
		s := quiet(t)
		for k, p := range c.parts {
			paint(s, k, p.every, p.light)
		}
		if got := tints(s); len(got) != c.want {
			t.Errorf("%s: %d colours, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}

// A stroke has one colour: cells of its core are bleached, those of its edges are not, and moiré colours columns.
func TestAStrokeHasOneColour(t *testing.T) {
	for _, c := range []struct {
		name string
		off  func(i, j int) (angle float64, lit bool) // j from the stroke's lowest row
		want int
	}{
		{"a bleached core of 4 of 9 rows", func(_, j int) (float64, bool) { return 0.4 * core(j >= 3 && j < 7), j < 9 }, 1},
		{"a core in a steep stroke", func(i, j int) (float64, bool) { return 0.4 * core(j%11 >= 6), j < 110 && i%20 < 4 }, 1},
		{"columns by turns", func(i, j int) (float64, bool) { return 0.4 * core(i%2 == 0), j < 5 }, 1},
		{"the upper and the lower half of 0.24 box", func(_, j int) (float64, bool) { return 0.4 * core(j >= 12), j < 24 }, 2},
		{"two columns by turns", func(i, j int) (float64, bool) { return 0.4 * core(i%4 < 2), j < 5 }, 1},
		{"five columns by turns", func(i, j int) (float64, bool) { return 0.4 * core(i%10 < 5), j < 5 }, 2},
	} {
		s := quiet(t)
		for i := range s.NX {
			for j := range 120 {
				if angle, lit := c.off(i, j); lit {
					for k, v := range turned(0.3+angle, 0) {
						s.Light[k][i*s.NY+150+j] = float32(v)
					}
				}
			}
		}
		if got := tints(s); len(got) != c.want {
			t.Errorf("%s: %d colours, want %d: %v", c.name, len(got), c.want, got)
		}
	}
}

// A few strokes that are a little off a colour, too few for one of their own, are of it; those further off are not.
func TestWhichStrokesAreOfAColour(t *testing.T) {
	for _, c := range []struct{ off, least, most float64 }{{0.2, 0.0015, 0.006}, {0.3, 0, 0.0005}} {
		s := quiet(t)
		paint(s, 0, 20, turned(0.3, 0))
		paint(s, 1, 1400, turned(0.3+c.off, 0))
		got := tints(s)
		if len(got) != 1 {
			t.Fatalf("%d colours, want 1: %v", len(got), got)
		}
		if a := got[0].Angle(sheet.UnitTint(turned(0.3, 0))); a < c.least || a > c.most {
			t.Errorf("one stroke in 70 is %.2f off: the colour is %.4f off, want %g to %g", c.off, a, c.least, c.most)
		}
	}
}

func core(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// What a cell scores is its light along the tint above the ink, or all of it where a stroke covers the ink, less what
// it has of another colour.
func TestWhatACellScores(t *testing.T) {
	red := sheet.Tint{1, 0, 0}
	for _, c := range []struct {
		name  string
		light [3]float64 // of the cell
		ink   float64    // of the cell, red
		near  float64    // red ink of a cell so many rows off
		rows  int
		want  float64
	}{
		{"light of the tint", turned(0, 0), 0, 0, 1, 1},
		{"18 degrees off", turned(0.31, 0), 0, 0, 1, 0.34},
		{"35 degrees off", turned(0.61, 0), 0, 0, 1, 0},
		{"more than the ink by six tenths", [3]float64{1.6, 0, 0}, 1, 0, 1, 0.6},
		{"more than twice as much", [3]float64{2.6, 0, 0}, 1, 0, 1, 2.6},
		{"a bright line three rows off", [3]float64{1, 0, 0}, 0.15, 0.8, 3, 0.85},
		{"five rows off", [3]float64{1, 0, 0}, 0.15, 0.8, 5, 1},
	} {
		s := plainSheet()
		for k := range 3 {
			s.Light[k], s.Ink[k] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
			s.Light[k][250*s.NY+400] = float32(c.light[k])
		}
		s.Ink[0][250*s.NY+400], s.Ink[0][250*s.NY+400+c.rows] = float32(c.ink), float32(c.near)
		if got := float64(likeness(s, red, unlike(s, red))[250*s.NY+400]); math.Abs(got-c.want) > 0.05 {
			t.Errorf("%s: %.2f, want %.2f", c.name, got, c.want)
		}
	}
}

// Ink of a colour six degrees off the tint and more is of another.
func TestWhichInkIsOfAnotherColour(t *testing.T) {
	for _, c := range []struct {
		angle float64
		other bool
	}{{0, false}, {0.07, false}, {0.16, true}, {1, true}} {
		s := plainSheet()
		for k, v := range turned(c.angle, 0) {
			s.Ink[k] = []float32{float32(v)}
		}
		says(t, "ink of another colour", unlike(s, sheet.Tint{1, 0, 0}), c.other)
	}
}

// Of an upright line in another colour, which has no light of its own a tenth of a box beside it, all the light along
// the tint counts as ink: its edges have colours of their own.
func TestTheInkOfAnUprightLineCounts(t *testing.T) {
	for _, c := range []struct {
		wide int // columns to either side that the line reaches
		want float64
	}{{3, 0.5}, {400, 1.44}} {
		s := plainSheet()
		for k := range 3 {
			s.Light[k], s.Ink[k] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
		}
		ink := turned(0.35, 0)
		for i := max(250-c.wide, 0); i <= min(250+c.wide, s.NX-1); i++ {
			for k := range 3 {
				s.Ink[k][i*s.NY+400] = float32(ink[k])
			}
		}
		s.Light[0][250*s.NY+400] = 1.44
		if got := float64(likeness(s, sheet.Tint{1, 0, 0}, unlike(s, sheet.Tint{1, 0, 0}))[250*s.NY+400]); got > c.want+0.01 || got < c.want-0.7 {
			t.Errorf("a line of %d columns: %.2f, want %.2f", c.wide, got, c.want)
		}
	}
}

// Runs are what stands out of noise and ink, and is bright enough beside the trace and its own peak.
func TestWhichCellsAreARun(t *testing.T) {
	for _, c := range []struct {
		name   string
		amount float32
		ink    float32         // of the brightest line
		score  map[int]float32 // of rows above the middle, or above the upper rim
		rim    bool
		under  [3]float32 // light of ink from row, to before row, in units of the usual
		want   [][2]int   // the runs
	}{
		{"a stroke", 1, 0, map[int]float32{0: 0.35, 1: 1, 2: 0.18}, false, [3]float32{}, [][2]int{{0, 1}}},
		{"dim beside the trace", 1, 0, map[int]float32{0: 0.047}, false, [3]float32{}, nil},
		{"less dim", 1, 0, map[int]float32{0: 0.09}, false, [3]float32{}, [][2]int{{0, 0}}},
		{"dim beside the ink", 1, 1, map[int]float32{0: 0.2}, false, [3]float32{}, nil},
		{"less dim beside it", 1, 1, map[int]float32{0: 0.45}, false, [3]float32{}, [][2]int{{0, 0}}},
		{"in what looks like noise, as bright as a stroke's faintest cells", 0.1, 0, map[int]float32{0: 0.03}, false, [3]float32{}, [][2]int{{0, 0}}},
		{"in the noise", 0.4, 0, map[int]float32{0: 0.03}, false, [3]float32{}, nil},
		{"out of the noise", 0.4, 0, map[int]float32{0: 0.06}, false, [3]float32{}, [][2]int{{0, 0}}},
		{"a hole of two rows", 1, 0, map[int]float32{0: 1, 1: 0.15, 2: 0.15, 3: 1}, false, [3]float32{}, [][2]int{{0, 3}}},
		{"a hole of three", 1, 0, map[int]float32{0: 1, 1: 0.15, 2: 0.15, 3: 0.15, 4: 1}, false, [3]float32{}, [][2]int{{0, 0}, {4, 4}}},
		{"0.04 box beyond the rim", 1, 0, map[int]float32{4: 1}, true, [3]float32{}, [][2]int{{4, 4}}},
		{"0.09 box beyond the rim", 1, 0, map[int]float32{9: 1}, true, [3]float32{}, nil},
		{"an edge that a line parts", 1, 0, rows(0, 20, 32, 52), false, [3]float32{20, 32, 0.2}, [][2]int{{0, 51}}},
		{"by 0.24 box", 1, 0, rows(0, 20, 44, 64), false, [3]float32{20, 44, 0.2}, [][2]int{{0, 19}, {44, 63}}},
		{"a line that is hardly seen", 1, 0, rows(0, 20, 32, 52), false, [3]float32{20, 32, 0.04}, [][2]int{{0, 19}, {32, 51}}},
		{"one that is", 1, 0, rows(0, 20, 32, 52), false, [3]float32{20, 32, 0.09}, [][2]int{{0, 51}}},
		{"parts of an edge of 0.17 box", 1, 0, rows(0, 17, 29, 46), false, [3]float32{17, 29, 0.2}, [][2]int{{0, 45}}},
		{"parts of 0.09 box", 1, 0, rows(0, 9, 21, 30), false, [3]float32{9, 21, 0.2}, [][2]int{{0, 8}, {21, 29}}},
	} {
		s := quiet(t)
		w := &drawing{tint: sheet.Tint{1, 0, 0}, score: make([]float32, s.NX*s.NY), noise: s.NoiseAlong(sheet.Tint{1, 0, 0}), amount: c.amount, peakInk: c.ink}
		inked := make([]float32, s.NX*s.NY)
		base := 220
		if c.rim {
			base = int(math.Round(s.Row(2)))
		}
		for j, v := range c.score {
			w.score[100*s.NY+base+j] = v
		}
		for j := int(c.under[0]); j < int(c.under[1]); j++ {
			inked[100*s.NY+base+j] = c.under[2]
		}
		w.findRuns(s, inked, nil)
		got := w.runs[100]
		same := len(got) == len(c.want)
		for k := range got {
			same = same && got[k].Lo-base == c.want[k][0] && got[k].Hi-base == c.want[k][1]
		}
		if !same {
			t.Errorf("%s: runs %v from row %d, want %v", c.name, got, base, c.want)
		}
	}
}

// rows is a score of 1 from row a to before b, and from c to before d.
func rows(a, b, c, d int) map[int]float32 {
	score := map[int]float32{}
	for j := a; j < d; j++ {
		if j < b || j >= c {
			score[j] = 1
		}
	}
	return score
}

// The graticule's brightest ink is that of one cell in two hundred; dots do not beat with the cells.
func TestHowBrightInkIs(t *testing.T) {
	for _, c := range []struct {
		name string
		ink  func(i, j int) bool
		want float32
	}{
		{"an upright line of a column in 290", func(i, j int) bool { return i%290 == 70 }, 0},
		{"one in 67", func(i, j int) bool { return i%67 == 33 }, 1},
		{"dots in one of 320 cells", func(i, j int) bool { return i%10 == 0 && j%32 == 0 }, 0},
	} {
		s := plainSheet()
		for k := range 3 {
			s.Ink[k] = make([]float32, s.NX*s.NY)
		}
		for k := range s.Ink[0] {
			if c.ink(k/s.NY, k%s.NY) {
				s.Ink[0][k] = 1
			}
		}
		if got, _ := inkPeak(s, sheet.Tint{1, 0, 0}); got != c.want {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
