// Package reading runs the pipeline: the bytes of a photo and the settings in, a reading out. It is a
// list of stages, each of which makes one value from those before it and knows nothing of those
// after it.
package reading

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"slices"
	"time"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
	"quadrille/vision/upright"
)

// Settings is everything that a reading depends on beside the photo's bytes.
type Settings struct {
	File  string // the photo's name, for the document only
	Photo photo.Options
	// AsItStands says that the person told how the photo stands, by Photo.Turn or that it needs none.
	AsItStands bool
	Graticule  graticule.Options
	Trace      trace.Options
	Table      calibrate.Table // of a table of readings; its probe and accuracies are Setup's
	// TraceSettings hold for the one trace that is analysed, and for those that are only listed. Own has the traces to
	// analyse when several are, each with all its settings; the time base is one for all.
	TraceSettings
	Own      []TraceSettings
	Readings *HandReadings                      // to be laid beside the trace; nil for none
	Stage    func(name string, img image.Image) // nil, or receives what each stage saw
}

// TraceSettings are what a trace is scaled and analysed with.
type TraceSettings struct {
	TraceName   string          // "a", "b", …; "" means the most prominent, or that of TraceColour
	TraceColour *[3]uint8       // of a trace of Own that is named by its colour
	Forgotten   Forgotten       // settings to be found from what is known of the signal
	Setup       calibrate.Setup // a scale of 0 means that it is not known: the trace stays in boxes
	Analysis    analysis.Settings
	// FromBox and ToBox are Analysis.From and To in boxes from the frame's centre; nil if not given so.
	FromBox, ToBox *float64
}

// A Reading is what one photo gave. When a stage fails, the values of those before it are there.
type Reading struct {
	File      string
	Photo     *photo.Photo
	Table     *TableFile // in the place of the photo, its grid and its traces; nil for a photo
	Graticule *graticule.Graticule
	Words     *upright.Words // what the words on the display say of which way is up
	Traces    []*trace.Trace
	Records   []*calibrate.Record // one a trace; nil for a trace whose scales are not known
	Analysed                      // the trace that is analysed, or the first of several
	Others    []Analysed          // further ones
	Pairs     []Pair
	Beside    *Beside         // readings laid beside the trace that is analysed; nil without
	Doubts    []remark.Remark // of the reading as a whole; each room's own doubts stay with its value
	Notes     []remark.Remark // what is worth knowing of the reading as a whole
	Stages    []Stage
}

// Analysed is what was made of one trace.
type Analysed struct {
	Chosen   int // index of the trace
	Setup    calibrate.Setup
	Findings *analysis.Findings // nil when the analysis was not reached
}

// A Pair is what two traces give together; A and B are indices of traces.
type Pair struct {
	A, B int
	*analysis.Pair
}

// All gives every trace that is analysed, the first one first.
func (r *Reading) All() []*Analysed {
	all := []*Analysed{&r.Analysed}
	for i := range r.Others {
		all = append(all, &r.Others[i])
	}
	return all
}

// A Stage is one step of the pipeline and the time it took.
type Stage struct {
	Name string
	Took time.Duration
}

// A StageError tells at which stage a reading ended. It wraps the room's own error.
type StageError struct {
	Stage string
	Err   error
}

func (e *StageError) Error() string { return e.Stage + ": " + e.Err.Error() }
func (e *StageError) Unwrap() error { return e.Err }

// A SettingError says that a setting does not fit this photo.
type SettingError struct{ Field, Reason, Hint string }

func (e *SettingError) Error() string { return e.Reason }

