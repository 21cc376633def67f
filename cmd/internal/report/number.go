// Numbers for people: a value with its uncertainty in the last digits, and SI prefixes. Digits of u
// follow the Particle Data Group's rule (Review of Particle Physics, Introduction, section 5.3): of
// its three highest digits, 100 to 354 keep two, 355 to 949 keep one, 950 to 999 become 1000 and keep two.

package report

import (
	"math"
	"strconv"
	"strings"

	"quadrille/cmd/internal/wire"
)

// notDetermined stands where a number is not known: never a 0, never a made-up one.
const notDetermined = "not determined"

// measured prints x with standard uncertainty u as "10.34(6) s", the brackets counting in the last
// digits shown. Without a u it prints four digits, and says so if u is unknown rather than 0.
func measured(x, u wire.Number, unit string) string {
	if !x.Known() {
		return notDetermined
	}
	v, du := float64(x), float64(u)
	factor, symbol := prefix(math.Max(math.Abs(v), math.Abs(du)), unit)
	v, du = v/factor, du/factor
	if !u.Known() {
		return joinUnit(significant(v, 4), symbol) + ", u unknown"
	}
	if du <= 0 {
		return joinUnit(short(v), symbol)
	}
	decimals := decimalsFor(du)
	if size := math.Max(math.Abs(v), du); size >= 1e6 || decimals > 9 { // brackets would count too many zeros
		return joinUnit(significant(v, 7)+" ± "+significant(du, 2), symbol)
	}
	bracket := strconv.FormatFloat(du, 'f', max(decimals, 0), 64)
	if du < 1 && decimals > 0 {
		bracket = strconv.Itoa(int(math.Round(du * math.Pow10(decimals))))
	}
	if decimals < 0 {
		p := math.Pow10(-decimals)
		v, bracket = math.Round(v/p)*p, strconv.FormatFloat(math.Round(du/p)*p, 'f', 0, 64)
	}
	return joinUnit(minus(strconv.FormatFloat(v, 'f', max(decimals, 0), 64))+"("+bracket+")", symbol)
}

// decimalsFor gives the digits after the point that an uncertainty u > 0 asks for; below 0 it asks for
// rounding before the point.
func decimalsFor(u float64) int {
	e := int(math.Floor(math.Log10(u)))
	three := int(math.Round(u / math.Pow10(e-2)))
	switch {
	case three >= 1000: // rounded up to the next decade
		return 1 - (e + 1)
	case three >= 950:
		return 1 - (e + 1)
	case three >= 355:
		return -e
	}
	return 1 - e
}

// uncertainty prints an uncertainty of x alone, to two digits, with the prefix that x is printed with.
func uncertainty(u, x wire.Number, unit string) string {
	if !u.Known() {
		return "unknown"
	}
	size := math.Abs(float64(u))
	if x.Known() {
		size = math.Max(size, math.Abs(float64(x)))
	}
	factor, symbol := prefix(size, unit)
	return joinUnit(significant(float64(u)/factor, 2), symbol)
}

// exact prints a number that a person set, with its prefix and unit and no digit more than needed.
func exact(x wire.Number, unit string) string {
	if !x.Known() {
		return notDetermined
	}
	factor, symbol := prefix(math.Abs(float64(x)), unit)
	return joinUnit(short(float64(x)/factor), symbol)
}

// short prints v to four significant digits at most, without zeros at the end.
func short(v float64) string {
	s := significant(v, 4)
	if mantissa, power, ok := strings.Cut(s, " "); ok {
		return short1(mantissa) + " " + power
	}
	return short1(s)
}

func short1(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return strings.TrimRight(strings.TrimRight(s, "0"), ".")
}

// plain prints x to so many significant digits, with its prefix and unit.
func plain(x wire.Number, unit string, digits int) string {
	if !x.Known() {
		return notDetermined
	}
	v := float64(x)
	factor, symbol := prefix(math.Abs(v), unit)
	return joinUnit(significant(v/factor, digits), symbol)
}

// significant prints v to so many digits, without an exponent unless v is far from 1.
func significant(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	s := strconv.FormatFloat(v, 'g', digits, 64)
	r, _ := strconv.ParseFloat(s, 64)
	a := math.Abs(r)
	if a < 1e-4 || a >= 1e7 {
		mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', digits-1, 64), "e")
		n, _ := strconv.Atoi(exponent)
		return minus(mantissa) + " × 10" + superscript(n)
	}
	return minus(strconv.FormatFloat(r, 'f', max(digits-1-int(math.Floor(math.Log10(a))), 0), 64))
}

func superscript(n int) string {
	return strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵",
		"6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(n))
}

// minus writes a negative number with the minus sign of typography.
func minus(s string) string { return strings.Replace(s, "-", "−", 1) }

func joinUnit(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}

// prefix picks the SI prefix that brings a number of size a into 1 to 1000, for units that take one.
func prefix(a float64, unit string) (factor float64, symbol string) {
	switch unit {
	case "1", "":
		return 1, ""
	case "s", "V", "Hz", "Ω", "F", "A", "W":
	default:
		return 1, unit
	}
	steps := []struct {
		factor float64
		name   string
	}{{1e9, "G"}, {1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "µ"}, {1e-9, "n"}, {1e-12, "p"}}
	if a == 0 || math.IsNaN(a) || math.IsInf(a, 0) {
		return 1, unit
	}
	for _, s := range steps {
		// Seconds stay seconds: nobody reads 1.2 ks off a display.
		if a >= s.factor*(1-1e-12) && !(unit == "s" && s.factor > 1) {
			return s.factor, s.name + unit
		}
	}
	return 1e-12, "p" + unit
}
