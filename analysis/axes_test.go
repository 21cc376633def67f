package analysis

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"quadrille/calibrate"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
)

// tenBoxes draws f over ten boxes of 1 s and 1 V.
func tenBoxes(f func(t float64) float64) *calibrate.Record {
	rec := screen(rand.New(rand.NewPCG(3, 5)), func(t float64) float64 { return f(10 * t) }, 0.02)
	for i := range rec.T {
		rec.T[i] *= 10
	}
	rec.TimePerBox = 1
	return rec
}

// What is known in boxes only is measured as well as what is known in volts and seconds: a record in boxes gives the
// numbers that the same record gives at 1 V and 1 s a box, in boxes.
func TestARecordInBoxesGivesTheSameNumbersInBoxes(t *testing.T) {
	both := unit.Axes{TimeInBoxes: true, VoltsInBoxes: true}
	for name, f := range map[string]func(float64) float64{
		"decay":    func(t float64) float64 { return 1 + 5*math.Exp(-math.Max(0, t-1)/1.5) },
		"sine":     sineOf(1, 3, 0.4, 0.3),
		"triangle": triangleOf(0, 3, 0.35, 0.2),
		"states":   pulseOf(-2, 3, 0.7, 3.1, 1.4, 0),
		"level":    sineOf(2, 0, 1, 0),
	} {
		rec := tenBoxes(f)
		plain := analyse(t, rec, nil)
		rec.Axes = both
		boxed := analyse(t, rec, nil)
		if len(plain.Results) == 0 || len(plain.Results) != len(boxed.Results) {
			t.Fatalf("%s: %d results, in boxes %d", name, len(plain.Results), len(boxed.Results))
		}
		for i, r := range plain.Results {
			b := boxed.Results[i]
			if b.Value.X != r.Value.X && !math.IsNaN(r.Value.X) || b.Expanded != r.Expanded && !math.IsNaN(r.Expanded) {
				t.Errorf("%s, %s: %v, in boxes %v", name, r.Quantity, r.Value, b.Value)
			}
			if b.Value.Unit != both.Of(r.Value.Unit) {
				t.Errorf("%s, %s is in %q, not %q", name, r.Quantity, b.Value.Unit, both.Of(r.Value.Unit))
			}
			for _, term := range b.Budget {
				if both.Of(term.Unit) != term.Unit {
					t.Errorf("%s, %s: a term of the budget in %s", name, r.Quantity, term.Unit)
				}
			}
			if strings.Contains(b.Label, " V") {
				t.Errorf("%s: %q names volts", name, b.Label)
			}
		}
		for _, fit := range boxed.Fits {
			if strings.Contains(fit.Formula, " V ") || strings.HasSuffix(fit.Formula, " V") || strings.Contains(fit.Formula, " s)") || strings.Contains(fit.Formula, "Hz") {
				t.Errorf("%s: %q is not in boxes", name, fit.Formula)
			}
		}
		for _, r := range slices.Concat(boxed.Notes, boxed.Doubts) {
			if r.Word(remark.SecondsIn) != unit.Box || r.Word(remark.VoltsIn) != unit.Box {
				t.Errorf("%s: %v does not say that it is in boxes", name, r)
			}
		}
	}
}

// Of one scale that is missed, the other's numbers stay in their unit.
func TestOneScaleIsEnoughForWhatNeedsNoOther(t *testing.T) {
	rec := tenBoxes(func(t float64) float64 { return 6 * math.Exp(-math.Max(0, t-1)/1.5) })
	ohms, farads := unit.Limits(15e3, 150, "Ω"), unit.Limits(1e-4, 1e-6, "F")
	s := &Settings{Resistance: ohms, Capacitance: farads, Levels: []float64{3}}
	s.Known.Tau, s.Known.Level = unit.Value{X: 1.5, U: 0.01, Unit: "s"}, unit.Value{X: 6, U: 0.1, Unit: "V"}

	rec.Axes = unit.Axes{TimeInBoxes: true}
	f := analyse(t, rec, s)
	if tau, level, rc := seek(t, f, "tau", "curve", ""), seek(t, f, "v_start", "level", ""), seek(t, f, "tau", "rc", ""); tau.Value.Unit != unit.Box ||
		level.Value.Unit != "V" || rc.Value.Unit != "s" {
		t.Errorf("without the time per box: τ %v, level %v, R·C %v", tau.Value, level.Value, rc.Value)
	}
	seek(t, f, "time_at_level", "reading", "from the knee to 3.00 V")
	rc := slices.IndexFunc(f.Results, ofParts)
	level := false
	for _, c := range f.Comparisons {
		level = level || c.What.Word("of") == ofLevel
		if c.What.Word("of") == ofTau || slices.Contains(c.Results, rc) {
			t.Errorf("boxes were compared with seconds: %v", c.What)
		}
	}
	if !level {
		t.Error("the known level was not compared")
	}
	said(t, f, KindNeedsScale, "known-tau resistance capacitance")

	rec.Axes = unit.Axes{VoltsInBoxes: true}
	f = analyse(t, rec, s)
	if tau, level := seek(t, f, "tau", "curve", ""), seek(t, f, "v_start", "level", ""); tau.Value.Unit != "s" || level.Value.Unit != unit.Box {
		t.Errorf("without the volts per box: τ %v, level %v", tau.Value, level.Value)
	}
	if half := seek(t, f, "time_at_level", "reading", ""); strings.Count(half.Label, " box") != 2 {
		t.Errorf("%q does not count in boxes", half.Label)
	}
	compared := 0
	for _, c := range f.Comparisons {
		if c.What.Word("of") == ofTau || slices.Contains(c.Results, slices.IndexFunc(f.Results, ofParts)) {
			compared++
		}
	}
	if compared < 2 {
		t.Errorf("τ was compared %d times with R·C and with the one given", compared)
	}
	said(t, f, KindNeedsScale, "at known-level")
}

