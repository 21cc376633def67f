// A drawing held against the display that it was drawn from (check.Check), in words, numbers and pictures, and as text
// for the terminal. The page is in checkedpage.go, the pictures in checkedpictures.go.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/wire"
)

// A checkedView is a check in words, rounded numbers and figures.
type checkedView struct {
	Title    string
	Short    string   // the verdict in a few words
	Verdict  []string // and in full, where something is wrong; else what is off within the tolerance
	Within   bool
	Facts    []setting // how far off, and how it was placed
	Rows     []checkedRow
	Figure   figure
	Doubts   []string
	Notes    []string
	Cautions []string
	Sums     []string // of the files
}

// A checkedRow is one number of both.
type checkedRow struct{ Name, Display, Drawing, Difference string }

func checkedViewOf(c *check.Check) checkedView {
	v := checkedView{Title: Clean(string(c.Title)), Within: c.Within, Short: checkedShort(c), Cautions: cautions}
	if v.Title == "" {
		v.Title = fmt.Sprintf("The drawing %s against %s", Clean(c.Drawing.File), Clean(c.Display.File))
	}
	if v.Verdict = cleaned(c.Verdict); c.Within {
		v.Verdict = v.Verdict[1:]
	}
	v.Doubts, v.Notes = cleaned(c.Doubts), cleaned(c.Notes)
	if l := c.Largest; l != nil {
		v.Facts = append(v.Facts, setting{Name: "largest", Value: fmt.Sprintf("%s box, %s", fixed(float64(l.Size), 2), placeOf(c, l.X))})
	}
	v.Facts = append(v.Facts, setting{Name: "rms", Value: fmt.Sprintf("%s box over what is drawn, %.0f %% of the trace", fixed(float64(c.RMS), 2), 100*float64(c.Coverage))},
		setting{Name: "placed by", Value: placedBy(c)})
	v.Rows = checkedRows(c)
	if f := checkedFigure(c); f != nil {
		v.Figure = figure{svg: f, Title: "The drawing and the display’s trace on the display’s boxes",
			Caption: []caption{{"", "The display’s trace is the broad line, the drawing the thin one. Rings mark where the drawing departs by more than is allowed; the numbers say how far, in boxes."}}}
	}
	for _, s := range []struct {
		what string
		of   check.Source
	}{{"drawing", c.Drawing}, {"display", c.Display}} {
		if s.of.SHA256 != "" {
			v.Sums = append(v.Sums, fmt.Sprintf("%s, %s: SHA-256 %s", s.what, Clean(s.of.File), s.of.SHA256))
		}
	}
	return v
}

func cleaned(list []string) []string {
	out := make([]string, len(list))
	for i, s := range list {
		out[i] = Clean(s)
	}
	return out
}

// checkedShort is the verdict in a line.
func checkedShort(c *check.Check) string {
	if c.Within {
		return Clean(c.Verdict[0])
	}
	if len(c.Departures) == 0 && len(c.Missing) > 0 {
		return "The drawing is right as far as it goes, but a part is missing."
	}
	return fmt.Sprintf("The drawing departs from the screen by more than %s box.", short(float64(c.Tolerance)))
}

// placeOf says where a place on the screen is, in boxes and in time from the left rim.
func placeOf(c *check.Check, x wire.Number) string {
	from := float64(x) + float64(c.Display.Columns)/2
	says := fmt.Sprintf("%s boxes from the left rim", fixed(from, 1))
	if s := c.Display.Settings; s != nil && s.TimePerBox.Known() {
		says += " (" + plain(wire.Number(from)*s.TimePerBox, "s", 3) + ")"
	}
	return says
}

// placedBy says where the screen lies on the paper and whence that is known.
func placedBy(c *check.Check) string {
	p := c.Placement
	squares := counted(float64(p.SquaresPerBox), "square") + " a box, the screen’s bottom-left corner at " +
		short(math.Round(100*float64(p.Corner[0]))/100) + ", " + short(math.Round(100*float64(p.Corner[1]))/100) + " squares"
	var lines []string
	for _, l := range append(append([]check.Line{}, p.Upright...), p.Level...) {
		if l.Is != "" && !slices.Contains(lines, string(l.Is)) {
			lines = append(lines, string(l.Is))
		}
	}
	switch {
	case p.From == "axes":
		return "the lines that were drawn, taken for the " + strings.Join(lines, " and the ") + ": " + squares
	case p.From == "given":
		return "what was said: " + squares
	}
	return "the best fit on the lines of the paper: " + squares
}

