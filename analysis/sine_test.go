package analysis

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// Truths of a sine of random phase, over white and correlated noise and from part of a cycle to many.
func TestPullsOfASine(t *testing.T) {
	const runs, n, span = 80, 400, 10e-3
	for _, rho := range []float64{0, 0.8} {
		for _, cycles := range []float64{0.8, 1.7, 12} {
			f := cycles / span
			frequency, height := pulls{name: "frequency", truth: f}, pulls{name: "v_pp", truth: 4}
			mean, phases := pulls{name: "v_mean", truth: 1}, pulls{name: "phase"}
			counted := pulls{name: "period by crossings", truth: span / cycles}
			rng := rand.New(rand.NewPCG(uint64(10*cycles), 1))
			for seed := range uint64(runs) {
				phase := 2 * math.Pi * rng.Float64()
				d := specimen{n: n, span: span, sigma: 0.02, rho: rho, v: sineOf(1, 2, f, phase)}
				rec := d.record(seed)
				got := analyse(t, rec, &Settings{Signal: SignalSine})
				frequency.add(seek(t, got, "frequency", "curve", ""))
				height.add(seek(t, got, "v_pp", "curve", ""))
				mean.add(seek(t, got, "v_mean", "curve", ""))
				p := seek(t, got, "phase", "curve", "")
				atRim := phase
				phases.truth = p.Value.X - math.Remainder(p.Value.X-atRim, 2*math.Pi)
				phases.add(p)
				if cycles >= 1.5 {
					counted.add(seek(t, got, "period", "crossings", ""))
				}
			}
			name := fmt.Sprintf("rho=%g/cycles=%g", rho, cycles)
			for _, p := range []*pulls{&frequency, &mean, &phases, &counted} {
				p.check(t, name)
			}
			if cycles > 2 {
				height.covers(t, name) // the smear of a picture is allowed for, and there is none
			} else {
				height.check(t, name)
			}
		}
	}
}

// The Cramér-Rao bound of a sine's frequency at white noise, u(f) ≥ (√6/π)·s/(A·T·√N), derived for many
// cycles (Rife and Boorstyn, IEEE Trans. Inf. Theory 20 (1974) 591), the factors over it for few cycles, at most
// 1.12 from 1.5 cycles on and 1.0 to 2.5 at one, and in every case the exact Fisher matrix by differences of the
// model in mean, amplitude, phase and frequency.
func TestFrequencyUncertaintyIsTheCramerRaoBound(t *testing.T) {
	const n, span, s, amplitude = 500, 2e-3, 0.01, 1.5
	// derivatives of mean + amplitude·sin(2π·cycles·t/span + phase)
	differences := func(x float64, at []float64) []float64 {
		model := func(p []float64) float64 { return sineOf(p[0], p[1], p[3]/span, p[2])(x) }
		g := make([]float64, len(at))
		for k := range at {
			up, down := slices.Clone(at), slices.Clone(at)
			up[k] += 1e-5
			down[k] -= 1e-5
			g[k] = (model(up) - model(down)) / 2e-5
		}
		return g
	}
	bound := math.Sqrt(6) / math.Pi * s / (amplitude * span * math.Sqrt(n))
	for _, c := range []struct{ cycles, low, high float64 }{{1, 0.95, 2.55}, {1.5, 0.93, 1.12}, {3.3, 0.93, 1.12}, {20, 0.98, 1.02}} {
		for phase := 0.0; phase < 3; phase += 0.25 {
			d := specimen{n: n, span: span, v: sineOf(0.2, amplitude, c.cycles/span, phase)}
			rec := d.record(1)
			for i := range rec.Sigma {
				rec.Sigma[i] = s
			}
			p, err := choose(rec, &Settings{})
			if err != nil {
				t.Fatal(err)
			}
			w, ok := fitWave(p)
			if !ok {
				t.Fatalf("no fit at %g cycles, phase %g", c.cycles, phase)
			}
			u := s * norm(w.influence[0]) / w.span
			fisher := mat.NewSymDense(4, nil)
			for _, x := range rec.T {
				g := differences(x, []float64{0.2, amplitude, phase, c.cycles})
				for i := range g {
					for j := i; j < 4; j++ {
						fisher.SetSym(i, j, fisher.At(i, j)+g[i]*g[j])
					}
				}
			}
			var exact mat.Dense
			if err := exact.Inverse(fisher); err != nil {
				t.Fatal(err)
			}
			near(t, "u(f) over that of the Fisher matrix", u*span/(s*math.Sqrt(exact.At(3, 3))), 1, 2e-3)
			if ratio := u / bound; ratio < c.low || ratio > c.high {
				t.Errorf("%g cycles, phase %.2f: u(f) is %.3f times the bound, want %.2f to %.2f", c.cycles, phase, ratio, c.low, c.high)
			}
			// Amplitude s·√(2/N), offset s/√N, for whole cycles.
			if c.cycles == 20 {
				near(t, "u(a) over the bound", norm(w.influence[2])*math.Sqrt(n/2), 1, 0.02)
				near(t, "u(m) over the bound", norm(w.influence[1])*math.Sqrt(n), 1, 0.02)
			}
		}
	}
}

