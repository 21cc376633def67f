package analysis

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// A screen draws what its converter of 8 bits gave, 25 steps a box (common practice, no source), a column of it may be
// hidden, and the stated sigma may be wrong by a factor of 2: kinds are told all the same. A level flickers between two
// codes or stands on one, a square wave repeats its codes without any scatter, and a drive may turn round before the
// capacitor has settled and leave a piece of a decay at the rim.
func TestKindsAreRecognisedOnAScreenOfEightBits(t *testing.T) {
	const runs = 12
	kinds := map[string]struct {
		kind string
		draw func(u func(a, b float64) float64, boxes float64) func(t float64) float64
	}{
		"fall": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			return slowDischarge(v, 0, u(0.03, 0.25), u(0.1, 0.3))
		}},
		"fast fall": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			return slowDischarge(v, 0, u(0, 0.6), u(0.02, 0.1))
		}},
		"slow rise": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			return slowDischarge(0, v, u(-0.3, 0.2), u(0.3, 0.8))
		}},
		"before the pen": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			f, pen := slowDischarge(v, 0, u(0.03, 0.25), u(0.1, 0.15)), u(0.75, 0.9)
			return func(t float64) float64 {
				switch { // a gap of 3 % of the screen, and then the level of the sweep before
				case t < pen:
					return f(t)
				case t < pen+0.03:
					return math.NaN()
				}
				return v
			}
		}},
		"driven": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			half := 0.5 / u(1.2, 3)
			return squareDriven(v, half, half*u(0.16, 0.28), half*u(0, 2))
		}},
		"unsettled": {SignalDecay, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			half := 0.5 / u(1.2, 3)
			return squareDriven(v, half, half*u(0.3, 0.8), half*u(0, 2))
		}},
		"sine": {SignalSine, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			return sineOf(0, v/2, u(1, 8), u(0, 6.3))
		}},
		"square": {SignalStates, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			period := 1 / u(1.2, 6)
			return pulseOf(0, v, u(0, 1)*period, period, u(0.15, 0.85)*period, 0)
		}},
		"level": {SignalLevel, func(u func(a, b float64) float64, v float64) func(float64) float64 {
			return func(float64) float64 { return v }
		}},
	}
	for name, k := range kinds {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			wrong := ""
			n := 0
			for seed := range uint64(runs) {
				rng := rand.New(rand.NewPCG(seed, uint64(len(name))))
				u := func(a, b float64) float64 { return a + (b-a)*rng.Float64() }
				f := analyse(t, screen(rng, k.draw(u, u(4, 8)), math.Exp(u(math.Log(0.0005), math.Log(0.04)))), nil)
				if f.Signal != k.kind || f.Told.How == ForWant {
					n++
					wrong += fmt.Sprintf("\nseed %d: %s, %v", seed, f.Signal, f.Told)
				}
			}
			if n > 0 {
				t.Errorf("%d of %d are not recognised:%s", n, runs, wrong)
			}
		})
	}
}

// screen draws f over a screen of 1 s at 1 V a box, with noise in boxes.
func screen(rng *rand.Rand, f func(t float64) float64, noise float64) *calibrate.Record {
	const codes = 25
	n := 200 + rng.IntN(800)
	rec := &calibrate.Record{VoltsPerBox: 1}
	stated := math.Max(0.003, noise*math.Exp2(2*rng.Float64()-1))
	hidden := rng.Float64()
	for i := range n {
		t, w := (float64(i)+0.5)/float64(n), 0.6/float64(n)
		v := (f(t-w)+f(t)+f(t+w))/3 + noise*rng.NormFloat64()
		v = math.Round(v*codes) / codes
		if t > hidden && t < hidden+0.02 {
			v = math.NaN()
		}
		rec.T, rec.V = append(rec.T, t), append(rec.V, v)
		rec.Sigma = append(rec.Sigma, math.Hypot(stated, 0.15*(f(t+w)-f(t-w))))
	}
	return rec
}

// The best sine through white noise explains a few hundredths of it, and is none.
func TestNoiseIsALevel(t *testing.T) {
	for seed := range uint64(60) {
		s := specimen{n: 150, span: 1, sigma: 0.05, v: func(float64) float64 { return 2 }}
		rec := s.record(seed)
		for i := range rec.Sigma {
			rec.Sigma[i] = 0.04
		}
		if f := analyse(t, rec, nil); f.Signal != SignalLevel || f.Told.How == ForWant {
			t.Errorf("seed %d: %s, %v", seed, f.Signal, f.Told)
		}
	}
}
