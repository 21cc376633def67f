package analysis

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// A greenhouse's mist timer and its bench give these traces; each must be taken for what it is, over noise,
// correlation, phase and length.
func TestKindsAreRecognised(t *testing.T) {
	const span = 10e-3
	cases := []struct {
		name, kind string
		draw       func(rng *rand.Rand) func(float64) float64
	}{
		{"sine of many cycles", SignalSine, func(r *rand.Rand) func(float64) float64 {
			return sineOf(1, 2, (2+18*r.Float64())/span, 6*r.Float64())
		}},
		{"sine of a cycle or two", SignalSine, func(r *rand.Rand) func(float64) float64 {
			return sineOf(1, 2, (1+r.Float64())/span, 6*r.Float64())
		}},
		{"square wave", SignalStates, func(r *rand.Rand) func(float64) float64 {
			T := span / (1.2 + 8*r.Float64())
			return pulseOf(0, 5, T*r.Float64(), T, T/2, 0)
		}},
		{"short pulses", SignalPulses, func(r *rand.Rand) func(float64) float64 {
			T := span / (2 + 3*r.Float64())
			return pulseOf(0, 5, T*r.Float64(), T, T/12, T/100)
		}},
		{"slow discharge", SignalDecay, func(r *rand.Rand) func(float64) float64 {
			return slowDischarge(9, 0, span*(0.05+0.3*r.Float64()), span*(0.12+0.1*r.Float64()))
		}},
		{"discharge from the rim", SignalDecay, func(r *rand.Rand) func(float64) float64 {
			return slowDischarge(9, 0.1, 0, span*(0.15+0.2*r.Float64()))
		}},
		{"square-driven capacitor", SignalDecay, func(r *rand.Rand) func(float64) float64 {
			half := span / (3 + 4*r.Float64())
			return squareDriven(5, half, half/(3+3*r.Float64()), half*r.Float64())
		}},
		{"level", SignalLevel, func(r *rand.Rand) func(float64) float64 {
			v := 5 * r.Float64()
			return func(float64) float64 { return v }
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(5, uint64(len(c.name))))
			const runs = 12
			right := 0
			var wrong string
			for seed := range uint64(runs) {
				d := specimen{n: 300 + rng.IntN(500), span: span, sigma: 0.01 + 0.04*rng.Float64(), rho: 0.8 * rng.Float64(), v: c.draw(rng)}
				f := analyse(t, d.record(seed), nil)
				if f.Signal == c.kind && f.Told.How != ForWant {
					right++
				} else {
					wrong += fmt.Sprintf("\nseed %d: %s, %v", seed, f.Signal, f.Told)
				}
				if f.Told.How == Given {
					t.Errorf("the choice is told as %+v", f.Told)
				}
			}
			if right < runs {
				t.Errorf("recognised in %d of %d:%s", right, runs, wrong)
			}
		})
	}
}

