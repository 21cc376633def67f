// Several readings laid side by side (compare.Comparison), in words and figures, and as text for the terminal. The page
// is in comparedpage.go.

package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

// A comparedView is a comparison in words, rounded numbers and figures.
type comparedView struct {
	Title    string
	Short    string
	Sources  []comparedSource
	Same     []comparedQuantity
	Beside   []besideQuantity
	Names    []string // of the sources, above the columns of Beside
	Remarks  []string
	Cautions []string
}

type comparedSource struct{ Name, File, Says, SHA256 string }

// A comparedQuantity must be one in all readings.
type comparedQuantity struct {
	Name     string
	Rows     []comparedRow
	Verdicts []verdict
	Figures  []figure
	Heights  bool // some rows have one
}

// mixed says that not all rows are compared.
func (q *comparedQuantity) mixed() bool {
	return slices.ContainsFunc(q.Rows, func(r comparedRow) bool { return !r.Main })
}

type comparedRow struct {
	Who, Way, Value, Interval, Height string
	Main                              bool
}

type verdict struct {
	Agree bool
	Says  string
}

// A besideQuantity has one value a source, "" where there is none, and the largest difference.
type besideQuantity struct {
	Name       string
	Values     []string
	Difference string
}

// mostDoubts of one reading are told: the page is about the comparison.
const mostDoubts = 3

func comparedViewOf(c *compare.Comparison) comparedView {
	v := comparedView{Title: Clean(string(c.Title)), Cautions: cautions}
	for _, s := range c.Sources {
		v.Names = append(v.Names, s.Name)
		v.Sources = append(v.Sources, comparedSource{s.Name, Clean(s.File), sourceSays(&s), string(s.SHA256)})
	}
	if v.Title == "" {
		v.Title = "Compared: " + strings.Join(v.Names, ", ")
	}
	var short []string
	for i := range c.Same {
		q := &c.Same[i]
		v.Same = append(v.Same, comparedQuantityOf(q))
		short = append(short, shortOf(q))
	}
	if len(short) > 0 {
		v.Short = capital(strings.Join(short, "; ")) + "."
	}
	for i := range c.Beside {
		v.Beside = append(v.Beside, besideQuantityOf(&c.Beside[i], v.Names))
	}
	for _, s := range c.Sources {
		if s.SameFileAs != "" {
			v.Remarks = append(v.Remarks, fmt.Sprintf("%s is the same file as %s: one photo or table cannot confirm itself.", s.Name, s.SameFileAs))
		}
		for i, d := range s.Doubts {
			if i == mostDoubts {
				v.Remarks = append(v.Remarks, fmt.Sprintf("%s: %s more; read it alone to see them.", s.Name, counted(float64(len(s.Doubts)-i), "doubt")))
				break
			}
			v.Remarks = append(v.Remarks, s.Name+": "+Clean(d))
		}
		if s.Apart > 0 {
			v.Remarks = append(v.Remarks, fmt.Sprintf("In %s alone %d of %s do not agree: read it alone and see which.", s.Name, s.Apart, counted(float64(s.Compared), "comparison")))
		}
	}
	return v
}

// capital begins a heading or a sentence.
func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func sourceSays(s *compare.Source) string {
	parts := []string{"photo"}
	if s.Table {
		parts[0] = "table"
	}
	if s.Title != "" {
		parts = append(parts, Clean(string(s.Title)))
	}
	if s.Settings.VoltsPerBox.Known() {
		parts = append(parts, exact(s.Settings.VoltsPerBox, "V")+" a box")
	}
	if s.Settings.TimePerBox.Known() {
		parts = append(parts, exact(s.Settings.TimePerBox, "s")+" a box")
	}
	if s.Signal != "" {
		parts = append(parts, string(s.Signal))
	}
	return strings.Join(parts, ", ")
}

