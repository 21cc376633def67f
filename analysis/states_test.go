package analysis

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// The labels that tell two results of one quantity apart.
const (
	highPulse = "high state"
	lowPulse  = "low state"
	rising    = "rising, from 10 % to 90 %"
	falling   = "falling, from 90 % to 10 %"
)

// Straight transitions over many points: every quantity has a known truth, and 80 % of the ramp lies between the
// 10 % and the 90 % level (IEEE Std 181).
func TestPullsOfStates(t *testing.T) {
	const span, ramp = 10e-3, 0.3e-3
	for _, rho := range []float64{0, 0.8} {
		list := map[string]*pulls{}
		rng := rand.New(rand.NewPCG(uint64(10*rho), 2))
		for seed := range uint64(80) {
			period := 2e-3 * (1 + 0.2*rng.Float64())
			on := 0.8e-3 * (1 + 0.2*rng.Float64())
			d := specimen{n: 500, span: span, sigma: 0.02, rho: rho, v: pulseOf(0.2, 5, period*rng.Float64(), period, on, ramp)}
			f := analyse(t, d.record(seed), &Settings{Signal: SignalStates})
			for _, c := range []struct {
				quantity, method, label string
				truth                   float64
			}{
				{"v_low", "histogram", "", 0.2}, {"v_high", "histogram", "", 5}, {"v_pp", "histogram", "", 4.8},
				{"period", "mid-reference", "", period}, {"frequency", "mid-reference", "", 1 / period},
				{"pulse_duration", "mid-reference", highPulse, on}, {"pulse_duration", "mid-reference", lowPulse, period - on},
				{"duty_factor", "mid-reference", "", on / period},
				{"transition_duration", "10-90", rising, 0.8 * ramp}, {"transition_duration", "10-90", falling, 0.8 * ramp},
			} {
				key := c.quantity + " " + c.label
				if list[key] == nil {
					list[key] = &pulls{name: key}
				}
				list[key].truth = c.truth
				list[key].add(seek(t, f, c.quantity, c.method, c.label))
			}
		}
		for _, p := range list {
			p.check(t, fmt.Sprintf("rho=%g", rho))
		}
	}
}

// Edges steeper than the spacing of the points: their places are limits rather than a scatter, so the intervals
// must hold the truth at least as often as they say, commensurate with the points or not.
func TestIntervalsOfSteepStatesHoldTheTruth(t *testing.T) {
	const span, n = 10e-3, 400
	for _, exact := range []bool{false, true} {
		period, high, duty := pulls{name: "period"}, pulls{name: highPulse}, pulls{name: "duty factor"}
		rise := pulls{name: rising}
		rng := rand.New(rand.NewPCG(3, 3))
		for seed := range uint64(80) {
			T, on := 2e-3*(1+0.2*rng.Float64()), 0.5e-3*(1+0.5*rng.Float64())
			if exact {
				T, on = 2e-3, 0.6e-3+span/n*rng.Float64()
			}
			d := specimen{n: n, span: span, sigma: 0.02, v: pulseOf(0, 3, T*rng.Float64(), T, on, 0)}
			f := analyse(t, d.record(seed), &Settings{Signal: SignalStates})
			period.truth, high.truth, duty.truth, rise.truth = T, on, on/T, 0
			period.add(seek(t, f, "period", "mid-reference", ""))
			high.add(seek(t, f, "pulse_duration", "mid-reference", highPulse))
			duty.add(seek(t, f, "duty_factor", "mid-reference", ""))
			r := seek(t, f, "transition_duration", "10-90", rising)
			rise.add(r)
			if !remark.Any(r.Notes, KindSteep) {
				t.Fatalf("seed %d: a jump is given as %g s without a word on it", seed, r.Value.X)
			}
		}
		for _, p := range []*pulls{&period, &high, &duty, &rise} {
			p.covers(t, fmt.Sprintf("exact=%v", exact))
		}
	}
}

