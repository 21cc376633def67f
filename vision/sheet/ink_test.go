package sheet

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// A line may be a fifth brighter than those across; what it has beyond a third is not the graticule's.
func TestHowMuchBrighterALineMayBeThanThoseAcross(t *testing.T) {
	for _, c := range []struct{ row, want float32 }{{0.8, 0.8}, {1.2, 1.2}, {2, 1.3}, {4, 1.3}} { // in upright lines' ink
		s := blank(t)
		cell := make([]float32, s.Across*s.Up)
		for a := range s.Across {
			for b := range s.Up {
				cell[a*s.Up+b] = max(sometimes(a == 10, 1), sometimes(b == 10, c.row))
			}
		}
		s.fold.capCell(cell)
		if got := cell[30*s.Up+10]; abs(got-c.want) > 0.05 {
			t.Errorf("a level line of %g has an ink of %.2f, want %g", c.row, got, c.want)
		}
	}
}

// The axis in the middle has ticks, which reach a tenth of a box, and a trace that runs 0.2 box beside it is none.
func TestTheInkOfTheAxesHasTheirTicks(t *testing.T) {
	s := blank(t)
	for i := range s.NX {
		for j := range s.NY {
			x, y := s.X(i), s.Y(float64(j))
			along := math.Abs(x-math.Round(x)) < 0.021 || math.Abs(y-math.Round(y)) < 0.021
			tick := math.Abs(y) < 0.12 && math.Abs(5*x-math.Round(5*x)) < 0.11 || math.Abs(x) < 0.12 && math.Abs(5*y-math.Round(5*y)) < 0.11
			for c := range 3 {
				s.Light[c][i*s.NY+j] = sometimes((along || tick) && math.Abs(y) < 4.02, 0.2)
			}
		}
	}
	ink := s.fold.ink(s.Frame)
	for _, at := range []geom.Box{{X: 1.19, Y: 0.01}, {X: 1.19, Y: 0.09}, {X: 1.19, Y: -0.09}, {X: 0.09, Y: 1.21}} {
		k := int(math.Round((at.X-s.X0)/s.DX))*s.NY + int(math.Round(s.Row(at.Y)))
		if left := s.Light[1][k] - ink[1][k]; s.Light[1][k] == 0 || abs(left) > 0.05 {
			t.Errorf("of the tick at %v, %.2f bright, %.2f is left", at, s.Light[1][k], left)
		}
	}
}

// The level axis has the colour of the other lines; what it has of another is a trace's.
func TestTheAxisHasTheColourOfTheLines(t *testing.T) {
	for _, c := range []struct {
		name  string
		green float32 // of the axis; red and blue are 0.1, as those of other lines
		lines int     // upright ones, a column wide, of 167 columns that are asked
		want  float32
	}{
		{"a little greener", 0.12, 10, 0.12},
		{"green", 0.25, 10, 0.13},
		{"lines of three hundredths tell", 0.25, 5, 0.13},
		{"lines of an eightieth do not", 0.25, 2, 0.25},
	} {
		s := blank(t)
		for i := range s.NX {
			for j := range s.NY {
				k, axis := i*s.NY+j, j == s.fold.j0
				for ch := range 3 {
					s.Ink[ch][k] = sometimes(axis || i%30 == 0 && i < 30*c.lines, 0.1)
				}
				if axis {
					s.Ink[1][k] = c.green
				}
			}
		}
		s.fold.oneColour(&s.Ink)
		if got := s.Ink[1][4*s.NY+s.fold.j0]; abs(got-c.want) > 0.01 {
			t.Errorf("%s: the axis has %.3f of green, want %.3f", c.name, got, c.want)
		}
	}
}

// All of the eighty boxes of a usual display count: what three in four of one colour of their chessboard have is not
// what most have.
func TestAllBoxesOfADisplayCount(t *testing.T) {
	s := blank(t)
	for i := range s.NX {
		for j := s.fold.base; j < s.NY-s.fold.base; j++ {
			m, n := i/s.Across, (j-s.fold.base)/s.Up
			s.Light[1][i*s.NY+j] = sometimes((m+n)%2 == 0 && m < 8, 0.2)
		}
	}
	if cell := s.fold.cell(s.Light[1]); cell[20*s.Up+20] != 0 {
		t.Errorf("an ink of %g", cell[20*s.Up+20])
	}
}
