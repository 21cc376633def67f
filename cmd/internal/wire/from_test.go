package wire_test

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// handMade is a reading made of formulas: the delay network of a greenhouse mist timer, 9 V falling
// with τ = 10.3 s, 1.5 V and 5 s a box, the pen's gap from 31 s to 33 s. No number in it was measured.
func handMade() *reading.Reading {
	frame := geom.Frame{Cols: 10, Rows: 8}
	h, err := geom.HomographyOf(frame.Corners(), [4]geom.Pixel{{X: 160, Y: 120}, {X: 1130, Y: 96}, {X: 1162, Y: 850}, {X: 131, Y: 829}})
	if err != nil {
		panic(err)
	}
	g := &graticule.Graticule{
		H: h, Lens: geom.Radial{Centre: geom.Pixel{X: 640, Y: 480}, Scale: 800, K: -0.012},
		Frame: frame, RMS: 0.0074, Crossings: 93,
		Doubts: []remark.Remark{remark.Of(graticule.RimUnseen, remark.Word("side", "right"))},
	}
	const tau, v0, knee = 10.3, 9.0, 3.2
	a := &trace.Trace{Name: "a", Colour: [3]uint8{228, 196, 60}, Frame: frame, GroundMark: -4, Coverage: 0.96}
	b := &trace.Trace{Name: "b", Colour: [3]uint8{80, 170, 220}, Frame: frame, GroundMark: math.NaN(), Coverage: 1,
		Doubts: []remark.Remark{remark.Of(trace.KindLeavesTop)}}
	ra := &calibrate.Record{Ground: "the lowest line, as given", GroundBox: -4}
	rb := &calibrate.Record{Ground: "the lowest line, as given", GroundBox: -4}
	gain := calibrate.Effect{Name: "gain of the volts scale", Shared: true}
	base := calibrate.Effect{Name: "time base", Shared: true}
	fit := analysis.Fit{Label: "decay 1", Formula: "V = 0.02 V + 8.98 V · exp(−(t − 3.2 s) / 10.3 s)", EffectiveN: 34.5, Correlation: 0.41}
	line := analysis.LogLine{Label: "decay 1", Slope: -1 / tau, Intercept: math.Log(v0) + knee/tau, VInf: 0.02}
	for i := range 101 {
		t := 0.5 * float64(i)
		noise := 0.03 * math.Sin(float64(i*i)) // looks irregular, the same everywhere
		v := v0
		if t > knee {
			v = 0.02 + 8.98*math.Exp(-(t-knee)/tau)
		}
		hidden := t > 31 && t < 33
		if !hidden && t > knee {
			fit.AtT, fit.Off = append(fit.AtT, t), append(fit.Off, noise)
			if u := 0.03 / (v - 0.02); u < 0.2 {
				line.T, line.LnV, line.U = append(line.T, t), append(line.LnV, math.Log(v+noise-0.02)), append(line.U, u)
			}
		}
		if t > knee {
			fit.T, fit.V = append(fit.T, t), append(fit.V, v)
		}
		v += noise
		if hidden {
			v = math.NaN()
		}
		ra.T, ra.V, ra.Sigma = append(ra.T, t), append(ra.V, v), append(ra.Sigma, 0.03)
		rb.T, rb.V, rb.Sigma = append(rb.T, t), append(rb.V, 11.6+noise/3), append(rb.Sigma, 0.02)
		a.X, a.Y, a.Sigma = append(a.X, t/5-5), append(a.Y, v/1.5-4), append(a.Sigma, 0.02)
		b.X, b.Y, b.Sigma = append(b.X, t/5-5), append(b.Y, (11.6+noise/3)/1.5-4), append(b.Sigma, 0.013)
		gain.DT, gain.DV = append(gain.DT, 0), append(gain.DV, 0.0173*v)
		base.DT, base.DV = append(base.DT, 57.7e-6*t), append(base.DV, 0)
	}
	ra.Effects = []calibrate.Effect{gain, base}
	inf := math.Inf(1)
	tauBudget := []analysis.Term{
		{Source: "noise of the points", Value: math.NaN(), Unit: "V", Distribution: "t", Standard: 0.03, Sensitivity: 1.4, U: 0.042, DOF: 32},
		{Source: "graticule fit", Value: math.NaN(), Unit: "box", Distribution: "normal", Standard: 0.0021, Sensitivity: 12, U: 0.025, DOF: inf},
		{Source: "time base", Value: 1, Unit: "1", Distribution: "rectangular", Standard: 57.7e-6, Sensitivity: 10.34, U: 0.0006, DOF: inf, Shared: true},
	}
	results := []analysis.Result{
		{Quantity: "tau", Method: "curve", Value: unit.Value{X: 10.34, U: 0.049, Unit: "s"}, K: 2.01, Expanded: 0.0985, DOF: 59, Budget: tauBudget,
			Trials: &analysis.Trials{N: 10000, Seed: 1, Mean: 10.341, U: 0.0496, Low: 10.245, High: 10.439}},
		{Quantity: "tau", Method: "log_line", Value: unit.Value{X: 10.41, U: 0.11, Unit: "s"}, K: 2.05, Expanded: 0.226, DOF: 28,
			Budget: []analysis.Term{{Source: "noise of the points", Value: math.NaN(), Unit: "1", Distribution: "t", Standard: 0.05, Sensitivity: 2.2, U: 0.11, DOF: 28}}},
		{Quantity: "tau", Method: "half_life", Value: unit.Value{X: 10.28, U: 0.16, Unit: "s"}, K: 1.96, Expanded: 0.314, DOF: inf,
			Budget: []analysis.Term{{Source: "half-life", Value: 7.125, Unit: "s", Distribution: "normal", Standard: 0.111, Sensitivity: 1.4427, U: 0.16, DOF: inf}}},
		{Quantity: "tau", Method: "rc", Value: unit.Value{X: 10.29, U: 1.19, Unit: "s"}, K: 1.96, Expanded: 2.33, DOF: inf,
			Budget: []analysis.Term{
				{Source: "capacitance", Value: 470e-6, Unit: "F", Distribution: "rectangular", Standard: 54.3e-6, Sensitivity: 21900, U: 1.189, DOF: inf},
				{Source: "resistance", Value: 21900, Unit: "Ω", Distribution: "rectangular", Standard: 38, Sensitivity: 470e-6, U: 0.0179, DOF: inf},
			},
			Doubts: []remark.Remark{remark.Of(analysis.KindRCLoose, remark.Number("share", 0.12))}},
		{Quantity: "v_start", Value: unit.Value{X: 9.0, U: 0.16, Unit: "V"}, K: 1.96, Expanded: 0.314, DOF: inf,
			Budget: []analysis.Term{{Source: "gain of the volts scale", Value: 1, Unit: "1", Distribution: "rectangular", Standard: 0.0173, Sensitivity: 9, U: 0.156, DOF: inf, Shared: true}}},
		{Quantity: "time_at_level", Label: "time from the knee to 5 V", Value: unit.Value{X: 6.06, U: 0.19, Unit: "s"}, K: 1.96, Expanded: 0.372, DOF: inf},
		{Quantity: "v_end", Value: unit.Value{X: 0.02, U: math.NaN(), Unit: "V"}, K: math.NaN(), Expanded: math.NaN(), DOF: math.NaN(),
			Doubts: []remark.Remark{remark.Of(analysis.KindUncertaintyUnknown, remark.Word("why", "inputs"))}},
	}
	return &reading.Reading{
		File: "mist-timer-3.jpg",
		Photo: &photo.Photo{W: 1280, H: 960, Source: photo.Source{
			SHA256: "9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08", Kind: "jpeg", Taken: "2026-11-20 14:03:27", Orientation: 6}},
		Graticule: g,
		Traces:    []*trace.Trace{a, b},
		Records:   []*calibrate.Record{ra, rb},
		Analysed: reading.Analysed{
			Setup: calibrate.Setup{VoltsPerBox: unit.Value{X: 1.5, Unit: "V"}, TimePerBox: unit.Value{X: 5, Unit: "s"},
				Ground: calibrate.GroundBottom, GainLimit: 0.03, TimeLimit: 100e-6},
			Findings: &analysis.Findings{
				Signal: "decay", Told: analysis.Told{How: analysis.Recognised, Left: []analysis.Left{{Kind: "decay", Share: 0.004}, {Kind: "sine", Share: 0.21}}},
				Results: results,
				Comparisons: []analysis.Comparison{
					{Results: []int{0, 3}, Zeta: 0.04, Agree: true, What: remark.Of(analysis.KindTwoWays, remark.Word("one", "curve"), remark.Number("one_s", 10.34), remark.Number("u_one_s", 0.05),
						remark.Word("other", "rc"), remark.Number("other_s", 10.3), remark.Number("u_other_s", 1.2), remark.Number("gap", 0.04), remark.Number("u_gap", 1.2), remark.Word("unit", "s"),
						remark.Flag("agree", true), remark.Number("loose_share", 0.12))},
					{Results: []int{0, 1}, Zeta: -2.58, What: remark.Of(analysis.KindTwoWays, remark.Word("one", "curve"), remark.Number("one_s", 10.34), remark.Number("u_one_s", 0.05),
						remark.Word("other", "log_line"), remark.Number("other_s", 10.41), remark.Number("u_other_s", 0.11), remark.Number("gap", 0.07), remark.Number("u_gap", 0.027), remark.Word("unit", "s"),
						remark.Flag("agree", false)),
						Causes: []remark.Remark{remark.Of(analysis.KindCauseVInf, remark.Number("off_v", 0.075), remark.Number("off_box", 0.05), remark.Number("share", 1)),
							remark.Of(analysis.KindCauseKnee, remark.Number("step_s", 0.1), remark.Number("share", 0.34))}},
				},
				WhatIfs: []remark.Remark{remark.Of(analysis.KindIfCapacitor, remark.Number("limit_share", 0.2), remark.Number("low_s", 8.23), remark.Number("high_s", 12.3)),
					remark.Of(analysis.KindIfGround, remark.Number("off_v", 0.15), remark.Number("off_box", 0.1))},
				Fits: []analysis.Fit{fit}, Lines: []analysis.LogLine{line},
				Doubts: []remark.Remark{remark.Of(analysis.KindShortDecay, remark.Number("taus", 4.5))},
			},
		},
		Doubts: []remark.Remark{remark.Of(reading.KindOtherAsProminent, remark.Count("count", 2), remark.Word("traces", "a (#e4c43c), b (#50aadc)"),
			remark.Word("read", "a"), remark.Word("other", "b"), remark.Number("share", 0.9))},
		Stages: []reading.Stage{{Name: "photo", Took: 96 * time.Millisecond}, {Name: "graticule", Took: 140 * time.Millisecond},
			{Name: "trace", Took: 61 * time.Millisecond}, {Name: "analysis", Took: 9 * time.Millisecond}},
	}
}