// Read runs the pipeline. Its error is a *StageError; the reading beside it is never nil and holds
// what the stages before the failing one made. A photo on which no trace is found is still a
// reading, with a doubt: its grid and its margins are of use to a person.
func Read(data []byte, s *Settings) (*Reading, error) {
	r := &Reading{File: s.File, Analysed: Analysed{Setup: s.Setup}}
	wanted := s.wanted() // settings that were forgotten are filled in
	stages := []step{
		{"photo", func() (err error) {
			r.Photo, err = photo.Decode(data, &s.Photo)
			return err
		}},
		{"graticule", func() (err error) {
			o := s.Graticule
			o.Stage = s.Stage
			r.Graticule, err = graticule.Find(r.Photo, &o)
			return err
		}},
		{"upright", func() error { return r.stand(s) }},
		{"trace", func() error { return r.extract(s, wanted) }},
		{"settings", func() error { return r.recover(wanted) }},
		{"calibrate", func() error { return r.apply(s, wanted) }},
		{"analysis", func() error {
			err := r.analyse(wanted)
			r.noteStance(s)
			return err
		}},
	}
	if s.Readings != nil {
		stages = append(stages, step{"readings", func() error { return r.layBeside(s, &wanted[0]) }})
	}
	return r, r.run(stages)
}

// wanted gives the settings of every trace that is to be analysed.
func (s *Settings) wanted() []TraceSettings {
	if len(s.Own) == 0 {
		return []TraceSettings{s.TraceSettings}
	}
	return slices.Clone(s.Own)
}

// run goes through the stages in order and ends at the first that fails.
func (r *Reading) run(stages []step) error {
	for _, st := range stages {
		begun := time.Now()
		err := st.run()
		r.Stages = append(r.Stages, Stage{st.name, time.Since(begun)})
		if errors.Is(err, errEnough) {
			return nil
		}
		if err != nil {
			return &StageError{st.name, err}
		}
	}
	return nil
}

// A step is one stage of a pipeline.
type step struct {
	name string
	run  func() error
}

// errEnough ends a reading that went as far as it can, and tells why in its doubts.
var errEnough = errors.New("no further stage applies")

// extract finds the traces, and among them the wanted ones.
func (r *Reading) extract(s *Settings, wanted []TraceSettings) error {
	o := s.Trace
	o.Stage = s.Stage
	var err error
	r.Traces, err = trace.Extract(context.Background(), r.Photo, r.Graticule, &o)
	var none *trace.NotFoundError
	if errors.As(err, &none) && len(s.Own) == 0 && s.TraceName == "" && s.Trace.Colour == nil {
		r.Doubts = append(r.Doubts, remark.Of(KindNoTrace, remark.Word("reason", none.Reason), remark.Word("hint", none.Hint)))
		return errEnough
	}
	if err != nil {
		return err
	}
	r.Others = make([]Analysed, len(wanted)-1)
	for i, a := range r.All() {
		if a.Chosen, err = r.find(&wanted[i]); err != nil {
			return err
		}
		a.Setup = wanted[i].Setup
		for k := range i {
			if r.All()[k].Chosen == a.Chosen {
				return &SettingError{"trace", fmt.Sprintf("trace %s is asked for twice", r.Traces[a.Chosen].Name), "give each --trace once, with its own settings behind it; found: " + r.names()}
			}
		}
	}
	if len(wanted) == 1 {
		r.noteChoice(&wanted[0])
	}
	return nil
}

// find gives the index of the trace that w names.
func (r *Reading) find(w *TraceSettings) (int, error) {
	called := w.TraceName
	if w.TraceColour != nil {
		if t := trace.Nearest(r.Traces, *w.TraceColour); t != nil {
			return slices.Index(r.Traces, t), nil
		}
		called = fmt.Sprintf("#%02x%02x%02x", w.TraceColour[0], w.TraceColour[1], w.TraceColour[2])
	}
	if called == "" {
		return 0, nil
	}
	for i, t := range r.Traces {
		if t.Name == called {
			return i, nil
		}
	}
	return 0, &SettingError{"trace", fmt.Sprintf("there is no trace %q; found: %s", called, r.names()),
		"give one of these names, or the colour of the trace as #rrggbb"}
}

