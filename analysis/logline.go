package analysis

// The straight line through ln|V - V∞| against t, whose slope is -1/τ: the graph of the lab sheet. Each point has
// the standard deviation σ/|V - V∞|, so its weight is (V - V∞)²/σ² with V taken from the fitted curve: weights from
// the measured values would favour the points that noise lifted and bias τ. Points are kept or dropped by
// the fitted curve as well, never by their own value. The mean of the logarithm of a noisy point is low by σ²/2y²
// (y = V - V∞; second order of the series), which is added. V∞ is the curve's, so its uncertainty is in the line's
// too.

import "math"

// logFloor, in standard deviations of a point, is how far the curve must be from V∞ for its points to be used. At
// 5 the logarithm lowers a point by 0.02 in the mean, and the points there have 1/25 of the weight of one at 25 σ
// (TestWhichPointsAreOnTheLogLine).
const (
	logFloor = 5.0
	// commonFloor, in standard deviations of what moves all points, is how far they must be from V∞: a third of
	// that distance changes the logarithm by 0.3 to 0.4, which is still nearly linear (TestWhichPointsAreOnTheLogLine).
	commonFloor = 3.0
	// fewestOnLine is one point more than a line needs (TestWhichPointsAreOnTheLogLine).
	fewestOnLine = 3
)

// logPoints gives the points of q that the log line may use: far enough from V∞ for the noise, and for what may move
// them all against it, such as a ground line that is V∞.
func (d *decays) logPoints(q *piece) []int {
	p := d.points
	s := math.Sqrt(d.noise.scale)
	common := make([]float64, len(q.use)) // V², variance of V - V∞ that effects make
	for _, e := range p.rec.Effects {
		if len(e.DV) == 0 {
			continue
		}
		level := 0.0
		if q.fixedC == nil || q.loose > 0 {
			for i, j := range q.use {
				level += q.fit.dC[i] * e.DV[p.at[j]]
			}
		}
		for i, j := range q.use {
			move := e.DV[p.at[j]] - level
			common[i] += move * move
		}
	}
	var use []int
	for i, j := range q.use {
		y := math.Abs(q.fit.at(p.t[j]) - q.fit.c)
		if y >= logFloor*s*p.sigma[j] && y >= commonFloor*math.Sqrt(common[i]) && (p.v[j]-q.fit.c)*q.fit.a > 0 {
			use = append(use, j)
		}
	}
	if len(use) < fewestOnLine {
		return nil
	}
	return use
}

// A line is a weighted straight line z = meanZ + slope·(t - meanT).
type line struct {
	slope, meanT, meanZ float64
	sum, tt             float64 // Σw and Σw·(t - meanT)²
}

func (l line) at(t float64) float64 { return l.meanZ + l.slope*(t-l.meanT) }

// straightLine fits by weighted least squares (JCGM 100:2008, H.3, where all weights are equal). With weights
// 1/variance u of the slope is 1/√tt, and that of the mean 1/√sum, not correlated with it.
func straightLine(t, z, w []float64) (l line) {
	for i := range t {
		l.sum += w[i]
		l.meanT += w[i] * t[i]
		l.meanZ += w[i] * z[i]
	}
	l.meanT, l.meanZ = l.meanT/l.sum, l.meanZ/l.sum
	tz := 0.0
	for i := range t {
		dt := t[i] - l.meanT
		l.tt += w[i] * dt * dt
		tz += w[i] * dt * z[i]
	}
	l.slope = tz / l.tt
	return l
}

// logLine fits the line of the points planned.
func (e *reader) logLine() {
	use, f := e.plan.log, &e.n.curve
	if use == nil {
		return
	}
	t, v, w := e.points.gather(use, e.t, e.v)
	z, y := make([]float64, len(use)), make([]float64, len(use))
	for i := range use {
		y[i] = f.at(t[i]) - f.c
		w[i] *= w[i] * y[i] * y[i]
		z[i] = math.Log((v[i]-f.c)/f.a) + e.noise.scale/(2*w[i])
	}
	l := straightLine(t, z, w)
	e.n.slope, e.n.intercept = l.slope, l.at(0)+math.Log(math.Abs(f.a))
	tau := -1 / l.slope
	if !e.influences {
		e.n.log.x = tau
		return
	}
	d := make([]float64, len(use))
	byC := 0.0
	for i := range use {
		d[i] = w[i] * (t[i] - l.meanT) / l.tt / y[i]
		byC -= d[i]
	}
	slope := blend(l.slope, share{1, e.number(0, use, d)}, share{byC, e.n.settles})
	e.n.log = blend(tau, share{tau * tau, slope})
	e.n.log.d[e.in.bias()] = logBiasLeft * e.logBias(e.piece, use, tau)
}

// logBiasLeft is the share of the correction for the logarithm's bend that it is trusted to: the next term of the
// series is 6 % of it at the farthest points used, and the noise need not be normal; nothing changes from 0.0625 to 1
// (TestTrialsAgreeWithTheBudgets).
const logBiasLeft = 0.25

// logBias is by how much the mean of the logarithm of noisy points, ln(1+ε) ≈ -ε²/2, moves the τ of the line
// if it is not corrected: the slope of a line through -ε²/2, times τ².
func (d *decays) logBias(q *piece, use []int, tau float64) float64 {
	t, z, w := d.points.gather(use, d.points.t, d.points.v)
	for i := range use {
		y := q.fit.at(t[i]) - q.fit.c
		w[i] *= w[i] * y * y
		z[i] = -d.noise.scale / (2 * w[i])
	}
	return tau * tau * straightLine(t, z, w).slope
}
