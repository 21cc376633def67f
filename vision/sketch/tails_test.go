package sketch

import "testing"

// A curve that ends at an axis along which ink of its pen goes on for a square may go on there; ticks, letters and the
// axis's arrow are nothing of it.
func TestACurveMayGoOnAlongItsAxis(t *testing.T) {
	const per = 60
	for name, x := range map[string]struct {
		above float64    // squares, the curve's end above the axis
		ink   [4]float64 // squares: from, to along the axis, and from, to below it
		told  bool
	}{
		"a tail":                 {0.1, [4]float64{6, 7.3, 0.1, 0.2}, true},
		"a tail right behind it": {0.1, [4]float64{5.2, 6.5, -0.2, -0.1}, true},
		"a letter's foot":        {0.1, [4]float64{6, 6.8, 0.1, 0.2}, false},
		"words below":            {0.1, [4]float64{6, 8, 0.45, 0.6}, false},
		"the arrow":              {0.1, [4]float64{8.5, 10, 0.1, 0.2}, false},
		"a tail up to the arrow": {0.1, [4]float64{7.9, 9.2, 0.1, 0.2}, true},
		"a curve that ends high": {0.5, [4]float64{6, 7.3, 0.1, 0.2}, false},
		"one a little above":     {0.25, [4]float64{6, 7.3, 0.1, 0.2}, true},
	} {
		c := emptyCanvas(12*per, 8*per, per)
		row := 5 * per
		c.level = []line{{level: true, axis: true, from: per, to: 10 * per, a: float64(row), b: float64(row), half: 2}}
		at := func(squares float64) int { return int(squares * per) }
		c.fill(at(x.ink[0]), row+at(x.ink[2]), at(x.ink[1]), row+at(x.ink[3]))
		s := &stroke{half: 2}
		for i := range 4 * per {
			s.at = append(s.at, place{per + i, row - at(x.above) - 4*per + i})
		}
		if c.hidesInAxis(s); len(s.crossings) > 0 != x.told {
			t.Errorf("%s: %v", name, s.crossings)
		}
	}
}
