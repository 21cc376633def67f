package sheet

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
)

// blank is a sheet of 10 × 8 boxes, 50 × 50 cells each, on which nothing is drawn.
func blank(t *testing.T) *Sheet {
	t.Helper()
	frame := geom.Frame{Cols: 10, Rows: 8}
	p := pitch{across: 50, up: 50, subX: 1, subY: 1, reduce: 1}
	s := &Sheet{Grid: gridOf(geom.Box{X: -5, Y: -4.2}, geom.Box{X: 5, Y: 4.2}, p), Frame: frame}
	for c := range 3 {
		s.Light[c], s.Ink[c] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
		s.Field[c], s.Noise[c] = newKnots(&s.Grid), newKnots(&s.Grid)
	}
	s.fold = newFold(s, straight(t, frame, 50, 300, 300))
	return s
}

// inkOf gives all channels of the sheet the ink of a place in a box, 0 to 1 from the lines at its left and below.
func (s *Sheet) inkOf(ink func(x, y float64) float32) {
	for i := range s.NX {
		for j := range s.NY {
			v := ink((float64(s.fold.px[i])+0.5)/float64(s.Across), (float64(s.fold.py[j])+0.5)/float64(s.Up))
			for c := range 3 {
				s.Ink[c][i*s.NY+j] = v
			}
		}
	}
}

// A hundredth of the cells at either end of the ink is what lines have; a dotted one does not beat with the cells.
func TestHowDarkAndBrightLinesAre(t *testing.T) {
	for _, c := range []struct {
		name string
		ink  func(i, j int) float32 // of a channel
		want float32                // of all three, darker than the field
	}{
		{"an upright line of a column in 143", func(i, j int) float32 { return sometimes(i%143 == 70, -0.1) }, 0},
		{"one in 67", func(i, j int) float32 { return sometimes(i%67 == 33, -0.1) }, 0.3},
		{"dots in one of 160 cells", func(i, j int) float32 { return sometimes(i%10 == 0 && j%16 == 0, -0.1) }, 0},
	} {
		s := blank(t)
		for k := range s.Ink[0] {
			for ch := range 3 {
				s.Ink[ch][k] = c.ink(k/s.NY, k%s.NY)
			}
		}
		if dark, bright := s.inkEnds(); abs(dark-c.want) > 0.001 || bright != 0 {
			t.Errorf("%s: %.3f darker and %.3f brighter than the field, want %.3f and 0", c.name, dark, bright, c.want)
		}
	}
}

func sometimes(is bool, v float32) float32 {
	if is {
		return v
	}
	return 0
}

// Lines are surely brighter than the field when they are so twice as much as anything is darker there.
func TestWhichLinesAreLit(t *testing.T) {
	for _, c := range []struct {
		dark, bright  float32
		engraved, lit bool
	}{
		{0.1, 0, true, false}, {0.1, 0.05, true, false}, {0.1, 0.15, false, false}, {0.1, 0.3, false, true}, {0, 0.1, false, true},
	} {
		s := blank(t)
		s.inkOf(func(x, y float64) float32 { return sometimes(x < 0.04, c.bright) - sometimes(y < 0.04, c.dark) })
		if l := s.judgeLines(); l.Engraved != c.engraved || l.Lit != c.lit {
			t.Errorf("%g darker and %g brighter: %+v", c.dark, c.bright, l)
		}
	}
}

// Along a row of dots light changes, away from crossings and their ticks; along a line drawn through it hardly does.
func TestWhichLinesAreDotted(t *testing.T) {
	for _, c := range []struct {
		name   string
		along  func(x float64) float64
		dotted bool
	}{
		{"drawn through", func(x float64) float64 { return 1 }, false},
		{"uneven by a third", func(x float64) float64 { return 1 + 0.36*math.Sin(40*x) }, false},
		{"uneven by three quarters", func(x float64) float64 { return 1 + 0.8*math.Sin(40*x) }, true},
		{"bright up to 0.13 box from crossings", func(x float64) float64 { return beyond(x, 0, 0.13) }, false},
		{"bright up to 0.24 box from crossings", func(x float64) float64 { return beyond(x, 0, 0.24) }, true},
		{"nothing", func(x float64) float64 { return 0.5 - x }, true},
	} {
		s := blank(t)
		s.inkOf(func(x, y float64) float32 { return sometimes(y < 0.02 || y > 0.98, 0.1*float32(c.along(x))) })
		if got := s.fold.dotted(&s.Ink); got != c.dotted {
			t.Errorf("%s: dotted: %v", c.name, got)
		}
	}
}

// beyond is 5 for what lies from near to far of either end of a box, and 1 between.
func beyond(x, near, far float64) float64 {
	if x = min(x, 1-x); x >= near && x < far {
		return 5
	}
	return 1
}

// A face whose corners are a hundredth of a box off its plane is curved.
func TestWhichFaceIsCurved(t *testing.T) {
	for _, c := range []struct {
		corner float64 // box off the plane
		curved bool
	}{{0, false}, {0.006, false}, {0.016, true}} {
		g := &graticule.Graticule{Frame: geom.Frame{Cols: 10, Rows: 8}}
		g.Face.Half = geom.Box{X: 5, Y: 4}
		g.Face.DX[0] = c.corner
		if got := curved(g); got != c.curved {
			t.Errorf("corners %g box off: curved: %v", c.corner, got)
		}
	}
}
