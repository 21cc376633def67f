package analysis

// What the limits of sines, of recognition and of the search for stretches decide: each case lies a little to one side
// of a limit.

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"
)

// waveOf is a sine of so many cycles over a screen of ten boxes, with what is added to it.
func waveOf(n int, cycles float64, add func(i int) float64) []float64 {
	return made(n, func(i int) float64 { return math.Sin(2*math.Pi*cycles*float64(i)/float64(n)) + add(i) })
}

func nothing(int) float64 { return 0 }

// noiseOf is normal noise of so many volts.
func noiseOf(sigma float64) func(i int) float64 {
	rng := rand.New(rand.NewPCG(8, 3))
	return func(int) float64 { return sigma * rng.NormFloat64() }
}

// A sine needs six points and a fifth of a cycle, and is taken for one unasked from three fifths on.
func TestWhatIsEnoughForASine(t *testing.T) {
	for _, c := range []struct {
		n               int
		cycles          float64
		fitted, unasked bool
	}{{5, 1, false, false}, {8, 1, true, true}, {100, 0.13, true, false}, {100, 0.4, true, false}, {100, 0.8, true, true}} {
		p := pointsOf(t, 0.001, waveOf(c.n, c.cycles, nothing)...)
		w, ok := fitWave(p)
		if ok != c.fitted || ok && math.Abs(w.f*float64(c.n)/c.cycles-1) > 0.1 || ok && ((&sine{w, p}).account() != nil) != c.unasked {
			t.Errorf("%d points of %g cycles: fitted %v", c.n, c.cycles, ok)
		}
	}
}

// A departure from a sine by a thirtieth of its amplitude is told if it is more than twice what a point is unsure by.
func TestWhatIsNotQuiteASine(t *testing.T) {
	for _, c := range []struct {
		sigma float64
		noted bool
	}{{0.003, true}, {0.0115, true}, {0.021, false}, {0.1, false}} {
		third := func(i int) float64 { return 0.0424 * math.Sin(2*math.Pi*15*float64(i)/500) } // rms 0.03
		f := analyse(t, pointsOf(t, c.sigma, waveOf(500, 5, third)...).rec, &Settings{Signal: SignalSine})
		if got := told(f.Notes, KindNotQuiteSine); got != c.noted {
			t.Errorf("points sure to %g: not quite a sine: %v", c.sigma, got)
		}
	}
}

// A pull that swings with the sine is correlated over a tenth of the points: its variance grows with that.
func TestOverWhatAPullIsCorrelated(t *testing.T) {
	const n = 1000
	one := made(n, func(int) float64 { return 1 })
	long := made(n, func(i int) float64 { return math.Copysign(1, math.Sin(2*math.Pi*float64(i)/n*2.5)) }) // runs of a fifth
	if got := modulated(one, long) / n; got < 65 || got > 95 {
		t.Errorf("runs of a fifth of the points make %.0f times the variance, want 80", got)
	}
}

// Points that scatter by a tenth of the height, or by three times what they are unsure by, are no kind of signal; a
// scatter of more than a twenty-fifth of the height is told.
func TestWhatScattersTooMuchToBeRecognised(t *testing.T) {
	for _, c := range []struct {
		noise, sigma     float64
		recognised, told bool
	}{
		{0.01, 0.02, true, false}, {0.06, 0.07, true, false}, {0.12, 0.13, true, true}, {0.25, 0.26, true, true},
		{0.7, 0.7, false, false}, {0.2, 0.083, true, true}, {0.2, 0.055, false, false},
	} {
		f := analyse(t, pointsOf(t, c.sigma, waveOf(500, 5, noiseOf(c.noise))...).rec, &Settings{})
		if got := f.Told.How == Recognised; got != c.recognised || told(f.Doubts, KindPointsScatter) != c.told {
			t.Errorf("noise of %g V of a height of 2 V, said to be %g: recognised %v, doubts %v", c.noise, c.sigma, got, f.Doubts)
		}
	}
}

