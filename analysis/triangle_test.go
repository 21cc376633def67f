package analysis

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
)

// zigzagOf rises from low to high for up of every period, from start on, and falls for the rest.
func zigzagOf(low, high, start, period, up float64) func(float64) float64 {
	return func(t float64) float64 {
		x := (t - start) / period
		x -= math.Floor(x)
		if x < up {
			return low + (high-low)*x/up
		}
		return high - (high-low)*(x-up)/(1-up)
	}
}

// hide makes points of a record invisible.
func hide(rec *calibrate.Record, hidden func(t, v float64) bool) *calibrate.Record {
	for i, t := range rec.T {
		if hidden(t, rec.V[i]) {
			rec.V[i] = math.NaN()
		}
	}
	return rec
}

// Every number of a triangle and its u: over few and many periods, noise that is correlated or not, even and uneven
// sides, corners that blur rounds, and corners that are hidden. The rms about the middle is the peak over √3, as the
// integral of the square over a straight side gives.
func TestPullsOfATriangle(t *testing.T) {
	for _, c := range []struct {
		name         string
		least, most  float64 // periods on the screen
		rho, blur    float64 // blur in point spacings
		cornersSeen  bool
		leastUp, sum float64
	}{
		{"few", 1.1, 3, 0, 0, true, 0.5, 0},
		{"few, correlated", 1.1, 3, 0.8, 0, true, 0.5, 0},
		{"uneven", 2, 6, 0.5, 0, true, 0.18, 0},
		{"many, blurred", 6, 40, 0.5, 1.5, true, 0.5, 0},
		{"corners lost", 2, 6, 0.5, 0, false, 0.3, 0},
		{"less than one", 0.7, 0.95, 0.5, 0, true, 0.5, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			const n, low, high = 500, 0.2, 4.2
			list := map[string]*pulls{}
			rng := rand.New(rand.NewPCG(uint64(10*c.rho), uint64(len(c.name))))
			for seed := range uint64(45) { // as of ramps
				cycles := c.least * math.Pow(c.most/c.least, rng.Float64())
				up := 0.5 + (2*rng.Float64()-1)*(0.5-c.leastUp)
				period := 10e-3 / cycles
				v := zigzagOf(low, high, period*rng.Float64(), period, up)
				if c.blur > 0 {
					v = blurred(v, c.blur*10e-3/n)
				}
				rec := specimen{n: n, span: 10e-3, sigma: 0.02 + 0.04*rng.Float64(), rho: c.rho, v: v}.record(seed)
				if !c.cornersSeen {
					hide(rec, func(t, _ float64) bool { return v(t) > high-0.3 || v(t) < low+0.3 })
				}
				f := analyse(t, rec, &Settings{Signal: SignalTriangle})
				for _, q := range []struct {
					quantity, label string
					truth           float64
				}{
					{"period", "", period}, {"frequency", "", 1 / period}, {"v_pp", "", high - low},
					{"v_rms", "", (high - low) / 2 / math.Sqrt(3)}, {"v_mean", "", (high + low) / 2}, {"symmetry", "", up},
					{"slope", "rising side", (high - low) / (up * period)}, {"slope", "falling side", -(high - low) / ((1 - up) * period)},
					{"linearity", "rising side: largest departure from straight, over the height", 0},
					{"linearity", "falling side: largest departure from straight, over the height", 0},
				} {
					told := cycles >= wholeCycle || q.quantity != "period" && q.quantity != "frequency" && q.quantity != "symmetry"
					r, n := Result{}, 0
					for _, x := range f.Results {
						if x.Quantity == q.quantity && x.Method == "sides" && (q.label == "" || x.Label == q.label) {
							r, n = x, n+1
						}
					}
					if n == 0 && !told || n == 0 && cycles < wholeCycle { // which corners are seen depends on where they lie
						continue
					}
					if n != 1 || !told {
						t.Fatalf("seed %d, %.2g cycles: %d results of %s", seed, cycles, n, q.quantity)
					}
					key := q.quantity + " " + q.label
					if list[key] == nil {
						list[key] = &pulls{name: key}
					}
					list[key].truth = q.truth
					list[key].add(r)
				}
			}
			for _, p := range list {
				if p.truth == 0 { // a size, whose mean is above 0
					p.covers(t, c.name)
					continue
				}
				p.check(t, c.name)
			}
		})
	}
}