// A photographed edge is often a hole in the trace, or points half way up with a wide sigma.
func TestStatesWithHiddenEdges(t *testing.T) {
	period, high, duration := pulls{name: "period", truth: 2e-3}, pulls{name: "v_high", truth: 3}, pulls{name: highPulse, truth: 0.7e-3}
	rng := rand.New(rand.NewPCG(4, 4))
	for seed := range uint64(60) {
		start := 2e-3 * rng.Float64()
		d := specimen{n: 500, span: 10e-3, sigma: 0.02, v: pulseOf(0, 3, start, 2e-3, 0.7e-3, 0)}
		rec := d.record(seed)
		for i := 2; i+2 < len(rec.V); i++ {
			if edge := rec.V[i+1] - rec.V[i]; math.Abs(edge) < 2 {
				continue
			}
			if rng.IntN(2) == 0 {
				rec.V[i-1], rec.V[i], rec.V[i+1], rec.V[i+2] = math.NaN(), math.NaN(), math.NaN(), math.NaN()
			} else {
				rec.V[i], rec.Sigma[i] = 3*rng.Float64(), 1
			}
			i += 3
		}
		f := analyse(t, rec, nil)
		if f.Signal != SignalStates {
			t.Fatalf("seed %d: %s, %v", seed, f.Signal, f.Told)
		}
		period.add(seek(t, f, "period", "mid-reference", ""))
		high.add(seek(t, f, "v_high", "histogram", ""))
		duration.add(seek(t, f, "pulse_duration", "mid-reference", highPulse))
	}
	period.covers(t, "hidden edges")
	high.check(t, "hidden edges")
	duration.covers(t, "hidden edges")
}

// A display draws a jump as an upright stroke; blur spreads it over columns, each of which says only that the trace is
// somewhere on the stroke: its middle, with a sigma of the stroke's height over 2·√3.
func TestCrossingsOfUprightStrokes(t *testing.T) {
	const n, span, jump = 500, 10e-3, 3.0
	period, high := pulls{name: "period"}, pulls{name: highPulse}
	rng := rand.New(rand.NewPCG(5, 5))
	for seed := range uint64(60) {
		T, on := 2e-3*(1+0.2*rng.Float64()), 0.9e-3*(1+0.1*rng.Float64())
		rec := specimen{n: n, span: span, sigma: 0.005, v: pulseOf(0, jump, T*rng.Float64(), T, on, 0)}.record(seed)
		for i := 2; i+3 < n; i++ {
			if math.Abs(rec.V[i+1]-rec.V[i]) < jump/2 {
				continue
			}
			from := i - rng.IntN(2)
			for k := from; k < from+3; k++ {
				rec.V[k], rec.Sigma[k] = jump/2+0.01*rng.NormFloat64(), jump/math.Sqrt(12)
			}
			i += 4
		}
		f := analyse(t, rec, &Settings{Signal: SignalStates})
		period.truth, high.truth = T, on
		r := seek(t, f, "period", "mid-reference", "")
		if u := r.Value.U; !(u < span/n) {
			t.Errorf("seed %d: u of the period is %g s, points lie %g s apart", seed, u, span/n)
		}
		period.add(r)
		high.add(seek(t, f, "pulse_duration", "mid-reference", highPulse))
	}
	period.covers(t, "upright strokes")
	high.covers(t, "upright strokes")
}

// A ground line that is not known moves all levels alike, and the period not at all.
func TestUnknownGroundLeavesThePeriod(t *testing.T) {
	rec := specimen{n: 500, span: 10e-3, sigma: 0.02, v: pulseOf(0.2, 5, 0.3e-3, 2e-3, 0.9e-3, 0.1e-3)}.record(1)
	ground := calibrate.Effect{Name: "ground line", DT: make([]float64, len(rec.T)), DV: make([]float64, len(rec.V))}
	for i := range ground.DV {
		ground.DV[i] = 4
	}
	rec.Effects = append(rec.Effects, ground)
	for _, quantity := range []string{"period", "frequency"} {
		r := seek(t, analyse(t, rec, &Settings{Signal: SignalStates}), quantity, "mid-reference", "")
		if !(r.Value.U > 0 && r.Value.U < 1e-2*r.Value.X) {
			t.Errorf("%s: u is %g of %g", quantity, r.Value.U, r.Value.X)
		}
	}
}

