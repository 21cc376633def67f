package wire

import "testing"

// A scale is written as displays and people write it.
func TestAScalePerBoxIsReadAsWritten(t *testing.T) {
	for text, want := range map[string]float64{"1.5V": 1.5, "1.5V/box": 1.5, "500 mV/div": 0.5, "2 V / DIV": 2, "2V/division": 2, "1.5 V±2%": 1.5} {
		s, err := Settings{TraceFields: TraceFields{VoltsPerBox: text}}.Parse()
		if err != nil || s.Traces[0].Setup.VoltsPerBox.X != want {
			t.Errorf("%q: %v, %v", text, s, err)
		}
	}
	for _, text := range []string{"1.5V/s", "1.5V/", "/box", "1/2V"} {
		if _, err := (Settings{TraceFields: TraceFields{VoltsPerBox: text}}).Parse(); err == nil {
			t.Errorf("%q was taken", text)
		}
	}
}