// shortOf is the answer in a few words: whether the readings agree, and on what.
func shortOf(q *compare.Quantity) string {
	name := quantityName(q.Quantity, q.Unit)
	if !q.Agree {
		return name + ": not the same in all"
	}
	if t := q.Together; t.Mean.Known() && t.U.Known() {
		return name + ": the same within the uncertainties, in the mean " + measured(t.Mean, t.U, q.Unit)
	}
	return name + ": the same within the uncertainties"
}

func comparedQuantityOf(q *compare.Quantity) comparedQuantity {
	out := comparedQuantity{Name: capital(quantityName(q.Quantity, q.Unit))}
	var main []wire.Result
	ways := slices.ContainsFunc(q.Values, func(x compare.Value) bool { return way(asResult(q, &x)) != "" })
	for i := range q.Values {
		x := &q.Values[i]
		row := comparedRow{Who: readingOf(q, i), Way: way(asResult(q, x)), Value: measured(x.Value, x.U, q.Unit), Main: x.Main}
		if row.Way == "" && ways {
			row.Way = "the trace"
		}
		row.Interval = row.Value
		if x.Expanded.Known() {
			row.Interval = interval(asResult(q, x))
		}
		if x.Height.Known() && x.Main {
			row.Height, out.Heights = measured(x.Height, x.UHeight, "V"), true
		}
		out.Rows = append(out.Rows, row)
		if x.Main {
			r := asResult(q, x)
			r.Label = wire.Text(whose(q, i))
			main = append(main, r)
		}
	}
	all := len(q.Pairs) > 1
	for _, p := range q.Pairs {
		all = all && takenOff(p.Taken) == takenOff(q.Pairs[0].Taken)
	}
	for k, p := range q.Pairs {
		taken := takenOff(p.Taken)
		switch { // told once where it is the same for all pairs
		case all && k == 0:
			taken = strings.Replace(taken, "both share", "all share", 1)
		case all:
			taken = ""
		}
		out.Verdicts = append(out.Verdicts, verdict{p.Agree, fmt.Sprintf("%s and %s %s: %s apart, %s%s", whose(q, p.A), whose(q, p.B), agrees(p.Agree),
			measured(wire.Number(math.Abs(float64(p.Gap))), p.U, q.Unit), zeta(p.Zeta), taken)})
	}
	if t := q.Together; t != nil && t.Degrees > 1 && t.Chi2.Known() {
		out.Verdicts = append(out.Verdicts, verdict{t.Agree, fmt.Sprintf("all %d together %s: χ² = %.1f for %d degrees of freedom", t.Degrees+1, agrees(t.Agree), float64(t.Chi2), t.Degrees)})
	}
	if t := q.Trend; t != nil {
		says := "it does not change with the height, as it must not"
		if !t.Agree {
			says = "it changes with the height, which τ of an RC circuit does not: look for a reading that is off, a part that is not linear, or a wrong setting"
		}
		out.Verdicts = append(out.Verdicts, verdict{t.Agree, fmt.Sprintf("against the height of the decays: %s for 1 V, %s; %s", measured(t.Slope, t.U, q.Unit), zeta(t.Zeta), says)})
	}
	symbol := quantityWords(q.Quantity)
	if q.Quantity == "tau" {
		symbol = "τ"
	}
	if f := sideBySide(symbol, main); f != nil && len(main) > 2 { // two numbers need no picture
		out.Figures = append(out.Figures, figure{svg: f, Title: out.Name + " in each reading with its expanded uncertainty",
			Caption: []caption{{"", "What is compared; a bar is the value ± U, and an arrow says that it goes on."}}})
	}
	if f := againstHeight(q, symbol); f != nil && q.Trend != nil {
		out.Figures = append(out.Figures, figure{svg: f, Title: out.Name + " against the height of the decays",
			Caption: []caption{{"", "Against the height of the decays, which is the drive where they settle; bars are one standard uncertainty, the line is the mean."}}})
	}
	return out
}

