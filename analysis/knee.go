package analysis

// Where a decay begins. Blur rounds a knee, so it is not looked for among the points: it is the time at which the curve
// of the decay and what was before it, a level or another curve, come to the same voltage. Where they do not, the
// trace jumps, and the knee lies anywhere between the last point before the jump and the first one after it.

import "math"

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
	if t > last-(first-last)-p.fit.tau*kneeReach && t < first+p.fit.tau*kneeReach {
		p.knee, p.sharp = t, true
		return
	}
	p.knee = (last + first) / 2
	p.kneeU = math.Abs(first-last) / 2 / math.Sqrt(3)
}

// kneeReach, in τ, is how far outside the gap between two curves they may meet and still make a knee
// rather than an edge.
const kneeReach = 0.1

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
