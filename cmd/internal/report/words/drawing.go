package words

import (
	"fmt"
	"math"
	"strings"

	"quadrille/calibrate/remark"
)

// What is said of the one slip that brings the trace onto a drawing.
var slips = map[remark.Kind]wording{
	"drawing.shifted_up": func(r remark.Remark) string {
		return fmt.Sprintf("All of the drawing lies %s.", higher(r.Number("up_box")))
	},
	"drawing.shifted_right": func(r remark.Remark) string {
		if right := r.Number("right_box"); right < 0 {
			return fmt.Sprintf("All of the drawing lies %.2f box too far to the left: everything comes too early.", -right)
		}
		return fmt.Sprintf("All of the drawing lies %.2f box too far to the right: everything comes too late.", r.Number("right_box"))
	},
	"drawing.start": func(r remark.Remark) string { return fmt.Sprintf("The drawing begins %s.", higher(r.Number("up_box"))) },
	"drawing.end": func(r remark.Remark) string {
		return fmt.Sprintf("The drawing comes to rest %s.", higher(r.Number("up_box")))
	},
	"drawing.tau": func(r remark.Remark) string {
		f := r.Number("factor")
		says := "The drawing decays too slowly"
		if f < 1 {
			says = "The drawing decays too fast"
		}
		says += fmt.Sprintf(": its time constant is %s", tooLong(f))
		if half, drawn := r.Number("half_box"), r.Number("half_drawn_box"); !math.IsNaN(half + drawn) {
			says += fmt.Sprintf(". It should be half way down or up at %.1f boxes from the left rim, and is so at %.1f", half, drawn)
		}
		return says + "."
	},
	"drawing.stretched": func(r remark.Remark) string {
		f := r.Number("factor")
		return fmt.Sprintf("The drawing is %s: what lies 5 boxes from the left rim on the screen is drawn at %.1f.", tooLong(f), 5*f)
	},
	"drawing.height": func(r remark.Remark) string {
		f := r.Number("factor")
		if f < 1 {
			return fmt.Sprintf("The drawing swings too little, to %.0f %% of the height on the screen.", 100*f)
		}
		return fmt.Sprintf("The drawing swings too far, to %.0f %% of the height on the screen.", 100*f)
	},
}

// What is said of a drawing that is held against the trace. Boxes are given to a tenth where a person counts them along
// the screen, and to a hundredth where it is said how far off something is.
var drawing = joined(slips, map[remark.Kind]wording{
	"drawing.within": func(r remark.Remark) string {
		says := fmt.Sprintf("nowhere is it more than %.2f box off, and %g box is allowed.", r.Number("largest_box"), r.Number("tolerance_box"))
		if r.Has("ground_up_box") {
			return fmt.Sprintf("With its level axis as the ground line, %.2f box above the lowest line of the screen, the drawing agrees with the screen: %s",
				r.Number("ground_up_box"), says)
		}
		if !r.Has("corner_x_squares") {
			return "The drawing agrees with the screen: " + says
		}
		return fmt.Sprintf("Laid where it fits best, the screen's bottom-left corner at %s, the drawing agrees with the screen: %s"+
			" No axes were found that tell that it lies there: %s would not be seen.", cornerAt(r), says, unseenShift(r))
	},
	"drawing.assumed": func(r remark.Remark) string {
		return fmt.Sprintf("All this holds if the screen's bottom-left corner is at %s, where the drawing fits best. No axes were found that tell that.", cornerAt(r))
	},
	"drawing.departs": func(r remark.Remark) string {
		at := fmt.Sprintf("At %.1f boxes from the left rim", r.Number("x_box"))
		if r.Has("time_s") {
			at += " (" + engineering(r, "time_s", 3, "s") + ")"
		}
		if r.Flag("most") {
			return at + " it departs most: it " + offAt(r) + "."
		}
		return at + " the drawing " + offAt(r) + "."
	},
	"drawing.lacks": format("From %.1f to %.1f boxes from the left rim the drawing passes by what the screen shows.", "from_box", "to_box"),
	"drawing.missing": func(r remark.Remark) string {
		from, to := r.Number("from_box"), r.Number("to_box")
		const atRim = 0.3 // box: nobody says where the rim begins
		switch {
		case from < atRim:
			return fmt.Sprintf("Nothing is drawn before %.1f boxes from the left rim.", to)
		case to > r.Number("width_box")-atRim:
			return fmt.Sprintf("Nothing is drawn after %.1f boxes from the left rim.", from)
		}
		return fmt.Sprintf("Nothing is drawn from %.1f to %.1f boxes from the left rim.", from, to)
	},
	"drawing.not_alike": format("The drawing and the trace have little in common: they lie %.1f box apart in the mean, whatever one shift or"+
		" stretch is taken off. Look at the picture: perhaps it is a drawing of another screen, or something else on the paper was followed.", "mean_box"),
	"drawing.other_placement": func(r remark.Remark) string {
		then := "then the drawing has none of these faults."
		if say := slips[remark.Kind(r.Word("slip"))]; say != nil {
			then = "then this is what is wrong: " + say(r)
		}
		return fmt.Sprintf("Where the screen lies on the paper is not sure. Its bottom-left corner may also be at %s, with %g to a box; %s"+
			" Draw the axes or the frame of the screen, or say with --origin and --squares-per-box how it was drawn.",
			cornerAt(r), r.Number("squares_per_box"), then)
	},
	"drawing.no_axes": func(r remark.Remark) string {
		return fmt.Sprintf("No axes were found that tell where the screen lies on the paper, so it was laid where the drawing fits best: %s cannot be seen."+
			" Draw the axes or the frame of the screen, or say with --origin where its bottom-left corner is.", unseenShift(r))
	},
	"drawing.axis_is_ground": format("The level axis was taken for the ground line. If it is the screen's lowest line, all of the drawing lies"+
		" %.2f box lower than it should.", "up_box"),
	"check.line_is_curve": plain("The only level line on the paper was taken for the curve, for no other was found. If it is an axis, the verdict says nothing:" +
		" draw the curve darker or broader than the axes, and photograph it closer."),
	"check.swapped": func(r remark.Remark) string {
		looks := "The photo of the drawing looks like one of a display"
		if !r.Flag("drawing") {
			looks = "The photo of the display looks like one of squared paper"
		}
		return looks + ": are the two swapped, or one of them another photo? The drawing comes first, the display behind it."
	},
	"check.sweep_before": format("What the display shows after %.1f boxes from the left rim is of the sweep before: its pen had not come there yet."+
		" Nobody draws it, so it was left out.", "from_box"),
	"check.not_worked_out": format("The drawing alone could not be worked out as the trace was: %s.", "reason"),
})