// asResult is a value as the other figures and tables take it.
func asResult(q *compare.Quantity, v *compare.Value) wire.Result {
	r := wire.Result{Quantity: q.Quantity, Method: v.Method, Label: v.Label, Value: v.Value, U: v.U, Expanded: v.Expanded, Unit: q.Unit}
	if label, ok := elsewhere[v.Method]; ok && (v.Source == "" || label[0] == "") {
		r.Label = label[1]
	}
	return r
}

// elsewhere names what comes from no reading: what it is, or "" where it stands under the name of a photo, and whence.
var elsewhere = map[wire.Text][2]wire.Text{
	"rc": {"R × C", "from the meters"}, "given": {"the known one", "from elsewhere"},
	"generator": {"", "the generator’s dial"}, "display": {"", "the display’s own readout"}, "by_hand": {"", "read by hand"},
	"known": {"", "known from elsewhere"},
}

// whose names the reading of a value; its way as well if several ways of that reading are compared, and the way alone
// if there is no other reading.
func whose(q *compare.Quantity, i int) string {
	v, name := &q.Values[i], readingOf(q, i)
	if v.Source == "" || !v.Main {
		return name
	}
	ways, others := 0, 0
	for k := range q.Values {
		switch o := &q.Values[k]; {
		case !o.Main:
		case readingOf(q, k) != name:
			others++
		default:
			ways++
		}
	}
	by := way(asResult(q, v))
	switch {
	case by == "":
		by = "the trace"
	case strings.HasPrefix(by, "of "): // "of all points" follows the name of the quantity
		by = "the " + quantityWords(q.Quantity) + " " + by
	case v.Method == "by_hand", v.Method == "known":
		by = "the one " + by
	}
	switch {
	case ways == 1:
		return name
	case others == 0:
		return by
	}
	return name + ", " + by
}

// readingOf names the reading of a value, and its trace if the reading has several of them here.
func readingOf(q *compare.Quantity, i int) string {
	v := &q.Values[i]
	if v.Source == "" {
		return string(elsewhere[v.Method][0])
	}
	for k := range q.Values {
		if o := &q.Values[k]; o.Source == v.Source && o.Trace != v.Trace && o.Trace != "" && v.Trace != "" {
			return Clean(v.Source) + " (trace " + Clean(v.Trace) + ")"
		}
	}
	return Clean(v.Source)
}

func agrees(yes bool) string {
	if yes {
		return "agree"
	}
	return "do not agree"
}

// zeta tells how many of its own standard uncertainties a difference is, in whole ones once they are many.
func zeta(z wire.Number) string {
	return "|zeta| = " + words.Zeta(float64(z))
}

func takenOff(causes []string) string {
	if len(causes) == 0 {
		return ""
	}
	return "; taken off, as both share it: " + strings.Join(causes, " and ")
}

func besideQuantityOf(q *compare.Quantity, names []string) besideQuantity {
	out := besideQuantity{Name: quantity(wire.Result{Quantity: q.Quantity, Label: q.Label, Method: q.Values[0].Method})}
	for _, name := range names {
		value := ""
		for _, v := range q.Values {
			if v.Source == name {
				value = measured(v.Value, v.U, q.Unit)
				break
			}
		}
		out.Values = append(out.Values, value)
	}
	var widest *compare.Pair
	for i := range q.Pairs {
		if p := &q.Pairs[i]; widest == nil || math.Abs(float64(p.Zeta)) > math.Abs(float64(widest.Zeta)) {
			widest = p
		}
	}
	if widest != nil {
		out.Difference = fmt.Sprintf("%s − %s = %s, %s", q.Values[widest.B].Source, q.Values[widest.A].Source, measured(widest.Gap, widest.U, q.Unit), zeta(widest.Zeta))
	}
	return out
}

