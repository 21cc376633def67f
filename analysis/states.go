package analysis

// A waveform of two states, in the terms of IEEE Std 181 (its twin is IEC 60469): the low and the high state
// level by the histogram's modes, the instants at which the trace crosses the 50 % reference level, and from
// them period, pulse duration, duty factor; transition durations from 10 % to 90 %.
//
// A mode is sharpened by the mean of the points near it, near being measured by the points' own scatter, so that
// the levels do not depend on the bins' width.
// The standard leaves bins and rule to the user, and they are told here: half the range is split into
// histogramBins bins each.

import (
	"context"
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

const (
	// histogramBins is the number of bins over the whole range: about as many as the screen has pixels to
	// half a box, and enough points in each from a record of a few hundred.
	histogramBins = 64
	// nearState is how far from a mode a point may lie to be looked at, as a share of the height, and nearSigmas
	// how far from the level it may lie to belong to the state, in standard deviations of those looked at.
	nearState, nearSigmas = 0.04, 3.0
	fewestStatePoints     = 8
	// fewestInState is the share of the points that each state must hold.
	fewestInState = 0.02
	// crowding is how much denser points must lie about the levels than between them; about the turning
	// points of a triangle they lie no denser (TestTriangleHasNoStates).
	crowding = 1.5
)

// A bistate is a record's two levels, with the places of the points in each.
type bistate struct {
	low, high     float64
	inLow, inHigh []int
	toLow, toHigh []float64 // influence of each point on the levels
}

func (b *bistate) height() float64 { return b.high - b.low }

// findStates gives the two state levels; false if the trace does not dwell at two.
func findStates(p *points) (*bistate, bool) {
	n := len(p.t)
	if n < fewestStatePoints {
		return nil, false
	}
	low, high := slices.Min(p.v), slices.Max(p.v)
	// A point on an edge has a wide sigma and no say in the range, if enough others have one.
	if sure := p.sure(); len(sure) >= fewestStatePoints {
		low, high = math.Inf(1), math.Inf(-1)
		for _, i := range sure {
			low, high = math.Min(low, p.v[i]), math.Max(high, p.v[i])
		}
	}
	if !(high > low) {
		return nil, false
	}
	var bins [histogramBins]float64
	for i, v := range p.v {
		k := int(float64(histogramBins) * (v - low) / (high - low))
		if k == histogramBins && v <= high {
			k--
		}
		if k >= 0 && k < histogramBins {
			bins[k] += math.Min(1, p.w[i]*p.typical) // an unsure point has less weight
		}
	}
	mode := func(from, to int) float64 {
		best, at := -1.0, from
		for k := from; k < to; k++ {
			s := bins[k]
			if k > 0 {
				s += bins[k-1] / 2
			}
			if k+1 < len(bins) {
				s += bins[k+1] / 2
			}
			if s > best {
				best, at = s, k
			}
		}
		return low + (high-low)*(float64(at)+0.5)/histogramBins
	}
	b := &bistate{low: mode(0, histogramBins/2), high: mode(histogramBins/2, histogramBins)}
	enough := math.Max(2, fewestInState*float64(n))
	sharpen := func(level *float64, in *[]int, to *[]float64) bool {
		wide := math.Max(nearState*b.height(), nearSigmas*p.typical)
		*in = p.near(*level, wide)
		if float64(len(*in)) < enough {
			return false
		}
		v := make([]float64, len(*in))
		for k, i := range *in {
			v[k] = p.v[i]
		}
		*level = median(v)
		for k := range v {
			v[k] = math.Abs(v[k] - *level)
		}
		// 1.4826 times the median departure is the standard deviation of a normal scatter. The feet of slow
		// transitions lie outside.
		spread := 1.4826 * median(v)
		if !p.unknown {
			spread = math.Max(spread, p.typical)
		}
		*in = p.near(*level, math.Min(wide, math.Max(nearSigmas*spread, resolution*b.height())))
		if float64(len(*in)) < enough {
			return false
		}
		*level, *to = weightedMean(p, *in)
		return true
	}
	if !sharpen(&b.low, &b.inLow, &b.toLow) || !sharpen(&b.high, &b.inHigh, &b.toHigh) {
		return nil, false
	}
	if !(b.height() > 0) || !p.unknown && !(b.height() > 2*nearSigmas*p.typical) {
		return nil, false
	}
	// Points between the levels are spread over the height; in a state they crowd.
	reach := math.Max(nearState*b.height(), nearSigmas*p.typical)
	inside, between := float64(len(p.near(b.low, reach))+len(p.near(b.high, reach))), 0.0
	for _, v := range p.v {
		if v > b.low+reach && v < b.high-reach {
			between++
		}
	}
	if inside/(4*reach) < crowding*between/(b.height()-2*reach) {
		return nil, false
	}
	return b, true
}

// sure gives the places of points whose sigma is not more than three times the typical.
func (p *points) sure() []int {
	var at []int
	for i, u := range p.sigma {
		if u <= 3*p.typical {
			at = append(at, i)
		}
	}
	return at
}

// near gives the places of points within reach of the level.
func (p *points) near(level, reach float64) []int {
	var at []int
	for i, v := range p.v {
		if math.Abs(v-level) <= reach {
			at = append(at, i)
		}
	}
	return at
}

// noise of the two flat levels.
func (b *bistate) noise(p *points) noise {
	z := make([]residuals, 0, 2)
	for _, state := range []struct {
		at    []int
		level float64
	}{{b.inLow, b.low}, {b.inHigh, b.high}} {
		r := residuals{basis: [][]float64{nil}}
		sum := 0.0
		for _, i := range state.at {
			r.use = append(r.use, i)
			r.r = append(r.r, p.w[i]*(p.v[i]-state.level))
			r.basis[0] = append(r.basis[0], p.w[i])
			sum += p.w[i] * p.w[i]
		}
		for k := range r.basis[0] {
			r.basis[0][k] /= math.Sqrt(sum)
		}
		z = append(z, r)
	}
	return findNoise(slots(p.t), p.sigma, p.unknown, z)
}

// fitStates gives the findings of a record taken as a waveform of two states.
func fitStates(ctx context.Context, p *points) (*Findings, error) {
	b, ok := findStates(p)
	if !ok {
		hint := "Choose another kind of signal, or a part of the record that shows both levels."
		if level, _ := weightedMean(p, p.all()); len(p.strokes(level)) > 0 {
			hint = "It is a level with narrow strokes: leave --signal out, or give level, which tells their period; or show fewer pulses, wider."
		}
		return nil, &NotFoundError{"the trace does not dwell at two levels", hint}
	}
	return b.findings(ctx, p), nil
}

func (b *bistate) findings(ctx context.Context, p *points) *Findings {
	f := &Findings{Signal: SignalStates}
	z := b.noise(p)
	dof := math.Max(1, z.effective()-2)
	again := func(moved *calibrate.Record) []float64 {
		_, v := p.of(moved)
		low, high := dot(b.toLow, v), dot(b.toHigh, v)
		return []float64{low, high, high - low}
	}
	levels := effectMoves(ctx, p.rec, again)
	difference := make([]float64, len(p.t))
	for i := range difference {
		difference[i] = b.toHigh[i] - b.toLow[i]
	}
	steps := p.steps(&z)
	for q, level := range []struct {
		quantity, label string
		value           float64
		influence       []float64
		states          float64 // levels that enter, each with its own step
	}{
		{"v_low", "", b.low, b.toLow, 1}, {"v_high", "", b.high, b.toHigh, 1},
		{"v_pp", "between the state levels", b.height(), difference, 2},
	} {
		budget := []Term{noiseTerm(math.Sqrt(z.variance(level.influence)), dof)}
		for _, t := range steps {
			t.Sensitivity = math.Sqrt(level.states)
			t.U *= t.Sensitivity
			budget = append(budget, t)
		}
		f.Results = append(f.Results, newResult(level.quantity, "histogram", level.label, level.value, "V",
			append(budget, effectTerms(p.rec, levels, q)...)))
	}

	f.again = &replay{points: p, noise: &z, dof: dof, models: []model{
		{count: len(f.Results), of: func(t *trial) []float64 { return again(t.rec) }}}}

	middle := (b.low + b.high) / 2
	widen := b.onStrokes(p)
	if c, ok := countedPeriod(ctx, p, &z, nil, middle, b.height()/2, "mid-reference", widen); ok {
		c.addTo(f)
		if c.uneven > mostUneven {
			f.Doubts = append(f.Doubts, remark.Text(fmt.Sprintf("The transitions do not come evenly: they lie %s of a period off an even count (rms). The signal may have no period, "+
				"as a stream of bits has none, or a transition was missed; then period, frequency and duty factor mean nothing.", percent(c.uneven))))

		} else if c.eye != nil {
			f.Results = append(f.Results, *c.eye)
		}
	}
	edges := findEdges(p.t, p.v, p.w, b.low, b.high)
	for i := range edges {
		widen(&edges[i].mid)
	}
	timings, remade := b.timings(ctx, p, &z, edges, dof)
	remade.first = len(f.Results)
	f.again.models = append(f.again.models, remade)
	f.Results = append(f.Results, timings...)
	f.Fits = []Fit{b.curve(p, &z, edges)}
	if len(edges) == 0 {
		f.Doubts = append(f.Doubts, remark.Text("No transition between the two levels is seen, so there is no duration to give."))
	}
	return f
}

// mostUneven is how far the transitions may lie from an even count, in periods: jitter of a hundredth is much already
// (TestDataHaveNoPeriod).
const mostUneven = 0.05

// strokeSpacings is the width in point spacings up to which what lies between two states is a stroke and no slope: three
// pixels of a coarse display.
const strokeSpacings = 8.0

// onStrokes gives what widens the place of a crossing on a photographed display. A jump lies anywhere in the column of pixels
// that shows it. It is drawn as an upright stroke some pixels wide besides, before, behind or about the jump, which all edges of
// one direction have alike, so that a period does not see it and the duration of a pulse does: its limits are the last point in
// one state and the first in the other. A table has no strokes.
func (b *bistate) onStrokes(p *points) func(c *crossing) {
	in := make([]bool, len(p.t))
	for _, i := range slices.Concat(b.inLow, b.inHigh) {
		in[i] = true
	}
	step := medianStep(p.t)
	return func(c *crossing) {
		// A slope of one box in one box shows its height to a pixel instead, which is in the noise of the points.
		if slope := p.rec.TimePerBox / (math.Abs(c.perLevel) * p.rec.VoltsPerBox); slope > 1 {
			c.place = math.Max(c.place, (1-1/slope)*p.column()/math.Sqrt(12))
		}
		after, _ := slices.BinarySearch(p.t, c.t)
		before := after - 1
		for before >= 0 && !in[before] {
			before--
		}
		for after < len(in) && !in[after] {
			after++
		}
		if before < 0 || after == len(in) || !(p.rec.TimePerBox > 0) || p.t[after]-p.t[before] > strokeSpacings*step {
			return
		}
		c.stroke = math.Max(c.t-p.t[before], p.t[after]-c.t) / math.Sqrt(3)
	}
}

// curve draws the levels and straight transitions between them; only the points in the two states count as
// fitted.
func (b *bistate) curve(p *points, z *noise, edges []edge) Fit {
	fit := Fit{Label: "states", EffectiveN: z.effective(), Correlation: z.neighbours,
		Formula: "low " + unit.EngineeringBeside(b.low, b.height(), 4, "V") + ", high " + unit.EngineeringBeside(b.high, b.height(), 4, "V")}
	in := make([]float64, len(p.t))
	for i := range in {
		in[i] = math.NaN()
	}
	for _, i := range b.inLow {
		in[i] = b.low
	}
	for _, i := range b.inHigh {
		in[i] = b.high
	}
	for i, level := range in {
		if !math.IsNaN(level) {
			fit.AtT = append(fit.AtT, p.t[i])
			fit.Off = append(fit.Off, p.v[i]-level)
		}
	}
	state := b.low
	if len(edges) > 0 && !edges[0].mid.rising || len(edges) == 0 && len(b.inHigh) > len(b.inLow) {
		state = b.high
	}
	draw := func(t, v float64) { fit.T, fit.V = append(fit.T, t), append(fit.V, v) }
	draw(p.t[0], state)
	for _, e := range edges {
		next := b.low
		if e.mid.rising {
			next = b.high
		}
		half := e.duration() / (2 * 0.8) // the straight line from 0 % to 100 %
		if !(half >= 0) {
			half = 0
		}
		draw(e.mid.t-half, state)
		draw(e.mid.t+half, next)
		state = next
	}
	draw(p.t[len(p.t)-1], state)
	return fit
}
