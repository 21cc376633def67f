// Numbers for people. Rounding and prefixes are those of calibrate/unit; here they get the minus sign
// and the powers of ten of typography.

package report

import (
	"math"
	"strconv"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// notDetermined stands where a number is not known: never a 0, never a made-up one.
const notDetermined = "not determined"

// measured prints x with its standard uncertainty u as "10.34(6) s", the brackets counting in the last
// digits shown.
func measured(x, u wire.Number, of string) string {
	return typeset(unit.Value{X: float64(x), U: float64(u), Unit: of}.String())
}

// result prints the value of r for a table that has its u, or the want of it, in another column.
func result(r wire.Result) string {
	if r.Value.Known() && !r.U.Known() {
		return plain(r.Value, r.Unit, 4)
	}
	return measured(r.Value, r.U, r.Unit)
}

// uncertainty prints an uncertainty of x alone, to two digits, with the prefix that x is printed with.
func uncertainty(u, x wire.Number, of string) string {
	if !u.Known() {
		return notDetermined
	}
	size := math.Abs(float64(u))
	if x.Known() {
		size = math.Max(size, math.Abs(float64(x)))
	}
	factor, symbol := unit.Scale(size, of)
	return joinUnit(significant(float64(u)/factor, 2), symbol)
}

// plain prints x to so many significant digits, with its prefix and unit.
func plain(x wire.Number, of string, digits int) string {
	return typeset(unit.Engineering(float64(x), digits, of))
}

// exact prints a number that a person set, with no digit more than needed.
func exact(x wire.Number, of string) string {
	return typeset(unit.Value{X: float64(x), Unit: of}.String())
}

// significant prints v to so many digits.
func significant(v float64, digits int) string { return typeset(unit.Engineering(v, digits, "1")) }

// short prints v to four significant digits at most, without zeros at the end.
func short(v float64) string {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 4, 64), 64)
	if err != nil {
		return significant(v, 4)
	}
	return exact(wire.Number(rounded), "1")
}

// fixed prints v with so many digits after the point, for the ticks of a scale.
func fixed(v float64, decimals int) string {
	return typeset(strconv.FormatFloat(v, 'f', decimals, 64))
}

// typeset turns "-1.5e-20 V" to "−1.5 × 10⁻²⁰ V".
func typeset(s string) string {
	if strings.HasPrefix(s, "-") {
		s = "−" + s[1:]
	}
	mantissa, rest, ok := strings.Cut(s, "e")
	if !ok || mantissa == "" || strings.Trim(mantissa, "−0123456789.()± ") != "" {
		return s
	}
	end := 0
	for end < len(rest) && strings.IndexByte("+-0123456789", rest[end]) >= 0 {
		end++
	}
	power, err := strconv.Atoi(rest[:end])
	if err != nil {
		return s
	}
	return mantissa + " × 10" + superscript(power) + rest[end:]
}

func superscript(n int) string {
	return strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵",
		"6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹").Replace(strconv.Itoa(n))
}

func joinUnit(number, symbol string) string {
	if symbol == "" {
		return number
	}
	return number + " " + symbol
}
