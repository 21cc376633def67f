package analysis

// One exponential through points, by variable projection:
//
//	v(t) = c + a·exp(-(t - ref)/τ)
//
// is linear but for τ, so c and a are solved exactly for any τ and the sum of squares is a function of
// ln τ alone (Golub & Pereyra, SIAM J. Numer. Anal. 10 (1973) 413). A grid over ln τ sees every valley of
// that function; from the deepest a Gauss-Newton step in Kaufman's form (BIT 15 (1975) 49) walks to the
// bottom. With the columns 1, e and ∂v/∂ln τ made orthogonal in turn, the parameters' sensitivities to each
// single point fall out without a matrix.
//
// A level c that is known beside the points, to a standard deviation, is one more point: it lies so far out that
// nothing of the exponential is left there.

import (
	"math"
	"slices"
)

// An exponential is a fitted curve. Influences are those of each point on the parameter, ∂parameter/∂v_j, and of the
// level that c was held to, if it was, behind them; nil until asked for.
type exponential struct {
	ref, tau, c, a  float64 // s, s, V, V
	fixedC          bool    // held to a level exactly
	dLogTau, dC, dA []float64
	basis           [][]float64   // orthonormal columns of the whitened Jacobian, one a parameter
	cov             [3][3]float64 // of ln τ, c and a at noise as stated
	chiSq           float64       // of whitened residuals
}

func (e *exponential) at(t float64) float64 { return e.c + e.a*math.Exp(-(t-e.ref)/e.tau) }

func (e *exponential) slope(t float64) float64 { return -e.a / e.tau * math.Exp(-(t-e.ref)/e.tau) }

// uncertainty is the standard uncertainty of the curve at time t in V, at noise as stated and uncorrelated.
func (e *exponential) uncertainty(t float64) float64 {
	x := (t - e.ref) / e.tau
	ex := math.Exp(-x)
	g := [3]float64{e.a * ex * x, 1, ex}
	variance := 0.0
	for i := range g {
		for k := range g {
			variance += g[i] * g[k] * e.cov[i][k]
		}
	}
	return math.Sqrt(math.Max(0, variance))
}

// parameters is the number of fitted ones.
func (e *exponential) parameters() int {
	if e.fixedC {
		return 2
	}
	return 3
}

const (
	// tauGrid is the ratio of neighbouring trial values of τ. The sum of squares has valleys no narrower
	// than about a factor of 2 in τ (TestExponentialFindsTheDeepestValley).
	tauGrid = 1.3
	// longestTau, in lengths of the record, is where a curve is no longer told from a straight line: the
	// bend over the record is then 1/8 of that length's share, 0.6 % of the drop (TestHowLongATauIsFitted).
	longestTau = 20
	// shortestTau, in spacings of the points: below it at most one point lies on the slope
	// (TestADecayOfTooFewPointsIsRefused).
	shortestTau = 0.3
	// settledStep is the step in ln τ at which the walk is at the bottom: far less than any u of ln τ and than the
	// moves of effects; nothing changes from 2.5e-11 to 4e-10 (TestExponentialAgreesWithSciPy,
	// TestReadingsOfANoiselessDecayAreExact).
	settledStep = 1e-10
	// walkLimit bounds its steps; nothing changes from 15 to 240 (TestExponentialAgreesWithSciPy).
	walkLimit = 60
)

// fitExponential fits points (t, v) whose weights are w = 1/σ, all finite and w > 0, t rising. A fixed c
// is given by its pointer. start is a τ near the solution; 0 searches everywhere. ok is false if there are
// fewer points than parameters, or no bend that tells τ.
func fitExponential(t, v, w []float64, ref float64, fixed *float64, start float64) (e exponential, ok bool) {
	return fitTowards(t, v, w, ref, fixed, 0, start)
}

// fitTowards is fitExponential with c held to fixed as by a spring: as a point there with the standard deviation loose
// would. 0 holds it exactly; without fixed c is free.
func fitTowards(t, v, w []float64, ref float64, fixed *float64, loose, start float64) (e exponential, ok bool) {
	e, p, ok := curveTowards(t, v, w, ref, fixed, loose, start)
	if ok {
		p.sensitivities(&e)
	}
	return e, ok
}