// A ramp's numbers hold the truth, though its return is steeper than the points can show, and its tips are lost or
// drawn as strokes half way up. Its amplitude and what follows from it have a limit for that.
func TestPullsOfARamp(t *testing.T) {
	for _, c := range []struct {
		name           string
		least, most    float64
		rho, back      float64 // back: the return's share of the period
		strokes, falls bool
	}{
		{"jumps", 1.2, 6, 0.5, 0, false, false},
		{"strokes", 1.5, 10, 0.5, 0, true, false},
		{"falling", 1.5, 20, 0, 0, true, true},
		{"slow return", 1.5, 4, 0.5, 0.07, false, false},
		{"many", 15, 40, 0.3, 0, false, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			const n, low, high = 500, -1.0, 3.0
			list := map[string]*pulls{}
			rng := rand.New(rand.NewPCG(7, uint64(len(c.name))))
			for seed := range uint64(45) { // a U at 0.74 of its size is noticed, at 120 one at 0.82
				cycles := c.least * math.Pow(c.most/c.least, rng.Float64())
				period := 10e-3 / cycles
				up := math.Min(1-1e-9, 1-c.back)
				if c.falls {
					up = 1 - up
				}
				rec := specimen{n: n, span: 10e-3, sigma: 0.02 + 0.03*rng.Float64(), rho: c.rho, v: zigzagOf(low, high, period*rng.Float64(), period, up)}.record(seed)
				if c.strokes {
					for i := 1; i+1 < n; i++ {
						if math.Abs(rec.V[i+1]-rec.V[i]) > 2 {
							rec.V[i], rec.Sigma[i] = (low+high)/2, (high-low)/math.Sqrt(12)
							if rng.IntN(2) == 0 {
								rec.V[i+1] = math.NaN()
							}
							i += 2
						}
					}
				}
				f := analyse(t, rec, &Settings{Signal: SignalRamp})
				slope, label := (high-low)/(up*period), "rising side"
				if c.falls {
					slope, label = -(high-low)/((1-up)*period), "falling side"
				}
				for _, q := range []struct {
					quantity, label string
					truth           float64
				}{
					{"period", "", period}, {"frequency", "", 1 / period}, {"v_pp", "", high - low}, {"v_mean", "", (high + low) / 2},
					{"v_rms", "", (high - low) / 2 / math.Sqrt(3)}, {"slope", label, slope},
				} {
					if list[q.quantity] == nil {
						list[q.quantity] = &pulls{name: q.quantity}
					}
					list[q.quantity].truth = q.truth
					list[q.quantity].add(seek(t, f, q.quantity, "sides", q.label))
				}
			}
			for name, p := range list {
				if c.back == 0 && (name == "v_pp" || name == "v_rms" || name == "v_mean") {
					p.covers(t, c.name)
				} else {
					p.check(t, c.name)
				}
			}
		})
	}
}

// With one corner on the screen, or a single slope, nothing is said of a period; slopes and the corner are.
func TestOneCornerAndOneSlope(t *testing.T) {
	up, down, corner := pulls{name: "rise"}, pulls{name: "fall"}, 0
	rng := rand.New(rand.NewPCG(1, 9))
	for seed := range uint64(40) {
		top := 0.3 + 0.4*rng.Float64()
		a, b := 3+3*rng.Float64(), 3+3*rng.Float64()
		rec := specimen{n: 400, span: 1, sigma: 0.03, rho: 0.5, v: func(t float64) float64 {
			if t < top {
				return 3 - a*(top-t)
			}
			return 3 - b*(t-top)
		}}.record(seed)
		f := analyse(t, rec, nil)
		kind, lean := SignalTriangle, math.Abs(b/(a+b)-0.5) // of the rising side's share of a period
		if lean > 0.1 {
			kind = SignalRamp
		}
		if f.Signal != kind && math.Abs(lean-0.1) > 0.005 || !remark.Any(f.Notes, KindOneCorner) || find(f, "period", "sides").Value.X != 0 || find(f, "period", "crossings").Value.X != 0 {
			t.Errorf("seed %d: %s, %v, notes %q", seed, f.Signal, f.Told, f.Notes)
			continue
		}
		corner++
		up.truth, down.truth = a, -b
		up.add(seek(t, f, "slope", "sides", "rising side"))
		down.add(seek(t, f, "slope", "sides", "falling side"))
	}
	up.check(t, "one corner")
	down.check(t, "one corner")

	one := pulls{name: "slope"}
	for seed := range uint64(40) {
		a := (2 + 3*rng.Float64()) * float64(1-2*rng.IntN(2))
		rec := specimen{n: 400, span: 1, sigma: 0.03, rho: 0.5, v: func(t float64) float64 { return a * t }}.record(seed)
		f := analyse(t, rec, nil)
		if f.Signal != SignalRamp || !remark.Any(f.Notes, KindOneSlope) || find(f, "period", "sides").Value.X != 0 {
			t.Errorf("seed %d: %s, %v, notes %q", seed, f.Signal, f.Told, f.Notes)
			continue
		}
		one.truth = a
		one.add(seek(t, f, "slope", "sides", ""))
	}
	one.check(t, "one slope")
	drifts := specimen{n: 400, span: 1, sigma: 0.05, rho: 0.5, v: func(t float64) float64 { return 3 + 0.3*t }}.record(1)
	if f := analyse(t, drifts, nil); f.Signal != SignalLevel || !remark.Any(f.Doubts, KindDrifts) {
		t.Errorf("a level that drifts: %s, %v", f.Signal, f.Told)
	}
}

