package words

import (
	"encoding/hex"
	"fmt"
	"math"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

var reading = map[remark.Kind]wording{
	"reading.turned": func(r remark.Remark) string {
		return fmt.Sprintf("The words on the display %s in the file, so the photo was turned clockwise by %d°. If that is wrong, give --turn 0.",
			stance(r.Count("turn_deg")), r.Count("turn_deg"))
	},
	"reading.words_turned": func(r remark.Remark) string {
		try := "try without --turn"
		if turn := r.Count("try_deg"); turn != 0 {
			try = fmt.Sprintf("try --turn %d", turn)
		}
		return fmt.Sprintf("The words on the display seem to %s: %s.", stance(r.Count("turn_deg")), try)
	},
	"reading.higher_than_wide": plain("The graticule has more rows than columns: if the photo lies on its side, turn it (--turn 90 or 270)."),
	"reading.as_high_as_wide": plain("The graticule is as high as wide, and no words tell which way is up: if the photo lies on its side," +
		" turn it (--turn 90 or 270)."),
	"reading.stance_unknown": func(r remark.Remark) string {
		as := "as the file has it"
		if r.Flag("noted") {
			as = "as the camera noted it"
		}
		return fmt.Sprintf("No words on the display were legible enough to tell which way is up, and this signal upside down looks like another"+
			" of its kind: the photo was taken to be upright %s.", as)
	},

	"reading.may_be_paper": func(r remark.Remark) string {
		return fmt.Sprintf("%d × %d squares were found, and not where a display would end: if this is a drawing on squared paper,"+
			" read it with --paper.", r.Count("columns"), r.Count("rows"))
	},
	"reading.may_be_display": func(r remark.Remark) string {
		return fmt.Sprintf("A display of %d × %d boxes was found: if the photo is of a display, and not of a drawing, leave out --paper.",
			r.Count("columns"), r.Count("rows"))
	},

	"reading.no_trace": format("No trace was found on the grid: %s. %s", "reason", "hint"),
	"reading.others_are_lines": func(r remark.Remark) string {
		return fmt.Sprintf("%s %s was read; what else was found is level from rim to rim, as helper lines are. --trace %s reads %s.",
			found(r), r.Word("read"), r.Word("other"), r.Word("other"))
	},
	"reading.other_at_rim": func(r remark.Remark) string {
		return fmt.Sprintf("%s %s was read: %s stands out more, but lies along the rim of the screen, as the rim itself does. %s.",
			found(r), r.Word("read"), r.Word("other"), howToReadAnother(r))
	},
	"reading.other_as_prominent": func(r remark.Remark) string {
		a, b := r.Word("read"), r.Word("other")
		return fmt.Sprintf("%s %s was read, but %s stands out as much. Say which you mean: --trace %s or --trace %s.", found(r), a, b, a, b)
	},
	"reading.other_less_prominent": func(r remark.Remark) string {
		return fmt.Sprintf("%s %s was read: it stands out most (by its share of the width, its light, the breadth of its stroke and its"+
			" height); %s does so by %.0f %% of that. %s.",
			found(r), r.Word("read"), r.Word("other"), 100*r.Number("share"), howToReadAnother(r))
	},
	"reading.volts_of_traces": func(r remark.Remark) string {
		volts, to, without := unit.Value{X: r.Number("volts_v"), Unit: "V"}.String(), coloured(r.Word("to")), coloured(r.Word("without"))
		says := fmt.Sprintf("%s a box went to trace %s", volts, to)
		if r.Count("to_count") > 1 {
			says = fmt.Sprintf("%s a box went to all of %s, for it stands before the first --trace: a channel that is set otherwise"+
				" needs its own --volts-per-box behind its --trace", volts, to)
		}
		if without == "" {
			return says + "."
		}
		have := "has no volts per box of its"
		if strings.Contains(without, "),") {
			have = "have no volts per box of their"
		}
		return fmt.Sprintf("%s; %s %s own, and may be set otherwise: the page that --out FOLDER makes shows the rims by trace. To read %s as"+
			" well, give --trace for each, with its --volts-per-box behind it.", says, without, have, r.Word("next"))
	},
	"reading.scales_unknown": func(r remark.Remark) string {
		missing, in, give := "time per box is", "times are", "--time-per-box"
		switch {
		case r.Flag("volts") && r.Flag("seconds"):
			missing, in, give = "volts per box and the time per box are", "all lengths and heights are", "--volts-per-box and --time-per-box"
		case r.Flag("volts"):
			missing, in, give = "volts per box are", "heights are", "--volts-per-box"
		}
		return About(r.Word("trace"), fmt.Sprintf("The %s not known, so %s in boxes. Most displays print both settings at the rim: read"+
			" them on the photo, or enlarged on the page that --out FOLDER makes, then give %s.", missing, in, give))
	},
	"reading.squares_unscaled": func(r remark.Remark) string {
		missed, give := "What a square stands for in volts and in time was", "--volts-per-box and --time-per-box"
		switch {
		case !r.Flag("volts"):
			missed, give = "What a square stands for in time was", "--time-per-box"
		case !r.Flag("seconds"):
			missed, give = "What a square stands for in volts was", "--volts-per-box"
		}
		return About(r.Word("trace"), missed+" not given, so that is in squares, which are called boxes here. To have it in units, give "+give+".")
	},
	"reading.trace_not_worked_out": format("Trace %s was not worked out: %s. %s", "trace", "reason", "hint"),

	"reading.setting_found": func(r remark.Remark) string {
		show := func(name string) string { return unit.Value{X: r.Number(name), Unit: settingUnit(r)}.String() }
		return fmt.Sprintf("The %s is not given but found: %s boxes on the screen against %s make it %s, which is off by %.1f standard"+
			" uncertainties; the next, %s, is off by %.0f.", r.Word("setting"), quantity(r, "size", "1"), known(r), show("value"),
			math.Abs(r.Number("zeta")), show("next"), math.Abs(r.Number("next_zeta")))
	},
	"reading.setting_off_row": func(r remark.Remark) string {
		return fmt.Sprintf("The %s is not given but found: %s boxes on the screen against %s make it %s. That is no step of the usual rows, 1-2-5"+
			" and 1-2.5-5; the nearest, %s, is off by %.0f standard uncertainties. A few instruments show such a value, or a variable knob was not"+
			" at rest; else what is known is not what was seen. Give the %s if you can read it at the rim.",
			r.Word("setting"), quantity(r, "size", "1"), known(r), quantity(r, "value", settingUnit(r)),
			unit.Value{X: r.Number("next"), Unit: settingUnit(r)}, math.Abs(r.Number("next_zeta")), r.Word("setting"))
	},

	"reading.readings_begin_found": func(r remark.Remark) string {
		return fmt.Sprintf("The table's time 0 was found %s after the left rim, where its readings lie on the trace.", engineering(r, "begin_s", 3, "s"))
	},
	"reading.readings_elsewhere": func(r remark.Remark) string {
		at := strings.ReplaceAll(engineering(r, "begin_s", 3, "s"), " ", "") // as it is typed
		return fmt.Sprintf("The readings do not lie on the trace, but would if their time 0 were %s after the left rim. If the table counts from"+
			" another moment, such as the knee, say where that is: --readings-begin %s, or --readings-begin fit.", at, at)
	},
	"reading.readings_need_scales":    plain("The readings could not be laid beside the trace, which needs both --volts-per-box and --time-per-box."),
	"reading.readings_not_worked_out": format("The readings alone were not worked out: %s.", "reason"),
}

// coloured gives names of traces with their colours in words: "a (#91e5ee)" is a (blue-green).
func coloured(names string) string {
	var b strings.Builder
	for {
		before, after, more := strings.Cut(names, "#")
		b.WriteString(before)
		if !more {
			return b.String()
		}
		if c, ok := hexColour(after); ok {
			b.WriteString(Colour(c))
			after = after[6:]
		} else {
			b.WriteByte('#')
		}
		names = after
	}
}

// hexColour reads the six small hexadecimal digits that s begins with.
func hexColour(s string) (c [3]uint8, ok bool) {
	if len(s) < 6 || strings.Trim(s[:6], "0123456789abcdef") != "" {
		return c, false
	}
	_, err := hex.Decode(c[:], []byte(s[:6]))
	return c, err == nil
}

// stance says how words stand that a turn sets upright.
func stance(turn int) string {
	if turn == 180 {
		return "stand upside down"
	}
	return "lie on their side"
}

// found lists the traces that a choice was made from.
func found(r remark.Remark) string {
	return fmt.Sprintf("%d traces were found: %s.", r.Count("count"), r.Word("traces"))
}

func howToReadAnother(r remark.Remark) string {
	s := fmt.Sprintf("--trace %s reads %s", r.Word("other"), r.Word("other"))
	if r.Count("count") > 2 {
		s += ", and so on"
	}
	return s
}

// settingUnit is the unit of a setting that was found.
func settingUnit(r remark.Remark) string {
	if r.Word("of") == "frequency" {
		return "s"
	}
	return "V"
}

// known says what a setting was found from.
func known(r remark.Remark) string {
	in := "V"
	if r.Word("of") == "frequency" {
		in = "Hz"
	}
	s := "the " + r.Word("of") + " " + quantity(r, "given", in)
	if limit := r.Number("limit"); limit > 0 {
		s += fmt.Sprintf(" (taken as good to ±%g %%, since nothing was said)", 100*limit)
	}
	return s
}
