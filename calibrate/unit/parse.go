package unit

// Reading. A text is cleaned of typographic variants, cut at "±", and each part is taken apart into
// number, uncertainty in parentheses, power of ten and unit (number.go). The decimal digits go to strconv in one
// piece with the sum of all powers of ten, so that "250us" is exactly the float64 of 2.5e-4.
//
// Sources: the forms with an uncertainty are those of JCGM 100:2008, 7.2.2; a prefix or unit in the
// place of the decimal sign ("4k7", "2R2") is the RKM code of IEC 60062.

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Tiny and huge bound what can be a setting at the bench, in base units: a thousandth of the
// smallest prefix to a thousand of the largest. TestParseBoundsAreInclusive would notice.
const (
	tiny = 1e-15
	huge = 1e15
)

// maxText is the length in bytes of the longest text that Parse looks at; "21.900 kΩ ± 0.300 kΩ" has
// 24. TestParseRefuses would notice.
const maxText = 80

// Parse reads a setting that is above zero, in the unit want ("V", "s", "Hz", "Ω", "F" or "1";
// any other panics):
//
//	2V   500 mV   2.5s   250us   250 µs   1e-3s   1,5 V    number and unit; a decimal comma too
//	1.5v   5S                                              a unit alone in the other case
//	470u   1M   21.9k                                     behind a prefix the wanted unit is understood
//	4k7   2R2   4u7                                       prefix or unit in place of the decimal sign
//	9.00(3) V                                             standard uncertainty of the last digits
//	21.9kΩ±0.3%   21.9k +/- 100ppm   10 V ± 0.2 V         limits, u = a/√3
//	(10.0 ± 0.2) V
//	21.9kΩ±(0.5%+2)   4.70 V ± (1 % + 3 digits)           a meter's accuracy (digits.go)
//	3 × 10⁻³ s   3e-3 s   3x10^-3 s                       powers of ten
//
// A number without prefix and unit is refused, but for plain numbers and 0: a 5 read off a display may be volts or
// millivolts, seconds, milliseconds or microseconds, and the wrong one is a wrong result that looks like any other.
// Upper and lower case of a prefix count: m is milli, M is mega. A comma with three digits behind it ("1,500") is
// refused unless the number begins with 0: it could be one and a half or fifteen hundred. The error is a *ParseError,
// also for an uncertainty as large as the value.
func Parse(text, want string) (Value, error) {
	v, err := ParseSigned(text, want)
	if err != nil {
		return Value{}, err
	}
	if v.X <= 0 {
		return Value{}, refuse(text, want, "is not above zero")
	}
	if v.U >= v.X || v.Rectangular && v.Limit() >= v.X {
		return Value{}, refuse(text, want, "has an uncertainty as large as itself")
	}
	return v, nil
}

// ParseSigned is Parse for a quantity that may also be zero or negative, such as a level.
func ParseSigned(text, want string) (Value, error) {
	q, ok := quantityOf(want)
	if !ok {
		panic("unit: no unit " + strconv.Quote(want) + " to read")
	}
	bad := func(format string, a ...any) (Value, error) {
		return Value{}, refuse(text, want, format, a...)
	}
	if len(text) > maxText || !utf8.ValidString(text) {
		return bad("is too long or not text")
	}
	value, spread, stated := strings.Cut(clean(text), "±")
	value, spread = strings.TrimSpace(value), strings.TrimSpace(spread)
	if value == "" {
		return bad("is empty")
	}
	if stated {
		v, s, ok := shareUnit(value, spread)
		if !ok {
			err := refuse(text, want, "does not say in which unit the limits behind ± are")
			err.Hint = unitOnBothSides(value, spread, q)
			return Value{}, err
		}
		value, spread = v, s
	}
	n, reason := take(value)
	power := 0
	if reason == "" {
		power, reason = powerOf(n.unit, q)
	}
	if reason != "" {
		err := refuse(text, want, "%s", reason)
		if two := apartBySpace(value, want); two != "" {
			err.Reason, err.Hint = shown(text)+" has two values, and nothing that says what the second one is", two
		}
		return Value{}, err
	}
	x, u, ok := n.scaled(power)
	if n.unit == "" && len(q.meant) > 0 && (x != 0 || u != 0) {
		err := refuse(text, want, "has no unit")
		err.Hint = withUnits(value, spread, q)
		return Value{}, err
	}
	if !ok || math.Abs(x) > huge || u > huge || x != 0 && math.Abs(x) < tiny {
		return bad("is outside anything met at the bench")
	}
	if !stated {
		return Value{X: x, U: u, Unit: want}, nil
	}
	if n.bracket != "" {
		return bad("has two uncertainties, one in parentheses and one behind ±")
	}
	a, reason := limit(spread, x, q)
	if share, digits, ok := meterAccuracy(spread); ok {
		a, reason = meterLimit(share, digits, x, n, power)
	}
	if reason != "" {
		return bad("%s", reason)
	}
	return Limits(x, a, want), nil
}

