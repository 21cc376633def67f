package analysis

// What is known from elsewhere, held against what is seen: the frequency on a generator's dial, the voltage of a
// battery, the drive of a generator. A capacitor that is charged to less than the drive tells what bleeds it: of a
// drive V through R it keeps V·Rp/(R + Rp) beside a resistance Rp.

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// Known is what is known of a signal from elsewhere; X = 0 means nothing. U = 0 means that nothing was said of how
// well.
type Known struct {
	Frequency     unit.Value // Hz
	Tau, HalfLife unit.Value // s, of a decay
	Level, Drive  unit.Value // V: the highest level from ground, and from the lowest level to the highest, of a sine from peak to peak
}

// What is known, as the comparisons name it.
const ofFrequency, ofDrive, ofLevel, ofTau, ofHalfLife = "frequency", "drive", "level", "time constant", "half-life"

// A knownTime is one of what is known that needs the time per box, with its setting's name and the quantity it is
// compared with.
type knownTime struct {
	field, of, quantity string
	value               *unit.Value
}

func (k *Known) times() []knownTime {
	return []knownTime{{fieldKnownFrequency, ofFrequency, "frequency", &k.Frequency}, {fieldKnownTau, ofTau, "tau", &k.Tau},
		{fieldKnownHalfLife, ofHalfLife, "half_life", &k.HalfLife}}
}

// groundTerm names the effect that a difference of two levels is free of.
const groundTerm = "ground line"

// compareKnown adds a comparison for each quantity that is known and seen, and gives the names of the settings that
// found nothing to be compared with.
func (f *Findings) compareKnown(s *Settings) (unused []string) {
	for _, k := range s.Known.times() {
		if !(k.value.X > 0) {
			continue
		}
		at := slices.IndexFunc(f.Results, func(r Result) bool { return r.Quantity == k.quantity && r.Value.U > 0 && !ofParts(r) })
		if at < 0 {
			unused = append(unused, k.field)
			continue
		}
		f.compareWith(*k.value, k.of, f.Results[at].Value, []int{at}, nil)
	}
	before := len(f.Comparisons)
	if i, k := f.peakToPeak(), s.Known.Drive; i >= 0 && k.X > 0 {
		f.compareWith(k, ofDrive, f.Results[i].Value, []int{i}, nil)
	}
	high, low := f.extremes()
	if s.Known.Level.X > 0 && high < 0 {
		unused = append(unused, fieldKnownLevel)
	}
	if s.Known.Drive.X > 0 && high == low && len(f.Comparisons) == before {
		unused = append(unused, fieldKnownDrive)
	}
	if high < 0 {
		return unused
	}
	top := f.Results[high].Value
	if k := s.Known.Level; k.X > 0 {
		f.compareWith(k, ofLevel, top, []int{high}, s.bleeding(k.X, top.X))
	}
	if k := s.Known.Drive; k.X > 0 && low != high {
		seen := unit.Value{X: top.X - f.Results[low].Value.X, Unit: "V"}
		for _, i := range []int{high, low} {
			for _, t := range f.Results[i].Budget {
				if t.Source != groundTerm { // moves both alike
					seen.U = math.Hypot(seen.U, t.U)
				}
			}
		}
		f.compareWith(k, ofDrive, seen, []int{high, low}, s.bleeding(k.X, seen.X))
	}
	return unused
}

// extremes gives the places of the highest and the lowest level among the results, -1 if there is none. Of a decay they
// are where it would settle, which no drive that turns round too early can hide, and where it begins if it falls from a
// level.
func (f *Findings) extremes() (high, low int) {
	high, low = -1, -1
	for i, r := range f.Results {
		switch {
		case !(r.Value.U > 0):
			continue
		case r.Role != AtLevel:
			continue
		}
		if high < 0 || r.Value.X > f.Results[high].Value.X {
			high = i
		}
		if low < 0 || r.Value.X < f.Results[low].Value.X {
			low = i
		}
	}
	return high, low
}

// bleeding are the causes for which a capacitor behind R shows less than the voltage it is driven with.
func (s *Settings) bleeding(given, seen float64) (list []cause) {
	r := s.Resistance.X + s.SourceResistance.X
	if !(r > 0) || !(seen > 0) {
		return nil
	}
	short := given - seen
	list = append(list, cause{what: remark.Of(KindCauseDivider, remark.Number("resistance_ohm", r)), gap: -given * r / (r + usualInput)})
	if leak := r * seen / short; short > 0 {
		list = append(list, cause{what: remark.Of(KindCauseLeak, remark.Number("leak_ohm", leak)), gap: -short, fitted: true})
	}
	return list
}

// compareWith adds the comparison of what is seen with what is known.
func (f *Findings) compareWith(known unit.Value, what string, seen unit.Value, results []int, causes []cause) {
	var limit []remark.Value
	if known.U == 0 {
		known, limit = unit.Limits(known.X, defaultKnown*known.X, known.Unit), []remark.Value{remark.Number("limit_share", defaultKnown)}
	}
	gap, u := seen.X-known.X, math.Hypot(seen.U, known.U)
	c := compared(KindSeenAndGiven, gap, u, known.Unit, results, append(limit, remark.Word("of", what), remark.Number("seen", seen.X), remark.Number("u_seen", seen.U),
		remark.Number("given", known.X), remark.Number("u_given", known.U))...)
	if !c.Agree {
		c.Causes = explain(gap, append(causes, scaleCauses(what, known.X, gap)...))
		if len(c.Causes) == 0 || c.Causes[0].Number("share") < nearlyAll {
			factor := known.X / seen.X
			if what == ofFrequency { // the lower, the longer a box lasts
				factor = seen.X / known.X
			}
			c.Causes = append(c.Causes, remark.Of(KindCauseScale, remark.Word("of", what), remark.Number("factor", factor)))
		}
	}
	if math.Abs(c.Zeta) > knownDoubt {
		f.Doubts = append(f.Doubts, remark.Of(KindSeenIsNotGiven, remark.Word("of", what), remark.Number("seen", seen.X), remark.Number("u_seen", seen.U),
			remark.Number("given", known.X), remark.Number("u_given", known.U), remark.Number("zeta", c.Zeta)))
	}
	f.Comparisons = append(f.Comparisons, c)
}

// knownDoubt is the |zeta| from which on what is seen and what was given cannot both be right: by chance 1 in 370
// (TestWhatIsNotTheGivenIsDoubted).
const knownDoubt = 3.0

// scaleCauses are those of a gap that a setting makes: the next step of its switch, or a probe.
func scaleCauses(what string, known, gap float64) []cause {
	off := func(k remark.Kind, factor float64) cause { return cause{what: remark.Of(k), gap: known * (factor - 1)} }
	if what != ofLevel && what != ofDrive {
		return nil
	}
	list := []cause{}
	all := []cause{off(KindCauseProbe, 0.1), off(KindCauseStep, 0.5)}
	if what == ofDrive {
		all = append(all, off(KindCauseOpenGenerator, 2))
	}
	for _, c := range all {
		if math.Abs(c.gap/gap-1) < stepShare {
			list = append(list, c)
		}
	}
	return list
}

// stepShare is how near a gap must lie to that of a wrong step for it to be named: no two steps are nearer than 20 %
// (TestWhichSettingExplainsAGap).
const stepShare = 0.1
