package unit

import (
	"fmt"
	"strings"
)

// ParseAccuracy reads a relative accuracy with its unit, "3%", "±0.5 %" or "100ppm", as the limit a
// of ±a: above 0 and below 1. A bare number is refused: 0.03 may be a share or a percentage. The
// error is a *ParseError.
func ParseAccuracy(text string) (float64, error) {
	bad := func(reason string) (float64, error) {
		return 0, &ParseError{text, shown(text) + " " + reason, "give an accuracy such as 3% or 100ppm"}
	}
	if len(text) > maxText {
		return bad("is too long")
	}
	n, reason := take(strings.TrimSpace(strings.TrimPrefix(clean(text), "±")))
	if reason != "" {
		return bad(reason)
	}
	power, ok := relativePowers[n.unit]
	if !ok || n.bracket != "" {
		return bad("is not a number of percent or ppm")
	}
	a, _, ok := n.scaled(power)
	switch {
	case !ok || a < tiny:
		return bad("is not above zero: no scale is perfect")
	case a >= 1:
		return bad("is 100 % or more, which leaves nothing to measure")
	}
	return a, nil
}

// maxLevels is the most levels in one list: a table that long is read from the points instead.
// TestParseLevelsKeepsTheOrder would notice.
const maxLevels = 64

// ParseLevels reads a list such as "9V,7V,5V" or "9V 7V" in the unit want, in the order given. With commas
// between them each level carries its unit, a 0 too, so that "1,5V" cannot pass for two levels; with
// semicolons ("1,5V; 1V") a comma is a decimal sign. Levels may be negative or zero. The error is a *ParseError.
func ParseLevels(text, want string) ([]Value, error) {
	text = parted(text)
	separator := ","
	if strings.Contains(text, ";") {
		separator = ";"
	}
	parts := strings.Split(text, separator)
	if len(parts) > maxLevels {
		return nil, &ParseError{text, fmt.Sprintf("%s has %d levels", shown(text), len(parts)),
			fmt.Sprintf("give at most %d", maxLevels)}
	}
	var levels []Value
	for _, part := range parts {
		if n, reason := take(clean(part)); reason == "" && separator == "," && len(parts) > 1 && n.unit == "" {
			return nil, &ParseError{text, fmt.Sprintf("%s in %s has no unit", shown(part), shown(text)),
				"give each level its unit, such as 9V,7V,5V; with decimal commas put semicolons between, such as 1,5V; 1V"}
		}
		level, err := ParseSigned(part, want)
		if err != nil {
			return nil, err
		}
		levels = append(levels, level)
	}
	return levels, nil
}

// CutShares takes those of a list as ParseLevels reads it that are percentages, "50%", out of it and gives them as
// shares, above 0 and below 1. The error is a *ParseError.
func CutShares(text string) (levels string, shares []float64, err error) {
	text = parted(text)
	if !strings.Contains(text, "%") {
		return text, nil, nil
	}
	separator := ","
	if strings.Contains(text, ";") {
		separator = ";"
	}
	var rest []string
	for _, part := range strings.Split(text, separator) {
		number, found := strings.CutSuffix(strings.TrimSpace(part), "%")
		if !found {
			rest = append(rest, part)
			continue
		}
		v, err := ParseSigned(number, "1")
		if err != nil || !(v.X > 0 && v.X < 100) {
			return "", nil, &ParseError{text, shown(part) + " is no share of the voltage at the start", "give more than 0% and less than 100%, such as 50%"}
		}
		shares = append(shares, v.X/100)
	}
	return strings.Join(rest, separator), shares, nil
}

// parted puts a semicolon in place of the space between a unit's last letter or % and the next number, as in "9V -7V".
func parted(text string) string {
	const space = "\t\n\f\r "
	var b strings.Builder
	for {
		at := strings.IndexAny(text, space)
		if at < 0 {
			return b.String() + text
		}
		after := strings.TrimLeft(text[at:], space)
		_, unsigned := cutOf(after, "-+−", 1)
		first, _ := cutOf(unsigned, figures, 1)
		if at > 0 && endsUnit(text[at-1]) && first != "" {
			b.WriteString(text[:at] + ";")
		} else {
			b.WriteString(text[:len(text)-len(after)])
		}
		text = after
	}
}

func endsUnit(b byte) bool { return 'A' <= b && b <= 'Z' || 'a' <= b && b <= 'z' || b == '%' }

// A Place is where on the time axis something is: in boxes from the graticule's centre, to the
// right, or in seconds from the frame's left rim.
type Place struct {
	Boxes bool // X counts boxes, not seconds
	X     float64
}

// maxBoxes is beyond the rim of any graticule, which have at most 20 boxes (common practice, no
// source). TestParsePlaceTellsBoxesFromSeconds would notice.
const maxBoxes = 50

// ParsePlace reads a place that is a number of boxes ("-2.5", "-2.5box", "3 boxes", "3div") or a time
// with its unit ("1.2s", "250 µs"). The error is a *ParseError.
func ParsePlace(text string) (Place, error) {
	bad := func(reason string) (Place, error) {
		return Place{}, &ParseError{text, shown(text) + " " + reason, "give boxes from the centre such as -2.5, or a time such as 1.2s"}
	}
	if len(text) > maxText {
		return bad("is too long")
	}
	n, reason := take(clean(text))
	if reason != "" {
		return bad(reason)
	}
	switch strings.TrimSpace(n.unit) {
	case "", "box", "boxes", "div":
		x, _, ok := n.scaled(0)
		if !ok || n.bracket != "" {
			return bad("is not a plain number of boxes")
		}
		if x > maxBoxes || x < -maxBoxes {
			return bad("is more boxes than any display has")
		}
		return Place{Boxes: true, X: x}, nil
	}
	if _, ok := prefixPowers[n.unit]; ok {
		return bad("has a prefix without a unit")
	}
	v, err := ParseSigned(text, "s")
	if err != nil {
		return bad("is neither boxes nor a time")
	}
	return Place{X: v.X}, nil
}
