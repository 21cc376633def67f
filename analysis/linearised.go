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
	for k := range columns {
		whole := norm(columns[k])
		for range 2 {
			for l := range k {
				c := dot(columns[l], columns[k])
				upper[l][k] += c
				for i, q := range columns[l] {
					columns[k][i] -= c * q
				}
			}
		}
		rest := norm(columns[k])
		if !(rest > toldApart*whole) {
			return nil, false
		}
		upper[k][k] = rest
		for i := range columns[k] {
			columns[k][i] /= rest
		}
	}
	// influence = upper⁻¹·basisᵀ·diag(w), row by row from the last.
	influence = make([][]float64, p)
	for k := p - 1; k >= 0; k-- {
		influence[k] = make([]float64, len(w))
		for i := range w {
			x := columns[k][i] * w[i]
			for l := k + 1; l < p; l++ {
				x -= upper[k][l] * influence[l][i]
			}
			influence[k][i] = x / upper[k][k]
		}
	}
	return influence, true
}

// toldApart is the share of a column of the Jacobian that the others must leave for its parameter to be told: rounding
// leaves 1e-15. Nothing changes from 1e-12 to 1e-5 (TestLessThanACycleIsTold).
const toldApart = 1e-9
