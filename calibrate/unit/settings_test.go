package unit

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

func TestParseAccuracyNeedsItsUnit(t *testing.T) {
	for text, want := range map[string]float64{
		"3%": 0.03, "±3%": 0.03, "+/-3 %": 0.03, "0,5 %": 0.005, "100ppm": 100e-6, "± 25 ppm": 25e-6, "99.9%": 0.999,
	} {
		if a, err := ParseAccuracy(text); err != nil || a != want {
			t.Errorf("ParseAccuracy(%q) = %v, %v; want %v", text, a, err, want)
		}
	}
	for _, text := range []string{"", "%", "3", "0.03", "0%", "-3%", "100%", "250%", "3 V", "3(1)%", "NaN%", "1e-300%", "3%%", strings.Repeat("3", 200) + "%"} {
		a, err := ParseAccuracy(text)
		var bad *ParseError
		if !errors.As(err, &bad) || bad.Hint == "" || a != 0 {
			t.Errorf("ParseAccuracy(%q) = %v, %v; want a *ParseError with a hint", text, a, err)
		}
	}
}

func TestParseLevelsKeepsTheOrder(t *testing.T) {
	for _, c := range []struct {
		text string
		want []float64
	}{
		{"9V,7V,5V", []float64{9, 7, 5}},
		{"9V, 700 mV, -1 V", []float64{9, 0.7, -1}},
		{"1,5V; 1V; 0", []float64{1.5, 1, 0}},
		{"5V", []float64{5}},
		{"7.5V 5V", []float64{7.5, 5}},
		{"7.5 V 5 V -1 V", []float64{7.5, 5, -1}},
		{"7,5V 5V", []float64{7.5, 5}},
		{strings.Repeat("1V,", 63) + "1V", slices.Repeat([]float64{1}, 64)},
	} {
		levels, err := ParseLevels(c.text, "V")
		if err != nil || len(levels) != len(c.want) {
			t.Errorf("ParseLevels(%q) = %v, %v", c.text, levels, err)
			continue
		}
		for i, x := range c.want {
			if levels[i].X != x || levels[i].Unit != "V" {
				t.Errorf("ParseLevels(%q)[%d] = %v, want %v V", c.text, i, levels[i], x)
			}
		}
	}
	for _, text := range []string{"", ",", "9V,", "9,7,5", "5", "1,5; 1", "1,5V", "9V,7s", "9V;x", strings.Repeat("1V,", 64) + "1V"} {
		levels, err := ParseLevels(text, "V")
		var bad *ParseError
		if !errors.As(err, &bad) || bad.Hint == "" || levels != nil {
			t.Errorf("ParseLevels(%q) = %v, %v; want a *ParseError with a hint", text, levels, err)
		}
	}
}

func TestSharesAreTakenOutOfLevels(t *testing.T) {
	for text, want := range map[string]struct {
		levels string
		shares []float64
	}{
		"9V,7V": {"9V,7V", nil}, "50%": {"", []float64{0.5}}, "9V, 50 %,12.5%": {"9V", []float64{0.5, 0.125}}, "37,5%; 1,5V": {" 1,5V", []float64{0.375}},
		"50% 25%": {"", []float64{0.5, 0.25}},
	} {
		levels, shares, err := CutShares(text)
		if err != nil || levels != want.levels || !slices.Equal(shares, want.shares) {
			t.Errorf("CutShares(%q) = %q, %v, %v; want %q, %v", text, levels, shares, err, want.levels, want.shares)
		}
	}
	for _, text := range []string{"0%", "100%", "-5%", "x%", "5V%"} {
		if _, _, err := CutShares(text); err == nil {
			t.Errorf("CutShares(%q) is no error", text)
		}
	}
}

