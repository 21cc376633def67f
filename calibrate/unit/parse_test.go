package unit

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

var near = cmpopts.EquateApprox(1e-14, 0)

func TestParseReadsWhatPeopleWrite(t *testing.T) {
	for _, c := range []struct {
		text, want string
		x, u       float64
	}{
		// Plain numbers with a unit; all of these are exact in the sense that x is the float64 of the
		// decimal number in base units.
		{"2V", "V", 2, 0},
		{" 500 mV ", "V", 0.5, 0},
		{"+2V", "V", 2, 0},
		{"2 volts", "V", 2, 0},
		{"2.5s", "s", 2.5, 0},
		{"250us", "s", 250e-6, 0},
		{"250 \u00b5s", "s", 250e-6, 0}, // micro sign
		{"250 \u03bcs", "s", 250e-6, 0}, // Greek mu
		{"250\u202f\u00b5s", "s", 250e-6, 0},
		{"20 msec", "s", 20e-3, 0},
		{"1e-3s", "s", 1e-3, 0},
		{"1E3 Hz", "Hz", 1e3, 0},
		{"3 × 10⁻³ s", "s", 3e-3, 0},
		{"3x10^-3s", "s", 3e-3, 0},
		{"3·10³ Hz", "Hz", 3e3, 0},
		{".5V", "V", 0.5, 0},
		{"5.V", "V", 5, 0},
		{"50Hz", "Hz", 50, 0},
		{"1.2 kHz", "Hz", 1200, 0},
		{"1.2KHz", "Hz", 1200, 0},
		{"3MHz", "Hz", 3e6, 0},
		{"3mHz", "Hz", 3e-3, 0}, // case counts
		// Five ways to say ohm.
		{"50Ohm", "Ω", 50, 0},
		{"50 ohm", "Ω", 50, 0},
		{"50\u03a9", "Ω", 50, 0},
		{"50\u2126", "Ω", 50, 0},
		{"50R", "Ω", 50, 0},
		{"21.9 kohms", "Ω", 21900, 0},
		{"22K", "Ω", 22000, 0},
		{"1M", "Ω", 1e6, 0},
		{"1MΩ", "Ω", 1e6, 0},
		{"1mΩ", "Ω", 1e-3, 0},
		{"470u", "F", 470e-6, 0},
		{"1mF", "F", 1e-3, 0},
		{"10nF", "F", 10e-9, 0},
		{"22pF", "F", 22e-12, 0},
		{"10", "1", 10, 0},
		// The other case, where it can be meant in one way only.
		{"5S", "s", 5, 0},
		{"1.5v", "V", 1.5, 0},
		{"20mv", "V", 0.02, 0},
		// Decimal comma and groups of digits.
		{"1,5 V", "V", 1.5, 0},
		{"0,500 V", "V", 0.5, 0},
		{"1,50 V", "V", 1.5, 0},
		{"1234,500 V", "V", 1234.5, 0},
		{"1.500 V", "V", 1.5, 0},
		{"10 000 Hz", "Hz", 1e4, 0},
		// RKM code, IEC 60062 (R47, 4R7, 4K7, 1M0 and p33, 3p3, 3n3 are in its tables; from memory).
		{"4k7", "Ω", 4700, 0},
		{"4K7", "Ω", 4700, 0},
		{"2R2", "Ω", 2.2, 0},
		{"R47", "Ω", 0.47, 0},
		{"1M0", "Ω", 1e6, 0},
		{"4k7Ω", "Ω", 4700, 0},
		{"4u7", "F", 4.7e-6, 0},
		{"4µ7F", "F", 4.7e-6, 0},
		{"p33", "F", 0.33e-12, 0},
		{"3n3", "F", 3.3e-9, 0},
		{"3V3", "V", 3.3, 0},
		// The standard uncertainty in parentheses. The first three are the forms of the example of JCGM
		// 100:2008, 7.2.2 (a mass of 100,021 47 g with u = 0,35 mg; from memory), read as plain numbers.
		{"100,021 47(35)", "1", 100.02147, 0.00035},
		{"100.02147(35)", "1", 100.02147, 0.00035},
		{"100,021 47(0,000 35)", "1", 100.02147, 0.00035},
		{"9.00(3) V", "V", 9, 0.03},
		{"10.34(6)s", "s", 10.34, 0.06},
		{"4.700(20) ms", "s", 4.7e-3, 20e-6},
		{"500(50) V", "V", 500, 50},
		{"6.67430(15) × 10⁻¹¹", "1", 6.6743e-11, 0.00015e-11},
		{"1.25(10)e-3 s", "s", 1.25e-3, 1e-4},
		// Limits: u is the half-width over the square root of 3, JCGM 100:2008, 4.3.7.
		{"21.9kΩ±0.3%", "Ω", 21900, 65.7 / math.Sqrt(3)},
		{"21.9k +/- 0.3%", "Ω", 21900, 65.7 / math.Sqrt(3)},
		{"21.9k+-0.3 %", "Ω", 21900, 65.7 / math.Sqrt(3)},
		{"4k7±5%", "Ω", 4700, 235 / math.Sqrt(3)},
		{"470u±20%", "F", 470e-6, 94e-6 / math.Sqrt(3)},
		{"470uF±20%", "F", 470e-6, 94e-6 / math.Sqrt(3)},
		{"1 kHz ± 100 ppm", "Hz", 1000, 0.1 / math.Sqrt(3)},
		{"10 V ± 0.2 V", "V", 10, 0.2 / math.Sqrt(3)},
		{"10 V ± 200 mV", "V", 10, 0.2 / math.Sqrt(3)},
		{"10 ± 0.2 V", "V", 10, 0.2 / math.Sqrt(3)},
		{"10 ± 0.2 s", "s", 10, 0.2 / math.Sqrt(3)},
		{"(10 ± 0.2) × 10⁻³ V", "V", 10e-3, 0.2e-3 / math.Sqrt(3)},
		{"(10.0 ± 0.2) mV", "V", 10e-3, 0.2e-3 / math.Sqrt(3)},
		{"(10,0 ± 0,2) mV", "V", 10e-3, 0.2e-3 / math.Sqrt(3)},
		// A meter's share of the reading and digits, worked out by hand: 0.5 % of 21.9 kΩ is 109.5 Ω, two digits of
		// 0.1 kΩ are 200 Ω (the way of stating it: common practice, no source).
		{"21.9kΩ±(0.5%+2)", "Ω", 21900, 309.5 / math.Sqrt(3)},
		{"21.90kΩ ± (0.5 % + 2)", "Ω", 21900, 129.5 / math.Sqrt(3)},
		{"21.9k±0.5%+2", "Ω", 21900, 309.5 / math.Sqrt(3)},
		{"21900 Ω ± (0,5 % + 2 digits)", "Ω", 21900, 111.5 / math.Sqrt(3)},
		{"4k7±(1%+3dgt)", "Ω", 4700, 347 / math.Sqrt(3)},
		{"470.3uF +/- (2% + 5 counts)", "F", 470.3e-6, (9.406e-6 + 0.5e-6) / math.Sqrt(3)},
		{"8.96 V ± (0 % + 1)", "V", 8.96, 0.01 / math.Sqrt(3)},
		{"1.20e3 Hz±(0.1%+1d)", "Hz", 1200, (1.2 + 10) / math.Sqrt(3)},
	} {
		v, err := Parse(c.text, c.want)
		if err != nil {
			t.Errorf("Parse(%q, %q): %v", c.text, c.want, err)
			continue
		}
		want := Value{X: c.x, U: c.u, Unit: c.want, Rectangular: strings.ContainsAny(c.text, "±+") && c.u > 0}
		if d := cmp.Diff(want, v, near); d != "" {
			t.Errorf("Parse(%q, %q): -want +got\n%s", c.text, c.want, d)
		}
	}
}

