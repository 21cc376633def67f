package analysis

// A fitted curve near its best parameters is linear in the points. From the whitened Jacobian follow an orthonormal
// basis of what the fit takes out of the residuals, and the influence of each point on each parameter; correlate.go
// makes uncertainties of both.

// orthogonalised gives basis and influence of a fit whose Jacobian has the columns given, whitened by w: column k has
// w[i]·∂v[i]/∂x[k]. The columns become the basis. It goes by modified Gram-Schmidt twice, which is enough (Giraud and
// others, Numer. Math. 101 (2005) 87); false if the parameters cannot be told apart.
func orthogonalised(columns [][]float64, w []float64) (influence [][]float64, ok bool) {
	p := len(columns)
	upper := make([][]float64, p) // the Jacobian is basis·upper
	for k := range upper {
		upper[k] = make([]float64, p)
	}
	for k, own := range columns {
		whole := norm(own)
		for range 2 {
			for l, other := range columns[:k] {
				c := dot(other, own)
				upper[l][k] += c
				own := own[:len(other)]
				for i, q := range other {
					own[i] -= c * q
				}
			}
		}
		rest := norm(own)
		if !(rest > toldApart*whole) {
			return nil, false
		}
		upper[k][k] = rest
		for i := range own {
			own[i] /= rest
		}
	}
	// influence = upper⁻¹·basisᵀ·diag(w), row by row from the last.
	influence = make([][]float64, p)
	for k := p - 1; k >= 0; k-- {
		own, column := make([]float64, len(w)), columns[k][:len(w)]
		for i, wi := range w {
			own[i] = column[i] * wi
		}
		for l := k + 1; l < p; l++ {
			u := upper[k][l]
			for i, x := range influence[l][:len(own)] {
				own[i] -= u * x
			}
		}
		last := upper[k][k]
		for i := range own {
			own[i] /= last
		}
		influence[k] = own
	}
	return influence, true
}

// toldApart is the share of a column of the Jacobian that the others must leave for its parameter to be told: rounding
// leaves 1e-15. Nothing changes from 1e-12 to 1e-5 (TestLessThanACycleIsTold).
const toldApart = 1e-9
