package path

import (
	"fmt"
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
		{"strokes that go on at the corners", 200, 300, 300, 500, 1, func(score []float32, at func(i, j int) int) {
			for i := 301; i < 350; i++ {
				score[at(i, 300)], score[at(i, 500)] = 1, 1
			}
		}, false},
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