// Pulse and transition durations do not depend on the gain, levels do (De Graaf et al. and IEEE Std 181: reference
// levels are percentages of the waveform's own amplitude).
func TestGainMovesLevelsButNotDurations(t *testing.T) {
	d := specimen{n: 500, span: 10e-3, sigma: 0.01, v: pulseOf(0.5, 4, 1e-4, 2e-3, 0.7e-3, 0.2e-3)}
	rec := with(d.record(1), "gain", true, func(_, v float64) (float64, float64) { return 0, 0.02 * v })
	rec = with(rec, "time base", true, func(t, _ float64) (float64, float64) { return 1e-4 * t, 0 })
	f := analyse(t, rec, &Settings{Signal: SignalStates})
	for _, r := range f.Results {
		var gain, timeBase float64
		for _, b := range r.Budget {
			switch b.Source {
			case "gain":
				gain = b.U
			case "time base":
				timeBase = b.U
			}
		}
		switch r.Value.Unit {
		case "V":
			near(t, r.Label+" from gain", gain, 0.02*math.Abs(r.Value.X), 1e-6)
			near(t, r.Label+" from time base", timeBase, 0, 1e-9)
		case "s":
			near(t, r.Label+" from gain", gain, 0, 1e-6*r.Value.X)
			near(t, r.Label+" from time base", timeBase, 1e-4*r.Value.X, 1e-6*r.Value.X)
		case "1":
			near(t, r.Label+" from both", gain+timeBase, 0, 1e-6)
		}
	}
}

func TestTriangleHasNoStates(t *testing.T) {
	d := specimen{n: 500, span: 10e-3, sigma: 0.02, v: triangleOf(0, 3, 400, 1)}
	_, err := Analyse(t.Context(), d.record(1), &Settings{Signal: SignalStates})
	if none := (*NotFoundError)(nil); !errors.As(err, &none) || none.Hint == "" {
		t.Errorf("a triangle has states: %v", err)
	}
}

// One step across the screen has levels and a transition, but no period and no pulse.
func TestSingleStep(t *testing.T) {
	d := specimen{n: 300, span: 1, sigma: 0.01, v: func(t float64) float64 { return 4 * math.Min(1, math.Max(0, (t-0.4)/0.1)) }}
	f := analyse(t, d.record(1), nil)
	if f.Signal != SignalStates {
		t.Fatalf("%s, %v", f.Signal, f.Told)
	}
	near(t, "high", seek(t, f, "v_high", "histogram", "").Value.X, 4, 0.005)
	near(t, "transition", seek(t, f, "transition_duration", "10-90", rising).Value.X, 0.08, 0.002)
	for _, r := range f.Results {
		if r.Quantity == "period" || r.Quantity == "pulse_duration" || r.Quantity == "duty_factor" {
			t.Errorf("a single step has a %s", r.Quantity)
		}
	}
}

func TestFewPointsMakeNoStates(t *testing.T) {
	rec := &calibrate.Record{T: []float64{0, 1, 2}, V: []float64{0, 5, 0}, Sigma: []float64{0.1, 0.1, 0.1}}
	if _, err := Analyse(t.Context(), rec, &Settings{Signal: SignalStates}); err == nil {
		t.Error("three points make states")
	}
}

// A panel draws a jump as a stroke, and what is read of it between the states may be anything: here it is low for the
// last three columns of the high state, which makes that too short. The interval still holds the truth.
func TestStrokesOfAPanelWidenTheEdges(t *testing.T) {
	const n, period, on = 500, 0.37, 0.185
	p := pulls{name: "pulse duration", truth: on}
	for seed := range uint64(30) {
		s := specimen{n: n, span: 1, sigma: 0.01, v: pulseOf(0, 5, 0.1+0.003*float64(seed), period, on, 0)}
		rec := s.record(seed)
		rec.TimePerBox, rec.VoltsPerBox = 0.1, 1
		for i := range n - 3 {
			if s.v(rec.T[i])-s.v(rec.T[i+3]) > 1 {
				rec.V[i], rec.Sigma[i] = 0.4, 0.02
			}
		}
		p.add(seek(t, analyse(t, rec, &Settings{Signal: SignalStates}), "pulse_duration", "mid-reference", "high state"))
	}
	p.covers(t, "strokes")
}

