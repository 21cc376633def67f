package graticule

import (
	"math"
	"testing"
)

// rows gives a survey of 8 × 8 boxes whose lines have the strengths that of tells, by family and place.
func rows(of func(fam family, k int) float64) (*survey, frame) {
	s := &survey{all: extent{-4, 4, -4, 4}}
	for fam := range family(2) {
		for k := -4; k <= 4; k++ {
			row := make([]float64, 9)
			for i := range row {
				row[i] = of(fam, k)
			}
			s.raw[fam] = append(s.raw[fam], row)
		}
	}
	f := frame{}
	f.extent = extent{-4, 4, -4, 4}
	return s, f
}

func TestALatticeWithEverySecondLineEmptyIsNone(t *testing.T) {
	for name, c := range map[string]struct {
		of   func(fam family, k int) float64
		want float64
	}{
		"all alike":         {func(family, int) float64 { return 0.5 }, 1},
		"strong rims":       {func(_ family, k int) float64 { return 0.5 + math.Floor(math.Abs(float64(k))/4) }, 1},
		"upright half step": {func(fam family, k int) float64 { return 0.5 * float64(1-int(1-fam)*(k&1)) }, 0},
		"level half step":   {func(fam family, k int) float64 { return 0.5 * float64(1-int(fam)*(k&1)) }, 0},
	} {
		s, f := rows(c.of)
		got := s.everySecond(f)
		if math.Abs(got-c.want) > 1e-12 {
			t.Errorf("%s: %v, want %v", name, got, c.want)
		}
		v := verdict{share: 1, second: got}
		if reason, hint := v.refusal(); (reason != "") != (c.want == 0) || (reason != "") != (hint != "") {
			t.Errorf("%s: refused with %q, %q", name, reason, hint)
		}
	}
}
