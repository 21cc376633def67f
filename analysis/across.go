package analysis

// One quantity in several records: photos at two drive voltages, a photo and a table. Their noise, grids and ground
// lines are each one's own. What they share is the instrument: its volts scale and its time base move all records made
// at one setting together, so that their parts of the difference are taken off (JCGM 100:2008, 5.2.2, with a
// correlation of 1). All together are tested by χ² with the same covariances, and their mean is the linear one of least
// variance,
//
//	m = 1'C⁻¹x / 1'C⁻¹1
//
// (Aitken; Gauss and Markov where nothing is shared). Along something else, such as the drive, a straight line is laid
// through them by generalised least squares, whose slope says whether they depend on it.

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"quadrille/calibrate/unit"
)

// A Measured is what one record says of the quantity; its u must be greater than 0.
type Measured struct {
	Value  unit.Value
	Common []Common
}

// A Common is a cause that moves several records together: Move is what one standard deviation of it does to the value,
// with its sign, in the value's unit. Causes of one name are the same.
type Common struct {
	Cause string
	Move  float64
}

// Across is what several records say of one quantity.
type Across struct {
	Pairs []Apart
	Mean  unit.Value // U is NaN where the records share so much that they cannot be taken together, as are Chi2 and P
	Chi2  float64
	P     float64 // the probability of a χ² at least as large by chance
	Agree bool
}

// An Apart is the difference of records B and A, indices into the list that was given.
type Apart struct {
	A, B  int
	Gap   unit.Value // B less A
	Zeta  float64    // Gap over its u
	Agree bool
	Taken []string // the causes whose parts were taken off
}

// A Trend is the slope of the quantity along something else, in units of the one a unit of the other.
type Trend struct {
	Slope, U float64
	Zeta     float64
	Agree    bool // with no slope
}

// CompareRecords compares at least two; fewer give the zero value.
func CompareRecords(of []Measured) Across {
	var a Across
	if len(of) < 2 {
		return a
	}
	for j := range of {
		for i := range of[:j] {
			a.Pairs = append(a.Pairs, apartOf(of, i, j))
		}
	}
	a.Mean, a.Chi2, a.P, a.Agree = unit.Value{X: math.NaN(), U: math.NaN(), Unit: of[0].Value.Unit}, math.NaN(), math.NaN(), true
	for _, p := range a.Pairs {
		a.Agree = a.Agree && p.Agree
	}
	x := make([]float64, len(of))
	ones := make([]float64, len(of))
	for i, m := range of {
		x[i], ones[i] = m.Value.X, 1
	}
	covariance := func(i, j int) float64 { return covarianceOf(&of[i], &of[j], i == j) }
	line, u, ok := generalised(covariance, x, ones)
	chi2, fits := chiSquare(x, covariance)
	if !ok || !fits {
		return a
	}
	a.Mean.X, a.Mean.U = line[0], u[0]
	a.Chi2, a.P = chi2, distuv.ChiSquared{K: float64(len(of) - 1)}.Survival(chi2)
	if len(of) > 2 {
		a.Agree = a.P >= chanceLimit
	}
	return a
}

// Along gives the slope of the values along at, which need not be in order; ok is false if these do not differ by at
// least a tenth, or if the values cannot be taken together.
func Along(of []Measured, at []float64) (t Trend, ok bool) {
	const differing = 0.1 // of the largest: below that a slope is a difference of noise over a difference of noise
	lo, hi, sum := math.Inf(1), math.Inf(-1), 0.0
	for _, v := range at {
		lo, hi, sum = math.Min(lo, v), math.Max(hi, v), sum+v
	}
	if len(of) < 2 || len(at) != len(of) || !(hi-lo > differing*math.Max(math.Abs(lo), math.Abs(hi))) {
		return t, false
	}
	x, ones, along := make([]float64, len(of)), make([]float64, len(of)), make([]float64, len(of))
	for i, m := range of {
		x[i], ones[i], along[i] = m.Value.X, 1, at[i]-sum/float64(len(at))
	}
	line, u, ok := generalised(func(i, j int) float64 { return covarianceOf(&of[i], &of[j], i == j) }, x, ones, along)
	if !ok || !(u[1] > 0) {
		return t, false
	}
	t = Trend{Slope: line[1], U: u[1], Zeta: line[1] / u[1]}
	t.Agree = math.Abs(t.Zeta) <= agreeing
	return t, true
}

// covarianceOf two records; of one with itself u².
func covarianceOf(a, b *Measured, same bool) float64 {
	if same {
		return a.Value.U * a.Value.U
	}
	sum := 0.0
	for _, x := range a.Common {
		for _, y := range b.Common {
			if x.Cause == y.Cause {
				sum += x.Move * y.Move
			}
		}
	}
	return sum
}

func apartOf(of []Measured, i, j int) Apart {
	a, b := &of[i], &of[j]
	shared := covarianceOf(a, b, false)
	u := math.Sqrt(a.Value.U*a.Value.U + b.Value.U*b.Value.U - 2*shared)
	p := Apart{A: i, B: j, Gap: unit.Value{X: b.Value.X - a.Value.X, U: u, Unit: a.Value.Unit}}
	p.Zeta = p.Gap.X / u
	p.Agree = math.Abs(p.Zeta) <= agreeing
	for _, x := range a.Common {
		for _, y := range b.Common {
			if x.Cause == y.Cause && x.Move*y.Move != 0 {
				p.Taken = append(p.Taken, x.Cause)
			}
		}
	}
	return p
}

// generalised fits x by a sum of the columns by generalised least squares, and gives the factors with their u.
func generalised(covariance func(i, j int) float64, x []float64, columns ...[]float64) (factors, u []float64, ok bool) {
	n, k := len(x), len(columns)
	c := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			c.SetSym(i, j, covariance(i, j))
		}
	}
	a := mat.NewDense(n, k, nil)
	for j, col := range columns {
		a.SetCol(j, col)
	}
	var chol mat.Cholesky
	var ca, normal, inverse mat.Dense
	if !chol.Factorize(c) || chol.SolveTo(&ca, a) != nil {
		return nil, nil, false
	}
	normal.Mul(a.T(), &ca)
	if inverse.Inverse(&normal) != nil {
		return nil, nil, false
	}
	var right, solved mat.VecDense
	right.MulVec(ca.T(), mat.NewVecDense(n, x))
	solved.MulVec(&inverse, &right)
	for j := range k {
		factors, u = append(factors, solved.AtVec(j)), append(u, math.Sqrt(inverse.At(j, j)))
	}
	return factors, u, true
}
