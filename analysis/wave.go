package analysis

// A sine by the four-parameter fit of IEEE Std 1057 (waveform recorders):
//
//	v(t) = m + a·cos(2πf(t - ref)) + b·sin(2πf(t - ref))
//
// The model is linear but for f, so the sum of squares is a function of f alone. It is looked at where the
// spectrum of the record peaks and, below three cycles, where neighbouring lines of a spectrum melt together, on a
// fine grid (Händel, IEEE Trans. Instrum. Meas. 49 (2000) 1189: over part of a period only this one-dimensional
// search is reliable). The best starts are refined in all four parameters.

import (
	"cmp"
	"math"
	"sort"

	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/mat"

	"quadrille/analysis/lsq"
)

// A wave is a fitted sine about ref, the middle of the points.
type wave struct {
	ref, span  float64 // s
	f, m, a, b float64 // Hz, V, V, V
	chiSq      float64 // of whitened residuals
	// influences of each point on f·span, m, a and b; orthonormal columns of the whitened Jacobian.
	influence, basis [4][]float64
}

func (s *wave) at(t float64) float64 {
	sin, cos := math.Sincos(2 * math.Pi * s.f * (t - s.ref))
	return s.m + s.a*cos + s.b*sin
}

func (s *wave) amplitude() float64 { return math.Hypot(s.a, s.b) }

const (
	fewestSinePoints = 6 // (TestWhatIsEnoughForASine)
	// lowestCycles is the least part of a cycle on the screen that is searched for: below it a sine is a
	// parabola, and its frequency rests on the noise (TestWhatIsEnoughForASine).
	lowestCycles = 0.2
	// fineCycles and fineStep are the range and the step of the grid below the spectrum, cycles on the screen. Every
	// valley has a start: nothing changes from 0.05 to 10 (TestFrequencyUncertaintyIsTheCramerRaoBound).
	fineCycles, fineStep = 3.0, 0.1
	// spectrumPadding is the zero padding of the spectrum: at 4 the peak of a line lies within an eighth of a
	// cycle of a sample, well inside its valley; nothing changes from 1 to 16
	// (TestFrequencyUncertaintyIsTheCramerRaoBound).
	spectrumPadding = 4
	// spectrumPeaks are looked at; nothing changes from 2 to 16 (TestAKindThatTheTraceIsNotIsDoubted notices 1).
	spectrumPeaks = 4
	// sineStarts of the spectrum and as many of the grid are refined in all parameters, unless they lie within
	// sameValley, in cycles on the screen, of the best so far: valleys are about a cycle wide
	// (TestAKindThatTheTraceIsNotIsDoubted notices one start).
	sineStarts = 2
	sameValley = 0.35 // nothing changes from 0.1 to 1.4 (TestFrequencyUncertaintyIsTheCramerRaoBound)
	// hopelessStart is a sum of squares, in those of the best, from which no refinement leads to a better one: a
	// step of the grid off the bottom costs a fifth of the height of the valley; nothing changes from 5 to 80
	// (TestFrequencyUncertaintyIsTheCramerRaoBound).
	hopelessStart = 20.0
	refineLimit   = 25 // Jacobians; a start in the right valley needs 5 (TestAKindThatTheTraceIsNotIsDoubted)
	// thinnedPoints are enough for fewer than three cycles; nothing changes from 40 to 600
	// (TestFrequencyUncertaintyIsTheCramerRaoBound).
	thinnedPoints = 150
)

// fitWave finds the sine with the least sum of squares; false if there are too few points, or none fits
// with all four parameters told apart.
func fitWave(p *points) (*wave, bool) {
	n := len(p.t)
	if n < fewestSinePoints {
		return nil, false
	}
	s := wave{ref: (p.t[0] + p.t[n-1]) / 2, span: p.t[n-1] - p.t[0]}
	starts := make([]wave, 0, 40)
	try := func(q *points, cycles float64) {
		c := s
		c.f = cycles / s.span
		if c.linear(q.t, q.v, q.w) {
			starts = append(starts, c)
		}
	}
	thin := p.thinned(thinnedPoints)
	for c := lowestCycles; c < fineCycles; c += fineStep {
		try(thin, c)
	}
	slow := starts
	for i := range slow {
		slow[i].chiSq *= float64(n) / float64(len(thin.t))
	}
	starts = nil
	for _, f := range spectrumLines(p) {
		try(p, f*s.span)
	}
	found := false
	for _, list := range [][]wave{starts, slow} {
		sort.Slice(list, func(i, j int) bool { return cmp.Less(list[i].chiSq, list[j].chiSq) })
		tried := 0
		for _, c := range list {
			if found && math.Abs(c.f-s.f)*s.span < sameValley {
				continue // would end where the best one lies
			}
			if tried++; tried > sineStarts || found && c.chiSq > hopelessStart*s.chiSq {
				break
			}
			if c.refine(p) && (!found || c.chiSq < s.chiSq) {
				s, found = c, true
			}
		}
	}
	if !found || !(s.f*s.span >= lowestCycles/2) || !s.sensitivities(p.t, p.w) {
		return nil, false
	}
	return &s, true
}

// thinned gives about n of the points, evenly picked; enough for what varies slowly.
func (p *points) thinned(n int) *points {
	q := &points{}
	for i := 0; i < len(p.t); i += 1 + len(p.t)/n {
		q.t, q.v, q.w = append(q.t, p.t[i]), append(q.v, p.v[i]), append(q.w, p.w[i])
	}
	return q
}

