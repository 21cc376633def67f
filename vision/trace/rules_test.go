package trace

// For each rule of package path, what a display shows that reads wrongly without it.

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/path"
)

// A ruleScene is a display, and what is wrong with the traces that were read off it: "" for nothing.
type ruleScene struct {
	rule  string
	paint func() painting
	wrong func(ts []*Trace) string
}

// noTrace finds fault with any trace.
func noTrace(ts []*Trace) string {
	if len(ts) > 0 {
		return fmt.Sprintf("%d traces of a display that has none", len(ts))
	}
	return ""
}

// follows finds fault with a first trace that is off the truth by more than 0.15 box anywhere, or is seen in less
// than the least share of the width, and with other traces.
func follows(truth func(x float64) float64, least float64) func(ts []*Trace) string {
	return func(ts []*Trace) string {
		if len(ts) != 1 {
			return fmt.Sprintf("%d traces, want 1", len(ts))
		}
		return comesFirst(truth, least)(ts)
	}
}

// comesFirst is follows for a display of which more may be read.
func comesFirst(truth func(x float64) float64, least float64) func(ts []*Trace) string {
	return func(ts []*Trace) string {
		if len(ts) == 0 {
			return "no trace"
		}
		off := 0
		for i, y := range ts[0].Y {
			if !math.IsNaN(y) && !(math.Abs(y-truth(ts[0].X[i])) < 0.15) { // NaN is no truth
				off++
			}
		}
		if off > 3 || ts[0].Coverage < least {
			return fmt.Sprintf("%d of %d samples are off, coverage %.2f", off, len(ts[0].Y), ts[0].Coverage)
		}
		return ""
	}
}

// between is f from x = a to x = b, and absent elsewhere.
func between(f func(x float64) float64, a, b float64) func(x float64) float64 {
	return func(x float64) float64 {
		if x < a || x > b {
			return math.NaN()
		}
		return f(x)
	}
}

// outsideOf is f but from x = a to x = b.
func outsideOf(f func(x float64) float64, a, b float64) func(x float64) float64 {
	return func(x float64) float64 {
		if x > a && x < b {
			return math.NaN()
		}
		return f(x)
	}
}

// with paints curves on a plain display.
func with(curves ...curve) func() painting {
	return func() painting {
		p := plain()
		p.curves = curves
		return p
	}
}

// and paints more in one colour where is says so, inside the frame.
func and(p func() painting, colour [3]float64, is func(x, y float64) bool) func() painting {
	return func() painting {
		q := p()
		q.extra = func(x, y float64) ([3]float64, float64) {
			if math.Abs(x) < 5 && is(x, y) {
				return colour, 1
			}
			return colour, 0
		}
		return q
	}
}

