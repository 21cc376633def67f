package analysis

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
)

// SciPy's curve_fit with absolute_sigma=True is the reference for values and covariance: testdata/scipy/decay.py
// has made the points and the answers (SciPy 1.10.1).
func TestExponentialAgreesWithSciPy(t *testing.T) {
	file, err := os.Open("testdata/scipy/decay.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var x, v, w []float64
	for _, row := range rows[1:] {
		var n [3]float64
		for k := range n {
			if n[k], err = strconv.ParseFloat(row[k], 64); err != nil {
				t.Fatal(err)
			}
		}
		x, v, w = append(x, n[0]), append(v, n[1]), append(w, 1/n[2])
	}
	var want map[string]json.RawMessage
	data, err := os.ReadFile("testdata/scipy/decay.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &want); err != nil {
		t.Fatal(err)
	}
	ground := 0.0
	for _, c := range []struct {
		name  string
		fixed *float64
	}{{"free", nil}, {"ground", &ground}} {
		t.Run(c.name, func(t *testing.T) {
			var ref struct {
				Parameters []float64
				Covariance [][]float64
			}
			if err := json.Unmarshal(want[c.name], &ref); err != nil {
				t.Fatal(err)
			}
			f, ok := fitExponential(x, v, w, 0, c.fixed, 0)
			if !ok {
				t.Fatal("no fit")
			}
			// In SciPy's order: τ, V∞ if free, height at t = 0. Our τ is fitted as ln τ.
			values, order, scale := []float64{f.tau, f.c, f.a}, []int{0, 1, 2}, []float64{f.tau, 1, 1}
			if c.fixed != nil {
				values, order = []float64{f.tau, f.a}, []int{0, 2}
			}
			for i := range values {
				near(t, fmt.Sprintf("parameter %d", i), values[i], ref.Parameters[i], 1e-6*math.Abs(ref.Parameters[i]))
				for k := range values {
					got := f.cov[order[i]][order[k]] * scale[order[i]] * scale[order[k]]
					// SciPy takes its Jacobian from differences, so its covariance is good to 5 digits or so.
					near(t, fmt.Sprintf("covariance %d,%d", i, k), got, ref.Covariance[i][k], 1e-4*math.Sqrt(ref.Covariance[i][i]*ref.Covariance[k][k]))
				}
			}
		})
	}
}

// The Fisher matrix of A·exp(-t/τ) + B with many equal points over 0..T gives u(τ)/τ = k·(s/A)/√N with these k
// (integrals of the derivatives, computed apart from this program).
func TestExponentialReachesTheCramerRaoBound(t *testing.T) {
	for _, c := range []struct{ length, known, fitted float64 }{
		{1, 5.79, 43.8}, {2, 4.84, 17.5}, {3, 5.14, 12.1}, {4, 5.72, 10.3}, {5, 6.34, 9.66}, {6, 6.93, 9.50}, {8, 8.00, 9.77}, {10, 8.94, 10.3},
	} {
		const n = 4000
		x, v, w := make([]float64, n), make([]float64, n), make([]float64, n)
		for j := range x {
			x[j] = c.length * 2 * (float64(j) + 0.5) / n // τ = 2 s
			v[j] = 1.5 + 6*math.Exp(-x[j]/2)
			w[j] = 1 / 0.03
		}
		level := 1.5
		for _, way := range []struct {
			name  string
			fixed *float64
			k     float64
		}{{"known", &level, c.known}, {"fitted", nil, c.fitted}} {
			f, ok := fitExponential(x, v, w, 0, way.fixed, 0)
			if !ok {
				t.Fatalf("T/τ = %g, V∞ %s: no fit", c.length, way.name)
			}
			near(t, fmt.Sprintf("k at T/τ = %g, V∞ %s", c.length, way.name), math.Sqrt(f.cov[0][0])*6/0.03*math.Sqrt(n), way.k, 0.006*way.k)
		}
	}
}

// The naive twin of the search: every τ of a fine grid, the linear part by normal equations.
func TestExponentialFindsTheDeepestValley(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	found := 0
	for trial := range 200 {
		n := 5 + rng.IntN(40)
		x, v, w := make([]float64, n), make([]float64, n), make([]float64, n)
		tau := math.Exp(rng.Float64()*5 - 3.5)
		for j := range x {
			x[j] = (float64(j) + rng.Float64()*0.8) / float64(n)
			v[j] = 2*math.Exp(-x[j]/tau) + 0.3*rng.NormFloat64()
			w[j] = 0.5 + rng.Float64()
		}
		f, ok := fitExponential(x, v, w, x[0], nil, 0)
		best := math.Inf(1)
		span := x[n-1] - x[0]
		for l := math.Log(shortestTau / float64(n)); l < math.Log(longestTau); l += 0.01 {
			best = math.Min(best, naiveSum(x, v, w, x[0], span*math.Exp(l)))
		}
		if !ok {
			continue // the deepest point is at an end of the grid
		}
		found++
		if f.chiSq > best*(1+1e-9) {
			t.Errorf("trial %d: the search stops at %g, a grid has %g", trial, f.chiSq, best)
		}
	}
	if found < 100 {
		t.Errorf("only %d of 200 had a fit", found)
	}
}

func naiveSum(x, v, w []float64, ref, tau float64) float64 {
	var s, se, see, sv, sev float64
	for j := range x {
		e, w2 := math.Exp(-(x[j]-ref)/tau), w[j]*w[j]
		s += w2
		se += w2 * e
		see += w2 * e * e
		sv += w2 * v[j]
		sev += w2 * e * v[j]
	}
	det := s*see - se*se
	c, a := (sv*see-sev*se)/det, (s*sev-se*sv)/det
	sum := 0.0
	for j := range x {
		r := w[j] * (v[j] - c - a*math.Exp(-(x[j]-ref)/tau))
		sum += r * r
	}
	return sum
}

func TestExponentialRefusesAStraightLine(t *testing.T) {
	var x, v, w []float64
	for j := range 50 {
		x, v, w = append(x, float64(j)), append(v, 5-0.1*float64(j)), append(w, 1)
	}
	if f, ok := fitExponential(x, v, w, 0, nil, 0); ok {
		t.Errorf("a straight line gave τ = %g", f.tau)
	}
}
