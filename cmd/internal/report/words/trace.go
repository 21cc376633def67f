package words

import (
	"fmt"

	"quadrille/calibrate/remark"
)

const shorterTime = "A shorter time per box, with fewer cycles on the screen, gives a better trace."

var trace = map[remark.Kind]wording{
	"trace.leaves_top":    plain("The trace leaves the screen at the top: what lies above is not measured."),
	"trace.leaves_bottom": plain("The trace leaves the screen at the bottom: what lies below is not measured."),
	"trace.on_rim": plain("The trace lies along the rim of the screen: it may be the edge of the screen itself, and one side of it may be" +
		" hidden."),
	"trace.like_words": plain("What was followed looks like a line of words, and nothing else was found in its colour: check that it is a" +
		" trace."),
	"trace.changes_stroke": format("%.1f boxes from the left rim the trace jumps to another height and goes on with another thickness:"+
		" something else may have been taken for it on one side.", "x_from_left_box"),
	"trace.crests_only": plain("Only the crests of a fast wave are bright enough to be seen: the flanks between them are missing. " +
		shorterTime),
	"trace.mostly_hidden": plain("Less than half of the trace was seen: check that the right curve was followed."),
	"trace.fast_wave": plain("The trace is a thick band or a wave so fast that it is drawn in upright strokes: the middle of each was taken. " +
		shorterTime),
	"trace.thick_band": plain("The trace is a thick band: its middle was taken, and noise may hide small bends of it."),
	"trace.mark_without_trace": func(r remark.Remark) string {
		return fmt.Sprintf("The ground mark at the rim %s belongs to none of the traces that were found: perhaps another one is displayed that"+
			" was not seen. Look at the drawing of the traces.", fromCentre(r.Number("mark_box")))
	},
	"trace.left_over": format("From %.1f to %.1f boxes from the left rim something is drawn that belongs to none of the traces that were"+
		" found: perhaps another one is displayed that was not seen, or a part of this one. Look at the drawing of the traces.",
		"from_left_box", "to_left_box"),
	"trace.meets_another": plain("Another trace of the same colour comes near this one: check that the two were not mixed up where they" +
		" meet."),
	"trace.cut_above": format("The trace runs along the highest line of the screen for %.1f boxes, and its ground is not there: what lies"+
		" above may be cut off, so that its height is more than is measured.", "length_box"),
	"trace.cut_below": format("The trace runs along the lowest line of the screen for %.1f boxes, and its ground is not there: what lies"+
		" below may be cut off, so that its height is more than is measured.", "length_box"),
}
