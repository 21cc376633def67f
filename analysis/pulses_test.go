package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// pulsesOf analyses a record that must be taken for pulses.
func pulsesOf(t *testing.T, rec *calibrate.Record) *Findings {
	t.Helper()
	f := analyse(t, rec, nil)
	if f.Signal != SignalPulses || f.Told.How != Recognised {
		t.Fatalf("%s, %v, doubts %q", f.Signal, f.Told, f.Doubts)
	}
	return f
}

const pulseWidth = "between the 50 % crossings"

// Trains and single pulses of either side, edges resolved or steep: base, top, amplitude, duration, place, period,
// duty factor.
func TestPullsOfPulses(t *testing.T) {
	for _, c := range []struct {
		name string
		ramp float64 // share of the width; below three tenths or so too few points lie on it for its own duration
		rho  float64
		up   bool
		one  bool
	}{
		{"train", 0.5, 0.5, true, false}, {"train downwards", 0.5, 0, false, false}, {"single", 0.3, 0.5, true, true}, {"single, steep", 0, 0, false, true},
		{"train, steep", 0, 0.3, true, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			const span = 10e-3
			list := map[string]*pulls{}
			rng := rand.New(rand.NewPCG(3, uint64(len(c.name))))
			for seed := range uint64(40) { // a U at 0.73 of its size is noticed, at 100 one at 0.80
				period := 3e-3 * (1 + 0.2*rng.Float64())
				on := period * (0.1 + 0.02*rng.Float64())
				start := period * (0.1 + 0.8*rng.Float64())
				if c.one {
					period, on, start = 30e-3, 0.3e-3+0.9e-3*rng.Float64(), 1e-3+7e-3*rng.Float64()
				}
				base, top := 0.5, 4.5
				if !c.up {
					base, top = top, base
				}
				d := specimen{n: 600, span: span, sigma: 0.02, rho: c.rho, v: pulseOf(base, top, start, period, on, c.ramp*on)}
				f := pulsesOf(t, d.record(seed))
				if single := remark.Any(f.Notes, KindSinglePulse); single != c.one {
					t.Errorf("seed %d: single is %v", seed, single)
				}
				method := "mid-reference"
				for _, q := range []struct {
					quantity, method, label string
					truth                   float64
				}{
					{"v_low", "histogram", "", 0.5}, {"v_high", "histogram", "", 4.5}, {"v_pp", "histogram", "", 4},
					{"pulse_duration", method, pulseWidth, on}, {"pulse_position", method, "", start + on/2 + c.ramp*on/2},
					{"period", method, "", period}, {"frequency", method, "", 1 / period}, {"duty_factor", method, "", on / period},
					{"transition_duration", "10-90", rising, 0.8 * c.ramp * on},
				} {
					if c.one && (q.quantity == "period" || q.quantity == "frequency" || q.quantity == "duty_factor") {
						if x := find(f, q.quantity, q.method); x.Value.X != 0 {
							t.Errorf("seed %d: a single pulse has a %s of %v", seed, q.quantity, x.Value)
						}
						continue
					}
					if list[q.quantity] == nil {
						list[q.quantity] = &pulls{name: q.quantity}
					}
					list[q.quantity].truth = q.truth
					list[q.quantity].add(seek(t, f, q.quantity, q.method, q.label))
				}
			}
			for name, p := range list {
				if c.ramp == 0 && name != "v_low" && name != "v_high" && name != "v_pp" {
					p.covers(t, c.name)
				} else {
					p.check(t, c.name)
				}
			}
		})
	}
}

// The duty factor down to an eighth is a square wave's; less is pulses'. A single departure is a pulse if it is
// shorter than half its pause; pulses of unlike widths are bits.
func TestWhereStatesEndAndPulsesBegin(t *testing.T) {
	bits := []float64{0, 1, 0, 0, 1, 1, 1, 0, 1, 0, 0, 0, 1, 1, 0, 0}
	for _, c := range []struct {
		name string
		v    func(float64) float64
		kind string
	}{
		{"duty 0.5", pulseOf(0, 4, 1e-3, 3e-3, 1.5e-3, 0), SignalStates},
		{"duty 0.15", pulseOf(0, 4, 1e-3, 3e-3, 0.45e-3, 0), SignalStates},
		{"duty 0.1", pulseOf(0, 4, 1e-3, 3e-3, 0.3e-3, 0), SignalPulses},
		{"duty 0.9", pulseOf(0, 4, 1e-3, 3e-3, 2.7e-3, 0), SignalPulses},
		{"single", pulseOf(0, 4, 4e-3, 30e-3, 1.5e-3, 0), SignalPulses},
		{"a cycle and a bit", pulseOf(0, 4, 2.6e-3, 8e-3, 4e-3, 0), SignalStates},
		{"step", pulseOf(0, 4, 4e-3, 60e-3, 30e-3, 0), SignalStates},
		{"bits", func(t float64) float64 { return 4 * bits[int(t/10e-3*16)%16] }, SignalStates},
	} {
		for seed := range uint64(5) {
			f := analyse(t, specimen{n: 500, span: 10e-3, sigma: 0.03, rho: 0.3, v: c.v}.record(seed), nil)
			if f.Signal != c.kind || f.Told.How != Recognised {
				t.Errorf("%s: %s, %v", c.name, f.Signal, f.Told)
			}
			if step := remark.Any(f.Notes, KindStep); step != (c.name == "step") {
				t.Errorf("%s: a step is noted: %v", c.name, step)
			}
		}
	}
}

