package sketch

import (
	"math"
	"slices"
	"testing"

	"quadrille/vision/geom"
)

// square is a square wave between low and high, with edges at these places that lean by so much; a hand's swings are on
// its levels.
func square(per, low, high, lean, swing float64, edges ...float64) *stroke {
	at := []geom.Box{{X: 1, Y: high}}
	y := high
	for _, x := range append(edges, 15) {
		for u := at[len(at)-1].X + 0.1; u < x-0.05; u += 0.1 {
			at = append(at, geom.Box{X: u, Y: y + swing*math.Sin(6*u)})
		}
		if x < 15 {
			at = append(at, geom.Box{X: x, Y: y}, geom.Box{X: x + lean, Y: low + high - y})
			y = low + high - y
		}
	}
	return drawn(per, at...)
}

// Two waves of one pen that run together on a common level, and up a common edge, are told by the heights that each had
// before: of square waves one is enough, of a sine's crests two. Of crests that shrink nothing is told.
func TestEachWaveKeepsItsLevels(t *testing.T) {
	const per = 60
	swap := func(a, b *stroke, x float64) (p, q *stroke) {
		i := slices.IndexFunc(a.at, func(p place) bool { return p.x >= int(x*per) })
		j := slices.IndexFunc(b.at, func(p place) bool { return p.x >= int(x*per) })
		p, q = &stroke{half: 1}, &stroke{half: 1}
		p.at, q.at = append(append(p.at, a.at[:i]...), b.at[j:]...), append(append(q.at, b.at[:j]...), a.at[i:]...)
		return p, q
	}
	sine := func(high, period, shrink float64) *stroke {
		return curve(per, 1, 15, func(x float64) float64 {
			return 10 + high*math.Exp(-shrink*(x-8))*math.Sin(2*math.Pi*(x-8)/period)
		})
	}
	for name, x := range map[string]struct {
		a, b  *stroke
		at    float64 // where they run together
		clear bool
	}{
		"square waves": {square(per, 3, 9, 0.02, 0, 4, 7, 10, 13), square(per, 3, 6, 0.02, 0, 3, 7, 8.5), 6.5, true},
		"of a shaky hand, with leaning edges": {
			square(per, 3, 9, 0.2, 0.06, 4, 7, 8.2, 13), square(per, 3, 6, 0.2, 0.06, 3, 7, 8.2), 6.5, true},
		"whose levels are near to each other": {
			square(per, 3, 6.3, 0.02, 0, 4, 7, 10, 13), square(per, 3, 6, 0.02, 0, 3, 7, 8.5), 6.5, true},
		"whose levels are one": {
			square(per, 3, 6.12, 0.02, 0, 4, 7, 10, 13), square(per, 3, 6, 0.02, 0, 3, 7, 8.5), 6.5, false},
		"of short levels": {
			square(per, 3, 9, 0.02, 0, 1.6, 7, 7.6, 13), square(per, 3, 6, 0.02, 0, 2.2, 7, 8.5), 6.5, true},
		"low ones": {
			square(per, 3, 4, 0.02, 0, 4, 7, 10, 13), square(per, 3, 4.6, 0.02, 0, 3, 7, 8.5), 6.5, true},
		"sines with a common flank": {sine(2.5, 5, 0), sine(1.5, 3, 0), 8, true},
		"sines that shrink":         {sine(2.5, 5, 0.1), sine(1.5, 3, 0.1), 8, false},
	} {
		for _, exchanged := range []bool{false, true} {
			a, b := x.a, x.b
			if exchanged {
				a, b = swap(a, b, x.at)
			}
			p, q := &stroke{half: 1}, &stroke{half: 1}
			p.at, q.at = append(p.at, a.at...), append(q.at, b.at...)
			got, _ := met(paperWith(per, p, q), p, q)
			clear := true
			for _, m := range p.crossings {
				clear = clear && (m.clear || math.Abs(float64(m.x)/per-x.at) > 1.5)
			}
			if clear != x.clear || len(p.crossings) == 0 || x.clear && got != exchanged {
				t.Errorf("%s, exchanged %v: exchanged back %v, clear %v, meetings %v", name, exchanged, got, clear, p.crossings)
			}
		}
	}
}

// A level is a height from which a stroke goes away on both sides. It is one between corners if it is as wide a little
// further away from it, and wide enough for that to be seen.
func TestALevelIsBetweenCorners(t *testing.T) {
	const per = 60
	c := emptyCanvas(1, 1, per)
	// A stroke that rises, stays for a while and falls; how far its edges lean for each square that they rise.
	for name, x := range map[string]struct {
		high, wide, lean float64
		levels           int
		flat             bool
	}{
		"a square wave":            {high: 3, wide: 2, lean: 0.02, levels: 1, flat: true},
		"a step":                   {high: 0.5, wide: 2, lean: 0.02, levels: 0},
		"a low wave":               {high: 1, wide: 2, lean: 0.02, levels: 1, flat: true},
		"a short level":            {high: 3, wide: 0.5, lean: 0.02, levels: 1, flat: true},
		"too short a level":        {high: 3, wide: 0.3, lean: 0.02, levels: 1},
		"edges that lean":          {high: 3, wide: 1, lean: 0.35, levels: 1, flat: true},
		"edges that lean too much": {high: 3, wide: 1, lean: 1, levels: 1},
	} {
		w := x.lean * x.high
		s := drawn(per, geom.Box{X: 5 - x.wide/2 - w, Y: 5}, geom.Box{X: 5 - x.wide/2, Y: 5 + x.high},
			geom.Box{X: 5 + x.wide/2, Y: 5 + x.high}, geom.Box{X: 5 + x.wide/2 + w, Y: 5})
		got := c.levelsOf(s.at)
		if len(got) > 0 && got[0].y > 15*per-per/4 {
			got = got[1:] // it stays at its begin
		}
		if len(got) != x.levels || x.levels > 0 && got[0].flat != x.flat {
			t.Errorf("%s: %v", name, got)
		}
	}
}
