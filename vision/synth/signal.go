package synth

import (
	"fmt"
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
)

// A Form is the shape of a signal.
type Form int

// The forms of signal.
const (
	Decay  Form = iota // VStart until Knee, then VEnd + (VStart − VEnd)·exp(−(t − Knee)/Tau): falls or rises
	Driven             // a resistor and a capacitor behind a square wave of 0 to VStart, settled into its rhythm
	Sine               // VEnd + (VStart − VEnd)·sin(2π·Frequency·(t − Knee))
	Square             // VStart while on, VEnd while off; goes on at Knee
	Level              // VStart
	// Waveforms of generators and of logic; see waveform.go for each curve.
	Triangle // from VEnd up to VStart and down again, evenly
	Ramp     // the same, but rises for the share Duty of a period
	Pulse    // VStart for Width from Knee on, else VEnd
	Pulses   // a train of pulses: VStart for the share Duty of a period, else VEnd
	Burst    // Count pulses of the train from Knee on
	Bits     // VStart for a one and VEnd for a zero of Pattern, a bit in 1/Frequency
	Step     // VEnd until Knee, then VStart
	HalfWave // a sine of the height VStart − VEnd above VEnd, its lower halves cut off
	Rounded  // Square behind a resistor and a capacitor that settle well within each half
	Bent     // a Decay that sets out slowly: its slope grows from nothing within Edge before Knee
	Noise    // VStart in the mean; the field Noise says how thick
)

var formNames = [...]string{"decay", "driven", "sine", "square", "level",
	"triangle", "ramp", "pulse", "pulses", "burst", "bits", "step", "half-wave", "rounded", "bent", "noise"}

func (f Form) String() string { return formNames[f] }

// Forms names all forms of signal.
func Forms() []string { return formNames[:] }

// ParseForm is the inverse of Form.String.
func ParseForm(s string) (Form, error) {
	for i, n := range formNames {
		if s == n {
			return Form(i), nil
		}
	}
	return 0, fmt.Errorf("signal %q is none of %q", s, formNames)
}

// A Signal is one trace's voltage in time. Time counts in seconds from the frame's left rim.
type Signal struct {
	Form         Form
	VStart, VEnd float64 // V; see Form
	Tau          float64 // s; of Decay, Driven, Rounded and Bent
	Knee         float64 // s; when the form begins: of Driven, one of the drive's falls
	Frequency    float64 // Hz; of all forms that repeat, and of Bits and Burst
	Duty         float64 // share of a period that the source is on, or that Ramp rises; 0 means 0.5
	Width        float64 // s; of Pulse, between the middles of its edges
	Edge         float64 // s; from one level to the other, of Pulse, Pulses, Burst, Bits and Step; see Bent too
	Count        int     // of Burst
	Pattern      uint64  // of Bits, the lowest bit first, starting at Knee; repeats after 64
	Hold         float64 // s; time between two samples of a slow record, which is drawn in steps; 0 means without
	VoltsPerBox  float64 // V; 0 means 1
	GroundBox    float64 // place of 0 V, boxes up from the centre
	Noise        float64 // box; standard deviation of the noise of a sample
	Codes        int     // steps of the converter to a box; 0 means 25 (8 bits over 10 boxes), < 0 no steps
	Channel      int     // number of the input, as marks and words show it; 0 means that of the trace's place, from 1
	Mark         ChannelMark
	Colour       [3]float32 // of the trace on a colour panel, linear light 0..1; zero means one of four by the trace's place
}

// MistSlow is the delay network of a greenhouse mist timer, 22 kΩ and 470 µF charged to 9 V, let
// go 5 s after the sweep began: 1.5 V a box, 5 s a box, ground on the lowest line.
func MistSlow(f geom.Frame) Signal {
	return Signal{Form: Decay, VStart: 9, VEnd: 0, Tau: 22e3 * 470e-6, Knee: 5, VoltsPerBox: 1.5, GroundBox: f.Bottom(), Noise: 0.02}
}

// MistFast is the timer's fast network, 4.7 kΩ and 1 µF behind a square wave of 0 to 6 V at 10 Hz:
// for 1 V a box and 20 ms a box, ground one box above the lowest line.
func MistFast(f geom.Frame) Signal {
	return Signal{Form: Driven, VStart: 6, Tau: 4.7e3 * 1e-6, Knee: 0.02, Frequency: 10, VoltsPerBox: 1, GroundBox: f.Bottom() + 1, Noise: 0.02}
}

