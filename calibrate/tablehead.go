package calibrate

// The head of a table: which column is what, and in which unit. A cell is a name, a unit, or both, in the ways
// people write them:
//
//	t_s   v_mV   t (ms)   V / mV   time [s]   voltage in V   time, s   ms
//
// A unit in the SI manner, quantity over unit (SI brochure, 9th edition, 5.4.1), is "V / mV". The first column of
// volts, of times and of each one's uncertainty are used, or the column of volts that is named. An uncertainty is
// a column whose name begins with u_, u(, sigma, σ, s_, err, uncertainty, std or ±; without a unit of its own it is
// in the unit of the column it belongs to.

import (
	"fmt"
	"slices"
	"strings"

	"quadrille/calibrate/remark"
)

// A column is one column of a table in use; nil is one that the table does not have.
type column struct {
	name  string // as written in the head, or "column 2"
	at    int
	scale float64 // base units for 1 in the column
	kind  kind
	apart string // its unit, from the line below its name; "" if there is none
}

type kind int

const (
	other    kind = iota
	isTime        // times
	isVolts       // voltages
	isTimeU       // uncertainties of times
	isVoltsU      // uncertainties of voltages
	isAnyU        // uncertainties of the one or the other, told by their unit; without one, of the voltages
	isSomeU       // uncertainties of something that only the unit tells
)

// tableColumns are the columns in use.
type tableColumns struct {
	time, volts, timeSigma, sigma *column
	width, below                  int // columns that the head names; the first line below it
	doubts, notes                 []remark.Remark
}

// head finds the columns.
func (s Table) head(l *lines) (*tableColumns, error) {
	h, ok, err := l.findHead()
	if err != nil {
		return nil, err
	}
	if !ok {
		return s.headless(l, h)
	}
	if len(h.names) == 1 {
		return nil, &TableError{h.line, "the table has one column: " + quoted(h.names[0]), tableHint}
	}
	var all []column
	for i, name := range h.names {
		c, err := classify(name, h.units[i], h.line)
		if err != nil {
			return nil, err
		}
		c.at, c.apart = i, h.units[i]
		all = append(all, c)
	}
	c, err := s.choose(all, h.line)
	if err != nil {
		return nil, err
	}
	c.width, c.below = len(all), h.below
	if h.at > 0 {
		c.notes[0].Values = append(c.notes[0].Values, remark.Count("lines_above", h.at))
	}
	return c, nil
}

// headless takes two columns of bare numbers for seconds and volts.
func (s Table) headless(l *lines, h found) (*tableColumns, error) {
	cells := l.cells(h.below)
	for _, c := range cells {
		if !isNumber(c) && c != "" {
			return nil, &TableError{h.line, fmt.Sprintf("%s stands where a head or a number should", quoted(c)), tableHint}
		}
	}
	if s.Column != "" || len(cells) != 2 {
		return nil, &TableError{h.line, fmt.Sprintf("the table has %d columns and no head that says what they are", len(cells)),
			"put a line with the names and units above the numbers, such as t_s,v_V,u_V"}
	}
	return &tableColumns{
		time: &column{name: "column 1", scale: 1, kind: isTime}, volts: &column{name: "column 2", at: 1, scale: 1, kind: isVolts},
		width: 2, below: h.below,
		doubts: []remark.Remark{remark.Of(KindTableWithoutHead)},
	}, nil
}

// unitsRow gives the units of a row that has nothing else, nil for any other row.
func unitsRow(cells []string) []string {
	out, some := make([]string, len(cells)), false
	for i, c := range cells {
		c = strings.Trim(c, "()[] ")
		if c == "" {
			continue
		}
		if k, _ := unitOf(c); k == other {
			return nil
		}
		out[i], some = c, true
	}
	if !some {
		return nil
	}
	return out
}

// classify says what a column is by its head cell and, if apart is not "", by the unit in the row below.
func classify(cell, apart string, line int) (column, error) {
	c := column{name: cell, scale: 1}
	name, in := cell, apart
	for i, form := range headForms {
		before, behind, fits := form(name)
		if in != "" || !fits || behind == "" {
			continue
		}
		k, _ := unitOf(behind)
		by := nameKind(before)
		// A name of ours with brackets or a stroke behind it says a unit, be it a wrong one.
		if surely := i < sureForms && (by == isTime || by == isVolts); k != other || surely {
			name, in = before, behind
		}
	}
	by := nameKind(name)
	if by == isTime && secondsByS(in) {
		in = strings.ToLower(in)
	}
	if slices.Contains(millions, in) {
		return c, &TableError{line, fmt.Sprintf("the column %q is in %s, a million %s", cell, quoted(in), map[bool]string{true: "volts", false: "seconds"}[strings.ContainsAny(in, "Vv")]),
			"write a small m for thousandths: mV, ms"}
	}
	if apart != "" && name == cell {
		for _, form := range headForms[:sureForms] {
			if _, behind, fits := form(cell); fits {
				if k, scale := unitOf(behind); k != other {
					if k2, scale2 := unitOf(apart); k2 != k || scale2 != scale {
						return c, &TableError{line, fmt.Sprintf("the column %q has two units, the other in the line below", cell), "keep the one that is right"}
					}
				}
			}
		}
	}
	if k, _ := unitOf(name); in == "" && k != other && (by == other || by == k) { // "ms" or "volts" alone
		in = name
	}
	if in == "" {
		if c.kind, c.scale = by, 0; by == isSomeU {
			c.kind = other
		}
		return c, nil
	}
	k, scale := unitOf(in)
	c.scale = scale
	switch {
	case by == other, by == k:
		c.kind = k
	case by == isTime || by == isVolts || by == isTimeU && k != isTime || by == isVoltsU && k != isVolts:
		return c, &TableError{line, fmt.Sprintf("the column %q is in %s, which is no unit of %s", cell, quoted(in),
			map[bool]string{true: "time", false: "voltage"}[by == isTime || by == isTimeU]),
			"give times in s, ms, us or min and voltages in V or mV, such as t_ms,v_V"}
	case k == isTime:
		c.kind = isTimeU
	case k == isVolts:
		c.kind = isVoltsU
	}
	return c, nil
}