func TestDocumentOfAFixedReading(t *testing.T) {
	got, err := wire.Encode(wire.From(handMade()))
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "decay.json", got)
}

// golden compares with testdata/name; a difference leaves name.got beside it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		if err := os.WriteFile(path+".got", got, 0o644); err != nil {
			t.Error(err)
		}
		t.Errorf("%s differs; see %s.got, or run with -update:\n%s", path, path, cmp.Diff(string(want), string(got)))
	}
}

// From works on what a failed reading leaves behind, whatever stage it failed at.
func TestDocumentOfAPartialReading(t *testing.T) {
	full := handMade()
	stages := []struct {
		name string
		cut  func(r *reading.Reading)
		err  error
		kind string
	}{
		{"analysis", func(r *reading.Reading) { r.Findings = nil }, &analysis.NotFoundError{Reason: "no decay", Hint: "give the kind"}, "analysis"},
		{"calibrate", func(r *reading.Reading) { r.Records = nil }, &calibrate.SetupError{Field: "probe", Reason: "bad", Hint: "give 10"}, "setting"},
		{"trace", func(r *reading.Reading) { r.Traces = nil }, &trace.NotFoundError{Reason: "no trace", Hint: "give the colour"}, "trace"},
		{"graticule", func(r *reading.Reading) { r.Graticule = nil }, &graticule.NotFoundError{Reason: "no grid", Hint: "give the corners"}, "graticule"},
		{"photo", func(r *reading.Reading) { r.Photo = nil }, &photo.FormatError{Reason: "cut off", Hint: "copy it again"}, "file"},
	}
	r := *full
	for _, s := range stages {
		s.cut(&r)
		d := wire.From(&r)
		d.Error = wire.ErrorOf(fmt.Errorf("%s: %w", s.name, s.err))
		if d.Error.Kind != s.kind || d.Error.Hint == "" {
			t.Errorf("%s: error %+v, want kind %q with a hint", s.name, d.Error, s.kind)
		}
		text, err := wire.Encode(d)
		if err != nil {
			t.Errorf("%s: %v", s.name, err)
		}
		for _, list := range []string{"traces", "results", "comparisons", "fits", "log_lines", "doubts", "stages"} {
			if bytes.Contains(text, []byte(`"`+list+`": null`)) {
				t.Errorf("%s: list %q is null", s.name, list)
			}
		}
	}
	if wire.ErrorOf(nil) != nil {
		t.Error("no error gives an error object")
	}
	if e := wire.ErrorOf(errors.New("odd")); e.Kind != "program" {
		t.Errorf("an unknown error has kind %q", e.Kind)
	}
}

