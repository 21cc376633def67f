package analysis

// Where a decay begins. Blur rounds a knee, so it is not looked for among the points: it is the time at which the curve
// of the decay and what was before it, a level or another curve, come to the same voltage. Where they do not, the
// trace jumps, and the knee lies anywhere between the last point before the jump and the first one after it.

import "math"

// kneeRounds bounds how often knees and the points between them are found anew, each from the other; kneeMoves by how much ln τ
// may change each time. Points before a knee draw τ out by a tenth or two; where it changes by more the piece is no decay, such as
// the edge of a square wave (TestASquareWaveIsNotCutToDecays).
const (
	kneeRounds = 3
	kneeMoves  = 0.25
)

func (d *decay) findKnees(pieces []*piece) {
	for _, p := range pieces {
		d.findKnee(p, pieces)
	}
}

// cutAtKnees takes points out of pieces that lie beyond the knees at their ends, or at them, and fits again; it reports whether it
// did. Where a decay is a few of the display's columns long its points are so unsure, and its curve with them, that those before
// its knee lie on it within their uncertainty (TestPointsBeforeTheKneeAreNotFitted).
func (d *decay) cutAtKnees(pieces []*piece) (cut bool) {
	guard := clearance * medianStep(d.t)
	for k, p := range pieces {
		from, to := math.Inf(-1), math.Inf(1)
		if p.begun() {
			from = p.meets + guard
		}
		if t, ok := d.stillBefore(p, pieces); ok {
			from = math.Max(from, t+guard)
		}
		for _, q := range pieces {
			if q.before == k && q.begun() {
				to = q.meets - guard
			}
		}
		var kept []int
		for _, j := range p.use {
			if d.t[j] >= from && d.t[j] <= to {
				kept = append(kept, j)
			}
		}
		if len(kept) == len(p.use) {
			continue
		}
		whole, fit := p.use, p.fit
		p.use = kept
		if d.refit(p) && math.Abs(math.Log(p.fit.tau/fit.tau)) < kneeMoves {
			cut = true
		} else {
			p.use, p.fit = whole, fit
		}
	}
	return cut
}

// stillBefore gives the time of the last of p's first points that lie on what was before it, a level or a curve, as surely as
// points there do.
func (d *decay) stillBefore(p *piece, pieces []*piece) (t float64, ok bool) {
	var sure []float64
	var before func(t float64) float64
	switch {
	case p.level != nil:
		level := d.weightedMean(p.level, d.v)
		before = func(float64) float64 { return level }
		sure = d.sigmas(p.level)
	case p.before >= 0:
		q := pieces[p.before]
		before = q.fit.at
		sure = d.sigmas(q.use[len(q.use)*3/4:])
	default:
		return 0, false
	}
	limit := onCurve * median(sure)
	for _, j := range p.use {
		if math.Abs(d.v[j]-before(d.t[j])) > limit {
			break
		}
		t, ok = d.t[j], true
	}
	return t, ok
}

func (d *decay) sigmas(use []int) []float64 {
	out := make([]float64, len(use))
	for i, j := range use {
		out[i] = d.sigma[j]
	}
	return out
}

// begun tells whether the place where p meets what was before it is a knee, or would be one if p had not begun too early.
func (p *piece) begun() bool {
	first := p.fit.ref
	return p.sharp || p.meets > first && p.meets < first+beginsLate*p.fit.tau
}

// findKnee finds where p begins: where its curve meets the level or the curve before it; on an edge, half way
// between the last point before and the first one after; at its first point if nothing is before.
func (d *decay) findKnee(p *piece, pieces []*piece) {
	first := d.t[p.use[0]]
	var last, t float64
	switch {
	case p.level != nil:
		last = d.t[p.level[len(p.level)-1]]
		t = p.fit.crossing(d.weightedMean(p.level, d.v))
	case p.before >= 0:
		q := pieces[p.before]
		last = d.t[q.use[len(q.use)-1]]
		t = p.fit.meets(&q.fit)
	default:
		p.knee = first
		return
	}
	p.meets = t
	p.sharp = t > last-(first-last)-p.fit.tau*kneeReach && t < first+p.fit.tau*kneeReach
	if p.kneeU = 0; p.sharp {
		p.knee = t
		return
	}
	p.knee = (last + first) / 2
	p.kneeU = math.Abs(first-last) / 2 / math.Sqrt(3)
}

// kneeReach, in τ, is how far outside the gap between two curves they may meet and still make a knee
// rather than an edge.
const kneeReach = 0.1

// beginsLate, in τ, is how late after the first point of a piece its knee may still be: further on two curves cross that have no
// knee in common.
const beginsLate = 0.5

// weightedMean is that of the points at places use of v.
func (d *decay) weightedMean(use []int, v []float64) float64 {
	sum, weights := 0.0, 0.0
	for _, j := range use {
		w := 1 / (d.sigma[j] * d.sigma[j])
		sum += w * v[j]
		weights += w
	}
	return sum / weights
}

// crossing is the time at which f has the value v; NaN if never.
func (e *exponential) crossing(v float64) float64 { return e.ref - e.tau*math.Log((v-e.c)/e.a) }

// meets gives the time where f and b have the same value, looked for from the beginning of f; NaN if
// they do not come together within a few τ.
func (e *exponential) meets(b *exponential) float64 {
	t := e.ref
	for range walkLimit {
		step := (e.at(t) - b.at(t)) / (e.slope(t) - b.slope(t))
		t -= step
		if math.Abs(step) < 1e-12*e.tau {
			return t
		}
		if math.IsNaN(step) || math.Abs(t-e.ref) > 5*e.tau {
			break
		}
	}
	return math.NaN()
}
