package calibrate

import "quadrille/calibrate/remark"

// What a record may be doubted for, and what is worth knowing of it. Places are in boxes from the centre, up.
const (
	// KindGroundOffGrid doubts a ground line given beyond the grid: ground_box, columns, rows, and reach_box, how far
	// the grid reaches from its centre.
	KindGroundOffGrid remark.Kind = "calibrate.ground_off_grid"
	// KindGroundAgainstPointer doubts a ground line given on a screen (ground_box) whose mark points off it, to a side:
	// "above" or "below".
	KindGroundAgainstPointer remark.Kind = "calibrate.ground_against_pointer"
	// KindGroundAgainstMark doubts a ground line given (ground_box) elsewhere than the mark at the rim (mark_box).
	KindGroundAgainstMark remark.Kind = "calibrate.ground_against_mark"
	// KindAxisUnknown says that no level axis is drawn that belongs to a curve on paper, and that ground is not known.
	KindAxisUnknown remark.Kind = "calibrate.axis_unknown"
	// KindGroundMarkUnclear doubts which of two marks at the rim is the trace's: that taken, at ground_box, or that at
	// other_box, ±Inf if it points off the screen.
	KindGroundMarkUnclear remark.Kind = "calibrate.ground_mark_unclear"
	// KindGroundMarkShared doubts whose the mark at mark_box is: this trace's or another's. Ground was not taken from it.
	KindGroundMarkShared remark.Kind = "calibrate.ground_mark_shared"
	// KindGroundMarkMissed doubts voltages counted from the centre line of a display that surely shows a mark: none was
	// seen.
	KindGroundMarkMissed remark.Kind = "calibrate.ground_mark_missed"
	// KindGroundOffScreen notes that voltages are counted from the rim, since ground lies beyond it on a side.
	KindGroundOffScreen remark.Kind = "calibrate.ground_off_screen"
	// KindGroundAtRest doubts voltages counted from where the trace rests (ground_box, length_box).
	KindGroundAtRest remark.Kind = "calibrate.ground_at_rest"
	// KindGroundUnknown notes that volts are counted from the centre line, for want of anything better, on a display that
	// may have no marks.
	KindGroundUnknown remark.Kind = "calibrate.ground_unknown"
	// KindProbeUnusual doubts the attenuation of a probe, factor.
	KindProbeUnusual remark.Kind = "calibrate.probe_unusual"

	// KindTableWithoutHead doubts which column is what.
	KindTableWithoutHead remark.Kind = "calibrate.table_without_head"
	// KindTableUnitGuessed doubts the unit ("seconds" or "volts") of a column, of "time" or "voltage".
	KindTableUnitGuessed remark.Kind = "calibrate.table_unit_guessed"
	// KindReadingsWithoutU doubts a table of which some readings were left out, the first of them in first_line.
	KindReadingsWithoutU remark.Kind = "calibrate.readings_without_uncertainty"
	// KindTableColumns notes which column is time, voltage and, if there are such, u_time and u_voltage, and how many
	// lines_above the head were left aside.
	KindTableColumns remark.Kind = "calibrate.table_columns"
	// KindTableZeroUnstated notes that a table's 0 V may be off ground.
	KindTableZeroUnstated remark.Kind = "calibrate.table_zero_unstated"
	// KindTableFromPhoto notes that a table was made from a photo, whose fit moves all its points together.
	KindTableFromPhoto remark.Kind = "calibrate.table_from_photo"
	// KindTableVoltages notes that the first of several columns was used.
	KindTableVoltages remark.Kind = "calibrate.table_voltages"
)
