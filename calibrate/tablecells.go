package calibrate

// The cells of a table's rows: a number in the unit of its column, or with a unit or a prefix of its own. What cannot
// be told from another number is refused with its line.

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"quadrille/calibrate/unit"
)

// read gives the number in c's cell in base units; NaN for an empty cell or a row too short to have one.
func (c *column) read(cells []string, line int) (float64, error) {
	if c.at >= len(cells) || cells[c.at] == "" {
		return math.NaN(), nil
	}
	x, ok := number(cells[c.at])
	if x *= c.scale; !ok {
		x, ok = c.readUnit(cells[c.at])
	}
	if !ok {
		hint := "give a number such as 8.91, or leave the cell empty where there was no reading"
		switch {
		case len(cells) == 1 && strings.ContainsAny(cells[0], " ;\t"):
			hint = "part the columns by the same sign in every line: comma, semicolon, tab or spaces, as the head does"
		case strings.Contains(cells[c.at], ":") && c.kind == isTime:
			hint = "give the time in seconds from the beginning, not as a time of day"
		case strings.Contains(cells[c.at], ","):
			hint = "with decimal commas, put semicolons between the columns and no points into the numbers"
		}
		return 0, &TableError{line, fmt.Sprintf("%s in the column %q is not a number", quoted(cells[c.at]), c.name), hint}
	}
	if math.Abs(x) > largestReading {
		return 0, &TableError{line, fmt.Sprintf("%s in the column %q is larger than anything met at the bench", quoted(cells[c.at]), c.name),
			"check the number and the unit in the head"}
	}
	return x, nil
}

// uncertainty gives that of a reading: from the column c, else the given one for all; +Inf where the column has an
// empty cell.
func (c *column) uncertainty(read func(*column) (float64, error), line int, all unit.Value) (u float64, given bool, err error) {
	if c == nil {
		return all.X, all.X > 0, nil
	}
	u, err = read(c)
	switch {
	case err != nil:
		return 0, false, err
	case math.IsNaN(u):
		return math.Inf(1), true, nil
	case u > 0 && u < smallest:
		return 0, false, &TableError{line, fmt.Sprintf("the uncertainty %g in the column %q is smaller than anything at the bench", u, c.name),
			"check the number and the unit in the head"}
	case u <= 0:
		return 0, false, &TableError{line, fmt.Sprintf("the uncertainty %g in the column %q is not above zero", u, c.name),
			"give one standard deviation, or leave the cell empty and the reading is not used"}
	}
	return u, true, nil
}

// readUnit reads a cell that has its own unit, or a prefix where the column is in seconds or volts.
func (c *column) readUnit(cell string) (x float64, ok bool) {
	x, in, ok := withUnit(cell)
	switch {
	case !ok:
		return 0, false
	case in == "":
		return x, c.scale == 1 && !(c.kind == isTime && strings.ContainsAny(cell, "kM")) // 5M may be five minutes
	}
	return x, (in == "s") == (c.kind == isTime || c.kind == isTimeU)
}

var prefixes = map[rune]float64{'p': 1e-12, 'n': 1e-9, 'u': 1e-6, 'µ': 1e-6, '\u03bc': 1e-6, 'm': 1e-3, 'k': 1e3, 'M': 1e6}

// withUnit reads a cell that has a prefix, a unit or both behind its number, such as 5 ms, 1.2u or 9,0V; unit is "s",
// "V" or, of a prefix alone, "".
func withUnit(cell string) (x float64, unit string, ok bool) {
	text, scale := cell, 1.0
	if before, found := strings.CutSuffix(text, "s"); found {
		text, unit = before, "s"
	} else if before, found := strings.CutSuffix(text, "V"); found {
		text, unit = before, "V"
	}
	last, size := utf8.DecodeLastRuneInString(text)
	power, prefixed := prefixes[last]
	if prefixed {
		text, scale = text[:len(text)-size], power
	}
	text = strings.TrimRight(text, space)
	if unit == "" && !prefixed || strings.LastIndex(text, "\u2212") > 0 { // in an exponent that sign is not read here
		return 0, "", false
	}
	x, ok = number(text)
	return x * scale, unit, ok
}

// fits refuses a row with more cells than the head has names: a decimal comma parts a number in two where commas part
// the columns.
func (c *tableColumns) fits(cells []string, line int, sign rune) error {
	last := len(cells)
	for last > 0 && cells[last-1] == "" {
		last--
	}
	if last <= c.width && (sign != ' ' || len(cells) == c.width) {
		return nil
	}
	hint := "name every column in the head, and take out what is no reading"
	switch {
	case sign == ',':
		hint = "if the numbers have decimal commas, put semicolons between the columns, or write decimal points; else name every column in the head"
	case sign == ' ':
		hint = "put a number into every column, no spaces into the numbers, and name every column in the head; or part them by semicolons"
	}
	return &TableError{line, fmt.Sprintf("the row has %d cells, and the head names %d columns", last, c.width), hint}
}

// thousands refuses a comma with three digits behind it, "1,500", where other numbers have points or commas part the
// columns: it can be one and a half or fifteen hundred.
func (c *tableColumns) thousands(l *lines) error {
	point, comma := 0, 0
	for i := c.below; i < len(l.text); i++ {
		cells := l.cells(i)
		for _, col := range []*column{c.time, c.volts, c.timeSigma, c.sigma} {
			if col == nil || col.at >= len(cells) {
				continue
			}
			switch cell := cells[col.at]; {
			case strings.Contains(cell, "."):
				point = l.line[i]
			case comma == 0 && mayPartThousands(cell):
				comma = l.line[i]
			}
		}
		if comma > 0 && (point > 0 || l.sign == ',') {
			return &TableError{comma, "a comma with three digits behind it may be a decimal comma or part thousands",
				"write all numbers with decimal points, or all with decimal commas and semicolons between the columns"}
		}
	}
	return nil
}

// mayPartThousands reports whether cell begins with one to three digits, the first no zero, a comma and just three
// digits: none parts thousands after a zero.
func mayPartThousands(cell string) bool {
	if sign, size := utf8.DecodeRuneInString(cell); strings.ContainsRune("-+\u2212", sign) {
		cell = cell[size:]
	}
	whole, behind, _ := strings.Cut(cell, ",")
	rest := strings.TrimLeft(behind, figures)
	return len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && strings.Trim(whole, figures) == "" &&
		len(behind)-len(rest) == 3 && !beginsWithLetter(rest) && !strings.HasPrefix(rest, "_")
}
