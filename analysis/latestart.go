package analysis

// What precedes a decay and is none: a slow switch, an amplifier or a second network makes the trace bend into its fall
// by and by, and a fit that takes the bend in has a τ too long, by 17 % on a real photo. It is found in three ways:
//
//   - the points scatter less and less about the curve, and τ gets shorter, the more of the beginning is left out; as much is
//     left out as it takes for the scatter to come down. (A leak makes the early part too fast: that is the decay's own.)
//   - between the level before and the decay there are points that lie on neither, more than a knee's: then the first
//     of the points that seem to lie on the curve still lie off it, too little each to be seen, and are left out;
//   - τ of the later part is shorter than that of all by more than chance: both are made of the same points, so that
//     only what the points left out add can part them (J. A. Hausman, Econometrica 46 (1978) 1251, from memory).
//
// Which part that is, is told; a part that a person chose is used as it is.

import (
	"context"
	"math"
	"slices"
)

const (
	// lateStep and latest are the steps and the end of what is tried to be left out, in τ: what comes through a
	// second network is over after four of its own τ, and from 1.6 τ on a fifth of a decay is left
	// (TestAnSBendBeforeADecayIsLeftOut).
	lateStep, latest = 0.1, 1.6
	// calmer is how many times the mean square about the curve must come down, and calm how near to its least it must
	// come, for the beginning to be another's; τ must get shorter by the share shorter
	// (TestNothingIsLeftOutOfADecay).
	calmer, calm, shorter = 2.0, 1.25, 0.02
	// bendsOver is the time in τ between a level and its decay from which on the decay does not begin at a knee, and
	// beside is what is left out then (TestAnSBendBeforeADecayIsLeftOut).
	bendsOver, beside = 0.2, 0.4
	// further is how many steps more are looked at for whether τ still gets shorter: as much as
	// beside (TestAnSBendBeforeADecayIsLeftOut).
	further = 4
	// surelyShorter and stillShorter are by how many standard deviations τ must get shorter for more to be left out: where
	// nothing else tells of a bend, and where one was seen. Of 300 plain decays the first takes the beginning off 5, and
	// 2 off 17 (TestNothingIsLeftOutOfADecay, TestAnSBendBeforeADecayIsLeftOut).
	surelyShorter, stillShorter = 2.75, 1.6
	// changesOver is how many steps more are looked at for how much τ may still change by what is left in it of the bend:
	// with 4, U held τ after 91 % of two networks, with 6 after 94 % (TestAnSBendBeforeADecayIsLeftOut).
	changesOver = 6
	// leftOver is the least length in τ of the rest, as a decay is seen at least that is not held to a level exactly.
	leftOver = tooShort
)

// withoutLateStart leaves out what precedes the decays; cut is how many τ of their points it is, 0 for none.
func (d *decays) withoutLateStart(ctx context.Context) (rest *decays, cut float64) {
	if d.points.chosen || len(d.points.t) < fewForCorrelation {
		return d, 0
	}
	tries, least := []*decays{d}, d.meanSquare()
	for k := 1; float64(k)*lateStep <= latest; k++ {
		later := d.startingLater(float64(k) * lateStep)
		if later == nil || ctx.Err() != nil {
			break
		}
		tries, least = append(tries, later), math.Min(least, later.meanSquare())
	}
	at := 0
	least = math.Max(least, 1)
	if d.meanSquare() > calmer*least {
		for at < len(tries)-1 && tries[at].meanSquare() > calm*least {
			at++
		}
		if d.pieces.meanTau() < (1+shorter)*tries[at].pieces.meanTau() {
			at = 0
		}
	}
	if k := int(math.Round(beside / lateStep)); d.bendsIn() && k < len(tries) {
		at = max(at, k)
		for at+further < len(tries)-1 && tries[at].shortens(ctx, tries[at+further]) > stillShorter {
			at++
		}
	}
	for slices.ContainsFunc(tries[at:min(at+further+1, len(tries))], func(later *decays) bool {
		return tries[at].shortens(ctx, later) > surelyShorter
	}) {
		at++
	}
	if at == 0 {
		return d, 0
	}
	rest = tries[at]
	rest.measure(ctx)
	for _, later := range tries[at:min(at+changesOver+1, len(tries))] {
		rest.begins = math.Max(rest.begins, math.Abs(later.pieces.meanTau()-rest.pieces.meanTau()))
	}
	return rest, float64(at) * lateStep
}

