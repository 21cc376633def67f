package analysis

// Overtones: what a wave that repeats has beside its fundamental. A sine that amplifiers, transformers or the mains
// have bent still has one crest and one trough a cycle, and its period and frequency are those of the fundamental, but
// its shape is not that of a sine. Beside the fitted sine the harmonics 2f to 5f are fitted to what it leaves, by
// linear least squares; their total harmonic distortion is the root of the sum of their powers over the fundamental's
// amplitude (common practice, no source). Where no kind explains a trace, and overtones explain what the sine leaves of
// it, it is a bent sine.

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"quadrille/calibrate/remark"
)

const (
	// highestOvertone is the last harmonic that is fitted: nothing changes from 5 to 10, and
	// what mains and amplifiers add is mostly the 2nd, 3rd and 5th (TestADistortedSineIsOne).
	highestOvertone = 5
	// mostOvertones is the greatest total harmonic distortion of what still is a sine. A square wave has 0.48, half
	// a rectified wave 0.44, a ramp 0.80 (their Fourier series); a triangle, which has 0.12, explains itself
	// (TestHowDistortedASineMayBe).
	mostOvertones = 0.33
	// repeatsSeen is the least number of cycles from which a shape can be seen to come again (TestHowDistortedASineMayBe).
	repeatsSeen = 2.0
)

// bentSine gives the findings of the sine among the kinds, which are best first, if overtones explain what it leaves of
// the trace; they are doubted.
func bentSine(ctx context.Context, all []*candidate) (f *Findings, ok bool, err error) {
	k := slices.IndexFunc(all, func(c *candidate) bool { return c.kind.name == SignalSine })
	if k < 0 {
		return nil, false, nil
	}
	c := all[k]
	distortion, explained := c.fitted.(*sine).overtones()
	if !(distortion < mostOvertones) || c.rms > math.Hypot(c.leaves(), explained) {
		return nil, false, nil
	}
	if f, err = c.fitted.findings(ctx); err != nil {
		return nil, false, err
	}
	f.Signal, f.Told = c.kind.name, Told{Recognised, leftBy(bestFirst(all, c))}
	f.Doubts = append(f.Doubts, remark.Of(KindOvertones, remark.Number("distortion", distortion)))
	return f, true, nil
}

// overtones gives the total harmonic distortion of the points about the sine, and what of them the harmonics explain as
// a share of the record's height, rms. Both are NaN and 0 if too few cycles are seen to tell.
func (c *sine) overtones() (distortion, explained float64) {
	p := c.points
	if c.f*c.span < repeatsSeen {
		return math.NaN(), 0
	}
	const columns = 1 + 2*highestOvertone // the fundamental again, for over a part of a cycle all depend on each other
	sure := p.sure()
	a, b := mat.NewDense(len(sure), columns, nil), mat.NewVecDense(len(sure), nil)
	for row, i := range sure {
		a.Set(row, 0, p.w[i])
		for k := 1; k <= highestOvertone; k++ {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) * c.f * (p.t[i] - c.ref))
			a.Set(row, 2*k-1, p.w[i]*cos)
			a.Set(row, 2*k, p.w[i]*sin)
		}
		b.SetVec(row, p.w[i]*p.v[i])
	}
	// Sines of whole cycles are nearly orthogonal: the normal equations lose no digit that is told, and need far less code
	// in a browser than a decomposition of the columns.
	var normal mat.SymDense
	var chol mat.Cholesky
	var right, x mat.VecDense
	normal.SymOuterK(1, a.T())
	right.MulVec(a.T(), b)
	if len(sure) <= 2*columns || !chol.Factorize(&normal) || chol.SolveVecTo(&x, &right) != nil {
		return math.NaN(), 0
	}
	power := 0.0
	for k := 3; k < columns; k++ {
		power += x.AtVec(k) * x.AtVec(k)
	}
	fundamental := math.Hypot(x.AtVec(1), x.AtVec(2))
	return math.Sqrt(power) / fundamental, math.Sqrt(power/2) / p.height()
}
