package path

import (
	"fmt"
	"math"
	"testing"

	"quadrille/vision/sheet"
)

// saw is a wave of so many rows' height, a box a tooth, about the middle of a display of 4 × 4 boxes.
func saw(high float64) func(i int) float64 {
	return func(i int) float64 { return 270 + high*(math.Mod(float64(i)/50, 1)-0.5) }
}

// torn rises so many rows a column, and jumps up or back down after so many columns.
func torn(columns int, jump, rise float64) func(i int) float64 {
	return func(i int) float64 { return 175 + jump*float64(i/columns%2) + rise*float64(i%columns) }
}

// light shows the runs of a path in the red channel, those of so many of ten columns.
func light(s *sheet.Sheet, p *Path, lit int) {
	for i, r := range p.Runs {
		if p.Seen(i) && i%10 < lit {
			for j := r.Lo; j <= r.Hi; j++ {
				s.Light[0][i*s.NY+j] = 1
			}
		}
	}
}

// redOf is a drawing in red of the runs of the paths.
func redOf(s *sheet.Sheet, paths ...*Path) *drawing {
	w := &drawing{tint: sheet.Tint{1, 0, 0}, runs: make([][]Run, s.NX), amount: 1}
	for i := range w.runs {
		for _, p := range paths {
			if p.Seen(i) {
				w.runs[i] = append(w.runs[i], p.Runs[i])
			}
		}
	}
	return w
}

// What is left over beside a level that was kept is a curve that is high, long and bright enough.
func TestWhatIsLeftOver(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to int // columns
		rows     int // of its runs
		at       func(i int) float64
		lit      int // of ten columns
		want     bool
	}{
		{"a saw of 1.2 boxes", 0, 200, 5, saw(120), 10, true},
		{"one as high as a letter", 0, 200, 5, saw(66), 10, false},
		{"one a little higher", 0, 200, 5, saw(86), 10, true},
		{"0.8 box of it", 50, 90, 5, saw(120), 10, false},
		{"1 box of it", 50, 100, 5, saw(120), 10, true},
		{"one of which two fifths stand out", 0, 200, 5, saw(120), 4, false},
		{"one of which three fifths do", 0, 200, 5, saw(120), 6, true},
		{"a level", 0, 200, 5, atRow(270), 10, false},
		{"what is torn every 0.16 box", 0, 200, 17, torn(8, 60, 15), 10, false},
		{"what is torn every 0.24 box", 0, 200, 17, torn(12, 120, 9), 10, true},
		{"a filled patch", 50, 100, 100, saw(20), 10, false},
	} {
		s := quiet(t)
		p, kept := made(s, c.from, c.to, c.rows, c.at), made(s, 0, s.NX, 5, atRow(70))
		light(s, p, c.lit)
		trace := &Candidate{Tint: sheet.Tint{1, 0, 0}, Path: kept}
		l := leftOver(s, newRulebook(nil), []*drawing{redOf(s, kept, p)}, []*Candidate{trace})
		says(t, c.name+", left over", l != nil, c.want)
		if l != nil && (l.From > c.from+10 || l.To < c.to-51 || l.Lo < 150 || l.Hi > 410) {
			t.Errorf("%s: columns %d to %d, rows %d to %d", c.name, l.From, l.To, l.Lo, l.Hi)
		}
	}
}

// Without a trace nothing is left over: the display is refused.
func TestNothingIsLeftOverWithoutATrace(t *testing.T) {
	s := quiet(t)
	p := made(s, 0, 200, 5, saw(120))
	light(s, p, 10)
	if l := leftOver(s, newRulebook(nil), []*drawing{redOf(s, p)}, nil); l != nil {
		t.Errorf("%+v", l)
	}
}

// A kept trace explains its stroke, what is beside it, and the edge over which it jumps.
func TestWhatATraceExplains(t *testing.T) {
	s := quiet(t)
	kept := made(s, 0, 100, 5, atRow(200)) // rows 198 to 202
	for i := 104; i < 150; i++ {
		kept.Runs[i] = Run{Lo: 298, Hi: 302, Peak: 1}
	}
	for _, c := range []struct {
		name     string
		column   int
		lo, hi   int
		explains bool
	}{
		{"its stroke", 50, 199, 201, true},
		{"0.1 box above it", 50, 212, 215, true},
		{"0.14 box above it", 50, 217, 220, false},
		{"0.1 box below it", 50, 180, 188, true},
		{"0.14 box below it", 50, 180, 183, false},
		{"the edge that it jumps over", 102, 230, 270, true},
		{"what is above its edge", 102, 320, 325, false},
		{"its height, two columns further", 151, 298, 302, true},
		{"its height, three columns further", 152, 298, 302, false},
	} {
		runs := make([][]Run, s.NX)
		runs[c.column] = []Run{{Lo: c.lo, Hi: c.hi, Peak: 1}}
		kept.explain(s, runs)
		says(t, c.name+" is explained", len(runs[c.column]) == 0, c.explains)
	}
}

// Low runs on a line are what is left of the line if there is more of it, and all runs of a column that an upright line
// has.
func TestWhatTheGraticuleExplains(t *testing.T) {
	s := quiet(t)
	line := s.Row(1)
	for _, c := range []struct {
		off, high, apart float64 // box
		ink              bool
	}{
		{0, 0.1, 0.3, true}, {0.04, 0.1, 0.3, true}, {0.08, 0.1, 0.3, false}, {-0.08, 0.1, 0.3, false},
		{0, 0.14, 0.3, true}, {0, 0.2, 0.3, false},
		{0, 0.1, 0.16, false}, {0, 0.1, 0.22, true}, {0, 0.1, 0.38, true}, {0, 0.1, 0.44, false},
	} {
		lo := int(math.Round(line + (c.off-c.high/2)*float64(s.Up)))
		w := redOf(s)
		for _, i := range []int{100, 100 + int(c.apart*float64(s.Across)+0.5)} {
			w.runs[i] = []Run{{Lo: lo, Hi: lo + int(c.high*float64(s.Up)+0.5) - 1, Peak: 1}}
		}
		says(t, fmt.Sprintf("%g box high, %g off a line, another %g beside: ink", c.high, c.off, c.apart),
			len(w.unexplained(s, newRulebook(nil), nil)[100]) == 0, c.ink)
	}
	for _, c := range []struct {
		rows int
		left int
	}{{200, 1}, {300, 0}} { // of 400
		w := redOf(s, made(s, 10, 11, c.rows, atRow(215)))
		if got := len(w.unexplained(s, newRulebook(nil), nil)[10]); got != c.left {
			t.Errorf("of a column with %d rows %d runs are left", c.rows, got)
		}
	}
}

// A lead is thicker than the traces and comes in over the upper or lower rim.
func TestALeadIsNotLeftOver(t *testing.T) {
	s := quiet(t)
	first, last := followed(s)
	kept := []*Candidate{{Path: made(s, 0, s.NX, 5, atRow(200))}}
	for _, c := range []struct {
		name   string
		thin   float64
		lo, hi int
		lead   bool
	}{
		{"thick, from the upper rim", 8, 200, last, true},
		{"thick, from the lower rim", 8, first, 200, true},
		{"thick, 0.12 box below the upper rim", 8, 200, last - 18, false},
		{"thick, 0.08 box below it", 8, 200, last - 14, true},
		{"as thin as a trace", 6, 200, last, false},
		{"thick, in the middle", 8, 150, 250, false},
	} {
		says(t, c.name+", a lead", leftPiece{thin: c.thin, lo: c.lo, hi: c.hi}.isLead(s, kept), c.lead)
	}
}
