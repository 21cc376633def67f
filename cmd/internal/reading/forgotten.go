package reading

// Forgotten settings: the trace is analysed in boxes first, as if one box were 1 V or 1 s, and the size that is known
// from elsewhere tells which setting the instrument had.

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/vision/trace"
)

// Forgotten says which settings are to be found, and from what; the zero value, none.
type Forgotten struct {
	Time, Volts bool
	// Known quantities; X = 0 means not given. U = 0 means that nothing was said of how well it is known.
	Frequency    unit.Value // Hz, for Time
	Level, Drive unit.Value // V, for Volts: from ground, or from the lowest level to the highest, of a sine from peak to peak
}

// A foundSetup is a setup with the settings that were found, and what is told of them.
type foundSetup struct {
	calibrate.Setup
	doubts, notes []remark.Remark
}

// recover finds the settings that are forgotten. The time per box is one for all: it is found from the first trace.
func (c *chain) recover() error {
	r := c.r
	for i, a := range r.All() {
		if i > 0 && a.Setup.TimePerBox.X == 0 {
			a.Setup.TimePerBox = r.Setup.TimePerBox
		}
		s := c.wanted[i]
		if !s.Forgotten.Time && !s.Forgotten.Volts {
			continue
		}
		s.Setup, s.Analysis.Trials = a.Setup, 0 // trials are for the results, which are made once the setting is known
		k := keyOf("settings", c.traces, a.Chosen, s)
		found, err := made(c, k, func() (foundSetup, error) { return s.recover(c.ctx, r.Traces[a.Chosen]) })
		if err != nil {
			return err
		}
		a.Setup = found.Setup
		r.Doubts, r.Notes = append(r.Doubts, found.doubts...), append(r.Notes, found.notes...)
	}
	r.noteVolts()
	return nil
}

// noteVolts tells, of several traces, which got the one number of volts per box that was given, and which have none of
// their own. Where each has its own, the settings say so.
func (r *Reading) noteVolts() {
	volts, all := r.Setup.VoltsPerBox.X, r.All()
	var to, without []*trace.Trace
	for i, t := range r.Traces {
		k := slices.IndexFunc(all, func(a *Analysed) bool { return a.Chosen == i })
		switch {
		case k >= 0 && all[k].Setup.VoltsPerBox.X == volts:
			to = append(to, t)
		case k < 0 && !t.Line: // a helper line has no scale
			without = append(without, t)
		}
	}
	if volts == 0 || len(to) < len(all) || len(to) == 1 && len(without) == 0 {
		return
	}
	next := ""
	if len(without) > 0 {
		next = without[0].Name
	}
	r.Notes = append(r.Notes, remark.Of(KindVoltsOfTraces, remark.Number("volts_v", volts), remark.Count("to_count", len(to)),
		remark.Word("to", namesOf(to)), remark.Word("without", namesOf(without)), remark.Word("next", next)))
}

