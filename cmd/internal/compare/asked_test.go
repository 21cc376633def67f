package compare_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/wire"
)

func near(t *testing.T, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Max(1e-3, math.Abs(want))) {
		t.Errorf("%s is %.6g, want %.6g", what, got, want)
	}
}

// Of photos the best way to τ of each is taken, with the instrument's time base taken off if it is one instrument.
func TestAskedPhotosShareTheirInstrument(t *testing.T) {
	for instrument, u := range map[string]float64{"p": math.Sqrt(2*0.36) * 1e-3, "q": math.Sqrt(2) * 1e-3} {
		q, lacking := compare.Asked("tau", "s", []compare.Member{
			{Name: "low", Document: reading(20, 5, 3), Instrument: "p"}, {Name: "high", Document: reading(21, 5, 6), Instrument: instrument}})
		if len(lacking) > 0 || len(q.Values) != 2 || len(q.Pairs) != 1 || q.Values[0].Method != "curve" || q.Values[1].Source != "high" {
			t.Fatalf("%+v, lacking %+v", q, lacking)
		}
		near(t, "u of the difference", float64(q.Pairs[0].U), u)
		if q.Trend == nil || !q.Agree || q.Unit != "s" {
			t.Errorf("slope %+v, agree %v, unit %s", q.Trend, q.Agree, q.Unit)
		}
	}
}

// Two ways to read one trace: u of their difference is that of the document, which knows their points.
func TestAskedWaysShareTheirPoints(t *testing.T) {
	d := reading(20, 5, 3)
	d.Comparisons = []wire.Comparison{{Results: []int{0, 1}, Agree: true, What: wire.Remark{Kind: "analysis.two_ways", Values: map[string]any{"u_gap": 2e-4}}}}
	one := compare.Member{Name: "low", Document: d}
	members := one.AllWays("tau")
	var ways []string
	for _, m := range members {
		ways = append(ways, m.Way)
	}
	if got := strings.Join(ways, " "); got != "log_line curve rc" {
		t.Fatalf("the ways are %s", got)
	}
	q, _ := compare.Asked("tau", "s", members)
	for _, p := range q.Pairs {
		want := math.Sqrt(2) * 1e-3 // against R × C, with which they share nothing
		if p.A == 0 && p.B == 1 {
			want = 2e-4
		}
		near(t, "u of a pair", float64(p.U), want)
		if points := slices.Equal(p.Taken, []string{"the points that both are read from"}); points != (want == 2e-4) {
			t.Errorf("%d and %d: taken off %v", p.A, p.B, p.Taken)
		}
	}
	if len(q.Pairs) != 3 {
		t.Errorf("%d pairs", len(q.Pairs))
	}
}

// What stands on the display, or was read off it, went through the same instrument: its part is added, and taken off
// the difference. A generator is another instrument.
func TestAskedReadoutsShareTheInstrument(t *testing.T) {
	d := reading(20, 5, 3)
	given := &unit.Value{X: 10e-3, U: 3e-4}
	for _, on := range []bool{true, false} {
		q, _ := compare.Asked("tau", "s", []compare.Member{{Name: "low", Document: d}, {Name: "low", Document: d, Way: "display", Given: given, OnScreen: on}})
		u, gap := 3e-4, math.Hypot(1e-3, 3e-4)
		if on {
			u = math.Hypot(3e-4, 4e-4) // half of 0.8 ms, as the value is half
			gap = math.Sqrt(1e-6 + u*u - 2*8e-4*4e-4)
		}
		near(t, "u of the readout", float64(q.Values[1].U), u)
		near(t, "U of the readout", float64(q.Values[1].Expanded), 2*u)
		near(t, "u of the difference", float64(q.Pairs[0].U), gap)
	}
}

