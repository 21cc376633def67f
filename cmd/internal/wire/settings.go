package wire

import (
	"errors"
	"fmt"
	"reflect"
	"strings"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
)

// Settings are what a person gives beside the photo, each as the text that was typed; "" means not
// given. Flags of the command line and fields of JSON have the same names, with - for _.
type Settings struct {
	File         string `json:"file"` // the photo's name, for the document only
	TimePerBox   string `json:"time_per_box"`
	TimeAccuracy string `json:"time_accuracy"`      // limits of the time base, e.g. 100ppm
	Turn         string `json:"turn"`               // degrees clockwise: 90, 180 or 270; 0 leaves it as it stands, whatever its words say
	Corners      string `json:"corners"`            // "x,y x,y x,y x,y" in pixels, top-left first, clockwise
	CornerDoubt  string `json:"corner_uncertainty"` // pixels, standard uncertainty of each coordinate
	Boxes        string `json:"boxes"`              // "10x8"
	MonteCarlo   string `json:"monte_carlo"`        // trials beside the budgets

	// The fields of a trace hold for the one that is analysed. Traces has several to analyse, each with what differs from that.
	TraceFields
	Traces []TraceFields `json:"traces"`

	// Readings is the text of a table to be laid beside the trace, ReadingsFile its name, and ReadingsBegin where on the photo
	// its time 0 lies: boxes from the centre, a time from the left rim with its unit, or fit.
	Readings      string `json:"readings"`
	ReadingsFile  string `json:"readings_file"`
	ReadingsBegin string `json:"readings_begin"`

	// Of a table of readings, in the place of a photo or beside one.
	Column       string `json:"column"`  // of the voltages, by its name in the head
	UVolts       string `json:"u_volts"` // standard uncertainty of every voltage, where no column has it
	UTime        string `json:"u_time"`
	ZeroAccuracy string `json:"zero_accuracy"` // limits of the table's 0 V
}

// TraceFields are the settings that may differ from trace to trace.
type TraceFields struct {
	Trace            string `json:"trace"` // a name, or #rrggbb
	VoltsPerBox      string `json:"volts_per_box"`
	Ground           string `json:"ground"` // bottom, centre, auto, or boxes from the centre
	Probe            string `json:"probe"`
	VoltsAccuracy    string `json:"volts_accuracy"` // limits of the volts scale, e.g. 3%
	Signal           string `json:"signal"`
	From             string `json:"from"` // boxes from the centre, or a time with its unit
	To               string `json:"to"`
	SettlesAt        string `json:"settles_at"` // ground, free, or a level
	At               string `json:"at"`         // levels, "9V,7V,5V"
	Resistance       string `json:"resistance"`
	Capacitance      string `json:"capacitance"`
	InputResistance  string `json:"input_resistance"`
	SourceResistance string `json:"source_resistance"`

	// What is known of the signal: for a setting that is "find", or to be compared with what is seen.
	KnownFrequency string `json:"known_frequency"`
	KnownLevel     string `json:"known_level"`
	KnownDrive     string `json:"known_drive"`
}

// Over gives the fields of t, and those of common where t has none.
func (t TraceFields) Over(common TraceFields) TraceFields {
	own, out := reflect.ValueOf(t), reflect.ValueOf(&common).Elem()
	for i := range own.NumField() {
		if text := own.Field(i).String(); text != "" {
			out.Field(i).SetString(text)
		}
	}
	return common
}

// Parse reads the settings. Its error is a *reading.SettingError that names the setting, says what
// was read and what is expected.
func (s Settings) Parse() (*reading.Settings, error) {
	r, err := s.parse()
	if err != nil || len(s.Traces) == 0 {
		if err == nil {
			err = knownForForgotten(&r.TraceSettings)
		}
		return r, err
	}
	for i, t := range s.Traces {
		one := s
		one.TraceFields = t.Over(s.TraceFields)
		if i > 0 && wantsFound(s.TimePerBox) {
			one.TimePerBox = "" // found once, from the first trace
		}
		own, err := one.parse()
		if err != nil {
			return nil, err
		}
		own.TraceColour = own.Trace.Colour
		if own.TraceName == "" && own.TraceColour == nil {
			return nil, &reading.SettingError{Field: "trace", Reason: "one of several traces has no name", Hint: "name each, such as a and b, or give its colour as #rrggbb"}
		}
		if err := knownForForgotten(&own.TraceSettings); err != nil {
			return nil, err
		}
		r.Own = append(r.Own, own.TraceSettings)
	}
	r.Trace.Colour, r.TraceName = nil, ""
	return r, nil
}

