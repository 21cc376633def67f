package analysis

// Whether one exponential is enough. A leak, a capacitor that soaks up charge, or a bent display leave residuals
// that look like a second, slower exponential. The test is a score test (Rao, Proc. Camb. Philos. Soc. 44 (1948)
// 50): the residuals are projected on exp(-t/κτ) after what a change of τ, V0 or V∞ can explain is taken out of it;
// the projection over its standard deviation, from the same noise as all results, is normal if one exponential is
// the truth.
//
// If it is not, τ depends on the part of the decay that it is taken from: it is fitted to the early and to the late
// part with the same V∞, and half the distance of the two goes into the budget as limits.

import (
	"context"
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

const (
	// slowerTau is κ. The projection changes little with it: from 2 to 6 the columns, once orthogonal, have
	// correlations above 0.9, and nothing changes from 1 to 10 (TestBendOfALeakingCapacitorIsFound).
	slowerTau = 3.0
	// bent is the |z| above which one exponential is not believed: 1 in 1000 by chance
	// (TestOneExponentialIsSeldomDoubted).
	bent = 3.3
	// bentForSure is a |z| that small faults of a photographed trace do not reach (TestWhatIsToldOfDecays).
	bentForSure = 6.0
	// earlyPart, in τ, is where early ends and late begins: each then has about as much to say about τ: nothing
	// changes from 0.4 to 2.4 (TestBendOfALeakingCapacitorIsFound notices 4.8).
	earlyPart = 1.2
)

// A bend is a departure from one exponential.
type bend struct {
	z           float64
	early, late float64 // s, τ of the parts; NaN if they are too short
}

// limit is the half-width in s of what the bend leaves open of τ.
func (b bend) limit() float64 {
	if !b.isClear() || math.IsNaN(b.early+b.late) {
		return 0
	}
	return math.Abs(b.late-b.early) / 2
}

// findBend tests all pieces together. The noise is that of the residuals once the bend is taken out of them. A level
// that was given is left aside where the curve has an end of its own: a ground line that is off would look like a bend.
func findBend(ctx context.Context, d *decays) (b bend) {
	p := d.points
	influence := make([]float64, len(p.t))
	var early, late []float64
	fits := make([]residuals, len(d.pieces))
	sum, squares := 0.0, 0.0
	curves := make(pieces, len(d.pieces))
	for k, q := range d.pieces {
		q = q.withoutLevel(p)
		curves[k] = q
		h := make([]float64, len(q.use))
		r := q.whitened(p)
		for i, j := range q.use {
			h[i] = q.fit.a * math.Exp(-(p.t[j]-q.fit.ref)/(slowerTau*q.fit.tau)) / p.sigma[j]
		}
		for _, column := range q.fit.basis {
			along := dot(h, column)
			for i := range h {
				h[i] -= along * column[i]
			}
		}
		sum += dot(h, r)
		squares += dot(h, h)
		fits[k] = residuals{use: q.use, r: r, basis: slices.Concat(q.fit.basis, [][]float64{h})}
		if e, l := q.tauOfParts(p); !math.IsNaN(e + l) {
			early, late = append(early, e), append(late, l)
		}
	}
	for k, q := range curves {
		h := fits[k].basis[len(q.fit.basis)]
		length := math.Sqrt(dot(h, h))
		for i, j := range q.use {
			influence[j] = h[i] / p.sigma[j]
			fits[k].r[i] -= sum / squares * h[i]
			h[i] /= length
		}
	}
	z := p.noiseOf(ctx, d.noise.slot, fits)
	b.z = sum / math.Sqrt(z.variance(influence))
	b.early, b.late = median(early), median(late)
	return b
}

// tauOfParts fits the early and the late part of q with its own V∞.
func (q *piece) tauOfParts(p *points) (early, late float64) {
	cut := 0
	for cut < len(q.use) && p.t[q.use[cut]] < q.fit.ref+earlyPart*q.fit.tau {
		cut++
	}
	fit := func(use []int) float64 {
		t, v, w := p.gather(use, p.t, p.v)
		if len(t) < fewForCorrelation/2 {
			return math.NaN()
		}
		f, ok := fitExponential(t, v, w, t[0], &q.fit.c, q.fit.tau)
		if !ok {
			return math.NaN()
		}
		return f.tau
	}
	return fit(q.use[:cut]), fit(q.use[cut:])
}

// isClear says that one exponential is not believed.
func (b bend) isClear() bool { return math.Abs(b.z) > bent }

// remark tells a bend that is clear.
func (b bend) remark() remark.Remark {
	if math.IsNaN(b.early + b.late) {
		return remark.Of(KindBent, remark.Number("z", b.z))
	}
	return remark.Of(KindBent, remark.Number("z", b.z), remark.Number("early_s", b.early), remark.Number("late_s", b.late))
}
