package lsq

// The 27 nonlinear sets of NIST's Statistical Reference Datasets (https://www.itl.nist.gov/div898/strd/),
// as models with exact derivatives by dual numbers, and the score over them.

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/num/dual"
)

// A strdModel is the model value at predictors x and parameters b, with the derivative along b's
// dual parts.
type strdModel func(b []dual.Number, x []float64) dual.Number

func num(v float64) dual.Number { return dual.Number{Real: v} }

func add(a dual.Number, more ...dual.Number) dual.Number {
	for _, m := range more {
		a = dual.Add(a, m)
	}
	return a
}

func times(v float64, a dual.Number) dual.Number { return dual.Scale(v, a) }

func over(a, b dual.Number) dual.Number { return dual.Mul(a, dual.Inv(b)) }

// decaying is a·exp(-k x).
func decaying(a, k dual.Number, x float64) dual.Number {
	return dual.Mul(a, dual.Exp(times(-x, k)))
}

// bell is a·exp(-(x-c)²/w²).
func bell(a, c, w dual.Number, x float64) dual.Number {
	z := over(dual.Sub(num(x), c), w)
	return dual.Mul(a, dual.Exp(times(-1, dual.Mul(z, z))))
}

// poly is b₀ + b₁x + b₂x² + …
func poly(x float64, b ...dual.Number) dual.Number {
	var s dual.Number
	for i := len(b) - 1; i >= 0; i-- {
		s = add(times(x, s), b[i])
	}
	return s
}

func saturating(b []dual.Number, x []float64) dual.Number {
	return dual.Sub(b[0], decaying(b[0], b[1], x[0]))
}

func chwirut(b []dual.Number, x []float64) dual.Number {
	return over(dual.Exp(times(-x[0], b[0])), poly(x[0], b[1], b[2]))
}

func lanczos(b []dual.Number, x []float64) dual.Number {
	return add(decaying(b[0], b[1], x[0]), decaying(b[2], b[3], x[0]), decaying(b[4], b[5], x[0]))
}

func gauss(b []dual.Number, x []float64) dual.Number {
	return add(decaying(b[0], b[1], x[0]), bell(b[2], b[3], b[4], x[0]), bell(b[5], b[6], b[7], x[0]))
}

func cubics(b []dual.Number, x []float64) dual.Number {
	return over(poly(x[0], b[0], b[1], b[2], b[3]), poly(x[0], num(1), b[4], b[5], b[6]))
}

var strdModels = map[string]strdModel{
	"Misra1a": saturating,
	"BoxBOD":  saturating,
	"Misra1b": func(b []dual.Number, x []float64) dual.Number {
		d := add(num(1), times(x[0]/2, b[1]))
		return dual.Sub(b[0], over(b[0], dual.Mul(d, d)))
	},
	"Misra1c": func(b []dual.Number, x []float64) dual.Number {
		return dual.Sub(b[0], over(b[0], dual.Sqrt(add(num(1), times(2*x[0], b[1])))))
	},
	"Misra1d": func(b []dual.Number, x []float64) dual.Number {
		return over(dual.Mul(b[0], times(x[0], b[1])), add(num(1), times(x[0], b[1])))
	},
	"Chwirut1": chwirut, "Chwirut2": chwirut,
	"Lanczos1": lanczos, "Lanczos2": lanczos, "Lanczos3": lanczos,
	"Gauss1": gauss, "Gauss2": gauss, "Gauss3": gauss,
	"Hahn1": cubics, "Thurber": cubics,
	"DanWood": func(b []dual.Number, x []float64) dual.Number {
		return dual.Mul(b[0], dual.Pow(num(x[0]), b[1]))
	},
	"Kirby2": func(b []dual.Number, x []float64) dual.Number {
		return over(poly(x[0], b[0], b[1], b[2]), poly(x[0], num(1), b[3], b[4]))
	},
	"Nelson": func(b []dual.Number, x []float64) dual.Number {
		return dual.Sub(b[0], times(x[0], decaying(b[1], b[2], x[1])))
	},
	"MGH17": func(b []dual.Number, x []float64) dual.Number {
		return add(b[0], decaying(b[1], b[3], x[0]), decaying(b[2], b[4], x[0]))
	},
	"Roszman1": func(b []dual.Number, x []float64) dual.Number {
		return add(b[0], times(-x[0], b[1]), times(-1/math.Pi, dual.Atan(over(b[2], dual.Sub(num(x[0]), b[3])))))
	},
	"ENSO": func(b []dual.Number, x []float64) dual.Number {
		wave := func(c, s, phase dual.Number) dual.Number {
			return add(dual.Mul(c, dual.Cos(phase)), dual.Mul(s, dual.Sin(phase)))
		}
		turn := 2 * math.Pi * x[0]
		return add(b[0], wave(b[1], b[2], num(turn/12)),
			wave(b[4], b[5], times(turn, dual.Inv(b[3]))), wave(b[7], b[8], times(turn, dual.Inv(b[6]))))
	},
	"MGH09": func(b []dual.Number, x []float64) dual.Number {
		return over(dual.Mul(b[0], poly(x[0], num(0), b[1], num(1))), poly(x[0], b[3], b[2], num(1)))
	},
	"MGH10": func(b []dual.Number, x []float64) dual.Number {
		return dual.Mul(b[0], dual.Exp(over(b[1], add(num(x[0]), b[2]))))
	},
	"Rat42": func(b []dual.Number, x []float64) dual.Number {
		return over(b[0], add(num(1), dual.Exp(dual.Sub(b[1], times(x[0], b[2])))))
	},
	"Rat43": func(b []dual.Number, x []float64) dual.Number {
		return over(b[0], dual.Pow(add(num(1), dual.Exp(dual.Sub(b[1], times(x[0], b[2])))), dual.Inv(b[3])))
	},
	"Eckerle4": func(b []dual.Number, x []float64) dual.Number {
		z := over(dual.Sub(num(x[0]), b[2]), b[1])
		return dual.Mul(over(b[0], b[1]), dual.Exp(times(-0.5, dual.Mul(z, z))))
	},
	"Bennett5": func(b []dual.Number, x []float64) dual.Number {
		return dual.Mul(b[0], dual.Pow(add(b[1], num(x[0])), times(-1, dual.Inv(b[2]))))
	},
}