// Specimen is a signal of a form that fills the frame well, and the time a box that suits it; the
// decays are the mist timer's.
func Specimen(form Form, f geom.Frame) (sig Signal, timePerBox float64) {
	switch form {
	case Driven:
		return MistFast(f), 20e-3
	case Sine:
		return Signal{Form: Sine, VStart: 3, Frequency: 50, VoltsPerBox: 1, Noise: 0.02}, 5e-3
	case Square:
		return Signal{Form: Square, VStart: 5, Frequency: 1e3, Knee: 0.3e-3, VoltsPerBox: 1, GroundBox: f.Bottom() + 1, Noise: 0.02}, 250e-6
	case Level:
		return Signal{Form: Level, VStart: 4.5, VoltsPerBox: 1, GroundBox: f.Bottom() + 1, Noise: 0.02}, 1e-3
	case Decay:
		return MistSlow(f), 5
	case Bent:
		sig = MistSlow(f)
		sig.Form, sig.VStart, sig.Edge = Bent, 7.5, 3
		return sig, 5
	}
	const perBox = 250e-6
	return Signal{Form: form, VStart: 5, Frequency: 1e3, Knee: 0.3e-3, VoltsPerBox: 1, GroundBox: f.Bottom() + 1, Noise: 0.02}.completed(perBox), perBox
}

func (s Signal) validate() error {
	for _, v := range []float64{s.VStart, s.VEnd, s.Tau, s.Knee, s.Frequency, s.Duty, s.Width, s.Edge, s.Hold,
		s.VoltsPerBox, s.GroundBox, s.Noise} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("a value of the signal is not a finite number")
		}
	}
	switch {
	case s.Form < Decay || int(s.Form) >= len(formNames):
		return fmt.Errorf("signal form %d is unknown", s.Form)
	case s.hasTau() && !(s.Tau > 0):
		return fmt.Errorf("a time constant of %g s: must be positive", s.Tau)
	case (s.repeats() || s.Form == Burst || s.Form == Bits) && !(s.Frequency > 0):
		return fmt.Errorf("a frequency of %g Hz: must be positive", s.Frequency)
	case s.Form == Pulse && !(s.Width > 0):
		return fmt.Errorf("a pulse of %g s: must be positive", s.Width)
	case s.Form == Bent && !(s.Edge > 0):
		return fmt.Errorf("a bend of %g s before the knee: must be positive", s.Edge)
	case s.Edge < 0 || s.Hold < 0 || s.Count < 0:
		return fmt.Errorf("edges of %g s, samples held for %g s, %d pulses: cannot be negative", s.Edge, s.Hold, s.Count)
	case s.Duty < 0 || s.Duty >= 1:
		return fmt.Errorf("a duty factor of %g: must lie between 0 and 1", s.Duty)
	case s.VoltsPerBox < 0:
		return fmt.Errorf("%g V a box: must be positive", s.VoltsPerBox)
	case s.Noise < 0:
		return fmt.Errorf("a noise of %g boxes cannot be negative", s.Noise)
	}
	return nil
}

func (s Signal) voltsPerBox() float64 {
	if s.VoltsPerBox == 0 {
		return 1
	}
	return s.VoltsPerBox
}

func (s Signal) duty() float64 {
	if s.Duty == 0 {
		return 0.5
	}
	return s.Duty
}

// phase is the time since the last start of the form's period, and the period.
func (s Signal) phase(t float64) (since, period float64) {
	period = 1 / s.Frequency
	since = math.Mod(t-s.Knee, period)
	if since < 0 {
		since += period
	}
	return since, period
}

// box is the ideal height of the trace at t, of a held record that of the last sample.
func (s Signal) box(t float64) float64 {
	if s.Hold > 0 {
		t = math.Floor(t/s.Hold) * s.Hold
	}
	return s.GroundBox + s.Volts(t)/s.voltsPerBox()
}

// sample is box with the noise and the steps of the instrument's converter.
func (s Signal) sample(t float64, rng *rand.Rand) float64 {
	y := s.box(t)
	if s.Noise > 0 {
		y += s.Noise * rng.NormFloat64()
	}
	codes := float64(s.Codes)
	if s.Codes == 0 {
		codes = 25
	}
	if codes > 0 {
		y = math.Round(y*codes) / codes
	}
	return y
}

// shownTime is the time that the display shows at x boxes from the centre; ok is false in the gap
// ahead of the pen.
func (sc Scene) shownTime(x float64) (t float64, ok bool) {
	f := sc.Display.Frame
	t = (x - f.Left()) * sc.TimePerBox
	if sc.GapBoxes <= 0 || x <= sc.Pen {
		return t, true
	}
	if x < sc.Pen+sc.GapBoxes {
		return 0, false
	}
	return t - float64(f.Cols)*sc.TimePerBox, true // the sweep before
}
