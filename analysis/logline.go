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
// (TestLogLineIsHardlyBiasedByNoise).
const logFloor = 5.0

// logPoints gives the points of p that the log line may use.
func (d *decay) logPoints(p *piece) []int {
	s := math.Sqrt(d.noise.scale)
	var use []int
	for _, j := range p.use {
		if y := math.Abs(p.fit.at(d.t[j]) - p.fit.c); y >= logFloor*s*d.sigma[j] && (d.v[j]-p.fit.c)*p.fit.a > 0 {
			use = append(use, j)
		}
	}
	if len(use) < 3 {
		return nil
	}
	return use
}

// logLine fits the line by weighted least squares (JCGM 100:2008, H.3, with weights).
func (e *reader) logLine() {
	use, f := e.plan.log, &e.n.curve
	if use == nil {
		return
	}
	w := make([]float64, len(use))
	z := make([]float64, len(use))
	var sum, meanT, meanZ float64
	for i, j := range use {
		y := f.at(e.t[j]) - f.c
		w[i] = y * y / (e.d.sigma[j] * e.d.sigma[j])
		z[i] = math.Log((e.v[j]-f.c)/f.a) + e.d.noise.scale/(2*w[i])
		sum += w[i]
		meanT += w[i] * e.t[j]
		meanZ += w[i] * z[i]
	}
	meanT, meanZ = meanT/sum, meanZ/sum
	var tt, tz float64
	for i, j := range use {
		dt := e.t[j] - meanT
		tt += w[i] * dt * dt
		tz += w[i] * dt * z[i]
	}
	slope := tz / tt
	e.n.slope = slope
	e.n.intercept = meanZ - slope*meanT + math.Log(math.Abs(f.a))
	tau := -1 / slope
	if !e.influences {
		e.n.log.x = tau
		return
	}
	d := make([]float64, len(use))
	byC := 0.0
	for i, j := range use {
		d[i] = w[i] * (e.t[j] - meanT) / tt / (f.at(e.t[j]) - f.c)
		byC -= d[i]
	}
	line := blend(slope, share{1, e.number(0, use, d)}, share{byC, e.n.settles})
	e.n.log = blend(tau, share{tau * tau, line})
	e.n.log.d[e.d.biasInput()] = logBiasLeft * e.d.logBias(e.piece, use, tau)
}

// logBiasLeft is the share of the correction for the logarithm's bend that it is trusted to: the next term of the
// series is 6 % of it at the farthest points used, and the noise need not be normal.
const logBiasLeft = 0.25

// logBias is by how much the mean of the logarithm of noisy points, ln(1+ε) ≈ -ε²/2, moves the τ of the line
// if it is not corrected.
func (d *decay) logBias(p *piece, use []int, tau float64) float64 {
	s2 := d.noise.scale
	var sum, meanT, tt, tb float64
	weight := func(j int) (w, y float64) {
		y = p.fit.at(d.t[j]) - p.fit.c
		return y * y / (d.sigma[j] * d.sigma[j]), y
	}
	for _, j := range use {
		w, _ := weight(j)
		sum += w
		meanT += w * d.t[j]
	}
	meanT /= sum
	for _, j := range use {
		w, _ := weight(j)
		dt := d.t[j] - meanT
		tt += w * dt * dt
		tb -= w * dt * s2 / (2 * w) // ε² = s²/w
	}
	return tau * tau * tb / tt
}