// testdata/scipy/sine.py made the reference with SciPy's curve_fit.
func TestSineAgreesWithSciPy(t *testing.T) {
	raw, err := os.ReadFile("testdata/scipy/sine.json")
	if err != nil {
		t.Fatal(err)
	}
	var want struct {
		T, V, Sigma                []float64
		Mean, Amplitude, Frequency float64
		UMean                      float64 `json:"u_mean"`
		UFrequency                 float64 `json:"u_frequency"`
		UAmplitude                 float64 `json:"u_amplitude"`
		ChiSquare                  float64 `json:"chi_square"`
	}
	if err := json.Unmarshal(raw, &want); err != nil {
		t.Fatal(err)
	}
	p, err := choose(&calibrate.Record{T: want.T, V: want.V, Sigma: want.Sigma}, &Settings{})
	if err != nil {
		t.Fatal(err)
	}
	w, ok := fitWave(p)
	if !ok {
		t.Fatal("no fit")
	}
	u := func(slopes [4]float64) float64 {
		s := 0.0
		for i, sigma := range want.Sigma {
			d := 0.0
			for k, v := range slopes {
				d += v * w.influence[k][i]
			}
			s += d * d * sigma * sigma
		}
		return math.Sqrt(s)
	}
	// Values to a thousandth of u, uncertainties to a millionth (SciPy's own Jacobian is by differences).
	near(t, "mean", w.m, want.Mean, 1e-3*want.UMean)
	near(t, "amplitude", w.amplitude(), want.Amplitude, 1e-3*want.UAmplitude)
	near(t, "frequency", w.f, want.Frequency, 1e-3*want.UFrequency)
	near(t, "chi-square", w.chiSq, want.ChiSquare, 1e-6*want.ChiSquare)
	slopes := w.slopes(0)
	near(t, "u(frequency)", u(slopes[1]), want.UFrequency, 1e-5*want.UFrequency)
	near(t, "u(amplitude)", u(slopes[2])/2, want.UAmplitude, 1e-5*want.UAmplitude)
	near(t, "u(mean)", u(slopes[4]), want.UMean, 1e-5*want.UMean)
}

func TestEffectsOfASineGoWhereTheyBelong(t *testing.T) {
	d := specimen{n: 300, span: 5e-3, sigma: 0.01, v: sineOf(0.5, 2, 700, 1)}
	rec := d.record(3)
	n := len(rec.T)
	zero, timeBase, gain, ground := make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range rec.T {
		timeBase[i], gain[i], ground[i] = 1e-4*rec.T[i], 0.02*rec.V[i], 0.05
	}
	rec.Effects = []calibrate.Effect{{Name: "time base", Shared: true, DT: timeBase, DV: zero},
		{Name: "gain", Shared: true, DT: zero, DV: gain}, {Name: "ground line", DV: ground}}
	f := analyse(t, rec, &Settings{Signal: SignalSine})
	check := func(quantity, method, source string, want float64) {
		t.Helper()
		r := seek(t, f, quantity, method, "")
		for _, b := range r.Budget {
			if b.Source == source {
				near(t, quantity+" from "+source, b.U, want, 1e-3*want+1e-9*math.Abs(r.Value.X))
				return
			}
		}
		t.Errorf("%s has no term %q", quantity, source)
	}
	value := func(quantity string) float64 { return seek(t, f, quantity, "curve", "").Value.X }
	check("frequency", "curve", "time base", 1e-4*value("frequency"))
	check("period", "curve", "time base", 1e-4*value("period"))
	check("period", "crossings", "time base", 1e-4*value("period"))
	check("frequency", "curve", "gain", 0)
	check("v_pp", "curve", "gain", 0.02*value("v_pp"))
	check("v_rms", "curve", "gain", 0.02*value("v_rms"))
	check("v_mean", "curve", "gain", 0.02*value("v_mean"))
	check("v_mean", "curve", "ground line", 0.05)
	check("v_pp", "curve", "ground line", 0)
	check("v_pp", "curve", "time base", 0)
}

