package analysis

// Half-lives as the lab sheet asks for them: the times at which half, a quarter and an eighth of the way to V∞
// are still to go, each read off a parabola through the points near it and not off the fitted curve. The
// half-life is the slope of those times against 0, 1, 2, 3, weighted by how well each can be read, and
// τ = t½/ln 2.
//
// Counting begins at the knee if a flat level before it gives V0; otherwise at a reading a little inside the
// decay, where blur has no part.

import "math"

type halfPlan struct {
	from    []int     // points of the reading that counting begins at; nil to begin at the knee
	start   float64   // s, time of that reading
	windows [][]int   // points about 1/2, 1/4, 1/8
	weights []float64 // of the times, the beginning first: half-life = Σ weights·time
}

const (
	// mostHalves is the number of half-lives that a lab sheet asks for
	// (TestReadingsOfANoiselessDecayAreExact).
	mostHalves = 3
	// readable, in standard deviations of a point, is the least distance from V∞ at which a half-life is
	// read: below it the reading is out by a quarter of τ (TestHowManyHalfLivesAreRead).
	readable = 5.0
)

// planHalves chooses readings and weights; without any reading windows is empty.
func (d *decays) planHalves(q *piece) (h halfPlan) {
	p, f, s := d.points, &q.fit, math.Sqrt(d.noise.scale*d.noise.inflation)
	first, last := p.t[q.use[0]], p.t[q.use[len(q.use)-1]]
	var v0 float64
	h.start = q.knee
	reach := readingReach * f.tau
	if q.level != nil {
		v0 = p.meanOver(q.level, p.v)
	} else {
		if h.start = first + reach; h.start > last {
			return h
		}
		for _, j := range q.use {
			if p.t[j] <= first+2*reach {
				h.from = append(h.from, j)
			}
		}
		if len(h.from) < 3 { // a table of single readings
			h.start, h.from = first, q.use[:1]
		}
		v0 = f.at(h.start)
	}
	y0 := v0 - f.c
	count := func(y float64, use []int) float64 { // variance of a time read at a distance y from V∞
		u := s * p.sigma[use[len(use)/2]] / y * f.tau
		return u * u / float64(len(use))
	}
	var variances []float64
	if h.from != nil {
		variances = append(variances, count(y0, h.from))
	} else {
		variances = append(variances, count(y0, q.level)+q.kneeU*q.kneeU)
	}
	for n := 1; n <= mostHalves; n++ {
		y := y0 / math.Exp2(float64(n))
		t := f.crossing(f.c + y)
		window := p.around(q.use, t, reach)
		if window == nil || math.Abs(y) < readable*s*p.sigma[window[len(window)/2]] {
			break
		}
		h.windows = append(h.windows, window)
		variances = append(variances, count(y, window))
	}
	if len(h.windows) == 0 {
		return h
	}
	// The knee is a curve's doing where it is sharp: give it no more weight than the first reading.
	variances[0] = math.Max(variances[0], variances[1])
	var sum, mean, squares float64
	for n, v := range variances {
		sum += 1 / v
		mean += float64(n) / v
	}
	mean /= sum
	for n, v := range variances {
		x := float64(n) - mean
		squares += x * x / v
		h.weights = append(h.weights, x/v)
	}
	for n := range h.weights {
		h.weights[n] /= squares
	}
	return h
}

func (e *reader) halfLife() {
	h, f := &e.plan.half, &e.n.curve
	if len(h.windows) == 0 {
		return
	}
	begin, v0 := e.n.knee, e.n.start
	if h.from != nil {
		q, ok := e.readParabola(h.from)
		if !ok {
			return
		}
		begin, v0 = number{x: h.start}, e.value(&q, h.start)
	}
	sum := h.weights[0] * begin.x
	shares := []share{{h.weights[0], begin}}
	e.n.halfVolts = []float64{v0.x}
	for n, window := range h.windows {
		k := math.Exp2(-float64(n + 1))
		level := blend(k*v0.x+(1-k)*e.n.settles.x, share{k, v0}, share{1 - k, e.n.settles})
		t := e.crossing(window, level, f.crossing(level.x))
		e.n.halfVolts = append(e.n.halfVolts, level.x)
		e.n.halves = append(e.n.halves, blend(t.x-begin.x, share{1, t}, share{-1, begin}))
		sum += h.weights[n+1] * t.x
		shares = append(shares, share{h.weights[n+1], t})
	}
	e.n.halfLife = blend(sum, shares...)
}
