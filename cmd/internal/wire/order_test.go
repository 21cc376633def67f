package wire

import (
	"slices"
	"testing"
)

// What a person asks for first comes first, comparisons still point at the results that they compare, and kinds
// without an order keep theirs.
func TestResultsAreInTheOrderAPersonAsksFor(t *testing.T) {
	of := func(trace, signal, quantity, method string) Result {
		return Result{Trace: trace, Signal: signal, Quantity: quantity, Method: Text(method)}
	}
	d := &Document{
		Results: []Result{
			of("a", "pulses", "v_low", "mean"), of("a", "pulses", "v_sd", "deviation"), of("a", "pulses", "period", "strokes"),
			of("a", "pulses", "frequency", "strokes"), of("a", "pulses", "pulse_duration", "strokes"), of("a", "pulses", "v_pp", "outermost"),
			of("b", "decay", "tau", "curve"), of("b", "decay", "v_pp", "outermost"), of("b", "decay", "v_start", "curve"),
			of("c", "states", "v_low", "histogram"), of("c", "states", "v_pp", "histogram"), of("c", "states", "period", "mid-reference"),
			of("c", "states", "period", "boxes"), of("c", "states", "v_pp", "outermost"),
		},
		Comparisons: []Comparison{{Results: []int{2, 5}}, {Results: []int{11, 12}}},
	}
	var compared [][2]Result
	for _, c := range d.Comparisons {
		compared = append(compared, [2]Result{d.Results[c.Results[0]], d.Results[c.Results[1]]})
	}
	d.inOrder()
	var got []string
	for _, r := range d.Results {
		got = append(got, r.Trace+" "+r.Quantity+" "+string(r.Method))
	}
	want := []string{"a v_pp outermost", "a pulse_duration strokes", "a period strokes", "a frequency strokes", "a v_low mean", "a v_sd deviation",
		"b tau curve", "b v_pp outermost", "b v_start curve",
		"c period mid-reference", "c v_pp histogram", "c v_low histogram", "c period boxes", "c v_pp outermost"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	for i, c := range d.Comparisons {
		for k := range 2 {
			r, was := d.Results[c.Results[k]], compared[i][k]
			if r.Trace != was.Trace || r.Quantity != was.Quantity || r.Method != was.Method {
				t.Errorf("comparison %d is of %s %s, was of %s %s", i, r.Quantity, r.Method, was.Quantity, was.Method)
			}
		}
	}
}
