package analysis

// The decay of a few readings, and the level before it. So few are too short to be cut into stretches, but the readings
// before a knee, taken into the curve, make τ too long by half and more. Every place of the knee is tried: the readings
// before it lie on a level, those behind it on the curve, and both meet between the last of the one and the first of
// the other. The best place counts if it leaves so much less than one curve through all that chance does not explain
// it: an F test of two numbers more, the level and the place (JCGM 100:2008, G.3, has the distribution's source).
//
// Of few readings the residuals say little of how well they were read, so that what is common for a hand counts as two
// residuals beside them: the conjugate prior of a variance (Gelman et al., "Bayesian Data Analysis", section 2.6, from
// memory).

import (
	"context"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

const (
	// sparse is the number of points below which a record is a table of few readings.
	sparse = fewForCorrelation
	// byHand is what a reading is good to, as a share of the height, if nothing was said of it: limits of half a tenth
	// of a box on a height of six (common practice, no source), and priorResiduals is how many residuals that is worth
	// (TestTheKneeOfFewReadingsIsFound).
	byHand         = 0.005
	priorResiduals = 2.0
	// kneeByChance is the probability at which readings of a single curve are taken for a level and a curve
	// (TestFewReadingsOfASingleDecayAreNotCut).
	kneeByChance = 0.05
	// kneeOff, in standard deviations of a reading, is how far apart the level and the curve may be where they are to
	// meet (TestTheKneeOfFewReadingsIsFound).
	kneeOff = 3.0
)

// sparsePieces gives the decay of a table of few readings, with the level before it if it has one.
func sparsePieces(ctx context.Context, p *points, goal *float64, goalU float64) pieces {
	n := len(p.t)
	best := fitWithin(p, goal, stretch{lo: 0, hi: n}, 0, n, 0)
	limit, numbers := math.Inf(1), 3
	if best != nil {
		limit, numbers = best.fit.chiSq, best.fit.parameters()
	}
	whole := limit
	for k := 1; k < n; k++ {
		q := fitWithin(p, goal, stretch{lo: k, hi: n}, k, n, 0)
		if q == nil {
			continue
		}
		q.level = span(0, k)
		level, squares := p.meanOver(q.level, p.v), 0.0
		for _, j := range q.level {
			squares += math.Pow(p.w[j]*(p.v[j]-level), 2)
		}
		left := squares + q.fit.chiSq
		if left < limit && p.beyondChance(whole, left, n-numbers-2) && q.comesFrom(p, level, k) {
			best, limit = q, left
		}
	}
	if best == nil {
		return nil
	}
	pieces{best}.weighLevel(ctx, p, goalU)
	best.knee = p.t[best.use[0]]
	if best.level != nil {
		best.findKnee(p, pieces{best})
	}
	return pieces{best}.named()
}

// variance is that of a reading about a fit, in units of its own, that leaves so much with degrees of freedom.
func (p *points) variance(left float64, degrees int) (variance, worth float64) {
	if !p.unknown {
		return math.Max(1, left/math.Max(1, float64(degrees))), math.Inf(1)
	}
	usual := byHand * p.height() / p.typical
	worth = math.Max(0, float64(degrees)) + priorResiduals
	return (left + priorResiduals*usual*usual) / worth, worth
}

// beyondChance tells whether two numbers more, which bring the sum of squares from whole to left with so many degrees
// of freedom, do more than chance.
func (p *points) beyondChance(whole, left float64, degrees int) bool {
	variance, worth := p.variance(left, degrees)
	gain := (whole - left) / variance
	if math.IsInf(gain, 1) {
		return true
	}
	if math.IsInf(worth, 1) {
		return distuv.ChiSquared{K: 2}.Survival(gain) < kneeByChance
	}
	return 1-distuv.F{D1: 2, D2: worth}.CDF(gain/2) < kneeByChance
}

// comesFrom tells whether the curve of q leaves the level between reading k-1, the last on it, and reading k.
func (q *piece) comesFrom(p *points, level float64, k int) bool {
	variance, _ := p.variance(q.fit.chiSq, len(q.use)-q.fit.parameters())
	off := func(j int) float64 { // of the level from the curve at reading j, away from where the curve goes
		room := kneeOff * math.Sqrt(variance) * p.sigma[j]
		return math.Copysign(1, q.fit.a) * (q.fit.at(p.t[j]) - level) / room
	}
	return off(k-1) > -1 && off(k) < 1
}