// Data are no square wave: their transitions do not repeat, and that is told. Jitter of a
// hundredth is none of this.
func TestDataHaveNoPeriod(t *testing.T) {
	const span, bit = 10e-3, 0.4e-3
	rng := rand.New(rand.NewPCG(9, 1))
	bits, jitter := make([]float64, 40), make([]float64, 40)
	for k := range bits {
		bits[k], jitter[k] = float64(rng.IntN(2)), 0.01*rng.NormFloat64()
	}
	for _, c := range []struct {
		name string
		v    func(t float64) float64
		bits bool // no period is told, and no doubt
	}{
		{"data", func(t float64) float64 { return 3 * bits[int(t/bit)] }, true},
		{"jitter", func(t float64) float64 {
			k, part := math.Modf(t / (4 * bit))
			if part > 0.25+jitter[int(k)] && part < 0.75+jitter[int(k)] {
				return 3
			}
			return 0
		}, false},
	} {
		d := specimen{n: 500, span: span, sigma: 0.02, v: c.v}
		f := analyse(t, d.record(1), &Settings{Signal: SignalStates})
		if told := remark.Any(f.Notes, KindNoPeriod); told != c.bits || remark.Any(f.Doubts, KindUneven) {
			t.Errorf("%s: doubts %q, notes %q", c.name, f.Doubts, f.Notes)
		}
	}
}

// A level that stands on two codes of the converter by turns has all its points in one state, and its mean between
// them.
func TestALevelOnTwoCodes(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	rec := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 1}
	for i := range 600 {
		v := 0.02
		if rng.Float64() < 0.3 {
			v = 0.06
		}
		if i/100%2 == 0 {
			v += 4
		}
		rec.T, rec.V, rec.Sigma = append(rec.T, float64(i)/60), append(rec.V, v), append(rec.Sigma, 0.004)
	}
	f := analyse(t, rec, nil)
	if low := seek(t, f, "v_low", "histogram", ""); f.Signal != SignalStates || math.Abs(low.Value.X-0.032) > 0.006 || len(f.Doubts) > 0 {
		t.Errorf("%s, low %v, doubts %q", f.Signal, low.Value, f.Doubts)
	}
}

// A square wave whose edges take a third of its period, with sag and ringing, is one with a doubt; a bent sine and a
// triangle are not.
func TestARoughSquareWaveIsOne(t *testing.T) {
	for seed := range uint64(20) {
		rng := rand.New(rand.NewPCG(seed, 31))
		T := 1 / (3 + 5*rng.Float64())
		square, start := zigzagOf(-1, 1, 0, T, 0.5), T*rng.Float64()
		rough := func(t float64) float64 {
			x := math.Max(-1, math.Min(1, 3*square(t+start)))
			return 2*x + 0.3*math.Sin(2*math.Pi*(t+start)/T+1) + 0.12*math.Sin(14*math.Pi*(t+start)/T)
		}
		f := analyse(t, specimen{n: 600, span: 1, sigma: 0.02, rho: 0.5, v: rough}.record(seed), nil)
		if f.Signal != SignalStates || !remark.Any(f.Doubts, KindHardlySquare) {
			t.Errorf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
			continue
		}
		if r := seek(t, f, "period", "mid-reference", ""); math.Abs(r.Value.X-T) > math.Max(3*r.Value.U, 0.01*T) {
			t.Errorf("seed %d: %v of %g s", seed, r.Value, T)
		}
		bent := func(t float64) float64 { return 2*math.Sin(2*math.Pi*t/T) + 0.5*math.Sin(4*math.Pi*t/T) }
		if f := analyse(t, specimen{n: 600, span: 1, sigma: 0.01, v: bent}.record(seed), nil); f.Signal == SignalStates {
			t.Errorf("seed %d: a bent sine is taken for a square wave", seed)
		}
	}
}
