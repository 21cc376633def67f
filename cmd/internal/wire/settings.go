package wire

import (
	"errors"
	"fmt"
	"image"
	"math"
	"reflect"
	"slices"
	"strings"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
)

// Settings are what a person gives beside the photo, each as the text that was typed; "" means not
// given. Flags of the command line and fields of JSON have the same names, with - for _.
type Settings struct {
	File         string `json:"file"`  // the photo's name, for the document only
	Title        string `json:"title"` // a heading for the page
	TimePerBox   string `json:"time_per_box"`
	TimeAccuracy string `json:"time_accuracy"`      // limits of the time base, e.g. 100ppm
	Turn         string `json:"turn"`               // degrees clockwise: 90, 180 or 270; 0 leaves it as it stands, whatever its words say
	Corners      string `json:"corners"`            // "x,y x,y x,y x,y" in pixels, top-left first, clockwise
	CornerDoubt  string `json:"corner_uncertainty"` // pixels, standard uncertainty of each coordinate
	Boxes        string `json:"boxes"`              // "10x8"
	Paper        string `json:"paper"`              // "yes": the photo is of a drawing on squared paper
	MonteCarlo   string `json:"monte_carlo"`        // trials beside the budgets

	// The fields of a trace hold for the one that is analysed. Traces has several to analyse, each with what differs from
	// that.
	TraceFields
	Traces []TraceFields `json:"traces"`

	// Readings is the text of a table to be laid beside the trace, ReadingsFile its name, and ReadingsBegin where on the
	// photo its time 0 lies: boxes from the centre, a time from the left rim with its unit, or fit.
	Readings      string `json:"readings"`
	ReadingsFile  string `json:"readings_file"`
	ReadingsBegin string `json:"readings_begin"`

	// Of a table of readings, in the place of a photo or beside one.
	Column       string `json:"column"`  // of the voltages, by its name in the head
	UVolts       string `json:"u_volts"` // standard uncertainty of every voltage, where no column has it
	UTime        string `json:"u_time"`
	ZeroAccuracy string `json:"zero_accuracy"` // limits of the table's 0 V

	// Stage, if not nil, receives what each stage saw. It is for callers in this program and no part of the JSON.
	Stage func(name string, img image.Image) `json:"-"`
	// Begin, if not nil, is called with the name of each stage as it begins.
	Begin func(stage string) `json:"-"`
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
	At               string `json:"at"`         // levels, "9V,7V,5V", or "50%" of the start
	Resistance       string `json:"resistance"`
	Capacitance      string `json:"capacitance"`
	InputResistance  string `json:"input_resistance"`
	SourceResistance string `json:"source_resistance"`

	// What is known of the signal: for a setting that is "find", or to be compared with what is seen.
	KnownFrequency string `json:"known_frequency"`
	KnownTau       string `json:"known_tau"`
	KnownHalfLife  string `json:"known_half_life"`
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
	r, common, err := s.parse()
	if err != nil {
		return r, err
	}
	if len(s.Traces) == 0 {
		r.Traces = []reading.TraceSettings{common}
		return r, knownForForgotten(&r.Traces[0])
	}
	for i, t := range s.Traces {
		one := s
		one.TraceFields = t.Over(s.TraceFields)
		if i > 0 && wantsFound(s.TimePerBox) {
			one.TimePerBox = "" // found once, from the first trace
		}
		with, own, err := one.parse()
		if err != nil {
			return nil, err
		}
		own.TraceColour = with.Trace.Colour
		if own.TraceName == "" && own.TraceColour == nil {
			return nil, &reading.SettingError{Field: "trace", Reason: "one of several traces has no name", Hint: "name each, such as a and b, or give its colour as #rrggbb"}
		}
		if err := knownForForgotten(&own); err != nil {
			return nil, err
		}
		r.Traces = append(r.Traces, own)
	}
	r.Trace.Colour, r.Listed = nil, &common.Setup
	return r, nil
}

