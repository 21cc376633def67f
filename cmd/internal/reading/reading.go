// Package reading runs the pipeline: the bytes of a photo and the settings in, a reading out. It is a
// list of stages, each of which makes one value from those before it.
package reading

import (
	"errors"
	"image"
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
	TraceName string // the trace to use: "a", "b"…; "" means the most prominent
	Setup     calibrate.Setup
	Analysis  analysis.Settings
	// FromBox and ToBox are Analysis.From and To in boxes from the frame's centre; nil if not given so.
	FromBox, ToBox *float64
	Stage          func(name string, img image.Image) // nil, or receives what each stage saw
}

// A Reading is what one photo gave. When a stage fails, the values of those before it are there.
type Reading struct {
	File      string
	Photo     *photo.Photo
	Graticule *graticule.Graticule
	Traces    []*trace.Trace
	Records   []*calibrate.Record // one a trace
	Chosen    int                 // index of the trace that was analysed
	Findings  *analysis.Findings
	Setup     calibrate.Setup
	Doubts    []string // of the reading as a whole; each room's own doubts stay with its value
	Stages    []Stage
}

// A Stage is one step of the pipeline and the time it took.
type Stage struct {
	Name string
	Took time.Duration
}

// Read runs the pipeline. Its error is that of the stage that failed, wrapped with the stage's name.
func Read(data []byte, s *Settings) (*Reading, error) {
	return nil, errors.New("reading: not built yet")
}
