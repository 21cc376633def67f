package graticule

// How sure the last fit is.
//
// Residuals along one line have much in common (a display puts its lines on whole pixels of its own,
// a tube is curved), so they are no independent witnesses. Their variance is split into a part between
// lines and a part within lines, and the covariance of the parameters is that of the weighted fit
// under this split: (JᵀWJ)⁻¹ JᵀW V WJ (JᵀWJ)⁻¹ (for example W. H. Greene, Econometric Analysis,
// chapter on the generalized regression model).

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// stripes is what all upright lines have in common: a panel's red, green and blue stand side by side,
// so that a tinted line is seen up to a tenth of the panel's pixel beside its place.
const stripes = 0.001 // box

// covariance of the parameters under the split of the residuals' variance described above.
func covariance(m *model, obs []observation, res []float64) *mat.SymDense {
	j := jacobian(m, obs)
	w := make([]float64, len(obs))
	group := make([][]int, 0)
	at := map[piece]int{}
	for i, o := range obs {
		w[i] = o.weight
		k := piece{o.fam, o.k, 0}
		if _, ok := at[k]; !ok {
			at[k] = len(group)
			group = append(group, nil)
		}
		group[at[k]] = append(group[at[k]], i)
	}
	within, between := variances(group, w, res)
	s := math.Sqrt(within)
	rho := neighbours(obs, res)
	within *= (1 + rho) / (1 - rho)
	bread, ok := inverse(normal(j, w, s))
	if !ok {
		return nil
	}
	meat := mat.NewSymDense(parameters, nil)
	var all [parameters]float64 // of the upright lines, moved together
	for i, o := range obs {
		if o.fam == upright {
			for a := range parameters {
				all[a] += w[i] * j.At(i, a)
			}
		}
	}
	for a := range parameters {
		for b := a; b < parameters; b++ {
			meat.SetSym(a, b, all[a]*all[b]*stripes*stripes/(s*s*s*s))
		}
	}
	for _, ix := range group {
		var sum [parameters]float64
		for _, i := range ix {
			for a := range parameters {
				sum[a] += w[i] * j.At(i, a)
				for b := a; b < parameters; b++ {
					meat.SetSym(a, b, meat.At(a, b)+w[i]*w[i]*j.At(i, a)*j.At(i, b)*within/(s*s*s*s))
				}
			}
		}
		for a := range parameters {
			for b := a; b < parameters; b++ {
				meat.SetSym(a, b, meat.At(a, b)+sum[a]*sum[b]*between/(s*s*s*s))
			}
		}
	}
	meat.SetSym(8, 8, meat.At(8, 8)+alike*alike/(lensSigma*lensSigma))
	var half, full mat.Dense
	half.Mul(bread, meat)
	full.Mul(&half, bread)
	cov := mat.NewSymDense(parameters, nil)
	for a := range parameters {
		for b := a; b < parameters; b++ {
			cov.SetSym(a, b, (full.At(a, b)+full.At(b, a))/2)
		}
	}
	return cov
}

// neighbours is the correlation of the residuals of neighbouring pieces of a line: near 0 for noise,
// high where the display is curved and the whole fit bends away. 0..0.9.
func neighbours(obs []observation, res []float64) float64 {
	at := map[piece]int{}
	for i, o := range obs {
		at[o.piece] = i
	}
	var cross, square float64
	for i, o := range obs {
		j, ok := at[piece{o.fam, o.k, o.c + 1}]
		if !ok {
			continue
		}
		w := o.weight * obs[j].weight
		cross += w * res[i] * res[j]
		square += w * (res[i]*res[i] + res[j]*res[j]) / 2
	}
	if square == 0 {
		return 0
	}
	return min(max(cross/square, 0), 0.9)
}

// variances splits the variance of the residuals into within lines and between lines (one-way
// analysis of variance with unequal groups), with the fit's nine parameters taken off the degrees of
// freedom between lines, where they are spent.
func variances(group [][]int, w, res []float64) (within, between float64) {
	var ss, dof, means, weights, squares, lines float64
	for _, ix := range group {
		var sw, sr, n float64
		for _, i := range ix {
			sw += w[i]
			sr += w[i] * res[i]
			n += w[i]
		}
		if n < 1.5 {
			continue
		}
		mean := sr / sw
		for _, i := range ix {
			ss += w[i] * (res[i] - mean) * (res[i] - mean)
		}
		dof += n - 1
		means += n * mean * mean
		weights += n
		squares += n * n
		lines++
	}
	const (
		floor = 2e-4 // box: the steps of the sampling itself
		// pulled is what the fit cannot see, for it moves whole lines: ticks inside a rim, another
		// field beyond it, the dots of crossing lines (TestNodePullsHaveUnitSpread).
		pulled = 0.0009 // box
	)
	within = max(ss/max(dof, 1), floor*floor)
	left := max(lines-parameters, 3)
	size := (weights - squares/max(weights, 1)) / max(lines-1, 1) // mean count of pieces of a line
	between = max((means/left-within)/max(size, 1), 0) + pulled*pulled
	return within, between
}
