package lsq

import "math"

// Steps of differences, relative to the parameter's scale. Order two takes the cube root of the
// rounding (Abramowitz and Stegun 25.3.21). The accurate way is Ridders' (Advances in Engineering
// Software 4 (1982) 75): the step is halved from a generous one, the differences are extrapolated to
// step zero, and each element keeps the estimate that agrees best with its neighbours in the tableau.
// Other numbers do as well, as long as they are steps at all: TestDifferencesAgreeWithExactDerivatives would notice.
const (
	secondOrderStep = 6.1e-6 // nothing changes from 4e-7 to 4e-4 (TestDifferencesAgreeWithExactDerivatives)
	riddersStep     = 0.02   // nothing changes from 0.005 to 1.2 (TestDifferencesAgreeWithExactDerivatives)
	riddersRows     = 7      // nothing changes from 4 to 7 (TestDifferencesAgreeWithExactDerivatives)

	// differenceRounding bounds the relative error that Ridders' way leaves in a smooth problem. Nothing changes from
	// 5e-15 to 4e-8; of 2e-15 TestSolveTellsHowItEnded would notice.
	differenceRounding = 1e-11
)

// jacobian fills g.jac at g.x: the problem's own, or central differences. The output is poisoned
// first, so that an element left unset is noticed.
func (g *run) jacobian(accurate bool) {
	raw := g.jac.RawMatrix()
	for i := range raw.Data {
		raw.Data[i] = math.NaN()
	}
	if g.p.Jacobian != nil {
		g.p.Jacobian(g.jac, g.x)
		return
	}
	for j := range g.x {
		var column []float64
		if accurate {
			column = g.ridders(j, riddersStep*g.differenceScale(j))
		} else {
			column = g.difference(make([]float64, g.p.M), j, secondOrderStep*g.differenceScale(j))
		}
		for i, v := range column {
			raw.Data[i*raw.Stride+j] = v
		}
	}
}

// difference fills d with (r(x+h) - r(x-h))/2h for parameter j.
func (g *run) difference(d []float64, j int, h float64) []float64 {
	x := append([]float64(nil), g.x...)
	h = (x[j] + h) - x[j] // the step that float64 makes of it
	x[j] = g.x[j] + h
	g.residual(d, x)
	below := make([]float64, len(d))
	x[j] = g.x[j] - h
	g.residual(below, x)
	for i, v := range below {
		d[i] = (d[i] - v) / (2 * h)
	}
	return d
}

// ridders gives the derivative of the residuals by parameter j from steps h, h/2, h/4, …
func (g *run) ridders(j int, h float64) []float64 {
	m := g.p.M
	var old, row [riddersRows][]float64 // two rows of the tableau
	for k := range riddersRows {
		old[k], row[k] = make([]float64, m), make([]float64, m)
	}
	best, doubt := make([]float64, m), make([]float64, m)
	for i := range doubt {
		best[i], doubt[i] = math.NaN(), math.Inf(1)
	}
	for k := range riddersRows {
		g.difference(row[0], j, h)
		four := 1.0
		for c := 1; c <= k; c++ {
			four *= 4
			for i := range m {
				v := row[c-1][i] + (row[c-1][i]-old[c-1][i])/(four-1)
				row[c][i] = v
				e := math.Max(math.Abs(v-row[c-1][i]), math.Abs(v-old[c-1][i]))
				if e < doubt[i] {
					best[i], doubt[i] = v, e
				}
			}
		}
		old, row = row, old
		h /= 2
	}
	return best
}

// differenceScale is the length over which parameter j matters: its own size, but while it passes
// through zero the change that would move the residual by its norm, at most the largest size seen.
func (g *run) differenceScale(j int) float64 {
	own, other := math.Abs(g.x[j]), g.ref[j]
	if g.f.col[j] > 0 && g.norm > 0 {
		other = math.Min(other, g.norm/g.f.col[j])
	}
	const passing = 1e-3 // of other: smaller is on its way through zero; nothing changes from 1e-6 to 4
	if own < passing*other {
		return other
	}
	if own == 0 {
		return 1
	}
	return own
}
