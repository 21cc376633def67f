package analysis

import (
	"fmt"
	"math"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

func TestPullsOfALevel(t *testing.T) {
	for _, rho := range []float64{0, 0.8} {
		mean, sd := pulls{name: "v_mean", truth: 3.3}, pulls{name: "v_sd", truth: 0.05}
		for seed := range uint64(200) {
			d := specimen{n: 400, span: 1, sigma: 0.05, rho: rho, v: func(float64) float64 { return 3.3 }}
			f := analyse(t, d.record(seed), &Settings{Signal: SignalLevel})
			mean.add(seek(t, f, "v_mean", "mean", ""))
			sd.add(seek(t, f, "v_sd", "deviation", ""))
		}
		mean.check(t, fmt.Sprintf("rho=%g", rho))
		sd.covers(t, fmt.Sprintf("rho=%g", rho))
	}
}

// The mean of ten readings of a thermometer, JCGM 100:2008, 4.4.3 (figures from memory of Table 1: twenty
// temperatures with mean 100.145 and standard deviation 1.489, so u = 0.333).
func TestMeanAgreesWithTheGUM(t *testing.T) {
	readings := []float64{96.90, 98.18, 98.25, 98.61, 99.03, 99.49, 99.56, 99.74, 99.89, 100.07,
		100.33, 100.42, 100.68, 100.95, 101.11, 101.20, 101.57, 101.84, 102.36, 102.72}
	rec := &calibrate.Record{}
	for i, v := range readings {
		rec.T = append(rec.T, float64(i))
		rec.V = append(rec.V, v)
	}
	f := analyse(t, rec, &Settings{Signal: SignalLevel})
	mean := seek(t, f, "v_mean", "mean", "")
	near(t, "mean", mean.Value.X, 100.145, 0.0006)
	near(t, "u of the mean", mean.Value.U, 0.333, 0.0006)
	near(t, "degrees of freedom", mean.DOF, 19, 1e-9)
	near(t, "standard deviation", seek(t, f, "v_sd", "deviation", "").Value.X, 1.489, 0.0006)
}

// A trace that repeats one display pixel has no scatter, but its error is still there.
func TestStepsOfTheDisplayDoNotAverage(t *testing.T) {
	rec := &calibrate.Record{}
	for i := range 500 {
		rec.T = append(rec.T, float64(i))
		rec.V = append(rec.V, 2)
		rec.Sigma = append(rec.Sigma, 0.01)
	}
	mean := seek(t, analyse(t, rec, nil), "v_mean", "mean", "")
	if !(mean.Value.U > 0.008) {
		t.Errorf("500 equal points of 0.01 V each give a mean to %g V", mean.Value.U)
	}
}

func TestLevelTellsADrift(t *testing.T) {
	for _, c := range []struct {
		drift float64
		tells bool
	}{{0, false}, {0.15, true}} {
		for seed := range uint64(50) {
			d := specimen{n: 400, span: 1, sigma: 0.05, rho: 0.5, v: func(t float64) float64 { return 3 + c.drift*t }}
			f := analyse(t, d.record(seed), &Settings{Signal: SignalLevel})
			if got := remark.Any(f.Doubts, KindDrifts); got != c.tells {
				t.Errorf("seed %d, drift %g V: told is %v", seed, c.drift, got)
			}
		}
	}
}

func TestOnePointIsALevel(t *testing.T) {
	rec := &calibrate.Record{T: []float64{0, 1}, V: []float64{math.NaN(), 4}, Sigma: []float64{0.1, 0.2}}
	mean := seek(t, analyse(t, rec, nil), "v_mean", "mean", "")
	near(t, "mean", mean.Value.X, 4, 0)
	near(t, "u", mean.Value.U, 0.2, 1e-12)
}

// An infinite sigma says that nothing is known of the point; it must not count.
func TestPointsOfInfiniteSigmaDoNotCount(t *testing.T) {
	d := specimen{n: 200, span: 1, sigma: 0.05, v: func(float64) float64 { return 3 }}
	rec := d.record(1)
	for i := 0; i < 200; i += 9 {
		rec.V[i], rec.Sigma[i] = 50, math.Inf(1)
	}
	mean := seek(t, analyse(t, rec, nil), "v_mean", "mean", "")
	near(t, "mean", mean.Value.X, 3, 0.03)
}
