package analysis

// A waveform of two states, in the terms of IEEE Std 181 (its twin is IEC 60469): the low and the high state
// level (bistate.go), the instants at which the trace crosses the 50 % reference level (crossings.go), and from
// them period, pulse duration, duty factor; transition durations from 10 % to 90 % (edges.go).

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// A states is a record taken as a waveform of two states.
type states struct {
	*bistate
	points *points
}

// fitStates finds the two levels.
func fitStates(_ context.Context, p *points, _ *Settings) (signal, error) {
	b, ok := findStates(p)
	if !ok {
		hint := "Choose another kind of signal, or a part of the record that shows both levels."
		if level, _ := weightedMean(p, p.all()); len(p.strokes(level)) > 0 {
			hint = "It is a level with narrow strokes: leave --signal out, or give level, which tells their period; or show fewer pulses, wider."
		}
		return nil, &NotFoundError{"the trace does not dwell at two levels", hint}
	}
	return &states{b, p}, nil
}

// dwelling is the share of the points that must lie in one of two states for the trace to be taken for such a
// waveform unasked; a discharge over 5 time constants lies within 4 % of its end for a third of them
// (TestSingleStep).
const dwelling = 0.5

// mostBetween is the share of points between the levels of a square wave, those on the strokes of its edges left out,
// that need no explanation (TestAWaveThatIsHardlySquareIsDoubted).
const mostBetween = 0.2

func (s *states) account() *account {
	b, p := s.bistate, s.points
	if n := float64(len(p.t)); float64(len(b.inLow)+len(b.inHigh)) < dwelling*n || b.hidesChanges(p) {
		return nil
	}
	if _, rounded := findRounded(p); rounded {
		return nil // they are pulses
	}
	if shape := b.pulses(p); shape != nil && shape.arePulses(p, findEdges(p.t, p.v, p.w, b.low, b.high, b.inner)) {
		return nil
	}
	if b.flickers(p) {
		return nil
	}
	a := s.explains()
	if between := b.between(p); between > mostBetween {
		a.doubts = append(a.doubts, remark.Of(KindHardlySquare, remark.Number("share", between)))
	}
	return a
}

// leastStay is the number of points that a trace stays in a state on average at least, if it does not change evenly
// (TestABandIsNoise, TestNoiseOfManyKinds).
const leastStay = 6.0

// flickers says that the trace changes to and fro without order, as noise does.
func (b *bistate) flickers(p *points) bool {
	changes, before := 1, int8(0)
	for _, now := range b.stateOf(len(p.t)) {
		if now != 0 && before != 0 && now != before {
			changes++
		}
		if now != 0 {
			before = now
		}
	}
	n, ok := countPeriods(crossings(p.t, p.v, p.w, (b.low+b.high)/2, b.height()/2), medianStep(p.t))
	return float64(changes)*leastStay > float64(len(p.t)) && (!ok || n.scatter > mostUneven*n.period)
}

// explains tells what two levels leave.
func (s *states) explains() *account {
	b, p := s.bistate, s.points
	a := &account{numbers: 2, r: make([]float64, len(p.t))}
	state := b.stateOf(len(p.t))
	for i := 0; i < len(state); i++ {
		if state[i] != 0 {
			continue
		}
		end := i
		for end < len(state) && state[end] == 0 {
			end++
		}
		b.slopes(p, a, i, end, i > 0 && end < len(state) && state[i-1] != state[end])
		i = end
	}
	for _, i := range b.inLow {
		a.r[i] = p.w[i] * (p.v[i] - b.low)
	}
	for _, i := range b.inHigh {
		a.r[i] = p.w[i] * (p.v[i] - b.high)
	}
	return a
}

// fewestPoints on a transition make it more than the line between two of them; nothing changes from 1 to 8
// (TestFindsTheDecaysOfASquareDrive).
const fewestPoints = 2

