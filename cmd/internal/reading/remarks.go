package reading

import "quadrille/calibrate/remark"

// What a reading as a whole may be doubted for, and what is worth knowing of it. Traces go by their names.
const (
	// KindTurned notes that the photo was turned clockwise by turn_deg degrees, as its words say.
	KindTurned remark.Kind = "reading.turned"
	// KindWordsTurned doubts a photo whose words would be upright after a turn by turn_deg; try_deg is the whole turn to
	// ask for, 0 if one that was asked for is too much.
	KindWordsTurned remark.Kind = "reading.words_turned"
	// KindHigherThanWide and KindAsHighAsWide doubt a photo that may lie on its side, or note it where the camera told
	// which way is up.
	KindHigherThanWide remark.Kind = "reading.higher_than_wide"
	KindAsHighAsWide   remark.Kind = "reading.as_high_as_wide"
	// KindStanceUnknown notes that nothing told which way is up; noted says that the camera did.
	KindStanceUnknown remark.Kind = "reading.stance_unknown"

	// KindMayBePaper doubts that the photo shows a display: columns × rows squares of paper were found on it, more than
	// the grid has boxes. KindMayBeDisplay doubts that it shows paper: a display's grid of columns × rows boxes was
	// found on it.
	KindMayBePaper   remark.Kind = "reading.may_be_paper"
	KindMayBeDisplay remark.Kind = "reading.may_be_display"

	// KindNoTrace doubts a reading of the grid alone, with the reason and a hint.
	KindNoTrace remark.Kind = "reading.no_trace"
	// The next four tell which of count traces (traces: their names and colours) was read, and the other that comes
	// nearest: it is a level line, it lies along the rim, it stands out as much, or it stands out by share of
	// that.
	KindOthersAreLines     remark.Kind = "reading.others_are_lines"
	KindOtherAtRim         remark.Kind = "reading.other_at_rim"
	KindOtherAsProminent   remark.Kind = "reading.other_as_prominent"
	KindOtherLessProminent remark.Kind = "reading.other_less_prominent"
	// KindVoltsOfTraces notes of a photo with several traces that volts_v per box went to to_count of them (to: their
	// names and colours), and which ones have none of their own (without, the first of them next; "" if all have).
	KindVoltsOfTraces remark.Kind = "reading.volts_of_traces"
	// KindScalesUnknown doubts a trace that is in boxes, wholly or in part: whether volts, seconds or both are missing.
	KindScalesUnknown remark.Kind = "reading.scales_unknown"
	// KindSquaresUnscaled notes the same of a drawing on paper.
	KindSquaresUnscaled remark.Kind = "reading.squares_unscaled"
	// KindTraceNotWorkedOut doubts one of several traces, with the reason and a hint.
	KindTraceNotWorkedOut remark.Kind = "reading.trace_not_worked_out"

	// KindSettingFound notes a setting ("time per box" or "volts per box") that was found: size and u_size in boxes
	// against what was given of it ("frequency", "level" or "drive"; given, u_given) make it value, in s or V, which is
	// off by zeta standard uncertainties; the next step of instruments is off by next_zeta. limit is the relative limit
	// that was taken where nothing was said of how well it is known.
	KindSettingFound remark.Kind = "reading.setting_found"
	// KindSettingOffRow doubts one that is no step of instruments: value with u_value, and the nearest step next.
	KindSettingOffRow remark.Kind = "reading.setting_off_row"

	// KindReadingsBeginFound notes where the table's time 0 lies, begin_s after the left rim.
	KindReadingsBeginFound remark.Kind = "reading.readings_begin_found"
	// KindReadingsElsewhere doubts readings that would lie on the trace if their time 0 were at begin_s.
	KindReadingsElsewhere remark.Kind = "reading.readings_elsewhere"
	// KindReadingsNeedScales doubts readings that could not be laid beside a trace in boxes.
	KindReadingsNeedScales remark.Kind = "reading.readings_need_scales"
	// KindReadingsNotWorkedOut notes why the readings alone gave nothing.
	KindReadingsNotWorkedOut remark.Kind = "reading.readings_not_worked_out"
)
