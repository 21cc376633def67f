package words

import (
	"fmt"
	"math"
	"strings"

	rooms "quadrille/analysis"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// signals names each kind of signal.
var signals = map[string]string{
	rooms.SignalDecay:    "a decay",
	rooms.SignalSine:     "a sine",
	rooms.SignalTriangle: "a triangle",
	rooms.SignalRamp:     "a ramp",
	rooms.SignalStates:   "two levels with transitions",
	rooms.SignalPulses:   "pulses",
	rooms.SignalNoise:    "noise",
	rooms.SignalLevel:    "a steady level",
}

// Told says how the kind of a signal was told.
func Told(t rooms.Told) string {
	switch {
	case t.How == rooms.Given:
		return "given"
	case len(t.Left) == 0:
		return "taken for a steady level: no other kind explains more of the scatter of the points"
	case t.How == rooms.ForWant:
		return "taken for a level for want of a shape that fits: the nearest is " + signals[t.Left[0].Kind] + ", but " + unexplained(t.Left)
	}
	if t.Left[0].Kind == rooms.SignalNoise {
		return "taken for noise: the points scatter by " + percent(t.Left[0].Share) + " of the height, and no shape explains it"
	}
	return "taken for " + signals[t.Left[0].Kind] + ": " + unexplained(t.Left)
}

// unexplained says what the first kind leaves, and what the others would.
func unexplained(left []rooms.Left) (says string) {
	for i, l := range left {
		much := percent(l.Share) + " of the height"
		if l.Points {
			much = fmt.Sprintf("%.0f %% of the points", 100*l.Share)
		}
		switch i {
		case 0:
			says = "it leaves " + much + " unexplained"
		case 1:
			says += "; " + signals[l.Kind] + " " + much
		default:
			says += ", " + signals[l.Kind] + " " + much
		}
	}
	return says
}

const nameIt = "If you know what it is, name the kind of signal."

var analysis = map[remark.Kind]wording{
	"analysis.points_scatter": share("The points scatter about the curve by %s of the height of the trace: check that the right trace was read."),
	"analysis.could_also_be": func(r remark.Remark) string {
		return "The trace could also be " + signals[r.Word("signal")] + "; name the kind of signal if you know it."
	},
	"analysis.not_recognised": func(r remark.Remark) string {
		measured := "only its mean and its height were measured"
		if r.Flag("with_period") {
			measured = "only its mean, its height and the period of its crossings were measured"
		}
		return "The shape of the trace was not recognised: " + measured + ". " + nameIt
	},
	"analysis.another_kind": func(r remark.Remark) string {
		told := rooms.Told{How: rooms.Recognised}
		for _, v := range r.Values {
			for _, by := range []string{"left_", "silent_"} {
				if kind, ok := strings.CutPrefix(v.Name, by); ok {
					told.Left = append(told.Left, rooms.Left{Kind: kind, Share: r.Number(v.Name), Points: by == "silent_"})
				}
			}
		}
		return fmt.Sprintf("You asked for a %s, but by its shape the trace would be %s. The numbers of a %s mean nothing if it is none: leave"+
			" --signal out, or name another kind.", r.Word("asked"), Told(told), r.Word("asked"))
	},
	"analysis.part_of_cycle": format("Only %.2g of a cycle is on the screen: the frequency leans on the trace being a perfect sine.", "cycles"),
	"analysis.not_quite_sine": share("The trace is not quite a sine: it leaves the curve by %s of the amplitude (rms), more than its own uncertainty" +
		" explains."),
	"analysis.overtones": func(r remark.Remark) string {
		return fmt.Sprintf("The wave repeats, but it is a bent sine: its overtones hold %.0f %% of the fundamental (total harmonic distortion)."+
			" Period and frequency are the wave's; height and rms are those of the fundamental alone.", 100*r.Number("distortion"))
	},
	"analysis.hardly_square": func(r remark.Remark) string {
		return fmt.Sprintf("%.0f %% of the points lie on neither of the two levels nor on an upright edge between them, which is much for a square"+
			" wave: check that the right trace was read, or name the kind of signal.", 100*r.Number("share"))
	},
	"analysis.transitions_uneven": share("The transitions do not come evenly: they lie %s of a period off an even count (rms). The signal may have no" +
		" period, as a stream of bits has none, or a transition was missed; then period, frequency and duty factor mean nothing."),
	"analysis.no_period": share("The transitions do not come evenly: they lie %s of a period off an even count (rms), as those of a stream of bits" +
		" do. So no period, frequency and duty factor are given; the durations are means over what is seen."),
	"analysis.no_transition": plain("No transition between the two levels is seen, so there is no duration to give."),
	"analysis.transition_steep": func(r remark.Remark) string {
		return "The transition is as steep as the picture can show: the true duration may be anything from zero to about " +
			engineering(r, "most_s", 2, "s") + "."
	},
	"analysis.crests_off": func(r remark.Remark) string {
		way := "further apart"
		if r.Number("off_v") < 0 {
			way = "nearer together"
		}
		return "The crests of the trace stand " + engineering(r, "off_v", 2, "V") + " " + way + " than those of the fitted sine: its height is not that" +
			" of the trace, which may be no sine."
	},
	"analysis.single_step": func(r remark.Remark) string {
		return "A single step is on the screen, from " + engineering(r, "before_v", 3, "V") + " to " + engineering(r, "after_v", 3, "V") +
			": it has no period."
	},
	"analysis.single_pulse": plain("A single pulse is on the screen: it has no period."),
	"analysis.burst": func(r remark.Remark) string {
		return fmt.Sprintf("A burst of %d pulses is on the screen, with longer pauses about it; the period is that within the burst.", r.Count("pulses"))
	},
	"analysis.rounded_tops": plain("The tops of the pulses are rounded and have no level: their height is the mean of the peaks."),
	"analysis.narrow_pulses": func(r remark.Remark) string {
		return fmt.Sprintf("The %d pulses are so narrow that they are drawn as strokes: a pulse lasts no longer than its stroke is"+
			" wide, and the outermost strokes tell its height.", r.Count("pulses"))
	},
	"analysis.one_corner": plain("Only one corner is on the screen: nothing is told of a period, nor of how far the sides go on."),
	"analysis.one_slope":  plain("Only a single slope is on the screen: nothing is told of a period, nor of how far it goes on."),
	"analysis.period_not_seen": format("Less than a whole period is on the screen, about %.2g of it if it goes on as it is seen: no period is"+
		" told.", "cycles"),
	"analysis.level_drifts": func(r remark.Remark) string {
		return "The level is not steady: it changes by " + engineering(r, "change_v", 2, "V") + " from the first point to the last."
	},
	"analysis.level_with_strokes": func(r remark.Remark) string {
		return fmt.Sprintf("The level is broken by %s, the farthest as far as %s: pulses shorter than the display shows, or disturbances."+
			" The mean leaves them out, and their height may be cut short.", counted(r, "strokes", "narrow stroke"), engineering(r, "top_v", 3, "V"))
	},
	"analysis.needs_scale": func(r remark.Remark) string {
		return fmt.Sprintf("Not used, or not compared, as the %s is not known: %s.", r.Word("scale"), flags(r))
	},
	"analysis.settings_unused": func(r remark.Remark) string {
		return fmt.Sprintf("Not used, as nothing here needs it (the signal was taken for %s): %s.", signals[r.Word("signal")], flags(r))
	},
	"analysis.uncertainty_unknown": func(r remark.Remark) string {
		why := map[string]string{
			"value":   "there is no value",
			"source":  "what the " + r.Word("source") + " does to it cannot be told",
			"freedom": "as many numbers were fitted as there are independent points",
		}[r.Word("why")]
		if why == "" {
			why = "nothing is known of how good its inputs are"
		}
		return "Its uncertainty is not determined: " + why + ". So it cannot be compared with anything."
	},
	"analysis.few_degrees_of_freedom": format("It rests on so few independent points (%.2g degrees of freedom) that the 95 %% interval is %.2g standard"+
		" uncertainties wide on each side.", "dof", "k"),

	"analysis.stretches_left_out": format("%d more stretches look like parts of decays but are too short or too uneven to tell a time constant; they"+
		" were left out.", "stretches"),
	"analysis.beginning_left_out": func(r remark.Remark) string {
		return fmt.Sprintf("The trace bends into its decay by and by, which no single exponential does: what lies before %s (%.1f τ of the decay) was"+
			" left out. To use another part, give --from.", engineering(r, "until_s", 3, "s"), r.Number("taus"))
	},
	"analysis.points_left_out": format("%d points lie far off the curve and were left out.", "points"),
	"analysis.short_decay": format("The decay is seen for only %.1f τ and the level it settles at is fitted with it, so τ is poorly told: show 5 τ"+
		" on the screen, or give the level if it is known.", "taus"),
	"analysis.decays_differ": format("The decays of this record differ in τ by %.1f times what their uncertainties allow (χ² = %.0f for %d of them): a"+
		" part of the trace or of the grid was read badly, or the circuit is not the same for all. Look at the points about the fit before you use any τ.",
		"birge", "chi2", "decays"),
	"analysis.drive_turns_early": func(r remark.Remark) string {
		return fmt.Sprintf("The drive turns round after %.1f τ, before the capacitor has settled: each decay begins %s short of the level of the"+
			" drive. τ is not changed by it.", r.Number("taus"), percent(r.Number("share")))
	},
	"analysis.decay_ends_flat": format("%s ends in a flat stretch without bending into it: the trace may leave the screen there, or the record stops.",
		"decay"),
	"analysis.no_half_life": plain("No half-life can be read: where half of the way is left, the trace is hidden, off the record or lost in the noise."),
	"analysis.scatter_beyond_uncertainty": format("The points scatter %.1f times as far from the curve as their own uncertainty says; all uncertainties"+
		" were widened by that factor. Look at the residuals: the trace may not be one exponential.", "times"),
	"analysis.scatter_of_rows": format("The points scatter %.1f times as far from the curve as their own uncertainty says, which is no more than the"+
		" steps of a display's pixels make; all uncertainties were widened by that factor.", "times"),
	"analysis.bent": func(r remark.Remark) string {
		parts := ""
		if r.Has("early_s") {
			parts = fmt.Sprintf(" The early part alone has τ = %s, the late part %s, and their distance is in the budget.",
				engineering(r, "early_s", 3, "s"), engineering(r, "late_s", 3, "s"))
		}
		return fmt.Sprintf("The points bend away from one exponential (z = %.1f): usual causes are a leaking capacitor or one that soaks up charge,"+
			" a second resistance, a V∞ that is not the true one, or a grid that was not fitted well.%s", r.Number("z"), parts)
	},
	"analysis.settles_elsewhere": func(r remark.Remark) string {
		return fmt.Sprintf("Left free, %s would settle at %s and not at %s: the ground line may be misplaced, or a leak or an offset keeps the"+
			" voltage there. It would then have τ = %s.", r.Word("decay"), quantity(r, "level_v", "V"), heldAt(r), engineering(r, "tau_s", 3, "s"))
	},
	"analysis.some_settle_elsewhere": func(r remark.Remark) string {
		return fmt.Sprintf("Of %d decays %d go towards %s; the others settle where the fit finds it.", r.Count("decays"), r.Count("held"), heldAt(r))
	},
	"analysis.level_is_where_it_begins": func(r remark.Remark) string {
		return "The decay begins at about " + engineering(r, "level_v", 3, "V") + ", so that level has no time of its own."
	},
	"analysis.level_not_passed": func(r remark.Remark) string {
		return "No decay passes " + engineering(r, "level_v", 3, "V") + " where it can be read, so there is no time for it."
	},
	"analysis.knee_not_seen": func(r remark.Remark) string {
		says := "The knee is not in the record: this is the voltage at its first point used, which the decay may have passed through long after it began."
		if r.Flag("with_times") {
			says += " The times at levels count from that point."
		}
		return says
	},
	"analysis.settles_below_ground": func(r remark.Remark) string {
		return "The decay begins above ground and settles at " + quantity(r, "level_v", "V") + ", below it. No discharge does: the ground line may be" +
			" misplaced, or the mark of another trace was taken for it."
	},
	"analysis.settles_off_ground": func(r remark.Remark) string {
		return "A capacitor that discharges fully settles at ground, and this is " + quantity(r, "level_v", "V") + " away from it: the ground line may" +
			" be misplaced, a leak or an offset may hold the voltage, or the decay is not one exponential."
	},
	"analysis.seen_is_not_given": func(r remark.Remark) string {
		in := map[string]string{"frequency": "Hz", "time constant": "s", "half-life": "s"}[r.Word("of")]
		if in == "" {
			in = "V"
		}
		return fmt.Sprintf("The %s on the screen is %s, and the one given %s, |zeta| = %.0f: both cannot be right. What may stand behind it is told"+
			" with the comparison.", r.Word("of"), quantity(r, "seen", in), quantity(r, "given", in), math.Abs(r.Number("zeta")))
	},
	"analysis.upside_down": func(r remark.Remark) string {
		return fmt.Sprintf("No decay runs like this, but turned by 180° the trace is one, to %s of its height: the photo was probably taken upside"+
			" down. Give --turn 180, or turn it back.", percent(r.Number("share")))
	},
	"analysis.tau_far_from_rc": func(r remark.Remark) string {
		return fmt.Sprintf("τ from the trace is %.3g times R·C (%s and %s). Parts, loading and leaks do not explain that much: check the time per"+
			" box, and the prefixes of R and C.", r.Number("ratio"), quantity(r, "tau_s", "s"), quantity(r, "rc_s", "s"))
	},
	"analysis.ways_differ": func(r remark.Remark) string {
		return fmt.Sprintf("τ is %s from %s and %s from %s, though both read the same points: they are not those of one exponential. Look at the"+
			" drawing of the trace on the photo; the program may have followed something else.",
			quantity(r, "one_s", "s"), way(r.Word("one")), quantity(r, "other_s", "s"), way(r.Word("other")))
	},
	"analysis.interval_uneven": func(r remark.Remark) string {
		if !r.Has("high_s") {
			return "So short a decay bounds τ from below only: it is more than " + engineering(r, "low_s", 3, "s") + " with 97.5 % probability."
		}
		return "So short a decay does not bound τ evenly: its 95 % interval goes from " + engineering(r, "low_s", 3, "s") + " to " +
			engineering(r, "high_s", 3, "s") + "."
	},

	"analysis.no_accuracy": func(r remark.Remark) string {
		return fmt.Sprintf("No accuracy was given for the %s, so ±%g %% was taken, as such parts are marked. If it was measured, give it as the"+
			" meter's manual states it, such as 21.9k±0.5%%+2.", r.Word("part"), 100*r.Number("limit_share"))
	},
	"analysis.source_resistance_unknown": func(r remark.Remark) string {
		says := "The source resistance of a generator was not given; if one drives the circuit, its usual 50 Ω "
		if r.Flag("for_part") {
			return says + "would make this " + percent(r.Number("share")) + " smaller: give --source-resistance 50ohm."
		}
		return says + "makes τ " + percent(r.Number("share")) + " longer: give --source-resistance 50ohm."
	},
	"analysis.rc_loose": share("R·C is known to no better than %s (standard uncertainty), so that agreement with it says little. Measure the parts; an" +
		" electrolytic capacitor as marked is a ±20 %% part."),
	"analysis.input_resistance_unknown": share("The input resistance of the instrument was not given; 1 MΩ in parallel shortens τ by %s."),
	"analysis.input_resistance_unknown_for_part": func(r remark.Remark) string {
		says := "The input resistance of the instrument was not given; with 1 MΩ in parallel this would be " + percent(r.Number("share")) + " larger"
		if r.Flag("counted") {
			return says + ", which is in its uncertainty. Give it with --input-resistance."
		}
		return says + "."
	},

	"analysis.trials": func(r remark.Remark) string {
		of := map[string]string{"": "", "both": " of both traces"}
		about, ok := of[r.Word("of")]
		if !ok {
			about = " of trace " + r.Word("of")
		}
		says := fmt.Sprintf("%d Monte Carlo trials (seed %d) drew all inputs%s anew: of %s", r.Count("trials"), r.Count("seed"), about,
			counted(r, "results", "result"))
		if n := r.Count("apart"); n > 0 {
			return says + fmt.Sprintf(", %d do not have 95 %% of the trials within value ± U; each has a doubt.", n)
		}
		return says + ", all have 95 % of the trials within value ± U, give or take a tenth of U."
	},
	"analysis.trials_without_result": format("In %d of %d trials of the Monte Carlo calculation there was no such result: it stands at the edge of what"+
		" can be read.", "lost", "trials"),
	"analysis.trials_disagree": func(r remark.Remark) string {
		return fmt.Sprintf("The Monte Carlo calculation disagrees with the budget: its 95 %% interval goes from %s to %s, beyond value ± U; use that"+
			" interval.", engineering(r, "low", 4, r.Word("unit")), engineering(r, "high", 4, r.Word("unit")))
	},

	"analysis.band_of_noise": plain("The trace is a band of noise that may fade towards its ends: an instrument may count more than is seen."),
	"analysis.lone_stroke": func(r remark.Remark) string {
		return "One stroke reaches " + engineering(r, "beyond_v", 2, "V") + " further than any other: a single disturbance, or something beside the" +
			" trace that was taken for a part of it."
	},
	"analysis.beyond_levels": func(r remark.Remark) string {
		return "The outermost strokes stand " + engineering(r, "beyond_v", 2, "V") + " further apart than the two levels: that is much for overshoot," +
			" and words or a line beside the trace may have been taken for a part of it."
	},
	"analysis.drawn_higher": func(r remark.Remark) string {
		beneath := "the height of the fitted curve"
		if r.Word("method") == "histogram" {
			beneath = "the distance of its two levels"
		}
		return fmt.Sprintf("The trace is drawn %s high, but %s is %s: the difference is noise, steps or overshoot. An instrument's own peak-to-peak"+
			" counts them, so compare it with the first; the second is that of the signal beneath.",
			quantity(r, "drawn_v", "V"), beneath, quantity(r, "other_v", "V"))
	},

	"analysis.no_one_frequency": format("Traces %s and %s do not have one frequency, so there is no phase difference between them.", "a", "b"),
	"analysis.phase": func(r remark.Remark) string {
		const degree = math.Pi / 180
		phase, u, a, b := r.Number("phase_rad"), r.Number("u_phase_rad"), r.Word("a"), r.Word("b")
		size := unit.Value{X: math.Abs(phase) / degree, U: u / degree, Unit: "1"}.String()
		near := r.Number("agreeing") * u
		switch {
		case math.Abs(phase) <= near:
			return fmt.Sprintf("Traces %s and %s are in phase within the uncertainty: %s° apart.", a, b, size)
		case math.Pi-math.Abs(phase) <= near:
			return fmt.Sprintf("Traces %s and %s are in antiphase within the uncertainty: %s° apart.", a, b, size)
		case phase > 0:
			return fmt.Sprintf("Trace %s leads trace %s by %s°.", b, a, size)
		}
		return fmt.Sprintf("Trace %s lags behind trace %s by %s°.", b, a, size)
	},

	"analysis.readings_without_uncertainty": plain("Nothing says how well the readings were read, and they are too few to tell; give --u-volts."),
	"analysis.readings_uncertainty_from_scatter": func(r remark.Remark) string {
		says := "Nothing says how well the readings were read; "
		if r.Has("step_v") {
			return says + "they are written to " + engineering(r, "step_v", 2, "V") + ", and of that " + engineering(r, "u_v", 2, "V") +
				" was taken for it (the step over √12), more than their scatter about the trace, " + engineering(r, "scatter_v", 2, "V") + "."
		}
		return says + "their scatter about the trace, " + engineering(r, "scatter_v", 2, "V") + ", was taken for it."
	},
	"analysis.readings_odd": func(r remark.Remark) string {
		stand := "stand"
		if r.Count("odd") == 1 {
			stand = "stands"
		}
		return fmt.Sprintf("%d of %d readings %s apart from the others by more than chance explains (by more than %.1f of a reading’s own u from the median): misread,"+
			" mistyped, or taken at another time than the table says.", r.Count("odd"), r.Count("readings"), stand, r.Number("limit"))
	},
}

// share words a remark by a format for its share, in per cent.
func share(f string) wording {
	return func(r remark.Remark) string { return fmt.Sprintf(f, percent(r.Number("share"))) }
}

// counted gives the number called name with what it counts, which has an s unless it is one.
func counted(r remark.Remark, name, word string) string {
	if r.Count(name) == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", r.Count(name), word)
}

// heldAt names the level that decays are held to settle at.
func heldAt(r remark.Remark) string {
	if r.Has("at_v") {
		return "the level given, " + engineering(r, "at_v", 3, "V")
	}
	return "ground"
}

// way names a method that leads to τ.
func way(method string) string {
	switch method {
	case "curve":
		return "the fitted curve"
	case "log_line":
		return "the line through ln V"
	case "half_life":
		return "half-lives"
	}
	return "R·C"
}

// percent prints a share to two digits.
func percent(x float64) string {
	if 100*x >= 99.5 { // %.2g would print an exponent
		return fmt.Sprintf("%.0f %%", 100*x)
	}
	decimals := 0
	if x > 0 {
		decimals = max(0, 1-int(math.Floor(math.Log10(99.5/95*100*x)))) // 9.95 and 0.995 become 10 and 1.0
	}
	return fmt.Sprintf("%.*f %%", decimals, 100*x)
}
