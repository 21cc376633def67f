package analysis

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A decay bends on its way through the middle line, and how sure its points are differs from cycle to cycle: a photo's
// noise does that, and stretches in a glare. With a straight line through the bend pulls of periods spread by 4.3, now
// 1.2.
func TestABendOnTheEdgeLeavesThePeriod(t *testing.T) {
	period := pulls{name: "period"}
	rng := rand.New(rand.NewPCG(6, 6))
	for seed := range uint64(40) {
		half := 2 + 1.5*rng.Float64()
		tau := half / (2.5 + 2*rng.Float64())
		rec := specimen{n: 700, span: 14, sigma: 0.004, v: squareDriven(2, half, tau, rng.Float64())}.record(seed)
		for i := range rec.Sigma { // a third of the points, in pieces of a tenth of a box, is far surer than the rest
			if i/5%3 == 0 {
				rec.Sigma[i] = 0.001 + 0.0005*rng.Float64()
			} else {
				rec.Sigma[i] = 0.008
			}
		}
		period.truth = 2 * half
		period.add(seek(t, analyse(t, rec, &Settings{Signal: SignalDecay}), "period", "crossings", ""))
	}
	period.check(t, "a bend on the edge")
}

// A parabola through a straight edge makes its crossing half as sure for nothing: it is used where a bend is clear.
func TestAStraightEdgeIsNotBent(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	bent := 0
	const trials, n = 400, 40
	for range trials {
		x, v, w := make([]float64, n), make([]float64, n), make([]float64, n)
		for i := range x {
			x[i], v[i], w[i] = float64(i), float64(i), 1/0.3
			if i%2 == 0 { // two neighbours on one column of pixels are off alike
				v[i] += 0.3 * rng.NormFloat64()
			} else {
				v[i] += v[i-1] - float64(i-1)
			}
		}
		if _, ok := bowThrough(x, v, w, 0, n-1, straightThrough(x, v, w, 0, n-1)); ok {
			bent++
		}
	}
	if bent > trials/50 {
		t.Errorf("%d of %d straight edges are bent", bent, trials)
	}
}

// The parabola is the least-squares one: it goes through points that lie on one, and its influence is the change of the
// instant with a point's height.
func TestABowGoesThroughAParabola(t *testing.T) {
	const n = 20
	x, v, w := make([]float64, n), make([]float64, n), make([]float64, n)
	rng := rand.New(rand.NewPCG(8, 8))
	for i := range x {
		x[i] = float64(i) + 0.3*rng.Float64()
		v[i] = 3 + 2*x[i] + 0.05*x[i]*x[i]
		w[i] = 1 + rng.Float64()
	}
	through := func() float64 {
		b, ok := bowThrough(x, v, w, 0, n-1, straightThrough(x, v, w, 0, n-1))
		at, passes := b.passes(20, 8)
		if !ok || !passes {
			t.Fatal("no bend, or no passage")
		}
		return at
	}
	was := through()
	if want := (-2 + math.Sqrt(4+4*0.05*17)) / 0.1; math.Abs(was-want) > 1e-9 {
		t.Errorf("passes at %g, not at %g", was, want)
	}
	b, _ := bowThrough(x, v, w, 0, n-1, straightThrough(x, v, w, 0, n-1))
	_, slope := b.at(was)
	const k, move = 7, 1e-6
	v[k] += move
	if got, want := (through()-was)/move, -b.influence(was, x[k], w[k])/slope; math.Abs(got-want) > 1e-4*math.Abs(want) {
		t.Errorf("a point moves the instant by %g, not by %g", got, want)
	}
}
