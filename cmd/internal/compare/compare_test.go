package compare_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/wire"
)

// reading is a document with a τ of u = 1 ms, 0.8 ms of which come from the time base, at a time a box in ms, and with
// decays of a height in V; 0 a box makes a table of it.
func reading(tau, perBox, height float64) *wire.Document {
	n := func(x float64) wire.Number { return wire.Number(x) }
	d := &wire.Document{Signal: "decay", Settings: wire.Used{VoltsPerBox: 1, Probe: 1, TimePerBox: n(perBox * 1e-3)}}
	d.Photo.File, d.Photo.SHA256 = "photo.jpg", wire.Text(strings.Repeat("a", int(tau)))
	if perBox == 0 {
		d.Settings.TimePerBox, d.Settings.VoltsPerBox = n(math.NaN()), n(math.NaN())
		d.Table = &wire.Table{File: "hand.csv"}
	}
	used := d.Settings
	d.Traces = []wire.Trace{{Name: "a", Chosen: true, Settings: &used}}
	clock := []wire.Term{{Source: "time base", Shared: true, U: 8e-4}, {Source: "noise of the points", U: 6e-4}}
	result := func(quantity, method, label string, x, u float64, unit string, budget ...wire.Term) {
		d.Results = append(d.Results, wire.Result{Trace: "a", Traces: []string{"a"}, Signal: "decay", Quantity: quantity, Method: wire.Text(method), Label: wire.Text(label),
			Value: n(x), U: n(u), Expanded: n(2 * u), K: 2, Unit: unit, Budget: budget})
	}
	result("tau", "log_line", "", tau*1e-3, 1e-3, "s", clock...)
	result("tau", "curve", "", tau*1e-3, 1e-3, "s", clock...)
	result("tau", "curve", "fall 1 alone", 3*tau*1e-3, 1e-3, "s")
	result("tau", "rc", "", 20e-3, 1e-3, "s")
	result("v_start", "curve", "where the falls begin", height, 0.01, "V")
	result("v_end", "curve", "level that the falls settle at", 0, 0.01, "V")
	return d
}

// Two readings at one setting share the instrument's time base, which is taken off; at two settings, of a table, or of
// different instruments, nothing is.
func TestWhatReadingsShareIsTakenOff(t *testing.T) {
	apart, together := math.Sqrt(2)*1e-3, math.Sqrt(2*0.36)*1e-3
	for name, c := range map[string]struct {
		a, b *wire.Document
		of   compare.Options
		u    float64
	}{
		"one setting":             {reading(20, 5, 3), reading(21, 5, 6), compare.Options{}, together},
		"two settings":            {reading(20, 5, 3), reading(21, 10, 6), compare.Options{}, apart},
		"a photo and a table":     {reading(20, 5, 3), reading(21, 0, 6), compare.Options{}, apart},
		"different instruments":   {reading(20, 5, 3), reading(21, 5, 6), compare.Options{OtherInstruments: true}, apart},
		"instruments by name":     {reading(20, 5, 3), reading(21, 5, 6), compare.Options{Instruments: []string{"p", "q"}}, apart},
		"one instrument by name":  {reading(20, 5, 3), reading(21, 5, 6), compare.Options{Instruments: []string{"p", "p"}}, together},
		"only one has its name":   {reading(20, 5, 3), reading(21, 5, 6), compare.Options{Instruments: []string{"p"}}, apart},
		"neither of them has one": {reading(20, 5, 3), reading(21, 5, 6), compare.Options{Instruments: []string{"", ""}}, together},
	} {
		got, err := compare.Of([]*wire.Document{c.a, c.b}, c.of)
		if err != nil {
			t.Fatal(err)
		}
		q := got.Same[0]
		found := false
		for _, p := range q.Pairs {
			if q.Values[p.A].Source == "A" && q.Values[p.B].Source == "B" {
				found = true
				if math.Abs(float64(p.U)-c.u) > 1e-9 || (len(p.Taken) > 0) != (c.u == together) {
					t.Errorf("%s: u of the difference %.3g s, want %.3g s; taken off %v", name, float64(p.U), c.u, p.Taken)
				}
			}
		}
		if !found {
			t.Errorf("%s: A and B are not compared: %+v", name, q.Pairs)
		}
	}
}

// Of each reading the curve's τ is compared, and no decay alone; R × C of the same parts counts once. τ is laid against
// the height of the decays, and one that grows with it does not pass.
func TestTauIsLaidAgainstTheDrive(t *testing.T) {
	for _, c := range []struct {
		high  float64 // τ at 6 V, ms
		agree bool
	}{{20, true}, {25, false}} {
		got, err := compare.Of([]*wire.Document{reading(20, 5, 3), reading(c.high, 5, 6)}, compare.Options{})
		if err != nil {
			t.Fatal(err)
		}
		q := got.Same[0]
		var main []string
		for _, v := range q.Values {
			if v.Main {
				main = append(main, v.Source+string(v.Method)+string(v.Label))
			}
		}
		if s := strings.Join(main, " "); s != "Acurve rc Bcurve" {
			t.Errorf("compared are %s", s)
		}
		if q.Trend == nil || math.Abs(float64(q.Trend.Slope)-(c.high-20)/3*1e-3) > 1e-9 || q.Trend.Agree != c.agree || got.Agree() != c.agree {
			t.Errorf("τ at 6 V of %g ms: slope %+v, agree %v", c.high, q.Trend, got.Agree())
		}
		if len(got.Beside) != 2 {
			t.Errorf("%d quantities side by side, want 2 levels", len(got.Beside))
		}
	}
}

// Readings without anything in common are refused with what each is; a file given twice and doubts are told.
func TestNothingInCommonIsRefused(t *testing.T) {
	level := reading(20, 5, 3)
	level.Signal, level.Results = "level", []wire.Result{{Trace: "a", Quantity: "v_mean", Value: 3, U: 0.1, Unit: "V"}}
	_, err := compare.Of([]*wire.Document{reading(20, 5, 3), level}, compare.Options{})
	var none *compare.NothingSharedError
	if !errors.As(err, &none) || !strings.Contains(none.Reason, "A decay, B level") || none.Hint == "" {
		t.Errorf("error %v", err)
	}
	twice, err := compare.Of([]*wire.Document{reading(20, 5, 3), reading(20, 5, 3)}, compare.Options{})
	if err != nil || twice.Sources[1].SameFileAs != "A" || !twice.Doubted() || !twice.Agree() {
		t.Errorf("a file given twice: %+v, %v", twice, err)
	}
}

// A τ or a frequency that is known from elsewhere, given with a reading, is compared with all of them, once.
func TestWhatIsKnownFromElsewhereIsCompared(t *testing.T) {
	a, b := reading(20, 5, 3), reading(21, 5, 6)
	for _, d := range []*wire.Document{a, b} {
		d.Comparisons = append(d.Comparisons, wire.Comparison{Agree: true, What: wire.Remark{Kind: "analysis.seen_and_given",
			Values: map[string]any{"of": "time constant", "given": 30e-3, "u_given": 1e-3}}})
	}
	got, err := compare.Of([]*wire.Document{a, b}, compare.Options{})
	if err != nil {
		t.Fatal(err)
	}
	given, apart := 0, 0
	for i, v := range got.Same[0].Values {
		if v.Method != "given" {
			continue
		}
		given++
		for _, p := range got.Same[0].Pairs {
			if (p.A == i || p.B == i) && !p.Agree {
				apart++
			}
		}
	}
	if given != 1 || apart != 3 {
		t.Errorf("the known τ stands there %d times and differs from %d of 3", given, apart)
	}
}
