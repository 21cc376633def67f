package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// onPanel draws f over a screen of ten boxes of 1 s and 1 V on a panel of 25 pixels a box, each column at the height
// that f has at its beginning, and gives what a photo shows of it: two points a column, between which blur and the
// stroke of a jump have run.
func onPanel(f func(t float64) float64) *calibrate.Record {
	const pixels, boxes = 25, 10
	rec := &calibrate.Record{TimePerBox: 1, VoltsPerBox: 1}
	shown := func(k int) float64 { return math.Round(pixels*f(float64(k)/pixels)) / pixels }
	for i := range 2 * pixels * boxes {
		k := i / 2
		here, before := shown(k), shown(k-1)
		v := here
		if i%2 == 0 { // the seam of two columns
			v = (before + here) / 2
		}
		rec.T, rec.V = append(rec.T, float64(i)/(2*pixels)), append(rec.V, v)
		rec.Sigma = append(rec.Sigma, math.Hypot(1/(math.Sqrt(12)*pixels), math.Abs(here-before)/math.Sqrt(12)))
	}
	return rec
}

// The jumps of a square wave lie anywhere in the columns that show them. Their errors beat with the period, and yet
// over periods of all lengths they are as large as those of independent ones: u of the period is neither too wide nor
// too narrow.
func TestPullsOfAPeriodOnColumnsOfPixels(t *testing.T) {
	period := pulls{name: "period"}
	rng := rand.New(rand.NewPCG(11, 5))
	for range 200 {
		T := 10 / (2.1 + 5*rng.Float64())
		rec := onPanel(pulseOf(1, 5, T*rng.Float64(), T, T*(0.3+0.4*rng.Float64()), 0))
		period.truth = T
		period.add(seek(t, analyse(t, rec, &Settings{Signal: SignalStates}), "period", "mid-reference", ""))
	}
	period.check(t, "columns of 25 to a box")
}

// What the columns make of a slope is in the noise of the points: it is not counted again as the place of a crossing.
// The periods of driven decays held u three times too wide by that.
func TestColumnsAreNotCountedTwice(t *testing.T) {
	rec := onPanel(squareDriven(6, 1.5, 0.4, 0.2))
	r := seek(t, analyse(t, rec, &Settings{Signal: SignalDecay}), "period", "crossings", "")
	for _, term := range r.Budget {
		if term.Source == sourcePlace && term.U > r.Value.U/3 {
			t.Errorf("the spacing on the edges has %g of %g s", term.U, r.Value.U)
		}
	}
	if math.Abs(r.Value.X-3) > 3*r.Value.U {
		t.Errorf("%g(%g) s instead of 3 s", r.Value.X, r.Value.U)
	}
}

// A slow decay without noise is drawn in steps of a row: its points, each sure of its place on the display, scatter by
// more than twice their sigma about the curve. That is no reason to look for another curve; a second exponential is.
func TestStepsOfADisplayAreNoMisfit(t *testing.T) {
	const pixels, boxes = 25, 10
	drawn := func(f func(t float64) float64) *calibrate.Record {
		rec := &calibrate.Record{TimePerBox: 1, VoltsPerBox: 1}
		for i := range 2 * pixels * boxes {
			x := float64(i) / (2 * pixels)
			rec.T, rec.V = append(rec.T, x), append(rec.V, math.Round(pixels*f(x))/pixels)
			rec.Sigma = append(rec.Sigma, 0.004)
		}
		return rec
	}
	f := analyse(t, drawn(func(t float64) float64 { return 6.3*math.Exp(-t/1.3) - 3.1 }), &Settings{Signal: SignalDecay})
	if remark.Any(f.Doubts, KindScatterWide) || !remark.Any(f.Notes, KindScatterOfRows) {
		t.Errorf("steps: doubts %q, notes %q", f.Doubts, f.Notes)
	}
	f = analyse(t, drawn(func(t float64) float64 { return 5.5*math.Exp(-t/1.0) + 0.8*math.Exp(-t/5) - 3.1 }), &Settings{Signal: SignalDecay})
	if !remark.Any(f.Doubts, KindScatterWide) && !remark.Any(f.Doubts, KindBent) {
		t.Errorf("two exponentials: doubts %q", f.Doubts)
	}
	told := false
	for _, off := range []float64{0.010, 0.012, 0.014, 0.016, 0.018, 0.020, 0.024} { // few points, typed in, which no display has rounded
		table := &calibrate.Record{}
		for i := range 9 {
			x := float64(i)
			table.T, table.Sigma = append(table.T, x), append(table.Sigma, 0.01)
			table.V = append(table.V, 5*math.Exp(-x/2)+off*(2*math.Mod(x, 2)-1))
		}
		f := analyse(t, table, &Settings{Signal: SignalDecay})
		told = told || remark.Any(f.Doubts, KindScatterWide)
		if remark.Any(f.Notes, KindScatterOfRows) {
			t.Errorf("a table's points %g V off: notes %q", off, f.Notes)
		}
	}
	if !told {
		t.Error("no table is doubted")
	}
}
