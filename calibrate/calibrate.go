// Package calibrate turns a trace in boxes into a record in seconds and volts, with the settings that
// the operator read off the instrument.
package calibrate

import (
	"errors"

	"quadrille/calibrate/unit"
	"quadrille/vision/trace"
)

// GroundFrom tells where the ground line comes from.
type GroundFrom int

const (
	GroundAuto   GroundFrom = iota // the mark at the rim; without one the centre line, with a doubt
	GroundBottom                   // the frame's lowest line
	GroundCentre                   // the centre line
	GroundGiven                    // Setup.GroundBox
)

// A Setup is what the operator reads off the instrument.
type Setup struct {
	VoltsPerBox unit.Value // V a division, as printed on the instrument for the probe it was told of
	TimePerBox  unit.Value // s a division
	Ground      GroundFrom
	GroundBox   float64 // box from the centre, up; used with GroundGiven
	Probe       float64 // attenuation that the instrument was not told of: volts are multiplied by it; 0 means 1
	// GainLimit and TimeLimit are the accuracies of the two scales, relative, as limits of a
	// rectangular distribution; 0 means the defaults 0.03 and 100e-6 (common practice, no source).
	GainLimit, TimeLimit float64
}

// A Record is a sampled voltage. Sigma is independent from sample to sample; Effects move all
// samples together and must never be averaged down.
type Record struct {
	T       []float64 // s from the frame's left rim, strictly increasing
	V       []float64 // V from ground; NaN where the trace is hidden
	Sigma   []float64 // V
	Effects []Effect
	// Ground tells, in words for the reader, what the ground line was taken from; GroundBox is its
	// place in boxes from the centre.
	Ground    string
	GroundBox float64
	Doubts    []string
}

// An Effect is one cause that moves all samples together: by DT seconds and DV volts at one standard
// deviation. Effects of one Name belong to one source; Shared says that the source is the
// instrument's and the same in every photo of it at one setting (gain, time base), so that it cancels
// when two such photos are compared.
type Effect struct {
	Name   string
	Shared bool
	DT, DV []float64
}

// A SetupError says which setting is wrong, what was read, and what is expected.
type SetupError struct{ Field, Reason, Hint string }

func (e *SetupError) Error() string { return e.Reason }

// Apply gives the record of tr. Its errors are *SetupError.
func (s Setup) Apply(tr *trace.Trace) (*Record, error) {
	return nil, errors.New("calibrate: not built yet")
}