// cornerAt says where the screen's corner is.
func cornerAt(r remark.Remark) string {
	at := fmt.Sprintf("%.4g, %.4g squares", math.Round(10*r.Number("corner_x_squares"))/10, math.Round(10*r.Number("corner_y_squares"))/10)
	return strings.ReplaceAll(at, "-", "−")
}

// unseenShift says which shift cannot be seen on paper without axes.
func unseenShift(r remark.Remark) string {
	across, up := r.Number("across_box"), r.Number("up_box")
	switch {
	case across == up:
		return fmt.Sprintf("a shift by %g box, or by several times that,", up)
	case up == 0:
		return fmt.Sprintf("a shift sideways by %g box, or by several times that,", across)
	case across == 0:
		return fmt.Sprintf("a shift up or down by %g box, or by several times that,", up)
	}
	return fmt.Sprintf("a shift by %g box sideways or by %g box up or down, or by several times that,", across, up)
}

// higher says how far something is too high, or too low.
func higher(up float64) string {
	if up < 0 {
		return fmt.Sprintf("%.2f box too low", -up)
	}
	return fmt.Sprintf("%.2f box too high", up)
}

// tooLong says by how much a factor makes something too long, or too short.
func tooLong(factor float64) string {
	if factor < 1 {
		return fmt.Sprintf("%.0f %% too short", 100*(1-factor))
	}
	return fmt.Sprintf("%.0f %% too long", 100*(factor-1))
}

// offAt says how a place departs: the larger way of the two, and both where together they are more, for it is the whole
// that is held against the tolerance.
func offAt(r remark.Remark) string {
	across, up := r.Number("across_box"), r.Number("up_box")
	whole := fmt.Sprintf("%.2f", math.Abs(across)+math.Abs(up))
	if whole == fmt.Sprintf("%.2f", max(math.Abs(across), math.Abs(up))) {
		return oneWay(across, up)
	}
	one, other := oneWay(across, 0), oneWay(0, up)
	if math.Abs(up) >= math.Abs(across) {
		one, other = other, one
	}
	return one + " and " + other + ", " + whole + " box in all"
}

// oneWay says the larger way.
func oneWay(across, up float64) string {
	switch {
	case math.Abs(up) >= math.Abs(across) && up < 0:
		return fmt.Sprintf("is %.2f box too low", -up)
	case math.Abs(up) >= math.Abs(across):
		return fmt.Sprintf("is %.2f box too high", up)
	case across < 0:
		return fmt.Sprintf("comes %.2f box too early", -across)
	}
	return fmt.Sprintf("comes %.2f box too late", across)
}
