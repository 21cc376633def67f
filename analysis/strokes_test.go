package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// Pulses of one to three columns on a level of 500 columns are pulses, with their period and a duration and duty factor
// that hold the truth; a level that was asked for is one with strokes.
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
		f := analyse(t, rec, &Settings{Signal: SignalLevel})
		if len(f.Doubts) != 1 || f.Doubts[0].Kind != KindStrokes || f.Doubts[0].Count("strokes") != 4 {
			t.Errorf("seed %d: as a level, doubts %q", seed, f.Doubts)
		}
		f = analyse(t, rec, nil)
		if f.Signal != SignalPulses || len(f.Doubts) > 0 || !remark.Any(f.Notes, KindNarrowPulses) {
			t.Fatalf("seed %d: a %s, doubts %q, notes %q", seed, f.Signal, f.Doubts, f.Notes)
		}
		if base := seek(t, f, "v_low", "mean", "base state"); math.Abs(base.Value.X) > 4*base.Value.U {
			t.Errorf("seed %d: base %v", seed, base.Value)
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

// Strokes alike to one side of a level are pulses, also in a burst; a single one, some of different heights and some to
// both sides are not.
func TestWhatNarrowPulsesAre(t *testing.T) {
	for _, c := range []struct {
		name   string
		at     map[int]float64
		pulses bool
		burst  bool
	}{
		{"two", map[int]float64{100: 3, 300: 3}, true, false},
		{"one", map[int]float64{100: 3}, false, false},
		{"two of 0.85 of each other", map[int]float64{100: 3, 300: 2.55}, true, false},
		{"two of 0.7 of each other", map[int]float64{100: 3, 300: 2.1}, false, false},
		{"down", map[int]float64{100: -3, 200: -3, 300: -3}, true, false},
		{"to both sides", map[int]float64{100: 3, 200: 3, 300: -3}, false, false},
		{"a burst", map[int]float64{200: 3, 230: 3, 260: 3, 290: 3}, true, true},
	} {
		rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}
		for i := range 500 {
			rec.T, rec.V, rec.Sigma = append(rec.T, float64(i)), append(rec.V, c.at[i]+0.01*math.Sin(float64(i*i))), append(rec.Sigma, 0.02)
		}
		f := analyse(t, rec, nil)
		if (f.Signal == SignalPulses) != c.pulses || remark.Any(f.Notes, KindBurst) != c.burst {
			t.Errorf("%s: %s, notes %q", c.name, f.Signal, f.Notes)
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
