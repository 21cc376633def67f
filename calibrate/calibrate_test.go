package calibrate_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"quadrille/calibrate"
	"quadrille/calibrate/unit"
	"quadrille/vision/geom"
	"quadrille/vision/trace"
)

func volts(x float64) unit.Value   { return unit.Value{X: x, Unit: "V"} }
func seconds(x float64) unit.Value { return unit.Value{X: x, Unit: "s"} }

// bench is 2 V and 5 s a box, ground on the lowest line.
func bench() calibrate.Setup {
	return calibrate.Setup{VoltsPerBox: volts(2), TimePerBox: seconds(5), Ground: calibrate.GroundBottom}
}

// wave is a trace of 101 samples across a frame of 10 × 8 boxes, with two effects of the fit and
// a hidden stretch.
func wave() *trace.Trace {
	tr := &trace.Trace{Name: "a", Frame: geom.Frame{Cols: 10, Rows: 8}, GroundMark: math.NaN(), GroundRival: math.NaN()}
	e := []trace.Effect{{Name: "graticule fit"}, {Name: "graticule fit"}}
	for i := range 101 {
		x := -5 + float64(i)/10
		y := 3 * math.Sin(x)
		if i >= 40 && i < 44 {
			y = math.NaN()
		}
		tr.X, tr.Y, tr.Sigma = append(tr.X, x), append(tr.Y, y), append(tr.Sigma, 0.02)
		e[0].DX, e[0].DY = append(e[0].DX, 0.01), append(e[0].DY, 0.004*x)
		e[1].DX, e[1].DY = append(e[1].DX, -0.002*x), append(e[1].DY, 0.006)
	}
	tr.Effects = e
	return tr
}