// A frequency by counted boxes is that of their period, and shares the time base with the readout.
func TestAskedFrequencyByBoxes(t *testing.T) {
	d := reading(20, 5, 3)
	d.Results = append(d.Results, wire.Result{Trace: "a", Traces: []string{"a"}, Quantity: "period", Method: "boxes", Value: 20e-3, U: 1e-3, Expanded: 2e-3, Unit: "s",
		Budget: []wire.Term{{Source: "time base", Shared: true, U: 6e-4}, {Source: "reading of the two ends by eye", U: 8e-4}}})
	boxes := compare.Member{Name: "pump", Document: d, Way: "boxes"}
	q, _ := compare.Asked("frequency", "Hz", []compare.Member{boxes, {Name: "pump", Document: d, Way: "generator", Given: &unit.Value{X: 50, U: 0.5}}})
	near(t, "the frequency", float64(q.Values[0].Value), 50)
	near(t, "its u", float64(q.Values[0].U), 2.5)
	near(t, "u of the difference", float64(q.Pairs[0].U), math.Hypot(2.5, 0.5))
	again := boxes
	again.Name, again.Document = "pump 2", &wire.Document{}
	*again.Document = *d
	q, _ = compare.Asked("frequency", "Hz", []compare.Member{boxes, again})
	near(t, "u of the difference of two photos", float64(q.Pairs[0].U), math.Sqrt2*2)
}

// Who lacks the quantity is named, with what its trace was taken for; a photo that was not read lacks everything.
func TestAskedNamesWhoLacks(t *testing.T) {
	level := reading(20, 5, 3)
	level.Signal, level.Results = "level", nil
	q, lacking := compare.Asked("tau", "s", []compare.Member{{Name: "low", Document: reading(20, 5, 3)}, {Name: "flat", Document: level}, {Name: "gone", Way: "curve"}})
	if len(q.Values) != 1 || len(q.Pairs) != 0 || len(lacking) != 2 || lacking[0] != (compare.Lacking{Name: "flat", Signal: "level"}) || lacking[1] != (compare.Lacking{Name: "gone", Way: "curve"}) {
		t.Errorf("%+v lacks %+v", q, lacking)
	}
}

// Of a photo with several traces the first one counts that has the quantity, by all its ways; of two traces together
// there are values as well.
func TestAskedOfSeveralTraces(t *testing.T) {
	d := reading(20, 5, 3)
	for _, r := range slices.Clone(d.Results) {
		r.Trace, r.Traces, r.Value = "b", []string{"b"}, 2*r.Value
		d.Results = append(d.Results, r)
	}
	d.Results = append(d.Results, wire.Result{Trace: "a, b", Traces: []string{"a", "b"}, Quantity: "delay", Value: 1e-3, U: 1e-4, Unit: "s"})
	one := compare.Member{Name: "both", Document: d}
	if q, _ := compare.Asked("tau", "s", one.AllWays("tau")); len(q.Values) != 3 || slices.ContainsFunc(q.Values, func(v compare.Value) bool { return v.Trace != "a" }) {
		t.Errorf("compared are %+v", q.Values)
	}
	by := compare.Member{Name: "both", Document: d, Way: "by_hand", Given: &unit.Value{X: 1.1e-3, U: 1e-4}}
	if q, lacking := compare.Asked("delay", "s", []compare.Member{one, by}); len(q.Values) != 2 || len(lacking) > 0 || !q.Agree {
		t.Errorf("delays %+v, lacking %v", q.Values, lacking)
	}
}

// Two values that are said to be exact agree only if they are the same.
func TestAskedExactValues(t *testing.T) {
	exact := func(name string, x float64) compare.Member {
		return compare.Member{Name: name, Document: reading(20, 5, 3), Way: "generator", Given: &unit.Value{X: x}}
	}
	for x, agree := range map[float64]bool{50: true, 51: false} {
		q, _ := compare.Asked("frequency", "Hz", []compare.Member{exact("a", 50), exact("b", x)})
		if q.Agree != agree || q.Pairs[0].Agree != agree || q.Pairs[0].Zeta.Known() {
			t.Errorf("50 Hz and %g Hz: agree %v, %+v", x, q.Agree, q.Pairs[0])
		}
	}
}