// A strdSet is one file's content.
type strdSet struct {
	name      string
	starts    [2][]float64
	certified []float64
	sd        []float64 // standard deviations of the certified values
	y         []float64
	x         [][]float64
	wide      [][2]*big.Float // y and x as printed, of sums of exponentials read from NIST's file
}

// problem gives the set as a Problem; exact says whether it has its Jacobian.
func (s *strdSet) problem(exact bool) Problem {
	model := strdModels[s.name]
	if model == nil {
		panic("no model " + s.name)
	}
	b := make([]dual.Number, len(s.certified))
	set := func(x []float64) {
		for j, v := range x {
			b[j] = num(v)
		}
	}
	p := Problem{M: len(s.y), N: len(b), Residual: func(r, x []float64) {
		set(x)
		for i := range r {
			r[i] = model(b, s.x[i]).Real - s.y[i]
		}
	}}
	if s.wide != nil {
		p.Residual = func(r, x []float64) {
			for i, row := range s.wide {
				r[i] = lanczosOff(x, row[1], row[0])
			}
		}
	}
	if exact {
		p.Jacobian = func(j *mat.Dense, x []float64) {
			set(x)
			for k := range x {
				b[k].Emag = 1
				for i := range s.y {
					j.Set(i, k, model(b, s.x[i]).Emag)
				}
				b[k].Emag = 0
			}
		}
	}
	return p
}

// readStRD reads NIST's own layout: starting and certified values from line 41, data from line 61.
func readStRD(path string) (*strdSet, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	s := &strdSet{name: strings.TrimSuffix(filepath.Base(path), ".dat")}
	scan := bufio.NewScanner(f)
	for line := 1; scan.Scan(); line++ {
		words := strings.Fields(strings.Replace(scan.Text(), "=", " = ", 1))
		switch {
		case line > 40 && line < 61 && len(words) == 6 && words[1] == "=":
			v, err := floats(words[2:])
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", path, line, err)
			}
			s.starts[0] = append(s.starts[0], v[0])
			s.starts[1] = append(s.starts[1], v[1])
			s.certified = append(s.certified, v[2])
			s.sd = append(s.sd, v[3])
		case line > 60 && len(words) > 1:
			v, err := floats(words)
			if err != nil {
				return nil, fmt.Errorf("%s:%d: %w", path, line, err)
			}
			if s.name == "Nelson" {
				v[0] = math.Log(v[0])
			}
			s.y = append(s.y, v[0])
			s.x = append(s.x, v[1:])
			if strings.HasPrefix(s.name, "Lanczos") {
				y, _, errY := big.ParseFloat(words[0], 10, wideBits, big.ToNearestEven)
				x, _, errX := big.ParseFloat(words[1], 10, wideBits, big.ToNearestEven)
				if err := errors.Join(errY, errX); err != nil {
					return nil, fmt.Errorf("%s:%d: %w", path, line, err)
				}
				s.wide = append(s.wide, [2]*big.Float{y, x})
			}
		}
	}
	return s, scan.Err()
}

// wideBits of mantissa for the sums of exponentials: the residuals of Lanczos1 are 200 roundings of float64 in y,
// which would leave three digits in its residual standard deviation.
const wideBits = 128