func (r *Reading) names() string {
	text := ""
	for i, t := range r.Traces {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%s (#%02x%02x%02x)", t.Name, t.Colour[0], t.Colour[1], t.Colour[2])
	}
	return text
}

// apply scales the wanted traces, and by what holds for all those that are only listed. It ends the reading if none of the
// wanted ones has its scales.
func (r *Reading) apply(s *Settings, wanted []TraceSettings) error {
	r.Records = make([]*calibrate.Record, len(r.Traces))
	setups := make([]calibrate.Setup, len(r.Traces))
	for i := range setups {
		setups[i] = s.Setup
		setups[i].TimePerBox = wanted[0].Setup.TimePerBox
		if len(wanted) == 1 && len(s.Own) == 0 {
			setups[i] = wanted[0].Setup
		}
	}
	known := 0
	for i, a := range r.All() {
		setups[a.Chosen] = wanted[i].Setup
		if s := wanted[i].Setup; !scaled(s) {
			of := ""
			if len(wanted) > 1 {
				of = r.Traces[a.Chosen].Name
			}
			r.Doubts = append(r.Doubts, remark.Of(KindScalesUnknown, remark.Word("trace", of),
				remark.Flag("volts", s.VoltsPerBox.X == 0), remark.Flag("seconds", s.TimePerBox.X == 0)))
			continue
		}
		known++
	}
	if known == 0 {
		r.Records = nil
		return errEnough
	}
	for i, t := range r.Traces {
		if !scaled(setups[i]) {
			continue
		}
		rec, err := setups[i].Apply(t)
		if err != nil {
			return err
		}
		r.Records[i] = rec
	}
	return nil
}

// scaled says that both scales of a setup are known.
func scaled(s calibrate.Setup) bool { return s.VoltsPerBox.X != 0 && s.TimePerBox.X != 0 }

// analyse works out every wanted trace, and then what each two of them give together. Of several, one that fits no signal is
// doubted and does not end the reading of the others.
func (r *Reading) analyse(wanted []TraceSettings) error {
	failed := 0
	for i, a := range r.All() {
		if r.Records[a.Chosen] == nil {
			continue
		}
		err := a.analyse(r, &wanted[i])
		var none *analysis.NotFoundError
		switch {
		case err == nil:
		case len(wanted) > 1 && errors.As(err, &none) && failed+1 < len(wanted):
			failed++
			r.Doubts = append(r.Doubts, remark.Of(KindTraceNotWorkedOut, remark.Word("trace", r.Traces[a.Chosen].Name),
				remark.Word("reason", none.Reason), remark.Word("hint", none.Hint)))
		default:
			return err
		}
	}
	all := r.All()
	for i, a := range all {
		for _, b := range all[i+1:] {
			if a.Findings != nil && b.Findings != nil {
				p := analysis.Between(context.Background(), analysis.Subject{Name: r.Traces[a.Chosen].Name, Findings: a.Findings}, analysis.Subject{Name: r.Traces[b.Chosen].Name, Findings: b.Findings})
				r.Pairs = append(r.Pairs, Pair{a.Chosen, b.Chosen, p})
			}
		}
	}
	return nil
}

// analyse works out the trace of r.
func (a *Analysed) analyse(r *Reading, s *TraceSettings) error {
	own := s.Analysis
	for _, end := range []struct {
		field string
		box   *float64
		to    **float64
	}{{"from", s.FromBox, &own.From}, {"to", s.ToBox, &own.To}} {
		if end.box != nil {
			if !(math.Abs(*end.box) <= -r.Graticule.Frame.Left()) {
				return &SettingError{end.field, fmt.Sprintf("--%s %g lies outside the frame", end.field, *end.box),
					fmt.Sprintf("boxes count from the centre: %g to %g on the grid that was found; if the display has more, give its count with --boxes", r.Graticule.Frame.Left(), -r.Graticule.Frame.Left())}
			}
			t := (*end.box - r.Graticule.Frame.Left()) * s.Setup.TimePerBox.X
			*end.to = &t
		}
	}
	if own.From != nil && own.To != nil && *own.From >= *own.To {
		return &SettingError{"from", fmt.Sprintf("the part to use ends (%.4g s) before it begins (%.4g s)", *own.To, *own.From),
			"give --from left of --to"}
	}
	var err error
	a.Findings, err = analysis.Analyse(context.Background(), r.Records[a.Chosen], &own)
	return err
}
