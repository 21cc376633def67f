package analysis

// Records in boxes. Where a scale is not known, the numbers are those of a display with 1 V, or 1 s, a box, and what
// they are in is the box: τ in boxes, a frequency per box. What is known in volts or seconds from elsewhere cannot be
// held against them, and that is told.

import (
	"slices"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// within gives the settings without those that need a scale which is not known, and a note on each scale that is
// missed. From and To are in the record's own unit and stay.
func (s *Settings) within(in unit.Axes) (*Settings, []remark.Remark) {
	own := *s
	var notes []remark.Remark
	missed := func(scale string, names []string) {
		if len(names) > 0 {
			notes = append(notes, remark.Of(KindNeedsScale, remark.Word("scale", scale), remark.Word("settings", strings.Join(names, " "))))
		}
	}
	var names []string
	if in.VoltsInBoxes {
		if s.Settles == SettlesGiven {
			own.Settles, own.SettlesAt = SettlesFree, 0
			names = append(names, fieldSettles)
		}
		if len(s.Levels) > 0 {
			own.Levels = nil
			names = append(names, fieldLevels)
		}
		if s.Known.Level.X > 0 {
			names = append(names, fieldKnownLevel)
		}
		if s.Known.Drive.X > 0 {
			names = append(names, fieldKnownDrive)
		}
		own.Known.Level, own.Known.Drive = unit.Value{}, unit.Value{}
	}
	missed("volts per box", names)
	names = nil
	if in.TimeInBoxes {
		for _, k := range own.Known.times() {
			if k.value.X > 0 {
				names = append(names, k.field)
				*k.value = unit.Value{}
			}
		}
		for _, part := range circuitParts(s)[:2] {
			if part.value.X > 0 {
				names = append(names, part.field)
			}
		}
	}
	missed("time per box", names)
	return &own, notes
}

// Names of settings, as the flags are called.
const (
	fieldSettles        = "settles-at"
	fieldLevels         = "at"
	fieldKnownFrequency = "known-frequency"
	fieldKnownTau       = "known-tau"
	fieldKnownHalfLife  = "known-half-life"
	fieldKnownLevel     = "known-level"
	fieldKnownDrive     = "known-drive"
)

// missing notes those of the settings that would say something of the signal if a scale were known.
func (f *Findings) missing(s *Settings) []remark.Remark {
	own := *s
	if f.Signal != SignalDecay {
		own = Settings{Known: s.Known}
	}
	_, notes := own.within(f.axes)
	return notes
}

// unused notes the settings that say nothing of the kind of signal that was found; known are those of what is known
// from elsewhere that found nothing to be held against.
func (f *Findings) unused(s *Settings, known []string) []remark.Remark {
	names := known
	if f.Signal != SignalDecay {
		if s.Settles != SettlesFree {
			names = append(names, fieldSettles)
		}
		if len(s.Levels)+len(s.LevelShares) > 0 {
			names = append(names, fieldLevels)
		}
		for _, part := range circuitParts(s) {
			if part.value.X > 0 {
				names = append(names, part.field)
			}
		}
	} else if s.Resistance.X == 0 && s.Capacitance.X == 0 {
		for _, part := range circuitParts(s)[2:] {
			if part.value.X > 0 {
				names = append(names, part.field)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	return []remark.Remark{remark.Of(KindSettingsUnused, remark.Word("settings", strings.Join(names, " ")), remark.Word("signal", f.Signal))}
}

// inUnits puts r in the units of the record; what the meters' parts make is in seconds whatever the record is in.
func inUnits(r *Result, in unit.Axes) {
	if ofParts(*r) {
		return
	}
	r.Value.Unit = in.Of(r.Value.Unit)
	for k := range r.Budget {
		r.Budget[k].Unit = in.Of(r.Budget[k].Unit)
	}
}

func ofParts(r Result) bool { return r.Method == "rc" }

// tellUnits says in all remarks in which units their numbers are.
func (f *Findings) tellUnits(in unit.Axes) {
	stamp(f.Doubts, in)
	stamp(f.Notes, in)
	for i, w := range f.WhatIfs {
		if w.Kind != KindIfCapacitor { // which is of the parts
			f.WhatIfs[i] = stamped(w, in)
		}
	}
	for _, r := range f.Results {
		if !ofParts(r) {
			stamp(r.Doubts, in)
			stamp(r.Notes, in)
		}
	}
	stampCompared(f.Comparisons, in)
}

func stampCompared(list []Comparison, in unit.Axes) {
	for i := range list {
		list[i].What = stamped(list[i].What, in)
		stamp(list[i].Causes, in)
	}
}

func stamp(list []remark.Remark, in unit.Axes) {
	for i, r := range list {
		list[i] = stamped(r, in)
	}
}

// stamped gives r with the words for units that are boxes.
func stamped(r remark.Remark, in unit.Axes) remark.Remark {
	if (in == unit.Axes{}) {
		return r
	}
	r.Values = slices.Clone(r.Values)
	if in.TimeInBoxes {
		r.Values = append(r.Values, remark.Word(remark.SecondsIn, unit.Box))
	}
	if in.VoltsInBoxes {
		r.Values = append(r.Values, remark.Word(remark.VoltsIn, unit.Box))
	}
	return r
}