// The name changes where the rising side's share of the period is 0.1 from one half; the numbers are the same on both
// hands of it.
func TestTriangleEndsWhereARampBegins(t *testing.T) {
	for _, c := range []struct {
		up   float64
		kind string
	}{{0.5, SignalTriangle}, {0.42, SignalTriangle}, {0.58, SignalTriangle}, {0.37, SignalRamp}, {0.63, SignalRamp}, {0.19, SignalRamp},
		{0.13, SignalRamp}, {0.07, SignalRamp}, {0.81, SignalRamp}, {0.87, SignalRamp}, {1 - 1e-9, SignalRamp}} {
		for seed := range uint64(6) {
			rec := specimen{n: 500, span: 10e-3, sigma: 0.03, rho: 0.5, v: zigzagOf(0, 4, 1e-4*float64(seed), 3e-3, c.up)}.record(seed)
			f := analyse(t, rec, nil)
			if f.Signal != c.kind || len(f.Doubts) > 0 {
				t.Errorf("a rising share of %g: %s, %v, doubts %q", c.up, f.Signal, f.Told, f.Doubts)
			}
			if pp := seek(t, f, "v_pp", "sides", ""); math.Abs(pp.Value.X-4) > math.Max(4*pp.Value.U, 0.05) {
				t.Errorf("a rising share of %g: %v", c.up, pp.Value)
			}
		}
	}
}

// A share that is not parted from the limit by its uncertainty is told to be that of either kind: always within 1.4
// standard uncertainties, never from 3 on.
func TestAShareNearTheLimitIsTold(t *testing.T) {
	near, far := 0, 0
	for seed := range uint64(60) {
		up := 0.38 + 0.04*float64(seed)/60
		rec := specimen{n: 400, span: 10e-3, sigma: 0.15, v: zigzagOf(0, 4, 1e-4*float64(seed), 6e-3, up)}.record(seed)
		f := analyse(t, rec, nil)
		share, told := seek(t, f, "symmetry", "sides", "").Value, remark.Any(f.Doubts, KindCouldAlsoBe)
		switch off := math.Abs(share.X-0.4) / share.U; {
		case off < 1.4:
			near++
			if !told {
				t.Errorf("a rising share of %v is told to be that of a %s alone", share, f.Signal)
			}
		case off > 3:
			far++
			if told {
				t.Errorf("a rising share of %v is told to be that of either", share)
			}
		}
	}
	if near < 10 || far < 10 {
		t.Errorf("%d are near the limit and %d far", near, far)
	}
}

// A side that bends is told by its linearity: 4·x·(1-x) of the height leaves the best straight line by two thirds of
// its own height.
func TestLinearityTellsABend(t *testing.T) {
	const bend = 0.06
	mean := 0.0
	for seed := range uint64(20) {
		straight := zigzagOf(0, 4, 0.3e-3, 4e-3, 0.5)
		rec := specimen{n: 600, span: 10e-3, sigma: 0.02, rho: 0.3, v: func(t float64) float64 {
			x := straight(t) / 4
			if straight(t+1e-9) > straight(t) {
				return 4 * (x + bend*4*x*(1-x))
			}
			return 4 * x
		}}.record(seed)
		f := analyse(t, rec, &Settings{Signal: SignalTriangle})
		rise := seek(t, f, "linearity", "sides", "rising side: largest departure from straight, over the height")
		fall := seek(t, f, "linearity", "sides", "falling side: largest departure from straight, over the height")
		mean += rise.Value.X / 20
		if want := bend * 2 / 3; math.Abs(rise.Value.X-want) > 0.1*want+3*rise.Value.U || fall.Value.X > 0.1*want+3*fall.Value.U {
			t.Errorf("seed %d: rising %v of %g, falling %v", seed, rise.Value, want, fall.Value)
		}
	}
	if want := bend * 2 / 3; math.Abs(mean-want) > 0.15*want {
		t.Errorf("a bend of %g on average, of %g", mean, want)
	}
}
