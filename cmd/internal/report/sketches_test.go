package report_test

import (
	"encoding/xml"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// A shape is a signal of one kind of period 1 from 0 to 1, with what a document tells of it.
type shape struct {
	kind    string
	fitT    []float64
	fitV    []float64
	results map[string]float64 // quantity to value; voltages and times are scaled
	labels  map[string]string
	figure  string
	says    []string // in the figure
	rings   int
}

var shapes = []shape{
	{kind: "triangle", fitT: []float64{0, 0.25, 0.75, 1.25, 1.75, 2.25, 2.5}, fitV: []float64{0.5, 1, 0, 1, 0, 1, 0.5},
		results: map[string]float64{"v_pp": 1, "period": 1}, figure: "triangle.svg", says: []string{"period", "peak-to-peak"}},
	{kind: "ramp", fitT: []float64{0, 0.9, 1, 1.9, 2, 2.5}, fitV: []float64{0, 1, 0, 1, 0, 0.56},
		results: map[string]float64{"v_pp": 1, "period": 1}, figure: "ramp.svg", says: []string{"period", "peak-to-peak"}},
	{kind: "states", fitT: []float64{0, 0.25, 0.25, 0.75, 0.75, 1.25, 1.25, 1.75, 1.75, 2.5}, fitV: []float64{0, 0, 1, 1, 0, 0, 1, 1, 0, 0},
		results: map[string]float64{"v_low": 0, "v_high": 1, "v_pp": 1, "period": 1, "pulse_duration": 0.5}, figure: "states.svg",
		says: []string{"period", "high for", "low level", "high level", "peak-to-peak"}, rings: 3},
	{kind: "states", fitT: []float64{0, 0.8, 0.8, 2.5}, fitV: []float64{0, 0, 1, 1},
		results: map[string]float64{"v_low": 0, "v_high": 1, "v_pp": 1, "step_time": 0.8}, figure: "states.svg",
		says: []string{"step after", "low level"}, rings: 1},
	{kind: "pulses", fitT: []float64{0, 0.3, 0.3, 0.4, 0.4, 1.3, 1.3, 1.4, 1.4, 2.5}, fitV: []float64{0, 0, 1, 1, 0, 0, 1, 1, 0, 0},
		results: map[string]float64{"v_low": 0, "v_high": 1, "v_pp": 1, "period": 1, "pulse_duration": 0.1, "pulse_position": 0.35},
		labels:  map[string]string{"v_low": "base state", "v_high": "top state"}, figure: "pulses.svg",
		says: []string{"period", "duration", "base", "top", "amplitude"}, rings: 4},
	{kind: "pulses", fitT: []float64{0, 0.3, 0.3, 0.7, 0.7, 2.5}, fitV: []float64{1, 1, 0, 0, 1, 1},
		results: map[string]float64{"v_low": 0, "v_high": 1, "v_pp": 1, "pulse_duration": 0.4, "pulse_position": 0.5},
		labels:  map[string]string{"v_high": "base state", "v_low": "top state"}, figure: "pulses.svg",
		says: []string{"duration", "base", "top", "amplitude"}, rings: 2},
	{kind: "pulses", fitT: []float64{0, 2.5}, fitV: []float64{0, 0}, // strokes
		results: map[string]float64{"v_low": 0, "v_pp": 1, "period": 1, "pulse_duration": 0.01},
		labels:  map[string]string{"v_low": "base state"}, figure: "pulses.svg", says: []string{"period", "base", "peak-to-peak"}},
	{kind: "noise", fitT: []float64{0, 2.5}, fitV: []float64{0.5, 0.5}, results: map[string]float64{"v_mean": 0.5, "v_rms": 0.25, "v_pp": 1.1},
		figure: "noise.svg", says: []string{"mean", "rms", "peak-to-peak"}},
	{kind: "level", fitT: []float64{0, 2.5}, fitV: []float64{0.5, 0.5}, results: map[string]float64{"v_mean": 0.5, "v_sd": 0.25, "v_pp": 1.1},
		figure: "level.svg", says: []string{"mean", "deviation", "peak-to-peak"}},
}

// document has the shape at a scale.
func (s shape) document(volts, seconds, offset float64) *wire.Document {
	d := &wire.Document{Signal: wire.Text(s.kind), Traces: []wire.Trace{{Name: "a", Colour: "#e1ed80", Chosen: true, Signal: wire.Text(s.kind)}}}
	f := wire.Fit{Trace: "a", Label: s.kind}
	for i := range s.fitT {
		f.T, f.V = append(f.T, seconds*s.fitT[i]), append(f.V, volts*(s.fitV[i]+offset))
	}
	tr := &d.Traces[0]
	const n = 400
	for i := range n {
		t := 2.5 * (float64(i) + 0.5) / n
		k := 1
		for k < len(s.fitT)-1 && s.fitT[k] < t {
			k++
		}
		v := s.fitV[k-1]
		if s.fitT[k] > s.fitT[k-1] {
			v += (s.fitV[k] - s.fitV[k-1]) * (t - s.fitT[k-1]) / (s.fitT[k] - s.fitT[k-1])
		}
		off := 0.02 * math.Sin(float64(i*i))
		if s.kind == "noise" || s.kind == "level" {
			off *= 20
		}
		tr.T, tr.V = append(tr.T, t*seconds), append(tr.V, volts*(v+off+offset))
		tr.Stroke = append(tr.Stroke, 0.1*volts)
		f.AtT, f.Off = append(f.AtT, t*seconds), append(f.Off, volts*off)
	}
	d.Fits = []wire.Fit{f}
	for _, q := range []string{"v_mean", "v_rms", "v_sd", "v_pp", "v_low", "v_high", "period", "pulse_duration", "pulse_position", "step_time"} {
		x, ok := s.results[q]
		if !ok {
			continue
		}
		r := wire.Result{Trace: "a", Quantity: q, Label: wire.Text(s.labels[q]), Unit: "s", Value: wire.Number(x * seconds), U: wire.Number(0.013 * seconds)}
		if strings.HasPrefix(q, "v_") {
			r.Unit, r.Value, r.U = "V", wire.Number(x*volts), wire.Number(0.013*volts)
			if q == "v_mean" || q == "v_low" || q == "v_high" {
				r.Value += wire.Number(offset * volts)
			}
		}
		r.Method = map[string]wire.Text{"triangle": "sides", "ramp": "sides", "states": "histogram", "pulses": "histogram", "noise": "outermost", "level": "outermost"}[s.kind]
		d.Results = append(d.Results, r)
	}
	return d
}

// Each kind has a figure of its own that names and gives what was measured, at whatever scale, with no two labels on
// each other; a decay and a sine have none.
func TestEachKindHasItsFigure(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := rapid.SampledFrom(shapes).Draw(r, "shape")
		d := s.document(math.Pow(10, rapid.Float64Range(-4, 3).Draw(r, "volts")), math.Pow(10, rapid.Float64Range(-9, 3).Draw(r, "seconds")),
			rapid.Float64Range(-5, 5).Draw(r, "offset"))
		svg := report.Figures(d, report.Print{})[s.figure]
		if svg == nil {
			r.Fatalf("%s: no figure", s.kind)
		}
		apart(r, s.figure, svg)
		for _, words := range s.says {
			if !strings.Contains(string(svg), ">"+words) {
				r.Errorf("%s: %q is not in the figure", s.kind, words)
			}
		}
		if n := strings.Count(string(svg), `class="ring"`); n != s.rings {
			r.Errorf("%s: %d crossings, want %d", s.kind, n, s.rings)
		}
	})
	if d := fixed(t); report.Figures(d, report.Print{})[string(d.Signal)+".svg"] != nil {
		t.Error("a decay has a figure as a kind beside its own")
	}
}

