package analysis

// A steady level: the weighted mean of the points, their standard deviation, and the height between the
// lowest and the highest.
//
// What the scatter of the points does not show of their stated uncertainty (display pixels, the steps of
// the instrument's converter: a flat trace repeats one and the same error) cannot be averaged down, so it
// stays in the mean in full.

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// sourceSteps names the term of what points share because the display and the converter have steps.
const sourceSteps = "steps of the display"

// A steady is a record taken as a steady level.
type steady struct {
	points    *points
	mean      float64   // V
	influence []float64 // of each point on it
}

// fitLevel fits a level, which any points have.
func fitLevel(_ context.Context, p *points, _ *Settings) (signal, error) {
	mean, influence := weightedMean(p, p.all())
	return &steady{p, mean, influence}, nil
}

func (l *steady) account() *account {
	a := &account{numbers: 1, r: make([]float64, len(l.points.t))}
	for i, v := range l.points.v {
		a.r[i] = l.points.w[i] * (v - l.mean)
	}
	if n := fitNarrow(l.points); n != nil { // a stroke stands out, however unsure its middle is
		for _, s := range n.list {
			for i := s.first; i <= s.last; i++ {
				a.r[i] = (l.points.v[i] - l.mean) / l.points.typical
			}
		}
	}
	return a
}

func (l *steady) findings(ctx context.Context) (*Findings, error) {
	p, mean, influence := l.points, l.mean, l.influence
	f := l.about(ctx, "level")
	f.addStrokes(ctx, p, mean)
	if drift, u := p.drift(ctx, mean, influence); math.Abs(drift) > driftLimit*u {
		f.Doubts = append(f.Doubts, remark.Of(KindDrifts, remark.Number("change_v", drift)))
	}
	return f, nil
}

// about gives what the points tell about their mean, whose line is named.
func (l *steady) about(ctx context.Context, name string) *Findings {
	p, mean, influence := l.points, l.mean, l.influence
	off, r, basis := make([]float64, len(p.t)), make([]float64, len(p.t)), make([]float64, len(p.t))
	for i, v := range p.v {
		off[i] = v - mean
		r[i] = p.w[i] * off[i]
		basis[i] = math.Sqrt(influence[i])
	}
	z := p.noise(ctx, r, [][]float64{basis})
	f := &Findings{Results: levelResults(ctx, p, &z), again: levelReplay(p, &z)}
	f.Fits = []Fit{{Label: name, Formula: "V = " + unit.Engineering(mean, 4, p.rec.Axes.Of("V")),
		T: []float64{p.t[0], p.t[len(p.t)-1]}, V: []float64{mean, mean},
		AtT: p.t, Off: off, EffectiveN: z.effective(), Correlation: z.neighbours}}
	return f
}

// levelResults gives mean, standard deviation and height of the points, whose noise is z.
func levelResults(ctx context.Context, p *points, z *noise) []Result {
	mean, influence := weightedMean(p, p.all())
	dof := math.Max(1, z.effective()-1)
	if len(p.t) == 1 {
		dof = math.Inf(1) // the stated uncertainty alone
	}
	moves := effectMoves(ctx, p.rec, func(moved *calibrate.Record) []float64 {
		_, v := p.of(moved)
		m := dot(influence, v)
		return []float64{m, deviation(v, p.w, m), slices.Max(v) - slices.Min(v)}
	})
	budget := append([]Term{noiseTerm(math.Sqrt(z.variance(influence)), dof)}, p.steps(z)...)
	results := []Result{newResult("v_mean", "mean", "of all points", mean, "V", append(budget, effectTerms(p.rec, moves, 0)...))}
	results[0].Role = AtLevel
	if len(p.t) == 1 {
		return results
	}

	// The standard deviation of a standard deviation is 1/sqrt(2(n-1)) of it (GUM E.4.3).
	one := p.typical * math.Sqrt(z.scale)
	dof = math.Max(dof, 1)
	sd := newResult("v_sd", "deviation", "of the points", deviation(p.v, p.w, mean), "V",
		append([]Term{noiseTerm(one/math.Sqrt(2*dof), dof)}, effectTerms(p.rec, moves, 1)...))
	if _, ok := p.outline(); ok {
		return append(results, sd) // the height of what is drawn follows for all kinds
	}
	pp := newResult("v_pp", "extremes", "from the lowest to the highest point, noise included", slices.Max(p.v)-slices.Min(p.v), "V",
		append([]Term{noiseTerm(math.Sqrt2*one, dof)}, effectTerms(p.rec, moves, 2)...))
	return append(results, sd, pp)
}

