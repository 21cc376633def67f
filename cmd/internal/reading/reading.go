// Package reading runs the pipeline: the bytes of a photo and the settings in, a reading out. It is a
// list of stages, each of which makes one value from those before it and knows nothing of those
// after it.
package reading

import (
	"errors"
	"fmt"
	"image"
	"math"
	"slices"
	"time"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
)

// Settings is everything that a reading depends on beside the photo's bytes.
type Settings struct {
	File      string // the photo's name, for the document only
	Photo     photo.Options
	Graticule graticule.Options
	Trace     trace.Options
	TraceName string          // the trace to analyse: "a", "b", …; "" means the most prominent
	Forgotten Forgotten       // settings to be found from what is known of the signal
	Table     calibrate.Table // of a table of readings; its probe and accuracies are Setup's
	Setup     calibrate.Setup // a scale of 0 means that it is not known: the reading ends with the traces
	Analysis  analysis.Settings
	// FromBox and ToBox are Analysis.From and To in boxes from the frame's centre; nil if not given so.
	FromBox, ToBox *float64
	Stage          func(name string, img image.Image) // nil, or receives what each stage saw
}

// A Reading is what one photo gave. When a stage fails, the values of those before it are there.
type Reading struct {
	File      string
	Photo     *photo.Photo
	Table     *TableFile // in the place of the photo, its grid and its traces; nil for a photo
	Graticule *graticule.Graticule
	Traces    []*trace.Trace
	Chosen    int // index of the trace that is analysed
	Records   []*calibrate.Record
	Findings  *analysis.Findings
	Setup     calibrate.Setup
	Doubts    []string // of the reading as a whole; each room's own doubts stay with its value
	Notes     []string // what is worth knowing of the reading as a whole
	Stages    []Stage
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
	r := &Reading{File: s.File, Setup: s.Setup}
	own := *s // settings that were forgotten are filled in
	s = &own
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
		{"trace", func() error { return r.extract(s) }},
		{"settings", func() error { return r.recover(s) }},
		{"calibrate", func() error { return r.apply(s) }},
		{"analysis", func() error { return r.analyse(s) }},
	}
	return r, r.run(stages)
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

func (r *Reading) extract(s *Settings) error {
	o := s.Trace
	o.Stage = s.Stage
	var err error
	r.Traces, err = trace.Extract(r.Photo, r.Graticule, &o)
	var none *trace.NotFoundError
	if errors.As(err, &none) && s.TraceName == "" && s.Trace.Colour == nil {
		r.Doubts = append(r.Doubts, "No trace was found on the grid: "+none.Reason+". "+none.Hint)
		return errEnough
	}
	if err != nil {
		return err
	}
	if s.TraceName == "" {
		return nil
	}
	for i, t := range r.Traces {
		if t.Name == s.TraceName {
			r.Chosen = i
			return nil
		}
	}
	return &SettingError{"trace", fmt.Sprintf("there is no trace %q; found: %s", s.TraceName, r.names()),
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

func (r *Reading) apply(s *Settings) error {
	if s.Setup.VoltsPerBox.X == 0 || s.Setup.TimePerBox.X == 0 {
		r.Doubts = append(r.Doubts, fmt.Sprintf("The %s not known, so that the trace is in boxes only. Most displays print both settings at the rim:"+
			" read them on the photo, or enlarged on the page that --out FOLDER makes, then give --volts-per-box and --time-per-box.", s.unknownScales()))
		return errEnough
	}
	for _, t := range r.Traces {
		rec, err := s.Setup.Apply(t)
		if err != nil {
			return err
		}
		r.Records = append(r.Records, rec)
	}
	return nil
}

func (s *Settings) unknownScales() string {
	switch {
	case s.Setup.VoltsPerBox.X != 0:
		return "time per box is"
	case s.Setup.TimePerBox.X != 0:
		return "volts per box are"
	}
	return "volts per box and the time per box are"
}

func (r *Reading) analyse(s *Settings) error {
	a := s.Analysis
	for _, end := range []struct {
		field string
		box   *float64
		to    **float64
	}{{"from", s.FromBox, &a.From}, {"to", s.ToBox, &a.To}} {
		if end.box != nil {
			if !(math.Abs(*end.box) <= -r.Graticule.Frame.Left()) {
				return &SettingError{end.field, fmt.Sprintf("--%s %g lies outside the frame", end.field, *end.box),
					fmt.Sprintf("boxes count from the centre: %g to %g here", r.Graticule.Frame.Left(), -r.Graticule.Frame.Left())}
			}
			t := (*end.box - r.Graticule.Frame.Left()) * s.Setup.TimePerBox.X
			*end.to = &t
		}
	}
	if a.From != nil && a.To != nil && *a.From >= *a.To {
		return &SettingError{"from", fmt.Sprintf("the part to use ends (%.4g s) before it begins (%.4g s)", *a.To, *a.From),
			"give --from left of --to"}
	}
	var err error
	r.Findings, err = analysis.Analyse(r.Records[r.Chosen], &a)
	return err
}

// AllDoubts gathers every doubt of the reading and of its rooms, in the order of the pipeline: what a
// person must look at before the numbers are used. The doubts of traces that were not chosen are
// left with them.
func (r *Reading) AllDoubts() []string {
	var all []string
	add := func(ds []string) {
		for _, d := range ds {
			if !slices.Contains(all, d) {
				all = append(all, d)
			}
		}
	}
	if r.Photo != nil {
		add(r.Photo.Doubts)
	}
	if r.Graticule != nil {
		add(r.Graticule.Doubts)
	}
	if r.Chosen < len(r.Traces) {
		add(r.Traces[r.Chosen].Doubts)
	}
	if r.Chosen < len(r.Records) {
		add(r.Records[r.Chosen].Doubts)
	}
	if r.Findings != nil {
		add(r.Findings.Doubts)
		for _, res := range r.Findings.Results {
			add(res.Doubts)
		}
	}
	add(r.Doubts)
	return all
}
