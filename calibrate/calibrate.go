// Package calibrate turns a trace in boxes into a record in seconds and volts, with the settings that
// the operator read off the instrument:
//
//	T = (x − left rim) · TimePerBox
//	V = (y − ground) · VoltsPerBox · Probe
//
// What moves all samples together is kept apart from their own scatter, one Effect a cause. Every
// record of a trace has three of its own, in this order, whatever their size, and then one for each effect of
// the trace:
//
//	"volts scale"  shared  DV = V·u(gain)           DT = 0
//	"time base"    shared  DV = 0                   DT = T·u(time base)
//	"ground line"          DV = −u(ground)·V a box  DT = 0
//	the trace's, by name   DV = DY·V a box          DT = DX·s a box
//
// The accuracies are read as data sheets state them: limits of a rectangular distribution, of which
// the standard uncertainty is the half-width over √3 (JCGM 100:2008, 4.3.7).
package calibrate

import (
	"math"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/vision/trace"
)

// A Setup is what the operator reads off the instrument.
type Setup struct {
	// VoltsPerBox is in V a division, as printed on the instrument for the probe it was told of;
	// TimePerBox in s a division. Both are above 0; a U other than 0 is the uncertainty of that scale
	// and stands in place of the limit below. A scale that is not known is InBoxes: that axis of the record is then in
	// boxes, with neither the accuracy of a scale nor a probe in it.
	VoltsPerBox, TimePerBox unit.Value
	Ground                  GroundFrom
	GroundBox               float64 // box from the centre, up; used with GroundGiven
	// GroundU is the standard uncertainty of the ground line's place in boxes; 0 means the default for
	// where it was taken from.
	GroundU float64
	Probe   float64 // attenuation that the instrument was not told of: volts are multiplied by it; 0 means 1
	// GainLimit and TimeLimit are the accuracies of the two scales, relative, as limits of a
	// rectangular distribution; 0 means the defaults.
	GainLimit, TimeLimit float64
}

// InBoxes is the scale of an axis of which nothing is known.
var InBoxes = unit.Value{X: 1, Unit: unit.Box}

// axes tells the units of the record that s makes.
func (s Setup) axes() unit.Axes {
	return unit.Axes{TimeInBoxes: s.TimePerBox.Unit == unit.Box, VoltsInBoxes: s.VoltsPerBox.Unit == unit.Box}
}

// The accuracies of a teaching laboratory's digital instrument where nothing else is stated (common
// practice, no source). TestDefaultAccuracies holds them.
const (
	DefaultGainLimit = 0.03   // of the reading
	DefaultTimeLimit = 100e-6 // of the time
)

// A Record is a sampled voltage. Sigma is independent from sample to sample; Effects move all
// samples together and must never be averaged down. Where a scale is not known, all that is said to be in seconds, or
// in volts, is in boxes.
type Record struct {
	Axes    unit.Axes
	T       []float64 // s from the frame's left rim, or a table's own, strictly increasing
	V       []float64 // V from ground; NaN where the trace is hidden
	Sigma   []float64 // V
	Stroke  []float64 // V: the height over which the display drew each point, NaN where it is hidden; nil for a table
	Effects []Effect
	// Ground tells, in words for the reader, what the ground line was taken from; GroundBox is its
	// place in boxes from the centre.
	Ground      string
	GroundBox   float64
	VoltsPerBox float64 // with the probe; 0 for a table, 1 where volts are in boxes
	TimePerBox  float64 // s; 0 for a table, 1 where the time is in boxes
	Doubts      []remark.Remark
	Notes       []remark.Remark // what is worth knowing but puts no number in question, such as that ground is not known

	groundUnknown bool
}

// An Effect is one cause that moves all samples together: by DT seconds and DV volts at one standard
// deviation, both as long as the record. Effects of one Name belong to one source; Shared says that
// the source is the instrument's and the same in every photo of it at one setting (gain, time base),
// so that it cancels when two such photos are compared. Joint says that it moves all traces of one photo in
// step: the k-th effect of a name of one trace is the k-th of any other. The volts scale is not Joint, for each
// channel has an amplifier of its own. DV is 0 where the trace is hidden.
type Effect struct {
	Name          string
	Shared, Joint bool
	DT, DV        []float64
}

// A SetupError says which setting is wrong (Field, spelled as the flag), what was read, and what is
// expected.
type SetupError struct{ Field, Reason, Hint string }

func (e *SetupError) Error() string { return e.Reason }

// Apply gives the record of tr, whose slices must all be of one length. Its errors are *SetupError.
func (s Setup) Apply(tr *trace.Trace) (*Record, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	g, err := s.ground(tr)
	if err != nil {
		return nil, err
	}
	n := len(tr.X)
	if len(tr.Y) != n || len(tr.Sigma) != n {
		panic("calibrate: the trace's slices differ in length")
	}
	volts, seconds := s.VoltsPerBox.X*s.probe(), s.TimePerBox.X
	rec := &Record{
		Axes: s.axes(), T: make([]float64, n), V: make([]float64, n), Sigma: make([]float64, n),
		Ground: g.words, GroundBox: g.box, VoltsPerBox: volts, TimePerBox: seconds, Doubts: append(g.doubts, probeDoubts(s.probe())...), Notes: g.notes,
		groundUnknown: g.unknown,
	}
	for i := range n {
		rec.T[i] = (tr.X[i] - tr.Frame.Left()) * seconds
		rec.V[i] = (tr.Y[i] - g.box) * volts
		rec.Sigma[i] = tr.Sigma[i] * volts
	}
	for _, h := range tr.Thick {
		rec.Stroke = append(rec.Stroke, h*volts)
	}

	gain := relative(s.VoltsPerBox, s.GainLimit, DefaultGainLimit)
	clock := relative(s.TimePerBox, s.TimeLimit, DefaultTimeLimit)
	rec.add("volts scale", true, false, func(i int) (dt, dv float64) { return 0, rec.V[i] * gain })
	rec.add("time base", true, true, func(i int) (dt, dv float64) { return rec.T[i] * clock, 0 })
	rec.add("ground line", false, false, func(int) (dt, dv float64) { return 0, -g.u * volts })
	for _, e := range tr.Effects {
		if len(e.DX) != n || len(e.DY) != n {
			panic("calibrate: an effect of the trace differs from it in length")
		}
		rec.add(e.Name, false, e.Joint, func(i int) (dt, dv float64) { return e.DX[i] * seconds, e.DY[i] * volts })
	}
	return rec, nil
}

// add appends an effect, given its move of each sample.
func (rec *Record) add(name string, shared, joint bool, move func(i int) (dt, dv float64)) {
	e := Effect{Name: name, Shared: shared, Joint: joint, DT: make([]float64, len(rec.T)), DV: make([]float64, len(rec.T))}
	for i := range rec.T {
		e.DT[i], e.DV[i] = move(i)
		if math.IsNaN(rec.V[i]) {
			e.DV[i] = 0
		}
	}
	rec.Effects = append(rec.Effects, e)
}

// relative is the relative standard uncertainty of a scale.
func relative(scale unit.Value, limit, standard float64) float64 {
	if scale.Unit == unit.Box { // boxes are counted
		return 0
	}
	if scale.U != 0 {
		return scale.U / scale.X
	}
	if limit == 0 {
		limit = standard
	}
	return limit / math.Sqrt(3)
}

func (s Setup) probe() float64 {
	if s.Probe == 0 || s.axes().VoltsInBoxes {
		return 1
	}
	return s.Probe
}
