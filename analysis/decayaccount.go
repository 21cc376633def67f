package analysis

// What decays make of all points of a record: those on their curves, and between the decays levels, or parts of decays
// that tell no time constant.

import "math"

func (d *decaying) account() *account {
	p := d.stated
	a := &account{r: make([]float64, len(p.t)), numbers: tauChosen}
	if !d.swings() || d.scheme.pieces.seen(p) < recognisedTaus ||
		len(p.t) >= fewForCorrelation && d.scheme.pieces.meanTau() < pointsOfTau*medianStep(p.t) {
		return nil
	}
	least := 1.0 // standard deviation of a point, in those stated
	if p.unknown {
		least = math.Sqrt(p.floor(p.height()))
	}
	covered := make([]bool, len(p.t))
	for i, q := range d.scheme.pieces {
		curve := &d.base[i].curve
		a.numbers += 3
		squares := 0.0
		take := func(j int) {
			covered[j] = true
			a.r[j] = p.w[j] * (p.v[j] - curve.at(p.t[j]))
		}
		for _, j := range q.use {
			take(j)
			squares += a.r[j] * a.r[j]
		}
		// Beside a knee the fit left points out to be sure; those on its curve are the decay's all the same.
		reach := onCurve * math.Max(least, math.Sqrt(squares/float64(len(q.use))))
		belongs := func(j int) bool {
			return j >= 0 && j < len(p.t) && !covered[j] && math.Abs(p.w[j]*(p.v[j]-curve.at(p.t[j]))) <= reach
		}
		for j := q.use[0] - 1; belongs(j); j-- {
			take(j)
		}
		for j := q.use[len(q.use)-1] + 1; belongs(j); j++ {
			take(j)
		}
	}
	for _, q := range d.scheme.pieces { // the level before, as far as it goes
		if q.level == nil || covered[q.level[0]] {
			continue
		}
		level, squares := p.meanOver(q.level, p.v), 0.0
		take := func(j int) {
			covered[j] = true
			a.r[j] = p.w[j] * (p.v[j] - level)
		}
		for _, j := range q.level {
			take(j)
			squares += a.r[j] * a.r[j]
		}
		a.numbers++
		reach := onCurve * math.Max(least, math.Sqrt(squares/float64(len(q.level))))
		belongs := func(j int) bool {
			return j >= 0 && j < len(p.t) && !covered[j] && math.Abs(p.w[j]*(p.v[j]-level)) <= reach
		}
		for j := q.level[0] - 1; belongs(j); j-- {
			take(j)
		}
		for j := q.level[len(q.level)-1] + 1; belongs(j); j++ {
			take(j)
		}
	}
	// What else lies between the decays may be level, a part of a decay that tells no time constant, or a bend that is
	// neither; of a short stretch each point stays unexplained. Beyond a gap another stretch begins: the pen of a slow
	// sweep has the sweep before ahead of it.
	most := acceptedSquare * math.Max(1, p.floor(p.height()))
	gap := gapSpacings * medianStep(p.t)
	for i := 0; i < len(covered); i++ {
		if covered[i] {
			continue
		}
		end := i
		for end < len(covered) && !covered[end] && (end == i || p.t[end]-p.t[end-1] < gap) {
			end++
		}
		if end-i < shortStretch {
			for k := i; k < end; k++ {
				a.leave(p, k)
			}
		} else {
			numbers := levelOrDecay(p, i, end, a.r)
			squares := dot(a.r[i:end], a.r[i:end])
			if n := float64(end - i); squares > n*most {
				for k := i; k < end; k++ {
					a.leave(p, k)
				}
			} else {
				a.numbers += numbers
			}
		}
		i = end
	}
	if a.silent > mostLeft*float64(len(p.t)) {
		return nil
	}
	return a
}

// mostLeft is the share of the points that decays may leave unexplained to be taken for such unasked: a bend into a
// decay takes a tenth or so (TestAnSBendBeforeADecayIsLeftOut).
const mostLeft = 0.2

// tauChosen counts for τ having been chosen among the distinct ones from a few points to some spans of the record,
// about twenty: their logarithm (TestOneCornerAndOneSlope, where decays of 0.1 τ else pass for straight slopes).
const tauChosen = 3.0

// recognisedTaus is the least part of a decay that is taken for one unasked: less is a straight slope to the eye, which
// leaves it by a hundredth of its height (TestOneCornerAndOneSlope).
const recognisedTaus = 0.7

// pointsOfTau is the number of point spacings that a τ lasts at least to be taken for one unasked: less is the edge of
// a step, which blur rounds (TestAnEdgeIsNoDecay). A table by hand has no more readings than that and no edges.
const pointsOfTau = 3.0

// leastSwing is the share of the record's height that the decays must run over where they are seen: what bends less
// beside its jumps is the sag of a square wave, and no one would take it for decays unasked
// (TestASquareWaveThatSagsIsNoDecay).
const leastSwing = 0.25

// swings says that one of the decays is seen to run over that much.
func (d *decaying) swings() bool {
	height := d.stated.height()
	for i, q := range d.scheme.pieces {
		curve := &d.base[i].curve
		if math.Abs(curve.at(d.stated.t[q.use[0]])-curve.at(d.stated.t[q.use[len(q.use)-1]])) >= leastSwing*height {
			return true
		}
	}
	return false
}

// levelOrDecay fills in the residuals of points first to end-1 about their level or about one exponential, whichever is
// worth its numbers, and gives how many those are.
func levelOrDecay(p *points, first, end int, r []float64) float64 {
	var at []int
	for k := first; k < end; k++ {
		at = append(at, k)
	}
	mean, _ := weightedMean(p, at)
	flat, bent := 0.0, math.Inf(1)
	for _, k := range at {
		r[k] = p.w[k] * (p.v[k] - mean)
		flat += r[k] * r[k]
	}
	e, ok := fitExponential(p.t[first:end], p.v[first:end], p.w[first:end], p.t[first], nil, 0)
	if ok {
		bent = e.chiSq
	}
	n := float64(len(at))
	if n*math.Log(math.Max(flat/n, 1))+2 <= n*math.Log(math.Max(bent/n, 1))+6 {
		return 1
	}
	for _, k := range at {
		r[k] = p.w[k] * (p.v[k] - e.at(p.t[k]))
	}
	return 3
}

// gapSpacings is the least gap in point spacings that parts two stretches: a few columns hidden by a line of the
// graticule do not (TestWhichGapPartsATrace).
const gapSpacings = 6.0

// shortStretch is the number of points below which a stretch between decays is an edge or a knee and not a
// level; nothing changes from 4 to 16 (TestFindsTheDecaysOfASquareDrive).
const shortStretch = 8