func apply(t testing.TB, s calibrate.Setup, tr *trace.Trace) *calibrate.Record {
	t.Helper()
	rec, err := s.Apply(tr)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// same reports whether a and b are equal to a part in 10^12 of scale, NaN in the same places.
func same(a, b []float64, scale float64) bool {
	for i := range a {
		if math.IsNaN(a[i]) != math.IsNaN(b[i]) || math.Abs(a[i]-b[i]) > 1e-12*scale {
			return false
		}
	}
	return len(a) == len(b)
}

func scaled(a []float64, k, offset float64) []float64 {
	b := make([]float64, len(a))
	for i := range a {
		b[i] = k*a[i] + offset
	}
	return b
}

// Common practice, no source: a steady level is the count of boxes above ground times the volts a box.
func TestLevelIsBoxesTimesVoltsPerBox(t *testing.T) {
	tr := &trace.Trace{Frame: geom.Frame{Cols: 10, Rows: 8}, GroundMark: math.NaN(),
		X: []float64{-5, 0, 5}, Y: []float64{0.25, 0.25, 0.25}, Sigma: []float64{0.02, 0.02, 0.02}}
	rec := apply(t, bench(), tr) // 4.25 boxes above the lowest line, at -4
	for i, want := range []float64{0, 25, 50} {
		if rec.V[i] != 8.5 || rec.T[i] != want || rec.Sigma[i] != 0.04 {
			t.Errorf("sample %d: %v s, %v ± %v V; want %v s, 8.5 ± 0.04 V", i, rec.T[i], rec.V[i], rec.Sigma[i], want)
		}
	}
	if rec.GroundBox != -4 || !strings.Contains(rec.Ground, "lowest line") || rec.Doubts != nil {
		t.Errorf("ground %v from %q, doubts %q", rec.GroundBox, rec.Ground, rec.Doubts)
	}
}

func TestEffectsAreThreeAndThoseOfTheTrace(t *testing.T) {
	rec := apply(t, bench(), wave())
	want := []struct {
		name   string
		shared bool
	}{{"volts scale", true}, {"time base", true}, {"ground line", false}, {"graticule fit", false}, {"graticule fit", false}}
	if len(rec.Effects) != len(want) {
		t.Fatalf("%d effects, want %d", len(rec.Effects), len(want))
	}
	for i, w := range want {
		e := rec.Effects[i]
		if e.Name != w.name || e.Shared != w.shared || len(e.DT) != len(rec.T) || len(e.DV) != len(rec.T) {
			t.Errorf("effect %d is %q, shared %v, %d and %d long", i, e.Name, e.Shared, len(e.DT), len(e.DV))
		}
		for j := range rec.T {
			if math.IsNaN(e.DT[j]) || math.IsNaN(e.DV[j]) || math.IsNaN(rec.V[j]) && e.DV[j] != 0 {
				t.Fatalf("effect %d moves sample %d by %v s, %v V", i, j, e.DT[j], e.DV[j])
			}
		}
	}
}

// Limits of ±3 % and ±100 ppm are the design's defaults (common practice, no source); a rectangular
// distribution of half-width a has the standard deviation a/√3 (JCGM 100:2008, 4.3.7).
func TestDefaultAccuracies(t *testing.T) {
	rec := apply(t, bench(), wave())
	for i := range rec.T {
		if v := rec.V[i] * 0.03 / math.Sqrt(3); !math.IsNaN(v) && math.Abs(rec.Effects[0].DV[i]-v) > 1e-15 {
			t.Fatalf("volts scale moves sample %d by %v V, want %v", i, rec.Effects[0].DV[i], v)
		}
		if dt := rec.T[i] * 100e-6 / math.Sqrt(3); math.Abs(rec.Effects[1].DT[i]-dt) > 1e-15 {
			t.Fatalf("time base moves sample %d by %v s, want %v", i, rec.Effects[1].DT[i], dt)
		}
	}
}

// The limits and a scale's own u are two ways to say one thing.
func TestScaleUncertaintyStandsForTheLimit(t *testing.T) {
	a, b := bench(), bench()
	a.GainLimit, a.TimeLimit = 0.05, 0.02
	b.VoltsPerBox, b.TimePerBox = unit.Limits(2, 0.1, "V"), unit.Limits(5, 0.1, "s")
	p, q := apply(t, a, wave()), apply(t, b, wave())
	for i := range p.Effects {
		if !same(p.Effects[i].DT, q.Effects[i].DT, 10) || !same(p.Effects[i].DV, q.Effects[i].DV, 10) {
			t.Errorf("effect %q differs", p.Effects[i].Name)
		}
	}
}

// Each effect is what Apply itself gives when its cause is moved by one standard uncertainty.
func TestEffectsEqualDifferencesOfApply(t *testing.T) {
	s := bench()
	s.Ground, s.GroundBox, s.Probe = calibrate.GroundGiven, -1.5, 10
	tr := wave()
	rec := apply(t, s, tr)
	gain, clock, ground := 0.03/math.Sqrt(3), 100e-6/math.Sqrt(3), 0.1/math.Sqrt(3)
	moved := []func() (calibrate.Setup, *trace.Trace){
		func() (calibrate.Setup, *trace.Trace) { m := s; m.VoltsPerBox.X *= 1 + gain; return m, tr },
		func() (calibrate.Setup, *trace.Trace) { m := s; m.TimePerBox.X *= 1 + clock; return m, tr },
		func() (calibrate.Setup, *trace.Trace) { m := s; m.GroundBox += ground; return m, tr },
	}
	for _, e := range tr.Effects {
		moved = append(moved, func() (calibrate.Setup, *trace.Trace) {
			m := wave()
			for i := range m.X {
				m.X[i] += e.DX[i]
				m.Y[i] += e.DY[i]
			}
			return s, m
		})
	}
	for i, move := range moved {
		ms, mtr := move()
		got := apply(t, ms, mtr)
		for j := range rec.T {
			dt, dv := got.T[j]-rec.T[j], got.V[j]-rec.V[j]
			if math.IsNaN(rec.V[j]) {
				dv = 0
			}
			e := rec.Effects[i]
			if math.Abs(dt-e.DT[j]) > 1e-11 || math.Abs(dv-e.DV[j]) > 1e-11 {
				t.Fatalf("%s, sample %d: differences %v s, %v V; effect %v s, %v V", e.Name, j, dt, dv, e.DT[j], e.DV[j])
			}
		}
	}
}

func TestScalesAndShifts(t *testing.T) {
	tr := wave()
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.Float64Range(0.01, 100).Draw(t, "k")
		shift := rapid.Float64Range(-3, 3).Draw(t, "shift")
		s := bench()
		s.Ground = calibrate.GroundCentre
		one, err := s.Apply(tr)
		if err != nil {
			t.Fatal(err)
		}
		check := func(what string, change func(*calibrate.Setup), wantT, wantV, wantSigma []float64) {
			t.Helper()
			m := s
			change(&m)
			rec, err := m.Apply(tr)
			if err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			if !same(rec.T, wantT, 5000) || !same(rec.V, wantV, 1000) || !same(rec.Sigma, wantSigma, 10) {
				t.Fatalf("%s by %v or %v boxes gives another record than expected", what, k, shift)
			}
		}
		check("volts a box", func(m *calibrate.Setup) { m.VoltsPerBox.X *= k }, one.T, scaled(one.V, k, 0), scaled(one.Sigma, k, 0))
		check("probe", func(m *calibrate.Setup) { m.Probe = k }, one.T, scaled(one.V, k, 0), scaled(one.Sigma, k, 0))
		check("time a box", func(m *calibrate.Setup) { m.TimePerBox.X *= k }, scaled(one.T, k, 0), one.V, one.Sigma)
		check("ground", func(m *calibrate.Setup) { m.Ground, m.GroundBox = calibrate.GroundGiven, shift },
			one.T, scaled(one.V, 1, -2*shift), one.Sigma)
	})
}

