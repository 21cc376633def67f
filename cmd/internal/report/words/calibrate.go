package words

import (
	"fmt"
	"math"

	"quadrille/calibrate/remark"
)

const sayGround = "Say where ground is (bottom, centre, or boxes from the centre)."

var calibrate = map[remark.Kind]wording{
	"calibrate.ground_off_grid": func(r remark.Remark) string {
		return fmt.Sprintf("The ground line was given as %s, but the grid that was found, %d × %d boxes, ends %g boxes from it. Perhaps rows"+
			" of the grid were missed, or the photo lies on its side: look at the grid's drawing, and give the count with --boxes or the turn"+
			" with --turn. If the grid is right, the ground line is not; all voltages from ground rest on it.",
			fromCentre(r.Number("ground_box")), r.Count("columns"), r.Count("rows"), r.Number("reach_box"))
	},
	"calibrate.ground_against_pointer": func(r remark.Remark) string {
		return fmt.Sprintf("The ground line was given as %s, but the mark at the rim points off the screen: ground lies %s it, and all"+
			" voltages from ground are off.", fromCentre(r.Number("ground_box")), r.Word("side"))
	},
	"calibrate.ground_against_mark": func(r remark.Remark) string {
		given, mark := r.Number("ground_box"), r.Number("mark_box")
		return fmt.Sprintf("The ground line was given as %s, but the mark at the rim stands %s. If the mark is the trace's own, ground was"+
			" given wrongly, and all voltages are off by %.2f boxes.", fromCentre(given), fromCentre(mark), math.Abs(mark-given))
	},
	"calibrate.ground_mark_unclear": func(r remark.Remark) string {
		ground, other := r.Number("ground_box"), r.Number("other_box")
		s := fmt.Sprintf("Two marks at the rim may be this trace's. Ground was taken %s; ", fromCentre(ground))
		if math.IsInf(other, 0) {
			return s + "the other mark points off the screen, and all voltages from ground are off if that is the one. " + sayGround
		}
		return s + fmt.Sprintf("the other mark stands %s, and all voltages from ground are off by %.2f boxes if that is the one. %s",
			fromCentre(other), math.Abs(other-ground), sayGround)
	},
	"calibrate.ground_mark_shared": func(r remark.Remark) string {
		mark := "The mark at the rim that points off the screen"
		if at := r.Number("mark_box"); !math.IsInf(at, 0) {
			mark = "The mark at the rim " + fromCentre(at)
		}
		return mark + " may be this trace's or another's, so ground was not taken from it: all voltages from ground are off if it is" +
			" this trace's. " + sayGround
	},
	"calibrate.ground_mark_missed": plain("No ground mark was found at the rim, though such displays show one. Volts are counted from the centre" +
		" line, and their uncertainty allows for ground anywhere on the screen; differences of voltage do not suffer. " + sayGround),
	"calibrate.ground_off_screen": format("The mark at the rim points off the screen: ground lies %s it, by how much is not to be seen, so"+
		" volts are counted from the rim: differences of voltage hold, voltages from ground do not. If the instrument tells where its zero is,"+
		" give that in boxes from the centre.", "side"),
	"calibrate.ground_at_rest": func(r remark.Remark) string {
		return fmt.Sprintf("No ground mark was found at the rim. Volts are counted from where the trace rests at its lowest, %.1f boxes long and"+
			" %s, which is ground only if the signal is 0 V there. %s", r.Number("length_box"), fromCentre(r.Number("ground_box")), sayGround)
	},
	"calibrate.ground_unknown": plain("No ground mark was found at the rim, so volts are counted from the centre line, and their uncertainty" +
		" allows for ground anywhere on the screen. Differences of voltage do not suffer. " + sayGround),
	"calibrate.axis_unknown": plain("No level axis was found that belongs to the curve, so volts are counted from the centre of the squares" +
		" found, and their uncertainty allows for ground anywhere on them. Differences of voltage do not suffer. " + sayGround),
	"calibrate.probe_unusual": format("All voltages were multiplied by the probe factor %g, but probes usually divide by 10, 100 or 1000.", "factor"),

	"calibrate.table_without_head": plain("The table has no head, so the first column was taken for the time in seconds and the second for the" +
		" voltage in volts. Put a line such as t_s,v_V above the numbers."),
	"calibrate.table_unit_guessed": format("The head does not say the unit of the %s in the column %q: it was taken to be in %s.", "of", "column", "unit"),
	"calibrate.readings_without_uncertainty": format("%d readings have no uncertainty beside them, the first in line %d: they were not used.",
		"readings", "first_line"),
	"calibrate.table_columns": func(r remark.Remark) string {
		s := fmt.Sprintf("Of the table, the column %q is the time and %q the voltage", r.Word("time"), r.Word("voltage"))
		if r.Has("u_time") {
			s += fmt.Sprintf(", %q the uncertainty of the time", r.Word("u_time"))
		}
		if r.Has("u_voltage") {
			s += fmt.Sprintf(", %q the uncertainty of the voltage (one standard deviation)", r.Word("u_voltage"))
		}
		switch n := r.Count("lines_above"); {
		case n == 1:
			s += "; the line above the head was left aside"
		case n > 1:
			s += fmt.Sprintf("; the %d lines above the head were left aside", n)
		}
		return s + "."
	},
	"calibrate.table_zero_unstated": plain("Nothing is said of how far the table's 0 V may lie off ground, so voltages hold from the table's own" +
		" 0 V; say it with --zero-accuracy."),
	"calibrate.table_from_photo": plain("The table has columns in boxes, so it was made from a photo: the fit of the photo's graticule moves all its" +
		" points together, which a table cannot tell and the uncertainties here leave out."),
	"calibrate.table_voltages": format("The table has the voltages %s; the first was used. Another is chosen by its name, with --column.", "columns"),
}
