package reading

// Forgotten settings: the trace is analysed in boxes first, as if one box were 1 V or 1 s, and the size that is known
// from elsewhere tells which setting the instrument had.

import (
	"errors"
	"fmt"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// Forgotten says which settings are to be found, and from what; the zero value, none.
type Forgotten struct {
	Time, Volts bool
	// Known quantities; X = 0 means not given. U = 0 means that nothing was said of how well it is known.
	Frequency    unit.Value // Hz, for Time
	Level, Drive unit.Value // V, for Volts: from ground, or from the lowest level to the highest, of a sine from peak to peak
}

// recover finds the settings that are forgotten, and puts them into the wanted traces' and into those of the reading. The time
// per box is one for all: it is found from the first trace.
func (r *Reading) recover(wanted []TraceSettings) error {
	for i, a := range r.All() {
		w := &wanted[i]
		if i > 0 && w.Setup.TimePerBox.X == 0 {
			w.Setup.TimePerBox = wanted[0].Setup.TimePerBox
		}
		if err := r.recoverOne(a, w); err != nil {
			return err
		}
		a.Setup = w.Setup
	}
	return nil
}

func (r *Reading) recoverOne(a *Analysed, s *TraceSettings) error {
	f := s.Forgotten
	if !f.Time && !f.Volts {
		return nil
	}
	probe := *s
	probe.Analysis.Trials = 0 // they are for the results, which are made once the setting is known
	if f.Time {
		if s.Analysis.From != nil || s.Analysis.To != nil {
			return &SettingError{"from", "--from and --to in seconds need the time per box, which is to be found", "give them in boxes from the centre"}
		}
		probe.Setup.TimePerBox = unit.Value{X: 1, Unit: "s"}
	}
	if f.Volts || s.Setup.VoltsPerBox.X == 0 {
		probe.Setup.VoltsPerBox = unit.Value{X: 1, Unit: "V"}
		probe.Analysis.Levels = nil
		if probe.Analysis.Settles == analysis.SettlesGiven {
			probe.Analysis.Settles = analysis.SettlesFree
		}
	}
	if probe.Setup.TimePerBox.X == 0 { // its time is not asked for
		probe.Setup.TimePerBox = unit.Value{X: 1, Unit: "s"}
	}
	rec, err := probe.Setup.Apply(r.Traces[a.Chosen])
	if err != nil {
		return err
	}
	trial := &Reading{Graticule: r.Graticule, Traces: r.Traces, Records: make([]*calibrate.Record, len(r.Traces)), Analysed: Analysed{Chosen: a.Chosen}}
	trial.Records[a.Chosen] = rec
	if err := trial.Analysed.analyse(trial, &probe); err != nil {
		return err
	}
	if f.Time {
		period, ok := analysis.PeriodOf(trial.Findings)
		if !ok {
			return &SettingError{"time-per-box", "the trace shows no period to compare with the known frequency", "show at least one whole period, or name the kind with --signal"}
		}
		known := unit.Value{X: 1 / f.Frequency.X, U: f.Frequency.U / (f.Frequency.X * f.Frequency.X), Unit: "s"}
		period.Unit = "1"
		found, err := analysis.FindScale(period, known)
		if err != nil {
			return unfound("time-per-box", err)
		}
		s.Setup.TimePerBox = unit.Value{X: found.Setting, U: found.OffU, Unit: "s"}
		r.tell(found, "time per box", "frequency", f.Frequency)
	}
	if f.Volts {
		size, known, of, ok := f.volts(trial.Findings)
		if !ok {
			return &SettingError{"volts-per-box", noVoltage[f.Level.X > 0], "give --known-drive, the voltage from the lowest level to the highest, of a sine from peak to peak; or name the kind of signal with --signal"}
		}
		found, err := analysis.FindScale(size, known)
		if err != nil {
			return unfound("volts-per-box", err)
		}
		s.Setup.VoltsPerBox = unit.Value{X: found.Setting, U: found.OffU, Unit: "V"}
		r.tell(found, "volts per box", of, known)
	}
	return nil
}

// tell says what was found from what was given: a note, or a doubt of a setting that no row of steps has.
func (r *Reading) tell(found *analysis.Scale, setting, of string, given unit.Value) {
	if found.OffRow {
		r.Doubts = append(r.Doubts, remark.Of(KindSettingOffRow, remark.Word("setting", setting),
			remark.Number("size", found.Size.X), remark.Number("u_size", found.Size.U),
			remark.Word("of", of), remark.Number("given", given.X), remark.Number("u_given", given.U), remark.Number("limit", found.TakenLimit),
			remark.Number("value", found.Setting), remark.Number("u_value", found.OffU),
			remark.Number("next", found.Next), remark.Number("next_zeta", found.NextZeta)))
		return
	}
	r.Notes = append(r.Notes, remark.Of(KindSettingFound, remark.Word("setting", setting),
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