// Its best sine leaves √(1 - 96/π⁴) of a triangle's rms, which is 3.5 % of its height: it is none, and what is counted
// beside the sides is right.
func TestTriangleIsNotTakenForASine(t *testing.T) {
	period := pulls{name: "period", truth: 2.3e-3}
	for seed := range uint64(40) {
		d := specimen{n: 500, span: 10e-3, sigma: 0.02, rho: 0.5, v: triangleOf(1, 3, 1/2.3e-3, float64(seed))}
		f := analyse(t, d.record(seed), nil)
		if f.Signal != SignalTriangle || f.Told.How != Recognised || len(f.Doubts) != 0 {
			t.Fatalf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
		period.add(seek(t, f, "period", "crossings", ""))
	}
	period.check(t, "triangle")
}

// Whatever repeats has its period told, also when it is taken for decays.
func TestRepeatedDecaysHaveAPeriod(t *testing.T) {
	period := pulls{name: "period", truth: 4e-3}
	for seed := range uint64(40) {
		d := specimen{n: 600, span: 10e-3, sigma: 0.02, rho: 0.5, v: squareDriven(5, 2e-3, 0.45e-3, 1e-3+1e-5*float64(seed))}
		period.add(seek(t, analyse(t, d.record(seed), nil), "period", "crossings", ""))
	}
	period.covers(t, "square-driven")
}

func TestAnalyseSaysWhatItNeeds(t *testing.T) {
	good := func() *calibrate.Record {
		return specimen{n: 50, span: 1, sigma: 0.1, v: func(float64) float64 { return 1 }}.record(1)
	}
	late, early, nan := 2.0, 1.0, math.NaN()
	short := good()
	short.V = short.V[:40]
	hidden := good()
	for i := range hidden.V {
		hidden.V[i] = math.NaN()
	}
	lame := good()
	lame.Effects = []calibrate.Effect{{Name: "gain", DV: []float64{1}}}
	for _, c := range []struct {
		name  string
		rec   *calibrate.Record
		s     *Settings
		setup bool // the error's kind
	}{
		{"unknown kind", good(), &Settings{Signal: "sawtooth"}, true},
		{"end before beginning", good(), &Settings{From: &late, To: &early}, true},
		{"NaN limit", good(), &Settings{From: &nan}, true},
		{"voltages missing", short, nil, true},
		{"effect too short", lame, nil, true},
		{"all hidden", hidden, nil, false},
		{"nothing", &calibrate.Record{}, nil, false},
		{"part without points", good(), &Settings{From: &late}, false},
		{"flat sine", good(), &Settings{Signal: SignalStates}, false},
		{"flat decay", good(), &Settings{Signal: SignalDecay}, false},
	} {
		f, err := Analyse(t.Context(), c.rec, c.s)
		var setup *calibrate.SetupError
		var none *NotFoundError
		switch {
		case f != nil:
			t.Errorf("%s: findings beside an error", c.name)
		case errors.As(err, &setup) && c.setup && setup.Hint != "" && setup.Field != "":
		case errors.As(err, &none) && !c.setup && none.Hint != "":
		default:
			t.Errorf("%s: error %#v", c.name, err)
		}
	}
}

func TestGivenKindIsUsed(t *testing.T) {
	rec := specimen{n: 200, span: 1, sigma: 0.01, v: sineOf(0, 1, 3, 0)}.record(1)
	f := analyse(t, rec, &Settings{Signal: SignalLevel})
	if f.Signal != SignalLevel || f.Told.How != Given {
		t.Errorf("%s, %v", f.Signal, f.Told)
	}
}

// FuzzAnalyse throws records of any numbers at every kind: no panic, and no finite value with a zero, negative
// or missing uncertainty unless a doubt says so.
func FuzzAnalyse(f *testing.F) {
	wave := make([]byte, 0, 1600)
	for i := range 100 {
		wave = binary.LittleEndian.AppendUint64(wave, math.Float64bits(math.Sin(float64(i)/5)))
	}
	f.Add(wave, uint8(0), uint8(0))
	f.Add(wave[:80], uint8(1), uint8(7))
	f.Add([]byte("12345678abcdefgh"), uint8(2), uint8(3))
	f.Add([]byte{}, uint8(3), uint8(1))
	f.Fuzz(func(t *testing.T, raw []byte, kind, shape uint8) {
		rec := &calibrate.Record{}
		for i := 0; len(raw) >= 8 && i < 400; i++ {
			v := math.Float64frombits(binary.LittleEndian.Uint64(raw))
			raw = raw[8:]
			step, sigma := 1e-3, 0.01
			if shape&1 != 0 {
				step = math.Abs(math.Remainder(v, 1))
			}
			if shape&2 != 0 {
				sigma = math.Remainder(1000*v, 1)
			}
			if shape&4 != 0 && i%7 == 3 {
				v = math.NaN()
			}
			if shape&8 != 0 {
				v = math.Remainder(v, 10)
			}
			t := step
			if i > 0 {
				t = rec.T[i-1] + step
			}
			rec.T, rec.V, rec.Sigma = append(rec.T, t), append(rec.V, v), append(rec.Sigma, sigma)
		}
		if shape&16 != 0 {
			rec.Sigma = nil
		}
		if shape&32 != 0 {
			rec = with(rec, "gain", true, func(_, v float64) (float64, float64) { return 0, 0.02 * v })
			rec = with(rec, "time base", true, func(t, _ float64) (float64, float64) { return 1e-4 * t, 0 })
		}
		kinds := append(Kinds(), SignalAuto, "")
		got, err := Analyse(t.Context(), rec, &Settings{Signal: kinds[int(kind)%len(kinds)]})
		if err != nil {
			var setup *calibrate.SetupError
			var none *NotFoundError
			if got != nil || !errors.As(err, &setup) && !errors.As(err, &none) {
				t.Errorf("error %#v with findings %v", err, got)
			}
			return
		}
		for _, r := range got.Results {
			if !(r.Value.U > 0) && len(r.Doubts) == 0 {
				t.Errorf("%s by %s is %g ± %g without a doubt", r.Quantity, r.Method, r.Value.X, r.Value.U)
			}
		}
	})
}

// BenchmarkAnalyse times the whole of recognition and findings; 20 ms for a record of 1000 points is wanted.
func BenchmarkAnalyse(b *testing.B) {
	for _, c := range []struct {
		name string
		v    func(float64) float64
	}{
		{"sine", sineOf(1, 2, 440, 0.4)}, {"states", pulseOf(0, 5, 1e-4, 2e-3, 0.6e-3, 0)},
		{"level", func(float64) float64 { return 3 }}, {"decay", slowDischarge(8, 0, 1e-3, 2e-3)},
		{"decays", squareDriven(5, 1e-3, 2e-4, 3e-4)}, {"triangle", triangleOf(0, 3, 400, 1)},
	} {
		b.Run(c.name+"/n=1000", func(b *testing.B) {
			rec := specimen{n: 1000, span: 10e-3, sigma: 0.02, rho: 0.7, v: c.v}.record(1)
			rec = with(rec, "time base", true, func(t, _ float64) (float64, float64) { return 1e-4 * t, 0 })
			rec = with(rec, "gain", true, func(_, v float64) (float64, float64) { return 0, 0.017 * v })
			rec = with(rec, "ground line", false, func(_, _ float64) (float64, float64) { return 0, 0.01 })
			for b.Loop() {
				if _, err := Analyse(b.Context(), rec, nil); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// Two levels with a third of the points between them are no square wave of the laboratory; what follows the graticule
// here and there looks like that.
func TestAWaveThatIsHardlySquareIsDoubted(t *testing.T) {
	for transition, want := range map[float64]bool{0: false, 0.01: false, 0.2: true} {
		s := specimen{n: 500, span: 1, sigma: 0.02, v: pulseOf(0, 5, 0.1, 0.25, 0.12, transition*0.25)}
		f, err := Analyse(t.Context(), s.record(1), nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := remark.Any(f.Doubts, KindHardlySquare); got != want || f.Signal != SignalStates {
			t.Errorf("transitions of %g of the period: %s, doubts %q", transition, f.Signal, f.Doubts)
		}
	}
	// Twelve cycles on a screen whose columns of pixels and blur make each edge six points wide are square.
	s := specimen{n: 500, span: 10, sigma: 0.02, v: pulseOf(0, 5, 0.1, 10./12, 5./12, 0.12)}
	r := s.record(1)
	for _, photographed := range []bool{true, false} {
		r.TimePerBox = 0
		if photographed {
			r.TimePerBox = 1
		}
		f, err := Analyse(t.Context(), r, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := remark.Any(f.Doubts, KindHardlySquare); got == photographed {
			t.Errorf("strokes, photographed %v: %s, doubts %q", photographed, f.Signal, f.Doubts)
		}
	}
}

// A sine that is asked for on a decay is doubted first of all, with what the trace would be; one on a sine is not.
func TestAKindThatTheTraceIsNotIsDoubted(t *testing.T) {
	decay, sine := &calibrate.Record{}, &calibrate.Record{}
	for i := range 400 {
		x := float64(i) / 400
		for _, r := range []struct {
			rec *calibrate.Record
			v   float64
		}{{decay, 9 * math.Exp(-math.Max(0, x-0.1)*6)}, {sine, 3 * math.Sin(14*x)}} {
			r.rec.T, r.rec.Sigma = append(r.rec.T, x), append(r.rec.Sigma, 0.03)
			r.rec.V = append(r.rec.V, r.v+0.03*math.Sin(float64(i*i)))
		}
	}
	f, err := Analyse(t.Context(), decay, &Settings{Signal: SignalSine})
	if err != nil || len(f.Doubts) == 0 || f.Doubts[0].Kind != KindAnotherKind || f.Doubts[0].Word("asked") != SignalSine || f.Doubts[0].Values[0].Name != "left_decay" {
		t.Fatalf("%v, %v", f.Doubts, err)
	}
	if f, err := Analyse(t.Context(), sine, &Settings{Signal: SignalSine}); err != nil || len(f.Doubts) != 0 {
		t.Errorf("%v, %v", f.Doubts, err)
	}
}

// Of a fast wave of which only the crests are seen, two levels are left, but no change from one to the other: it is a
// sine. A square wave changes from one point to the next.
func TestCrestsAreNoStates(t *testing.T) {
	const n, period = 500, 16.0
	crests, square := &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}, &calibrate.Record{VoltsPerBox: 1, TimePerBox: 50}
	rng := rand.New(rand.NewPCG(3, 3))
	for i := range n {
		v := 3 * math.Sin(2*math.Pi*float64(i)/period)
		noise := 0.02 * rng.NormFloat64()
		add := func(r *calibrate.Record, v float64) {
			r.T, r.V, r.Sigma = append(r.T, float64(i)), append(r.V, v+noise), append(r.Sigma, 0.02)
		}
		add(square, math.Copysign(3, v))
		if math.Abs(v) < 2.5 {
			v = math.NaN()
		}
		add(crests, v)
	}
	for want, rec := range map[string]*calibrate.Record{SignalSine: crests, SignalStates: square} {
		if f, err := Analyse(t.Context(), rec, &Settings{}); err != nil || f.Signal != want {
			t.Errorf("want a %s: %v, %v", want, f, err)
		}
	}
}

// Points that are said to be far less sure than they are fit a triangle as well as a sine by what they say of
// themselves; by how near it runs to them the sine is told, without a doubt.
func TestASineOfUnsurePointsIsNoTriangle(t *testing.T) {
	for seed := range uint64(20) {
		rec := specimen{n: 400, span: 10e-3, sigma: 0.01, v: sineOf(0, 2, 270+10*float64(seed), float64(seed))}.record(seed)
		for i := range rec.Sigma {
			rec.Sigma[i] = 0.3
		}
		if f := analyse(t, rec, nil); f.Signal != SignalSine || len(f.Doubts) > 0 {
			t.Errorf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
	}
}

// Points that lie off the curve by less than half of what the trace is thick are noise in it and no other trace; of a
// thin one they are doubted.
func TestABandOfNoiseIsNotDoubted(t *testing.T) {
	for _, c := range []struct {
		thick   float64
		doubted bool
	}{{0.6, false}, {0.05, true}} {
		rec := specimen{n: 500, span: 10, sigma: 0.22, v: sineOf(0, 2, 0.31, 1)}.record(4)
		rec.VoltsPerBox, rec.TimePerBox = 1, 1
		for range rec.T {
			rec.Stroke = append(rec.Stroke, c.thick)
		}
		f := analyse(t, rec, nil)
		if got := remark.Any(f.Doubts, KindPointsScatter); f.Signal != SignalSine || got != c.doubted {
			t.Errorf("%g boxes thick: %s, doubts %q", c.thick, f.Signal, f.Doubts)
		}
	}
}

// Decays of a tube's beam: sure at their ends and unsure where they are steep. They settle to two levels, which need
// fewer numbers, but half of the points lie between these, and the decays run through them.
func TestDecaysWithFewPointsBetweenTheirLevelsAreNoSquareWave(t *testing.T) {
	for seed := range uint64(20) {
		const period, tau, span = 0.1, 0.0047, 0.2
		phase := rand.New(rand.NewPCG(seed, 30)).Float64() * period
		v := func(t float64) float64 {
			half := math.Mod(t+phase, period/2)
			x := 6 * math.Exp(-half/tau)
			if math.Mod(t+phase, period) < period/2 {
				return x
			}
			return 6 - x
		}
		rec := specimen{n: 500, span: span, sigma: 0.004, rho: 0.5, v: v}.record(seed)
		for i, x := range rec.T {
			rec.Sigma[i] = math.Hypot(0.002, math.Min(math.Abs(v(x+2e-4)-v(x-2e-4)), 1))
		}
		rec.VoltsPerBox, rec.TimePerBox = 1, 0.02
		if f := analyse(t, rec, nil); f.Signal != SignalDecay || remark.Any(f.Doubts, KindCouldAlsoBe) {
			t.Errorf("seed %d: %s, %v, doubts %q", seed, f.Signal, f.Told, f.Doubts)
		}
	}
}