// parse reads all but the list of traces, and does not ask whether a forgotten setting can be found.
func (s Settings) parse() (*reading.Settings, error) {
	r := reading.Settings{File: s.File}
	fields := []struct {
		name, text string
		read       func(text string) error
	}{
		{"volts-per-box", s.VoltsPerBox, orForgotten(&r.Forgotten.Volts, perBox(&r.Setup.VoltsPerBox, "V"))},
		{"time-per-box", s.TimePerBox, orForgotten(&r.Forgotten.Time, perBox(&r.Setup.TimePerBox, "s"))},
		{"ground", s.Ground, func(text string) (err error) {
			r.Setup.Ground, r.Setup.GroundBox, err = calibrate.ParseGround(text)
			return err
		}},
		{"probe", s.Probe, func(text string) error {
			v, err := unit.Parse(strings.TrimLeft(text, "x×"), "1")
			r.Setup.Probe = v.X
			return err
		}},
		{"volts-accuracy", s.VoltsAccuracy, accuracy(&r.Setup.GainLimit)},
		{"time-accuracy", s.TimeAccuracy, accuracy(&r.Setup.TimeLimit)},
		{"signal", s.Signal, func(text string) error {
			switch text {
			case analysis.SignalAuto, analysis.SignalDecay, analysis.SignalSine, analysis.SignalStates, analysis.SignalLevel:
				r.Analysis.Signal = text
				return nil
			}
			return refused("there is no kind of signal %q", "give decay, sine, states, level or auto", text)
		}},
		{"turn", s.Turn, func(text string) error {
			switch strings.TrimSuffix(text, "°") {
			case "0":
				r.AsItStands = true
				return nil
			case "90":
				r.Photo.Turn, r.AsItStands = 90, true
				return nil
			case "180":
				r.Photo.Turn, r.AsItStands = 180, true
				return nil
			case "270":
				r.Photo.Turn, r.AsItStands = 270, true
				return nil
			}
			return refused("a photo cannot be turned by %q", "give the clockwise turn that makes it upright: 0, 90, 180 or 270", text)
		}},
		{"corners", s.Corners, func(text string) (err error) {
			r.Graticule.Corners, err = corners(text)
			return err
		}},
		{"corner-uncertainty", s.CornerDoubt, func(text string) (err error) {
			r.Graticule.CornerSigma, err = pixels(text)
			return err
		}},
		{"boxes", s.Boxes, func(text string) (err error) {
			r.Graticule.Frame, err = frame(text)
			return err
		}},
		{"trace", s.Trace, func(text string) (err error) {
			if strings.HasPrefix(text, "#") {
				r.Trace.Colour, err = colour(text)
			} else {
				r.TraceName = text
			}
			return err
		}},
		{"from", s.From, place(&r.FromBox, &r.Analysis.From)},
		{"to", s.To, place(&r.ToBox, &r.Analysis.To)},
		{"settles-at", s.SettlesAt, func(text string) error {
			switch text {
			case "free":
				r.Analysis.Settles = analysis.SettlesFree
				return nil
			case "ground":
				r.Analysis.Settles = analysis.SettlesGround
				return nil
			}
			v, err := unit.ParseSigned(text, "V")
			if err != nil {
				return refused("%q is neither free, nor ground, nor a level", "give free, ground, or a level such as 0.5V", text)
			}
			r.Analysis.Settles, r.Analysis.SettlesAt = analysis.SettlesGiven, v.X
			return nil
		}},
		{"at", s.At, func(text string) error {
			levels, err := unit.ParseLevels(text, "V")
			for _, l := range levels {
				r.Analysis.Levels = append(r.Analysis.Levels, l.X)
			}
			return err
		}},
		{"resistance", s.Resistance, quantity(&r.Analysis.Resistance, "Ω")},
		{"capacitance", s.Capacitance, quantity(&r.Analysis.Capacitance, "F")},
		{"input-resistance", s.InputResistance, quantity(&r.Analysis.InputResistance, "Ω")},
		{"source-resistance", s.SourceResistance, quantity(&r.Analysis.SourceResistance, "Ω")},
		{"monte-carlo", s.MonteCarlo, func(text string) (err error) {
			r.Analysis.Trials, err = trials(text)
			return err
		}},
		{"known-frequency", s.KnownFrequency, quantity(&r.Forgotten.Frequency, "Hz")},
		{"known-level", s.KnownLevel, quantity(&r.Forgotten.Level, "V")},
		{"known-drive", s.KnownDrive, quantity(&r.Forgotten.Drive, "V")},
		{"column", s.Column, func(text string) error {
			r.Table.Column = text
			return nil
		}},
		{"u-volts", s.UVolts, quantity(&r.Table.VoltsU, "V")},
		{"u-time", s.UTime, quantity(&r.Table.TimeU, "s")},
		{"zero-accuracy", s.ZeroAccuracy, func(text string) error {
			v, err := unit.Parse(text, "V")
			r.Table.ZeroLimit = v.X
			return err
		}},
	}
	for _, f := range fields {
		if f.text == "" {
			continue
		}
		if err := f.read(f.text); err != nil {
			return nil, named(f.name, err)
		}
	}
	if s.Readings != "" {
		h := reading.HandReadings{File: s.ReadingsFile, Data: []byte(s.Readings), Fitted: s.ReadingsBegin == "fit"}
		if s.ReadingsBegin != "" && !h.Fitted {
			if err := place(&h.BeginBox, &h.Begin)(s.ReadingsBegin); err != nil {
				return nil, named("readings-begin", err)
			}
		}
		r.Readings = &h
	} else if s.ReadingsBegin != "" {
		return nil, &reading.SettingError{Field: "readings-begin", Reason: "--readings-begin needs --readings", Hint: "give the table of readings with --readings FILE"}
	}
	return &r, nil
}

