// Package reading runs the pipeline: the bytes of a photo and the settings in, a reading out. It is a
// chain of stages, each a pure function that makes one value from those before it and knows nothing of those
// after it. What each stage depends on:
//
//	photo      the file's bytes, the limits of decoding
//	turn       the photo, degrees clockwise: no work of its own, the turned photo shares the samples
//	graticule  the photo as turned, corners and counts by hand
//	drawing    the photo as turned, the colour asked for; of squared paper, in the place of graticule, words and traces
//	words      the photo as turned, the graticule; they may ask for another turn, and then for the graticule of that
//	traces     the photo as turned, the graticule, the colour asked for
//	settings   a trace, what is known of its signal: those that were forgotten
//	record     a trace, its scales and its ground line
//	findings   a record, the settings of the analysis
//	pair       the findings of two traces
//	beside     the findings of a trace, a table of readings laid beside it
//
// Read makes them all. A Desk keeps the results by their inputs, and makes anew only what a change asks for.
package reading

import (
	"image"
	"time"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/sketch"
	"quadrille/vision/trace"
	"quadrille/vision/upright"
)

// Settings is everything that a reading depends on beside the photo's bytes.
type Settings struct {
	File  string // the photo's name, for the document only
	Photo photo.Options
	// Turn is the clockwise turn in degrees, 0, 90, 180 or 270, that sets the photo upright, as a person says; nil if
	// nobody says: the words on the display may then turn it.
	Turn *int
	// Paper says that the photo is of a drawing on squared paper: its squares and curves are found in the place of a
	// display's graticule and traces.
	Paper     bool
	Graticule graticule.Options
	Trace     trace.Options
	Table     calibrate.Table // of a table of readings; its probe and accuracies are those of the first of Traces
	// Traces are those to analyse, each with all its settings; none means the most prominent, in boxes.
	Traces []TraceSettings
	// Listed is what the traces that are found and not asked for are scaled with, but for the time base, which is that of
	// the first of Traces; nil means as that one in all.
	Listed   *calibrate.Setup
	Readings *HandReadings                      // to be laid beside the first trace; nil for none
	Stage    func(name string, img image.Image) // nil, or receives what each stage saw
	Begin    func(stage string)                 // nil, or is called with the name of each stage as it begins
}

// TraceSettings are what a trace is scaled and analysed with.
type TraceSettings struct {
	TraceName   string          // "a", "b", …; "" means the most prominent, or that of TraceColour
	TraceColour *[3]uint8       // of one of several traces, which is named by its colour
	Forgotten   Forgotten       // settings to be found from what is known of the signal
	Setup       calibrate.Setup // a scale of 0 means that it is not known: the trace stays in boxes
	Analysis    analysis.Settings
	// FromBox and ToBox are Analysis.From and To in boxes from the frame's centre; nil if not given so.
	FromBox, ToBox *float64
}

// wanted gives the settings of the traces to analyse, one at least.
func (s *Settings) wanted() []TraceSettings {
	if len(s.Traces) == 0 {
		return make([]TraceSettings, 1)
	}
	return s.Traces
}

// named says whether a person told which trace is meant.
func (s *Settings) named() bool {
	w := s.wanted()
	return len(w) > 1 || w[0].TraceName != "" || w[0].TraceColour != nil || s.Trace.Colour != nil
}

// A Reading is what one photo gave. When a stage fails, the values of those before it are there. They may be kept for
// other readings, and must not be changed.
type Reading struct {
	File      string
	Photo     *photo.Photo
	Table     *TableFile // in the place of the photo, its grid and its traces; nil for a photo
	Graticule *graticule.Graticule
	Drawing   *sketch.Drawing // in the place of the graticule; nil but for a drawing on squared paper
	Words     *upright.Words  // what the words on the display say of which way is up
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
	Chosen   int                // index of the trace
	Setup    calibrate.Setup    // as asked for, with the settings that were found
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

// A Stage is one step of the pipeline and the time it took. Worked says that something was made in it: false where all
// had been made before, or there was nothing to make.
type Stage struct {
	Name   string
	Took   time.Duration
	Worked bool
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