// slopes explains the points from first to end-1, between a point in one state and one in the other, by a transition
// that is straight or the step of a Gaussian response, whichever leaves fewer points, as far as they lie on it; what
// does not is left.
func (b *bistate) slopes(p *points, a *account, first, end int, across bool) {
	var best []float64 // residuals, NaN where a point lies off
	most := fewestPoints
	if across && end-first > fewestPoints {
		l := straightThrough(p.t, p.v, p.w, first, end-1)
		shapes := []func(t float64) float64{func(t float64) float64 { return l.vm + l.slope*(t-l.tm) }}
		if g, ok := b.gaussianStep(p, first, end); ok {
			shapes = append(shapes, g)
		}
		for _, shape := range shapes {
			r, on := make([]float64, end-first), 0
			for i := first; i < end; i++ {
				off := p.v[i] - shape(p.t[i])
				if r[i-first] = p.w[i] * off; math.Abs(off) > math.Max(nearSigmas*p.sigma[i], 2*resolution*b.height()) {
					r[i-first] = math.NaN()
					continue
				}
				on++
			}
			if on > most {
				best, most = r, on
			}
		}
	}
	if best != nil {
		a.numbers += 2
	}
	for i := first; i < end; i++ {
		if best == nil || math.IsNaN(best[i-first]) {
			a.leave(p, i)
		} else {
			a.r[i] = best[i-first]
		}
	}
}

// gaussianStep gives the transition low + height·Φ((t-tc)/width) through the points from first to end-1: a straight
// line through their probits, each weighted as it is sure. What blur or an amplifier of many stages makes of a jump is
// that.
func (b *bistate) gaussianStep(p *points, first, end int) (step func(t float64) float64, ok bool) {
	var t, z, w []float64
	for i := first; i < end; i++ {
		y := (p.v[i] - b.low) / b.height()
		if y < 0.02 || y > 0.98 { // where a probit is noise
			continue
		}
		x := math.Sqrt2 * math.Erfinv(2*y-1)
		t, z = append(t, p.t[i]), append(z, x)
		w = append(w, p.w[i]*b.height()*math.Exp(-x*x/2)/math.Sqrt(2*math.Pi))
	}
	if len(t) <= fewestPoints {
		return nil, false
	}
	l := straightThrough(t, z, w, 0, len(t)-1)
	return func(t float64) float64 {
		return b.low + b.height()*(1+math.Erf((l.vm+l.slope*(t-l.tm))/math.Sqrt2))/2
	}, true
}

// between is the share of the points that lie on neither level, nor on the upright stroke of an edge.
func (b *bistate) between(p *points) float64 {
	return float64(len(p.t)-len(b.inLow)-len(b.inHigh)-b.onUprights(p)) / float64(len(p.t))
}

// onUprights counts the points between two different states that lie so near each other that they are the upright
// stroke of an edge.
func (b *bistate) onUprights(p *points) (n int) {
	if !(p.rec.TimePerBox > 0) {
		return 0
	}
	state := b.stateOf(len(p.t))
	step, before := medianStep(p.t), -1
	for i, now := range state {
		if now == 0 {
			continue
		}
		if before >= 0 && state[before] != now && p.t[i]-p.t[before] <= strokeSpacings*step {
			n += i - before - 1
		}
		before = i
	}
	return n
}

// stateOf tells of n points which are in the low (-1) and which in the high state (1).
func (b *bistate) stateOf(n int) []int8 {
	state := make([]int8, n)
	for _, i := range b.inLow {
		state[i] = -1
	}
	for _, i := range b.inHigh {
		state[i] = 1
	}
	return state
}

// hidesChanges says that most changes from one state to the other lie in gaps of the trace: what is left of a wave of
// which only the crests are seen. A transition is drawn, or so fast that it jumps from one column to the next, and
// levels are longer than gaps.
func (b *bistate) hidesChanges(p *points) bool {
	state := b.stateOf(len(p.t))
	step, changes, hidden, before := medianStep(p.rec.T), 0, 0, -1
	for i, now := range state {
		if now == 0 {
			continue
		}
		if before >= 0 && state[before] != now {
			changes++
			if before == i-1 && p.t[i]-p.t[before] > hiddenChange*step {
				hidden++
			}
		}
		before = i
	}
	seen := float64(len(p.t)-1) * step / (p.t[len(p.t)-1] - p.t[0])
	return changes >= fewestChanges && 2*hidden > changes && seen < 0.5
}

// hiddenChange is the gap in point spacings from which a change of state is not seen, fewestChanges how many it takes
// to tell a wave (TestWhichWaveHidesItsChanges).
const hiddenChange, fewestChanges = 3, 10

func (s *states) findings(ctx context.Context) (*Findings, error) { return s.results(ctx, nil) }