func TestUnusualProbeFactorIsDoubted(t *testing.T) {
	for p, doubted := range map[float64]bool{0: false, 1: false, 10: false, 100: false, 1000: false, 3: true, 0.1: true} {
		s := bench()
		s.Probe = p
		if d := apply(t, s, wave()).Doubts; (len(d) == 1) != doubted {
			t.Errorf("probe %v: doubts %q", p, d)
		}
	}
}

func TestApplyRefuses(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		field  string
		reason string
		change func(*calibrate.Setup)
	}{
		{"volts-per-box", "missing", func(s *calibrate.Setup) { s.VoltsPerBox = unit.Value{} }},
		{"volts-per-box", "0 V", func(s *calibrate.Setup) { s.VoltsPerBox.X = 0 }},
		{"volts-per-box", "−2 V", func(s *calibrate.Setup) { s.VoltsPerBox.X = -2 }},
		{"volts-per-box", "not above zero", func(s *calibrate.Setup) { s.VoltsPerBox.X = nan }},
		{"volts-per-box", "no instrument", func(s *calibrate.Setup) { s.VoltsPerBox.X = inf }},
		{"volts-per-box", "no instrument", func(s *calibrate.Setup) { s.VoltsPerBox.X = math.Nextafter(1e5, inf) }},
		{"volts-per-box", "no instrument", func(s *calibrate.Setup) { s.VoltsPerBox.X = math.Nextafter(1e-6, 0) }},
		{"volts-per-box", "5 s", func(s *calibrate.Setup) { s.VoltsPerBox = seconds(5) }},
		{"time-per-box", "missing", func(s *calibrate.Setup) { s.TimePerBox = unit.Value{} }},
		{"time-per-box", "−5 s", func(s *calibrate.Setup) { s.TimePerBox.X = -5 }},
		{"time-per-box", "no instrument", func(s *calibrate.Setup) { s.TimePerBox.X = math.Nextafter(1e-11, 0) }},
		{"time-per-box", "no instrument", func(s *calibrate.Setup) { s.TimePerBox.X = math.Nextafter(1e5, inf) }},
		{"probe", "-10", func(s *calibrate.Setup) { s.Probe = -10 }},
		{"probe", "at most 10000", func(s *calibrate.Setup) { s.Probe = 10001 }},
		{"probe", "NaN", func(s *calibrate.Setup) { s.Probe = nan }},
		{"probe", "+Inf", func(s *calibrate.Setup) { s.Probe = inf }},
		{"volts-accuracy", "-3 %", func(s *calibrate.Setup) { s.GainLimit = -0.03 }},
		{"volts-accuracy", "NaN %", func(s *calibrate.Setup) { s.GainLimit = nan }},
		{"volts-accuracy", "300 %", func(s *calibrate.Setup) { s.GainLimit = 3 }},
		{"volts-accuracy", "50 %", func(s *calibrate.Setup) { s.GainLimit = math.Nextafter(0.5, 1) }},
		{"volts-accuracy", "NaN %", func(s *calibrate.Setup) { s.VoltsPerBox.U = nan }},
		{"volts-accuracy", "173 %", func(s *calibrate.Setup) { s.VoltsPerBox.U = 2 }},
		{"volts-accuracy", "twice", func(s *calibrate.Setup) { s.VoltsPerBox.U, s.GainLimit = 0.1, 0.03 }},
		{"time-accuracy", "-1 %", func(s *calibrate.Setup) { s.TimeLimit = -0.01 }},
		{"time-accuracy", "100 %", func(s *calibrate.Setup) { s.TimeLimit = 1 }},
		{"ground", "-6.5 boxes", func(s *calibrate.Setup) { s.Ground, s.GroundBox = calibrate.GroundGiven, -6.5 }},
		{"ground", "from -4 to 4", func(s *calibrate.Setup) { s.Ground, s.GroundBox = calibrate.GroundGiven, math.Nextafter(6, 7) }},
		{"ground", "NaN boxes", func(s *calibrate.Setup) { s.Ground, s.GroundBox = calibrate.GroundGiven, nan }},
		{"ground", "no way 7", func(s *calibrate.Setup) { s.Ground = 7 }},
		{"ground", "-0.1 boxes", func(s *calibrate.Setup) { s.GroundU = -0.1 }},
		{"ground", "NaN boxes", func(s *calibrate.Setup) { s.GroundU = nan }},
		{"ground", "between 0 and 10", func(s *calibrate.Setup) { s.GroundU = math.Nextafter(10, 11) }},
	} {
		s := bench()
		c.change(&s)
		rec, err := s.Apply(wave())
		var bad *calibrate.SetupError
		if !errors.As(err, &bad) {
			t.Errorf("%s, %s: %v, %v; want a *SetupError", c.field, c.reason, rec, err)
			continue
		}
		if rec != nil || bad.Field != c.field || !strings.Contains(bad.Reason, c.reason) || bad.Hint == "" {
			t.Errorf("%s, %s: refused with %+v", c.field, c.reason, bad)
		}
	}
}