// A step, also with a sag before it and corners that are rounded: its levels, its time, no period and no doubt of the
// shape.
func TestPullsOfAStep(t *testing.T) {
	at, before, after := pulls{name: "step_time"}, pulls{name: "v_high"}, pulls{name: "v_low"}
	rng := rand.New(rand.NewPCG(8, 8))
	for seed := range uint64(80) {
		when, ramp := 2e-3+6e-3*rng.Float64(), 0.3e-3
		f := analyse(t, specimen{n: 500, span: 10e-3, sigma: 0.02, rho: 0.5, v: pulseOf(4, 1, when-ramp/2, 60e-3, 30e-3, ramp)}.record(seed), nil)
		if f.Signal != SignalStates || len(f.Doubts) > 0 || find(f, "period", "mid-reference").Value.X != 0 {
			t.Fatalf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
		at.truth, before.truth, after.truth = when, 4, 1
		at.add(seek(t, f, "step_time", "mid-reference", ""))
		before.add(seek(t, f, "v_high", "histogram", ""))
		after.add(seek(t, f, "v_low", "histogram", ""))
	}
	at.check(t, "step")
	before.check(t, "step")
	after.check(t, "step")
	for seed := range uint64(20) { // a tube's step sags by 3 % and turns round its corner
		v := func(t float64) float64 {
			if t < 6e-3 {
				return 4 - 20*t - 0.4*math.Exp((t-6e-3)/0.3e-3)
			}
			return 3.48 * math.Exp(-(t-6e-3)/0.05e-3)
		}
		f := analyse(t, specimen{n: 500, span: 10e-3, sigma: 0.01, v: v}.record(seed), nil)
		if f.Signal != SignalStates || remark.Any(f.Doubts, KindNotRecognised) {
			t.Errorf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
	}
}

// Half a sine on a flat base is pulses with rounded tops: their height is that of the crests, their duration at 50 %
// two thirds of the half wave (sin 30° is a half).
func TestARectifiedSineIsPulses(t *testing.T) {
	height, width, period := pulls{name: "v_pp", truth: 3}, pulls{name: "pulse_duration"}, pulls{name: "period"}
	rng := rand.New(rand.NewPCG(4, 4))
	for seed := range uint64(50) { // a U at 0.75 of its size is noticed, at 80 one at 0.79
		T := 10e-3 / (2 + 5*rng.Float64())
		phase := 6 * rng.Float64()
		v := func(t float64) float64 { return 1 + 3*math.Max(0, math.Sin(2*math.Pi*t/T+phase)) }
		f := pulsesOf(t, specimen{n: 600, span: 10e-3, sigma: 0.02, rho: 0.3, v: v}.record(seed))
		if !remark.Any(f.Notes, KindRoundedTops) || len(f.Doubts) > 0 {
			t.Errorf("seed %d: doubts %q, notes %q", seed, f.Doubts, f.Notes)
		}
		width.truth, period.truth = T/3, T
		height.add(seek(t, f, "v_pp", "histogram", ""))
		width.add(seek(t, f, "pulse_duration", "mid-reference", pulseWidth))
		period.add(seek(t, f, "period", "mid-reference", ""))
	}
	height.check(t, "half a sine")
	width.check(t, "half a sine")
	period.check(t, "half a sine")
}

// A sine in noise as wide as a tenth of its height has no base.
func TestANoisySineIsNoPulses(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 2))
		d := specimen{n: 500, span: 10e-3, sigma: 0.2 + 0.2*rng.Float64(), rho: 0.5 * rng.Float64(), v: sineOf(0, 2, 150+800*rng.Float64(), 6*rng.Float64())}
		if f := analyse(t, d.record(seed), nil); f.Signal != SignalSine {
			t.Errorf("seed %d: %s, %v", seed, f.Signal, f.Told)
		}
	}
}