// A decay that ripples by a hundredth of its height is one, and one that ripples by a fiftieth is not recognised,
// however sure its points are said to be.
func TestHowMuchADecayMayLeave(t *testing.T) {
	for _, c := range []struct {
		ripple float64 // rms, as a share of the height
		decay  bool
	}{{0.0105, true}, {0.022, false}} {
		p := pointsOf(t, 0.001, made(600, func(i int) float64 {
			x := float64(i) - 60
			ripple := math.Sqrt2 * c.ripple * 5 * math.Sin(2*math.Pi*x/23)
			return 5*math.Exp(-math.Max(x, 0)/120) + ripple
		})...)
		if f := analyse(t, p.rec, nil); (f.Signal == SignalDecay) != c.decay {
			t.Errorf("a ripple of %g of the height: %s, %v", c.ripple, f.Signal, f.Told)
		}
	}
}

// A trace of three steps of a converter is flat whatever its shape; one of twice that is not.
func TestHowHighAFlatTraceIs(t *testing.T) {
	for _, c := range []struct {
		high float64 // box
		flat bool
	}{{0.09, true}, {0.18, false}} {
		v := waveOf(500, 5, nothing)
		for i := range v {
			v[i] *= c.high / 2
		}
		f := analyse(t, pointsOf(t, 0.001, v...).rec, &Settings{})
		if got := f.Signal == SignalLevel; got != c.flat {
			t.Errorf("%g box high: taken for %s", c.high, f.Signal)
		}
	}
}

// An exponential that bends by less than a hundredth of its drop over the record is a straight line.
func TestHowLongATauIsFitted(t *testing.T) {
	for _, c := range []struct {
		tau float64 // lengths of the record
		ok  bool
	}{{2, true}, {15, true}, {27, false}} {
		x, v, w := []float64{}, []float64{}, []float64{}
		for i := range 200 {
			x, w = append(x, float64(i)), append(w, 1)
			v = append(v, math.Exp(-float64(i)/199/c.tau))
		}
		e, ok := fitExponential(x, v, w, 0, nil, 0)
		if ok != c.ok || ok && math.Abs(e.tau/199/c.tau-1) > 1e-3 {
			t.Errorf("a τ of %g records: %v, %g", c.tau, ok, e.tau/199)
		}
	}
}

// Two frequencies that differ by more than three standard uncertainties, and by more than a fiftieth of a cycle over
// the screen, have no phase difference.
func TestWhichFrequenciesAreOne(t *testing.T) {
	for _, c := range []struct {
		name         string
		drift, noise float64 // cycles over the screen; V
		phase        bool
	}{
		{"sure, a seventieth of a cycle apart", 0.014, 0.001, true},
		{"sure, a thirtieth of a cycle apart", 0.032, 0.001, false},
		{"unsure, by two uncertainties", 0.03, 0.146, true},
		{"by four and a half", 0.06, 0.13, false},
	} {
		var s [2]Subject
		for k := range s {
			rec := pointsOf(t, math.Max(c.noise, 1e-3), waveOf(1000, 5+float64(k)*c.drift, nothing)...).rec
			s[k] = Subject{Name: string(rune('a' + k)), Findings: analyse(t, rec, &Settings{Signal: SignalSine})}
		}
		p := Between(context.Background(), s[0], s[1])
		if got := len(p.Results) > 0; got != c.phase {
			t.Errorf("%s: a phase difference %v, zeta %.2f", c.name, got, p.Comparisons[0].Zeta)
		}
	}
}

// A departure of a hundredth of the height cuts no decay, a kink of ten times that does.
func TestWhatCutsADecay(t *testing.T) {
	for _, c := range []struct {
		kink float64 // share of the height
		cut  bool
	}{{0.01, false}, {0.1, true}} {
		var x, v, sigma []float64
		for i := range 1000 {
			x, sigma = append(x, float64(i)), append(sigma, 1e-4)
			y := math.Exp(-float64(i) / 250)
			if i >= 500 {
				y += c.kink
			}
			v = append(v, y)
		}
		if all, _ := findStretches(x, v, sigma); (len(all) > 1) != c.cut {
			t.Errorf("a kink of %g: %d stretches", c.kink, len(all))
		}
	}
}
