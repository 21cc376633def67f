package analysis

import (
	"fmt"
	"math"
	"testing"

	"quadrille/calibrate"
)

func sineOf(mean, amplitude, f, phase float64) func(float64) float64 {
	return func(t float64) float64 { return mean + amplitude*math.Sin(2*math.Pi*f*t+phase) }
}

// pulseOf rises at start, stays high for on of every period; both transitions are straight and last ramp from
// 0 % to 100 %.
func pulseOf(low, high, start, period, on, ramp float64) func(float64) float64 {
	return func(t float64) float64 {
		x := math.Mod(t-start+100*period, period)
		up, down := math.Inf(1), math.Inf(1)
		if ramp > 0 {
			up, down = x/ramp, (x-on)/ramp
		} else if x < on {
			down = 0
		}
		return low + (high-low)*(math.Min(1, up)-math.Max(0, math.Min(1, down)))
	}
}

func triangleOf(mean, half, f, phase float64) func(float64) float64 {
	return func(t float64) float64 { return mean + half*2/math.Pi*math.Asin(math.Sin(2*math.Pi*f*t+phase)) }
}

// seek gives the result of a quantity by a method; it must be there.
func seek(t *testing.T, f *Findings, quantity, method, label string) Result {
	t.Helper()
	for _, r := range f.Results {
		if r.Quantity == quantity && r.Method == method && (label == "" || r.Label == label) {
			return r
		}
	}
	t.Fatalf("no %s by %s %s among %d results", quantity, method, label, len(f.Results))
	return Result{}
}

func analyse(t *testing.T, rec *calibrate.Record, s *Settings) *Findings {
	t.Helper()
	f, err := Analyse(t.Context(), rec, s)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// pulls gathers (estimate - truth)/u and how often the 95 % interval holds the truth.
type pulls struct {
	name        string
	truth       float64
	sum, square float64
	n, held     int
}

func (p *pulls) add(r Result) {
	x := (r.Value.X - p.truth) / r.Value.U
	p.sum += x
	p.square += x * x
	p.n++
	if math.Abs(r.Value.X-p.truth) <= r.Expanded {
		p.held++
	}
}

// check wants mean 0 and spread 1 within four of their own standard deviations and a tenth, and intervals that
// hold the truth as often as they say, within three.
func (p *pulls) check(t *testing.T, where string) {
	t.Helper()
	if p.n == 0 {
		return
	}
	n := float64(p.n)
	mean, spread, held := p.sum/n, math.Sqrt(p.square/n), float64(p.held)/n
	says := fmt.Sprintf("%s: pulls of %s: mean %.2f, spread %.2f; 95 %% intervals hold the truth in %.1f %% of %d", where, p.name, mean, spread, 100*held, p.n)
	if math.Abs(mean) > 4/math.Sqrt(n)+0.1 || math.Abs(spread-1) > 4/math.Sqrt(2*n)+0.1 ||
		held < coverage-3*math.Sqrt(coverage*(1-coverage)/n) {
		t.Error(says)
	} else {
		t.Log(says)
	}
}

// covers wants intervals that hold the truth at least as often as they say: of numbers whose uncertainty is a
// limit rather than a scatter.
func (p *pulls) covers(t *testing.T, where string) {
	t.Helper()
	n := float64(p.n)
	held := float64(p.held) / n
	says := fmt.Sprintf("%s: 95 %% intervals of %s hold the truth in %.1f %% of %d; spread of pulls %.2f", where, p.name, 100*held, p.n, math.Sqrt(p.square/n))
	if held < coverage-3*math.Sqrt(coverage*(1-coverage)/n) {
		t.Error(says)
	} else {
		t.Log(says)
	}
}
