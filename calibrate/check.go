package calibrate

import (
	"fmt"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// What no instrument has: beyond these a setting is a slip of the pen, not a setting. Ten times what
// is sold at either end (common practice, no source). TestApplyRefuses and TestApplyTakesTheBoundsThemselves hold them.
const (
	minVolts, maxVolts     = 1e-6, 1e5  // V a box
	minSeconds, maxSeconds = 1e-11, 1e5 // s a box
	maxProbe               = 10000
	maxLimit               = 0.5 // of a scale's reading
	maxGroundU             = 10  // boxes, more than any half screen
)

// check refuses settings that are wrong whatever the trace.
func (s Setup) check() error {
	if err := checkScale("volts-per-box", "V", "2V or 500mV", s.VoltsPerBox, minVolts, maxVolts); err != nil {
		return err
	}
	if err := checkScale("time-per-box", "s", "5s or 250us", s.TimePerBox, minSeconds, maxSeconds); err != nil {
		return err
	}
	if p := s.probe(); !(p > 0 && p <= maxProbe) {
		return &SetupError{"probe", fmt.Sprintf("the probe factor %g is not above 0 and at most %d", s.Probe, maxProbe),
			"give the attenuation that the instrument was not told of, such as 10, or leave it out"}
	}
	if err := checkLimit("volts-accuracy", "3%", s.VoltsPerBox, s.GainLimit); err != nil {
		return err
	}
	if err := checkLimit("time-accuracy", "100ppm", s.TimePerBox, s.TimeLimit); err != nil {
		return err
	}
	if u := s.GroundU; !(u >= 0 && u <= maxGroundU) {
		return &SetupError{"ground", fmt.Sprintf("the uncertainty of the ground line, %g boxes, is not between 0 and %d", u, maxGroundU),
			"give it in boxes, such as 0.05, or leave it out"}
	}
	return nil
}

func checkScale(field, want, example string, v unit.Value, least, most float64) error {
	hint := "give what one box stands for, such as " + example
	switch {
	case v == unit.Value{}:
		return &SetupError{field, field + " is missing", hint}
	case v == InBoxes:
		return nil
	case v.Unit != want:
		return &SetupError{field, fmt.Sprintf("%s is %s, not in %s", field, v, want), hint}
	case !(v.X > 0): // NaN too
		return &SetupError{field, fmt.Sprintf("%s is %s, not above zero", field, v), hint}
	case v.X < least || v.X > most:
		return &SetupError{field, fmt.Sprintf("%s is %s, which no instrument has", field, v), hint}
	}
	return nil
}

// checkLimit refuses an accuracy that is no accuracy, stated as a limit or as the scale's own u.
func checkLimit(field, example string, scale unit.Value, limit float64) error {
	hint := "give the accuracy on the instrument's data sheet, such as " + example + ", or leave it out"
	if scale.U != 0 && limit != 0 {
		return &SetupError{field, field + " is given twice, by itself and with the scale", hint}
	}
	if scale.U != 0 {
		limit = scale.Limit() / scale.X
	}
	if !(limit >= 0 && limit <= maxLimit) {
		return &SetupError{field, fmt.Sprintf("%s is %.3g %%, not between 0 and %g %%", field, 100*limit, 100*maxLimit), hint}
	}
	return nil
}

// probeDoubts doubts a factor that no usual probe has (common practice, no source).
func probeDoubts(p float64) []remark.Remark {
	switch p {
	case 1, 10, 100, 1000:
		return nil
	}
	return []remark.Remark{remark.Of(KindProbeUnusual, remark.Number("factor", p))}
}