// linear solves for m, a and b at the frequency of s and sets chiSq; false if they cannot be told apart.
func (s *wave) linear(t, v, w []float64) bool {
	var g mat.SymDense
	g.ReuseAsSym(3)
	y := mat.NewVecDense(3, nil)
	var c [3][3]float64
	var d [3]float64
	whole := 0.0
	for i, ti := range t {
		sin, cos := math.Sincos(2 * math.Pi * s.f * (ti - s.ref))
		w2 := w[i] * w[i]
		whole += w2 * v[i] * v[i]
		x := [3]float64{1, cos, sin}
		for k := range x {
			d[k] += w2 * x[k] * v[i]
			for l := k; l < 3; l++ {
				c[k][l] += w2 * x[k] * x[l]
			}
		}
	}
	for k := range d {
		y.SetVec(k, d[k])
		for l := k; l < 3; l++ {
			g.SetSym(k, l, c[k][l])
		}
	}
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(&g) || chol.SolveVecTo(&x, y) != nil {
		return false
	}
	s.m, s.a, s.b = x.AtVec(0), x.AtVec(1), x.AtVec(2)
	s.chiSq = whole - d[0]*s.m - d[1]*s.a - d[2]*s.b // of the points about the plane: Pythagoras
	return !math.IsNaN(s.chiSq) && !math.IsInf(s.chiSq, 0)
}

// spectrumLines gives the frequencies of the highest peaks, Hz, of the record laid on an even grid, gaps at the mean.
func spectrumLines(p *points) []float64 {
	slot := slots(p.t)
	n := slot[len(slot)-1] + 1
	if n > 8*len(slot) {
		return nil // mostly gaps: the grid holds nothing
	}
	mean, _ := weightedMean(p, p.all())
	size := 1
	for size < spectrumPadding*n {
		size *= 2
	}
	y := make([]float64, size)
	for i, k := range slot {
		y[k] = p.v[i] - mean
	}
	lines := fourier.NewFFT(size).Coefficients(nil, y)
	power := make([]float64, len(lines))
	for k, c := range lines {
		power[k] = real(c)*real(c) + imag(c)*imag(c)
	}
	var peaks []int
	for k := 1; k+1 < len(power); k++ {
		if power[k] >= power[k-1] && power[k] > power[k+1] {
			peaks = append(peaks, k)
		}
	}
	sort.Slice(peaks, func(i, j int) bool { return power[peaks[i]] > power[peaks[j]] })
	step := (p.t[len(p.t)-1] - p.t[0]) / float64(n-1)
	var f []float64
	for _, k := range peaks[:min(spectrumPeaks, len(peaks))] {
		f = append(f, float64(k)/(float64(size)*step))
	}
	return f
}

// refine moves all four parameters to the least sum of squares.
func (s *wave) refine(p *points) bool {
	res := lsq.Solve(lsq.Problem{M: len(p.t), N: 4,
		Residual: func(r, x []float64) {
			c := wave{ref: s.ref, f: x[0] / s.span, m: x[1], a: x[2], b: x[3]}
			for i, t := range p.t {
				r[i] = p.w[i] * (c.at(t) - p.v[i])
			}
		},
		Jacobian: func(j *mat.Dense, x []float64) {
			c := wave{ref: s.ref, span: s.span, f: x[0] / s.span, m: x[1], a: x[2], b: x[3]}
			for i, t := range p.t {
				d := c.gradient(t)
				for k, v := range d {
					j.Set(i, k, p.w[i]*v)
				}
			}
		}}, []float64{s.f * s.span, s.m, s.a, s.b}, &lsq.Settings{MaxIterations: refineLimit, Tolerance: 1e-9})
	if res.Status != lsq.Converged || res.Cov == nil || res.X[0] <= 0 {
		return false
	}
	s.f, s.m, s.a, s.b, s.chiSq = res.X[0]/s.span, res.X[1], res.X[2], res.X[3], res.ChiSq
	return true
}

// gradient gives the derivatives of v(t) by f·span, m, a and b.
func (s *wave) gradient(t float64) [4]float64 {
	sin, cos := math.Sincos(2 * math.Pi * s.f * (t - s.ref))
	return [4]float64{2 * math.Pi * (t - s.ref) / s.span * (s.b*cos - s.a*sin), 1, cos, sin}
}

// sensitivities fills in influence and basis; false if the parameters cannot be told apart.
func (s *wave) sensitivities(t, w []float64) bool {
	for k := range s.basis {
		s.basis[k] = make([]float64, len(t))
	}
	for i, ti := range t {
		for k, v := range s.gradient(ti) {
			s.basis[k][i] = w[i] * v
		}
	}
	influence, ok := orthogonalised(s.basis[:], w)
	if ok {
		copy(s.influence[:], influence)
	}
	return ok
}

// moved gives the fit to points shifted a little from those of s: two Gauss-Newton steps from there.
func (s *wave) moved(t, v, w []float64) wave {
	c := *s
	for step := range 2 {
		// The points have moved so little that the first step may go by the influences of s; the second takes off what that
		// leaves.
		if (step > 0 || c.influence[0] == nil) && !c.sensitivities(t, w) {
			c.f = math.NaN()
			return c
		}
		off := make([]float64, len(t))
		for i, ti := range t {
			off[i] = v[i] - c.at(ti)
		}
		c.f += dot(c.influence[0], off) / c.span
		c.m += dot(c.influence[1], off)
		c.a += dot(c.influence[2], off)
		c.b += dot(c.influence[3], off)
	}
	return c
}
