package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
)

// Pulses of one to three columns on a level of 500 columns: told, with their period and a duration and duty factor that
// hold the truth.
func TestNarrowPulsesAreToldOnALevel(t *testing.T) {
	const period, step = 125.0, 1e-5 // columns; s
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 5))
		duration, phase := 0.5+2.5*rng.Float64(), 20+60*rng.Float64() // columns
		rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50 * step}
		for i := range 500 {
			v, u := 0.0, 0.02
			since := math.Mod(float64(i)+0.5-phase+period, period)
			if since < duration+0.5 || since > period-0.5 { // a column shows the pulse that touches it
				v, u = 5, 1
			}
			rec.T, rec.V, rec.Sigma = append(rec.T, float64(i)*step), append(rec.V, v+0.02*rng.NormFloat64()), append(rec.Sigma, u)
		}
		f, err := Analyse(t.Context(), rec, &Settings{})
		if err != nil {
			t.Fatal(err)
		}
		if f.Signal != SignalLevel || len(f.Doubts) != 1 || f.Doubts[0].Kind != KindStrokes || f.Doubts[0].Count("strokes") != 4 {
			t.Fatalf("seed %d: a %s, doubts %q", seed, f.Signal, f.Doubts)
		}
		found := 0
		for _, r := range f.Results {
			want := map[string]float64{"period": period * step, "pulse_duration": duration * step, "duty_factor": duration / period}[r.Quantity]
			if want > 0 {
				found++
				if math.Abs(r.Value.X-want) > r.Expanded {
					t.Errorf("seed %d: %s is %v, want %g", seed, r.Quantity, r.Value, want)
				}
			}
		}
		if found != 3 {
			t.Errorf("seed %d: %d of 3 results", seed, found)
		}
	}
}

// Strokes that are not evenly spaced are told, and have no period.
func TestUnevenStrokesHaveNoPeriod(t *testing.T) {
	rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}
	for i := range 500 {
		v := 0.01 * math.Sin(float64(i*i))
		if i == 100 || i == 170 || i == 400 {
			v = 3
		}
		rec.T, rec.V, rec.Sigma = append(rec.T, float64(i)), append(rec.V, v), append(rec.Sigma, 0.02)
	}
	f, err := Analyse(t.Context(), rec, &Settings{Signal: SignalLevel})
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Doubts) == 0 || f.Doubts[0].Kind != KindStrokes || f.Doubts[0].Count("strokes") != 3 || indexOf(f.Results, "period") >= 0 {
		t.Errorf("doubts %q, %d results", f.Doubts, len(f.Results))
	}
}
