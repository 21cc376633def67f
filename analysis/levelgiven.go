package analysis

// A level that a decay is known to settle at, weighed against the one that its own end shows. Both are measurements of
// V∞: the one is as good as the ground line lies (and the volts scale, and what was given with the level), the other as
// the points and the length of the decay let it be. τ is best from both: with f of the curve with a free V∞ and h of
// the one held to the level, (1-w)·f + w·h has the least variance at
//
//	w = (F - X)/(F + H - 2X)
//
// (F and H the variances of ln τ, X their covariance: the best linear unbiased of two estimates of one quantity; common
// practice, no source). So a fact never makes u larger: where a ground line is known less sharply than the trace's own
// end, w is near 0, and after 2 τ it is near 1. A curve held to the level not
// exactly, but as to a point of the standard deviation s, has this τ to first order, with
//
//	w = u²/(u² + s²),  u the standard deviation of the free V∞.
//
// The budget then follows as of any other curve, by moving the record while the level stays.

import (
	"context"
	"math"
)

// weighLevel sets how loosely the curves of the pieces are held to the level that was given for them, which is known to
// u, and fits them. It is one weight for all, since it is one level: so it counts how they do together.
func (all pieces) weighLevel(ctx context.Context, p *points, u float64) {
	var held, free pieces
	for _, q := range all {
		if q.fixedC == nil {
			continue
		}
		q.fixedU = u
		f := *q
		if f.fixedC = nil; !f.refit(p) { // the level alone makes it a curve
			return
		}
		held, free = append(held, q), append(free, &f)
	}
	if len(held) == 0 {
		return
	}
	z := noiseAbout(ctx, p, free)
	ofFree, ofHeld := free.meanInfluence(p), held.meanInfluence(p)
	f, h, x := z.variance(ofFree), z.variance(ofHeld), z.covariance(ofFree, ofHeld)
	for _, e := range p.rec.Effects { // of the times they are the same for both
		if len(e.DV) == 0 {
			continue
		}
		byFree, byHeld := 0.0, 0.0
		for j := range p.t {
			byFree += ofFree[j] * e.DV[p.at[j]]
			byHeld += ofHeld[j] * e.DV[p.at[j]]
		}
		f, h, x = f+byFree*byFree, h+byHeld*byHeld, x+byFree*byHeld
	}
	h += math.Pow(u*sumOf(ofHeld), 2)
	w := (f - x) / (f + h - 2*x)
	if !(w < 1) {
		return
	}
	w = math.Max(w, leastWeight)
	for i, q := range held {
		was := *q
		if q.loose = math.Sqrt(free[i].fit.cov[1][1] * (1 - w) / w); !q.refit(p) {
			*q = was
		}
	}
}

// leastWeight is that of a level that says nothing beside the curve's own end: it moves τ by as little as a share of
// what holding the curve to it would. Nothing changes from 1e-12 to 1e-4 (TestATrueLevelNeverMakesTauWorse).
const leastWeight = 1e-6

// meanInfluence is that of each point on the mean ln τ of the pieces.
func (all pieces) meanInfluence(p *points) []float64 {
	d := make([]float64, len(p.t))
	for _, q := range all {
		for k, j := range q.use {
			d[j] += q.fit.dLogTau[k] / float64(len(all))
		}
	}
	return d
}

// withoutLevel is q with a free level, if it is not held to one exactly.
func (q *piece) withoutLevel(p *points) *piece {
	if q.loose == 0 {
		return q
	}
	f := *q
	f.fixedC, f.loose = nil, 0
	if !f.refit(p) {
		return q
	}
	return &f
}

// level is the one that was given; nil if none was, or none of the pieces goes there.
func (all pieces) level() *float64 {
	for _, q := range all {
		if q.fixedC != nil {
			return q.fixedC
		}
	}
	return nil
}
