package path

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"quadrille/vision/sheet"
)

// bordered paints the border of a panel, one cell wide, in columns i0 to i1 and rows j0 to j1 of an otherwise empty
// display, of so much light, and gives the panels that are found.
func bordered(i0, i1, j0, j1 int, light float32, change func(score []float32, at func(i, j int) int)) []panel {
	s := framed()
	for c := range 3 {
		s.Light[c], s.Ink[c] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
	}
	score := make([]float32, s.NX*s.NY)
	at := func(i, j int) int { return i*s.NY + j }
	for i := i0; i <= i1; i++ {
		score[at(i, j0)], score[at(i, j1)] = light, light
	}
	for j := j0; j <= j1; j++ {
		for k := range 2 {
			score[at(i0+k, j)], score[at(i1-k, j)] = light, light
		}
	}
	if change != nil {
		change(score, at)
	}
	return panelsOf(s, sheet.UnitTint([3]float64{1, 1, 1}), score, 1)
}

// goOn makes the lower stroke go on to the right by so many columns.
func goOn(columns int) func(score []float32, at func(i, j int) int) {
	return func(score []float32, at func(i, j int) int) {
		for i := 301; i <= 300+columns; i++ {
			score[at(i, 300)] = 1
		}
	}
}

// besideCorner moves the left side by so many columns to the right.
func besideCorner(columns int) func(score []float32, at func(i, j int) int) {
	return func(score []float32, at func(i, j int) int) {
		for j := 301; j < 500; j++ {
			score[at(200, j)], score[at(201, j)] = 0, 0
			score[at(200+columns, j)] = 1
		}
	}
}

func TestWhatIsABorder(t *testing.T) {
	for _, c := range []struct {
		name           string
		i0, i1, j0, j1 int
		light          float32
		change         func(score []float32, at func(i, j int) int)
		want           bool
	}{
		{"a border", 200, 300, 300, 500, 1, nil, true},
		{"a dim border", 200, 300, 300, 500, 0.2, nil, true},
		{"a dimmer one", 200, 300, 300, 500, 0.1, nil, false},
		{"a narrow one", 200, 230, 300, 500, 1, nil, true},
		{"as narrow as a letter", 200, 220, 300, 500, 1, nil, false},
		{"a low one", 200, 300, 300, 340, 1, nil, true},
		{"as low as a letter", 200, 300, 300, 325, 1, nil, false},
		{"with holes", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			score[at(250, 300)], score[at(260, 300)] = 0, 0
		}, true},
		{"with a gap", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 250; i < 260; i++ {
				score[at(i, 300)] = 0
			}
		}, true},
		{"with a wide gap", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 240; i < 262; i++ {
				score[at(i, 300)] = 0
			}
		}, false},
		{"with a side that is parted", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for j := 350; j < 370; j++ {
				score[at(200, j)], score[at(201, j)], score[at(299, j)], score[at(300, j)] = 0, 0, 0, 0
			}
		}, true},
		{"with half a side", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for j := 350; j < 450; j++ {
				score[at(200, j)], score[at(201, j)], score[at(299, j)], score[at(300, j)] = 0, 0, 0, 0
			}
		}, false},
		{"a side that stands a little off", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 301; i < 304; i++ {
				score[at(i, 300)], score[at(i, 500)] = 1, 1
			}
		}, true},
		{"a side that stands 0.08 box off", 200, 300, 300, 500, 1, besideCorner(4), true},
		{"a side that stands 0.12 box off", 200, 300, 300, 500, 1, besideCorner(6), false},
		{"strokes that go on at the corners", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 301; i < 350; i++ {
				score[at(i, 300)], score[at(i, 500)] = 1, 1
			}
		}, false},
		{"strokes that end a little past the corners", 200, 300, 300, 500, 1, goOn(6), true},
		{"strokes that end further past the corners", 200, 300, 300, 500, 1, goOn(8), false},
		{"with a hole every few columns", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 210; i < 295; i += 20 {
				score[at(i, 300)], score[at(i+1, 300)], score[at(i, 500)], score[at(i+1, 500)] = 0, 0, 0, 0
			}
		}, true},
		{"a patch of light", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 200; i < 300; i++ {
				for j := 300; j < 300+140; j++ {
					score[at(i, j)] = 1
				}
			}
		}, false},
		{"with words in it", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 220; i < 280; i++ {
				for j := 350; j < 450; j++ {
					if i%2 == 0 {
						score[at(i, j)] = 1
					}
				}
			}
		}, true},
	} {
		got := bordered(c.i0, c.i1, c.j0, c.j1, c.light, c.change)
		says(t, fmt.Sprintf("%s is a panel (%v)", c.name, got), len(got) > 0, c.want)
	}
}