// choose picks the columns to use.
func (s Table) choose(all []column, line int) (*tableColumns, error) {
	c := &tableColumns{}
	var volts []string
	if !slices.ContainsFunc(all, func(c column) bool { return c.kind == isVolts }) { // then a small u is the voltage (ISO 80000-6)
		if i := slices.IndexFunc(all, func(c column) bool { return c.kind == isVoltsU && isSmallU(c.name) }); i >= 0 {
			all[i].kind = isVolts
		}
	}
	for i := range all {
		col := &all[i]
		switch col.kind {
		case isTime:
			if c.time == nil || c.volts == nil && s.Column != "" { // the last one before the column that is named
				c.time = col
			}
		case isVolts:
			if isCapitalU(col.name) && len(volts) > 0 {
				return nil, &TableError{line, fmt.Sprintf("the column %q may be a voltage or an uncertainty", col.name),
					"call a standard uncertainty u_V, and a second voltage v2_V"}
			}
			volts = append(volts, col.name)
			if s.Column == col.name || s.Column == "" && c.volts == nil {
				c.volts = col
			}
		}
	}
	const hint = "put a head with names and units above the columns, such as t_s,v_V or t (ms);V (mV), and # before lines that are not readings"
	switch {
	case c.time == nil:
		return nil, &TableError{line, "no column of the table is a time: the head has " + columnNames(all), hint}
	case c.volts == nil && s.Column != "":
		return nil, &SetupError{"column", fmt.Sprintf("the table has no column of volts %q", s.Column), "it has " + strings.Join(volts, ", ")}
	case c.volts == nil:
		return nil, &TableError{line, "no column of the table is a voltage: the head has " + columnNames(all), hint}
	}
	// The uncertainty of a voltage is the first behind it, before the next voltage; else the first of the table.
	for i := range all {
		col := &all[i]
		k := col.kind
		if k == isAnyU {
			k = isVoltsU
		}
		switch {
		case k == isTimeU && c.timeSigma == nil:
			c.timeSigma = col
		case k == isVoltsU && (c.sigma == nil || c.sigma.at < c.volts.at && col.at > c.volts.at) && !between(all, c.volts.at, i):
			c.sigma = col
		}
	}
	if err := c.settleUnits(line); err != nil {
		return nil, err
	}
	c.notes = append(c.notes, c.told())
	if s.ZeroLimit == 0 {
		c.notes = append(c.notes, remark.Of(KindTableZeroUnstated))
	}
	if slices.ContainsFunc(all, func(c column) bool { return strings.HasSuffix(c.name, "_box") }) {
		c.notes = append(c.notes, remark.Of(KindTableFromPhoto))
	}
	if len(volts) > 1 && s.Column == "" {
		c.notes = append(c.notes, remark.Of(KindTableVoltages, remark.Word("columns", strings.Join(volts, ", "))))
	}
	return c, nil
}

// between reports whether another voltage than the one at v lies between it and column i.
func between(all []column, v, i int) bool {
	for k := min(v, i) + 1; k < max(v, i); k++ {
		if all[k].kind == isVolts {
			return true
		}
	}
	return false
}

// settleUnits fills in units that the head leaves out, with a doubt where they are guessed.
func (c *tableColumns) settleUnits(line int) error {
	for _, p := range []struct {
		col, u     *column
		what, base string
	}{{c.time, c.timeSigma, "time", "seconds"}, {c.volts, c.sigma, "voltage", "volts"}} {
		if p.col.scale == 0 {
			p.col.scale = 1
			c.doubts = append(c.doubts, remark.Of(KindTableUnitGuessed, remark.Word("of", p.what), remark.Word("column", p.col.name), remark.Word("unit", p.base)))
		}
		switch {
		case p.u == nil:
		case p.u.scale == 0:
			p.u.scale = p.col.scale
		case p.u.scale == 1 && p.col.scale != 1 && namesQuantity(p.u.name):
			return &TableError{line, fmt.Sprintf("the column %q can be the uncertainty in %s or in the unit of %q", p.u.name, p.base, p.col.name),
				"write its unit out, such as u_V (mV) or sigma_mV"}
		}
	}
	return nil
}

// told is the note of which column was taken for what.
func (c *tableColumns) told() remark.Remark {
	r := remark.Of(KindTableColumns, remark.Word("time", c.time.told()), remark.Word("voltage", c.volts.told()))
	if c.timeSigma != nil {
		r.Values = append(r.Values, remark.Word("u_time", c.timeSigma.told()))
	}
	if c.sigma != nil {
		r.Values = append(r.Values, remark.Word("u_voltage", c.sigma.told()))
	}
	return r
}

// told is the name of a column with its unit.
func (c *column) told() string {
	if c.apart == "" {
		return c.name
	}
	return c.name + " (" + c.apart + ")"
}

// columnNames lists the head, cut to a length that fits a line or two.
func columnNames(all []column) string {
	const most = 6 // TestTableRefuses would notice
	var names []string
	for i, c := range all {
		if i == most {
			names = append(names, "…")
			break
		}
		names = append(names, quoted(c.name))
	}
	return strings.Join(names, ", ")
}

// quoted shows a cell, cut to a length that fits a line.
func quoted(cell string) string {
	const most = 30 // TestTableRefuses would notice
	if r := []rune(cell); len(r) > most {
		cell = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", cell)
}
