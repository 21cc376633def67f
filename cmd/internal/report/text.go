// The whole summary for the terminal: what was found, with which settings, the results, whether they agree, and what a
// person should look at. Brief is the short one. No colour, no cursor movement: both can be piped and pasted.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// Widths of a terminal that Text writes for, in columns. Wider lines are hard to read.
const (
	minWidth = 50
	maxWidth = 80
)

// Text is the summary of d. No line is wider than width columns, which is held between 50 and 80.
func Text(d *wire.Document, width int) string {
	t := &page{width: min(max(width, minWidth), maxWidth)}
	var parts []string
	if d.Table != nil {
		t.entry("Table", tableLine(d.Table))
	} else {
		t.entry("Photo", photoLine(d.Photo))
	}
	if d.Graticule != nil {
		t.entry("Graticule", graticuleLine(d.Graticule))
	}
	if len(d.Traces) > 0 && d.Table == nil {
		t.entry("Trace", traceLine(d))
	}
	for _, e := range settings(d) {
		if !e.own {
			parts = append(parts, e.Name+" "+e.Value)
		}
	}
	if len(parts) > 0 {
		t.entry("Settings", strings.Join(parts, "; "))
	}
	if several(d) {
		for _, tr := range chosen(d) {
			t.entry("Trace "+tr.Name, traceEntry(tr))
		}
	} else if d.Signal != "" {
		t.entry("Signal", signal(d.Signal, d.SignalFrom, d.SignalTold))
	}
	t.results(d, d.Results)
	for _, taus := range constants(d) {
		if len(taus) > 1 {
			t.intervals(d, taus)
		}
	}
	if d.Readings != nil {
		t.readings(d.Readings)
	}
	if len(d.Comparisons) > 0 {
		t.line("")
		t.wrapped(agreementHead)
		for _, c := range d.Comparisons {
			t.item(mark(c.Agree), c.Short)
			for _, cause := range c.Causes {
				t.item("  -", cause)
			}
		}
	}
	if list := doubts(d); len(list) > 0 {
		t.line("")
		t.line(doubtsHead)
		for _, l := range list.lines() {
			t.item("!", l)
		}
		if first := list.first(); first != "" {
			t.item("→", first)
		}
	}
	if list := notes(d); len(list) > 0 {
		t.line("")
		t.line("Worth knowing:")
		for _, l := range list.lines() {
			t.item("-", l)
		}
	}
	if ofDecay(d) {
		t.line("")
		t.wrapped(caution)
	}
	if e := d.Error; e != nil {
		t.line("")
		t.item("x", "Not read to the end: "+e.Reason)
		if e.Hint != "" {
			t.item(" ", string(e.Hint))
		}
	}
	return t.String()
}

// agreementHead stands above the comparisons.
const agreementHead = "Do they agree? = yes, ≠ no; what both share is taken off"

// doubtsHead stands above the doubts.
const doubtsHead = "Look at this before you use the numbers:"

// mark shows whether what is compared agrees.
func mark(agree bool) string { return either(agree, "=", "≠") }

// ofDecay says that a circuit is described, so that there must be a word of care.
func ofDecay(d *wire.Document) bool {
	return slices.ContainsFunc(d.Results, func(r wire.Result) bool { return r.Signal == "decay" }) || d.Signal == "decay"
}

func photoLine(p wire.Photo) string {
	s := p.File
	if p.Width.Known() && p.Height.Known() {
		s += fmt.Sprintf(", %.0f × %.0f px", p.Width, p.Height)
	}
	if p.Taken != "" {
		s += ", taken " + dated(p.Taken)
	}
	return s
}

// dated writes the date of a camera, "2026:11:20 14:03:27" in EXIF, as ISO 8601 does.
func dated(t wire.Text) string {
	s := []byte(t)
	if len(s) >= 10 && s[4] == ':' && s[7] == ':' {
		s[4], s[7] = '-', '-'
	}
	return string(s)
}

func graticuleLine(g *wire.Graticule) string {
	s := fmt.Sprintf("%d × %d boxes, found %s", g.Columns, g.Rows, either(g.Found == "automatic", "automatically", g.Found))
	if g.Crossings > 0 {
		s += fmt.Sprintf("; %d crossings seen", g.Crossings)
	}
	if g.Residual.Known() {
		s += ", residual " + significant(float64(g.Residual), 2) + " box"
	}
	return s
}

