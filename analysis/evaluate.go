package analysis

// evaluate makes every number of a decay from the record's points, by the plan. It is the one function whose
// derivatives and moves the uncertainties are made from, so it makes no choices of its own.

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// numbers of one piece. A method that was not planned for it is NaN.
type numbers struct {
	curve            exponential
	tau, settles     number    // s, V
	knee, start      number    // s, V: where it begins
	log              number    // s: τ of the log line
	halfLife         number    // s
	halves           []number  // s from the start to 1/2, 1/4, 1/8 of the way still to go
	halfVolts        []float64 // V, where that counting begins and ends
	levels           []number  // s from the knee to each level asked for; NaN if not read
	slope, intercept float64   // of the log line
}

// A plan is what the other methods use of a piece.
type plan struct {
	log    []int // points of the log line
	half   halfPlan
	levels [][]int // points about each level asked for, nil if it is not reached
}

// evaluate gives the numbers of every piece for points (t, v) at the places of d's own.
func (d *decay) evaluate(t, v []float64, influences bool) []numbers {
	out := make([]numbers, len(d.pieces))
	for i, p := range d.pieces {
		n := &out[i]
		n.tau, n.log, n.halfLife = unread, unread, unread
		pt, pv, pw := d.gather(p.use, t, v)
		fit, ok := fitExponential(pt, pv, pw, p.fit.ref, p.fixedC, p.fit.tau)
		if !ok {
			fit = exponential{ref: p.fit.ref, tau: math.NaN(), c: math.NaN(), a: math.NaN()}
		}
		n.curve = fit
		e := reader{d: d, t: t, v: v, influences: influences, place: i, piece: p, plan: &d.plans[i], n: n}
		e.curve()
		var before *exponential
		if p.before >= 0 && p.level == nil {
			before = &out[p.before].curve
		}
		e.kneeAndStart(before)
		e.logLine()
		e.halfLife()
		e.levels()
	}
	return out
}

// A reader fills in the numbers of one piece.
type reader struct {
	d          *decay
	t, v       []float64
	influences bool
	place      int // of the piece
	piece      *piece
	plan       *plan
	n          *numbers
}

// number makes x with influences on the points at places use.
func (e *reader) number(x float64, use []int, influence []float64) number {
	if !e.influences || influence == nil {
		return number{x: x}
	}
	return number{x, e.d.spread(use, influence)}
}

func (e *reader) curve() {
	f := &e.n.curve
	logTau := e.number(math.Log(f.tau), e.piece.use, f.dLogTau)
	e.n.tau = blend(f.tau, share{f.tau, logTau})
	e.n.settles = e.number(f.c, e.piece.use, f.dC)
}

// curveAt is the value at time t, held fixed, of a curve fitted to the points at places use.
func (e *reader) curveAt(f *exponential, use []int, t float64) number {
	if !e.influences || f.dA == nil {
		return number{x: f.at(t)}
	}
	x := (t - f.ref) / f.tau
	ex := math.Exp(-x)
	d := make([]float64, len(use))
	for i := range d {
		d[i] = f.dC[i] + ex*f.dA[i] + f.a*ex*x*f.dLogTau[i]
	}
	return e.number(f.at(t), use, d)
}

// kneeAndStart finds the time of the knee and the voltage there: the level before it if there is one, else that
// of the curve.
func (e *reader) kneeAndStart(before *exponential) {
	p, f := e.piece, &e.n.curve
	e.n.knee = number{x: p.knee}
	if p.kneeU > 0 && e.influences {
		e.n.knee.d = make([]float64, e.d.inputs())
		e.n.knee.d[e.d.kneeInput(e.place)] = 1
	}
	switch {
	case p.level != nil:
		e.n.start = e.levelBefore()
		if t := f.crossing(e.n.start.x); p.sharp {
			e.n.knee = blend(t, share{1 / f.slope(t), e.n.start}, share{-1 / f.slope(t), e.curveAt(f, p.use, t)})
		}
		return
	case before != nil && p.sharp:
		t := f.meets(before)
		k := 1 / (f.slope(t) - before.slope(t))
		mine, other := e.curveAt(f, p.use, t), e.curveAt(before, e.d.pieces[p.before].use, t)
		e.n.knee = blend(t, share{-k, mine}, share{k, other})
	}
	t := e.n.knee.x
	e.n.start = blend(f.at(t), share{1, e.curveAt(f, p.use, t)}, share{f.slope(t), e.n.knee})
}

// levelBefore is the weighted mean of the flat stretch before the knee.
func (e *reader) levelBefore() number {
	use := e.piece.level
	d := make([]float64, len(use))
	total := 0.0
	for i, j := range use {
		d[i] = 1 / (e.d.sigma[j] * e.d.sigma[j])
		total += d[i]
	}
	for i := range d {
		d[i] /= total
	}
	return e.number(e.d.weightedMean(use, e.v), use, d)
}