// refuse makes the error for text, with the wanted unit's example.
func refuse(text, want, format string, a ...any) *ParseError {
	q, _ := quantityOf(want)
	return &ParseError{
		Text:   text,
		Reason: shown(text) + " " + fmt.Sprintf(format, a...),
		Hint:   "give " + q.word + " such as " + q.example,
	}
}

// shown quotes what was read, cut to a length that fits a line.
func shown(text string) string {
	const most = 40 // TestParseRefuses would notice
	if r := []rune(text); len(r) > most {
		return strconv.Quote(string(r[:most]) + "…")
	}
	return strconv.Quote(text)
}

// The variants of one sign that keyboards, word processors and data sheets produce.
var cleaner = strings.NewReplacer(
	"\u03bc", "µ", // Greek mu for the micro sign U+00B5
	"\u2126", "Ω", // ohm sign for Greek omega U+03A9
	"\u2212", "-", // minus
	"\u00a0", " ", "\u2009", " ", "\u202f", " ", "\t", " ", // no-break, thin, narrow no-break, tab
	"+/-", "±", "+-", "±", "+/\u2212", "±",
)

const raisedFigures, timesSigns = "⁰¹²³⁴⁵⁶⁷⁸⁹", "×x·*"

var lowered = strings.NewReplacer("⁺", "+", "⁻", "-", "⁰", "0", "¹", "1", "²", "2", "³", "3",
	"⁴", "4", "⁵", "5", "⁶", "6", "⁷", "7", "⁸", "8", "⁹", "9")

// clean gives text in one spelling, with powers of ten as "e-3".
func clean(text string) string {
	text = strings.TrimSpace(cleaner.Replace(text))
	var b strings.Builder
	for {
		at := strings.IndexAny(text, timesSigns)
		if at < 0 {
			return b.String() + text
		}
		_, after := cutOf(text[at:], timesSigns, 1)
		if power, rest := powerOfTen(strings.TrimLeft(after, " ")); power != "" {
			b.WriteString(strings.TrimRight(text[:at], " ") + "e" + power)
			text = rest
			continue
		}
		b.WriteString(text[:len(text)-len(after)])
		text = after
	}
}

// powerOfTen cuts "10^-3" or "10⁻³" off s and gives "-3"; "" if s does not begin so.
func powerOfTen(s string) (power, rest string) {
	s, ok := strings.CutPrefix(s, "10")
	if !ok {
		return "", s
	}
	if plain, ok := strings.CutPrefix(s, "^"); ok {
		return cutPower(plain, "+-", figures)
	}
	power, rest = cutPower(s, "⁺⁻", raisedFigures)
	return lowered.Replace(power), rest
}

// shareUnit completes the two sides of ±: in "(10 ± 0.2) mV" both have the unit behind the
// parenthesis, and in "10 ± 0.2 V" both have volts. ok is false when it is open what is meant: in
// "470u ± 20" the 20 may be percent, and "10 ± 0.2 mV" may be 10 V or 10 mV.
func shareUnit(value, spread string) (v, s string, ok bool) {
	if inner, found := strings.CutPrefix(value, "("); found {
		before, unit, closed := strings.Cut(spread, ")")
		if !closed || before == "" {
			return value, spread, true // take refuses the loose parenthesis
		}
		return strings.TrimSpace(inner) + unit, strings.TrimSpace(before) + unit, true
	}
	n, bad := take(value)
	a, worse := take(spread)
	switch {
	case bad != "" || worse != "": // refused later, for that
		return value, spread, true
	case a.unit == "":
		return value, spread, n.unit == ""
	case n.unit == "":
		if _, relative := relativePowers[a.unit]; relative {
			return value, spread, true
		}
		_, prefixed := prefixPowers[firstRune(a.unit)]
		return value + a.unit, spread, !prefixed
	}
	return value, spread, true
}

// withUnits is the hint for a number without a unit: it is written out with each that may be meant.
func withUnits(value, spread string, q quantity) string {
	value, spread = strings.ReplaceAll(value, " ", ""), strings.ReplaceAll(spread, " ", "")
	a, reason := take(spread)
	all := make([]string, len(q.meant))
	for i, unit := range q.meant {
		all[i] = value + unit
		if spread != "" {
			all[i] += " ± " + spread
			if reason == "" && a.unit == "" {
				all[i] += unit
			}
		}
	}
	last := len(all) - 1
	return "write " + strings.Join(all[:last], ", ") + " or " + all[last]
}

