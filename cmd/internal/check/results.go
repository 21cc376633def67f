package check

import (
	"context"
	"math"
	"slices"

	"quadrille/analysis"
	"quadrille/analysis/drawing"
	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

const (
	// column is the width in boxes over which a drawing's places become one point: the width of a pencil's line at 10 mm
	// a box, and sigma its uncertainty, that of a line drawn and read by hand (common practice, no source).
	column, sigma = 0.05, 0.03
	// exact is the relative uncertainty of the scales: they are the display's own, and in both alike.
	exact = 1e-9
)

// shown are the quantities that are laid beside each other, in this order: what a person reads off a drawing.
var shown = []string{"tau", "half_life", "v_start", "v_end", "period", "frequency", "v_pp", "v_mean", "v_high", "v_low", "duty_factor", "pulse_duration"}

// aside are methods that a drawing has nothing to do with: parts and values from elsewhere, the noise that a display draws.
var aside = []wire.Text{"rc", "given", "outermost"}

// workOut works out the drawing as the trace was, and lays the results side by side. What it gives are notes.
func (c *Check) workOut(ctx context.Context, held *drawing.Held, d *wire.Document, t *wire.Trace) []remark.Remark {
	signal := string(signalOf(d, t))
	if signal == "" || signal == analysis.SignalNoise { // nobody draws noise to be worked out
		return nil
	}
	used := settingsOf(d, t)
	_, _, ground := scalesOf(d, used)
	setup := calibrate.Setup{VoltsPerBox: calibrate.InBoxes, TimePerBox: calibrate.InBoxes, Ground: calibrate.GroundGiven, GroundBox: ground, GroundU: exact}
	if used.VoltsPerBox.Known() {
		v := float64(used.VoltsPerBox)
		setup.VoltsPerBox, setup.Probe = unit.Value{X: v, U: exact * v, Unit: "V"}, float64(used.Probe)
	}
	if used.TimePerBox.Known() {
		s := float64(used.TimePerBox)
		setup.TimePerBox = unit.Value{X: s, U: exact * s, Unit: "s"}
	}
	rec, err := setup.Apply(columns(held, geom.Frame{Cols: d.Graticule.Columns, Rows: d.Graticule.Rows}))
	if err != nil {
		return []remark.Remark{remark.Of(KindNotWorkedOut, remark.Word("reason", err.Error()))}
	}
	found, err := analysis.Analyse(ctx, rec, &analysis.Settings{Signal: signal})
	if err != nil {
		return []remark.Remark{remark.Of(KindNotWorkedOut, remark.Word("reason", err.Error()))}
	}
	for _, name := range shown {
		for i := range d.Results {
			r := &d.Results[i]
			if r.Trace != t.Name || r.Quantity != name || !r.Value.Known() || slices.Contains(aside, r.Method) || name == "tau" && (r.Method != "curve" || r.Label != "") {
				continue
			}
			k := slices.IndexFunc(found.Results, func(f analysis.Result) bool {
				return f.Quantity == name && f.Method == string(r.Method) && f.Label == string(r.Label)
			})
			if k < 0 {
				continue
			}
			f := found.Results[k]
			q := Quantity{Quantity: name, Method: r.Method, Label: r.Label, Unit: r.Unit, Display: r.Value, UDisplay: r.U,
				Drawing: wire.Number(f.Value.X), UDrawing: wire.Number(f.Value.U), Share: wire.Number(math.NaN())}
			if r.Unit != "V" && r.Value != 0 {
				q.Share = (q.Drawing - q.Display) / q.Display
			}
			c.Quantities = append(c.Quantities, q)
		}
	}
	return nil
}

// columns is the drawing as a trace of even columns from rim to rim, hidden where nothing is drawn.
func columns(held *drawing.Held, f geom.Frame) *trace.Trace {
	n := int(math.Round(float64(f.Cols) / column))
	in := make([][]float64, n)
	for i, x := range held.X {
		if k := int(math.Floor((x - f.Left()) / column)); !math.IsNaN(x+held.Y[i]) && k >= 0 && k < n {
			in[k] = append(in[k], held.Y[i])
		}
	}
	t := &trace.Trace{Name: "a", Frame: f, GroundMark: math.NaN(), GroundRival: math.NaN()}
	seen := 0
	for k, ys := range in {
		y := math.NaN()
		thick := math.NaN()
		if len(ys) > 0 {
			slices.Sort(ys)
			y, thick = ys[len(ys)/2], ys[len(ys)-1]-ys[0]+column
			seen++
		}
		t.X = append(t.X, f.Left()+(float64(k)+0.5)*column)
		t.Y, t.Sigma, t.Thick = append(t.Y, y), append(t.Sigma, sigma), append(t.Thick, thick)
	}
	t.Coverage = float64(seen) / float64(n)
	return t
}
