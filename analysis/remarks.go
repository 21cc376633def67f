package analysis

import "quadrille/calibrate/remark"

// What findings are doubted for, and what is worth knowing of them. Values in SI units end with _s, _v, _hz or _ohm; a
// share is of 1; u_ before a name is its standard uncertainty.
const (
	// KindPointsScatter doubts a trace whose points lie about the curve by a share of its height.
	KindPointsScatter remark.Kind = "analysis.points_scatter"
	// KindCouldAlsoBe doubts the kind that was recognised for another one, signal, that explains nearly as much.
	KindCouldAlsoBe remark.Kind = "analysis.could_also_be"
	// KindNotRecognised doubts a shape that is no kind's; with_period says that a period was counted all the same.
	KindNotRecognised remark.Kind = "analysis.not_recognised"
	// KindAnotherKind doubts the kind asked for beside the one that would be recognised: left_KIND or silent_KIND as
	// Told.Left.
	KindAnotherKind remark.Kind = "analysis.another_kind"
	// KindPartOfCycle doubts a sine of which few cycles are seen; KindNotQuiteSine notes one that leaves a share of its
	// amplitude; KindOvertones doubts one of such a total harmonic distortion that few would call it a sine; KindCrestsOff
	// doubts the height of one whose crests stand off_v further apart than the curve's.
	KindPartOfCycle  remark.Kind = "analysis.part_of_cycle"
	KindOvertones    remark.Kind = "analysis.overtones"
	KindNotQuiteSine remark.Kind = "analysis.not_quite_sine"
	KindCrestsOff    remark.Kind = "analysis.crests_off"
	// KindHardlySquare doubts two levels with a share of the points between them, KindUneven transitions off an even count
	// by a share of a period, KindNoTransition says that there is none.
	KindHardlySquare remark.Kind = "analysis.hardly_square"
	KindUneven       remark.Kind = "analysis.transitions_uneven"
	// KindNoPeriod notes transitions so far off an even count, by a share of a period, that no period is told.
	KindNoPeriod     remark.Kind = "analysis.no_period"
	KindNoTransition remark.Kind = "analysis.no_transition"
	// KindSteep notes a transition that the picture draws as steep as it can, and which lasts most_s at most.
	KindSteep remark.Kind = "analysis.transition_steep"
	// KindStep notes that two levels are seen before and after a single step, of which there is no period.
	// KindSinglePulse, KindBurst (so many pulses), KindRoundedTops and KindNarrowPulses (so many) note what pulses were
	// seen.
	KindStep         remark.Kind = "analysis.single_step"
	KindSinglePulse  remark.Kind = "analysis.single_pulse"
	KindBurst        remark.Kind = "analysis.burst"
	KindRoundedTops  remark.Kind = "analysis.rounded_tops"
	KindNarrowPulses remark.Kind = "analysis.narrow_pulses"
	// KindOneCorner and KindOneSlope note a triangle or a ramp of which too little is seen for a period, KindPeriodNotSeen
	// one of which less than a period is seen, so many cycles.
	KindOneCorner     remark.Kind = "analysis.one_corner"
	KindOneSlope      remark.Kind = "analysis.one_slope"
	KindPeriodNotSeen remark.Kind = "analysis.period_not_seen"
	// KindDrifts doubts a level that changes by change_v, KindStrokes one with narrow strokes as far as top_v.
	KindDrifts  remark.Kind = "analysis.level_drifts"
	KindStrokes remark.Kind = "analysis.level_with_strokes"
	// KindNeedsScale notes settings (their names, with spaces between) that need a scale which is not known: "volts per
	// box" or "time per box". KindSettingsUnused notes those that say nothing of the signal.
	KindNeedsScale     remark.Kind = "analysis.needs_scale"
	KindSettingsUnused remark.Kind = "analysis.settings_unused"
	// KindUncertaintyUnknown doubts a result without u: why is "value", "source" (then the term of the budget), "freedom"
	// or "inputs". KindFewDegrees notes one with few degrees of freedom and a wide coverage factor k.
	KindUncertaintyUnknown remark.Kind = "analysis.uncertainty_unknown"
	KindFewDegrees         remark.Kind = "analysis.few_degrees_of_freedom"

	// KindBeginningLeftOut notes that the trace bends into its decays by and by, and that so many taus of each were left
	// out; of the first until_s.
	KindBeginningLeftOut remark.Kind = "analysis.beginning_left_out"
	// KindStretchesLeftOut notes parts of decays that tell no τ, KindPointsLeftOut points far off the curve.
	KindStretchesLeftOut remark.Kind = "analysis.stretches_left_out"
	KindPointsLeftOut    remark.Kind = "analysis.points_left_out"
	// KindShortDecay tells that a decay with its level fitted is seen for a number of taus.
	KindShortDecay remark.Kind = "analysis.short_decay"
	// KindDecaysDiffer doubts decays of one record whose τ differ.
	KindDecaysDiffer remark.Kind = "analysis.decays_differ"
	// KindTurnsEarly notes a drive that turns round after a number of taus, a share short of its level.
	KindTurnsEarly remark.Kind = "analysis.drive_turns_early"
	// KindEndsFlat doubts a decay ("fall 1") that a level follows without a bend.
	KindEndsFlat remark.Kind = "analysis.decay_ends_flat"
	// KindNoHalfLife notes that none can be read.
	KindNoHalfLife remark.Kind = "analysis.no_half_life"
	// KindScatterWide doubts points that scatter so many times as far as stated, KindScatterOfRows notes it where pixels
	// make it.
	KindScatterWide   remark.Kind = "analysis.scatter_beyond_uncertainty"
	KindScatterOfRows remark.Kind = "analysis.scatter_of_rows"
	// KindBent tells of points that bend away from one exponential, with early_s and late_s, the τ of its parts, if they
	// tell one.
	KindBent remark.Kind = "analysis.bent"
	// KindSettlesElsewhere doubts the level that a decay was held to, KindSomeSettleElsewhere tells how many were held;
	// at_v is that level, if it is not ground.
	KindSettlesElsewhere     remark.Kind = "analysis.settles_elsewhere"
	KindSomeSettleElsewhere  remark.Kind = "analysis.some_settle_elsewhere"
	KindLevelIsStart         remark.Kind = "analysis.level_is_where_it_begins" // level_v
	KindLevelNotPassed       remark.Kind = "analysis.level_not_passed"         // level_v
	KindKneeNotSeen          remark.Kind = "analysis.knee_not_seen"            // with_times: and times count from the first point
	KindSettlesBelowGround   remark.Kind = "analysis.settles_below_ground"     // level_v
	KindSettlesOffGround     remark.Kind = "analysis.settles_off_ground"       // level_v
	KindUpsideDown           remark.Kind = "analysis.upside_down"              // share of the height that a decay leaves of the trace turned
	KindSeenIsNotGiven       remark.Kind = "analysis.seen_is_not_given"        // of a quantity, as KindSeenAndGiven; zeta
	KindTauFarFromRC         remark.Kind = "analysis.tau_far_from_rc"
	KindWaysDiffer           remark.Kind = "analysis.ways_differ"
	KindIntervalUneven       remark.Kind = "analysis.interval_uneven"           // low_s; high_s, if there is such
	KindNoAccuracy           remark.Kind = "analysis.no_accuracy"               // of a part; limit_share was taken
	KindRCLoose              remark.Kind = "analysis.rc_loose"                  // share
	KindSourceUnknown        remark.Kind = "analysis.source_resistance_unknown" // share of R; for_part: of the part made from τ
	KindInputUnknown         remark.Kind = "analysis.input_resistance_unknown"
	KindInputUnknownForPart  remark.Kind = "analysis.input_resistance_unknown_for_part" // counted: in its uncertainty
	KindTrials               remark.Kind = "analysis.trials"
	KindTrialsWithout        remark.Kind = "analysis.trials_without_result"
	KindTrialsDisagree       remark.Kind = "analysis.trials_disagree"
	KindBandOfNoise          remark.Kind = "analysis.band_of_noise"
	KindLoneStroke           remark.Kind = "analysis.lone_stroke"      // beyond_v
	KindBeyondLevels         remark.Kind = "analysis.beyond_levels"    // beyond_v
	KindDrawnHigher          remark.Kind = "analysis.drawn_higher"     // drawn_v than other_v by a method
	KindNoCommonFrequency    remark.Kind = "analysis.no_one_frequency" // of traces a and b
	KindPhase                remark.Kind = "analysis.phase"            // of b against a
	KindReadingsWithoutU     remark.Kind = "analysis.readings_without_uncertainty"
	KindReadingsUFromScatter remark.Kind = "analysis.readings_uncertainty_from_scatter"
	KindReadingsOdd          remark.Kind = "analysis.readings_odd"
)

