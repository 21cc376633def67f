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
	var desk reading.Desk // two are of one photo
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
		data, truth, err := s.WithMegapixels(0.8).JPEG()
		if err != nil {
			t.Fatal(err)
		}
		r, err := desk.Read(t.Context(), data, &reading.Settings{Traces: []reading.TraceSettings{{TraceName: c.name, Setup: calibrate.Setup{
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

// One number of volts per box and two traces: a note says which trace got it, and that the other has none; where it was
// given to both, that; where each got its own, nothing.
func TestWhichTraceGotTheVoltsIsTold(t *testing.T) {
	s, _, _ := twoSines(7, 1.9)
	data, truth, err := s.WithMegapixels(0.8).JPEG()
	if err != nil {
		t.Fatal(err)
	}
	var desk reading.Desk
	of := func(name string, volts float64) reading.TraceSettings {
		return reading.TraceSettings{TraceName: name, Setup: calibrate.Setup{
			VoltsPerBox: unit.Value{X: volts, Unit: "V"}, TimePerBox: unit.Value{X: truth.TimePerBox, Unit: "s"}, Ground: calibrate.GroundGiven}}
	}
	for _, c := range []struct {
		traces []reading.TraceSettings
		to     int // traces that one number went to; 0 for no note
		next   string
	}{
		{[]reading.TraceSettings{of("", 2)}, 1, "b"},
		{[]reading.TraceSettings{of("b", 2)}, 1, "a"},
		{[]reading.TraceSettings{of("a", 2), of("b", 2)}, 2, ""},
		{[]reading.TraceSettings{of("a", 2), of("b", 1)}, 0, ""},
		{[]reading.TraceSettings{of("a", 0)}, 0, ""},
	} {
		r, err := desk.Read(t.Context(), data, &reading.Settings{Traces: c.traces})
		if err != nil {
			t.Fatal(err)
		}
		to, next := 0, ""
		for _, n := range r.Notes {
			if n.Kind == reading.KindVoltsOfTraces {
				to, next = n.Count("to_count"), n.Word("next")
			}
		}
		if to != c.to || next != c.next {
			t.Errorf("%d traces: told of %d, then of %q; want %d, %q: %q", len(c.traces), to, next, c.to, c.next, r.Notes)
		}
	}
}