// At two corners of a panel that hides the graticule something else may go on, but at no more.
func TestWhatGoesOnAtThePanelsCorners(t *testing.T) {
	for _, c := range []struct {
		up   int // rows by which the right side goes on upwards, beside the lower stroke, which goes on both ways
		want bool
	}{{0, true}, {40, false}} {
		s := framed()
		score := make([]float32, s.NX*s.NY)
		for k := range 3 {
			s.Light[k], s.Ink[k] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
			for n := 0; n < len(score); n += 7 {
				s.Ink[k][n] = 0.5 // of which nothing shows
			}
		}
		at := func(i, j int) int { return i*s.NY + j }
		for i := 160; i <= 340; i++ {
			score[at(i, 300)] = 1
			if i >= 200 && i <= 300 {
				score[at(i, 500)] = 1
			}
		}
		for j := 300; j <= 500+c.up; j++ {
			score[at(299, j)], score[at(300, j)] = 1, 1
			if j <= 500 {
				score[at(200, j)], score[at(201, j)] = 1, 1
			}
		}
		got := panelsOf(s, sheet.UnitTint([3]float64{1, 1, 1}), score, 1)
		says(t, fmt.Sprintf("the side going on by %d rows, a panel", c.up), len(got) > 0, c.want)
	}
}

// Of a level stroke along a line of the graticule, whose ink would hide it, enough has to be seen.
func TestWhichLevelStrokesAreSeen(t *testing.T) {
	for _, c := range []struct {
		name        string
		lit, count  int // of ten cells of a stroke; strokes
		least, most int
	}{
		{"three in ten cells", 3, 1, 0, 0}, {"half of the cells", 5, 1, 1, 1}, {"a hundred strokes", 10, 100, 100, 100}, {"two hundred", 10, 200, 100, 150},
	} {
		s := framed()
		seen := make([]sight, s.NX*s.NY)
		for n := range c.count {
			for i := range 60 + n {
				k := (100+i)*s.NY + 100 + 3*n
				if seen[k] = inked; i%10 < c.lit {
					seen[k] = lit
				}
			}
		}
		if n := len(levelStrokes(s, seen)); n < c.least || n > c.most {
			t.Errorf("%s: %d are seen, want %d to %d", c.name, n, c.least, c.most)
		}
	}
}

// A panel that begins at the rim of the screen needs no side there.
func TestAPanelAtTheRimNeedsNoSide(t *testing.T) {
	for _, c := range []struct {
		column int
		want   bool
	}{{0, true}, {3, true}, {6, false}} {
		got := bordered(c.column, c.column+100, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for j := 301; j < 500; j++ {
				score[at(c.column, j)], score[at(c.column+1, j)] = 0, 0
			}
		})
		says(t, fmt.Sprintf("without a side at column %d, a panel", c.column), len(got) > 0, c.want)
	}
}

// A panel hides the graticule when less than two fifths of its ink show inside, and that only if it is sure.
func TestWhatHidesTheGraticule(t *testing.T) {
	for _, c := range []struct {
		name          string
		shows, noise  float64 // share of the ink; light
		hidden, known bool
	}{
		{"nothing of the ink shows", 0, 0.1, true, true},
		{"three tenths", 0.3, 0.1, true, true},
		{"half", 0.5, 0.1, false, true},
		{"all", 1, 0.1, false, true},
		{"nothing, sure to 0.09", 0, 1.8, true, true},
		{"nothing, sure to 0.17", 0, 3.4, false, false},
	} {
		s, rng := framed(), rand.New(rand.NewPCG(2, 4))
		for k := range 3 {
			s.Light[k], s.Ink[k] = make([]float32, s.NX*s.NY), make([]float32, s.NX*s.NY)
		}
		for k := range s.Ink[0] {
			if k%10 == 0 {
				s.Ink[0][k] = 1
			}
			s.Light[0][k] = s.Ink[0][k]*float32(c.shows) + float32(c.noise*rng.NormFloat64())
		}
		b := newBorders(s, make([]sight, s.NX*s.NY))
		hidden, known := b.hides(panel{i0: 196, i1: 304, j0: 293, j1: 487})
		says(t, c.name+", hidden", hidden, c.hidden)
		says(t, c.name+", known", known, c.known)
	}
}