func traceLine(d *wire.Document) string {
	names := make([]string, len(d.Traces))
	for i, t := range d.Traces {
		names[i] = t.Name
	}
	used := chosen(d)
	if len(used) == 0 {
		return "found " + strings.Join(names, ", ") + "; none chosen"
	}
	var parts, others []string
	for _, t := range d.Traces {
		one := t.Name + " (" + t.Colour + ")"
		if !t.Chosen {
			others = append(others, one)
			continue
		}
		if t.Coverage.Known() {
			one += fmt.Sprintf(", seen over %.0f %% of the width", math.Floor(100*float64(t.Coverage)))
		}
		parts = append(parts, one)
	}
	s := strings.Join(parts, "; ")
	if len(others) > 0 {
		s += "; not used: " + strings.Join(others, ", ") + ", for which give --trace " + others[0][:1]
	}
	return s
}

// signal says what a trace was taken for and why.
func signal(kind, from, told wire.Text) string {
	// A sentence names what was recognised, but for two states, which it calls by other words; "given" does not say what.
	if told == "for want" || told == "recognised" && kind != "states" {
		return string(from)
	}
	return joinNonEmpty(": ", string(kind), string(from))
}

// constants gives the results for τ, those of each trace and unit in a list of its own: τ of a trace may be in boxes,
// and R·C is in seconds.
func constants(d *wire.Document) (out [][]wire.Result) {
	last := [2]string{}
	for _, r := range d.Results {
		if r.Quantity != "tau" || !r.Value.Known() {
			continue
		}
		if of := [2]string{r.Trace, r.Unit}; len(out) == 0 || of != last {
			out, last = append(out, nil), of
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}

// A page collects lines of at most width columns.
type page struct {
	strings.Builder
	width int
}

func (t *page) line(s string) { t.WriteString(strings.TrimRight(s, " ") + "\n") }

// entry writes a name and a text beside it.
func (t *page) entry(name, text string) {
	const column = 11
	for i, l := range wrap(text, t.width-column) {
		if i > 0 {
			name = ""
		}
		t.line(pad(name, column) + l)
	}
}

// item writes a text behind a mark.
func (t *page) item(mark, text string) {
	for i, l := range wrap(text, t.width-3-columns(mark)) {
		if i > 0 {
			mark = strings.Repeat(" ", columns(mark))
		}
		t.line("  " + mark + " " + l)
	}
}

// results writes a list of the results as a table: what, value with u in its last digits, value with U, and its k.
// Those of several traces stand under the names of theirs.
func (t *page) results(d *wire.Document, l []wire.Result) {
	if len(l) == 0 {
		return
	}
	value, expanded := columns("value(u)"), columns("value ± U (95 %)")
	for _, r := range l {
		value = max(value, columns(result(r)))
		expanded = max(expanded, columns(interval(r)))
	}
	const k, gaps, narrow = 4, 6, 20
	name := t.width - value - expanded - k - gaps
	row := func(a, b, c, d string) {
		t.line(pad(a, name) + "  " + pad(b, value) + "  " + pad(c, expanded) + "  " + d)
	}
	t.line("")
	if name >= narrow {
		row("", "value(u)", "value ± U (95 %)", "k")
	}
	last := ""
	for _, r := range l {
		if grouped(d) && r.Trace != last {
			last = r.Trace
			for _, part := range wrap(heading(r), t.width) {
				t.line(part)
			}
		}
		if name < narrow { // no room for columns: the numbers go under the name
			t.item("-", quantity(r))
			t.item(" ", joinNonEmpty(", ", measured(r.Value, r.U, r.Unit), interval(r), kText(r, "k = ")))
			continue
		}
		indent := ""
		if grouped(d) {
			indent = "  "
		}
		for i, part := range wrap(quantity(r), name-len(indent)) {
			if i == 0 {
				row(indent+part, result(r), interval(r), kText(r, ""))
			} else {
				t.line(indent + part)
			}
		}
	}
}

func kText(r wire.Result, before string) string {
	if !r.K.Known() {
		return ""
	}
	return before + significant(float64(r.K), 3)
}

// intervals draws each value with its U as a bar on one common scale.
func (t *page) intervals(d *wire.Document, l []wire.Result) {
	lo, hi := common(l)
	size := max(math.Abs(lo), math.Abs(hi))
	factor, symbol := unit.Scale(size, l[0].Unit)
	if !(hi-lo > 1e-6*size) || size/factor > 1e6 { // no scale of few digits tells them apart
		return
	}
	name := 0
	for _, r := range l {
		name = max(name, columns(way(r)))
	}
	name = min(name, t.width/2)
	bar := t.width - name - 2
	at := func(v float64) int { return int(math.Round((v - lo) / (hi - lo) * float64(bar-1))) }
	t.line("")
	for _, part := range wrap(ofResult(d, l[0], "τ with its U (95 %) by each method"), t.width) {
		t.line(part)
	}
	for _, r := range l {
		cells := []rune(strings.Repeat(" ", bar))
		v, u := float64(r.Value), reach(r)
		from, to := at(max(v-u, lo)), at(min(v+u, hi))
		for i := from; i <= to; i++ {
			cells[i] = '─'
		}
		cells[from], cells[to] = '├', '┤'
		if v-u < lo {
			cells[from] = '<'
		}
		if v+u > hi {
			cells[to] = '>'
		}
		cells[at(v)] = '●'
		t.line(pad(wrap(way(r), name)[0], name) + "  " + string(cells))
	}
	_, digits := ticks(lo/factor, hi/factor, 20)
	left, right := fixed(lo/factor, digits), joinUnit(fixed(hi/factor, digits), symbol)
	t.line(strings.Repeat(" ", name+2) + left + strings.Repeat(" ", max(1, bar-columns(left)-columns(right))) + right)
}

// common gives the ends of a scale on which the values of l can be compared. One whose U is many times
// that of the others would squeeze them to dots: its bar is cut off, and shown to go on.
func common(l []wire.Result) (lo, hi float64) {
	const most = 6 // times the median U
	all := make([]float64, len(l))
	for i, r := range l {
		all[i] = reach(r)
	}
	slices.Sort(all)
	limit := most * all[(len(all)-1)/2]
	if limit == 0 {
		limit = math.Inf(1)
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, r := range l {
		u := min(reach(r), limit)
		lo, hi = min(lo, float64(r.Value)-u), max(hi, float64(r.Value)+u)
	}
	return lo, hi
}

// reach is how far the bar of a result goes to each side.
func reach(r wire.Result) float64 {
	if r.Expanded.Known() {
		return float64(r.Expanded)
	}
	return 0
}

// wrap breaks text at spaces into lines of at most width columns; a longer word is cut.
func wrap(text string, width int) []string {
	var out []string
	line, used := "", 0
	for _, word := range strings.Fields(Clean(text)) {
		n := columns(word)
		if used > 0 && used+1+n > width {
			out = append(out, line)
			line, used = "", 0
		}
		if used > 0 {
			line, used = line+" ", used+1
		}
		for _, r := range word {
			w := columns(string(r))
			if used+w > width {
				out = append(out, line)
				line, used = "", 0
			}
			line, used = line+string(r), used+w
		}
	}
	return append(out, line)
}

func pad(s string, width int) string { return s + strings.Repeat(" ", max(0, width-columns(s))) }

// columns counts the columns of a terminal that s takes: two for wide characters (the main blocks of
// East Asian Width, Unicode annex 11, and pictographs), none for combining marks.
func columns(s string) int {
	n := 0
	for _, r := range s {
		switch {
		case unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf):
		case r >= 0x1100 && r <= 0x115f, r >= 0x2e80 && r <= 0xa4cf, r >= 0xac00 && r <= 0xd7a3,
			r >= 0xf900 && r <= 0xfaff, r >= 0xfe30 && r <= 0xfe6f, r >= 0xff00 && r <= 0xff60,
			r >= 0xffe0 && r <= 0xffe6, r >= 0x1f300 && r <= 0x1faff, r >= 0x20000 && r <= 0x3fffd:
			n += 2
		default:
			n++
		}
	}
	return n
}

func joinNonEmpty(sep string, parts ...string) string {
	var l []string
	for _, p := range parts {
		if p != "" {
			l = append(l, p)
		}
	}
	return strings.Join(l, sep)
}
