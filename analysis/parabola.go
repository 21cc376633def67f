package analysis

// Readings off a trace as a person takes them between points: off a parabola through the points near by, weighted least
// squares.

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

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
		w := 1 / (e.points.sigma[j] * e.points.sigma[j])
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
			w := 1 / (e.points.sigma[j] * e.points.sigma[j])
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
	if miss := e.bend(&q, level.x); !math.IsNaN(miss) {
		t -= miss
	}
	return blend(t, share{1 / q.slope(t), level}, share{-1 / q.slope(t), e.value(&q, t)})
}

// bend is by how much later the parabola reaches a level than the curve, where it goes through points of the curve
// itself: next to nothing over a readingReach, but a hundredth of τ over the wide steps of a table by hand
// (TestHalfLivesOfFewReadingsAgree). 0 where the points lie close together.
func (e *reader) bend(q *parabola, level float64) float64 {
	f := &e.n.curve
	t := f.crossing(level)
	if len(e.points.t) >= sparse || math.Max(t-e.t[q.use[0]], e.t[q.use[len(q.use)-1]]-t) <= readingReach*f.tau {
		return 0
	}
	on := *q
	on.beta = [3]float64{}
	for a := range on.beta {
		for i, g := range q.gain[a] {
			on.beta[a] += g * f.at(e.t[q.use[i]])
		}
	}
	return on.reaches(level, t) - t
}

// around gives the points of use within reach of time t, and at least two on each side. nil if t is not
// between points, or in a gap that is wider than the reach on both sides and than two spacings.
func (p *points) around(use []int, t, reach float64) []int {
	after := 0
	for after < len(use) && p.t[use[after]] < t {
		after++
	}
	if after == 0 || after == len(use) {
		return nil
	}
	if gap := p.t[use[after]] - p.t[use[after-1]]; gap > math.Max(2*reach, 2*medianStep(p.t)) {
		return nil
	}
	lo, hi := max(0, after-2), min(len(use), after+2)
	for lo > 0 && p.t[use[lo-1]] >= t-reach {
		lo--
	}
	for hi < len(use) && p.t[use[hi]] <= t+reach {
		hi++
	}
	return use[lo:hi]
}

// readingReach, in τ, is how far from a reading the points lie that it is taken from: the parabola is then off an
// exponential by less than 1e-4 of its height (TestReadingsOfANoiselessDecayAreExact).
const readingReach = 0.25