// How things compare; each with gap and u_gap in unit, and whether they agree.
const (
	// KindTwoWays: τ one_s by one method and other_s by other; loose_share, if agreement says little; mean_s, if it is
	// better than either.
	KindTwoWays remark.Kind = "analysis.two_ways"
	// KindAllWays: χ² of so many ways for degrees of freedom, of whose pairs some differ. KindWaysShare: no χ² of theirs
	// is to be had.
	KindAllWays   remark.Kind = "analysis.all_ways"
	KindWaysShare remark.Kind = "analysis.ways_share"
	// KindDecaysAlike: χ² of the decays of one record, and their Birge ratio.
	KindDecaysAlike remark.Kind = "analysis.decays_alike"
	// KindCurveAndCount, KindCurveAndBoxes: the period of a fitted curve and the counted one.
	KindCurveAndCount remark.Kind = "analysis.period_by_curve_and_count"
	KindCurveAndBoxes remark.Kind = "analysis.period_by_curve_and_boxes"
	// KindSeenAndGiven: a quantity ("frequency", "drive", "level") seen and given; limit_share, if that was taken for its
	// accuracy.
	KindSeenAndGiven remark.Kind = "analysis.seen_and_given"
	// KindReadingsInTheMean: readings and trace. KindPhotoAndReadings: photo and readings for one quantity by one method.
	KindReadingsInTheMean remark.Kind = "analysis.readings_in_the_mean"
	KindPhotoAndReadings  remark.Kind = "analysis.photo_and_readings"
	// KindTwoFrequencies, KindTwoPeriods: of traces a and b. KindDriveAndDecay: the drive_v on trace a, the swing_v of
	// where b settles.
	KindTwoFrequencies remark.Kind = "analysis.two_frequencies"
	KindTwoPeriods     remark.Kind = "analysis.two_periods"
	KindDriveAndDecay  remark.Kind = "analysis.drive_and_decay"
)