// Hidden stretches, one of them of more than a cycle, must neither stop the fit nor spoil the count.
func TestGapsDoNotSpoilASine(t *testing.T) {
	const f = 1200.0
	frequency, counted := pulls{name: "frequency", truth: f}, pulls{name: "period by crossings", truth: 1 / f}
	for seed := range uint64(60) {
		d := specimen{n: 500, span: 5e-3, sigma: 0.03, rho: 0.5, v: sineOf(0, 1, f, float64(seed))}
		rec := d.record(seed)
		for i := range rec.V {
			if i%97 < 12 || i > 200 && i < 310 {
				rec.V[i] = math.NaN()
			}
		}
		got := analyse(t, rec, nil)
		if got.Signal != SignalSine {
			t.Fatalf("seed %d: %s, %v", seed, got.Signal, got.Told)
		}
		frequency.add(seek(t, got, "frequency", "curve", ""))
		counted.add(seek(t, got, "period", "crossings", ""))
	}
	frequency.check(t, "gaps")
	counted.check(t, "gaps")
}

// Samples on the steep flanks are often badly placed; they come with a wide sigma and then do no harm.
func TestSteepSamplesWithWideSigmaDoNoHarm(t *testing.T) {
	frequency, height := pulls{name: "frequency", truth: 2000}, pulls{name: "v_pp", truth: 6}
	for seed := range uint64(50) {
		rng := rand.New(rand.NewPCG(seed, 77))
		phase := 2 * math.Pi * rng.Float64()
		d := specimen{n: 500, span: 5e-3, sigma: 0.02, v: sineOf(0, 3, 2000, phase)}
		rec := d.record(seed)
		for i, x := range rec.T {
			if math.Abs(math.Cos(2*math.Pi*2000*x+phase)) > 0.7 {
				rec.Sigma[i] = 0.4
				rec.V[i] += 0.4 * rng.NormFloat64()
			}
		}
		got := analyse(t, rec, &Settings{Signal: SignalSine})
		frequency.add(seek(t, got, "frequency", "curve", ""))
		height.add(seek(t, got, "v_pp", "curve", ""))
	}
	frequency.check(t, "steep")
	height.covers(t, "steep")
}

func TestSineTellsDistortion(t *testing.T) {
	curve := func(share float64) func(float64) float64 {
		return func(t float64) float64 {
			x := 2 * math.Pi * 300 * t
			return 2*math.Sin(x) + 2*share*math.Sin(3*x)
		}
	}
	for _, c := range []struct {
		share float64
		tells bool
	}{{0, false}, {0.01, false}, {0.05, true}} {
		d := specimen{n: 400, span: 10e-3, sigma: 0.01, v: curve(c.share)}
		f := analyse(t, d.record(1), &Settings{Signal: SignalSine})
		if got := remark.Any(f.Notes, KindNotQuiteSine); got != c.tells {
			t.Errorf("third harmonic of %g: told is %v, want %v", c.share, got, c.tells)
		}
		// Where crests leave the curve its height is not that of the trace, by so much as the harmonic takes off or adds.
		pp := seek(t, f, "v_pp", "curve", "")
		if math.Abs(pp.Value.X-4) > 0.02 || math.Abs(pp.Value.X-4*(1-c.share)) > pp.Expanded {
			t.Errorf("third harmonic of %g: %v, U %g", c.share, pp.Value, pp.Expanded)
		}
		if got := remark.Any(pp.Doubts, KindCrestsOff); got != c.tells {
			t.Errorf("third harmonic of %g: the height is doubted is %v, want %v", c.share, got, c.tells)
		}
	}
}