// checkedRows are the numbers of both, the levels in boxes first.
func checkedRows(c *check.Check) (rows []checkedRow) {
	level := func(name string, l check.Level) {
		if !l.Display.Known() || !l.Drawing.Known() {
			return
		}
		r := checkedRow{name, boxes(l.Display), boxes(l.Drawing), differs(l.Difference, signed(float64(l.Difference.Value), 2)+" box")}
		if l.UDrawing.Known() {
			r.Drawing = measured(l.Drawing, l.UDrawing, "box")
		}
		if l.Rests {
			r.Difference = "placed by it"
		}
		rows = append(rows, r)
	}
	level("height where the drawing begins, from the centre", c.Start)
	level("ground line, from the centre", c.Ground)
	for _, q := range c.Quantities {
		in := unit.ColumnOf(q.Unit, float64(q.Display), float64(q.UDisplay), float64(q.Drawing), float64(q.UDrawing))
		of := func(x, u wire.Number) string { return in.Of(unit.Value{X: float64(x), U: float64(u), Unit: q.Unit}) }
		r := checkedRow{Name: quantity(wire.Result{Quantity: q.Quantity, Method: q.Method, Label: q.Label, Unit: q.Unit}),
			Display: of(q.Display, q.UDisplay), Drawing: of(q.Drawing, q.UDrawing)}
		if q.Share.Known() {
			r.Difference = differs(q.Difference, signed(100*float64(q.Share), 1)+" %")
		} else {
			gap := q.Drawing - q.Display
			r.Difference = differs(q.Difference, either(gap > 0, "+", "")+in.Plain(float64(gap), 3, 3))
		}
		rows = append(rows, r)
	}
	return rows
}

// differs is a difference as it is printed, if it can be told.
func differs(d check.Difference, says string) string {
	if !d.Told {
		return noneTold
	}
	return says
}

// noneTold stands where a difference cannot be told.
const noneTold = "none told"

// toldRule says when a difference can be told, "" where all are.
func toldRule(rows []checkedRow) string {
	for _, r := range rows {
		if r.Difference == noneTold {
			return "None told: a difference cannot be told if it is smaller than twice its uncertainty, which is that of the" +
				" hand, of where the screen lies on the paper, and of the display’s own points. The display’s scales, which" +
				" both share, are left out, also of the drawing’s."
		}
	}
	return ""
}

func boxes(n wire.Number) string { return signed(float64(n), 2) + " box" }

// signed prints a number with its sign.
func signed(v float64, decimals int) string {
	s := fixed(math.Abs(v), decimals)
	switch {
	case strings.Trim(s, "0.") == "":
		return s
	case v < 0:
		return "−" + s
	}
	return "+" + s
}

// CheckedText is the check for a terminal of so many columns, held between 50 and 80: the verdict first.
func CheckedText(c *check.Check, width int) string {
	v := checkedViewOf(c)
	t := &page{width: min(max(width, minWidth), maxWidth)}
	for _, l := range wrap(v.Short, t.width) {
		t.line(l)
	}
	for _, l := range v.Verdict {
		t.item("-", l)
	}
	t.line("")
	for _, f := range v.Facts {
		t.entry(f.Name, f.Value)
	}
	if len(v.Rows) > 0 {
		t.line("")
		first, second := columns("display"), columns("drawing")
		for _, r := range v.Rows {
			first, second = max(first, columns(r.Display)), max(second, columns(r.Drawing))
		}
		name := max(11, t.width-first-second-16)
		t.line(pad("", name) + "  " + pad("display", first) + "  " + pad("drawing", second) + "  difference")
		for _, r := range v.Rows {
			lines := wrap(r.Name, name)
			t.line(pad(lines[0], name) + "  " + pad(r.Display, first) + "  " + pad(r.Drawing, second) + "  " + r.Difference)
			for _, l := range lines[1:] {
				t.line("  " + l)
			}
		}
		if says := toldRule(v.Rows); says != "" {
			t.line("")
			t.item("-", says)
		}
	}
	for _, l := range v.Notes {
		t.line("")
		t.item("-", l)
	}
	if len(v.Doubts) > 0 {
		t.line("")
		t.line("Look at this before you use the verdict:")
		for _, l := range v.Doubts {
			t.item("!", l)
		}
	}
	return t.String()
}