// Pulses with longer pauses before and behind them are a burst: how many, how long, and the period within.
func TestABurstIsTold(t *testing.T) {
	burst, period := pulls{name: "burst_duration"}, pulls{name: "period"}
	rng := rand.New(rand.NewPCG(4, 9))
	for seed := range uint64(60) {
		T, n := 0.5e-3*(1+0.4*rng.Float64()), 3+rng.IntN(4)
		start, on := 2e-3+1e-3*rng.Float64(), T*(0.25+0.4*rng.Float64())
		v := func(t float64) float64 {
			x := (t - start) / T
			if x < 0 || x >= float64(n) {
				return 0
			}
			x -= math.Floor(x)
			return 4 * math.Min(1, math.Min(x*T/0.05e-3, math.Max(0, (on+0.05e-3-x*T)/0.05e-3)))
		}
		f := pulsesOf(t, specimen{n: 700, span: 10e-3, sigma: 0.02, rho: 0.3, v: v}.record(seed))
		told := 0
		for _, r := range f.Notes {
			if r.Kind == KindBurst {
				told = r.Count("pulses")
			}
		}
		if told != n {
			t.Errorf("seed %d: %d pulses of %d, notes %q", seed, told, n, f.Notes)
		}
		burst.truth, period.truth = float64(n-1)*T+on, T
		burst.add(seek(t, f, "burst_duration", "mid-reference", ""))
		period.add(seek(t, f, "period", "mid-reference", ""))
	}
	burst.covers(t, "burst") // the edges are three points long
	period.covers(t, "burst")
}

// A square wave whose levels sag by a few hundredths, its edges lost or drawn half way up, is one and no decay.
func TestASquareWaveThatSagsIsNoDecay(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 5))
		period := 10e-3 / (1.5 + 4*rng.Float64())
		sag := 0.03 * rng.Float64()
		square := pulseOf(0, 4, period*rng.Float64(), period, period*(0.4+0.2*rng.Float64()), 0)
		slow := func(t float64) float64 { // falls from each edge
			since := 0.0
			for x := t; x > 0 && square(x) == square(t); x -= period / 100 {
				since += 1.0 / 100
			}
			return (square(t)-2)*(1-sag*(1-math.Exp(-4*since))) + 2
		}
		rec := specimen{n: 450, span: 10e-3, sigma: 0.008, rho: 0.3, v: slow}.record(seed)
		for i := 1; i+1 < len(rec.V); i++ {
			if math.Abs(rec.V[i+1]-rec.V[i]) > 2 {
				rec.V[i], rec.Sigma[i] = 2, 4/math.Sqrt(12)
				if rng.IntN(2) == 0 {
					rec.V[i+1] = math.NaN()
				}
				i += 2
			}
		}
		if f := analyse(t, rec, nil); f.Signal != SignalStates {
			t.Errorf("seed %d: %s, %v", seed, f.Signal, f.Told)
		}
	}
}

// A pulse whose edges the display draws with unsure points, rounded at their corners, is no decay, though
// exponentials lie as near to such points.
func TestAPulseOfUnsureEdgesIsNoDecay(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 12))
		at, wide, edge := 0.3+0.3*rng.Float64(), 0.06+0.04*rng.Float64(), 0.01+0.01*rng.Float64()
		v := func(t float64) float64 { // edges of a Gaussian response
			return 1.3 * (math.Erf((t-at)/edge) - math.Erf((t-at-wide)/edge))
		}
		rec := specimen{n: 600, span: 1, sigma: 0.008, rho: 0.5, v: v}.record(seed)
		rec.VoltsPerBox, rec.TimePerBox = 0.5, 0.1
		for i, x := range rec.T {
			rec.Sigma[i] = math.Hypot(0.008, math.Abs(v(x+1e-3)-v(x-1e-3))/2)
		}
		if f := analyse(t, rec, nil); f.Signal != SignalPulses {
			t.Errorf("seed %d: %s, %v", seed, f.Signal, f.Told)
		}
	}
}

// Tops of short pulses are less sure than the long base, and sure all the same: they are a level.
func TestTopsOfShortPulsesAreSure(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 13))
		period := 0.2 + 0.2*rng.Float64()
		v := pulseOf(0, 4, period*rng.Float64(), period, 0.1*period, 0)
		rec := specimen{n: 500, span: 1, sigma: 0.004, v: v}.record(seed)
		for i, x := range rec.T {
			switch {
			case v(x-2e-3) != v(x+2e-3): // an edge
				rec.V[i], rec.Sigma[i] = 2, 4/math.Sqrt(12)
			case v(x) > 2:
				rec.Sigma[i] = 0.03
			}
		}
		if f := analyse(t, rec, nil); f.Signal != SignalPulses {
			t.Errorf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
	}
}

// A step whose edge blur draws over a few points is no decay, though an exponential of a point or two lies on it.
func TestAnEdgeIsNoDecay(t *testing.T) {
	for seed := range uint64(30) {
		rng := rand.New(rand.NewPCG(seed, 14))
		at, tau := 0.2+0.6*rng.Float64(), (0.5+1.5*rng.Float64())/500
		rec := specimen{n: 500, span: 1, sigma: 0.01, v: slowDischarge(0, 5, at, tau)}.record(seed)
		if f := analyse(t, rec, nil); f.Signal != SignalStates || !remark.Any(f.Notes, KindStep) {
			t.Errorf("seed %d, τ of %.1f points: %s, %v", seed, 500*tau, f.Signal, f.Told)
		}
	}
}
