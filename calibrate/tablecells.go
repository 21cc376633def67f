package calibrate

// The cells of a table's rows: a number in the unit of its column, or with a unit or a prefix of its own. What cannot be
// told from another number is refused with its line.

import (
	"fmt"
	"math"
	"regexp"
	"strings"

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

// fits refuses a row with more cells than the head has names: a decimal comma parts a number in two where commas part the
// columns.
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
			case comma == 0 && threeBehind.MatchString(cell):
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

// threeBehind matches a number whose comma may part thousands: none does after a zero.
var threeBehind = regexp.MustCompile(`^[-+\x{2212}]?[1-9][0-9]{0,2},[0-9]{3}\b`)
