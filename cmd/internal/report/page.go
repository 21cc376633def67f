// The notebook page: one HTML file that needs nothing else, read from top to bottom. Its looks are in page.css.

package report

import (
	_ "embed"
	"fmt"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

//go:embed page.css
var pageStyle string

// Page is the notebook page of d. p may be nil: the page then has no photo. The file loads nothing from
// anywhere, and its policy forbids it to.
func Page(d *wire.Document, p *Pictures, print Print) []byte {
	l := leafOf(d, p, print)
	title := l.Title
	if len(l.Short) > 0 {
		title += ": " + l.Short[0]
	}
	return document(title, print, append([]markup{l.headPart()}, append(l.parts(), care(l.Cautions), l.footPart())...)...)
}

// A leaf is what a page says of one reading. Its ids begin with a prefix where the page has several.
type leaf struct {
	view
	d      *wire.Document
	p      *Pictures
	print  Print
	prefix string
}

func leafOf(d *wire.Document, p *Pictures, print Print) *leaf {
	l := &leaf{view: viewOf(d, print), d: d, p: p, print: print}
	l.said(print.say)
	return l
}

// parts are those of the page between its heading and what all pages end with.
func (l *leaf) parts() []markup {
	first, last := l.rimsPart(), markup{}
	if l.Scaled { // nobody has to look for the settings first
		first, last = last, first
	}
	return []markup{
		l.errorPart(),
		l.remarksPart("doubts", "doubts", "Look at this before you use the numbers", l.Doubts),
		l.paperPart(),
		l.photoPart(),
		first,
		l.settingsPart(),
		l.figuresPart(),
		l.readingsPart(),
		l.besidePart(),
		l.resultsPart(),
		l.agreementPart(),
		l.whatIfPart(),
		l.remarksPart("", "notes", "Worth knowing", l.Notes),
		l.budgetsPart(),
		last,
	}
}

func (l *leaf) section(of attributeName, id, heading string, parts ...markup) markup {
	return section(of, l.prefix+id, heading, parts...)
}

// headPart is the head of the page of one reading.
func (l *leaf) headPart() markup {
	return block("header", nil, append([]markup{element("h1", nil, text(l.Title))}, l.answer()...)...)
}

// titlePart is the head of a reading on a page of several.
func (l *leaf) titlePart() markup {
	return block("header", nil, append([]markup{element("h2", []attribute{{"id", "h-" + l.prefix + "title"}}, text(l.Title))}, l.answer()...)...)
}

// answer is what a reading says first.
func (l *leaf) answer() (parts []markup) {
	if len(l.Short) > 0 {
		short := element("strong", nil, text(l.Short[0]))
		for _, s := range l.Short[1:] {
			short = join(short, text("; "+s))
		}
		parts = append(parts, element("p", class("short"), short))
	}
	if l.Sentence != "" {
		parts = append(parts, element("p", nil, text(l.Sentence)))
	}
	return append(parts, para("quiet", l.origin()))
}

func (l *leaf) errorPart() markup {
	e := l.Error
	if e == nil {
		return markup{}
	}
	var hint markup
	if e.Hint != "" {
		hint = element("p", nil, element("strong", nil, text("What to do:")), text(" "+string(e.Hint)))
	}
	return l.section("alarm", "error", "Not read to the end", element("p", nil, text(e.Reason)), hint)
}

func (l *leaf) remarksPart(of attributeName, id, heading string, list remarks) markup {
	if len(list) == 0 {
		return markup{}
	}
	return l.section(of, id, heading, bullets(nil, list, func(r remark) markup {
		if r.About == "" {
			return text(r.Says)
		}
		return join(element("strong", nil, text(r.About+":")), text(" "+r.Says))
	}))
}

// photoPart is the photo with what was found drawn over it.
func (l *leaf) photoPart() markup {
	p := l.p
	if p == nil || p.Photo.JPEG == nil {
		return markup{}
	}
	box := func(id attributeName, with ...attribute) markup {
		return element("input", append(append(class(id), attribute{"type", "checkbox"}, attribute{"id", l.prefix + string(id)}), with...))
	}
	label := func(of, says string) markup { return element("label", []attribute{{"for", l.prefix + of}}, text(says)) }
	stack := element("div", class("stack"), img(p.Photo, attribute{"alt", "The photograph, reduced in size"}), overlay(l.d, p))
	view := append(class("view"), attribute{"tabindex", "0"}, attribute{"role", "group"}, attribute{"aria-label", "The photo"})
	return l.section("seen", "photo", "The photo",
		block("div", class("photo"),
			join(box("show", attribute{"checked", ""}), label("show", "show the graticule and the traces as found"), element("br", nil)),
			join(box("large"), label("large", "enlarge, to scroll about in")),
			element("div", view, stack)),
		para("quiet", "Do the thin lines lie on the display’s own? If not, read it again with the corners given by hand."))
}

// overlay draws the found lines and traces over the photo, in the photo's own pixels.
func overlay(d *wire.Document, p *Pictures) markup {
	if !d.Photo.Width.Known() || !d.Photo.Height.Known() {
		return markup{}
	}
	path := func(of attributeName, lines [][]geom.Pixel, with ...attribute) markup {
		var b strings.Builder
		for _, l := range lines {
			b.WriteString(route(l))
		}
		return element("path", append(append(class(of), with...), attribute{"d", b.String()}))
	}
	parts := []markup{path("under", p.Lattice), path("lattice", p.Lattice)}
	for _, l := range p.Lines {
		if several(d) { // in their own colours, to tell which is which
			parts = append(parts, path("under dark", l.Pieces), path("found", l.Pieces, styled("stroke:#%x", l.Colour)))
			continue
		}
		parts = append(parts, path("under", l.Pieces), path("found", l.Pieces))
	}
	box := "0 0 " + coordinate(float64(d.Photo.Width)) + " " + coordinate(float64(d.Photo.Height))
	return element("svg", append(class("over"), attribute{"viewBox", box}, attribute{"aria-hidden", "true"}), parts...)
}

// route is the path through places of the photo.
func route(l []geom.Pixel) string {
	x, y := make([]float64, len(l)), make([]float64, len(l))
	for i, q := range l {
		x[i], y[i] = q.X, q.Y
	}
	same := func(v float64) float64 { return v }
	return curve(x, y, same, same)
}

func (l *leaf) settingsPart() markup {
	entry := func(name string, values ...string) markup {
		values = slices.DeleteFunc(values, func(s string) bool { return s == "" })
		if len(values) == 0 {
			return markup{}
		}
		dd := each(values, func(s string) markup { return element("dd", nil, text(s)) })
		return element("div", nil, append([]markup{element("dt", nil, text(name))}, dd...)...)
	}
	list := each(l.Settings, func(s setting) markup { return entry(s.Name, s.Value) })
	list = append(list, entry("graticule", l.Graticule), entry("trace", l.Trace), entry("signal", l.Signal),
		entry("moves all points together", l.Effects...))
	return l.section("", "settings", "Settings and what was found", block("dl", nil, list...))
}

// figurePart is a figure with its caption.
func (l *leaf) figurePart(f figure) markup {
	var with []attribute
	if f.Paper {
		with = append(class("paper"), styled("--on-paper: %.2fmm", l.print.paperWidth(l.d.Graticule)))
	}
	var caption []markup
	for i, c := range f.Caption {
		if i > 0 {
			caption = append(caption, element("br", nil))
		}
		if c.Label != "" {
			caption = append(caption, element("b", nil, text(c.Label+":")), text(" "))
		}
		caption = append(caption, text(c.Says))
	}
	return element("figure", with, drawn(f), element("figcaption", nil, caption...))
}

// paperPart is the trace to scale.
func (l *leaf) paperPart() markup {
	if l.Paper == nil {
		return markup{}
	}
	return l.section("", "paper", toScaleSay(l.d), block("div", class("graphs"), l.figurePart(*l.Paper)))
}

func (l *leaf) figuresPart() markup {
	if len(l.Figures) == 0 {
		return markup{}
	}
	return l.section("", "graphs", "The trace", block("div", class("graphs"), each(l.Figures, l.figurePart)...))
}

// resultsTable has a line for each result, and one for each trace above its own.
func resultsTable(l []row) markup {
	names := []string{"quantity", "value(u)", "u", "value ± U (95 %)", "k", "ν"}
	return grid("fold results", names, each(l, func(r row) markup {
		var head markup
		if r.Head != "" {
			over := []attribute{{"scope", "rowgroup"}, {"colspan", "6"}}
			head = element("tr", class("part"), element("th", over, text(r.Head)))
		}
		return lines(head, line(nil, text(r.Name), cell{"value", r.Value, true}, cell{"u", r.U, false},
			cell{"value ± U", r.Expanded, false}, cell{"k", r.K, false}, cell{"ν", r.DOF, false}))
	})...)
}

func (l *leaf) readingsPart() markup {
	if len(l.Readings) == 0 {
		return markup{}
	}
	return l.section("", "readings", "Read off the curve", resultsTable(l.Readings))
}

func (l *leaf) resultsPart() markup {
	if len(l.Results) == 0 {
		return markup{}
	}
	return l.section("", "results", "Results", resultsTable(l.Results), para("quiet", bracketsSay))
}

func (l *leaf) besidePart() markup {
	if len(l.Beside) == 0 {
		return markup{}
	}
	names := []string{"time", "reading(u)", "trace", "reading − trace", "zeta"}
	return l.section("", "beside", "Readings of "+l.BesideFile+" beside the trace",
		grid("fold beside", names, each(l.Beside, func(r besideRow) markup {
			var with []attribute
			if r.Apart != "" {
				r.T += " " + r.Apart
				with = class("odd")
			}
			return line(with, text(r.T), cell{"reading(u)", r.Reading, false}, cell{"trace", r.Trace, false},
				cell{"reading − trace", r.Difference, true}, cell{"zeta", r.Zeta, false})
		})...),
		para("quiet", besideSays(l.Beside)))
}

func (l *leaf) agreementPart() markup {
	if len(l.Agreement) == 0 {
		return markup{}
	}
	return l.section("", "agree", "Do they agree?", block("ul", class("agree"), each(l.Agreement, func(c wire.Comparison) markup {
		var with []attribute
		if !c.Agree {
			with = class("apart")
		}
		if len(c.Causes) == 0 {
			return element("li", with, text(c.Says))
		}
		causes := each(c.Causes, func(s string) markup { return element("li", nil, text(s)) })
		return element("li", with, text(c.Says), markup{"\n"},
			lines(element("p", nil, text("What could explain it, the likeliest by its size first:")), element("ol", nil, causes...)))
	})...))
}

func (l *leaf) whatIfPart() markup {
	if len(l.WhatIfs) == 0 {
		return markup{}
	}
	return l.section("", "what-if", "What if…", bullets(nil, l.WhatIfs, func(w wire.WhatIf) markup {
		return join(text("If "+w.If+", "), element("strong", nil, text(w.Then)), text("."))
	}))
}

func (l *leaf) budgetsPart() markup {
	if len(l.Budgets) == 0 {
		return markup{}
	}
	names := []string{"where it comes from", "its value", "known to (u)", "it lies", "it changes the result by",
		"so much is that here", "share of u²", "ν"}
	parts := each(l.Budgets, func(r row) markup {
		summary := []markup{text(r.Name + ": " + r.Value)}
		if r.Main != "" {
			summary = append(summary, text(" "), element("span", class("quiet"), text("from "+r.Main)))
		}
		rows := each(r.Budget, func(t termRow) markup {
			source := text(t.Source)
			if t.Shared != "" {
				why := append(class("mark"), attribute{"title", "the instrument’s own, the same in every photo of it at one setting"})
				source = join(source, element("span", why, text(" (shared)")))
			}
			return line(nil, source, cell{"its value", t.Value, false}, cell{"known to (u)", t.Known, false}, cell{"it lies", t.How, false},
				cell{"it changes the result by", t.Per, false}, cell{"so much is that here", t.U, false},
				cell{"share of u²", t.Share, false}, cell{"ν", t.DOF, false})
		})
		sum := line(class("sum"), text("together (u)"), cell{}, cell{}, cell{}, cell{}, cell{"u", r.U, false}, cell{}, cell{"ν", r.DOF, false})
		var trials markup
		if r.Trials != "" {
			trials = element("p", nil, text(r.Trials))
		}
		wide := append(class("wide"), attribute{"tabindex", "0"}, attribute{"role", "group"}, attribute{"aria-label", "Budget of " + r.Name})
		return block("details", nil, element("summary", nil, summary...),
			block("div", wide, grid("fold", names, append(rows, sum)...)), trials)
	})
	return l.section("", "budgets", "Where the uncertainty comes from",
		l.budgetGrid(),
		para("quiet", "The largest sources of each result, with their shares. Open one to see all of it; what is open is printed."),
		lines(parts...),
		para("quiet", "How to read a line: a source is known to u, one unit of it changes the result by so much, and both multiplied are its part "+
			"here. ν is the degrees of freedom."))
}

// budgetGrid is the table of all budgets.
func (l *leaf) budgetGrid() markup {
	b := budgetOf(l.d)
	rows := each(b.rows, func(r budgetRow) markup {
		var cells []cell
		for k, share := range r.shares {
			cells = append(cells, cell{b.names[k], share, false})
		}
		return line(nil, text(r.source), cells...)
	})
	heads := []string{"share of u², %"}
	for k := range b.names {
		heads = append(heads, fmt.Sprint(k+1))
	}
	wide := append(class("wide"), attribute{"tabindex", "0"}, attribute{"role", "group"}, attribute{"aria-label", "All budgets"})
	return lines(para("", strings.Join(b.says, "; ")), block("div", wide, grid("fold budgets", heads, rows...)),
		para("quiet", joinNonEmpty(" ", budgetsSay, b.others)))
}

// rimsPart shows the rims of the display, where most displays print their settings.
func (l *leaf) rimsPart() markup {
	d, p := l.d, l.p
	if p == nil {
		return markup{}
	}
	size := func(m Picture, alt string) []attribute {
		return []attribute{{"width", short(float64(m.W))}, {"height", short(float64(m.H))}, {"alt", alt}}
	}
	var strips []markup
	for _, m := range p.Margins {
		if m.JPEG == nil {
			continue
		}
		var with []attribute
		if m.Tall {
			with = class("tall")
		}
		strips = append(strips, element("figure", with, img(m, size(m, "The display’s margin "+m.Name)...), element("figcaption", nil, text(m.Name))))
	}
	if len(strips) == 0 {
		return markup{}
	}
	var channels markup
	if len(p.Channels) > 0 {
		channels = block("ul", class("channels"), each(p.Channels, func(c Channel) markup {
			e := c.entry(d, l.print)
			words := []markup{element("span", append(class("swatch"), styled("background: #%x", c.Colour))),
				element("strong", nil, text(e.Name+":")), text(" " + e.Says + ".")}
			if e.Hint != "" {
				words = append(words, text(" To give it: "), element("code", nil, text(e.Hint)))
			}
			var pieces markup
			if len(c.Scale) > 0 {
				pieces = element("div", class("pieces"), each(c.Scale, func(m Picture) markup {
					return img(m, size(m, "Part of the rim: "+m.Name)...)
				})...)
			} else {
				words = append(words, text(" "+c.nowhere()))
			}
			return block("li", nil, element("p", nil, words...), pieces)
		})...)
	}
	return l.section("", "margins", "Around the display", para("quiet", rimsSay), channels, block("div", class("margins"), strips...))
}

// footPart ends the page with what tells the file from any other.
func (l *leaf) footPart() markup {
	if l.SHA256 == "" {
		return element("footer", nil)
	}
	return block("footer", nil, element("p", nil, text("The file’s SHA-256: "), element("span", class("hash"), text(l.SHA256))))
}
