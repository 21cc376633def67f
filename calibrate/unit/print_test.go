package unit

import (
	"fmt"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestStringFollowsTheWorkedExamples(t *testing.T) {
	for _, c := range []struct {
		v    Value
		want string
	}{
		// JCGM 100:2008, 7.2.2: 100,021 47(35) g; 7.2.6: y = 10,057 62 Ω with u = 27 mΩ is given as
		// 10,058 Ω and 28,05 kHz as 28 kHz (from memory; its decimal comma is our point).
		{Value{X: 100.02147, U: 0.00035, Unit: "1"}, "100.02147(35)"},
		{Value{X: 10.05762, U: 0.027, Unit: "Ω"}, "10.058(27) Ω"},
		// CODATA 2018, Planck constant over 2π before it became exact by definition, and the
		// gravitational constant, 6.674 30(15)e-11 (from memory).
		{Value{X: 6.67430e-11, U: 0.00015e-11, Unit: "1"}, "6.67430(15) × 10⁻¹¹"},
		// Particle Data Group, Review of Particle Physics, Introduction: 0.827 ± 0.119 becomes
		// 0.83 ± 0.12 and 0.827 ± 0.367 becomes 0.8 ± 0.4 (from memory).
		{Value{X: 0.827, U: 0.119, Unit: "1"}, "0.83(12)"},
		{Value{X: 0.827, U: 0.367, Unit: "1"}, "0.8(4)"},
		{Value{X: 10.337, U: 0.062, Unit: "s"}, "10.34(6) s"},
		{Value{X: 4.7e-3, U: 4e-5, Unit: "s"}, "4.70(4) ms"},
		{Value{X: 4.7e-3, U: 2e-5, Unit: "s"}, "4.700(20) ms"},
		{Value{X: 470e-6, U: 54.27e-6, Unit: "F"}, "470(50) µF"},
		{Value{X: 500, U: 123, Unit: "V"}, "500(120) V"},
		{Value{X: -9.004, U: 0.04, Unit: "V"}, "−9.00(4) V"},
		{Value{X: -0.001, U: 0.06, Unit: "V"}, "0(60) mV"},
		{Value{X: 0, U: 0.06, Unit: "V"}, "0(60) mV"},
		{Value{X: 12344, U: 40, Unit: "s"}, "12340(40) s"},
		{Value{X: 12344, U: 40, Unit: "Hz"}, "12.34(4) kHz"},
	} {
		if got := c.v.String(); got != c.want {
			t.Errorf("%v ± %v %s prints %q, want %q", c.v.X, c.v.U, c.v.Unit, got, c.want)
		}
	}
}

func TestStringOfExactValues(t *testing.T) {
	for _, c := range []struct {
		x    float64
		unit string
		want string
	}{
		{21900, "Ω", "21.9 kΩ"},
		{2, "V", "2 V"},
		{100, "V", "100 V"},
		{0.1 + 0.2, "V", "300 mV"},
		{1.0 / 3, "1", "0.333333333333"},
		{10.34, "s", "10.34 s"},
		{0, "V", "0 V"},
		{-0.5, "V", "−500 mV"},
		{1e4, "s", "10000 s"}, // no kiloseconds
		{1234567, "s", "1.234567 × 10⁶ s"},
		{3e-20, "V", "3 × 10⁻²⁰ V"},
		{0.05, "1", "0.05"},
		{3.2, "V/s", "3.2 V/s"},
	} {
		if got := (Value{X: c.x, Unit: c.unit}).String(); got != c.want {
			t.Errorf("%v %s prints %q, want %q", c.x, c.unit, got, c.want)
		}
	}
	// Below the digits of an exact value an uncertainty is not shown.
	if got := (Value{X: 1, U: 0.9e-12, Unit: "V"}).String(); got != "1 V" {
		t.Errorf("u of a part in 10^12 prints %q", got)
	}
	if got := (Value{X: 1, U: 1e-12, Unit: "V"}).String(); got != "1.0000000000000(10) V" {
		t.Errorf("u of a part in 10^12 prints %q", got)
	}
}

func TestStringSaysWhatIsNotKnown(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct{ x, u float64 }{{10.337, nan}, {10.337, inf}, {10.337, -1}} {
		if got := (Value{X: c.x, U: c.u, Unit: "s"}).String(); got != "10.34 s (u not determined)" {
			t.Errorf("u = %v prints %q", c.u, got)
		}
	}
	for _, x := range []float64{nan, inf, -inf} {
		v := Value{X: x, U: 1, Unit: "s"}
		for _, got := range []string{v.String(), v.Plain(), v.PlusMinus(1), Engineering(x, 3, "s")} {
			if got != "not determined" {
				t.Errorf("%v prints %q", x, got)
			}
		}
	}
}

func TestRoundingRuleAtItsThresholdsAndBeforeThem(t *testing.T) {
	before := func(x float64) float64 { return math.Nextafter(x, 0) }
	for _, c := range []struct {
		u    float64
		want string
	}{
		{0.100, "5.00(10) V"}, {before(0.100), "5.00(10) V"}, // 0.09999… is among 950 to 999
		{0.355, "5.0(4) V"}, {before(0.355), "5.00(35) V"},
		{0.95, "5.0(10) V"}, {before(0.95), "5.0(9) V"},
		{1.0, "5.0(10) V"}, {before(1.0), "5.0(10) V"},
		{0.105, "5.00(11) V"}, {before(0.105), "5.00(10) V"},
	} {
		if got := (Value{X: 5, U: c.u, Unit: "V"}).String(); got != c.want {
			t.Errorf("u = %v prints %q, want %q", c.u, got, c.want)
		}
	}
}

// Reference: the Python library uncertainties 3.1.6 (Debian package python3-uncertainties), format
// "{:S}", on the first 24 of a seeded draw. It writes 2.1 where we write 21 in units of the last
// digit, and powers of ten where no digit is certain, so that the two are compared as read back. Of
// 3994 draws 3964 agreed; the others end in an exact half, which it rounds by the binary value.
func TestRoundingAgreesWithAReferenceLibrary(t *testing.T) {
	for _, c := range []struct {
		x, u float64
		text string
	}{
		{-18.855212, 2.1365, "-18.9(2.1)"},
		{-1.05968, 0.0014009, "-1.0597(14)"},
		{7.7541834, 0.0019103, "7.7542(19)"},
		{-0.24185839, 3.6488e-07, "-0.2418584(4)"},
		{5.4002384, 0.34259, "5.40(34)"},
		{-60.174821, 0.0028661, "-60.1748(29)"},
		{-23.056356, 0.00010158, "-23.05636(10)"},
		{0.13544037, 1.9591e-07, "0.13544037(20)"},
		{-559.51749, 0.14106, "-559.52(14)"},
		{-735.83728, 27.52, "-736(28)"},
		{-112.08047, 92.53, "-1.1(9)e+02"},
		{-2.4315749, 0.044672, "-2.43(4)"},
		{630.85991, 433.44, "6(4)e+02"},
		{220.57706, 0.70668, "220.6(7)"},
		{-0.56222084, 1.0068, "-0.6(1.0)"},
		{0.30984325, 3.8648e-05, "0.30984(4)"},
		{10.73284, 5.8194, "11(6)"},
		{-1.6497065, 0.0083017, "-1.650(8)"},
		{238.70731, 0.36404, "238.7(4)"},
		{-8.3426371, 0.4044, "-8.3(4)"},
		{4.5600512, 5.6094e-05, "4.56005(6)"},
		{0.22601695, 0.0034341, "0.2260(34)"},
		{-128.2926, 0.24554, "-128.29(25)"},
		{3.0526725, 0.12621, "3.05(13)"},
	} {
		want, err := ParseSigned(c.text, "1")
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		text := Value{X: c.x, U: c.u, Unit: "1"}.String()
		got, err := ParseSigned(text, "1")
		if err != nil || !cmp.Equal(got, want, near) {
			t.Errorf("%v with u = %v prints %q, the reference %q (%v)", c.x, c.u, text, c.text, err)
		}
	}
}

func TestPrefixAtItsThresholdsAndBeforeThem(t *testing.T) {
	for _, c := range []struct {
		x    float64
		unit string
		at   string // at x
		less string // just below, to three digits: rounded first, then prefixed
		well string // well below
	}{
		{1, "s", "1.00 s", "1.00 s", "999 ms"},
		{1e-3, "s", "1.00 ms", "1.00 ms", "999 µs"},
		{1e-6, "V", "1.00 µV", "1.00 µV", "999 nV"},
		{1e3, "V", "1.00 kV", "1.00 kV", "999 V"},
		{1e6, "Ω", "1.00 MΩ", "1.00 MΩ", "999 kΩ"},
		{1e-9, "F", "1.00 nF", "1.00 nF", "999 pF"},
		{1e3, "s", "1000 s", "1000 s", "999 s"},
		{1e6, "s", "1.00 × 10⁶ s", "1.00 × 10⁶ s", "999000 s"},
		{1e-15, "s", "0.00100 ps", "0.00100 ps", "9.99 × 10⁻¹⁶ s"},
	} {
		for x, want := range map[float64]string{c.x: c.at, math.Nextafter(c.x, 0): c.less, 0.999 * c.x: c.well} {
			if got := Engineering(x, 3, c.unit); got != want {
				t.Errorf("%v %s prints %q, want %q", x, c.unit, got, want)
			}
		}
	}
}

func TestVariantsForReports(t *testing.T) {
	v := Value{X: 10.337, U: 0.062, Unit: "s"}
	for _, c := range []struct{ got, want string }{
		{v.Plain(), "10.34 s"},
		{v.PlusMinus(0.124), "(10.34 ± 0.12) s"},
		{v.PlusMinus(0), "10.34 s"},
		{v.PlusMinus(math.NaN()), "10.34 s"},
		{Value{X: 0.52, U: 0.02, Unit: "1"}.PlusMinus(0.04), "0.52 ± 0.04"},
		{Value{X: 21900, Unit: "Ω"}.Plain(), "21.9 kΩ"},
		{Value{X: 1234567, Unit: "s"}.Plain(), "1.234567 × 10⁶ s"},
		{Value{X: 2.5, U: math.NaN(), Unit: "V"}.Plain(), "2.500 V"},
		{v.Uncertainty(), "0.06 s"},
		{Value{X: 470e-6, U: 54e-6, Unit: "F"}.Uncertainty(), "50 µF"},
		{Value{X: 2, Unit: "V"}.Uncertainty(), ""},
		{Value{X: 2, U: math.NaN(), Unit: "V"}.Uncertainty(), "not determined"},
		{Value{X: 1, U: 1e-15, Unit: "s"}.Uncertainty(), "0.0010 ps"},
		{Value{X: 3e-20, U: 2e-21, Unit: "V"}.PlusMinus(4e-21), "(3.0 ± 0.4) × 10⁻²⁰ V"},
		{Engineering(2.5e-3, 3, "s"), "2.50 ms"},
		{Engineering(0, 3, "s"), "0 s"},
		{Engineering(98765, 2, "Ω"), "99 kΩ"},
	} {
		if c.got != c.want {
			t.Errorf("printed %q, want %q", c.got, c.want)
		}
	}
}

func TestScaleGivesTheUnitOfAnAxis(t *testing.T) {
	for _, c := range []struct {
		x    float64
		unit string
		size float64
		name string
	}{
		{0.05, "s", 1e-3, "ms"}, {50, "s", 1, "s"}, {-4700, "Ω", 1e3, "kΩ"}, {0, "V", 1, "V"},
		{math.NaN(), "V", 1, "V"}, {1e-7, "s", 1e-9, "ns"}, {5, "1", 1, ""}, {3, "V", 1, "V"},
	} {
		if size, name := Scale(c.x, c.unit); size != c.size || name != c.name {
			t.Errorf("Scale(%v, %q) = %v, %q; want %v, %q", c.x, c.unit, size, name, c.size, c.name)
		}
	}
}

// The place kept of u is at least a 9.5th of it and u is changed by at most 0.5/3.55 (14 %), so the
// value is moved by at most 14 % of u.
const roundingShare = 0.5 / 3.55

// exactShare is half a unit of the twelfth digit of a number that begins with 1.
const exactShare = 0.51e-11

func TestParseUndoesString(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := Value{
			X:    rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign") * math.Pow(10, rapid.Float64Range(-11, 11).Draw(t, "log x")),
			Unit: rapid.SampledFrom([]string{"V", "s", "Hz", "Ω", "F", "1"}).Draw(t, "unit"),
		}
		if rapid.Bool().Draw(t, "uncertain") {
			v.U = math.Abs(v.X) * math.Pow(10, rapid.Float64Range(-9, 1).Draw(t, "log u/x"))
		}
		text := v.String()
		w, err := ParseSigned(text, v.Unit)
		if err != nil {
			t.Fatalf("%+v prints %q: %v", v, text, err)
		}
		slack := roundingShare*v.U*(1+1e-9) + math.Abs(v.X)*exactShare
		if math.Abs(w.X-v.X) > slack || math.Abs(w.U-v.U) > roundingShare*v.U*(1+1e-9) || w.Unit != v.Unit {
			t.Fatalf("%+v prints %q, read as %+v", v, text, w)
		}
		if again := w.String(); again != text {
			t.Fatalf("%q is read and printed as %q", text, again)
		}
	})
}

