package analysis

// What the limits of what is told of decays decide, on numbers set by hand: each case lies a little to one side of a
// limit.

import (
	"math"
	"testing"

	"quadrille/calibrate"
)

// Of decays it is told when they differ by three times what their uncertainties allow, when they bend, as a doubt if
// that is past small faults of a trace, when their points scatter by twice what is stated, and when one ends flat with
// more than a tenth of its way to go.
func TestWhatIsToldOfDecays(t *testing.T) {
	for _, c := range []struct {
		name                string
		birge, z, scatter   float64
		left                float64 // share of the way, where a flat stretch follows
		differ, bent, noted bool    // bent as a doubt, and as a note
		wide, flat          bool
	}{
		{"nothing", 1, 0, 1, 0.01, false, false, false, false, false},
		{"differing twice as much", 2, 0, 1, 0.01, false, false, false, false, false},
		{"differing four and a half times", 4.5, 0, 1, 0.01, true, false, false, false, false},
		{"a small bend", 1, 4.5, 1, 0.01, false, false, true, false, false},
		{"a large bend", 1, 9, 1, 0.01, false, true, false, false, false},
		{"half as much scatter again", 1, 0, 1.5, 0.01, false, false, false, false, false},
		{"three times the scatter", 1, 0, 3, 0.01, false, false, false, true, false},
		{"a fourteenth of the way to go", 1, 0, 1, 0.07, false, false, false, false, false},
		{"a seventh of the way to go", 1, 0, 1, 0.14, false, false, false, false, true},
	} {
		tau := 99 / math.Log(1/c.left)
		p := pointsOf(t, 0.01, made(100, func(i int) float64 { return math.Exp(-float64(i)/tau) + 0.01 })...)
		p.rec.VoltsPerBox = 0 // no rows
		level := 0.0
		q := &piece{before: -1, use: span(0, 100), fit: exponential{a: 1, tau: tau}, fixedC: &level, broken: true}
		d := &decays{points: p, pieces: pieces{q}, noise: noise{measured: c.scatter * c.scatter}}
		s := &table{scheme: &scheme{decays: d, in: d.inputs()}, numbers: []number{{x: tau}},
			alike: alikeness{birge: c.birge}, bend: bend{z: c.z, early: math.NaN(), late: math.NaN()}}
		got := s.physics(t.Context(), &Settings{})
		for _, w := range []struct {
			what      string
			got, want bool
		}{
			{"differ", told(got.doubts, KindDecaysDiffer), c.differ}, {"bend", told(got.doubts, KindBent), c.bent},
			{"bend, as a note", told(got.notes, KindBent), c.noted}, {"scatter", told(got.doubts, KindScatterWide), c.wide},
			{"end flat", told(got.doubts, KindEndsFlat), c.flat},
		} {
			if w.got != w.want {
				t.Errorf("%s: they %s: %v", c.name, w.what, w.got)
			}
		}
	}
}

// A decay that settles a tenth of its height from ground and less, and surely not at it, is doubted.
func TestWhatSettlesNearGround(t *testing.T) {
	for _, c := range []struct {
		level, u float64 // V, of a decay from 1 V
		doubted  bool
	}{{0.07, 0.001, true}, {0.15, 0.001, false}, {0.05, 0.025, false}, {0.05, 0.011, true}} {
		r := Result{}
		r.Value.X, r.Value.U = c.level, c.u
		q := &piece{fit: exponential{a: 1 - c.level, c: c.level, tau: 1}}
		if got := len((pieces{q}).nearGround(r)) > 0; got != c.doubted {
			t.Errorf("a level of %g ± %g V: doubted %v", c.level, c.u, got)
		}
	}
}

// A few columns that a line hides part nothing; a wider gap does.
func TestWhichGapPartsATrace(t *testing.T) {
	for _, c := range []struct {
		gap  int // points, from one seen to the next
		laid bool
	}{{2, true}, {4, true}, {9, false}} {
		p := pointsOf(t, 0.01, made(100, func(i int) float64 {
			if i > 50 && i < 50+c.gap {
				return math.NaN()
			}
			return 1
		})...)
		table := &calibrate.Record{T: []float64{50.5}, V: []float64{1.1}}
		if got := layReadings(p.rec, table, 0); math.IsNaN(got[0].Trace) == c.laid {
			t.Errorf("a gap of %d points: the reading meets %g", c.gap, got[0].Trace)
		}
	}
}

// An average is widened when chance makes its decays differ as much in less than a fifth of records.
func TestWhichAverageIsWidened(t *testing.T) {
	for _, c := range []struct {
		off   float64 // standard uncertainties of the difference of two decays
		birge float64
	}{{0.5, 1}, {1.04, 1}, {1.44, 1.44}, {3, 3}} {
		u := 0.01
		x := []float64{1, math.Exp(c.off * u * math.Sqrt2)}
		a := alikenessOf(x, func(i, j int) float64 {
			if i != j {
				return 0
			}
			return u * u * x[i] * x[i]
		})
		if math.Abs(a.birge-c.birge) > 0.01 {
			t.Errorf("%g standard uncertainties apart: widened by %.2f, want %g", c.off, a.birge, c.birge)
		}
	}
}