// lanczosOff is b₀exp(-b₁x) + b₂exp(-b₃x) + b₄exp(-b₅x) - y.
func lanczosOff(b []float64, x, y *big.Float) float64 {
	sum := new(big.Float).SetPrec(wideBits).Neg(y)
	for k := 0; k < len(b); k += 2 {
		if z := b[k+1]; math.IsNaN(z) || math.Abs(z) > 100 || math.IsNaN(b[k]) || math.IsInf(b[k], 0) {
			return math.NaN()
		}
		z := new(big.Float).SetPrec(wideBits).SetFloat64(-b[k+1])
		e := wideExp(z.Mul(z, x))
		sum.Add(sum, e.Mul(e, new(big.Float).SetFloat64(b[k])))
	}
	f, _ := sum.Float64()
	return f
}

// wideExp is exp(z), |z| < 200, by the power series of z/4096 squared twelve times.
func wideExp(z *big.Float) *big.Float {
	const halvings = 12
	z = new(big.Float).SetPrec(wideBits).SetMantExp(z, -halvings)
	sum := new(big.Float).SetPrec(wideBits).SetInt64(1)
	term := new(big.Float).SetPrec(wideBits).SetInt64(1)
	for n := int64(1); n < 30; n++ {
		term.Mul(term, z)
		term.Quo(term, new(big.Float).SetInt64(n))
		sum.Add(sum, term)
	}
	for range halvings {
		sum.Mul(sum, sum)
	}
	return sum
}

func floats(words []string) ([]float64, error) {
	var v []float64
	for _, w := range words {
		f, err := strconv.ParseFloat(w, 64)
		if err != nil {
			return nil, err
		}
		v = append(v, f)
	}
	return v, nil
}

// lre is the log relative error, about the number of right digits, between 0 and the 11 digits that
// are certified.
func lre(got, want float64) float64 {
	d := -math.Log10(math.Abs(got-want) / math.Abs(want))
	if math.IsNaN(d) {
		if got == want {
			return 11
		}
		return 0
	}
	return math.Min(math.Max(d, 0), 11)
}

// score solves s from start k and gives the worst log relative errors of values and of standard
// deviations; the latter are scaled by the residual standard deviation, as NIST's are.
func (s *strdSet) score(k int, exact bool) (value, sd float64, res Result) {
	res = Solve(s.problem(exact), s.starts[k], nil)
	value, sd = 11, 11
	for j := range s.certified {
		value = math.Min(value, lre(res.X[j], s.certified[j]))
		u := 0.0
		if res.Cov != nil {
			u = math.Sqrt(res.Cov.At(j, j) * res.ChiSq / float64(len(s.y)-len(res.X)))
		}
		sd = math.Min(sd, lre(u, s.sd[j]))
	}
	return value, sd, res
}

// BenchmarkStRD scores the solver over the folder of NIST's nonlinear .dat files named by
// QUADRILLE_STRD, from both official starts, once with exact derivatives and once with differences.
// A set counts by its worst parameter; a miss that is called converged with a covariance is silent.
// With -v it prints the table.
func BenchmarkStRD(b *testing.B) {
	folder := os.Getenv("QUADRILLE_STRD")
	if folder == "" {
		b.Skip("set QUADRILLE_STRD to the folder of NIST's nonlinear .dat files (https://www.itl.nist.gov/div898/strd/)")
	}
	paths, _ := filepath.Glob(filepath.Join(folder, "*.dat"))
	if len(paths) != 27 {
		b.Fatalf("%s holds %d sets, want 27", folder, len(paths))
	}
	for _, exact := range []bool{true, false} {
		b.Run(fmt.Sprintf("exact=%v", exact), func(b *testing.B) {
			for range b.N {
				sum, least, leastSD, silent, runs := 0.0, 11.0, 11.0, 0, 0
				for _, path := range paths {
					s, err := readStRD(path)
					if err != nil {
						b.Fatal(err)
					}
					for k := range s.starts {
						value, sd, res := s.score(k, exact)
						b.Logf("%-9s start %d  values %5.2f  sd %5.2f  iterations %3d  %v",
							s.name, k+1, value, sd, res.Iterations, res.Status)
						sum += value
						runs++
						least, leastSD = math.Min(least, value), math.Min(leastSD, sd)
						if value < 4 && res.Status == Converged && res.Cov != nil {
							silent++
						}
					}
				}
				b.ReportMetric(sum/float64(runs), "avgLRE")
				b.ReportMetric(least, "minLRE")
				b.ReportMetric(leastSD, "minSDLRE")
				b.ReportMetric(float64(silent), "silent")
			}
		})
	}
}

// e and 1/e² to 33 digits: Abramowitz and Stegun, Table 1.1 (e) and Table 4.4.
func TestWideExpHoldsManyDigits(t *testing.T) {
	for z, want := range map[float64]string{1: "2.71828182845904523536028747135266", -2: "0.135335283236612691893999494972484"} {
		if got := wideExp(big.NewFloat(z)).Text('g', 33); got != want {
			t.Errorf("exp(%g) = %s, want %s", z, got, want)
		}
	}
}