// curveTowards is fitTowards without the influences, which cost as much again as the curve, and the projection at its
// solution, from which they are made.
func curveTowards(t, v, w []float64, ref float64, fixed *float64, loose, start float64) (e exponential, p *projection, ok bool) {
	p = newProjection(t, v, w, ref, fixed, loose)
	if len(t) < p.parameters() || !(p.span > 0) {
		return e, p, false
	}
	low, high := math.Log(shortestTau/float64(len(t))), math.Log(longestTau)
	x := math.Log(start / p.span)
	if start > 0 {
		x, ok = p.walk(x, x-1, x+1)
	} else {
		x, ok = p.search(low, high)
	}
	if !ok || x < low || x > high {
		return e, p, false
	}
	p.solve(x)
	e = exponential{ref: ref, tau: p.span * math.Exp(x), c: p.c, a: p.a, fixedC: !p.free, chiSq: p.chiSq}
	return e, p, !math.IsNaN(e.tau+e.c+e.a) && e.a != 0
}

// A projection holds the points with the time scaled by their span, and the linear solution at the last ln τ.
type projection struct {
	x, v, w []float64
	w2      []float64 // w²
	span    float64
	free    bool // c is fitted
	pulled  bool // towards a level, which is the last of the points then
	fixedC  float64
	// At the last ln τ: exp and its part orthogonal to the constant, the residuals, and the part of
	// ∂v/∂ln τ orthogonal to both, each unweighted.
	e, eo, r, g, go_       []float64
	sw, meanE, ee          float64 // Σw², mean of e, Σw²·eo²
	meanG, ge, gg          float64 // mean of g, (g·eo)/(eo·eo), Σw²·go²
	c, a, chiSq, gradientG float64
}

func newProjection(t, v, w []float64, ref float64, fixed *float64, loose float64) *projection {
	n := len(t)
	if n == 0 {
		return &projection{free: fixed == nil}
	}
	span, pulled := t[n-1]-t[0], fixed != nil && loose > 0
	if pulled {
		n++
		v, w = append(slices.Clone(v), *fixed), append(slices.Clone(w), 1/loose)
	}
	buffer := make([]float64, 8*n)
	cut := func(i int) []float64 { return buffer[i*n : (i+1)*n : (i+1)*n] }
	p := &projection{x: cut(0), v: v, w: w, e: cut(1), eo: cut(2), r: cut(3), g: cut(4), go_: cut(5), w2: cut(7), span: span,
		free: fixed == nil || pulled, pulled: pulled}
	for j := range v {
		if p.x[j] = farOut; j < len(t) {
			p.x[j] = (t[j] - ref) / span
		}
		p.w2[j] = w[j] * w[j]
		p.sw += p.w2[j]
	}
	if !p.free {
		p.fixedC = *fixed
		p.v = cut(6)
		for j := range v {
			p.v[j] = v[j] - *fixed
		}
	}
	return p
}

// farOut, in lengths of the record, is where nothing is left of an exponential with the longest τ that is tried;
// nothing changes from 2e4 to 1e12 (TestALevelToFitTowardsIsOneMorePoint).
const farOut = 1e6

func (p *projection) parameters() int {
	if p.free {
		return 3
	}
	return 2
}

// search walks from the deepest points of the grid and gives the lowest bottom.
func (p *projection) search(low, high float64) (x float64, ok bool) {
	step := math.Log(tauGrid)
	n := int((high-low)/step) + 2
	sums := make([]float64, n)
	for i := range sums {
		sums[i] = p.sum(low + float64(i)*step)
	}
	best := math.Inf(1)
	for i, s := range sums {
		if (i > 0 && sums[i-1] < s) || (i < n-1 && sums[i+1] <= s) || math.IsNaN(s) {
			continue
		}
		at := low + float64(i)*step
		if bottom, found := p.walk(at, at-step, at+step); found {
			if p.solve(bottom); p.chiSq < best {
				best, x, ok = p.chiSq, bottom, true
			}
		}
	}
	return x, ok
}

// sum is the sum of squares at ln τ = x, without what only the walk needs.
func (p *projection) sum(x float64) float64 {
	p.linear(x)
	return p.chiSq
}

