package report

import (
	"math"

	"quadrille/cmd/internal/wire"
)

// A besideRow is a reading and the trace at its time, in print.
type besideRow struct {
	T, Reading, Trace, Difference, Zeta string
	Odd                                 bool
}

// besideOf words the readings that were laid beside a trace.
func besideOf(l *wire.Readings) (rows []besideRow) {
	if l == nil {
		return nil
	}
	for _, r := range l.Rows {
		row := besideRow{T: plain(r.T, "s", 4), Reading: measured(r.V, r.U, "V"), Odd: r.Odd}
		if !r.U.Known() {
			row.Reading = plain(r.V, "V", 4)
		}
		switch {
		case !r.Trace.Known():
			row.Trace = "not seen"
		case !r.DU.Known():
			row.Trace, row.Difference = plain(r.Trace, "V", 4), plain(r.Difference, "V", 3)
		default:
			row.Trace, row.Difference, row.Zeta = plain(r.Trace, "V", 4), measured(r.Difference, r.DU, "V"), fixed(float64(r.Zeta), 1)
			if math.Abs(float64(r.Zeta)) < 0.05 {
				row.Zeta = fixed(0, 1)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// readings writes the table of readings beside the trace.
func (t *page) readings(l *wire.Readings) {
	t.line("")
	for _, part := range wrap("Readings of "+l.File+" beside the trace; ! stands apart from the others", t.width) {
		t.line(part)
	}
	row := func(mark, a, b, c, d, e string) {
		t.line(pad(mark, 2) + pad(a, 12) + pad(b, 14) + pad(c, 12) + pad(d, 18) + e)
	}
	row("", "time", "reading(u)", "trace", "difference(u)", "zeta")
	for _, r := range besideOf(l) {
		mark := ""
		if r.Odd {
			mark = "!"
		}
		if t.width < maxWidth { // no room for columns
			t.item(pad(mark, 1), joinNonEmpty(", ", r.T, r.Reading, "trace "+r.Trace, r.Difference))
			continue
		}
		row(mark, r.T, r.Reading, r.Trace, r.Difference, r.Zeta)
	}
}