// againstHeight has the main values against the heights of their decays; nil for fewer than two.
func againstHeight(q *compare.Quantity, symbol string) *svg {
	var xs, low, high []float64
	for _, v := range q.Values {
		if v.Main && v.Height.Known() {
			xs, low, high = append(xs, float64(v.Height)), append(low, float64(v.Value-v.U)), append(high, float64(v.Value+v.U))
		}
	}
	x0, x1, ok := span(xs)
	y0, y1, _ := span(low, high)
	if !ok || len(xs) < 2 {
		return nil
	}
	s := &svg{w: figureWidth, h: topRoom + 140 + lowRoom}
	p := &panel{svg: s, left: leftRoom, top: topRoom, right: figureWidth - rightRoom, bottom: topRoom + 140}
	p.x0, p.x1 = padded(min(0, x0), x1, 0.06)
	p.y0, p.y1 = padded(y0, y1, 0.3)
	p.upright(symbol, q.Unit)
	p.level("height of the decays", "V", true)
	p.rim()
	if t := q.Together; t != nil && t.Mean.Known() {
		if y := p.py(float64(t.Mean)); y > p.top && y < p.bottom {
			p.line("fit", 1.6, p.left, y, p.right, y)
		}
	}
	for i := range q.Values {
		v := &q.Values[i]
		if !v.Main || !v.Height.Known() {
			continue
		}
		x := p.px(float64(v.Height))
		p.line("bars", 1.6, x, p.py(float64(v.Value-v.U)), x, p.py(float64(v.Value+v.U)))
		if v.UHeight.Known() {
			from, to := p.px(float64(v.Height-v.UHeight)), p.px(float64(v.Height+v.UHeight))
			p.line("bars", 1.6, max(from, p.left), p.py(float64(v.Value)), min(to, p.right), p.py(float64(v.Value)))
		}
		s.disc("value", x, p.py(float64(v.Value)), 4)
		if at, name := p.py(float64(v.Value))-6, whose(q, i); x > (p.left+p.right)/2 {
			p.text(x-7, at, "end", name)
		} else {
			p.text(x+7, at, "start", name)
		}
	}
	return s
}

// ComparedText is the comparison for a terminal of so many columns, held between 50 and 80.
func ComparedText(c *compare.Comparison, width int) string {
	v := comparedViewOf(c)
	t := &page{width: min(max(width, minWidth), maxWidth)}
	if v.Short != "" {
		for _, l := range wrap(v.Short, t.width) {
			t.line(l)
		}
		t.line("")
	}
	for _, s := range v.Sources {
		t.entry(s.Name, s.File+": "+s.Says)
	}
	for _, q := range v.Same {
		t.line("")
		t.line(q.Name)
		who, value := 0, 0
		for _, r := range q.Rows {
			who, value = max(who, columns(r.Who+", "+r.Way)), max(value, columns(r.Interval))
		}
		who = min(who, t.width-value-20)
		for _, r := range q.Rows {
			lines := wrap(joinNonEmpty(", ", r.Who, r.Way), who)
			mark, height := " ", ""
			if r.Main {
				mark = "●"
			}
			if r.Height != "" {
				height = "height " + r.Height
			}
			t.line(mark + " " + pad(lines[0], who) + "  " + pad(r.Interval, value) + "  " + height)
			for _, l := range lines[1:] {
				t.line("  " + l)
			}
		}
		for _, k := range q.Verdicts {
			t.item(mark(k.Agree), k.Says)
		}
	}
	if len(v.Same) > 0 {
		t.line("")
		for _, l := range wrap("● is compared; = they agree, ≠ they do not. Values stand with U (95 %), differences with u.", t.width) {
			t.line(l)
		}
	}
	if len(v.Beside) > 0 {
		t.line("")
		t.line("Side by side, without a verdict")
		for _, q := range v.Beside {
			var parts []string
			for i, x := range q.Values {
				if x != "" {
					parts = append(parts, v.Names[i]+" "+x)
				}
			}
			t.item("-", q.Name+": "+strings.Join(parts, ", ")+"; "+q.Difference)
		}
	}
	if len(v.Remarks) > 0 {
		t.line("")
		t.line("Look at this before you use the numbers:")
		for _, r := range v.Remarks {
			t.item("!", r)
		}
	}
	return t.String()
}
