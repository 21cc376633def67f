package lsq

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/num/dual"
)

func init() {
	strdModels["Norris"] = func(b []dual.Number, x []float64) dual.Number { return poly(x[0], b[0], b[1]) }
}

func TestSolveAgreesWithNIST(t *testing.T) {
	check := func(s strdSet, exact bool, digits float64) {
		t.Run(fmt.Sprintf("%s/exact=%v", s.name, exact), func(t *testing.T) {
			for k, start := range s.starts {
				before := slices.Clone(start)
				value, sd, res := s.score(k, exact)
				if res.Status != Converged {
					t.Errorf("start %d: %v", k+1, res.Status)
				}
				if value < digits || sd < digits {
					t.Errorf("start %d: %.1f digits of the values, %.1f of their standard deviations, want %g",
						k+1, value, sd, digits)
				}
				if !slices.Equal(before, start) {
					t.Errorf("start %d was modified", k+1)
				}
			}
		})
	}
	for _, s := range strdSets {
		check(s, true, 9.9) // certified to 11 digits
		check(s, false, 8)  // the differences' own rounding
	}
	check(norris, true, 10.5)
	check(norris, false, 10.5) // a difference of a straight line has no truncation
}

// The dual-number derivatives of the models, the tests' own foundation, against the solver's
// differences, and so each against the other.
func TestDifferencesAgreeWithExactDerivatives(t *testing.T) {
	for _, s := range strdSets {
		for k, x := range append(s.starts[:], s.certified) {
			exact, rough := s.problem(true), s.problem(false)
			want := mat.NewDense(exact.M, exact.N, nil)
			exact.Jacobian(want, x)
			g := newRun(&rough, x, 0, 1)
			g.norm = g.residual(g.r, g.x)
			for _, accurate := range []bool{false, true} {
				limit := 1e-7
				if accurate {
					limit = 1e-10
				}
				if !g.factor(accurate) {
					t.Fatalf("%s at %v: differences are not finite", s.name, x)
				}
				for j := range x {
					size, off := 0.0, 0.0
					for i := range rough.M {
						size = math.Max(size, math.Abs(want.At(i, j)))
						off = math.Max(off, math.Abs(want.At(i, j)-g.jac.At(i, j)))
					}
					if off > limit*size {
						t.Errorf("%s, point %d, accurate=%v: derivative by b%d off by %.1e of its largest",
							s.name, k, accurate, j+1, off/size)
					}
				}
			}
		}
	}
}

// The pulls (estimate - truth)/u must have mean 0 and spread 1, and chi-square mean M - N (the theory of
// least squares, e.g. Seber and Wild, Nonlinear Regression, section 2.1): the meaning of Cov and ChiSq.
func TestCovarianceHasTheRightSize(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const m, runs = 40, 500
	truth := []float64{2, 0.7, -1}
	model := func(x []float64, i int) float64 {
		u := float64(i) / 10
		return x[0]*math.Exp(-x[1]*u) + x[2]
	}
	var sum, square [3]float64
	chi := 0.0
	y := make([]float64, m)
	for range runs {
		for i := range y {
			y[i] = model(truth, i) + 0.01*rng.NormFloat64()
		}
		res := Solve(Problem{M: m, N: 3, Residual: func(r, x []float64) {
			for i := range r {
				r[i] = (model(x, i) - y[i]) / 0.01
			}
		}}, []float64{1, 1, 0}, nil)
		if res.Status != Converged {
			t.Fatal(res.Status)
		}
		chi += res.ChiSq / runs
		for j, v := range res.X {
			pull := (v - truth[j]) / math.Sqrt(res.Cov.At(j, j))
			sum[j] += pull / runs
			square[j] += pull * pull / runs
		}
	}
	for j := range sum {
		if math.Abs(sum[j]) > 0.18 || math.Abs(math.Sqrt(square[j])-1) > 0.13 { // 4 standard deviations
			t.Errorf("parameter %d: pulls have mean %.2f and spread %.2f", j, sum[j], math.Sqrt(square[j]))
		}
	}
	if want := float64(m - 3); math.Abs(chi-want) > 4*math.Sqrt(2*want/runs) {
		t.Errorf("mean chi-square is %.2f, want %.0f", chi, want)
	}
}

