package path

// What is a level line, and which are cursors.

import (
	"fmt"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/sheet"
)

func TestWhatIsALevelLine(t *testing.T) {
	s := quietOf(t, geom.Frame{Cols: 10, Rows: 8})
	swinging := func(rows float64) *Path {
		return made(s, 0, 500, 5, func(i int) float64 { return 300 + rows*float64(i%2) })
	}
	says(t, "within 0.02 box, a line", swinging(2).isLine(s), true)
	says(t, "within 0.04 box, a line", swinging(4).isLine(s), false)
	says(t, "over 98 % of the width, a line", made(s, 0, 490, 5, atRow(300)).isLine(s), true)
	says(t, "over 95 % of the width, a line", made(s, 0, 475, 5, atRow(300)).isLine(s), false)
	crossed := made(s, 0, 475, 5, atRow(500))
	for i := 475; i < 500; i++ {
		s.Light[0][i*s.NY+500] = 1
	}
	says(t, "over 95 % of the width, and crossed beyond, a line", crossed.isLine(s), true)
	for _, c := range []struct {
		dash, gap    int // columns of 0.02 boxes
		line, dashed bool
	}{{4, 6, true, true}, {8, 9, false, true}, {2, 4, false, true}, {6, 2, true, true}, {9, 1, true, false}} {
		p := made(s, 0, 500, 5, atRow(300))
		for i := range p.Runs {
			if i%(c.dash+c.gap) >= c.dash {
				p.Runs[i] = absent
			}
		}
		says(t, fmt.Sprintf("dashes of %d columns, %d apart, a line", c.dash, c.gap), p.isLine(s), c.line)
		says(t, fmt.Sprintf("dashes of %d columns, %d apart, dashed", c.dash, c.gap), p.isDashed(), c.dashed)
	}
}

// A level line is a cursor if it is dashed, one of two, or has the colour of a trace where traces have their own.
func TestWhichLevelLinesAreCursors(t *testing.T) {
	s := framed()
	red, blue := sheet.Tint{1, 0, 0}, sheet.Tint{0, 0, 1} // the graticule's ink is blue
	curve := func(d sheet.Tint) *Candidate {
		return &Candidate{Tint: d, hued: d != blue, Path: made(s, 0, s.NX, 5, atRow(300))}
	}
	line := func(d sheet.Tint) *Candidate {
		return &Candidate{Tint: d, hued: d != blue, Path: made(s, 0, s.NX, 5, atRow(100)), Line: true}
	}
	says(t, "a line in a colour of its own, a cursor", isCursor(line(red), s, []*Candidate{curve(sheet.Tint{0, 1, 0})}), false)
	says(t, "a line in the trace's colour, a cursor", isCursor(line(red), s, []*Candidate{curve(red)}), true)
	engraved := framed()
	engraved.Lines.Engraved = true
	says(t, "a line in the trace's colour before an engraved graticule, a cursor", isCursor(line(red), engraved, []*Candidate{curve(red)}), false)
	says(t, "a line in the ink of all, a cursor", isCursor(line(blue), s, []*Candidate{curve(blue)}), false)
	says(t, "a line beside another, a cursor", isCursor(line(red), s, []*Candidate{line(red)}), false)
	says(t, "a curve, a cursor", isCursor(curve(red), s, []*Candidate{curve(red)}), false)
	all := []*Candidate{curve(blue), line(blue), line(blue), line(red)}
	keep(nil, all, s, newRulebook(nil))
	says(t, "one of two lines, a cursor", isCursor(all[1], s, all[:1]), true)
	says(t, "a line beside one of another colour, a cursor", isCursor(all[3], s, all[:1]), false)
}