// ruleScenes has one scene for each rule, in the order of the rules.
func ruleScenes() []ruleScene {
	blue := [3]float64{0.1, 0.35, 0.95}
	wave := sine(1.5, 2, 0.5)
	drawnWave := curve{wave, yellow, 0.02}
	decay := func(x float64) float64 { return -3 + 5.5*math.Exp(-max(x+3.7, 0)/1.8) }
	square := func(x float64) float64 { return math.Copysign(1, math.Sin(2*math.Pi*(x+0.37)/3)) + 1 }
	fast := sine(0.7, 6, 2)
	late := func(x float64) float64 { return 0.85*math.Sin(2*math.Pi*(x-4.86)) + 0.5 }
	inPulse := func(x float64) float64 { return x + 1.9 - 5*math.Round((x+1.9)/5) } // from the pulse's middle
	level := func(y float64) func(x, v float64) bool {
		return func(x, v float64) bool { return math.Abs(v-y) < 0.02 }
	}
	return []ruleScene{
		{"fringes darker than the field", func() painting {
			p := plain()
			p.field, p.grid = [3]float64{0.12, 0.12, 0.12}, [3]float64{0.3, 0.3, 0.3}
			p.curves = []curve{{sine(0.3, 1, 2.5), [3]float64{}, 0.03}, {between(sine(1.5, 2, -1), -3.3, 3.3), [3]float64{0.3, 0.28, 0.05}, 0.025}}
			return p
		}, follows(between(sine(1.5, 2, -1), -3.4, 3.4), 0.5)},

		{"upright helper lines", and(with(curve{outsideOf(flat(-1.1), 1.9, 2.1), yellow, 0.02}), yellow,
			func(x, y float64) bool { return math.Abs(x-2) < 0.04 }), follows(flat(-1.1), 0.9)},

		{"what lies outside the frame", and(with(curve{outsideOf(wave, -1, 1.5), yellow, 0.02}), yellow, func(x, y float64) bool { return x > -1.6 && x < 2.1 && math.Abs(y-4.05) < 0.02 }), follows(wave, 0.6)},

		{"panels", and(with(curve{wave, yellow, 0.02}), yellow, func(x, y float64) bool {
			inside := x > 1.5 && x < 4.4 && y > -1.3 && y < 2.4
			return inside && !(x > 1.53 && x < 4.37 && y > -1.27 && y < 2.37)
		}), follows(wave, 0.6)},

		{"words", and(with(curve{outsideOf(wave, 0.5, 4.9), yellow, 0.02}), yellow, func(x, y float64) bool {
			return letters(x, y+2) && x > 0.6 && x < 4.8
		}), follows(wave, 0.4)},

		{"level helper lines", func() painting {
			p := plain()
			p.curves = []curve{{decay, yellow, 0.015}}
			for _, y := range []float64{-2.4, -1.3, 0.8, 1.7, 2.3, 3.1} {
				p.curves = append(p.curves, curve{flat(y), yellow, 0.015})
			}
			return p
		}, comesFirst(decay, 0.9)},

		{"crossings of upright helper lines", and(with(curve{square, yellow, 0.02}), yellow, func(x, y float64) bool {
			return math.Abs(x-2.2) < 0.015 && y < 3.2 && math.Abs(y-0.9) > 0.2
		}), func(ts []*Trace) string {
			for i, x := range ts[0].X {
				if y := ts[0].Y[i]; math.Abs(x-2.2) < 0.1 && math.Abs(y-square(x)) > 0.1 {
					return fmt.Sprintf("at the line %.2f boxes off", y-square(x))
				}
			}
			return ""
		}},

		{"leads before the screen", with(curve{fast, [3]float64{0.25, 0.23, 0.03}, 0.015},
			curve{between(func(x float64) float64 { return -1.5 - 0.1*x*x }, -5, -0.8), yellow, 0.07}), follows(fast, 0.9)},

		{"scraps", and(with(curve{between(wave, -5, 3), yellow, 0.02}), yellow, func(x, y float64) bool {
			return x > 3.02 && x < 3.18 && math.Abs(y+2.5) < 0.03
		}), follows(wave, 0.75)},

		{"letters", and(with(curve{outsideOf(wave, -1, 2), yellow, 0.02}), yellow, func(x, y float64) bool {
			return x > 0.2 && x < 0.6 && math.Abs(y+2-(x-0.2)) < 0.04
		}), follows(wave, 0.65)},

		{"dotted lines", and(with(curve{between(decay, -5, 2), yellow, 0.02}), yellow, func(x, y float64) bool {
			return x > 2 && math.Mod(x, 0.2) < 0.03 && math.Abs(y-decay(2)) < 0.03
		}), follows(between(decay, -5, 2.2), 0.65)},

		{"other things at the ends", and(with(curve{between(wave, -5, 2.5), yellow, 0.02}), yellow, func(x, y float64) bool {
			return x > 3 && x < 4.8 && math.Abs(y+2.5) < 0.12
		}), follows(wave, 0.7)},

		{"the mark of the trigger's level", and(with(curve{between(late, -5, 4.95), yellow, 0.02}), yellow, func(x, y float64) bool {
			return x > 4.75 && x < 4.93 && math.Abs(y-0.5) < 0.7*(x-4.75) || x > 4.75 && math.Abs(y-0.5) < 0.02
		}), follows(late, 0.9)},

		{"gaps that narrow pulses fill", and(with(curve{func(x float64) float64 {
			switch d := math.Abs(inPulse(x)) - 0.07; {
			case math.Abs(d) < 0.025:
				return math.NaN()
			case d < 0:
				return 0.6
			}
			return -1.1
		}, yellow, 0.025}), yellow, func(x, y float64) bool {
			dash := math.Abs(math.Abs(y)-2) < 0.03 && math.Mod(x+5, 0.17) < 0.1
			return dash || math.Abs(inPulse(x)+0.09) < 0.03 && math.Abs(y) < 4
		}), func(ts []*Trace) string {
			tops := 0
			for _, y := range ts[0].Y {
				if math.Abs(y-0.6) < 0.05 {
					tops++
				}
			}
			if tops < 4 {
				return fmt.Sprintf("%d samples on the pulses' tops", tops)
			}
			return ""
		}},

		// Where a second path crosses the first, the columns they share are taken from the first, for they may be
		// either's.
		{"short paths", with(drawnWave, curve{between(func(x float64) float64 { return wave(x) + x }, -1.4, 1.4), yellow, 0.02}), follows(wave, 0.98)},

		{"ragged paths", and(plain, yellow, func(x, y float64) bool {
			k := math.Floor(x / 0.06)
			return math.Abs(x) < 2 && math.Abs(y-0.16*math.Abs(math.Mod(k, 2))) < 0.02
		}), noTrace},

		{"lines of the graticule", and(plain, [3]float64{0.08, 0.1, 0.13}, level(1.06)), noTrace},

		{"the rim", and(plain, [3]float64{0.075, 0.0875, 0.125}, level(-3.95)), noTrace},

		{"lines before curves", and(with(curve{func(x float64) float64 {
			if modulo(int(math.Floor(x/0.5)), 4) == 0 {
				return math.NaN()
			}
			return 2 * math.Sin(x)
		}, yellow, 0.02}), blue, func(x, y float64) bool { return math.Abs(y+4) < 0.04 }), comesFirst(func(x float64) float64 { return 2 * math.Sin(x) }, 0.6)},

		{"ragged lesser paths", and(with(drawnWave), blue, func(x, y float64) bool {
			k := math.Floor(x / 0.06)
			return math.Abs(y+2.5-0.16*math.Abs(math.Mod(k, 2))) < 0.02
		}), follows(wave, 0.9)},

		{"the other polarity", and(func() painting {
			p := plain()
			p.field, p.grid = [3]float64{0.4, 0.44, 0.36}, [3]float64{-0.2, -0.2, -0.2}
			p.curves = []curve{{wave, [3]float64{0.05, 0.06, 0.05}, 0.03}}
			return p
		}, [3]float64{0.4, 0.9, 0.36}, func(x, y float64) bool { return math.Abs(y+2.5-0.3*math.Sin(x)) < 0.03 }), follows(wave, 0.9)},

		{"cursors", with(drawnWave, curve{flat(-2.5), cyan, 0.02}, curve{flat(-3.3), cyan, 0.02}), follows(wave, 0.9)},

		{"what has no place of its own", and(with(drawnWave), blue, func(x, y float64) bool {
			return x < -0.5 && math.Abs(y+4) < 0.03 || x > -0.5 && math.Abs(y-2.4) < 0.03
		}), follows(wave, 0.9)},

		{"white beside a hue", and(with(drawnWave), [3]float64{0.4, 0.4, 0.4}, func(x, y float64) bool {
			return math.Abs(y+2.5-0.3*math.Sin(x)) < 0.03
		}), follows(wave, 0.9)},

		{"the graticule's ink beside a hue", with(drawnWave, curve{func(x float64) float64 { return 0.3*math.Sin(x) - 2.5 }, [3]float64{0.3, 0.36, 0.5}, 0.02}),
			follows(wave, 0.9)},

		{"thin lines", func() painting {
			p := plain()
			p.pitch, p.frame = 100, geom.Frame{Cols: 6, Rows: 6}
			p.curves = []curve{{sine(0.8, 2, 0.5), yellow, 0.05}, {sine(0.3, 1, -2.3), cyan, 0.006}}
			return p
		}, follows(sine(0.8, 2, 0.5), 0.9)},

		{"what runs along a trace", with(curve{wave, yellow, 0.14}, curve{sine(1.5, 2, 0.9), cyan, 0.02}), follows(wave, 0.9)},
	}
}

