package unit

// Printing. The uncertainty is rounded first and the value to the same decimal place, as JCGM
// 100:2008, 7.2.6 asks (at most two significant digits of u). One digit or two is decided by the
// rule of the Particle Data Group (Review of Particle Physics, Introduction, "Rounding"; from
// memory): with the three leading digits of u between 100 and 354 two digits are kept, between 355
// and 949 one, and 950 to 999 are rounded up to 1000 of which two are kept. So the rounding never
// changes u by more than 13 %.
//
// All rounding is done on the shortest decimal text of a float64 and half away from zero, so that
// what is seen follows from what would be written: 0.95 becomes 1.0, though its binary is below. The
// minus sign and powers of ten are those of typography (U+2212, "× 10⁻²⁰"); Parse reads them.

import (
	"math"
	"strconv"
	"strings"
)

// exactDigits are the significant digits shown of a value whose u is 0: enough for any setting, and
// few enough to hide the binary tail of 0.1 + 0.2. An uncertainty below that share of the value is
// not shown either. TestStringOfExactValues would notice.
const exactDigits = 12

// unknownDigits are the significant digits shown of a value whose u is not known: a screen is read to
// a part in a thousand at best (common practice, no source). TestStringSaysWhatIsNotKnown would notice.
const unknownDigits = 4

// String prints v with its standard uncertainty in parentheses, which counts in the last digits
// shown: "10.34(6) s" is 10.34 s with u = 0.06 s. A prefix in common use with the unit puts the
// larger of value and u between 1 and 1000: "4.70(4) ms". With u = 0 there are no parentheses; with u
// NaN or infinite it says "10.34 s (u not determined)"; a value that is not finite is "not determined".
func (v Value) String() string {
	if !finite(v.X) {
		return "not determined"
	}
	if !finite(v.U) || v.U < 0 {
		return Engineering(v.X, unknownDigits, v.Unit) + " (u not determined)"
	}
	l := layoutOf(v.X, v.U, v.Unit)
	if l.exact {
		return l.number(v.X) + l.power() + l.suffix
	}
	return l.number(v.X) + "(" + l.bracket(v.U) + ")" + l.power() + l.suffix
}

// Plain prints v without its uncertainty, rounded as String would: "10.34 s".
func (v Value) Plain() string {
	if !finite(v.X) {
		return "not determined"
	}
	if !finite(v.U) || v.U < 0 {
		return Engineering(v.X, unknownDigits, v.Unit)
	}
	l := layoutOf(v.X, v.U, v.Unit)
	return l.number(v.X) + l.power() + l.suffix
}

// Uncertainty prints u alone, with the unit and the decimal places that String gives the value:
// "0.06 s"; "" if u is 0 and "not determined" if it is not known.
func (v Value) Uncertainty() string {
	switch {
	case !finite(v.X) || !finite(v.U) || v.U < 0:
		return "not determined"
	case v.U == 0:
		return ""
	}
	l := layoutOf(v.X, v.U, v.Unit)
	if l.exact {
		return Engineering(v.U, 2, v.Unit)
	}
	return l.number(v.U) + l.power() + l.suffix
}

// PlusMinus prints v with an interval of the given half-width in place of its own u: "(10.34 ± 0.12) s".
// The caller says beside it what the half-width means, such as U = 2u. A half-width that is zero,
// negative or not finite is left out.
func (v Value) PlusMinus(half float64) string {
	if !finite(v.X) {
		return "not determined"
	}
	if !finite(half) || half <= 0 {
		return v.Plain()
	}
	l := layoutOf(v.X, half, v.Unit)
	unit := l.power() + l.suffix
	switch {
	case l.exact:
		return l.number(v.X) + unit
	case unit == "":
		return l.number(v.X) + " ± " + l.number(half)
	}
	return "(" + l.number(v.X) + " ± " + l.number(half) + ")" + unit
}

// Engineering prints x to the given significant digits (1 to 12), with trailing zeros and a prefix:
// "2.50 ms". A zero is "0 V".
func Engineering(x float64, digits int, unit string) string {
	if !finite(x) {
		return "not determined"
	}
	if x == 0 {
		return "0" + suffixOf("", unit)
	}
	digits = min(max(digits, 1), exactDigits)
	at := place(x) - digits + 1
	if len(decimal(math.Abs(x), at, at)) > digits { // 0.9996 has become 1.000
		at++
	}
	l := layoutAt(x, at, unit)
	return l.number(x) + l.power() + l.suffix
}

// EngineeringBeside prints x no finer than the last of the given significant digits of another number beside it, of
// which it is a part: an offset of 0.6 mV beside an amplitude of 3.20 V is "0 V".
func EngineeringBeside(x, other float64, digits int, unit string) string {
	if !finite(x) || !finite(other) || other == 0 {
		return Engineering(x, digits, unit)
	}
	last := place(other) - digits + 1
	step := math.Pow(10, float64(last))
	if x = math.Round(x/step) * step; x == 0 {
		return "0" + suffixOf("", unit)
	}
	return Engineering(x, place(x)-last+1, unit)
}

// Scale gives the prefixed unit in which x is a number between 1 and 1000, and its size in the base
// unit: 1e-3 and "ms" for 0.05 s. It is for the axes and columns that share one unit.
func Scale(x float64, unit string) (size float64, name string) {
	if !finite(x) || x == 0 {
		return 1, strings.TrimSpace(suffixOf("", unit))
	}
	return layoutAt(x, place(x)-2, unit).scale()
}

