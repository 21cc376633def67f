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
	"regexp"
	"slices"
	"strings"

	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
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

// sureForms is how many of headForms, the first, surely have a unit behind the name.
// TestTableRefuses would notice.
const sureForms = 2

// The ways to write a name and a unit in one cell, the surest first.
var headForms = [...]*regexp.Regexp{
	regexp.MustCompile(`^(.*?)\s*[(\[]\s*([^()\[\]]*?)\s*[)\]]$`), // t (ms), time [s]
	regexp.MustCompile(`^(.*?)\s*/\s*(.*)$`),                      // V / mV
	regexp.MustCompile(`^(.*?)\s+in\s+(.*)$`),                     // voltage in V
	regexp.MustCompile(`^(.*?)\s*,\s*(.*)$`),                      // time, s
	regexp.MustCompile(`^(.*)[_\s]+([^_\s]+)$`),                   // t_s, time ms
}

// classify says what a column is by its head cell and, if apart is not "", by the unit in the row below.
func classify(cell, apart string, line int) (column, error) {
	c := column{name: cell, scale: 1}
	name, in := cell, apart
	for i, form := range headForms {
		m := form.FindStringSubmatch(name)
		if in != "" || m == nil || m[2] == "" {
			continue
		}
		k, _ := unitOf(m[2])
		by := nameKind(m[1])
		// A name of ours with brackets or a stroke behind it says a unit, be it a wrong one.
		if surely := i < sureForms && (by == isTime || by == isVolts); k != other || surely {
			name, in = m[1], m[2]
		}
	}
	by := nameKind(name)
	if by == isTime && secondsByS.MatchString(in) {
		in = strings.ToLower(in)
	}
	if million.MatchString(in) {
		return c, &TableError{line, fmt.Sprintf("the column %q is in %s, a million %s", cell, quoted(in), map[bool]string{true: "volts", false: "seconds"}[strings.ContainsAny(in, "Vv")]),
			"write a small m for thousandths: mV, ms"}
	}
	if apart != "" && name == cell {
		for _, form := range headForms[:sureForms] {
			if m := form.FindStringSubmatch(cell); m != nil {
				if k, scale := unitOf(m[2]); k != other {
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

// Names that people give to columns. A small u is an uncertainty (JCGM 100:2008, 2.3.1), a capital U a voltage (ISO
// 80000-6).
var (
	timeNames  = regexp.MustCompile(`(?i)^(t|times?|elapsed|seconds?)([ _0-9].*)?$`)
	voltsNames = regexp.MustCompile(`^(U|(?i:v|volts?|voltage|level|signal|channel|ch))([ _0-9].*)?$`)
	uNames     = regexp.MustCompile(`^(?:u$|u[_(]|s_|(?i:sigma|σ|err(?:or)?s?|uncertaint(?:y|ies)|std|±|u of ))[ _(]*(?:of )?(.*?)\)?$`)
	bareU      = regexp.MustCompile(`^U\b`)
	bareSmallU = regexp.MustCompile(`^u([^A-Za-z0-9]|$)`)
	unitText   = regexp.MustCompile(`^[A-Za-zµ\x{3bc}]+$`)
)

// secondsByS are seconds as some write them, million what no bench has: both are mistyped, the one surely.
var (
	secondsByS = regexp.MustCompile(`^[munpµ\x{3bc}]?S$`)
	million    = regexp.MustCompile(`^M[sSvV]$`)
)

// nameKind is what a name by itself says; other if nothing.
func nameKind(name string) kind {
	name = strings.Trim(name, " _")
	if m := uNames.FindStringSubmatch(name); m != nil {
		switch rest := strings.Trim(m[1], " _"); {
		case rest == "":
			return isAnyU
		case timeNames.MatchString(rest):
			return isTimeU
		case voltsNames.MatchString(rest):
			return isVoltsU
		}
		return isSomeU
	}
	switch {
	case timeNames.MatchString(name):
		return isTime
	case voltsNames.MatchString(name):
		return isVolts
	}
	return other
}

// unitWords are units written out.
var unitWords = map[string]struct {
	kind  kind
	scale float64
}{
	"min": {isTime, 60}, "minutes": {isTime, 60}, "h": {isTime, 3600}, "hours": {isTime, 3600},
	"sec": {isTime, 1}, "secs": {isTime, 1}, "second": {isTime, 1}, "seconds": {isTime, 1},
	"msec": {isTime, 1e-3}, "millisecond": {isTime, 1e-3}, "milliseconds": {isTime, 1e-3}, "usec": {isTime, 1e-6}, "µsec": {isTime, 1e-6},
	"microseconds": {isTime, 1e-6}, "nsec": {isTime, 1e-9}, "nanoseconds": {isTime, 1e-9},
	"volt": {isVolts, 1}, "volts": {isVolts, 1}, "millivolt": {isVolts, 1e-3}, "millivolts": {isVolts, 1e-3},
}

// unitOf gives the kind of quantity that a unit is of, and how many base units it is; other if it is not a unit of
// time or voltage.
func unitOf(text string) (kind, float64) {
	if w, ok := unitWords[strings.ToLower(text)]; ok {
		return w.kind, w.scale
	}
	if !unitText.MatchString(text) {
		return other, 1
	}
	if v, err := unit.Parse("1 "+text, "s"); err == nil && strings.Contains(text, "s") { // a prefix alone is no unit here
		return isTime, v.X
	}
	if v, err := unit.Parse("1 "+text, "V"); err == nil && strings.ContainsAny(text, "Vv") {
		return isVolts, v.X
	}
	return other, 1
}

// choose picks the columns to use.
func (s Table) choose(all []column, line int) (*tableColumns, error) {
	c := &tableColumns{}
	var volts []string
	if !slices.ContainsFunc(all, func(c column) bool { return c.kind == isVolts }) { // then a small u is the voltage (ISO 80000-6)
		if i := slices.IndexFunc(all, func(c column) bool { return c.kind == isVoltsU && bareSmallU.MatchString(c.name) }); i >= 0 {
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
			if bareU.MatchString(col.name) && len(volts) > 0 {
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
		case p.u.scale == 1 && p.col.scale != 1 && namesQuantity.MatchString(p.u.name):
			return &TableError{line, fmt.Sprintf("the column %q can be the uncertainty in %s or in the unit of %q", p.u.name, p.base, p.col.name),
				"write its unit out, such as u_V (mV) or sigma_mV"}
		}
	}
	return nil
}

// namesQuantity matches "u_V" and "u(V)", where V is the voltage's symbol as well as its unit.
var namesQuantity = regexp.MustCompile(`(?i)^\s*(u|s|sigma|σ|err|error)\s*[_(]\s*[vs]\s*\)?\s*$`)

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