// Whole boxes from the frame's bottom-left corner land on the corners of the frame.
func TestNodesMeetTheCorners(t *testing.T) {
	g := wire.From(handMade()).Graticule
	if len(g.Nodes) != 9 || len(g.Nodes[0]) != 11 {
		t.Fatalf("%d lists of %d nodes, want 9 of 11", len(g.Nodes), len(g.Nodes[0]))
	}
	corners := [4]wire.Point{g.Nodes[8][0], g.Nodes[8][10], g.Nodes[0][10], g.Nodes[0][0]}
	if diff := cmp.Diff(g.Corners, corners, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Error(diff)
	}
}

func TestEncodedDocumentDecodesToItself(t *testing.T) {
	first, err := wire.Encode(wire.From(handMade()))
	if err != nil {
		t.Fatal(err)
	}
	d, err := wire.Decode(first)
	if err != nil {
		t.Fatal(err)
	}
	second, err := wire.Encode(d)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(first), string(second)); diff != "" {
		t.Error(diff)
	}
}

// said is a remark that has no words of its own, so that its values are shown.
func said(text string) remark.Remark { return remark.Of("test.said", remark.Word("text", text)) }

// Any float64 passes: finite numbers of a result exactly, points to nine digits, the others as null.
func TestNumbersPassThroughJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := math.Float64frombits(rapid.Uint64().Draw(t, "bits"))
		text := rapid.String().Draw(t, "text")
		d := wire.From(&reading.Reading{File: text, Doubts: []remark.Remark{said(text), said("[1, 2\n]"), said(`\"[`)}})
		d.Settings.GroundBox = wire.Number(v)
		d.Traces = append(d.Traces, wire.Trace{X: wire.Numbers{v}})
		b, err := wire.Encode(d)
		if err != nil {
			t.Fatal(err)
		}
		back, err := wire.Decode(b)
		if err != nil {
			t.Fatalf("%v\n%s", err, b)
		}
		x, y := float64(back.Settings.GroundBox), back.Traces[0].X[0]
		if math.IsNaN(v) || math.IsInf(v, 0) {
			if !math.IsNaN(x) || !math.IsNaN(y) {
				t.Fatalf("%v came back as %v and %v", v, x, y)
			}
			return
		}
		if x != v || math.Abs(y-v) > 5e-9*math.Abs(v)+5e-324 {
			t.Fatalf("%v came back as %v and %v", v, x, y)
		}
		if diff := cmp.Diff(d.Doubts[1:], back.Doubts[1:]); diff != "" {
			t.Fatal(diff)
		}
	})
}
