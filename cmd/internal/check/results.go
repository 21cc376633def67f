package check

import (
	"context"
	"errors"
	"math"
	"slices"
	"sort"

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
	// a box, and sigma its uncertainty, that of where its middle is read (common practice, no source).
	column, sigma = 0.05, 0.01
	// waver is what a place of a drawing is taken to scatter by where decays are cut into pieces, in standard deviations
	// of the hand's wobble: neighbours waver together, and seem to bend away from an exponential where each scattered by
	// one alone. With 1 the slow decays of a clumsy hand are cut, and τ has pulls of 1.4; with 4 the knees of fast ones
	// are missed (TestAClumsyHandsDecayIsNotCut).
	waver = 2.0
	// laid is the standard deviation in boxes to which the screen's place on the paper is known, each way: of the squares
	// that were found and of lines drawn along them (testdata/measured/drawing.md).
	laid = 0.01
	// exact is the relative uncertainty of the scales: they are the display's own, and in both alike.
	exact = 1e-9
)

// shown are the quantities that are laid beside each other, in this order: what a person reads off a drawing.
var shown = []string{"tau", "half_life", "v_start", "v_end", "period", "frequency", "v_pp", "v_mean", "v_high", "v_low", "duty_factor", "pulse_duration"}

// aside are methods that a drawing has nothing to do with: parts and values from elsewhere, the noise that a display
// draws, and periods that are told in whole boxes.
var aside = []wire.Text{"rc", "given", "outermost", "boxes"}

// common are the sources of uncertainty that a drawing shares with the display whose scales it is read by.
var common = []string{"volts scale", "time base", "ground line"}

// own is the standard uncertainty of a display's result without what a drawing of it shares.
func own(r *wire.Result) float64 {
	if len(r.Budget) == 0 {
		return float64(r.U)
	}
	u := 0.0
	for _, t := range r.Budget {
		if !slices.Contains(common, t.Source) {
			u = math.Hypot(u, float64(t.U))
		}
	}
	return u
}

// byHand is the standard uncertainty of a drawing's result. The scatter of its points about a fit is the wobble of the
// hand, which is among the effects already.
func byHand(r *analysis.Result) float64 {
	u := 0.0
	for _, t := range r.Budget {
		if t.Source != "noise of the points" && t.Source != "smear along time" {
			u = math.Hypot(u, t.U)
		}
	}
	return u
}

// handOf is what moves neighbouring places of a drawing together: a wobble that is alike over so many boxes, as
// independent moves of one place in so many and of its neighbours less and less, and how high the screen was laid. How
// far to a side is nothing to what is told: voltages, and times from one place of the curve to another.
func handOf(x []float64, wobble drawing.Point, alike float64) (list []trace.Effect) {
	add := func(move func(x float64) (dx, dy float64)) {
		e := trace.Effect{Name: "hand", DX: make([]float64, len(x)), DY: make([]float64, len(x))}
		for i := range x {
			e.DX[i], e.DY[i] = move(x[i])
		}
		list = append(list, e)
	}
	// Between two places the moves add up to less than at them, to two thirds of the variance in the mean.
	// The departures that tell the wobble have what the screen is laid wrong by in them.
	of := func(w float64) float64 { return math.Sqrt(1.5 * max(w*w-laid*laid, w*w/2)) }
	up, across := of(wobble.Y), of(wobble.X)
	for at := x[0]; at < x[len(x)-1]+alike; at += alike {
		near := func(x float64) float64 { return max(0, 1-math.Abs(x-at)/alike) }
		add(func(x float64) (dx, dy float64) { return 0, up * near(x) })
		add(func(x float64) (dx, dy float64) { return across * near(x), 0 })
	}
	add(func(float64) (dx, dy float64) { return 0, laid })
	return list
}

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
	drawn := columns(held, geom.Frame{Cols: d.Graticule.Columns, Rows: d.Graticule.Rows})
	drawn.Effects = handOf(drawn.X, held.Wobble, held.Alike)
	rec, err := setup.Apply(drawn)
	if err != nil {
		return []remark.Remark{remark.Of(KindNotWorkedOut, remark.Word("reason", err.Error()))}
	}
	found, err := analysis.Analyse(ctx, rec, &analysis.Settings{Signal: signal})
	if none := (*analysis.NotFoundError)(nil); errors.As(err, &none) && signal == analysis.SignalDecay {
		return []remark.Remark{remark.Of(KindNotWorkedOut, remark.Word("reason", "too little of a decay is drawn to tell its time constant"))}
	}
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
			f := &found.Results[k]
			u := byHand(f)
			q := Quantity{Quantity: name, Method: r.Method, Label: r.Label, Unit: r.Unit, Display: r.Value, UDisplay: r.U,
				Drawing: wire.Number(f.Value.X), UDrawing: wire.Number(u), Share: wire.Number(math.NaN())}
			if r.Unit != "V" && r.Value != 0 {
				q.Share = (q.Drawing - q.Display) / q.Display
			}
			q.Difference = differenceOf(float64(q.Drawing-q.Display), math.Hypot(u, own(r)))
			c.Quantities = append(c.Quantities, q)
		}
	}
	return nil
}

// columns is the drawing as a trace of columns from rim to rim, hidden where nothing is drawn. Each has the place of
// its median height: on a steep part the middle of the column would be another one.
func columns(held *drawing.Held, f geom.Frame) *trace.Trace {
	n := int(math.Round(float64(f.Cols) / column))
	in := make([][]drawing.Point, n)
	for i, x := range held.X {
		if k := int(math.Floor((x - f.Left()) / column)); !math.IsNaN(x+held.Y[i]) && k >= 0 && k < n {
			in[k] = append(in[k], drawing.Point{X: x, Y: held.Y[i]})
		}
	}
	t := &trace.Trace{Name: "a", Frame: f, GroundMark: math.NaN(), GroundRival: math.NaN()}
	seen := 0
	for k, places := range in {
		at := drawing.Point{X: f.Left() + (float64(k)+0.5)*column, Y: math.NaN()}
		thick := math.NaN()
		if len(places) > 0 {
			sort.Slice(places, func(i, j int) bool { return places[i].Y < places[j].Y })
			at, thick = places[len(places)/2], places[len(places)-1].Y-places[0].Y+column
			seen++
		}
		t.X, t.Y = append(t.X, at.X), append(t.Y, at.Y)
		t.Sigma, t.Thick = append(t.Sigma, math.Hypot(sigma, waver*held.Wobble.Y)), append(t.Thick, thick)
	}
	t.Coverage = float64(seen) / float64(n)
	return t
}
