package unit

// A number is taken apart from its beginning on: each function cuts one form off a text and gives the rest.

import (
	"fmt"
	"strconv"
	"strings"
)

const figures = "0123456789"

// A number is a text taken apart: sign, digits and fraction as written, without spaces.
type number struct {
	sign, whole, fraction string
	bracket               string // inside the parentheses, "" if there are none
	power                 int    // of ten
	unit                  string // what follows
}

// take takes s apart. reason says what is wrong with it, "" if nothing.
func take(s string) (n number, reason string) {
	if n, ok := takeRKM(s); ok {
		return n, ""
	}
	sign, rest := cutOf(s, "+-", 1)
	whole, rest := cutGroups(rest, false)
	point, rest := cutOf(rest, ".,", 1)
	fraction := ""
	if point != "" {
		fraction, rest = cutGroups(rest, true)
	}
	if whole == "" && fraction == "" || strings.Contains(s, "\n") {
		return n, "does not begin with a number"
	}
	n = number{sign: sign, whole: strings.ReplaceAll(whole, " ", ""), fraction: strings.ReplaceAll(fraction, " ", "")}
	if point == "," && thousands(n.whole, fraction) {
		return n, fmt.Sprintf("can be read in two ways, as %s.%s or as %[1]s%[2]s", n.whole, n.fraction)
	}
	n.bracket, rest = cutBracket(rest)
	if mark, after := cutOf(rest, "eE", 1); mark != "" {
		if power, after := cutPower(after, "+-", figures); power != "" {
			n.power, _ = strconv.Atoi(power) // at most three digits
			rest = after
		}
	}
	n.unit = strings.TrimLeft(rest, " ")
	return n, ""
}

// takeRKM takes "4k7" apart: a prefix or unit stands between the digits, of which those before it may be missing.
func takeRKM(s string) (n number, ok bool) {
	sign, rest := cutOf(s, "+-", 1)
	whole, rest := cutOf(rest, figures, len(s))
	mark, rest := cutOf(rest, "pnuµmkKMGTRΩVsF", 1)
	fraction, rest := cutOf(rest, figures, len(s))
	if mark == "" || fraction == "" || strings.Contains(s, "\n") {
		return n, false
	}
	return number{sign: sign, whole: whole, fraction: fraction, unit: mark + strings.TrimLeft(rest, " ")}, true
}

// cutGroups cuts digits off s, as written. Groups of three may stand apart by a space: before the decimal sign the
// first may be shorter, behind it the last.
func cutGroups(s string, behind bool) (digits, rest string) {
	digits, rest = cutOf(s, figures, len(s))
	if digits == "" || len(digits) > 3 || behind && len(digits) < 3 {
		return digits, rest
	}
	for strings.HasPrefix(rest, " ") {
		group, after := cutOf(rest[1:], figures, 3)
		if group == "" || len(group) < 3 && !behind {
			break
		}
		digits, rest = digits+" "+group, after
		if len(group) < 3 {
			break
		}
	}
	return digits, rest
}

// cutBracket cuts "(35)" or "(0,000 35)" off s and gives what is inside; "" if s does not begin so.
func cutBracket(s string) (inside, rest string) {
	if !strings.HasPrefix(s, "(") {
		return "", s
	}
	inside, rest, closed := strings.Cut(s[1:], ")")
	if first, _ := cutOf(inside, figures, 1); !closed || first == "" || strings.Trim(inside, figures+" .,") != "" {
		return "", s
	}
	return inside, rest
}

// thousands reports whether a comma between whole and fraction, as written, may also separate
// thousands.
func thousands(whole, fraction string) bool {
	return len(fraction) == 3 && len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0'
}

// scaled gives the number and its uncertainty times ten to the power; ok is false beyond float64.
func (n number) scaled(power int) (x, u float64, ok bool) {
	x, err := float(n.sign+n.whole+"."+n.fraction, n.power+power)
	if err != nil || n.bracket == "" {
		return x, 0, err == nil
	}
	if strings.ContainsAny(n.bracket, ".,") { // "100.02147(0.00035)": in full
		full := strings.NewReplacer(",", ".", " ", "").Replace(n.bracket)
		u, err = float(full, n.power+power)
	} else {
		u, err = float(strings.ReplaceAll(n.bracket, " ", ""), n.power+power-len(n.fraction))
	}
	return x, u, err == nil
}

// float refuses what is too small for a float64 as well as what is too large: it must not become 0.
func float(digits string, power int) (float64, error) {
	f, err := strconv.ParseFloat(digits+"e"+strconv.Itoa(power), 64)
	if err == nil && f == 0 && strings.ContainsAny(digits, "123456789") {
		err = strconv.ErrRange
	}
	return f, err
}

// cutPower cuts one to three digits with a sign or none off s; power is "" if it does not begin so.
func cutPower(s, signs, digits string) (power, rest string) {
	sign, rest := cutOf(s, signs, 1)
	digits, rest = cutOf(rest, digits, 3)
	if digits == "" {
		return "", s
	}
	return sign + digits, rest
}

// cutOf cuts the characters that are in set off the beginning of s, at most so many.
func cutOf(s, set string, most int) (head, rest string) {
	for at, r := range s {
		if most--; most < 0 || !strings.ContainsRune(set, r) {
			return s[:at], s[at:]
		}
	}
	return s, ""
}