// results gives the levels and what lies between the edges: of a square wave, or of pulses of a shape.
func (s *states) results(ctx context.Context, shape *pulseShape) (*Findings, error) {
	b, p, f := s.bistate, s.points, &Findings{drive: drives}
	z := b.noise(ctx, p)
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
	list := []struct {
		quantity, label string
		value           float64
		influence       []float64
		states          float64 // levels that enter, each with its own step
		role            Role
	}{
		{"v_low", "", b.low, b.toLow, 1, AtLevel}, {"v_high", "", b.high, b.toHigh, 1, AtLevel},
		{"v_pp", "between the state levels", b.height(), difference, 2, NoRole},
	}
	if shape != nil {
		list[0].label, list[1].label, list[2].label = shape.levelNames()
	}
	for q, level := range list {
		budget := []Term{noiseTerm(math.Sqrt(z.variance(level.influence)), dof)}
		for _, t := range steps {
			t.Sensitivity = math.Sqrt(level.states)
			t.U *= t.Sensitivity
			budget = append(budget, t)
		}
		r := newResult(level.quantity, "histogram", level.label, level.value, "V", append(budget, effectTerms(p.rec, levels, q)...))
		r.Role = level.role
		f.Results = append(f.Results, r)
	}

	f.again = &replay{points: p, noise: &z, dof: dof, models: []model{
		{count: len(f.Results), of: func(t *trial) []float64 { return again(t.rec) }}}}

	middle := (b.low + b.high) / 2
	widen := b.onStrokes(p)
	pick := each(widen)
	if shape != nil && shape.burst {
		pick = func(c []crossing) []crossing { return each(widen)(shape.within(c)) }
	}
	c, counted := countedPeriod(ctx, p, &z, nil, middle, b.inner*b.height()/2, "mid-reference", pick)
	periodic := counted && c.uneven <= stillPeriodic && !c.against
	switch {
	case !counted:
	case !periodic:
		f.Notes = append(f.Notes, remark.Of(KindNoPeriod, remark.Number("share", c.uneven)))
	case c.uneven > mostUneven:
		c.addTo(f)
		f.Doubts = append(f.Doubts, remark.Of(KindUneven, remark.Number("share", c.uneven)))
	default:
		c.addTo(f)
		if c.eye != nil {
			f.Results = append(f.Results, *c.eye)
		}
	}
	edges := findEdges(p.t, p.v, p.w, b.low, b.high, b.inner)
	for i := range edges {
		widen(&edges[i].mid)
	}
	lister := listTimings
	if shape != nil {
		lister = shape.list
	}
	if counted && !periodic {
		lister = withoutDuty(lister)
	}
	timings, remade := b.timings(ctx, p, &z, edges, dof, lister)
	remade.first = len(f.Results)
	f.again.models = append(f.again.models, remade)
	f.Results = append(f.Results, timings...)
	f.Fits = []Fit{b.curve(p, &z, edges)}
	switch {
	case len(edges) == 0:
		f.Doubts = append(f.Doubts, remark.Of(KindNoTransition))
	case len(edges) == 1:
		before, after := b.low, b.high
		if !edges[0].mid.rising {
			before, after = after, before
		}
		f.Notes = append(f.Notes, remark.Of(KindStep, remark.Number("before_v", before), remark.Number("after_v", after)))
	}
	return f, nil
}

// mostUneven is how far the transitions may lie from an even count, in periods: jitter of a hundredth is much already
// (TestWhichWaveIsUneven).
const mostUneven = 0.05

// stillPeriodic is the same from which on there is no period to tell, as of a stream of bits; a transition that was
// missed is up to half a period from an even count, and there is no period to tell then either (TestWhichWaveIsUneven,
// TestDataHaveNoPeriod).
const stillPeriodic = 0.15

// withoutDuty leaves out what only a signal with a period has.
func withoutDuty(list func(edges []edge, spacing float64) []timing) func(edges []edge, spacing float64) []timing {
	return func(edges []edge, spacing float64) []timing {
		return slices.DeleteFunc(list(edges, spacing), func(t timing) bool { return t.quantity == "duty_factor" })
	}
}

// strokeSpacings is the width in point spacings up to which what lies between two states is a stroke and no slope:
// three pixels of a coarse display (TestWhatIsAnUprightStroke).
const strokeSpacings = 8.0

// onStrokes gives what widens the place of a crossing on a photographed display. A jump lies anywhere in the column of
// pixels that shows it. It is drawn as an upright stroke some pixels wide besides, before, behind or about the jump,
// which all edges of one direction have alike, so that a period does not see it and the duration of a pulse does: its
// limits are the last point in one state and the first in the other. A table has no strokes.
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
	volts := p.rec.Axes.Of("V")
	fit := Fit{Label: "states", EffectiveN: z.effective(), Correlation: z.neighbours,
		Formula: "low " + unit.EngineeringBeside(b.low, b.height(), 4, volts) + ", high " + unit.EngineeringBeside(b.high, b.height(), 4, volts)}
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
