package unit

// The accuracy of a digital meter, as its data sheet states it: a share of the reading and a number of digits, each
// worth one step of the last digit shown, "±(0.5 % + 2)" (common practice, no source). The reading must therefore be
// written as the meter showed it: of 21.9 kΩ a digit is 0.1 kΩ, of 21.90 kΩ it is 0.01 kΩ. Both are limits, and
// add as limits do.

import (
	"math"
	"slices"
	"strings"
)

// mostDigits is more than any data sheet allows a meter (common practice, no source). TestParseRefuses would notice.
const mostDigits = 1000

// digitWords may stand behind a number of digits.
var digitWords = []string{"", "d", "dgt", "dgts", "digit", "digits", "count", "counts"}

// meterAccuracy takes "(0.5%+2)" or "0.5 % + 2 digits" apart: a share that ends in %, a plus, one to four figures and a
// word or none, in parentheses or not. ok is false for what stands behind ± otherwise.
func meterAccuracy(spread string) (share, digits string, ok bool) {
	if inner, opened := strings.CutPrefix(spread, "("); opened {
		if spread, ok = strings.CutSuffix(inner, ")"); !ok {
			return "", "", false
		}
	}
	share, rest, _ := strings.Cut(spread, "+")
	share = strings.TrimRight(share, " ")
	digits, word := cutOf(strings.TrimLeft(rest, " "), figures, 4)
	if !strings.HasSuffix(share, "%") || strings.ContainsAny(share, "()") || digits == "" ||
		!slices.Contains(digitWords, strings.TrimLeft(word, " ")) {
		return "", "", false
	}
	return strings.TrimSpace(share), digits, true
}

// meterLimit is the half-width of the limits in base units for the reading x, which n was written as; power is that
// of its unit.
func meterLimit(share, digits string, x float64, n number, power int) (a float64, reason string) {
	s, reason := take(share)
	if reason != "" || s.sign != "" || s.bracket != "" || s.unit != "%" {
		return 0, "has no plain number of percent behind ±"
	}
	part, _, ok := s.scaled(relativePowers["%"])
	if !ok || part > 1 {
		return 0, "has an accuracy of more than 100 %"
	}
	steps, err := float(digits, n.power+power-len(n.fraction))
	most, _ := float("1", n.power+power-len(n.fraction))
	if err != nil || steps > mostDigits*most {
		return 0, "has more digits behind ± than any meter"
	}
	return part*math.Abs(x) + steps, ""
}