// The best sine of a triangle is a fifth too low, which was silent.
func TestATriangleTakenForASineIsDoubted(t *testing.T) {
	for seed := range uint64(20) {
		d := specimen{n: 400, span: 10e-3, sigma: 0.03, rho: 0.5, v: triangleOf(0, 2, 300, float64(seed))}
		f := analyse(t, d.record(seed), &Settings{Signal: SignalSine})
		if pp := seek(t, f, "v_pp", "curve", ""); !remark.Any(pp.Doubts, KindCrestsOff) {
			t.Errorf("seed %d: %v, doubts %q", seed, pp.Value, pp.Doubts)
		}
	}
}

// A tube that flattens one crest leaves 2 to 4 % of the height: a sine, with its frequency right. With more overtones
// it still is one, but that is doubted; with half as much as the fundamental it is none.
func TestADistortedSineIsOne(t *testing.T) {
	for _, c := range []struct {
		second, third, fifth float64
		is, bent             bool
	}{{0.08, 0, 0, true, false}, {0.05, 0.06, 0, true, false}, {0.12, 0, 0, true, false}, {0.2, 0, 0, true, true},
		{0.2, 0.05, 0, true, true}, {0, -0.2, 0, true, true}, {0.15, 0.1, -0.15, true, true}, {0.5, 0, 0, false, false}} {
		for seed := range uint64(6) {
			rng := rand.New(rand.NewPCG(seed, 77))
			f0, phase := 200+200*rng.Float64(), 6*rng.Float64()
			d := specimen{n: 400, span: 10e-3, sigma: 0.01, rho: 0.5, v: func(t float64) float64 {
				x := 2*math.Pi*f0*t + phase
				return 2*math.Sin(x) + 2*c.second*math.Sin(2*x+1) + 2*c.third*math.Sin(3*x) + 2*c.fifth*math.Sin(5*x)
			}}
			f := analyse(t, d.record(seed), nil)
			if is, bent := f.Signal == SignalSine, remark.Any(f.Doubts, KindOvertones); is != c.is || bent != c.bent || !is && !remark.Any(f.Doubts, KindNotRecognised) {
				t.Errorf("harmonics %+v, seed %d: %s, %v, doubts %q", c, seed, f.Signal, f.Told, f.Doubts)
			}
			if r := seek(t, f, "frequency", "crossings", ""); math.Abs(r.Value.X-f0) > math.Max(3*r.Value.U, 0.003*f0) {
				t.Errorf("harmonics %+v, seed %d: %v of %g Hz", c, seed, r.Value, f0)
			}
		}
	}
}

// Waves of Fourier series of which the total harmonic distortion is known (H. B. Dwight, Tables of Integrals, from
// memory): U holds their frequency, they are sines up to a third of overtones and from two cycles on, and the triangle
// and the square wave stay what they are.
func TestHowDistortedASineMayBe(t *testing.T) {
	half := func(x float64) float64 { return 2 * math.Max(0, math.Sin(x)) }                 // rectified, one half: 0.44
	whole := func(x float64) float64 { return 2 * math.Abs(math.Sin(x/2)) }                 // rectified: 0.22
	ramp := func(x float64) float64 { return math.Mod(x+100*math.Pi, 2*math.Pi) / math.Pi } // 0.80
	for _, c := range []struct {
		name       string
		v          func(x float64) float64
		cycles     float64
		distortion float64 // NaN: no sine
	}{
		{"half a rectified sine", half, 5, math.NaN()}, {"a rectified sine", whole, 5, 0.22}, {"a rectified sine", whole, 2.3, 0.22},
		{"a rectified sine", whole, 1.7, math.NaN()}, {"a ramp", ramp, 5, math.NaN()},
	} {
		within, told := 0, 0
		const seeds = 20
		for seed := range uint64(seeds) {
			rng := rand.New(rand.NewPCG(seed, 78))
			phase := 6 * rng.Float64()
			d := specimen{n: 400, span: 10e-3, sigma: 0.01, rho: 0.5, v: func(t float64) float64 { return c.v(2*math.Pi*c.cycles*100*t + phase) }}
			f := analyse(t, d.record(seed), nil)
			k := slices.IndexFunc(f.Doubts, func(r remark.Remark) bool { return r.Kind == KindOvertones })
			if f.Signal != SignalSine || k < 0 {
				continue
			}
			told++
			if got := f.Doubts[k].Number("distortion"); math.Abs(got-c.distortion) > 0.03 {
				t.Errorf("%s, %g cycles, seed %d: overtones %.3f, want %.2f", c.name, c.cycles, seed, got, c.distortion)
			}
			if r := seek(t, f, "frequency", "curve", ""); math.Abs(r.Value.X-100*c.cycles) <= r.Expanded {
				within++
			}
		}
		if want := !math.IsNaN(c.distortion); want && (told < seeds-1 || within < told-1) || !want && told > 0 {
			t.Errorf("%s, %g cycles: a bent sine %d times of %d, its frequency in U %d times", c.name, c.cycles, told, seeds, within)
		}
	}
}

