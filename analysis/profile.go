package analysis

// The interval of τ where the sum of squares is no parabola. A decay that is seen for less than 3 τ with its V∞ fitted
// is nearly a straight line: τ may well be much longer, but not as much shorter, and ± U says neither. The profile of
// the sum of squares says both: those τ belong to the interval for which it, with V0 and V∞ the best for each, lies no
// more than (k·s)² above its least value (the likelihood-ratio interval; Bates & Watts, "Nonlinear regression
// analysis", Wiley 1988, section 6.1), s² being by how much correlation and scatter make the variance of τ larger than
// stated. What else is in the budget is added to both sides in quadrature.

import (
	"math"

	"quadrille/calibrate/remark"
)

// An Interval holds the truth with 95 % probability, and need not be symmetric about the value. High is +Inf where the
// record does not say how large the quantity may be.
type Interval struct{ Low, High float64 }

// profileTau gives the interval of r, which is τ of the curve with so much relative u of noise; ok is false if the
// decays are long enough for ± U.
func (d *decays) profileTau(r *Result) (i Interval, ok bool) {
	if !(r.Expanded > 0) || !(d.pieces.seen(d.points) < shortRecord) {
		return i, false
	}
	projections := make([]*projection, len(d.pieces))
	white := 0.0 // 1/variance of ln τ at noise as stated
	for k, q := range d.pieces {
		t, v, w := d.points.gather(q.use, d.points.t, d.points.v)
		projections[k] = newProjection(t, v, w, q.fit.ref, q.fixedC, q.loose)
		white += 1 / q.fit.cov[0][0]
	}
	sum := func(logTau float64) (s float64) {
		for _, p := range projections {
			s += p.sum(logTau - math.Log(p.span))
		}
		return s
	}
	noise, other := 0.0, 0.0
	for _, t := range r.Budget {
		if t.Source == sourceNoise {
			noise = t.U
		} else {
			other = math.Hypot(other, t.U)
		}
	}
	tau := r.Value.X
	inflation := noise * noise / (tau * tau) * white
	// The least sum lies near the average τ of the decays, and at it if there is but one.
	least, middle := math.Inf(1), math.Log(tau)
	for k := -40; k <= 40; k++ {
		if x := math.Log(tau) + float64(k)/40*noise/tau; sum(x) < least {
			least, middle = sum(x), x
		}
	}
	limit := least + r.K*r.K*inflation
	end := func(way float64) float64 { // by what factor τ may be off
		in, out := 0.0, 0.0
		for step := noise / tau / 2; !(sum(middle+way*out) > limit); step *= 1.3 {
			in, out = out, out+step
			if out > math.Log(profileReach) {
				return math.Inf(int(way))
			}
		}
		for range 50 {
			if mid := (in + out) / 2; sum(middle+way*mid) > limit {
				out = mid
			} else {
				in = mid
			}
		}
		return math.Exp(way * in)
	}
	low, high := end(-1), end(1)
	i.Low = math.Max(0, tau-math.Hypot(tau*(1-low), r.K*other))
	if math.IsInf(low, 0) {
		i.Low = 0
	}
	i.High = tau + math.Hypot(tau*(high-1), r.K*other)
	return i, true
}

// profileReach is the factor beyond which τ counts as not bounded: a curve with ten times the τ of one seen over 2 τ is
// a straight line to 1 % of its height; nothing changes from 2.5 to 40 (TestProfileIntervalIsForShortDecaysOnly).
const profileReach = 10.0

// remark tells the interval of a τ.
func (i Interval) remark() remark.Remark {
	if math.IsInf(i.High, 1) {
		return remark.Of(KindIntervalUneven, remark.Number("low_s", i.Low))
	}
	return remark.Of(KindIntervalUneven, remark.Number("low_s", i.Low), remark.Number("high_s", i.High))
}
