package reading_test

import (
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
		want   remark.Kind // of the note; "" for none
	}{
		{[3]float32{0.05, 0.7, 0.9}, "", reading.KindOtherAsProminent},
		{[3]float32{0.02, 0.1, 0.25}, "", reading.KindOtherLessProminent},
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
		var got remark.Kind
		for _, n := range r.Notes {
			if n.Count("count") == 2 && n.Word("read") == "a" && n.Word("other") == "b" {
				got = n.Kind
			}
		}
		if got != c.want || len(r.Doubts) > 0 {
			t.Errorf("%v, trace %q: %d traces, doubts %q, notes %q", c.second, c.name, len(r.Traces), r.Doubts, r.Notes)
		}
	}
}
