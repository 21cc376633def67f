package sketch

import "testing"

// axisCanvas is paper with a level axis five squares from the top and nothing left of it.
func axisCanvas(per int) (*canvas, line) {
	c := emptyCanvas(16*per, 8*per, per)
	l := line{level: true, axis: true, from: per / 2, to: 15 * per, a: 5 * float64(per), b: 5 * float64(per), half: 2}
	c.level = []line{l}
	for x := l.from; x <= l.to; x++ {
		for d := -3; d <= 3; d++ {
			c.axis[x*c.h+5*per+d] = true
		}
	}
	return c, l
}

// along gives the places from corner to corner: squares right and squares down from the last one.
func along(per int, from place, by ...[2]float64) (at []place) {
	for _, b := range by {
		to := place{from.x + int(b[0]*float64(per)), from.y + int(b[1]*float64(per))}
		at = append(at, straightTo(from, to)...)
		from = to
	}
	return append(at, from)
}

// What a way that runs along an axis goes round at a corner, within a letter's size and on the side where the curve has
// nothing else, is a figure.
func TestAFigureOnATickIsNoPartOfACurve(t *testing.T) {
	const per = 50
	decay := [][2]float64{{0.5, 1.5}, {1, 1}, {1.5, 0.5}} // three squares high, then the axis
	for name, x := range map[string]struct {
		by    [][2]float64
		parts int
	}{
		"round a figure":           {[][2]float64{{1, 0}, {0.1, 0.6}, {0.5, 0}, {0.1, -0.6}, {2, 0}}, 1},
		"into one at its end":      {[][2]float64{{1, 0}, {0.1, 0.6}, {0.3, 0}}, 1},
		"two of them":              {[][2]float64{{1, 0}, {0.1, 0.6}, {0.1, -0.6}, {1, 0}, {0.1, 0.5}, {0.1, -0.5}, {1, 0}}, 2},
		"up at once behind it":     {[][2]float64{{1, 0}, {0.1, 0.5}, {0.2, 0}, {0.1, -3}}, 1},
		"a curve that undershoots": {[][2]float64{{1, 0}, {0.4, 0.2}, {0.4, 0}, {0.4, -0.2}, {1, 0}}, 0},
		"a low level":              {[][2]float64{{1, 0}, {0.1, 0.5}, {2, 0}, {0.1, -0.5}, {1, 0}}, 0},
		"two figures":              {[][2]float64{{1, 0}, {0.1, 0.6}, {0.9, 0}, {0.1, -0.6}, {1, 0}}, 1},
		"a pulse":                  {[][2]float64{{1, 0}, {0.1, 2}, {0.3, 0}, {0.1, -2}, {1, 0}}, 0},
		"a pulse down":             {[][2]float64{{1, 0}, {0.1, 1.25}, {0.3, 0}, {0.1, -1.25}, {1, 0}}, 1},
		"beside the axis":          {[][2]float64{{1, 0}, {0, 0.12}, {0.5, 0}, {0, -0.12}, {1, 0}}, 0},
		"a mark":                   {[][2]float64{{1, 0}, {0, 0.2}, {0.5, 0}, {0, -0.2}, {1, 0}}, 1},
		"aslant":                   {[][2]float64{{1, 0}, {0.3, 0.5}, {0.3, -0.5}, {1, 0}}, 1},
	} {
		c, l := axisCanvas(per)
		at := along(per, place{per, 2 * per}, append(decay[:3:3], x.by...)...)
		if parts := c.labelsOf(at); len(parts) != x.parts {
			t.Errorf("%s: %v", name, parts)
		}
		for i := range at {
			at[i].y = 2*int(l.a) - at[i].y
		}
		if parts := c.labelsOf(at); len(parts) != x.parts {
			t.Errorf("%s, upside down: %v", name, parts)
		}
	}
	// Along the axis for less than a quarter of a square, it did not run along it.
	c, _ := axisCanvas(per)
	for long, parts := range map[float64]int{0.1: 0, 0.4: 1} {
		at := along(per, place{per, 2 * per}, [2]float64{0.1, 3}, [2]float64{long, 0}, [2]float64{0.1, 0.6}, [2]float64{0.4, 0}, [2]float64{0.1, -3.6})
		if got := c.labelsOf(at); len(got) != parts {
			t.Errorf("along it for %.1f squares: %v", long, got)
		}
	}
	// As high as half the curve it is the curve's.
	at := along(per, place{per, 4 * per}, [2]float64{1, 1}, [2]float64{1, 0}, [2]float64{0.1, 0.6},
		[2]float64{0.5, 0}, [2]float64{0.1, -0.6}, [2]float64{1, 0})
	if parts := c.labelsOf(at); len(parts) > 0 {
		t.Errorf("a low curve: %v", parts)
	}
}

// A way along a bare axis goes round none of the figures that stand on it.
func TestFiguresAlongAnAxisArePassed(t *testing.T) {
	const per = 50
	c, l := axisCanvas(per)
	row := int(l.a)
	c.fill(per, 2*per, per+5, row)
	for n := range 4 {
		x := 3*per + 2*n*per
		c.fill(x, row+4, x+5, row+30) // an arm on the axis, the foot, the other arm
		c.fill(x, row+27, x+40, row+32)
		c.fill(x+36, row+4, x+41, row+30)
	}
	c.fill(11*per, 3*per, 11*per+5, row)
	c.fill(11*per, 3*per, 13*per, 3*per+5)
	low := 0
	p := c.offLabels(0)
	for _, q := range p.at {
		low = max(low, q.y)
	}
	if p.at[len(p.at)-1].x < 12*per || low > row+8 {
		t.Errorf("from %v to %v, down to row %d", p.at[0], p.at[len(p.at)-1], low)
	}
}