// A sine that a slow sweep holds in eight steps a period or more is one, without a doubt of its scatter; what is left
// of it is what the hold leaves.
func TestWhatIsDrawnInSteps(t *testing.T) {
	for _, c := range []struct {
		name              string
		periods, steps    float64 // on the screen, and steps a period
		wobble            float64 // V of a height of 4 V
		slope             float64 // along each step, as a share of the way to the next
		share             float64 // of the points that are held, from the left on
		drawn, recognised bool
	}{
		{"ten steps", 5, 10, 0, 0, 1, true, true},
		{"eight steps", 5, 8, 0, 0, 1, true, true},
		{"six steps", 5, 6, 0, 0, 1, false, false},
		{"ten steps, one period", 1, 10, 0, 0, 1, false, false},
		{"ten steps, 1.4 periods", 1.4, 10, 0, 0, 1, true, true},
		{"ten steps that wobble", 5, 10, 0.03, 0, 1, true, true},
		{"ten steps that wobble more", 5, 10, 0.06, 0, 1, false, false},
		{"ten steps of six points", 8, 10, 0, 0, 1, true, true},
		{"ten steps of three points", 16, 10, 0, 0, 1, false, false},
		{"ten steps in a part", 5, 10, 0, 0, 0.6, false, false},
		{"sixty steps that slope a little", 1.2, 60, 0, 0.2, 1, true, true},
		{"sixty steps that slope", 1.2, 60, 0, 0.5, 1, false, true},
		{"no steps", 5, 1e9, 0, 0, 1, false, true},
	} {
		rng := rand.New(rand.NewPCG(3, 14))
		p := pointsOf(t, 0.01, made(500, func(i int) float64 {
			x := c.periods * float64(i) / 500
			step, part := math.Modf(x * c.steps)
			if float64(i) > 500*c.share {
				part, c.slope = part-0.5, 1
			}
			held := func(k float64) float64 { return 2 * math.Sin(2*math.Pi*(k+0.3)/c.steps) }
			return held(step) + c.slope*part*(held(step+1)-held(step)) + c.wobble*(2*rng.Float64()-1)
		})...)
		f := analyse(t, p.rec, nil)
		drawn := p.stepLength() > 0 && p.leftBySteps(c.periods/(p.t[len(p.t)-1]-p.t[0])) > 0
		if is := f.Signal == SignalSine && len(f.Doubts) == 0; drawn != c.drawn || is != c.recognised {
			t.Errorf("%s: drawn in steps %v, recognised %v: %s, %v, doubts %q", c.name, drawn, is, f.Signal, f.Told, f.Doubts)
		}
	}
}

// Of a trace whose tall strokes leave only unsure points, a ripple explains all sure ones; it is the signal only if it
// is a fair part of what is drawn.
func TestARippleBelowPulsesIsNoSine(t *testing.T) {
	for _, c := range []struct {
		high float64 // of the ripple, as a share of the record's height
		sine bool
	}{{0.002, false}, {0.15, false}, {0.4, true}} {
		p := pointsOf(t, 0.001, made(500, func(i int) float64 {
			if i%100 == 50 {
				return 4
			}
			return 2 * c.high * math.Sin(2*math.Pi*float64(i)/170)
		})...)
		for i := 50; i < 500; i += 100 {
			p.rec.Sigma[i] = 1
		}
		if f := analyse(t, p.rec, nil); (f.Signal == SignalSine) != c.sine {
			t.Errorf("a ripple of %g of the height: %s, %v", c.high, f.Signal, f.Told)
		}
	}
}