func TestParsePlaceTellsBoxesFromSeconds(t *testing.T) {
	for text, want := range map[string]Place{
		"-2.5": {true, -2.5}, "-2.5box": {true, -2.5}, "\u22123 boxes": {true, -3}, "0": {true, 0}, "3div": {true, 3},
		"50": {true, 50}, "1.2s": {false, 1.2}, "250 µs": {false, 250e-6}, "-1s": {false, -1}, "0s": {false, 0},
	} {
		if p, err := ParsePlace(text); err != nil || p != want {
			t.Errorf("ParsePlace(%q) = %+v, %v; want %+v", text, p, err, want)
		}
	}
	for _, text := range []string{"", "s", "5m", "5V", "50.1", "-1e9", "3(1)", "1e99s", "NaN", "left", "2 s 3", strings.Repeat(" ", 100)} {
		p, err := ParsePlace(text)
		var bad *ParseError
		if !errors.As(err, &bad) || bad.Hint == "" || p != (Place{}) {
			t.Errorf("ParsePlace(%q) = %+v, %v; want a *ParseError with a hint", text, p, err)
		}
	}
}

// seeds are texts of every form, for the fuzz targets.
var seeds = []string{"21.9kΩ±(0.5%+2)",
	"2V", "500 mV", "4k7", "2R2", "21.9kΩ±0.3%", "(10 ± 0.2) V", "9.00(3) V", "1,5 V", "1e-3s", "100,021 47(0,000 35)",
	"3%", "100ppm", "9V,7V,5V", "1,5V; 1V", "-2.5box", "1.2s", "", "±", "(", "e", "1e999", "1(1)e-99", "NaN", "\xff", "\u2126", "−1",
}

// FuzzParse holds that a text is refused with a reason and a hint, or gives finite numbers that print
// and read back to themselves.
func FuzzParse(f *testing.F) {
	for i, s := range seeds {
		f.Add(s, uint8(i))
	}
	f.Fuzz(func(t *testing.T, text string, which uint8) {
		want := quantities[int(which)%len(quantities)].symbol
		v, err := ParseSigned(text, want)
		if err != nil {
			refused(t, err)
			return
		}
		if !finite(v.X) || !finite(v.U) || v.U < 0 || math.Abs(v.X) > huge || v.Unit != want {
			t.Fatalf("ParseSigned(%q, %q) = %+v", text, want, v)
		}
		w, err := ParseSigned(v.String(), want)
		if err != nil {
			// The value may round to below what is read: only then may its print be refused.
			if math.Abs(v.X) > 2*tiny && math.Abs(v.X) < huge/2 && v.U < huge/2 {
				t.Fatalf("%+v prints %q: %v", v, v.String(), err)
			}
			return
		}
		if math.Abs(w.X-v.X) > roundingShare*v.U*(1+1e-9)+math.Abs(v.X)*exactShare {
			t.Fatalf("%+v prints %q, read as %+v", v, v.String(), w)
		}
		if p, err := Parse(text, want); err == nil && (p != v || p.X <= 0 || p.U >= p.X) {
			t.Fatalf("Parse(%q, %q) = %+v, ParseSigned %+v", text, want, p, v)
		}
	})
}

// FuzzSettings holds the same of accuracies, levels and places.
func FuzzSettings(f *testing.F) {
	for _, s := range seeds {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		if a, err := ParseAccuracy(text); err != nil {
			refused(t, err)
		} else if !(a > 0 && a < 1) {
			t.Fatalf("ParseAccuracy(%q) = %v", text, a)
		}
		if p, err := ParsePlace(text); err != nil {
			refused(t, err)
		} else if !finite(p.X) || p.Boxes && math.Abs(p.X) > maxBoxes {
			t.Fatalf("ParsePlace(%q) = %+v", text, p)
		}
		levels, err := ParseLevels(text, "V")
		if err != nil {
			refused(t, err)
		} else if len(levels) == 0 || len(levels) > maxLevels {
			t.Fatalf("ParseLevels(%q) = %v", text, levels)
		}
		for _, l := range levels {
			if !finite(l.X) || !finite(l.U) {
				t.Fatalf("ParseLevels(%q) = %v", text, levels)
			}
		}
	})
}

func refused(t *testing.T, err error) {
	t.Helper()
	var bad *ParseError
	if !errors.As(err, &bad) || bad.Reason == "" || bad.Hint == "" {
		t.Fatalf("the error %#v has no reason or no hint", err)
	}
}
