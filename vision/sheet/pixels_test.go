package sheet

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The display's own pixels are a pattern that stands out of the noise at their number a box, between the lines.
func TestWhichPixelsAreSeen(t *testing.T) {
	for _, c := range []struct {
		name   string
		pixels int     // a box
		strong float64 // in standard deviations of the noise
		lines  float64 // how bright lines are, 0.06 box to either side
		seen   bool
	}{
		{"no pattern", 30, 0, 0, false},
		{"30 a box", 30, 0.5, 0, true},
		{"hardly out of the noise", 30, 0.22, 0, false},
		{"clear of the noise", 30, 0.32, 0, true},
		{"12 a box, too coarse", 12, 0.5, 0, false},
		{"18 a box", 18, 0.5, 0, true},
		{"40 a box", 40, 0.5, 0, true},
		{"60 a box, too fine", 60, 0.5, 0, false},
		{"30 a box beside bright lines", 30, 0.5, 60, true},
	} {
		s := blank(t)
		s.Grid.Up, s.Grid.NY = 140, 8*140
		s.Light[1] = make([]float32, s.NX*s.NY)
		s.fold.base, s.fold.py = 0, make([]int, s.NY)
		rng := rand.New(rand.NewPCG(5, 4))
		for j := range s.NY {
			s.fold.py[j] = j % s.Up
		}
		for k := range s.Light[1] {
			y := (float64(k%s.NY%s.Up) + 0.5) / float64(s.Up)
			v := rng.NormFloat64()
			v += c.strong * math.Cos(2*math.Pi*float64(c.pixels)*y)
			if y < 0.06 || y > 0.94 {
				v += c.lines
			}
			s.Light[1][k] = float32(v)
		}
		if n := s.ownPixels(s.fold); n != c.pixels && c.seen || n != 0 && !c.seen {
			t.Errorf("%s: %d are seen", c.name, n)
		}
	}
}
