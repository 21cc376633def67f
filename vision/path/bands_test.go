package path

import "testing"

// Two traces of one ink, one above the other, are looked for each in its own rows; the two levels of one trace, pulses
// that reach through another trace, and words above or below a trace are not parted from it.
func TestTracesOneAboveTheOtherAreParted(t *testing.T) {
	s := framed() // 500 columns of 0.02 box
	at := func(j int) Run { return Run{Lo: j, Hi: j + 4, Peak: 1} }
	high := func(period, on int) func(i int) bool { return func(i int) bool { return i%period < on } }
	always := func(int) bool { return true }
	type stroke struct {
		row int
		on  func(i int) bool
	}
	not := func(f func(i int) bool) func(i int) bool { return func(i int) bool { return !f(i) } }
	in := func(first, last int, f func(i int) bool) func(i int) bool {
		return func(i int) bool { return i >= first && i < last && f(i) }
	}
	square, pulses := high(100, 50), high(50, 5)
	for _, c := range []struct {
		name    string
		strokes []stroke
		bands   int
	}{
		{"a level", []stroke{{300, always}}, 1},
		{"a square wave without edges", []stroke{{200, square}, {500, not(square)}}, 1},
		{"a square wave whose levels have a tenth in common", []stroke{{200, high(100, 55)}, {500, not(square)}}, 1},
		{"a square wave whose levels have a third in common", []stroke{{200, high(100, 65)}, {500, not(square)}}, 2},
		{"a fast square wave whose edges are blurred", []stroke{{200, high(40, 23)}, {500, func(i int) bool { return i%40 < 3 || i%40 >= 20 }}}, 1},
		{"a square wave above another", []stroke{{200, square}, {300, not(square)}, {500, high(80, 40)}, {600, not(high(80, 40))}}, 2},
		{"a level above a square wave", []stroke{{200, square}, {300, not(square)}, {500, always}}, 2},
		{"a trace over two fifths of the width above a level", []stroke{{200, always}, {300, in(0, 200, always)}}, 1},
		{"a trace over half of the width above a level", []stroke{{200, always}, {300, in(0, 250, always)}}, 2},
		{"levels that are too near", []stroke{{200, always}, {211, always}}, 1},
		{"levels that are near", []stroke{{200, always}, {220, always}}, 2},
		{"levels with specks between them", []stroke{{200, always}, {250, in(70, 72, always)}, {300, always}}, 2},
		{"pulses that reach through a level", []stroke{{200, not(pulses)}, {300, always}, {400, pulses}}, 1},
		{"wide pulses that reach through a level", []stroke{{200, always}, {300, always}, {400, high(50, 18)}}, 1},
		{"a step through a level", []stroke{{200, in(0, 400, always)}, {300, always}, {400, in(400, 500, always)}}, 1},
		{"a step through a dashed line", []stroke{{200, in(0, 400, always)}, {300, high(15, 9)}, {400, in(400, 500, always)}}, 1},
		{"a step through a dashed line, with specks", []stroke{{200, in(0, 400, always)}, {300, high(15, 9)}, {400, in(400, 500, always)},
			{480, in(250, 256, always)}}, 1},
		{"words above two levels", []stroke{{200, always}, {300, always}, {400, in(100, 360, high(10, 6))}}, 2},
		{"words above a level and half of one", []stroke{{200, always}, {300, in(240, 500, always)}, {400, in(20, 230, high(10, 6))}}, 2},
		{"a few letters above two levels", []stroke{{200, always}, {300, always}, {400, in(100, 200, high(10, 3))}}, 2},
	} {
		runs := make([][]Run, s.NX)
		for i := range runs {
			for _, k := range c.strokes {
				if k.on(i) {
					runs[i] = append(runs[i], at(k.row))
				}
			}
		}
		bands := bandsOf(s, runs)
		if len(bands) != c.bands {
			t.Errorf("%s: %d bands, want %d", c.name, len(bands), c.bands)
		}
		for i, rs := range runs {
			n := 0
			for _, b := range bands {
				n += len(b[i])
			}
			if n != len(rs) {
				t.Fatalf("%s: %d runs of column %d are in bands, want %d", c.name, n, i, len(rs))
			}
		}
	}
}
