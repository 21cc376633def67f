package analysis

// Which decays of a record tell τ, and how uncertain numbers made of them are.
//
// A number of a decay depends on inputs: the points, which share their noise; the knees that lie on an edge between two
// points, each with an uncertainty of its own; and what is left of the bias of the log line. It carries its derivative
// by each of them (number.go), so that its variance and what it shares with another number follow. So has the level
// that was given for decays to settle at, if it was given with an uncertainty.

import (
	"context"
	"math"
)

// A decays is what of a record is fitted by exponentials.
type decays struct {
	points *points // with a standard deviation each, stated or not
	pieces pieces
	noise  noise   // of the points about the curves
	begins float64 // s, by how much τ still changes with what is left out of the beginning
}

const (
	// hopeless and vague are standard uncertainties of ln τ: at 0.7 the 95 % interval spans a factor of 4 and
	// more to each side; a piece worse than 0.1, and three times worse than the best, would only
	// bend an average, since its τ is skewed (TestWhichDecaysTellTau).
	hopeless = 0.7
	vague    = 0.1 // (TestWhichDecaysTellTau)
	// strangeScatter is how many times the usual scatter of the pieces one may have (TestWhichDecaysTellTau).
	strangeScatter = 3.0
)

// tellingDecays measures the noise and keeps the pieces that tell τ: within a third each, or the best one alone. A
// piece off its curve by much more than the others is not one decay, and goes too. leftOut is how many go.
func tellingDecays(ctx context.Context, p *points, all pieces) (d *decays, leftOut int, err error) {
	scatters := make([]float64, len(all))
	for i, q := range all {
		scatters[i] = math.Sqrt(q.fit.chiSq / float64(len(q.use)))
	}
	usual := median(scatters)
	kept := all.without(func(i int) bool { return scatters[i] > strangeScatter*math.Max(1, usual) && len(scatters) > 2 })
	d = &decays{points: p, pieces: kept, noise: noiseAbout(ctx, p, kept)}
	best, bestAt := math.Inf(1), -1
	u := make([]float64, len(kept))
	influence := make([]float64, len(p.t))
	for i, q := range kept {
		clear(influence)
		for k, j := range q.use {
			influence[j] = q.fit.dLogTau[k]
		}
		if u[i] = math.Sqrt(d.noise.variance(influence)); u[i] < best {
			best, bestAt = u[i], i
		}
	}
	if !(best <= hopeless) {
		return nil, 0, &NotFoundError{
			Reason: "the decay is lost in the noise: its time constant is not told within a factor of 2",
			Hint:   "show the decay larger on the screen, over 3 to 5 time constants",
		}
	}
	telling := kept.without(func(i int) bool { return i != bestAt && !(u[i] <= math.Max(vague, 3*best)) })
	if len(telling) < len(kept) {
		d = &decays{points: p, pieces: telling, noise: noiseAbout(ctx, p, telling)}
	}
	return d, len(all) - len(telling), nil
}

// without gives the pieces that are not out.
func (all pieces) without(out func(i int) bool) pieces {
	place := make([]int, len(all))
	var kept pieces
	for i, q := range all {
		if place[i] = -1; !out(i) {
			place[i] = len(kept)
			kept = append(kept, q)
		}
	}
	for _, q := range kept {
		if q.before >= 0 {
			if q.before = place[q.before]; q.before < 0 && q.sharp {
				// The knee stands where it was found, but what ran into it is not fitted any more.
				q.sharp, q.kneeU = false, q.fit.tau*kneeReach
			}
		}
	}
	return kept.named()
}

// noiseAbout is the noise of the points about the curves of the pieces.
func noiseAbout(ctx context.Context, p *points, all pieces) noise {
	fits := make([]residuals, len(all))
	for i, q := range all {
		fits[i] = residuals{use: q.use, r: q.whitened(p), basis: q.fit.basis}
	}
	return p.noiseOf(ctx, slots(p.t), fits)
}

// whitened are the residuals of the points of q in their standard deviations.
func (q *piece) whitened(p *points) []float64 {
	r := make([]float64, len(q.use))
	for k, j := range q.use {
		r[k] = (p.v[j] - q.fit.at(p.t[j])) / p.sigma[j]
	}
	return r
}

// degrees of freedom of the noise: the points' worth less the parameters fitted.
func (d *decays) degrees() float64 {
	n := 0
	for _, q := range d.pieces {
		n += q.fit.parameters()
	}
	return math.Max(1, d.noise.effective()-float64(n))
}

// The inputs of a decay's numbers, in the order of a number's influences: the points, the knees, the bias of the log
// line, the level given.
type inputs struct {
	noise  *noise
	points int
	kneeU  []float64 // s, standard uncertainty of each piece's knee
	levelU float64   // V, of the level that was given; 0 without
}

func (d *decays) inputs() *inputs {
	in := &inputs{noise: &d.noise, points: len(d.points.t)}
	for _, q := range d.pieces {
		in.kneeU = append(in.kneeU, q.kneeU)
		in.levelU = math.Max(in.levelU, q.fixedU)
	}
	return in
}

func (in *inputs) count() int { return in.points + len(in.kneeU) + 2 }

func (in *inputs) knee(piece int) int { return in.points + piece }

func (in *inputs) bias() int { return in.points + len(in.kneeU) }

func (in *inputs) level() int { return in.bias() + 1 }

// spread lays influences of the points at places use out over all inputs.
func (in *inputs) spread(use []int, influence []float64) []float64 {
	out := make([]float64, in.count())
	for i, j := range use {
		out[j] = influence[i]
	}
	return out
}

// covariance of two numbers from the noise of the points, the knees, the bend and the level given.
func (in *inputs) covariance(a, b number) float64 {
	if a.d == nil || b.d == nil {
		return 0
	}
	c := in.noise.covariance(a.d[:in.points], b.d[:in.points])
	for i, u := range in.kneeU {
		k := in.knee(i)
		c += a.d[k] * b.d[k] * u * u
	}
	return c + a.d[in.bias()]*b.d[in.bias()] + a.d[in.level()]*b.d[in.level()]*in.levelU*in.levelU
}

func (in *inputs) variance(a number) float64 {
	if a.d == nil {
		return 0
	}
	points := a.d[:in.points]
	return in.covariance(a, a) - in.noise.covariance(points, points) + in.noise.variance(points)
}

// tells whether a time is known well enough to be averaged: above zero, and not lost in the noise.
func (in *inputs) tells(n number) bool {
	return n.x > 0 && math.Sqrt(in.variance(n)) <= hopeless*n.x
}
