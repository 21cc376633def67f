package live_test

import (
	"encoding/json"
	"math"
	"os"
	"slices"
	"testing"

	"quadrille/cmd/internal/live"
	"quadrille/cmd/internal/wire"
)

// The axes hold all times and voltages of the trace, and the window is in the axis' unit however it was given: 2 boxes
// left of the centre of ten boxes of 5 s are 15 s.
func TestTheGraphTellsItsAxesAndTheWindow(t *testing.T) {
	for _, c := range []struct {
		with     string
		from, to float64 // NaN for none
	}{
		{``, math.NaN(), math.NaN()},
		{`, "from": "-2", "to": "30s"`, 15, 30},
		{`, "from": "6s"`, 6, math.NaN()},
	} {
		a := shared.Answer(t.Context(), photo(t), settings(c.with), "", nil)
		g := a.Graph
		if g == nil || len(g.Windows) != 1 || g.Windows[0].Trace != "a" {
			t.Fatalf("%q: status %d, graph %+v", c.with, a.Status, g)
		}
		same := func(got *float64, want float64) bool {
			return got == nil && math.IsNaN(want) || got != nil && math.Abs(*got-want) < 1e-9
		}
		if !same(g.Windows[0].From, c.from) || !same(g.Windows[0].To, c.to) {
			t.Errorf("%q: window %v", c.with, jsonOf(t, g.Windows[0]))
		}
		var d wire.Document
		if err := json.Unmarshal(a.Document, &d); err != nil {
			t.Fatal(err)
		}
		for i, x := range d.Traces[0].T {
			if v := d.Traces[0].V[i]; x < g.T0 || x > g.T1 || v < g.V0 || v > g.V1 {
				t.Fatalf("%q: the point %g s, %g V lies outside %+v", c.with, x, v, g.Axes)
			}
		}
		if g.T0 < 0 || g.T1 > 50 || g.Left >= g.Right || g.Top >= g.Bottom {
			t.Errorf("%q: axes %+v", c.with, g.Axes)
		}
	}
}

// Without the time a box the axis is in boxes from the left rim; with two traces each has its window.
func TestTheGraphOfBoxesAndOfTwoTraces(t *testing.T) {
	a := shared.Answer(t.Context(), photo(t), []byte(`{"ground": "bottom", "from": "-2"}`), "", nil)
	if g := a.Graph; g == nil || g.T1 > 10 || g.Windows[0].From == nil || math.Abs(*g.Windows[0].From-3) > 1e-9 {
		t.Errorf("in boxes: %v", jsonOf(t, a.Graph))
	}
	pair, err := os.ReadFile("../../../testdata/photos/pair-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	a = shared.Answer(t.Context(), pair, []byte(`{"time_per_box": "5ms", "traces": [{"trace": "b", "volts_per_box": "1V", "to": "20ms"},
		{"trace": "a", "volts_per_box": "2V"}]}`), "", nil)
	var of []string
	for _, w := range a.Graph.Windows {
		of = append(of, w.Trace)
	}
	if !slices.Equal(of, []string{"b", "a"}) || a.Graph.Windows[0].To == nil || a.Graph.Windows[1].To != nil {
		t.Errorf("two traces: %v", jsonOf(t, a.Graph))
	}
}

// Each stage is told as it begins.
func TestStagesAreTold(t *testing.T) {
	var room live.Room
	var told []string
	room.Answer(t.Context(), photo(t), settings(""), "", func(stage string) { told = append(told, stage) })
	if len(told) < 6 || told[0] != "photo" || told[len(told)-1] != "analysis" {
		t.Errorf("told of %q", told)
	}
}
