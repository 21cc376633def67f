// The short summary for the terminal, in the order in which a person needs it: the answer, whether it agrees, what is
// to be doubted, and then the results, the settings and what is worth knowing, as far as a window of ordinary height
// has room. Text has all of it.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
)

// briefLines is the height in lines that a brief summary keeps to where little is to be doubted: that of the
// smallest windows of a terminal and a line (common practice, no source;
// TestAUsualPhotoFitsAWindow).
const briefLines = 25

// Brief is the short summary of d, and what was written where, "" for nothing. No line is wider than width columns,
// which is held between 50 and 80.
func Brief(d *wire.Document, width int, written string) string {
	t := &page{width: min(max(width, minWidth), maxWidth)}
	for _, tr := range chosen(d) {
		t.wrapped(answer(d, tr))
	}
	if e := d.Error; e != nil {
		t.item("x", "Not read to the end: "+e.Reason)
	}
	compared := inSubstance(d)
	if len(compared) > 0 {
		t.line("")
		t.wrapped(agreementHead)
	}
	for _, c := range compared {
		t.item(mark(c.Agree), c.says())
		if len(c.Causes) > 0 {
			t.item("  -", c.Causes[0])
		}
	}
	if list := doubts(d); len(list) > 0 {
		t.doubtsInBrief(list)
	}
	t.results(d, mainResults(d))
	t.line("")
	t.entry("Read with", readWith(d))
	end := &page{width: t.width}
	if ofDecay(d) {
		end.wrapped(caution)
	}
	if written == "" {
		end.wrapped("All of it, with every comparison and note: --full; as a page: --out FOLDER.")
	} else {
		end.wrapped(written + " All of it here, with every comparison and note: --full.")
	}
	t.notesInBrief(notes(d), briefLines-strings.Count(end.String(), "\n"))
	return t.String() + end.String()
}

// wrapped writes a text over the whole width.
func (t *page) wrapped(text string) {
	for _, l := range wrap(text, t.width) {
		t.line(l)
	}
}

// answer is the first result of a trace in a line.
func answer(d *wire.Document, tr *wire.Trace) string {
	kind := string(tr.Signal)
	if tr.SignalTold == "for want" {
		kind = "no kind of signal that is known"
	}
	for _, r := range d.Results {
		if r.Trace != tr.Name || !r.Value.Known() {
			continue
		}
		name := quantityName(r.Quantity, r.Unit)
		if name == "" {
			name = quantity(r)
		}
		value := interval(r) + " at 95 %"
		if !r.Expanded.Known() {
			value = result(r) + ", its uncertainty not determined"
		}
		return ofTrace(d, "Trace "+tr.Name, "") + joinNonEmpty(": ", strings.ToUpper(kind[:min(1, len(kind))])+kind[min(1, len(kind)):], name+" = "+value)
	}
	return "Trace " + tr.Name + ": no result"
}

// A representative stands for so many comparisons of one kind and verdict: the one that is furthest apart.
type representative struct {
	wire.Comparison
	of int
}

func (c *representative) says() string {
	if c.of == 1 {
		return c.Short
	}
	return fmt.Sprintf("%s (the widest of %d)", c.Short, c.of)
}

// inSubstance gives one comparison of each that differ in what they compare: two ways to read one trace, or the trace
// and the parts of the circuit; or in whether they agree.
func inSubstance(d *wire.Document) (out []*representative) {
	parts := func(c wire.Comparison) bool {
		return slices.ContainsFunc(c.Results, func(i int) bool { return i >= 0 && i < len(d.Results) && d.Results[i].Method == "rc" })
	}
	for _, c := range d.Comparisons {
		i := slices.IndexFunc(out, func(o *representative) bool {
			return o.What.Kind == c.What.Kind && o.What.About == c.What.About && o.What.Values["of"] == c.What.Values["of"] && o.Agree == c.Agree &&
				parts(o.Comparison) == parts(c)
		})
		if i < 0 {
			out = append(out, &representative{c, 1})
			continue
		}
		out[i].of++
		if math.Abs(float64(c.Zeta)) > math.Abs(float64(out[i].Zeta)) {
			out[i].Comparison = c
		}
	}
	return out
}

// doubtsInBrief writes the doubt on which most hangs in full and the first sentence of each other one. Where the photo
// lies on its side all others may come of that, and are only counted.
func (t *page) doubtsInBrief(list remarks) {
	t.line("")
	t.line(doubtsHead)
	lines := list.lines()
	t.item("!", lines[0])
	if first := list.first(); first != "" {
		t.item("→", first)
	}
	switch rest := lines[1:]; {
	case len(rest) == 0:
	case list[0].consequence() == 0:
		t.item(" ", fmt.Sprintf("%d more may come of that; see --full.", len(rest)))
	default:
		for _, l := range rest {
			t.item("!", firstSentence(l))
		}
	}
}

// firstSentence cuts a text after its first full stop.
func firstSentence(text string) string {
	if s, _, more := strings.Cut(text, ". "); more {
		return s + "."
	}
	return text
}

// mainResults are those that say something of their own: of a period, a frequency and a height by several ways the
// first, of τ the ways to it but not each decay alone, and of times those that were asked for.
func mainResults(d *wire.Document) (list []wire.Result) {
	seen := map[[2]string]bool{}
	for _, r := range d.Results {
		of := [2]string{r.Trace, r.Quantity}
		label := string(r.Label)
		switch r.Quantity {
		case "period", "frequency", "v_pp":
			if seen[of] || r.Quantity == "v_pp" && r.Signal == "decay" {
				continue
			}
		case "tau":
			if label != "" {
				continue
			}
		case "time_at_level":
			if !strings.HasPrefix(label, "from ") {
				continue
			}
		}
		seen[of] = true
		list = append(list, r)
	}
	return list
}

// readWith is what was read and what turned boxes into volts and seconds, in a few words.
func readWith(d *wire.Document) string {
	var parts []string
	switch {
	case d.Table != nil:
		parts = append(parts, tableLine(d.Table))
	case d.Graticule != nil:
		names := make([]string, 0, 1)
		for _, tr := range chosen(d) {
			names = append(names, "trace "+tr.Name)
		}
		parts = append(parts, d.Photo.File+", "+joinNonEmpty(", ", fmt.Sprintf("%d × %d boxes", d.Graticule.Columns, d.Graticule.Rows), strings.Join(names, ", ")))
	default:
		parts = append(parts, d.Photo.File)
	}
	for _, s := range settings(d) {
		if !s.own {
			parts = append(parts, s.Name+" "+s.Value)
		}
	}
	if several(d) {
		for _, tr := range chosen(d) {
			parts = append(parts, tr.Name+": "+strings.Join(scaledWith(tr), ", "))
		}
	}
	return strings.Join(parts, "; ")
}

// notesInBrief writes the first sentences of notes up to so many lines of the whole, and how many are left.
func (t *page) notesInBrief(list remarks, most int) {
	if len(list) == 0 {
		return
	}
	left := len(list)
	for _, l := range list.lines() {
		one := &page{width: t.width}
		one.item("-", firstSentence(l))
		room := most - strings.Count(t.String()+one.String(), "\n")
		if room < 0 || room == 0 && left > 1 {
			break
		}
		t.WriteString(one.String())
		left--
	}
	if left > 0 {
		t.item("-", fmt.Sprintf("%d more worth knowing; see --full.", left))
	}
}