// knownForForgotten refuses a setting to be found with nothing to find it from. What is known and not needed for that is
// for the analysis to compare.
func knownForForgotten(r *reading.TraceSettings) error {
	f, known := &r.Forgotten, &r.Analysis.Known
	if f.Time && f.Frequency.X == 0 {
		return &reading.SettingError{Field: "time-per-box", Reason: "--time-per-box find needs --known-frequency",
			Hint: "give both, such as --time-per-box find --known-frequency 50Hz, or the time per box"}
	}
	if f.Volts && (f.Level.X > 0) == (f.Drive.X > 0) {
		return &reading.SettingError{Field: "volts-per-box", Reason: "--volts-per-box find needs one of --known-level and --known-drive",
			Hint: "give both, such as --volts-per-box find --known-level 9V, or the volts per box"}
	}
	if !f.Time {
		known.Frequency, f.Frequency = f.Frequency, unit.Value{}
	}
	if !f.Volts {
		known.Level, known.Drive = f.Level, f.Drive
		f.Level, f.Drive = unit.Value{}, unit.Value{}
	}
	return nil
}

// wantsFound says that a setting is to be found. A question mark does as well, where the shell leaves it alone.
func wantsFound(text string) bool { return text == "find" || text == "?" }

// orForgotten takes notice of a setting that is to be found.
func orForgotten(forgotten *bool, read func(string) error) func(string) error {
	return func(text string) error {
		if wantsFound(text) {
			*forgotten = true
			return nil
		}
		return read(text)
	}
}

// named turns what a parser says into a SettingError of the setting called name.
func named(name string, err error) error {
	var (
		parse   *unit.ParseError
		setup   *calibrate.SetupError
		setting *reading.SettingError
	)
	out := &reading.SettingError{Field: name, Reason: err.Error()}
	switch {
	case errors.As(err, &parse):
		out.Hint = parse.Hint
	case errors.As(err, &setup):
		out.Hint = setup.Hint
	case errors.As(err, &setting):
		out.Hint = setting.Hint
	}
	out.Reason = "--" + name + ": " + out.Reason
	return out
}

// refused makes the error of a text that is not what format, with its one verb, says.
func refused(format, hint, text string) error {
	return &reading.SettingError{Reason: fmt.Sprintf(format, text), Hint: hint}
}

func quantity(to *unit.Value, want string) func(string) error {
	return func(text string) (err error) {
		*to, err = unit.Parse(text, want)
		return err
	}
}

// perBox reads a scale with or without the words for a box that displays and people put behind it.
func perBox(to *unit.Value, want string) func(string) error {
	return func(text string) (err error) {
		scale, box, found := strings.Cut(text, "/")
		switch strings.ToLower(strings.TrimSpace(box)) {
		case "box", "div", "div.", "division":
			text = scale
		default:
			if found {
				return refused("%q is not a scale per box", "give the value of one box, such as 1.5V or 250us", text)
			}
		}
		*to, err = unit.Parse(text, want)
		return err
	}
}

func accuracy(to *float64) func(string) error {
	return func(text string) (err error) {
		*to, err = unit.ParseAccuracy(text)
		return err
	}
}

func place(box, seconds **float64) func(string) error {
	return func(text string) error {
		p, err := unit.ParsePlace(text)
		if err != nil {
			return err
		}
		if p.Boxes {
			*box = &p.X
		} else {
			*seconds = &p.X
		}
		return nil
	}
}