func TestParsedPrefixesAreExact(t *testing.T) {
	for _, c := range []struct {
		text, unit string
		want       float64
	}{{"250us", "s", 250e-6}, {"0.3ns", "s", 0.3e-9}, {"21.9k", "Ω", 21.9e3}, {"4u7", "F", 4.7e-6}} {
		if v, err := Parse(c.text, c.unit); err != nil || v.X != c.want {
			t.Errorf("%q is %v (%v), want exactly %v", c.text, v.X, err, c.want)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ text, want, reason string }{
		{"", "V", "is empty"},
		{"   ", "V", "is empty"},
		{"V", "V", "does not begin with a number"},
		{"NaN", "V", "does not begin with a number"},
		{"NaN V", "V", "does not begin with a number"},
		{"Inf V", "V", "does not begin with a number"},
		{"-Inf", "V", "does not begin with a number"},
		{"abc", "s", "does not begin with a number"},
		{".", "s", "does not begin with a number"},
		{"0V", "V", "is not above zero"},
		{"0", "V", "is not above zero"},
		{"-2V", "V", "is not above zero"},
		{"\u22122V", "V", "is not above zero"},
		{"5", "s", "has no unit"},
		{"10 ± 1%", "F", "has no unit"},
		{"1", "V", "has no unit"},
		{"50", "Ω", "has no unit"},
		{"50", "Hz", "has no unit"},
		{"10 ± 0.2", "V", "has no unit"},
		{"9.00(3)", "V", "has no unit"},
		{"2A", "V", "is a current, not a voltage"},
		{"2s", "V", "is a time, not a voltage"},
		{"2mV", "s", "is a voltage, not a time"},
		{"2R2", "V", "is a resistance, not a voltage"},
		{"470uF", "Ω", "is a capacitance, not a resistance"},
		{"3 min", "s", "is a count of minutes, not a time"},
		{"2%", "V", "is a percentage, not a voltage"},
		{"2div", "V", "is a count of boxes, not a voltage"},
		{"2 furlongs", "V", `has "furlongs" behind the number`},
		{"0x10", "V", `has "x10" behind the number`},
		{"2 V V", "V", `has "VV" behind the number`},
		{"5MS", "s", "upper and lower case count"},
		{"5 mhz", "Hz", "upper and lower case count"},
		{"1,500 V", "V", "can be read in two ways, as 1.500 or as 1500"},
		{"1,234.5 V", "V", "can be read in two ways"},
		{"1e99V", "V", "is outside anything met at the bench"},
		{"1e999V", "V", "is outside anything met at the bench"},
		{"1e-999V", "V", "is outside anything met at the bench"},
		{"1e-30 s", "s", "is outside anything met at the bench"},
		{"1(1)e99 V", "V", "is outside anything met at the bench"},
		{"2(2)V", "V", "has an uncertainty as large as itself"},
		{"2V ± 2V", "V", "has an uncertainty as large as itself"},
		{"470u±120%", "F", "has an accuracy of more than 100 %"},
		{"470u±20", "F", "does not say in which unit"},
		{"4k7 ± 20", "Ω", "does not say in which unit"},
		{"10 ± 0.2 mV", "V", "does not say in which unit"},
		{"10 V ± 0.2 s", "V", "in a unit that does not fit"},
		{"10 V ± -0.2 V", "V", "no plain number behind ±"},
		{"10 V ±", "V", "no plain number behind ±"},
		{"± 3%", "V", "is empty"},
		{"10 V ± 1 % ± 1 %", "V", "in a unit that does not fit"},
		{"10.0(2) V ± 1 %", "V", "has two uncertainties"},
		{"(10 ± 0.2 V", "V", ""},
		{"21.9k±(150%+2)", "Ω", "has an accuracy of more than 100 %"},
		{"21.9k±(0.5%+2", "Ω", "no plain number behind ±"},
		{"21.9k±(0.5+2)", "Ω", "no plain number behind ±"},
		{"21.9k±(0.5%+-2)", "Ω", "no plain number behind ±"},
		{"21.9k±(-0.5%+2)", "Ω", "no plain number of percent behind ±"},
		{"21.9k±(0.5%+1001)", "Ω", "more digits behind ± than any meter"},
		{"21.9k±(0.5%+900)", "Ω", "an uncertainty as large as itself"},
		{"10.0() V", "V", "behind the number"},
		{"1.0(2 V", "V", "behind the number"},
		{"\xff2V", "V", "not text"},
		{strings.Repeat("1", 81), "V", "too long"},
		{strings.Repeat("x", 50), "V", `"` + strings.Repeat("x", 40) + `…" does not begin`},
		{"1" + strings.Repeat(" ", 78) + "A", "V", "is a current"},
	} {
		v, err := Parse(c.text, c.want)
		var bad *ParseError
		if !errors.As(err, &bad) {
			t.Errorf("Parse(%q, %q) = %v, %v; want a *ParseError", c.text, c.want, v, err)
			continue
		}
		if !strings.Contains(bad.Reason, c.reason) {
			t.Errorf("Parse(%q, %q): reason %q, want %q in it", c.text, c.want, bad.Reason, c.reason)
		}
		if q, _ := quantityOf(c.want); bad.Text != c.text || !strings.Contains(bad.Hint, q.example) && !rewritten(bad.Hint, c.want) || v != (Value{}) {
			t.Errorf("Parse(%q, %q) = %v, %+v: want the text, an example and no value", c.text, c.want, v, bad)
		}
	}
}

// rewritten says that a hint writes the text anew, in forms that are all read.
func rewritten(hint, want string) bool {
	forms, found := strings.CutPrefix(hint, "write ")
	if !found {
		if forms, found = strings.CutPrefix(hint, "put ± or +- between them: "); !found {
			return false
		}
	}
	for _, form := range strings.Split(strings.NewReplacer(", or ", ";", " or ", ";", ", ", ";").Replace(forms), ";") {
		if _, err := ParseSigned(form, want); err != nil {
			return false
		}
	}
	return true
}

// A value that lacks its unit, whose limits lack theirs, or whose ± is missing, is written out as it may be meant.
func TestHintsWriteOutWhatIsMeant(t *testing.T) {
	for _, c := range []struct{ text, want, hint string }{
		{"4.7 ms +- 0.2", "s", "write 4.7ms ± 0.2ms, or 4.7ms ± 0.2%"},
		{"470u ± 20", "F", "write 470u ± 20u, or 470u ± 20%"},
		{"10 ± 0.2 mV", "V", "write 10mV ± 0.2mV, or 10V ± 0.2mV"},
		{"9V 0.2V", "V", "put ± or +- between them: 9V ± 0.2V"},
		{"7.2 s 0.5 s", "s", "put ± or +- between them: 7.2s ± 0.5s"},
		{"1", "V", "write 1V or 1mV"},
		{"20", "s", "write 20s, 20ms or 20us"},
		{"50", "Ω", "write 50ohm or 50k"},
		{"10 ± 0.2", "V", "write 10V ± 0.2V or 10mV ± 0.2mV"},
		{"10 ± 1 %", "F", "write 10uF ± 1% or 10nF ± 1%"},
		{"9.00(3)", "V", "write 9.00(3)V or 9.00(3)mV"},
		{"9V 0.2V 1V", "V", "give a voltage such as 500mV or 2V"},
		{"5 V x", "V", "give a voltage such as 500mV or 2V"},
	} {
		_, err := ParseSigned(c.text, c.want)
		var bad *ParseError
		if !errors.As(err, &bad) || bad.Hint != c.hint {
			t.Errorf("%q: %+v, want %q", c.text, err, c.hint)
		} else if strings.ContainsAny(c.hint, "±") && !rewritten(c.hint, c.want) {
			t.Errorf("%q: the hint %q is refused", c.text, c.hint)
		}
	}
}

func TestExamplesInHintsAreAccepted(t *testing.T) {
	for _, q := range quantities {
		for _, example := range strings.FieldsFunc(strings.ReplaceAll(q.example, " or ", ","), func(r rune) bool { return r == ',' }) {
			if _, err := Parse(example, q.symbol); err != nil {
				t.Errorf("%v", err)
			}
		}
	}
}

func TestParseBoundsAreInclusive(t *testing.T) {
	for _, c := range []struct {
		text string
		ok   bool
	}{{"1e15", true}, {"1000000000000001000", false}, {"1.000000000000001e15", false}, {"1e-15", true}, {"9.99999999999999e-16", false}} {
		if _, err := Parse(c.text+"R", "Ω"); (err == nil) != c.ok {
			t.Errorf("Parse(%q): %v, want ok = %v", c.text, err, c.ok)
		}
	}
}

func TestParseSignedTakesZeroAndNegativeLevels(t *testing.T) {
	for text, want := range map[string]float64{"0V": 0, "0": 0, "-500mV": -0.5, "\u22121.5 V": -1.5, "-1V5": -1.5} {
		if v, err := ParseSigned(text, "V"); err != nil || v.X != want {
			t.Errorf("ParseSigned(%q) = %v, %v; want %v", text, v.X, err, want)
		}
	}
}

func TestParsePanicsOnAnUnknownWant(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic for a unit that is not read")
		}
	}()
	_, _ = Parse("2", "furlong")
}

func TestLimitIsTheHalfWidthStated(t *testing.T) {
	v, err := Parse("470uF±20%", "F")
	if err != nil || !v.Rectangular || math.Abs(v.Limit()-94e-6) > 1e-18 {
		t.Errorf("limit %v of %+v (%v), want 94e-6", v.Limit(), v, err)
	}
	if w := Limits(470e-6, 94e-6, "F"); !cmp.Equal(w, v, near) {
		t.Errorf("Limits gives %+v, Parse %+v", w, v)
	}
}
