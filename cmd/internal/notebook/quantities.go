// Quantities from elsewhere, and the ways to one.

package notebook

import (
	"strings"

	"quadrille/calibrate/unit"
)

// quantities that can be copied from a display, read by hand or compared: names of wire.Result, each with its unit.
var quantities = map[string]string{
	"tau": "s", "half_life": "s", "v_start": "V", "v_end": "V",
	"period": "s", "frequency": "Hz", "v_pp": "V", "v_rms": "V", "v_mean": "V", "v_sd": "V",
	"v_high": "V", "v_low": "V", "v_offset": "V", "v_amplitude": "V",
	"duty_factor": "1", "pulse_duration": "s", "burst_duration": "s", "transition_duration": "s", "step_time": "s",
	"bandwidth": "Hz", "delay": "s", "amplitude_ratio": "1",
}

// UnitOf is the SI unit of a quantity, "" if there is none of this name.
func UnitOf(quantity string) string { return quantities[quantity] }

// Ways that are no method of a reading.
const (
	FromGenerator = "generator"
	FromDisplay   = "display"
	ByHand        = "by_hand"
	FromKnown     = "known" // the setting known_frequency and its like
)

// ways are the methods of wire.Result, and those.
var ways = []string{
	"curve", "log_line", "half_life", "rc", "crossings", "boxes", "mid-reference", "histogram", "sides", "mean",
	"deviation", "outermost", "level", "10-90", "correlation", FromGenerator, FromDisplay, ByHand, FromKnown,
}

// valueOf reads a quantity in the unit want. With readout it may come without an uncertainty, which is then that of its
// last digit; without, it must have one. Its error is a *unit.ParseError.
func valueOf(text, want string, readout bool) (unit.Value, error) {
	share := 1.0
	number := text
	if cut, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok && want == "1" && !strings.Contains(cut, "%") {
		number, share = strings.TrimSpace(cut), 0.01
	}
	v, err := unit.ParseSigned(number, want)
	if err == nil && v.U == 0 {
		if !readout {
			return v, &unit.ParseError{Text: text, Reason: "the value " + text + " does not say how well it was read",
				Hint: "give it with its limits, such as " + strings.TrimSpace(text) + " ± 3 %"}
		}
		if stepped, err := unit.ParseSigned(number+" ± (0 % + 1)", want); err == nil {
			v = stepped
		}
	}
	v.X, v.U = v.X*share, v.U*share
	return v, err
}