func ExampleValue_String() {
	tau, _ := Parse("10.337(62) s", "s")
	r, _ := Parse("21.9k±0.3%", "Ω")
	fmt.Println(tau)
	fmt.Println(tau.PlusMinus(2 * tau.U))
	fmt.Println(r)
	// Output:
	// 10.34(6) s
	// (10.34 ± 0.12) s
	// 21.90(4) kΩ
}

// A part of a sum is printed no finer than the sum's own last digit.
func TestPartsOfASumShareTheirLastDigit(t *testing.T) {
	for _, c := range []struct {
		x, other float64
		digits   int
		want     string
	}{
		{5.97e-4, 3.198, 4, "1 mV"}, {-4.93e-4, 2.42, 3, "0 V"}, {0.735e-3, 3, 3, "0 V"}, {2.996, 3, 3, "3.00 V"}, {-0.0312, 9, 3, "−30 mV"},
		{0.5, 20, 3, "500 mV"}, {12.34, 0.5, 2, "12.34 V"}, {0, 3, 3, "0 V"}, {2, 0, 3, "2.00 V"},
	} {
		if got := EngineeringBeside(c.x, c.other, c.digits, "V"); got != c.want {
			t.Errorf("%g beside %g: %q, want %q", c.x, c.other, got, c.want)
		}
	}
}

// 999.8(20) Hz stays in hertz with its interval, though 999.8 to three digits are 1.00 kHz.
func TestScaleIsTheOneThatStringUses(t *testing.T) {
	for v, want := range map[Value]string{{X: 999.8, U: 2, Unit: "Hz"}: "Hz", {X: 1000.2, U: 2, Unit: "Hz"}: "kHz", {X: 0.0002, U: 0.033, Unit: "V"}: "mV", {X: 999.8, Unit: "Hz"}: "kHz"} {
		if _, name := v.Scale(); name != want {
			t.Errorf("%s: scale %s, want %s", v, name, want)
		}
	}
}