// levelReplay says how to make the mean once more. The standard deviation and the height are left out: a trial adds
// noise to points that have theirs already, which leaves a mean alone and makes those two larger.
func levelReplay(p *points, z *noise) *replay {
	_, influence := weightedMean(p, p.all())
	mean := func(t *trial) []float64 {
		_, v := p.of(t.rec)
		return []float64{dot(influence, v)}
	}
	dof := math.Max(1, z.effective()-1)
	if len(p.t) == 1 {
		dof = math.Inf(1)
	}
	return &replay{points: p, noise: z, dof: dof, models: []model{{count: 1, of: mean}}}
}

// driftLimit is the number of standard uncertainties at which a drift is told: chance alone does it in
// 1 of 16000 records (TestLevelTellsADrift).
const driftLimit = 4

// weightedMean gives the mean of the points at the given places among the points, and each used point's
// influence on it.
func weightedMean(p *points, at []int) (mean float64, influence []float64) {
	influence = make([]float64, len(p.t))
	sum := 0.0
	for _, i := range at {
		influence[i] = p.w[i] * p.w[i]
		sum += influence[i]
	}
	for _, i := range at {
		influence[i] /= sum
		mean += influence[i] * p.v[i]
	}
	return mean, influence
}

// deviation is the weighted standard deviation of v about m.
func deviation(v, w []float64, m float64) float64 {
	s, sum := 0.0, 0.0
	for i, x := range v {
		s += w[i] * w[i] * (x - m) * (x - m)
		sum += w[i] * w[i]
	}
	n := float64(len(v))
	return math.Sqrt(s / sum * n / math.Max(n-1, 1))
}

// steps is the term of that part of the stated uncertainty which the scatter does not show; none if the
// scatter shows all of it.
func (p *points) steps(z *noise) []Term {
	if p.unknown || z.n < 2 || !(z.measured < math.Max(surelyHidden, 1-chanceOfScatter*math.Sqrt(2/z.effective()))) {
		return nil
	}
	u := p.typical * math.Sqrt(1-z.measured)
	return []Term{{Source: sourceSteps, Value: math.NaN(), Unit: "V", Distribution: "rectangular",
		Standard: u, Sensitivity: 1, U: u, DOF: math.Inf(1)}}
}

// chanceOfScatter is by how many of its own standard deviations, sqrt(2/n), a variance may come out low by chance
// before it is taken to be hidden (TestWhatScatterHides). Below surelyHidden it is taken so
// however few points there are.
const chanceOfScatter, surelyHidden = 3.0, 0.25

// drift is the change over the record of the straight line through the points, V, and its standard uncertainty.
func (p *points) drift(ctx context.Context, mean float64, influence []float64) (change, u float64) {
	n := len(p.t)
	if n < 3 {
		return 0, 0
	}
	tm := 0.0
	for i, t := range p.t {
		tm += influence[i] * t
	}
	span := p.t[n-1] - p.t[0]
	on := make([]float64, n) // influence on the change
	sum := 0.0
	for i, t := range p.t {
		d := (t - tm) / span
		on[i] = p.w[i] * p.w[i] * d
		sum += on[i] * d
	}
	for i := range on {
		on[i] /= sum
		change += on[i] * (p.v[i] - mean)
	}
	level, slope, r := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, t := range p.t {
		d := (t - tm) / span
		level[i] = math.Sqrt(influence[i])
		slope[i] = p.w[i] * d / math.Sqrt(sum)
		r[i] = p.w[i] * (p.v[i] - mean - change*d)
	}
	z := p.noise(ctx, r, [][]float64{level, slope})
	u = math.Sqrt(z.variance(on))
	for _, move := range effectMoves(ctx, p.rec, func(moved *calibrate.Record) []float64 { // a grid that is not quite level
		_, v := p.of(moved)
		return []float64{dot(on, v)}
	}) {
		u = math.Hypot(u, move[0])
	}
	return change, u
}