// recover finds what is forgotten of s from t.
func (s *TraceSettings) recover(ctx context.Context, t *trace.Trace) (found foundSetup, err error) {
	f := s.Forgotten
	inBoxes := *s
	if f.Time {
		if s.Analysis.From != nil || s.Analysis.To != nil {
			return found, &SettingError{"from", "--from and --to in seconds need the time per box, which is to be found", "give them in boxes from the centre"}
		}
		inBoxes.Setup.TimePerBox = unit.Value{X: 1, Unit: "s"}
	}
	if f.Volts || s.Setup.VoltsPerBox.X == 0 {
		inBoxes.Setup.VoltsPerBox = unit.Value{X: 1, Unit: "V"}
		inBoxes.Analysis.Levels = nil
		if inBoxes.Analysis.Settles == analysis.SettlesGiven {
			inBoxes.Analysis.Settles = analysis.SettlesFree
		}
	}
	if inBoxes.Setup.TimePerBox.X == 0 { // its time is not asked for
		inBoxes.Setup.TimePerBox = unit.Value{X: 1, Unit: "s"}
	}
	rec, err := inBoxes.Setup.Apply(t)
	if err != nil {
		return found, err
	}
	own, err := inBoxes.analysisOf(inBoxes.Setup, t.Frame)
	if err != nil {
		return found, err
	}
	seen, err := analysis.Analyse(ctx, rec, &own)
	if err != nil {
		return found, err
	}
	found.Setup = s.Setup
	if f.Time {
		period, ok := analysis.PeriodOf(seen)
		if !ok {
			return found, &SettingError{"time-per-box", "the trace shows no period to compare with the known frequency", "show at least one whole period, or name the kind with --signal"}
		}
		known := unit.Value{X: 1 / f.Frequency.X, U: f.Frequency.U / (f.Frequency.X * f.Frequency.X), Unit: "s"}
		period.Unit = "1"
		step, err := analysis.FindScale(period, known)
		if err != nil {
			return found, unfound("time-per-box", err)
		}
		found.TimePerBox = unit.Value{X: step.Setting, U: step.OffU, Unit: "s"}
		found.tell(step, "time per box", "frequency", f.Frequency)
	}
	if f.Volts {
		size, known, of, ok := f.volts(seen)
		if !ok {
			return found, &SettingError{"volts-per-box", noVoltage[f.Level.X > 0], "give --known-drive, the voltage from the lowest level to the highest, of a sine from peak to peak; or name the kind of signal with --signal"}
		}
		step, err := analysis.FindScale(size, known)
		if err != nil {
			return found, unfound("volts-per-box", err)
		}
		found.VoltsPerBox = unit.Value{X: step.Setting, U: step.OffU, Unit: "V"}
		found.tell(step, "volts per box", of, known)
	}
	return found, nil
}

// tell says what was found from what was given: a note, or a doubt of a setting that no row of steps has.
func (f *foundSetup) tell(found *analysis.Scale, setting, of string, given unit.Value) {
	if found.OffRow {
		f.doubts = append(f.doubts, remark.Of(KindSettingOffRow, remark.Word("setting", setting),
			remark.Number("size", found.Size.X), remark.Number("u_size", found.Size.U),
			remark.Word("of", of), remark.Number("given", given.X), remark.Number("u_given", given.U), remark.Number("limit", found.TakenLimit),
			remark.Number("value", found.Setting), remark.Number("u_value", found.OffU),
			remark.Number("next", found.Next), remark.Number("next_zeta", found.NextZeta)))
		return
	}
	f.notes = append(f.notes, remark.Of(KindSettingFound, remark.Word("setting", setting),
		remark.Number("size", found.Size.X), remark.Number("u_size", found.Size.U),
		remark.Word("of", of), remark.Number("given", given.X), remark.Number("u_given", given.U), remark.Number("limit", found.TakenLimit),
		remark.Number("value", found.Setting), remark.Number("zeta", found.Zeta),
		remark.Number("next", found.Next), remark.Number("next_zeta", found.NextZeta)))
}

// noVoltage says what is missing when a level, or a drive, is known.
var noVoltage = map[bool]string{true: "the trace shows no level to compare with the known one", false: "the trace shows no two levels to compare with the known drive"}

// volts gives the size in boxes that goes with the known voltage.
func (f Forgotten) volts(found *analysis.Findings) (size, known unit.Value, of string, ok bool) {
	if f.Level.X > 0 {
		high, _, ok := analysis.LevelsOf(found)
		high.Unit = "1"
		return high, f.Level, "level", ok
	}
	// The scale is one; that it is in here although the boxes themselves are counted is on the safe side.
	size, ok = analysis.DriveOf(found)
	size.Unit = "1"
	return size, f.Drive, "drive", ok && size.X > 0
}

// unfound makes the error of a setting from that of its search.
func unfound(field string, err error) error {
	var none *analysis.NotFoundError
	if errors.As(err, &none) {
		return &SettingError{field, fmt.Sprintf("--%s find: %s", field, none.Reason), none.Hint}
	}
	return err
}
