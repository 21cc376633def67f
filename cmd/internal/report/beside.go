package report

import (
	"math"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// A besideRow is a reading and the trace at its time, in print. Apart says by how much one that is odd stands off the
// others, "" of one that is not.
type besideRow struct{ T, Reading, Trace, Difference, Zeta, Apart string }

// besideOf words the readings that were laid beside a trace, each column in one unit.
func besideOf(l *wire.Readings) (rows []besideRow) {
	if l == nil {
		return nil
	}
	var t, v, gap []float64
	for _, r := range l.Rows {
		t, v = append(t, float64(r.T)), append(v, float64(r.V), float64(r.Trace))
		gap = append(gap, float64(r.Difference), float64(r.DU))
	}
	times, volts, gaps := unit.ColumnOf("s", t...), unit.ColumnOf("V", v...), unit.ColumnOf("V", gap...)
	const digits, most = 4, 7
	for _, r := range l.Rows {
		row := besideRow{T: times.Plain(float64(r.T), digits, most),
			Reading: volts.Of(unit.Value{X: float64(r.V), U: float64(r.U), Unit: "V"})}
		if !r.U.Known() {
			row.Reading = volts.Plain(float64(r.V), digits, digits)
		}
		switch {
		case !r.Trace.Known():
			row.Trace = "not seen"
		case !r.DU.Known():
			row.Trace = volts.Plain(float64(r.Trace), digits, digits)
			row.Difference = gaps.Plain(float64(r.Difference), digits-1, digits-1)
		default:
			row.Trace = volts.Plain(float64(r.Trace), digits, digits)
			row.Difference = gaps.Of(unit.Value{X: float64(r.Difference), U: float64(r.DU), Unit: "V"})
			if row.Zeta = fixed(float64(r.Zeta), 1); math.Abs(float64(r.Zeta)) < 0.05 {
				row.Zeta = fixed(0, 1)
			}
		}
		if r.Odd {
			row.Apart = "stands apart"
			if z := math.Abs(float64(r.Apart)); r.Apart.Known() && z > 0 {
				row.Apart += " by " + fixed(z, 1)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

// besideSays explains the table of readings beside the trace.
func besideSays(rows []besideRow) string {
	says := "What reading and trace share, the instrument’s volts scale and time base, is taken off the difference. " +
		"zeta counts its standard uncertainties."
	for _, r := range rows {
		if r.Apart != "" {
			return says + " What stands apart lies off the median of all differences, by as many of the standard " +
				"uncertainties that are its own."
		}
	}
	return says
}

// readings writes the table of readings beside the trace.
func (t *page) readings(l *wire.Readings) {
	t.line("")
	head := "Readings of " + l.File + " beside the trace; ! stands apart, by so many of its own u from the median of all"
	for _, part := range wrap(head, t.width) {
		t.line(part)
	}
	row := func(mark, a, b, c, d, e string) {
		t.line(pad(mark, 2) + pad(a, 12) + pad(b, 14) + pad(c, 12) + pad(d, 18) + e)
	}
	row("", "time", "reading(u)", "trace", "difference(u)", "zeta")
	for _, r := range besideOf(l) {
		mark := ""
		if r.Apart != "" {
			mark = "!"
		}
		if t.width < maxWidth { // no room for columns
			t.item(pad(mark, 1), joinNonEmpty(", ", r.T, r.Reading, "trace "+r.Trace, r.Difference, r.Apart))
			continue
		}
		row(mark, r.T, r.Reading, r.Trace, r.Difference, pad(r.Zeta, 6)+strings.TrimPrefix(r.Apart, "stands apart "))
	}
}
