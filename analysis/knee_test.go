package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// inColumns is what a display of so many columns and rows a second and volt shows of f: each column from its lowest to
// its highest value, at whose middle the points lie. On slopes they are as unsure as a column is wide.
func inColumns(f func(t float64) float64, n int, span, columns float64, seed uint64) *calibrate.Record {
	rng := rand.New(rand.NewPCG(seed, 21))
	rec := &calibrate.Record{}
	shown := func(t float64) float64 {
		lo, hi := math.Inf(1), math.Inf(-1)
		first := math.Floor(t*columns) / columns
		for k := range 9 {
			v := math.Round(f(first+float64(k)/8/columns)*columns) / columns
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
		return (lo + hi) / 2
	}
	for j := range n {
		t := (float64(j) + 0.5) / float64(n) * span
		reach := 1.5 / columns
		slope := math.Abs(shown(t+reach)-shown(t-reach)) / (2 * reach)
		rec.T = append(rec.T, t)
		rec.V = append(rec.V, shown(t)+0.003*rng.NormFloat64())
		rec.Sigma = append(rec.Sigma, math.Hypot(1, slope)/columns/math.Sqrt(12))
	}
	return rec
}

func TestPointsBeforeTheKneeAreNotFitted(t *testing.T) {
	const tau, half, seeds = 0.19, 1.265, 40 // s; a display of 30 columns a box has 6 of them in one τ
	sum, squares := 0.0, 0.0
	for seed := range uint64(seeds) {
		f, err := findDecays(t.Context(), inColumns(squareDriven(5, half, tau, float64(seed)/seeds*2*half), 500, 10, 30, seed), nil)
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		r := find(f, "tau", "curve")
		sum += r.Value.X/tau - 1
		pull := (r.Value.X - tau) / r.Value.U
		squares += pull * pull
	}
	t.Logf("mean error of τ %.2f %%, pulls %.2f", 100*sum/seeds, math.Sqrt(squares/seeds))
	if math.Abs(sum/seeds) > 0.015 || squares/seeds > 1.5*1.5 {
		t.Errorf("mean error of τ %.2f %%, pulls %.2f rms", 100*sum/seeds, math.Sqrt(squares/seeds))
	}
}

// The edges of a square wave are blurred over three columns: cut shorter and shorter they would be decays that fit.
func TestASquareWaveIsNotCutToDecays(t *testing.T) {
	for seed := range uint64(30) { // a cut in one of ten is noticed 96 times of 100
		period := 0.8 + 0.1*float64(seed)
		square := func(x float64) float64 { return math.Copysign(2.4, math.Sin(2*math.Pi*(x/period+float64(seed)/7))) }
		f, err := Analyse(t.Context(), inColumns(blurred(square, 0.1), 500, 10, 30, seed), nil)
		if err != nil {
			t.Fatal(err)
		}
		if f.Signal != SignalStates {
			t.Errorf("period %.2f s: %s, %v", period, f.Signal, f.Told)
		}
	}
}