// A parabola through a few neighbouring points, by weighted least squares: how a person reads a curve between
// points. With fewer than three points it is a line or a constant.
type parabola struct {
	centre, width float64 // s
	use           []int
	beta          [3]float64
	gain          [3][]float64 // ∂beta/∂v of each point
}

// readParabola fits the points of use; ok is false if they do not tell one from another.
func (e *reader) readParabola(use []int) (q parabola, ok bool) {
	n := len(use)
	if n == 0 {
		return q, false
	}
	q = parabola{centre: e.t[use[n/2]], width: math.Max(e.t[use[n-1]]-e.t[use[0]], 1e-300), use: use}
	order := min(3, n)
	m := mat.NewSymDense(order, nil)
	x := make([][3]float64, n)
	for i, j := range use {
		u := (e.t[j] - q.centre) / q.width
		x[i] = [3]float64{1, u, u * u}
		w := 1 / (e.d.sigma[j] * e.d.sigma[j])
		for a := range order {
			for b := a; b < order; b++ {
				m.SetSym(a, b, m.At(a, b)+w*x[i][a]*x[i][b])
			}
		}
	}
	var chol mat.Cholesky
	var inverse mat.SymDense
	if !chol.Factorize(m) || chol.InverseTo(&inverse) != nil {
		return q, false
	}
	for a := range order {
		q.gain[a] = make([]float64, n)
		for i, j := range use {
			w := 1 / (e.d.sigma[j] * e.d.sigma[j])
			for b := range order {
				q.gain[a][i] += inverse.At(a, b) * x[i][b] * w
			}
			q.beta[a] += q.gain[a][i] * e.v[j]
		}
	}
	return q, true
}

func (q *parabola) at(t float64) float64 {
	x := (t - q.centre) / q.width
	return q.beta[0] + x*(q.beta[1]+x*q.beta[2])
}

func (q *parabola) slope(t float64) float64 {
	return (q.beta[1] + 2*q.beta[2]*(t-q.centre)/q.width) / q.width
}

// reaches is the time nearest to start at which the parabola has the value v; NaN if never.
func (q *parabola) reaches(v, start float64) float64 {
	a, b, c := q.beta[2], q.beta[1], q.beta[0]-v
	if a == 0 {
		return q.centre - q.width*c/b
	}
	// The form that does not subtract nearly equal numbers: one root is k/a, the other c/k.
	k := -(b + math.Copysign(math.Sqrt(b*b-4*a*c), b)) / 2
	one, two := q.centre+q.width*k/a, q.centre+q.width*c/k
	if math.Abs(one-start) < math.Abs(two-start) {
		return one
	}
	return two
}

// value is the parabola's at time t, held fixed.
func (e *reader) value(q *parabola, t float64) number {
	x := (t - q.centre) / q.width
	d := make([]float64, len(q.use))
	for a, k := range []float64{1, x, x * x} {
		for i, g := range q.gain[a] {
			d[i] += k * g
		}
	}
	return e.number(q.at(t), q.use, d)
}

// crossing is the time at which the parabola through the points of use has the value level, near start; NaN if
// it does not come there within its points.
func (e *reader) crossing(use []int, level number, start float64) number {
	q, ok := e.readParabola(use)
	if !ok {
		return unread
	}
	t := q.reaches(level.x, start)
	if !(math.Abs(t-q.centre) <= q.width) {
		return unread
	}
	return blend(t, share{1 / q.slope(t), level}, share{-1 / q.slope(t), e.value(&q, t)})
}

// around gives the points of use within reach of time t, and at least two on each side. nil if t is not
// between points, or in a gap that is wider than the reach on both sides and than two spacings.
func (d *decay) around(use []int, t, reach float64) []int {
	after := 0
	for after < len(use) && d.t[use[after]] < t {
		after++
	}
	if after == 0 || after == len(use) {
		return nil
	}
	if gap := d.t[use[after]] - d.t[use[after-1]]; gap > math.Max(2*reach, 2*medianStep(d.t)) {
		return nil
	}
	lo, hi := max(0, after-2), min(len(use), after+2)
	for lo > 0 && d.t[use[lo-1]] >= t-reach {
		lo--
	}
	for hi < len(use) && d.t[use[hi]] <= t+reach {
		hi++
	}
	return use[lo:hi]
}

// readingReach, in τ, is how far from a reading the points lie that it is taken from: the parabola is then off an
// exponential by less than 1e-4 of its height (TestReadingsOfANoiselessDecayAreExact).
const readingReach = 0.25