// unitOnBothSides is the hint for what shareUnit cannot complete: both sides with what may be meant.
func unitOnBothSides(value, spread string, q quantity) string {
	value, spread = strings.ReplaceAll(value, " ", ""), strings.ReplaceAll(spread, " ", "")
	n, _ := take(value)
	if n.unit == "" {
		a, _ := take(spread)
		return fmt.Sprintf("write %s%s ± %s, or %s%s ± %s", value, a.unit, spread, value, q.symbol, spread)
	}
	return fmt.Sprintf("write %s ± %s%s, or %s ± %s%%", value, spread, n.unit, value, spread)
}

// apartBySpace is the hint for two values with a space between them, "9V 0.2V"; "" if there are not just two.
func apartBySpace(text, want string) string {
	at := strings.LastIndex(text, " ")
	for ; at > 0; at = strings.LastIndex(text[:at], " ") {
		if first, _ := cutOf(text[at+1:], figures, 1); first != "" {
			break
		}
	}
	if at <= 0 {
		return ""
	}
	_, bad := ParseSigned(text[:at], want)
	_, worse := ParseSigned(text[at+1:], want)
	if bad != nil || worse != nil {
		return ""
	}
	return fmt.Sprintf("put ± or +- between them: %s ± %s", strings.ReplaceAll(text[:at], " ", ""), strings.ReplaceAll(text[at+1:], " ", ""))
}

func firstRune(s string) string {
	r, _ := utf8.DecodeRuneInString(s)
	return string(r)
}

// powerOf gives the power of ten of a unit with its prefix, either of which may be missing. reason
// says what is wrong with it, "" if nothing.
func powerOf(unit string, q quantity) (power int, reason string) {
	unit = strings.ReplaceAll(unit, " ", "")
	if unit == "" {
		return 0, ""
	}
	if power, ok := matches(unit, q.names); ok {
		return power, ""
	}
	if power, ok := prefixPowers[unit]; ok {
		return power, ""
	}
	if q.symbol == "s" && unit == "S" { // alone it can be meant in one way only; "MS" cannot
		return 0, ""
	}
	for _, other := range append(quantities, strangers...) {
		if _, ok := matches(unit, other.names); ok {
			return 0, fmt.Sprintf("is %s, not %s", other.word, q.word)
		}
	}
	for _, name := range q.names {
		prefix, ok := cutSuffixFold(unit, name)
		if _, prefixed := prefixPowers[prefix]; ok && (prefix == "" || prefixed) {
			return 0, fmt.Sprintf("has the unit %s, where upper and lower case count (m is milli, M is mega)", shown(unit))
		}
	}
	return 0, fmt.Sprintf("has %s behind the number, which is not a unit of %s", shown(unit), q.word)
}

// cutSuffixFold is strings.CutSuffix without regard to case.
func cutSuffixFold(s, suffix string) (before string, ok bool) {
	at := len(s) - len(suffix)
	if at < 0 || !strings.EqualFold(s[at:], suffix) {
		return s, false
	}
	return s[:at], true
}

func matches(unit string, names []string) (power int, ok bool) {
	for _, name := range names {
		prefix, found := strings.CutSuffix(unit, name)
		if !found {
			continue
		}
		if prefix == "" {
			return 0, true
		}
		if power, ok := prefixPowers[prefix]; ok {
			return power, true
		}
	}
	return 0, false
}

// limit reads what stands behind ±, in percent or ppm of x or in the unit of q; in base units.
func limit(s string, x float64, q quantity) (a float64, reason string) {
	n, reason := take(s)
	if reason != "" || n.sign != "" || n.bracket != "" {
		return 0, "has no plain number behind ±"
	}
	if power, ok := relativePowers[n.unit]; ok {
		share, _, ok := n.scaled(power)
		if !ok || share > 1 {
			return 0, "has an accuracy of more than 100 %"
		}
		return share * math.Abs(x), ""
	}
	power, reason := powerOf(n.unit, q)
	if reason != "" {
		return 0, "has limits behind ± in a unit that does not fit"
	}
	a, _, ok := n.scaled(power)
	if !ok || a > huge {
		return 0, "is outside anything met at the bench"
	}
	return a, ""
}

// relativePowers are the powers of ten of the units of a relative accuracy.
var relativePowers = map[string]int{"%": -2, "ppm": -6}
