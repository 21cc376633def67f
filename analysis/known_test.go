package analysis

import (
	"math"
	"testing"

	"quadrille/calibrate/remark"
)

func comparison(t *testing.T, f *Findings, of string) Comparison {
	t.Helper()
	for _, c := range f.Comparisons {
		if c.What.Kind == KindSeenAndGiven && c.What.Word("of") == of {
			return c
		}
	}
	t.Fatalf("no comparison of a %s among %d", of, len(f.Comparisons))
	return Comparison{}
}

// 100 kΩ charges towards 6 V beside 1 MΩ: 6/1.1 = 5.45 V (voltage divider).
func TestALeakIsSeenInTheLevelThatIsReached(t *testing.T) {
	s := specimen{n: 600, span: 10e-3, sigma: 0.01, v: squareDriven(6/1.1, 2e-3, 0.3e-3, 0.3e-3)}
	rec := s.record(1)
	with(rec, "ground line", false, func(_, _ float64) (float64, float64) { return 0, 0.3 })
	set := &Settings{Resistance: unitValue(100e3, 100, "Ω"), Known: Known{Drive: unitValue(6, 0.02, "V")}}
	c := comparison(t, analyse(t, rec, set), ofDrive)
	if c.Agree || len(c.Causes) != 2 || c.Causes[0].Kind != KindCauseDivider || c.Causes[0].Number("resistance_ohm") != 100e3 ||
		c.Causes[0].Number("share") < 0.995 || c.Causes[1].Kind != KindCauseLeak || math.Abs(c.Causes[1].Number("leak_ohm")-1e6) > 5e4 {
		t.Errorf("%+v", c)
	}
	near(t, "gap over u", c.Zeta, (6/1.1-6)/0.02, 1) // the ground line has no part in it
	set.Known.Drive = unitValue(6/1.1, 0.02, "V")
	if c := comparison(t, analyse(t, rec, set), ofDrive); !c.Agree {
		t.Errorf("%+v", c)
	}
}

// Common practice, no source: 20 kHz is a period of 50 µs.
func TestAFrequencyIsHeldAgainstTheDial(t *testing.T) {
	rec := specimen{n: 500, span: 200e-6, sigma: 0.02, v: sineOf(0, 3, 20e3, 0.4)}.record(2)
	f := analyse(t, rec, &Settings{Known: Known{Frequency: unitValue(20e3, 0, "Hz")}})
	if c := comparison(t, f, ofFrequency); !c.Agree || c.What.Number("limit_share") != 0.05 {
		t.Errorf("%+v", c)
	}
	f = analyse(t, rec, &Settings{Known: Known{Frequency: unitValue(21e3, 50, "Hz")}})
	if c := comparison(t, f, ofFrequency); c.Agree || c.Zeta > -10 {
		t.Errorf("%+v", c)
	}
}

// Of a generator's sine a student knows the peak-to-peak voltage: it is the drive, and is held against the fitted one.
func TestTheDriveOfASineIsItsPeakToPeak(t *testing.T) {
	rec := specimen{n: 500, span: 10e-3, sigma: 0.01, v: sineOf(0.5, 3, 300, 0.4)}.record(2)
	with(rec, groundTerm, false, func(_, _ float64) (float64, float64) { return 0, 0.3 })
	for drive, agrees := range map[float64]bool{6: true, 12: false} {
		f := analyse(t, rec, &Settings{Known: Known{Drive: unitValue(drive, 0.05, "V")}})
		c := comparison(t, f, ofDrive)
		if c.Agree != agrees || f.Results[c.Results[0]].Quantity != "v_pp" {
			t.Errorf("%g V: %+v", drive, c)
		}
		if seen, ok := DriveOf(f); !ok || math.Abs(seen.X-6) > 0.01 || seen.U > 0.05 {
			t.Errorf("the drive is %+v", seen)
		}
	}
}

func TestAProbeThatWasForgottenIsNamed(t *testing.T) {
	rec := specimen{n: 300, span: 1, sigma: 0.002, v: func(float64) float64 { return 0.9 }}.record(2)
	f := analyse(t, rec, &Settings{Known: Known{Level: unitValue(9, 0.05, "V")}})
	if c := comparison(t, f, ofLevel); c.Agree || len(c.Causes) != 1 || c.Causes[0].Kind != KindCauseProbe {
		t.Errorf("%+v", c)
	}
}

// The zeta score of two independent values, (x - X)/√(u² + U²) (ISO 13528, zeta scores; from memory): 10.34(6) and
// 10.10(8) give 0.24/0.1 = 2.4, which is a warning.
func TestZetaIsThatOfTheStandard(t *testing.T) {
	f := &Findings{}
	f.compareWith(unitValue(10.10, 0.08, "V"), "highest level", unitValue(10.34, 0.06, "V"), []int{0}, nil)
	near(t, "zeta", f.Comparisons[0].Zeta, 2.4, 1e-9)
	if f.Comparisons[0].Agree {
		t.Error("2.4 agrees")
	}
	if c := compared(KindReadingsInTheMean, 1.9, 1, "V", nil); !c.Agree {
		t.Error("1.9 does not agree")
	}
}

// A drive of 6 V is seen; one of 5 V on the dial, good to 1 %, is none of its own steps, and the cause is a scale.
// Twice what the dial says is a generator without its load. What agrees leaves no doubt.
func TestWhatIsNotTheGivenIsDoubted(t *testing.T) {
	rec := specimen{n: 600, span: 10e-3, sigma: 0.01, v: squareDriven(6, 2e-3, 0.3e-3, 0.3e-3)}.record(1)
	for _, c := range []struct {
		drive   float64
		doubted bool
		cause   remark.Kind
	}{{6, false, ""}, {5, true, KindCauseScale}, {3, true, KindCauseOpenGenerator}} {
		f := analyse(t, rec, &Settings{Known: Known{Drive: unitValue(c.drive, 0.01*c.drive, "V")}})
		k := comparison(t, f, ofDrive)
		if remark.Any(f.Doubts, KindSeenIsNotGiven) != c.doubted || (len(k.Causes) > 0) != c.doubted || c.doubted && k.Causes[0].Kind != c.cause {
			t.Errorf("%g V: doubts %q, causes %q", c.drive, f.Doubts, k.Causes)
		}
	}
	f := analyse(t, rec, &Settings{Known: Known{Drive: unitValue(5, 0.05, "V")}})
	near(t, "factor of the scale", comparison(t, f, ofDrive).Causes[0].Number("factor"), 5.0/6, 0.002)
	wave := specimen{n: 500, span: 200e-6, sigma: 0.02, v: sineOf(0, 3, 20e3, 0.4)}.record(2)
	f = analyse(t, wave, &Settings{Known: Known{Frequency: unitValue(10e3, 50, "Hz")}})
	if k := comparison(t, f, ofFrequency); !remark.Any(f.Doubts, KindSeenIsNotGiven) || len(k.Causes) != 1 || math.Abs(k.Causes[0].Number("factor")-2) > 0.01 {
		t.Errorf("10 kHz given, 20 kHz seen: doubts %q, causes %+v", f.Doubts, k.Causes)
	}
}
