package words

// Comparisons, what may stand behind a disagreement, and what the usual mistakes would do.

import (
	"fmt"
	"math"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A Comparison is one in words: its title, a short line for a terminal, and a sentence or two.
type Comparison struct{ Title, Short, Says string }

// Compared words a comparison; one of a kind that has no words is shown as its data.
func Compared(r remark.Remark) Comparison {
	if w, ok := comparisons[r.Kind]; ok {
		return w(r)
	}
	return Comparison{r.String(), r.String(), r.String()}
}

var comparisons = map[remark.Kind]func(r remark.Remark) Comparison{
	"analysis.two_ways": func(r remark.Remark) Comparison {
		a, b := way(r.Word("one")), way(r.Word("other"))
		says := fmt.Sprintf("%s from %s and %s from %s", quantity(r, "one_s", "s"), a, quantity(r, "other_s", "s"), b)
		if r.Flag("agree") {
			says += " agree within their uncertainties"
		} else {
			says += " do not agree"
		}
		says += ": they are " + apart(r) + ", with what they share taken off."
		switch {
		case r.Has("loose_share"):
			says += " That says little, as one of them is known to " + percent(r.Number("loose_share")) + " only."
		case r.Has("mean_s"):
			says += " They share nothing, so their weighted mean " + quantity(r, "mean_s", "s") + " is better than either."
		}
		return Comparison{"τ: " + a + " and " + b, a + " and " + b + ": " + apart(r), says}
	},
	"analysis.all_ways": func(r remark.Remark) Comparison {
		n, test := r.Count("ways"), chiSquare(r)
		c := Comparison{"τ: all ways together", fmt.Sprintf("all %d ways together: %s", n, test), fmt.Sprintf("The %d ways to τ agree together: %s.", n, test)}
		if !r.Flag("agree") {
			c.Says = fmt.Sprintf("The %d ways to τ do not have one common value: %s; the pairs show which one stands apart.", n, test)
		}
		if r.Has("differ") {
			more := fmt.Sprintf("%d of %d pairs apart", r.Count("differ"), r.Count("pairs"))
			c.Short += " (" + more + ")"
			c.Says += " That is no contradiction to " + more + ": in a pair one difference in 22 is above 2 u by chance, and the more pairs are" +
				" compared the sooner one is; so look at the pair's causes, but do not take it for proven."
		}
		return c
	},
	"analysis.ways_share": func(remark.Remark) Comparison {
		const says = "The ways to τ share so much that they cannot be tested together; see the pairs."
		return Comparison{"τ: all ways together", says, says}
	},
	"analysis.decays_alike": func(r remark.Remark) Comparison {
		n, test, birge := r.Count("decays"), chiSquare(r), r.Number("birge")
		c := Comparison{Title: "τ: the decays of this record", Short: fmt.Sprintf("the %d decays of this record: %s", n, test)}
		switch {
		case !r.Flag("agree"):
			c.Says = fmt.Sprintf("The %d decays differ in τ by more than their noise (%s, Birge ratio %.1f); they and their average were given wider"+
				" uncertainties.", n, test, birge)
		case birge > 1:
			c.Says = fmt.Sprintf("The %d decays have the same τ within what chance explains (%s, Birge ratio %.1f); they and their average were given"+
				" wider uncertainties all the same.", n, test, birge)
		default:
			c.Says = fmt.Sprintf("The %d decays have the same τ within their noise (%s), so their average stands for all.", n, test)
		}
		return c
	},
	"analysis.period_by_curve_and_count": func(r remark.Remark) Comparison {
		return Comparison{"period: fitted curve and counted crossings", "the fitted curve and counted crossings: " + apart(r),
			"The fitted curve and the counted crossings " + agree(r) + " on the period: they are " + apart(r) + ", with what they share taken off."}
	},
	"analysis.period_by_curve_and_boxes": func(r remark.Remark) Comparison {
		return Comparison{"period: fitted curve and counted boxes", "the fitted curve and counted boxes: " + apart(r),
			"The fitted curve and the counted boxes " + agree(r) + " on the period: they are " + apart(r) + "."}
	},
	"analysis.seen_and_given": func(r remark.Remark) Comparison {
		what, limit := r.Word("of"), ""
		if what == "level" {
			what = "highest level"
		}
		if r.Has("limit_share") {
			limit = fmt.Sprintf(" (taken as good to ±%g %%, since nothing was said)", 100*r.Number("limit_share"))
		}
		in := r.Word("unit")
		return Comparison{what + ": on the screen and given", what + " on the screen and the one given: " + apart(r),
			fmt.Sprintf("The %s on the screen, %s, and the one given, %s%s, %s: they are %s.",
				what, quantity(r, "seen", in), quantity(r, "given", in), limit, agree(r), apart(r))}
	},
	"analysis.readings_in_the_mean": func(r remark.Remark) Comparison {
		return Comparison{"readings and trace", "readings and trace, in the mean: " + apart(r),
			"The readings " + agree(r) + " with the trace in the mean: they are " + apart(r) + "."}
	},
	"analysis.photo_and_readings": func(r remark.Remark) Comparison {
		name, in := nameOf(r), r.Word("unit")
		return Comparison{name + ": photo and readings", name + ", photo and readings: " + apart(r),
			fmt.Sprintf("%s from the photo, %s, and from the readings, %s, %s: they are %s, with the scales of the instrument taken off.",
				name, quantity(r, "photo", in), quantity(r, "readings", in), agree(r), apart(r))}
	},
	"analysis.two_frequencies": func(r remark.Remark) Comparison {
		a, b := r.Word("a"), r.Word("b")
		return Comparison{"frequency: traces " + a + " and " + b, "frequency of " + a + " and " + b + ": " + apart(r),
			fmt.Sprintf("The frequencies of traces %s and %s %s: they are %s, with time base and grid taken off.", a, b, agree(r), apart(r))}
	},
	"analysis.two_periods": func(r remark.Remark) Comparison {
		a, b := r.Word("a"), r.Word("b")
		return Comparison{"period: traces " + a + " and " + b, "period of " + a + " and " + b + ": " + apart(r),
			fmt.Sprintf("The periods of traces %s and %s %s: they are %s, with the time base taken off.", a, b, agree(r), apart(r))}
	},
	"analysis.drive_and_decay": func(r remark.Remark) Comparison {
		a, b := r.Word("a"), r.Word("b")
		return Comparison{fmt.Sprintf("drive: trace %s and where trace %s settles", a, b),
			fmt.Sprintf("drive of %s and the levels that %s settles at: %s", a, b, apart(r)),
			fmt.Sprintf("The drive on trace %s, %s, and the distance of the levels that trace %s settles at, %s, %s: they are %s."+
				" Each channel has its own volts scale, whose accuracy is in that.",
				a, quantity(r, "drive_v", "V"), b, quantity(r, "swing_v", "V"), agree(r), apart(r))}
	},
}

// apart tells the gap with its standard uncertainty, and how many of those it is.
func apart(r remark.Remark) string {
	gap, u := r.Number("gap"), r.Number("u_gap")
	return fmt.Sprintf("%s apart, |zeta| = %s", unit.Value{X: gap, U: u, Unit: unitOf(r, r.Word("unit"))}, Zeta(gap/u))
}

// Zeta prints how many of its own standard uncertainties a difference is, with as many digits as show on which side of
// 2 it lies: up to there two values agree.
func Zeta(z float64) string {
	v := math.Abs(z)
	if v >= 100 {
		return fmt.Sprintf("%.0f", v)
	}
	for digits := 1; digits < 4; digits++ {
		if text := fmt.Sprintf("%.*f", digits, v); !(v > 2) || strings.TrimRight(text, "0") != "2." {
			return text
		}
	}
	return "2.001"
}

func agree(r remark.Remark) string {
	if r.Flag("agree") {
		return "agree"
	}
	return "do not agree"
}

func chiSquare(r remark.Remark) string {
	return fmt.Sprintf("χ² = %.1f for %d degrees of freedom", r.Number("chi2"), r.Count("degrees"))
}

// nameOf names a result that photo and readings both have.
func nameOf(r remark.Remark) string {
	switch r.Word("quantity") {
	case "tau":
		return "τ by " + way(r.Word("method"))
	case "v_pp":
		return "peak-to-peak voltage"
	case "v_mean":
		return "mean voltage"
	case "v_high":
		return "high level"
	case "v_low":
		return "low level"
	}
	if label := r.Word("label"); label != "" {
		return label
	}
	return r.Word("quantity")
}

// because words a cause by a format for the values named, and adds how much of the gap it could explain, if that is
// known.
func because(say wording) wording {
	return func(r remark.Remark) string {
		if !r.Has("share") {
			return say(r)
		}
		if s := r.Number("share"); s < 0.995 {
			return say(r) + fmt.Sprintf(": %.0f %% of the gap", 100*s)
		}
		return say(r) + ": all of the gap"
	}
}

var causes = map[remark.Kind]wording{
	"analysis.cause_input":             because(plain("an input of 1 MΩ in parallel that was left out")),
	"analysis.cause_source":            because(plain("a generator's 50 Ω in series that was left out")),
	"analysis.cause_capacitor_marking": because(marking("a capacitor of ±%g %%, if C was read off its marking")),
	"analysis.cause_resistor_marking":  because(marking("a resistor of ±%g %%, if R was read off its marking")),
	"analysis.cause_level":             because(func(r remark.Remark) string { return "the level that it settles at misplaced by " + offBy(r) }),
	"analysis.cause_leak":              because(ohms("a leak of %s in parallel with the capacitor", "leak_ohm", 2)),
	"analysis.cause_series":            because(ohms("another %s in series", "series_ohm", 2)),
	"analysis.cause_v_inf": because(func(r remark.Remark) string {
		return "V∞ misplaced by " + offBy(r) + ", which bends ln V at the tail"
	}),
	"analysis.cause_knee": because(func(r remark.Remark) string {
		return "a knee misplaced by one point (" + engineering(r, "step_s", 2, "s") + ")"
	}),
	"analysis.cause_bend":           because(plain("a decay that is not one exponential (its early and late parts differ so much)")),
	"analysis.cause_time_per_box":   because(plain("a time per box that is not the display's, or a wrong prefix of R or C")),
	"analysis.cause_divider":        because(ohms("an input of 1 MΩ beside the %s, which divides the voltage", "resistance_ohm", 3)),
	"analysis.cause_probe":          because(plain("a probe ×10 that the instrument was not told of")),
	"analysis.cause_step":           because(plain("a volts per box read one step too low")),
	"analysis.cause_open_generator": because(plain("a generator whose dial counts on a load of 50 Ω, without which it gives twice as much")),
	"analysis.cause_scale": because(func(r remark.Remark) string {
		setting, dial := "time per box", "a dial that is not what it says"
		switch r.Word("of") {
		case "level", "drive":
			setting, dial = "volts per box", "a source that does not give what it says"
		case "time constant", "half-life":
			dial = "one that is of another circuit"
		}
		return fmt.Sprintf("a %s that is %.3g times the one given (another step, or a knob off its stop), or %s", setting, r.Number("factor"), dial)
	}),
	"analysis.cause_no_sine": because(plain("a trace that is not a sine")),
	"analysis.cause_bad_stretch": because(func(r remark.Remark) string {
		if r.Flag("either") {
			return "a stretch of a trace that was read badly"
		}
		return "a stretch of the trace that was read badly"
	}),
	"analysis.cause_charging":           because(plain("a resistance that differs between charging and discharging")),
	"analysis.cause_unsteady_drive":     because(plain("a drive that is not steady from cycle to cycle")),
	"analysis.cause_sources_not_locked": because(plain("two sources that are not locked to each other")),
	"analysis.cause_ground_apart":       because(format("a ground line that was taken %.2f boxes apart for readings and photo", "gap_box")),
	"analysis.cause_other_time_zero":    because(plain("times of the table that count from another moment than the left rim")),
	"analysis.cause_off_reading":        because(plain("a reading that is off; see which stand apart")),
	"analysis.cause_other_part":         because(plain("readings that do not reach over the same part of the signal")),
}

func marking(f string) wording {
	return func(r remark.Remark) string { return fmt.Sprintf(f, 100*r.Number("limit_share")) }
}

func ohms(f, name string, digits int) wording {
	return func(r remark.Remark) string { return fmt.Sprintf(f, engineering(r, name, digits, "Ω")) }
}

// offBy tells a misplacement in boxes, or in a share of the height.
func offBy(r remark.Remark) string {
	volts := engineering(r, "off_v", 2, "V")
	if r.Has("off_box") {
		return fmt.Sprintf("%g box (%s)", r.Number("off_box"), volts)
	}
	return fmt.Sprintf("%g %% of the height (%s)", 100*r.Number("off_share"), volts)
}

// WhatIf words a mistake and what it would do, each a part of one sentence.
func WhatIf(r remark.Remark) (mistake, then string) {
	if w, ok := mistakes[r.Kind]; ok {
		return w(r)
	}
	return r.String(), ""
}

var mistakes = map[remark.Kind]func(r remark.Remark) (mistake, then string){
	"analysis.if_v_inf_wrong": func(r remark.Remark) (string, string) {
		return "V∞ were held wrong by " + offBy(r), fmt.Sprintf("τ would be %s if it is held too far from the start, and %s if too near",
			longer(r.Number("too_far")), longer(r.Number("too_near")))
	},
	"analysis.if_ground_off": func(r remark.Remark) (string, string) {
		moved, then := "all voltages from ground would move by "+engineering(r, "off_v", 2, "V"), "; τ would not, because V∞ is fitted and not taken for ground"
		if r.Has("share") {
			then = " and τ by about " + percent(r.Number("share")) + ", because V∞ is held"
		}
		return "the ground line were off by " + offBy(r), moved + then
	},
	"analysis.if_input_loads": func(r remark.Remark) (string, string) {
		counted := ""
		if r.Flag("counted") {
			counted = " (what was given for the input is counted in R·C already)"
		}
		return "an input of 1 MΩ lay in parallel with the " + engineering(r, "resistance_ohm", 3, "Ω"),
			"τ would be " + percent(r.Number("share")) + " shorter than R·C" + counted
	},
	"analysis.if_input_loads_any": func(remark.Remark) (string, string) {
		return "an input of 1 MΩ lay in parallel with R", "τ would be shorter than R·C by 1 % for every 10 kΩ of R"
	},
	"analysis.if_capacitor_marked": func(r remark.Remark) (string, string) {
		return fmt.Sprintf("C were a part marked ±%g %%", 100*r.Number("limit_share")),
			fmt.Sprintf("R·C could be anything from %s to %s", engineering(r, "low_s", 3, "s"), engineering(r, "high_s", 3, "s"))
	},
	"analysis.if_half_lives_from_drive": func(r remark.Remark) (string, string) {
		return "half-lives were counted down from the level of the drive",
			fmt.Sprintf("the first would be %s too short, because the drive turns round after %.1f τ and a decay begins %s short of its level",
				percent(r.Number("short_share")), r.Number("taus"), percent(r.Number("begins_share")))
	},
	"analysis.if_shown_short": func(r remark.Remark) (string, string) {
		return fmt.Sprintf("only the first %g τ were on the screen", r.Number("taus")),
			fmt.Sprintf("τ would be uncertain from noise by %.2g times as much", r.Number("times"))
	},
}

func longer(share float64) string {
	if share < 0 {
		return percent(-share) + " shorter"
	}
	return percent(share) + " longer"
}

// compared and supposed give the sentences of both as wordings, for the table of all.
func compared() map[remark.Kind]wording {
	all := map[remark.Kind]wording{}
	for k, w := range comparisons {
		all[k] = func(r remark.Remark) string { return w(r).Says }
	}
	return all
}

func supposed() map[remark.Kind]wording {
	all := map[remark.Kind]wording{}
	for k, w := range mistakes {
		all[k] = func(r remark.Remark) string {
			mistake, then := w(r)
			return mistake + ", " + then
		}
	}
	return all
}
