package reading_test

import (
	"slices"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
)

// Of two traces the choice is told with how to change it: a note where one stands out, a doubt where both do, neither
// where the trace was named.
func TestTheChoiceOfTheTraceIsTold(t *testing.T) {
	for _, c := range []struct {
		second [3]float32 // light of the second trace
		name   string
		want   string
	}{
		{[3]float32{0.05, 0.7, 0.9}, "", "doubt"},
		{[3]float32{0.02, 0.1, 0.25}, "", "note"},
		{[3]float32{0.05, 0.7, 0.9}, "b", ""},
	} {
		s, _, _ := twoSines(7, 1.9)
		s.Signals[1].Colour = c.second
		data, truth, err := s.WithMegapixels(1.5).JPEG()
		if err != nil {
			t.Fatal(err)
		}
		r, err := reading.Read(t.Context(), data, &reading.Settings{Traces: []reading.TraceSettings{{TraceName: c.name, Setup: calibrate.Setup{
			VoltsPerBox: unit.Value{X: 1, Unit: "V"}, TimePerBox: unit.Value{X: truth.TimePerBox, Unit: "s"}, Ground: calibrate.GroundGiven}}}})
		if err != nil {
			t.Fatal(err)
		}
		told := func(r remark.Remark) bool {
			return r.Count("count") == 2 && r.Word("read") == "a" && r.Word("other") == "b"
		}
		doubt, note := slices.ContainsFunc(r.Doubts, told), slices.ContainsFunc(r.Notes, told)
		if doubt != (c.want == "doubt") || note != (c.want == "note") {
			t.Errorf("%v, trace %q: %d traces, doubts %q, notes %q", c.second, c.name, len(r.Traces), r.Doubts, r.Notes)
		}
	}
}