// A setting that says nothing of the signal is told, and so is one of what is known that the screen does not show.
func TestSettingsWithoutUseAreTold(t *testing.T) {
	rec := tenBoxes(sineOf(1, 3, 0.4, 0.3))
	s := &Settings{Resistance: unit.Limits(15e3, 150, "Ω"), Levels: []float64{3}, Settles: SettlesGround}
	s.Known.Level, s.Known.HalfLife = unit.Value{X: 6, U: 0.1, Unit: "V"}, unit.Value{X: 1.5, U: 0.01, Unit: "s"}
	said(t, analyse(t, rec, s), KindSettingsUnused, "known-half-life known-level settles-at at resistance")
	used := &Settings{}
	used.Known.Frequency, used.Known.Drive = unit.Value{X: 0.4, U: 0.01, Unit: "Hz"}, unit.Value{X: 6, U: 0.1, Unit: "V"}
	if f := analyse(t, rec, used); remark.Any(f.Notes, KindSettingsUnused) {
		t.Errorf("%v", f.Notes)
	}
}

func said(t *testing.T, f *Findings, k remark.Kind, settings string) {
	t.Helper()
	for _, r := range f.Notes {
		if r.Kind == k {
			if r.Word("settings") != settings {
				t.Errorf("%s: %q, want %q", k, r.Word("settings"), settings)
			}
			return
		}
	}
	t.Errorf("%s is not told", k)
}

// The time to a share of the start is that to the voltage it makes, but for the volts scale, which it does not depend
// on.
func TestTheTimeToAShareOfTheStart(t *testing.T) {
	rec := tenBoxes(func(t float64) float64 { return 6 * math.Exp(-math.Max(0, t-1)/1.5) })
	rec = with(rec, "volts scale", true, func(_, v float64) (dt, dv float64) { return 0, 0.02 * v })
	f := analyse(t, rec, &Settings{Levels: []float64{3}, LevelShares: []float64{0.5}})
	volts, half := seek(t, f, "time_at_level", "reading", "from the knee to 3.00 V"), seek(t, f, "time_at_level", "reading", "from the knee to 50 % of the start")
	if math.Abs(half.Value.X-1.5*math.Ln2) > 3*half.Value.U || !(half.Value.U > 0) || half.Value.U > volts.Value.U/2 {
		t.Errorf("to 3 V %v, to half of the start %v; truth %.4g", volts.Value, half.Value, 1.5*math.Ln2)
	}
}

// What is known of a decay from elsewhere is compared like R·C.
func TestAKnownTimeConstantAndHalfLifeAreCompared(t *testing.T) {
	rec := tenBoxes(func(t float64) float64 { return 6 * math.Exp(-math.Max(0, t-1)/1.5) })
	for _, c := range []struct {
		tau, half float64
		agree     bool
	}{{1.5, 1.5 * math.Ln2, true}, {1.65, 1.65 * math.Ln2, false}} {
		s := &Settings{}
		s.Known.Tau = unit.Value{X: c.tau, U: 0.01, Unit: "s"}
		s.Known.HalfLife = unit.Value{X: c.half, U: 0.01, Unit: "s"}
		n := 0
		for _, got := range analyse(t, rec, s).Comparisons {
			if of := got.What.Word("of"); of == ofTau || of == ofHalfLife {
				if n++; got.Agree != c.agree {
					t.Errorf("%s %v: agree %v, zeta %.1f", of, c, got.Agree, got.Zeta)
				}
			}
		}
		if n != 2 {
			t.Errorf("%d comparisons", n)
		}
	}
}