// What may stand behind a disagreement; with share, if it is known how much of the gap it could explain.
const (
	KindCauseInput      remark.Kind = "analysis.cause_input"             // left out
	KindCauseSource     remark.Kind = "analysis.cause_source"            // left out
	KindCauseCapacitor  remark.Kind = "analysis.cause_capacitor_marking" // limit_share
	KindCauseResistor   remark.Kind = "analysis.cause_resistor_marking"  // limit_share
	KindCauseLevel      remark.Kind = "analysis.cause_level"             // off_v, off_box or off_share
	KindCauseLeak       remark.Kind = "analysis.cause_leak"              // leak_ohm
	KindCauseSeries     remark.Kind = "analysis.cause_series"            // series_ohm
	KindCauseVInf       remark.Kind = "analysis.cause_v_inf"             // off_v, off_box or off_share
	KindCauseKnee       remark.Kind = "analysis.cause_knee"              // step_s
	KindCauseBend       remark.Kind = "analysis.cause_bend"              // not one exponential
	KindCauseTimePerBox remark.Kind = "analysis.cause_time_per_box"      // or a prefix
	KindCauseDivider    remark.Kind = "analysis.cause_divider"           // an input beside resistance_ohm
	KindCauseProbe      remark.Kind = "analysis.cause_probe"             // ×10, not told of
	KindCauseStep       remark.Kind = "analysis.cause_step"              // volts per box one step too low
	// KindCauseOpenGenerator: a dial that counts on a load of 50 Ω. KindCauseScale: a setting off by a factor, of what
	// is compared.
	KindCauseOpenGenerator remark.Kind = "analysis.cause_open_generator"
	KindCauseScale         remark.Kind = "analysis.cause_scale"
	KindCauseNoSine        remark.Kind = "analysis.cause_no_sine"            // a trace that is none
	KindCauseBadStretch    remark.Kind = "analysis.cause_bad_stretch"        // read badly
	KindCauseTwoWays       remark.Kind = "analysis.cause_charging"           // a resistance that differs from discharging
	KindCauseUnsteadyDrive remark.Kind = "analysis.cause_unsteady_drive"     // from cycle to cycle
	KindCauseNotLocked     remark.Kind = "analysis.cause_sources_not_locked" // to each other
	KindCauseGroundApart   remark.Kind = "analysis.cause_ground_apart"       // gap_box
	KindCauseOtherZero     remark.Kind = "analysis.cause_other_time_zero"    // of a table
	KindCauseOffReading    remark.Kind = "analysis.cause_off_reading"        // one of a table
	KindCauseOtherPart     remark.Kind = "analysis.cause_other_part"         // of the signal
)

// What the usual mistakes would do to τ.
const (
	KindIfVInf      remark.Kind = "analysis.if_v_inf_wrong"     // off_v, off_box or off_share; too_far and too_near, shares of τ
	KindIfGround    remark.Kind = "analysis.if_ground_off"      // the same; share of τ, if V∞ is held
	KindIfInput     remark.Kind = "analysis.if_input_loads"     // resistance_ohm; share of τ, counted in R·C or not
	KindIfInputAny  remark.Kind = "analysis.if_input_loads_any" // R is not known
	KindIfCapacitor remark.Kind = "analysis.if_capacitor_marked"
	KindIfFromDrive remark.Kind = "analysis.if_half_lives_from_drive" // short_share, after taus, begins_share short
	KindIfShort     remark.Kind = "analysis.if_shown_short"           // only so many taus; times as uncertain
)