// parse reads all but the list of traces, what holds for the photo and what holds for a trace, and does not ask whether
// a forgotten setting can be found.
func (s Settings) parse() (*reading.Settings, reading.TraceSettings, error) {
	r, t := reading.Settings{File: s.File, Stage: s.Stage, Begin: s.Begin}, reading.TraceSettings{}
	probeU := 0.0 // relative
	turn := func(degrees int) error {
		r.Turn = &degrees
		return nil
	}
	fields := []struct {
		name, text string
		read       func(text string) error
	}{
		{"volts-per-box", s.VoltsPerBox, orForgotten(&t.Forgotten.Volts, perBox(&t.Setup.VoltsPerBox, "V"))},
		{"time-per-box", s.TimePerBox, orForgotten(&t.Forgotten.Time, perBox(&t.Setup.TimePerBox, "s"))},
		{"ground", s.Ground, func(text string) (err error) {
			t.Setup.Ground, t.Setup.GroundBox, err = calibrate.ParseGround(text)
			return err
		}},
		{"probe", s.Probe, func(text string) error {
			v, err := unit.Parse(strings.TrimLeft(text, "x×"), "1")
			if t.Setup.Probe = v.X; v.U > 0 {
				probeU = v.U / v.X
			}
			return err
		}},
		{"volts-accuracy", s.VoltsAccuracy, accuracy(&t.Setup.GainLimit)},
		{"time-accuracy", s.TimeAccuracy, accuracy(&t.Setup.TimeLimit)},
		{"signal", s.Signal, func(text string) error {
			if text == analysis.SignalAuto || slices.Contains(analysis.Kinds(), text) {
				t.Analysis.Signal = text
				return nil
			}
			if kind := alsoKinds[strings.ToLower(text)]; kind != "" {
				return refused("there is no kind of signal %q", "write "+kind, text)
			}
			return refused("there is no kind of signal %q", "give "+strings.Join(analysis.Kinds(), ", ")+" or auto", text)
		}},
		{"turn", s.Turn, func(text string) error {
			switch strings.TrimSuffix(text, "°") {
			case "0":
				return turn(0)
			case "90":
				return turn(90)
			case "180":
				return turn(180)
			case "270":
				return turn(270)
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
		{"paper", s.Paper, func(text string) error {
			if r.Paper = text == "yes"; !r.Paper && text != "no" {
				return refused("a photo is of squared paper or not: %q is neither", "give yes or no", text)
			}
			return nil
		}},
		{"trace", s.Trace, func(text string) (err error) {
			if strings.HasPrefix(text, "#") {
				r.Trace.Colour, err = colour(text)
			} else {
				t.TraceName = text
			}
			return err
		}},
		{"from", s.From, place(&t.FromBox, &t.Analysis.From)},
		{"to", s.To, place(&t.ToBox, &t.Analysis.To)},
		{"settles-at", s.SettlesAt, func(text string) error {
			switch text {
			case "free":
				t.Analysis.Settles = analysis.SettlesFree
				return nil
			case "ground":
				t.Analysis.Settles = analysis.SettlesGround
				return nil
			}
			v, err := unit.ParseSigned(text, "V")
			if err != nil {
				return refused("%q is neither free, nor ground, nor a level", "give free, ground, or a level such as 0.5V", text)
			}
			t.Analysis.Settles, t.Analysis.SettlesAt, t.Analysis.SettlesU = analysis.SettlesGiven, v.X, v.U
			return nil
		}},
		{"at", s.At, func(text string) error {
			text, shares, err := unit.CutShares(text)
			t.Analysis.LevelShares = shares
			if err != nil || text == "" {
				return err
			}
			levels, err := unit.ParseLevels(text, "V")
			for _, l := range levels {
				if l.U > 0 {
					return refused("a level to read the time at is a line that you choose, and has no uncertainty: %q", "give it alone, such as 5V", text)
				}
				t.Analysis.Levels = append(t.Analysis.Levels, l.X)
			}
			return err
		}},
		{"resistance", s.Resistance, quantity(&t.Analysis.Resistance, "Ω")},
		{"capacitance", s.Capacitance, quantity(&t.Analysis.Capacitance, "F")},
		{"input-resistance", s.InputResistance, quantity(&t.Analysis.InputResistance, "Ω")},
		{"source-resistance", s.SourceResistance, quantity(&t.Analysis.SourceResistance, "Ω")},
		{"monte-carlo", s.MonteCarlo, func(text string) (err error) {
			t.Analysis.Trials, err = trials(text)
			return err
		}},
		{"known-frequency", s.KnownFrequency, quantity(&t.Forgotten.Frequency, "Hz")},
		{"known-tau", s.KnownTau, quantity(&t.Analysis.Known.Tau, "s")},
		{"known-half-life", s.KnownHalfLife, quantity(&t.Analysis.Known.HalfLife, "s")},
		{"known-level", s.KnownLevel, quantity(&t.Forgotten.Level, "V")},
		{"known-drive", s.KnownDrive, quantity(&t.Forgotten.Drive, "V")},
		{"column", s.Column, func(text string) error {
			r.Table.Column = text
			return nil
		}},
		{"u-volts", s.UVolts, uncertainty(&r.Table.VoltsU, "V")},
		{"u-time", s.UTime, uncertainty(&r.Table.TimeU, "s")},
		{"zero-accuracy", s.ZeroAccuracy, func(text string) error {
			v := unit.Value{}
			err := uncertainty(&v, "V")(text)
			r.Table.ZeroLimit = v.X
			return err
		}},
	}
	for _, f := range fields {
		if f.text == "" {
			continue
		}
		if err := f.read(f.text); err != nil {
			return nil, t, named(f.name, err)
		}
	}
	if probeU > 0 {
		widen(&t.Setup, probeU)
	}
	if s.Readings != "" {
		h := reading.HandReadings{File: s.ReadingsFile, Data: []byte(s.Readings), Fitted: s.ReadingsBegin == "fit"}
		if s.ReadingsBegin != "" && !h.Fitted {
			if err := place(&h.BeginBox, &h.Begin)(s.ReadingsBegin); err != nil {
				return nil, t, named("readings-begin", err)
			}
		}
		r.Readings = &h
	} else if s.ReadingsBegin != "" {
		return nil, t, &reading.SettingError{Field: "readings-begin", Reason: "--readings-begin needs --readings", Hint: "give the table of readings with --readings FILE"}
	}
	return &r, t, nil
}

// knownForForgotten refuses a setting to be found with nothing to find it from. What is known and not needed for that
// is for the analysis to compare.
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
// alsoKinds are kinds of signals by other names that people have for them (common practice, no source).
var alsoKinds = map[string]string{
	"discharge": analysis.SignalDecay, "charge": analysis.SignalDecay, "recharge": analysis.SignalDecay, "exponential": analysis.SignalDecay,
	"rc": analysis.SignalDecay, "square": analysis.SignalStates, "sawtooth": analysis.SignalRamp, "dc": analysis.SignalLevel,
	"constant": analysis.SignalLevel, "sinus": analysis.SignalSine, "sinusoid": analysis.SignalSine, "pulse": analysis.SignalPulses,
}

func refused(format, hint, text string) error {
	return &reading.SettingError{Reason: fmt.Sprintf(format, text), Hint: hint}
}

func quantity(to *unit.Value, want string) func(string) error {
	return func(text string) (err error) {
		*to, err = unit.Parse(text, want)
		return err
	}
}

// uncertainty reads a quantity that says how well another is known.
func uncertainty(to *unit.Value, want string) func(string) error {
	return func(text string) error {
		v, err := unit.Parse(text, want)
		if err == nil && v.U > 0 {
			return refused("%q is an uncertainty that has one itself", "give one value, such as 0.05"+want, text)
		}
		*to = v
		return err
	}
}

// widen adds the relative uncertainty u of a probe to that of the volts scale, which moves all voltages as it does.
func widen(s *calibrate.Setup, u float64) {
	if s.VoltsPerBox.U > 0 {
		s.VoltsPerBox.U = math.Hypot(s.VoltsPerBox.U, u*s.VoltsPerBox.X)
		return
	}
	if s.GainLimit == 0 {
		s.GainLimit = calibrate.DefaultGainLimit
	}
	s.GainLimit = math.Hypot(s.GainLimit, math.Sqrt(3)*u)
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
			return nil
		}
		if v, err := unit.ParseSigned(text, "s"); err == nil && v.U > 0 {
			return refused("%q has an uncertainty, which a place to begin or end at has not", "give it alone, such as 1.2s", text)
		}
		*seconds = &p.X
		return nil
	}
}
