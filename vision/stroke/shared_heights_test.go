package stroke

import (
	"math"
	"math/rand/v2"
	"testing"
)

// sharedError is the standard deviation over the knots of what is left, over the reach of each, of the error of
// heights that were rounded to so many codes a box (0: none) and then to rows, in those of a single row's; a shift of
// all alike is taken off, for no time constant sees it. noise is that before the converter, in boxes.
func sharedError(rng *rand.Rand, rows, codes, noise float64) float64 {
	round := func(y, n, at float64) float64 { return (math.Round(y*n+at) - at) / n }
	atCode, atRow := rng.Float64(), rng.Float64()
	var left []float64
	for knot := 1.0; knot <= 7; knot += heightKnots {
		sum, weight := 0.0, 0.0
		for y := knot - heightKnots; y <= knot+heightKnots; y += 0.005 {
			for _, z := range []float64{-1.5, -0.5, 0.5, 1.5} {
				x := y + noise*z
				if codes > 0 {
					x = round(x, codes, atCode)
				}
				share := (1 - math.Abs(y-knot)/heightKnots) * math.Exp(-z*z/2)
				sum, weight = sum+share*(round(x, rows, atRow)-y-noise*z), weight+share
			}
		}
		left = append(left, sum/weight)
	}
	mean, square := 0.0, 0.0
	for _, e := range left {
		mean += e / float64(len(left))
	}
	for _, e := range left {
		square += (e - mean) * (e - mean) / float64(len(left))
	}
	return math.Sqrt(12*square) * rows
}

// What rows and codes make of the heights about a knot is never more than the effects say, and nearly that where they
// beat.
func TestKnotsHoldWhatRowsAndCodesShare(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 12))
	worst := 0.0
	for rows := 18.0; rows <= 60; rows++ {
		for _, codes := range []float64{0, 25, 32} {
			for _, noise := range []float64{0, 0.01} {
				worst = math.Max(worst, sharedError(rng, rows, codes, noise))
			}
		}
	}
	if worst > 1.1*common || worst < 0.7*common {
		t.Errorf("at worst %.2f of a row's error is shared, the effects say %.2f", worst, common)
	}
}

// A trace repeats its heights when it passes its middle four times; one that goes up and down does not.
func TestWhoseHeightsAreRepeated(t *testing.T) {
	for _, c := range []struct {
		passes   int
		repeated bool
	}{{2, false}, {3, false}, {6, true}} {
		trace := scattered(0, 0, 500, 1)
		for i := range trace.Y {
			trace.Y[i] = math.Cos(float64(c.passes) * math.Pi * float64(i) / 500)
		}
		if got := len(trace.roundings()) > 0; got != c.repeated {
			t.Errorf("%d passes: repeated: %v", c.passes, got)
		}
	}
}