func TestSolveTellsHowItEnded(t *testing.T) {
	line := func(r, x []float64) {
		for i := range r {
			r[i] = x[0] + x[1]*float64(i) - 3
		}
	}
	tests := []struct {
		name     string
		p        Problem
		start    []float64
		s        *Settings
		want     Status
		wantsCov bool
	}{
		{"exact fit", Problem{M: 5, N: 2, Residual: line}, []float64{0, 0}, nil, Converged, true},
		{"start is the solution", Problem{M: 5, N: 2, Residual: line}, []float64{3, 0}, nil, Converged, true},
		{"fewer residuals than parameters", Problem{M: 1, N: 2, Residual: line}, []float64{0, 0}, nil, Converged, false},
		{"two parameters do one job", Problem{M: 4, N: 2, Residual: func(r, x []float64) {
			for i := range r {
				r[i] = (x[0]+x[1])*float64(i) - 3
			}
		}}, []float64{1, 1}, nil, Converged, false},
		{"a parameter without influence", Problem{M: 4, N: 2, Residual: func(r, x []float64) {
			for i := range r {
				r[i] = x[0]*float64(i) - 3
			}
		}}, []float64{1, 1}, nil, Converged, false},
		{"NaN residuals", Problem{M: 2, N: 1, Residual: func(r, x []float64) { r[0], r[1] = x[0], math.NaN() }},
			[]float64{1}, nil, Failed, false},
		{"residuals left unset", Problem{M: 2, N: 1, Residual: func(r, x []float64) { r[0] = x[0] }},
			[]float64{1}, nil, Failed, false},
		{"Jacobian left unset", Problem{M: 2, N: 1, Residual: func(r, x []float64) { r[0], r[1] = x[0], 1 },
			Jacobian: func(*mat.Dense, []float64) {}}, []float64{1}, nil, Failed, false},
		{"NaN start", Problem{M: 5, N: 2, Residual: line}, []float64{math.NaN(), 0}, nil, Failed, false},
		{"wrong Jacobian", Problem{M: 5, N: 2, Residual: line, Jacobian: func(j *mat.Dense, x []float64) {
			for i := range 5 {
				j.SetRow(i, []float64{-1, -float64(i)})
			}
		}}, []float64{0, 0}, nil, Stalled, true},
		{"one iteration", strdSets[2].problem(true), strdSets[2].starts[0], &Settings{MaxIterations: 1}, IterationLimit, true},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			res := Solve(test.p, test.start, test.s)
			if res.Status != test.want || (res.Cov != nil) != test.wantsCov {
				t.Errorf("%v with covariance %v, want %v, %v; %+v", res.Status, res.Cov != nil, test.want, test.wantsCov, res)
			}
		})
	}
}

func TestWrongLengthsPanic(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	Solve(Problem{M: 3, N: 2, Residual: func(r, x []float64) {}}, []float64{1}, nil)
}

// FuzzSolve feeds residuals of many shapes, with holes and overflows, and holds Solve to its word.
func FuzzSolve(f *testing.F) {
	f.Add(uint8(8), uint8(3), uint16(0), 1.0, 0.5, -2.0, 3.0)
	f.Add(uint8(2), uint8(4), uint16(0xffff), 1e300, -1e-300, 0.0, 1e-8)
	f.Add(uint8(20), uint8(2), uint16(0x1234), math.Inf(1), 1.0, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, m, n uint8, shape uint16, a, b, c, d float64) {
		p := Problem{M: int(m%24) + 1, N: int(n%4) + 1}
		p.Residual = func(r, x []float64) {
			for i := range r {
				u := float64(i) / 4
				v := c*u - d
				for j, xj := range x {
					switch shape >> (3 * j) & 7 {
					case 0:
						v += xj * math.Pow(u, float64(j))
					case 1:
						v += math.Exp(-xj * u)
					case 2:
						v += math.Log(xj + u)
					case 3:
						v += math.Sin(xj * u * 10)
					case 4:
						v *= xj
					case 5:
						v /= xj + u
					case 6:
						v += math.Sqrt(xj)
					case 7:
						v += math.Floor(xj * u)
					}
				}
				r[i] = v
			}
		}
		start := []float64{a, b, c, d}[:p.N]
		before := slices.Clone(start)
		res := Solve(p, start, &Settings{MaxIterations: 60})
		for j := range start {
			if math.Float64bits(start[j]) != math.Float64bits(before[j]) {
				t.Fatal("the start was modified")
			}
		}
		if len(res.X) != p.N {
			t.Fatalf("%d parameters, want %d", len(res.X), p.N)
		}
		if res.Status == Failed {
			return
		}
		r := make([]float64, p.M)
		p.Residual(r, before)
		if first := norm2(r); res.ChiSq > first*first*(1+1e-6) {
			t.Errorf("the sum rose from %g to %g", first*first, res.ChiSq)
		}
		if res.Status != Converged {
			return
		}
		if !allFinite(res.X) || !finite(res.ChiSq) {
			t.Errorf("converged at %v, chi-square %g", res.X, res.ChiSq)
		}
		p.Residual(r, res.X)
		if n := norm2(r); math.Abs(n*n-res.ChiSq) > 1e-9*res.ChiSq {
			t.Errorf("chi-square is %g at X, not %g", n*n, res.ChiSq)
		}
		if res.Cov != nil {
			for j := range p.N {
				if v := res.Cov.At(j, j); !(v >= 0) || math.IsInf(v, 0) {
					t.Errorf("variance %g", v)
				}
			}
		}
	})
}

func ExampleSolve() {
	// The times at which a discharge passed four levels, read to 0.05 V.
	t := []float64{0, 5, 10, 20}
	v := []float64{9.02, 5.44, 3.33, 1.22}
	res := Solve(Problem{M: 4, N: 2, Residual: func(r, x []float64) {
		for i := range r {
			r[i] = (x[0]*math.Exp(-t[i]/x[1]) - v[i]) / 0.05
		}
	}}, []float64{5, 5}, nil)
	fmt.Printf("%v: τ = %.2f s ± %.2f s\n", res.Status, res.X[1], math.Sqrt(res.Cov.At(1, 1)))
	// Output: converged: τ = 9.99 s ± 0.12 s
}
