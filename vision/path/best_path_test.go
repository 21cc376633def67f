package path

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/sheet"
)

// After an absence of half a box the place before it counts no more: going on costs what a jump does, six columns.
func TestHowLongAPlaceCounts(t *testing.T) {
	for _, c := range []struct {
		gap   int // columns, 0.02 box each
		taken bool
	}{{5, true}, {20, true}, {35, false}} {
		runs := make([][]Run, 500)
		for i := range runs {
			if i >= 100 && i < 200 || i >= 200+c.gap && i < 205+c.gap {
				runs[i] = []Run{{Lo: 300, Hi: 304, Peak: 1}}
			}
		}
		if got := bestPath(framed(), runs, 1).Seen(202 + c.gap); got != c.taken {
			t.Errorf("five columns after %d without the trace are taken: %v", c.gap, got)
		}
	}
}

// A bend costs less than half a column, however far it goes: a piece between two jumps, which cost twelve columns, is
// taken from thirteen columns on.
func TestWhatABendCosts(t *testing.T) {
	for _, c := range []struct {
		columns float64 // of evidence
		taken   bool
	}{{12.6, false}, {13, true}} {
		_, runs := levelPath(plainSheet(), 300)
		for i := range 13 {
			evidence := min(c.columns-float64(i), 1)
			runs[200+i] = []Run{{Lo: 600, Hi: 604, Peak: float32(fullEvidence * evidence)}}
		}
		if got := bestPath(framed(), runs, 1).Seen(205); got != c.taken {
			t.Errorf("a piece worth %g columns is taken: %v", c.columns, got)
		}
	}
}

// fullEvidence is the light, of the usual, from which a run is worth a column.
const fullEvidence = 0.5

// Where two traces of one colour cross, the one that goes straight on is the same, also where they cross so slowly
// that a step of a row comes only now and then, and soon after a bend.
func TestAPathGoesStraightOn(t *testing.T) {
	for _, slope := range []float64{0.4, 1, 4} { // rows a column
		for _, bent := range []float64{8, 1000} { // columns before the two meet
			runs, first := make([][]Run, 500), -bent-4/slope
			for i := range runs {
				up := int(math.Round(max(float64(i)-250, first) * slope))
				runs[i] = []Run{{Lo: 397 + up, Hi: 403 + up, Peak: 1}, {Lo: 397 - up, Hi: 403 - up, Peak: 1}}
				if up > -4 && up < 4 { // one stroke
					runs[i] = []Run{{Lo: 397 - max(up, -up), Hi: 403 + max(up, -up), Peak: 1}}
				}
			}
			p, away := bestPath(framed(), runs, 1), int(10/slope)+1
			if before, after := p.Runs[250-away], p.Runs[250+away]; (before.Lo > 397) == (after.Lo > 397) {
				t.Errorf("a slope of %g, %g columns after a bend: from %v to %v", slope, bent, before, after)
			}
		}
	}
}

// A second path that covers most of the width and hangs together is judged by its own light.
func TestWhichSecondPathHasItsOwnLight(t *testing.T) {
	for _, c := range []struct {
		name   string
		share  float64
		dashes int // one column of so many is absent; 0 for none
		own    bool
	}{
		{"all of the width", 1, 0, true},
		{"nine tenths", 0.9, 0, true},
		{"three quarters", 0.75, 0, false},
		{"a dashed line", 1, 10, false},
	} {
		s := quietOf(t, geom.Frame{Cols: 10, Rows: 8})
		_, runs := levelPath(s, 500)
		for i := range runs {
			if float64(i) < c.share*500 && (c.dashes == 0 || i%c.dashes > 0) {
				runs[i] = append(runs[i], Run{Lo: 298, Hi: 302, Peak: 0.45})
			}
		}
		w := &drawing{tint: sheet.Tint{1, 0, 0}, runs: runs, amount: 1}
		found := w.curves(s, newRulebook(nil), runs)
		if len(found) != 2 {
			t.Fatalf("%s: %d paths", c.name, len(found))
		}
		if got := found[1].Path.Amount < 1; got != c.own {
			t.Errorf("%s: judged by its own light: %v", c.name, got)
		}
	}
}

// Six traces of a photo are followed and no more.
func TestHowManyTracesAreFollowed(t *testing.T) {
	for _, c := range []struct{ found, kept int }{{5, 5}, {6, 6}, {9, 6}} {
		s := framed()
		var all []*Candidate
		for k := range c.found {
			all = append(all, &Candidate{Path: made(s, 0, 500, 5, atRow(100+50*float64(k))), Tint: sheet.Tint{1, float32(k), 0}})
		}
		if got := len(keep(nil, all, s, newRulebook(nil))); got != c.kept {
			t.Errorf("of %d paths %d are kept, want %d", c.found, got, c.kept)
		}
	}
}

// Of one ink four curves are looked for, one after the other, and as many as there are.
func TestHowManyTracesOfOneInkAreFollowed(t *testing.T) {
	for _, c := range []struct{ drawn, found int }{{1, 1}, {3, 3}, {4, 4}, {6, 4}} {
		s := quietOf(t, geom.Frame{Cols: 10, Rows: 8})
		runs := make([][]Run, 500)
		for i := range runs {
			for k := range c.drawn {
				runs[i] = append(runs[i], Run{Lo: 98 + 100*k, Hi: 102 + 100*k, Peak: 1})
			}
		}
		w := &drawing{tint: sheet.Tint{1, 0, 0}, runs: runs, amount: 1}
		if got := len(w.curves(s, newRulebook(nil), runs)); got != c.found {
			t.Errorf("of %d drawn %d are found, want %d", c.drawn, got, c.found)
		}
	}
}

// A stroke is stretched by its slope, which six columns tell: letters go up and down within twelve.
func TestOverWhatASlopeStretches(t *testing.T) {
	s := framed()
	p := made(s, 0, 500, 25, func(i int) float64 { return 300 + 10*math.Abs(float64(i%20)-10) }) // a slope of 5
	if thin := p.mannerOf(s, piece{start: 0, end: 499}).thin; thin < 4.5 || thin > 5.5 {
		t.Errorf("a stroke is thin by %.1f rows, want 4.9", thin)
	}
}
