package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// noiseRecord is noise of a standard deviation about 1 V, correlated from point to point, whose points are stated to
// be sure.
func noiseRecord(rng *rand.Rand, n int, sd, rho float64) *calibrate.Record {
	rec := &calibrate.Record{}
	e := rng.NormFloat64()
	for i := range n {
		rec.T, rec.V, rec.Sigma = append(rec.T, float64(i)*1e-5), append(rec.V, 1+sd*e), append(rec.Sigma, 0.02)
		e = rho*e + math.Sqrt(1-rho*rho)*rng.NormFloat64()
	}
	return rec
}

// Noise of any memory is noise and no level, sine or square wave; its rms and mean hold the truth.
func TestNoiseOfManyKinds(t *testing.T) {
	rms, mean := pulls{name: "v_rms"}, pulls{name: "v_mean", truth: 1}
	wrong := 0
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 3))
		sd := 0.2 + 0.5*rng.Float64()
		f := analyse(t, noiseRecord(rng, 400+rng.IntN(400), sd, 0.7*rng.Float64()), nil)
		if f.Signal != SignalNoise || f.Told.How != Recognised {
			wrong++
			t.Logf("seed %d: %s, %v", seed, f.Signal, f.Told)
			continue
		}
		if len(f.Doubts) > 0 {
			t.Errorf("seed %d: doubts %q", seed, f.Doubts)
		}
		rms.truth = sd
		rms.add(seek(t, f, "v_rms", "deviation", ""))
		mean.add(seek(t, f, "v_mean", "mean", ""))
	}
	if wrong > 1 { // where 12 in 100 were wrong, two or more are found in 99 of 100 such tests
		t.Errorf("%d of 50 are not recognised", wrong)
	}
	rms.check(t, "noise")
	mean.check(t, "noise")
}

// What goes together over the whole screen, or repeats, is no noise.
func TestAWaveIsNoNoise(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 4))
		a, b, c := 6*rng.Float64(), 6*rng.Float64(), 2+3*rng.Float64()
		rec := noiseRecord(rng, 500, 0.1, 0.3)
		for i, x := range rec.T { // two sines of no common period and a drift
			rec.V[i] += math.Sin(c*2000*x+a) + 0.7*math.Sin(c*3310*x+b) + 100*x
		}
		if f := analyse(t, rec, nil); f.Signal == SignalNoise {
			t.Errorf("seed %d: %v", seed, f.Told)
		}
	}
}

// Neighbours that go together by ρ have the correlation time (1+ρ)/(1-ρ) spacings (AR(1)); blur does not make a
// bandwidth.
func TestBandwidthIsToldIfSeen(t *testing.T) {
	band := pulls{name: "bandwidth"}
	for seed := range uint64(100) {
		rng := rand.New(rand.NewPCG(seed, 5))
		rho := 0.8 + 0.06*rng.Float64()
		f := analyse(t, noiseRecord(rng, 1000, 0.4, rho), &Settings{Signal: SignalNoise})
		band.truth = (1 - rho) / (1 + rho) / 2 / 1e-5
		band.add(seek(t, f, "bandwidth", "correlation", ""))
		f = analyse(t, noiseRecord(rng, 1000, 0.4, 0.3), &Settings{Signal: SignalNoise})
		if r := find(f, "bandwidth", "correlation"); r.Value.X != 0 {
			t.Errorf("seed %d: blurred points have a bandwidth of %v", seed, r.Value)
		}
	}
	band.covers(t, "AR(1)")
}

// A trace drawn as a thick band is noise, whatever its middle does; of the samples within the columns a range is known.
func TestABandIsNoise(t *testing.T) {
	rms := pulls{name: "v_rms", truth: 0.5}
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 6))
		rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 1}
		samples := 2 + rng.IntN(30)
		for i := range 500 {
			low, high := math.Inf(1), math.Inf(-1)
			for range samples {
				v := 0.5 * rng.NormFloat64()
				low, high = math.Min(low, v), math.Max(high, v)
			}
			rec.T, rec.V = append(rec.T, float64(i)/50), append(rec.V, (low+high)/2)
			rec.Sigma, rec.Stroke = append(rec.Sigma, 0.02), append(rec.Stroke, high-low+0.06)
		}
		f := analyse(t, rec, nil)
		if f.Signal != SignalNoise {
			t.Errorf("seed %d, %d samples: %s, %v", seed, samples, f.Signal, f.Told)
			continue
		}
		rms.add(seek(t, f, "v_rms", "deviation", ""))
	}
	rms.covers(t, "bands")
}