// linear solves for c and a at ln τ = x.
func (p *projection) linear(x float64) {
	tau := math.Exp(x)
	// Sums and columns of one length in variables of their own stay out of memory and need no checks.
	n := len(p.x)
	v, weight, e, eo, r := p.v[:n], p.w2[:n], p.e[:n], p.eo[:n], p.r[:n]
	var meanE, meanV, ee, ev, chiSq float64
	for j, xj := range p.x {
		ej := math.Exp(-xj / tau)
		e[j] = ej
		meanE += weight[j] * ej
		meanV += weight[j] * v[j]
	}
	meanE, meanV = meanE/p.sw, meanV/p.sw
	if !p.free {
		meanE, meanV = 0, 0
	}
	for j, ej := range e {
		w2, d := weight[j], ej-meanE
		eo[j] = d
		ee += w2 * d * d
		ev += w2 * d * (v[j] - meanV)
	}
	a := ev / ee
	c := meanV - a*meanE
	for j, ej := range e {
		rj := v[j] - c - a*ej
		r[j] = rj
		chiSq += weight[j] * rj * rj
	}
	p.meanE, p.ee, p.a, p.c, p.chiSq = meanE, ee, a, c+p.fixedC, chiSq
}

// solve is linear, and beside it the slope column and the gradient.
func (p *projection) solve(x float64) {
	p.linear(x)
	tau := math.Exp(x)
	n := len(p.x)
	weight, e, eo, r, g, rest, a := p.w2[:n], p.e[:n], p.eo[:n], p.r[:n], p.g[:n], p.go_[:n], p.a
	var meanG, ge, gg, gradient float64
	for j, xj := range p.x {
		w2, gj := weight[j], a*e[j]*xj/tau
		g[j] = gj
		meanG += w2 * gj
		ge += w2 * gj * eo[j]
	}
	meanG /= p.sw
	ge /= p.ee
	if !p.free {
		meanG = 0
	}
	for j, gj := range g {
		w2, d := weight[j], gj-meanG-ge*eo[j]
		rest[j] = d
		gg += w2 * d * d
		gradient += w2 * d * r[j]
	}
	p.meanG, p.ge, p.gg, p.gradientG = meanG, ge, gg, gradient
}

// walk goes down from x between the given limits of ln τ.
func (p *projection) walk(x, low, high float64) (bottom float64, ok bool) {
	p.solve(x)
	for range walkLimit {
		here := p.chiSq
		step := p.gradientG / p.gg
		if math.IsNaN(step) {
			return x, false
		}
		step = math.Max(low-x, math.Min(high-x, step))
		if math.Abs(step) < settledStep {
			return x, true
		}
		next := x + step
		for p.solve(next); !(p.chiSq <= here); p.solve(next) {
			step /= 2
			if math.Abs(step) < settledStep {
				p.solve(x)
				return x, true
			}
			next = x + step
		}
		x = next
	}
	return x, true
}

// sensitivities fills in those of e, from the columns of the last solve.
func (p *projection) sensitivities(e *exponential) {
	n := len(p.x)
	buffer := make([]float64, 6*n)
	cut := func(i int) []float64 { return buffer[i*n : (i+1)*n : (i+1)*n] }
	e.dLogTau, e.dA, e.dC = cut(0), cut(1), cut(2)
	points := n
	if p.pulled {
		points--
	}
	one, two, three := cut(3), cut(4), cut(5)
	ne, ng := math.Sqrt(p.ee), math.Sqrt(p.gg)
	for j, wj := range p.w {
		w2 := wj * wj
		e.dLogTau[j] = w2 * p.go_[j] / p.gg
		e.dA[j] = w2*p.eo[j]/p.ee - p.ge*e.dLogTau[j]
		if p.free {
			e.dC[j] = w2/p.sw - p.meanE*e.dA[j] - p.meanG*e.dLogTau[j]
			one[j] = wj / math.Sqrt(p.sw)
		}
		two[j] = wj * p.eo[j] / ne
		three[j] = wj * p.go_[j] / ng
	}
	influences := [3][]float64{e.dLogTau, e.dC, e.dA}
	for i, di := range influences {
		for k, dk := range influences {
			for j, wj := range p.w {
				e.cov[i][k] += di[j] * dk[j] / (wj * wj)
			}
		}
	}
	e.basis = [][]float64{two[:points], three[:points]}
	if p.free {
		e.basis = append(e.basis, one[:points])
	} else { // with the points and the level moved together the curve moves along, and τ stays
		e.dLogTau, e.dA, e.dC = append(e.dLogTau, -sumOf(e.dLogTau)), append(e.dA, -sumOf(e.dA)), append(e.dC, 1)
	}
}

func sumOf(x []float64) float64 {
	s := 0.0
	for _, xi := range x {
		s += xi
	}
	return s
}
