package frame

import (
	"math"
	"testing"

	"quadrille/vision/lattice"
)

// surveyWith gives a survey of 8 × 8 boxes whose lines have the strengths that of tells, by family and place.
func surveyWith(of func(fam lattice.Family, k int) float64) (*Survey, *Frame) {
	x := lattice.Extent{Left: -4, Right: 4, Bottom: -4, Top: 4}
	s := &Survey{all: x}
	for fam := range lattice.Family(2) {
		t := &s.lines[fam]
		t.k0, t.k1, t.c0, t.c1 = x.Lines(fam)
		for k := t.k0; k <= t.k1; k++ {
			row := make([]float64, t.c1-t.c0)
			for i := range row {
				row[i] = of(fam, k)
			}
			t.strength = append(t.strength, row)
		}
	}
	return s, &Frame{Extent: x}
}

func TestEverySecondLineThatIsEmptyIsTold(t *testing.T) {
	for name, c := range map[string]struct {
		of   func(fam lattice.Family, k int) float64
		want float64
	}{
		"all alike":         {func(lattice.Family, int) float64 { return 0.5 }, 1},
		"strong rims":       {func(_ lattice.Family, k int) float64 { return 0.5 + math.Floor(math.Abs(float64(k))/4) }, 1},
		"upright half step": {func(fam lattice.Family, k int) float64 { return 0.5 * float64(1-int(1-fam)*(k&1)) }, 0},
		"level half step":   {func(fam lattice.Family, k int) float64 { return 0.5 * float64(1-int(fam)*(k&1)) }, 0},
	} {
		s, f := surveyWith(c.of)
		if got := s.EverySecond(f); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
	}
}
