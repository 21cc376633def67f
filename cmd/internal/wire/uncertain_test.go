package wire

import (
	"math"
	"strings"
	"testing"

	"quadrille/analysis"
)

// What is given with an uncertainty counts with it or is refused: nothing is dropped.
func TestNoUncertaintyThatIsGivenIsDropped(t *testing.T) {
	base := Settings{}
	base.VoltsPerBox, base.TimePerBox = "1V", "1s"
	with := func(change func(s *Settings)) Settings {
		s := base
		change(&s)
		return s
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if !(math.Abs(got-want) < 1e-9) {
			t.Errorf("%s is %g, want %g", what, got, want)
		}
	}
	_, at, err := with(func(s *Settings) { s.SettlesAt = "0.5V±0.2V" }).parse()
	if err != nil {
		t.Fatal(err)
	}
	near("level", at.Analysis.SettlesAt, 0.5)
	near("its u", at.Analysis.SettlesU, 0.2/math.Sqrt(3))
	if at.Analysis.Settles != analysis.SettlesGiven {
		t.Error("the level is not held")
	}
	_, at, err = with(func(s *Settings) { s.Probe = "10±4%" }).parse()
	if err != nil {
		t.Fatal(err)
	}
	near("probe", at.Setup.Probe, 10)
	near("limit of the volts, 3 % with the probe's 4 %", at.Setup.GainLimit, 0.05)
	_, at, err = with(func(s *Settings) { s.Probe, s.VoltsPerBox = "10±4%", "1V±3%" }).parse()
	if err != nil {
		t.Fatal(err)
	}
	near("limit of the volts, given with the scale", at.Setup.VoltsPerBox.U*math.Sqrt(3), 0.05)
	for field, s := range map[string]Settings{
		"at":            with(func(s *Settings) { s.At = "9V,5V±1V" }),
		"zero-accuracy": with(func(s *Settings) { s.ZeroAccuracy = "0.1V±0.05V" }),
		"u-volts":       with(func(s *Settings) { s.UVolts = "0.1V±0.05V" }),
		"u-time":        with(func(s *Settings) { s.UTime = "0.1s±0.05s" }),
		"from":          with(func(s *Settings) { s.From = "5s±1s" }),
	} {
		if _, _, err := s.parse(); err == nil || !strings.Contains(err.Error(), "uncertainty") {
			t.Errorf("%s: %v", field, err)
		}
	}
}