// letters is a row of letter-like strokes 0.25 box high about y = 0.
func letters(x, y float64) bool {
	k, u, v := math.Floor(x/0.2), math.Mod(x+20, 0.2), y+0.12
	bits := modulo(int(k*k*7), 8)
	return v > 0 && v < 0.25 && u < 0.15 && (u < 0.04 && bits&1 > 0 || u > 0.11 && bits&2 > 0 || v < 0.04 || math.Abs(v-0.12) < 0.02)
}

// Each rule is there for a reason: with all rules its scene reads rightly, and without it wrongly.
func TestEveryRuleIsNeeded(t *testing.T) {
	rules := path.Rules()
	scenes := ruleScenes()
	if len(rules) != len(scenes) {
		t.Errorf("%d rules and %d scenes", len(rules), len(scenes))
	}
	for k, sc := range scenes {
		t.Run(sc.rule, func(t *testing.T) {
			if k < len(rules) && rules[k].Name != sc.rule {
				t.Errorf("the scene is in the place of the rule %q", rules[k].Name)
			}
			ph, g := sc.paint().paint(t)
			read := func(rules []path.Rule) string {
				ts, err := extract(t.Context(), ph, g, nil, rules)
				var none *NotFoundError
				if err != nil && !errors.As(err, &none) {
					t.Fatal(err)
				}
				return sc.wrong(ts)
			}
			if says := read(rules); says != "" {
				t.Errorf("with all rules: %s", says)
			}
			var others []path.Rule
			for _, r := range rules {
				if r.Name != sc.rule {
					others = append(others, r)
				}
			}
			if len(others) != len(rules)-1 {
				t.Errorf("there is no one rule of this name")
			}
			says := read(others)
			t.Logf("without it: %s", says)
			if says == "" {
				t.Error("reads as well without the rule")
			}
		})
	}
}