func TestApplyTakesTheBoundsThemselves(t *testing.T) {
	for name, change := range map[string]func(*calibrate.Setup){
		"ground on the highest line": func(s *calibrate.Setup) { s.Ground, s.GroundBox = calibrate.GroundGiven, 4 },
		"accuracy of 50 %":           func(s *calibrate.Setup) { s.GainLimit = 0.5 },
		"1 µV a box":                 func(s *calibrate.Setup) { s.VoltsPerBox.X = 1e-6 },
		"100 kV a box":               func(s *calibrate.Setup) { s.VoltsPerBox.X = 1e5 },
		"100 ks a box":               func(s *calibrate.Setup) { s.TimePerBox.X = 1e5 },
		"probe of 10000":             func(s *calibrate.Setup) { s.Probe = 10000 },
		"10 ps a box":                func(s *calibrate.Setup) { s.TimePerBox.X = 1e-11 },
	} {
		s := bench()
		change(&s)
		if _, err := s.Apply(wave()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestApplyPanicsOnAMisshapenTrace(t *testing.T) {
	for name, spoil := range map[string]func(*trace.Trace){
		"y":      func(tr *trace.Trace) { tr.Y = tr.Y[1:] },
		"sigma":  func(tr *trace.Trace) { tr.Sigma = nil },
		"effect": func(tr *trace.Trace) { tr.Effects[1].DY = nil },
	} {
		tr := wave()
		spoil(tr)
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			_, _ = bench().Apply(tr)
		}()
	}
}

// A level and its claimed u, against instruments drawn from the stated limits: the pulls of a claim
// that holds spread by 1.
func TestPullsOfALevelSpreadByOne(t *testing.T) {
	const n = 4000
	rng := rand.New(rand.NewPCG(1, 2))
	s := bench()
	s.Ground, s.GroundBox = calibrate.GroundGiven, -3
	within := func(limit float64) float64 { return limit * (2*rng.Float64() - 1) }
	var sum, squares float64
	for range n {
		const truth = 9.0 // V
		ground := -3 + within(0.1)
		y := ground + truth*(1+within(0.03))/2
		tr := &trace.Trace{Frame: geom.Frame{Cols: 10, Rows: 8}, X: []float64{0}, Y: []float64{y + 0.02*rng.NormFloat64()}, Sigma: []float64{0.02}}
		rec := apply(t, s, tr)
		variance := rec.Sigma[0] * rec.Sigma[0]
		for _, e := range rec.Effects {
			variance += e.DV[0] * e.DV[0]
		}
		pull := (rec.V[0] - truth) / math.Sqrt(variance)
		sum += pull
		squares += pull * pull
	}
	mean, spread := sum/n, math.Sqrt(squares/n)
	if math.Abs(mean) > 0.06 || math.Abs(spread-1) > 0.04 { // four standard deviations of each over n
		t.Errorf("pulls have mean %.3f and spread %.3f", mean, spread)
	}
}

// A level of the mist timer's delay network: 4.25 boxes above the lowest line at 2 V a box.
func ExampleSetup_Apply() {
	perBox, _ := unit.Parse("2V", "V")
	sweep, _ := unit.Parse("5s", "s")
	tr := &trace.Trace{Frame: geom.Frame{Cols: 10, Rows: 8}, GroundMark: math.NaN(),
		X: []float64{-5, 5}, Y: []float64{0.25, 0.25}, Sigma: []float64{0.02, 0.02}}
	rec, err := calibrate.Setup{VoltsPerBox: perBox, TimePerBox: sweep, Ground: calibrate.GroundBottom}.Apply(tr)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%g V at %g s, from %s\n", rec.V[1], rec.T[1], rec.Ground)
	for _, e := range rec.Effects {
		fmt.Printf("%s: %.3f V, %.4f s\n", e.Name, e.DV[1], e.DT[1])
	}
	// Output:
	// 8.5 V at 50 s, from the lowest line of the graticule, as given
	// volts scale: 0.147 V, 0.0000 s
	// time base: 0.000 V, 0.0029 s
	// ground line: -0.115 V, 0.0000 s
}

// FuzzApply holds that settings are refused with a field and a hint, or give finite seconds and volts.
func FuzzApply(f *testing.F) {
	f.Add(2.0, 5.0, 0.0, 0.0, 0.0, 0.0, 0.0, uint8(1))
	f.Add(0.5, 250e-6, -3.5, 10.0, 0.05, 1e-3, 0.02, uint8(3))
	f.Add(math.NaN(), math.Inf(1), 4.5, -1.0, 2.0, -1.0, math.NaN(), uint8(9))
	f.Add(1e5, 1e5, 4.0, 1e4, 0.5, 0.5, 10.0, uint8(0))
	f.Add(1.0, 1.0, 0.0, 1.0, 0.03, 1e-4, math.MaxFloat64, uint8(2))
	f.Fuzz(func(t *testing.T, perBox, sweep, ground, probe, gain, clock, groundU float64, from uint8) {
		s := calibrate.Setup{VoltsPerBox: volts(perBox), TimePerBox: seconds(sweep), Ground: calibrate.GroundFrom(from),
			GroundBox: ground, GroundU: groundU, Probe: probe, GainLimit: gain, TimeLimit: clock}
		tr := wave()
		tr.GroundMark = ground
		rec, err := s.Apply(tr)
		var bad *calibrate.SetupError
		if err != nil {
			if !errors.As(err, &bad) || bad.Field == "" || bad.Reason == "" || bad.Hint == "" || rec != nil {
				t.Fatalf("%+v: %v, %#v", s, rec, err)
			}
			return
		}
		for i := range rec.T {
			sum := rec.T[i] + rec.Sigma[i]
			if !math.IsNaN(tr.Y[i]) {
				sum += rec.V[i]
			}
			for _, e := range rec.Effects {
				sum += e.DT[i] + e.DV[i]
			}
			if math.IsNaN(sum) || math.IsInf(sum, 0) || i > 0 && rec.T[i] <= rec.T[i-1] {
				t.Fatalf("%+v: sample %d is not finite or not later than the one before", s, i)
			}
		}
	})
}
