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
)

var formNames = [...]string{"decay", "driven", "sine", "square", "level"}

func (f Form) String() string { return formNames[f] }

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
	VStart, VEnd float64    // V; see Form
	Tau          float64    // s; of Decay and Driven
	Knee         float64    // s; when the form begins: of Driven, one of the drive's falls
	Frequency    float64    // Hz; of Driven, Sine and Square
	Duty         float64    // share of a period that Driven's and Square's source is on; 0 means 0.5
	VoltsPerBox  float64    // V; 0 means 1
	GroundBox    float64    // place of 0 V, boxes up from the centre
	Noise        float64    // box; standard deviation of the noise of a sample
	Codes        int        // steps of the converter to a box; 0 means 25 (8 bits over 10 boxes), < 0 no steps
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
	}
	return MistSlow(f), 5
}

func (s Signal) validate() error {
	for _, v := range []float64{s.VStart, s.VEnd, s.Tau, s.Knee, s.Frequency, s.Duty, s.VoltsPerBox, s.GroundBox, s.Noise} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("a value of the signal is not a finite number")
		}
	}
	switch {
	case s.Form < Decay || s.Form > Level:
		return fmt.Errorf("signal form %d is unknown", s.Form)
	case (s.Form == Decay || s.Form == Driven) && !(s.Tau > 0):
		return fmt.Errorf("a time constant of %g s: must be positive", s.Tau)
	case (s.Form == Driven || s.Form == Sine || s.Form == Square) && !(s.Frequency > 0):
		return fmt.Errorf("a frequency of %g Hz: must be positive", s.Frequency)
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

// swing gives the highest and lowest voltage of Driven once every period is like the one before:
// with on and off times a and b, high = V·(1−e^(−a/τ))/(1−e^(−(a+b)/τ)), low = high·e^(−b/τ).
func (s Signal) swing() (high, low float64) {
	period := 1 / s.Frequency
	on := s.duty() * period
	high = s.VStart * math.Expm1(-on/s.Tau) / math.Expm1(-period/s.Tau)
	return high, high * math.Exp(-(period-on)/s.Tau)
}

// Volts is the ideal voltage at t.
func (s Signal) Volts(t float64) float64 {
	switch s.Form {
	case Decay:
		if t <= s.Knee {
			return s.VStart
		}
		return s.VEnd + (s.VStart-s.VEnd)*math.Exp(-(t-s.Knee)/s.Tau)
	case Driven:
		high, low := s.swing()
		since, period := s.phase(t)
		if off := (1 - s.duty()) * period; since >= off {
			return s.VStart + (low-s.VStart)*math.Exp(-(since-off)/s.Tau)
		}
		return high * math.Exp(-since/s.Tau)
	case Sine:
		return s.VEnd + (s.VStart-s.VEnd)*math.Sin(2*math.Pi*s.Frequency*(t-s.Knee))
	case Square:
		if since, period := s.phase(t); since >= s.duty()*period {
			return s.VEnd
		}
		return s.VStart
	}
	return s.VStart
}

// box is the ideal height of the trace at t.
func (s Signal) box(t float64) float64 { return s.GroundBox + s.Volts(t)/s.voltsPerBox() }

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