// The arrow of a pulse's duration is as long as the duration on the scale of time that the figure has, between its two
// crossings.
func TestArrowsAreToScale(t *testing.T) {
	d := shapes[4].document(1, 1, 0)
	var figure struct {
		Paths []struct {
			Class string `xml:"class,attr"`
			D     string `xml:"d,attr"`
		} `xml:"path"`
		Rings []struct {
			X float64 `xml:"cx,attr"`
		} `xml:"circle"`
	}
	if err := xml.Unmarshal(report.Figures(d, report.Print{})["pulses.svg"], &figure); err != nil {
		t.Fatal(err)
	}
	period := figure.Rings[2].X - figure.Rings[0].X
	arrows := 0
	for _, p := range figure.Paths {
		m := regexp.MustCompile(`^M([0-9.]+) ([0-9.]+)L([0-9.]+) ([0-9.]+)$`).FindStringSubmatch(p.D)
		if p.Class != "axis" || m == nil || m[2] != m[4] {
			continue
		}
		arrows++
		var a, b wire.Number
		if a.UnmarshalJSON([]byte(m[1])) != nil || b.UnmarshalJSON([]byte(m[3])) != nil {
			t.Fatal(p.D)
		}
		long := float64(b - a)
		if math.Abs(long-period) > 0.3 && math.Abs(long-0.1*period) > 0.3 {
			t.Errorf("an arrow is %.1f long; the period is %.1f, a tenth of it the duration", long, period)
		}
	}
	if arrows != 2 {
		t.Errorf("%d arrows along the time, want period and duration", arrows)
	}
}

func TestFiguresOfKinds(t *testing.T) {
	golden(t, "pulses.svg", report.Figures(shapes[4].document(2, 1e-3, 0), report.Print{})["pulses.svg"])
	golden(t, "noise.svg", report.Figures(shapes[7].document(2, 1e-3, 0), report.Print{})["noise.svg"])
}
