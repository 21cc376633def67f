package path

import (
	"testing"

	"quadrille/vision/sheet"
)

// The crests of a fast wave stand by turns in two level rows, evenly spaced and a box and more apart.
func TestWhatStandsInTwoRows(t *testing.T) {
	for _, c := range []struct {
		name   string
		count  int
		height int // rows, 0.01 box each
		spread int // rows, of every second crest of a row
		uneven int // columns, by which every third distance is more than ten
		same   int // one of so many crests is on the side of the one before; 0 for none
		want   bool
	}{
		{"a fast wave", 40, 200, 0, 0, 0, true},
		{"16 crests", 16, 200, 0, 0, 0, false},
		{"26 crests", 26, 200, 0, 0, 0, true},
		{"0.7 box high", 40, 70, 0, 0, 0, false},
		{"1.4 boxes high", 40, 140, 0, 0, 0, true},
		{"heights that differ by a thirtieth", 40, 200, 7, 0, 0, true},
		{"by a thirteenth", 40, 200, 15, 0, 0, false},
		{"distances that differ by a half", 40, 200, 0, 5, 0, true},
		{"by nine tenths", 40, 200, 0, 9, 0, false},
		{"every fifth on the same side", 60, 200, 0, 0, 5, true},
		{"every other on the same side", 60, 200, 0, 0, 2, false},
	} {
		var all []crest
		column := 0
		for k := range c.count {
			column += 10 + k%3/2*c.uneven
			side := k
			if c.same > 0 {
				side -= k / c.same
			}
			all = append(all, crest{column: column, row: 300 + side%2*c.height + k/2%2*c.spread})
		}
		says(t, c.name+" stands in two rows", inTwoRows(all, plainSheet()), c.want)
	}
}

// A crest is taken where its columns have nearly the light of its brightest, as high as they have half of their own;
// dim flanks between are no crests, and a column or two without a run do not part one.
func TestWhatACrestIs(t *testing.T) {
	const period = 16
	for _, c := range []struct {
		name    string
		columns [5]float32 // light of a crest's columns; 0 for none
		flank   float32    // of a column half way between
		found   bool
		taken   [5]bool
	}{
		{"a crest", [5]float32{0.3, 0.8, 1, 0.95, 0.3}, 0, true, [5]bool{false, false, true, true, false}},
		{"two columns without a run", [5]float32{0.9, 0, 0, 1, 0.9}, 0, true, [5]bool{true, false, false, true, true}},
		{"dim flanks", [5]float32{0.3, 0.95, 1, 0.95, 0.3}, 0.35, true, [5]bool{false, true, true, true, false}},
		{"bright flanks", [5]float32{0.3, 0.95, 1, 0.95, 0.3}, 0.7, false, [5]bool{}},
		{"crests that are dimmer than usual", [5]float32{0.3, 0.75, 0.8, 0.75, 0.3}, 0, true, [5]bool{false, true, true, true, false}},
	} {
		s := plainSheet()
		w := &drawing{tint: sheet.Tint{1, 0, 0}, score: make([]float32, s.NX*s.NY), runs: make([][]Run, s.NX), amount: 1}
		put := func(i, j int, light float32) {
			if light == 0 {
				return
			}
			for o, share := range []float32{0.4, 0.6, 1, 0.6, 0.4} {
				w.score[i*s.NY+j-2+o] = share * light
			}
			w.runs[i] = []Run{{Lo: j - 2, Hi: j + 2, Peak: light}}
		}
		for k := range 30 {
			for o, light := range c.columns {
				put(k*period+o, 300+k%2*200, light)
			}
			put(k*period+period/2+2, 400, c.flank)
		}
		p := w.crestsOf(s)
		says(t, c.name+" is found", p != nil, c.found)
		if p == nil {
			continue
		}
		for o, want := range c.taken {
			says(t, c.name+": a column is taken", p.Seen(10*period+o), want)
			if r := p.Runs[10*period+o]; want && (r.Lo != 299 || r.Hi != 301) {
				t.Errorf("%s: its run is %v", c.name, r)
			}
		}
	}
}
