package analysis

// evaluate makes every number of the decays from the record's points, by the scheme. It is the one function whose
// derivatives and moves the uncertainties are made from, so it makes no choices of its own.

import "math"

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

// evaluate gives the numbers of every piece for points (t, v) at the places of the record's own.
func (s *scheme) evaluate(t, v []float64, influences bool) []numbers {
	out := make([]numbers, len(s.pieces))
	for i, q := range s.pieces {
		n := &out[i]
		n.tau, n.log, n.halfLife = unread, unread, unread
		pt, pv, pw := s.points.gather(q.use, t, v)
		fit, of, ok := curveTowards(pt, pv, pw, q.fit.ref, q.fixedC, q.loose, q.fit.tau)
		if !ok {
			fit = exponential{ref: q.fit.ref, tau: math.NaN(), c: math.NaN(), a: math.NaN()}
		}
		if ok && influences {
			of.sensitivities(&fit)
		}
		n.curve = fit
		e := reader{scheme: s, t: t, v: v, influences: influences, place: i, piece: q, plan: &s.plans[i], n: n}
		e.curve()
		var before *exponential
		if q.before >= 0 && q.level == nil {
			before = &out[q.before].curve
		}
		e.kneeAndStart(before)
		e.logLine()
		e.halfLife()
		e.timesAtLevels()
	}
	return out
}

// unread is a number that a method cannot make.
var unread = number{x: math.NaN()}

// A reader fills in the numbers of one piece.
type reader struct {
	*scheme
	t, v       []float64
	influences bool
	place      int // of the piece
	piece      *piece
	plan       *plan
	n          *numbers
}

// number makes x with influences of the points at places use, and of the level given if it has one more.
func (e *reader) number(x float64, use []int, influence []float64) number {
	if !e.influences || influence == nil {
		return number{x: x}
	}
	n := number{x, e.in.spread(use, influence)}
	if e.piece.fixedC != nil && len(influence) > len(use) {
		n.d[e.in.level()] = influence[len(use)]
	}
	return n
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
	d := make([]float64, len(f.dC))
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
		e.n.knee.d = make([]float64, e.in.count())
		e.n.knee.d[e.in.knee(e.place)] = 1
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
		mine, other := e.curveAt(f, p.use, t), e.curveAt(before, e.pieces[p.before].use, t)
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
		d[i] = 1 / (e.points.sigma[j] * e.points.sigma[j])
		total += d[i]
	}
	for i := range d {
		d[i] /= total
	}
	return e.number(e.points.meanOver(use, e.v), use, d)
}