func TestLessThanACycleIsTold(t *testing.T) {
	d := specimen{n: 400, span: 10e-3, sigma: 0.01, v: sineOf(0, 2, 70, 1)}
	f := analyse(t, d.record(1), &Settings{Signal: SignalSine})
	if !remark.Any(f.Doubts, KindPartOfCycle) {
		t.Errorf("0.7 of a cycle raises %q", f.Doubts)
	}
}

// Stretching the axes stretches the results, and nothing else: a property of the model.
func TestSineFollowsTheScalesOfItsAxes(t *testing.T) {
	d := specimen{n: 200, span: 1, sigma: 0.01, v: sineOf(0.3, 1, 3.7, 0.4)}
	base := d.record(5)
	f0 := analyse(t, base, &Settings{Signal: SignalSine})
	rapid.Check(t, func(rt *rapid.T) {
		kt := math.Exp(rapid.Float64Range(-20, 5).Draw(rt, "ln time scale"))
		kv := math.Exp(rapid.Float64Range(-10, 10).Draw(rt, "ln volts scale"))
		rec := &calibrate.Record{}
		for i := range base.T {
			rec.T = append(rec.T, kt*base.T[i])
			rec.V = append(rec.V, kv*base.V[i])
			rec.Sigma = append(rec.Sigma, kv*base.Sigma[i])
		}
		f, err := Analyse(t.Context(), rec, &Settings{Signal: SignalSine})
		if err != nil {
			rt.Fatal(err)
		}
		for q, scale := range map[string]float64{"period": kt, "frequency": 1 / kt, "v_pp": kv, "v_mean": kv, "phase": 1} {
			a, b := seek(t, f0, q, "curve", "").Value, seek(t, f, q, "curve", "").Value
			if math.Abs(b.X-scale*a.X) > 1e-3*scale*a.U || math.Abs(b.U-scale*a.U) > 1e-3*scale*a.U {
				rt.Errorf("%s: %g ± %g became %g ± %g under a scale of %g", q, a.X, a.U, b.X, b.U, scale)
			}
		}
	})
}

func ExampleAnalyse() {
	rec := &calibrate.Record{}
	for i := range 200 {
		t := float64(i) * 25e-6
		rec.T = append(rec.T, t)
		rec.V = append(rec.V, 1.2+0.8*math.Sin(2*math.Pi*1000*t)+0.004*math.Sin(float64(7*i*i)))
		rec.Sigma = append(rec.Sigma, 0.004)
	}
	f, err := Analyse(context.Background(), rec, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(f.Signal)
	for _, r := range f.Results[:4] {
		fmt.Printf("%s by %s: %.3g %s\n", r.Quantity, r.Method, r.Value.X, r.Value.Unit)
	}
	// Output:
	// sine
	// period by curve: 0.001 s
	// frequency by curve: 1e+03 Hz
	// v_pp by curve: 1.6 V
	// v_rms by curve: 0.566 V
}

// Counted by eye to a tenth of a box: 20 kHz is a period of 50 µs and 5 Hz one of 200 ms (common practice, no source).
func TestPeriodByCountedBoxes(t *testing.T) {
	for _, c := range []struct{ f, period, box float64 }{{20e3, 50e-6, 17e-6}, {5, 0.2, 0.0655}} {
		p := pulls{name: "period by counted boxes", truth: c.period}
		for seed := range uint64(40) {
			rec := specimen{n: 500, span: 10 * c.box, sigma: 0.02, v: sineOf(0, 3, c.f, float64(seed))}.record(seed)
			rec.TimePerBox = c.box
			r := seek(t, analyse(t, rec, nil), "period", "boxes", "")
			if b := r.Budget[0]; b.Unit != "box" || math.Abs(b.Value*10-math.Round(b.Value*10)) > 1e-9 || r.Value.U < 0.05*c.box/5 {
				t.Fatalf("%+v", r)
			}
			p.add(r)
		}
		p.covers(t, fmt.Sprintf("%g Hz", c.f))
	}
}
