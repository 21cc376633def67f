package analysis

// Where a decay begins. Blur rounds a knee, so it is not looked for among the points: it is the time at which the curve
// of the decay and what was before it, a level or another curve, come to the same voltage. Where they do not, the
// trace jumps, and the knee lies anywhere between the last point before the jump and the first one after it.

import "math"

const (
	// kneeRounds bounds how often knees and the points between them are found anew, each from the other
	// (TestFindsTheDecaysOfASquareDrive; nothing changes from 1 to 96).
	kneeRounds = 3
	// kneeMoves is by how much ln τ may change each time. Points before a knee draw τ out by a tenth or two; where it
	// changes by more the piece is no decay, such as the edge of a square wave. Nothing changes from 0.01 to 0.5
	// (TestASquareWaveIsNotCutToDecays notices 1).
	kneeMoves = 0.25
)

func (all pieces) findKnees(p *points) {
	for _, q := range all {
		q.findKnee(p, all)
	}
}

// cutAtKnees takes points out of pieces that lie beyond the knees at their ends, or at them, and fits again; it reports
// whether it did. Where a decay is a few of the display's columns long its points are so unsure, and its curve with
// them, that those before its knee lie on it within their uncertainty (TestPointsBeforeTheKneeAreNotFitted).
func (all pieces) cutAtKnees(p *points) (cut bool) {
	guard := clearance * medianStep(p.t)
	for k, q := range all {
		from, to := math.Inf(-1), math.Inf(1)
		if q.begun() {
			from = q.meets + guard
		}
		if t, ok := q.stillBefore(p, all); ok {
			from = math.Max(from, t+guard)
		}
		for _, next := range all {
			if next.before == k && next.begun() {
				to = next.meets - guard
			}
		}
		var kept []int
		for _, j := range q.use {
			if p.t[j] >= from && p.t[j] <= to {
				kept = append(kept, j)
			}
		}
		if len(kept) == len(q.use) {
			continue
		}
		whole, fit := q.use, q.fit
		q.use = kept
		if q.refit(p) && math.Abs(math.Log(q.fit.tau/fit.tau)) < kneeMoves {
			cut = true
		} else {
			q.use, q.fit = whole, fit
		}
	}
	return cut
}

// stillBefore gives the time of the last of q's first points that lie on what was before it, a level or a curve, as
// surely as points there do.
func (q *piece) stillBefore(p *points, all pieces) (t float64, ok bool) {
	var sure []float64
	var before func(t float64) float64
	switch {
	case q.level != nil:
		level := p.meanOver(q.level, p.v)
		before = func(float64) float64 { return level }
		sure = sigmasOf(p, q.level)
	case q.before >= 0:
		last := all[q.before]
		before = last.fit.at
		sure = sigmasOf(p, last.use[len(last.use)*3/4:])
	default:
		return 0, false
	}
	limit := onCurve * median(sure)
	for _, j := range q.use {
		if math.Abs(p.v[j]-before(p.t[j])) > limit {
			break
		}
		t, ok = p.t[j], true
	}
	return t, ok
}

func sigmasOf(p *points, use []int) []float64 {
	out := make([]float64, len(use))
	for i, j := range use {
		out[i] = p.sigma[j]
	}
	return out
}

// begun tells whether the place where q meets what was before it is a knee, or would be one if q had not begun too
// early.
func (q *piece) begun() bool {
	first := q.fit.ref
	return q.sharp || q.meets > first && q.meets < first+beginsLate*q.fit.tau
}

// findKnee finds where q begins: where its curve meets the level or the curve before it; on an edge, half way
// between the last point before and the first one after; at its first point if nothing is before.
func (q *piece) findKnee(p *points, all pieces) {
	first := p.t[q.use[0]]
	var last, t float64
	switch {
	case q.level != nil:
		last = p.t[q.level[len(q.level)-1]]
		t = q.fit.crossing(p.meanOver(q.level, p.v))
	case q.before >= 0:
		before := all[q.before]
		last = p.t[before.use[len(before.use)-1]]
		t = q.fit.meets(&before.fit)
	default:
		q.knee = first
		return
	}
	q.meets = t
	q.sharp = t > last-(first-last)-q.fit.tau*kneeReach && t < first+q.fit.tau*kneeReach
	if q.kneeU = 0; q.sharp {
		q.knee = t
		return
	}
	q.knee = (last + first) / 2
	q.kneeU = math.Abs(first-last) / 2 / math.Sqrt(3)
}

// kneeReach, in τ, is how far outside the gap between two curves they may meet and still make a knee
// rather than an edge (TestWhereADecayHasItsKnee).
const kneeReach = 0.1

// beginsLate, in τ, is how late after the first point of a piece its knee may still be: further on two curves cross
// that have no knee in common (TestWhereADecayHasItsKnee).
const beginsLate = 0.5

// meanOver is the weighted mean of the points at places use of v.
func (p *points) meanOver(use []int, v []float64) float64 {
	sum, weights := 0.0, 0.0
	for _, j := range use {
		w := 1 / (p.sigma[j] * p.sigma[j])
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