// meanSquare is that of the whitened residuals of all decays.
func (d *decays) meanSquare() float64 {
	sum, n := 0.0, 0.0
	for _, q := range d.pieces {
		sum += q.fit.chiSq
		n += float64(len(q.use) - q.fit.parameters())
	}
	return sum / n
}

func (all pieces) meanTau() float64 {
	sum := 0.0
	for _, q := range all {
		sum += q.fit.tau / float64(len(all))
	}
	return sum
}

// shortens is by how many of its own standard deviations τ of later, the same decays without more of their beginnings,
// is shorter; 0 of d itself, and if τ is not shorter at all.
func (d *decays) shortens(ctx context.Context, later *decays) float64 {
	by, influence := 0.0, make([]float64, len(d.points.t))
	add := func(side float64, q *piece) {
		by += side * q.fit.tau
		for k, j := range q.use {
			influence[j] += side * q.fit.tau * q.fit.dLogTau[k]
		}
	}
	for i, q := range d.pieces {
		add(1, q)
		add(-1, later.pieces[i])
	}
	if !(by > 0) {
		return 0
	}
	later.measure(ctx)
	u := math.Sqrt(later.noise.variance(influence))
	if !(u > 0) {
		return 0
	}
	return by / u
}

// bendsIn says that the trace goes from the level to the decay over more time than a knee takes, for every decay
// after a level.
func (d *decays) bendsIn() bool {
	p, levels := d.points, 0
	for _, q := range d.pieces {
		if q.level == nil {
			continue
		}
		levels++
		level := p.meanOver(q.level, p.v)
		limit := onCurve * median(sigmasOf(p, q.level))
		from, to := math.NaN(), math.NaN()
		for j := q.level[len(q.level)-1] + 1; j < q.use[0]; j++ {
			short := math.Copysign(1, q.fit.a) * (q.fit.at(p.t[j]) - p.v[j]) // of the curve; a leak makes it go beyond
			if math.Abs(p.v[j]-level) > limit && short > onCurve*p.sigma[j] && p.sigma[j] <= 3*p.typical {
				if to = p.t[j]; math.IsNaN(from) {
					from = to
				}
			}
		}
		if !(to-from > bendsOver*q.fit.tau) {
			return false
		}
	}
	return levels > 0
}

// startingLater gives the decays without so many τ of their beginnings, to be measured; nil if too little is left of
// any.
func (d *decays) startingLater(cut float64) *decays {
	p := d.points
	var all pieces
	for _, q := range d.pieces {
		c := *q
		from := p.t[q.use[0]] + cut*q.fit.tau
		c.use = nil
		for _, j := range q.use {
			if p.t[j] >= from {
				c.use = append(c.use, j)
			}
		}
		if len(c.use) < fewForCorrelation || !c.refit(p) {
			return nil
		}
		if long := p.t[c.use[len(c.use)-1]] - from; !c.fit.fixedC && long < leftOver*c.fit.tau {
			return nil
		}
		all = append(all, &c)
	}
	return &decays{points: p, pieces: all}
}

// measure finds the knees of what starts later, and the noise about it, which take most of the time and which few of
// those that are tried need.
func (d *decays) measure(ctx context.Context) {
	if d.noise.n == 0 {
		d.pieces.findKnees(d.points)
		d.noise = noiseAbout(ctx, d.points, d.pieces)
	}
}