// Scale gives the prefixed unit that String prints v with, and its size in the base unit: what stands beside v shares
// it.
func (v Value) Scale() (size float64, name string) {
	if !finite(v.X) || !finite(v.U) || v.U <= 0 {
		return Scale(v.X, v.Unit)
	}
	return layoutOf(v.X, v.U, v.Unit).scale()
}

func (l layout) scale() (size float64, name string) {
	size, _ = strconv.ParseFloat("1e"+strconv.Itoa(l.shift-l.exponent), 64)
	return size, strings.TrimSpace(l.suffix)
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// A layout says how a number is printed: divided by ten to the shift, to multiples of ten to the
// place (both powers of ten of the base unit).
type layout struct {
	shift, place int
	exponent     int    // shown as "× 10⁻²⁰" where no prefix reaches; 0 for none
	suffix       string // space, prefix and unit
	exact        bool   // u is not shown
}

// layoutOf lays out x with the uncertainty u >= 0.
func layoutOf(x, u float64, unit string) layout {
	if u == 0 || u < math.Abs(x)*math.Pow(10, -exactDigits) {
		if x == 0 {
			return layout{suffix: suffixOf("", unit), exact: true}
		}
		l := layoutAt(x, place(x)-exactDigits+1, unit)
		l.exact = true
		return l
	}
	return layoutAt(max(math.Abs(x), u), lastPlace(u), unit)
}

// layoutAt chooses the prefix for the size of x once it is rounded to a multiple of ten to the place.
func layoutAt(x float64, at int, unit string) layout {
	rounded := decimal(math.Abs(x), at, at)
	top := at + len(rounded) - 1 // power of ten of the leading digit
	q, _ := quantityOf(unit)
	best, name := 0, ""
	for i, r := range q.prefixes {
		power := prefixPowers[string(r)] // 0 for the space, no prefix
		if i == 0 || power <= top {
			best, name = power, strings.TrimSpace(string(r))
		}
	}
	if top-best < -3 || top-best > 5 { // beyond 0.001 and 999999 zeros are hard to count
		return layout{shift: top, place: at, exponent: top, suffix: suffixOf("", unit)}
	}
	return layout{shift: best, place: at, suffix: suffixOf(name, unit)}
}

func suffixOf(prefix, unit string) string {
	if unit == "" || unit == "1" {
		return ""
	}
	return " " + prefix + unit
}

func (l layout) power() string {
	if l.exponent == 0 {
		return ""
	}
	return " × 10" + raised.Replace(strconv.Itoa(l.exponent))
}

var raised = strings.NewReplacer("-", "⁻", "0", "⁰", "1", "¹", "2", "²", "3", "³", "4", "⁴", "5", "⁵", "6", "⁶", "7", "⁷", "8", "⁸", "9", "⁹")

// number prints x; an exact value without the zeros at its end.
func (l layout) number(x float64) string {
	s := decimal(x, l.shift, l.place)
	if l.exact && strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return strings.Replace(s, "-", "\u2212", 1)
}

// bracket prints u in units of the last digit shown of the value.
func (l layout) bracket(u float64) string { return decimal(u, min(l.place, l.shift), l.place) }

// place is the power of ten of the leading digit of x, which is finite and not 0.
func place(x float64) int {
	_, power, _ := strings.Cut(strconv.FormatFloat(x, 'e', -1, 64), "e")
	n, _ := strconv.Atoi(power)
	return n
}

// lastPlace is the power of ten of the last digit kept of the uncertainty u > 0.
func lastPlace(u float64) int {
	digits, _, _ := strings.Cut(strconv.FormatFloat(u, 'e', -1, 64), "e")
	digits = strings.Replace(digits, ".", "", 1) + "00"
	if digits[:3] <= "354" {
		return place(u) - 1
	}
	return place(u)
}

// decimal gives x rounded to a multiple of ten to the place, half away from zero, divided by ten to the shift. It
// rounds the digits that x is printed with, so that nothing is lost on the way.
func decimal(x float64, shift, place int) string {
	digits, power, _ := strings.Cut(strconv.FormatFloat(math.Abs(x), 'e', -1, 64), "e")
	digits = strings.Replace(digits, ".", "", 1)
	first, _ := strconv.Atoi(power) // the power of ten of the first digit
	after := max(shift-place, 0)    // digits behind the point
	last := max(shift, place) - after
	// All digits from that of ten to the first down to that of ten to the last.
	kept := first - last + 1
	up := kept >= 0 && kept < len(digits) && digits[kept] >= '5'
	digits = "0" + (digits + strings.Repeat("0", max(kept-len(digits), 0)))[:max(kept, 0)]
	if up {
		n := len(strings.TrimRight(digits, "9"))
		digits = digits[:n-1] + string(digits[n-1]+1) + strings.Repeat("0", len(digits)-n)
	}
	digits = strings.TrimLeft(digits, "0")
	digits = strings.Repeat("0", max(after+1-len(digits), 0)) + digits
	s := digits[:len(digits)-after]
	if after > 0 {
		s += "." + digits[len(digits)-after:]
	}
	if strings.Trim(s, "0.") == "" {
		return s
	}
	if x < 0 {
		s = "-" + s
	}
	return s + strings.Repeat("0", max(place-shift, 0))
}
