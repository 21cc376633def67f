// The notebook page: one HTML file that needs nothing else, read from top to bottom. Its looks are in page.css.

package report

import (
	_ "embed"
	"slices"
	"strings"

	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

//go:embed page.css
var pageStyle string

// Page is the notebook page of d. p may be nil: the page then has no photo. The file loads nothing from
// anywhere, and its policy forbids it to.
func Page(d *wire.Document, p *Pictures) []byte {
	v := viewOf(d)
	title := v.Title
	if len(v.Short) > 0 {
		title += ": " + v.Short[0]
	}
	var rims, photo markup
	if p != nil {
		rims, photo = rimsPart(d, p), photoPart(d, p)
	}
	first, last := rims, markup{}
	if v.Scaled { // nobody has to look for the settings first
		first, last = last, first
	}
	return document(title,
		headPart(&v),
		errorPart(v.Error),
		remarksPart("doubts", "doubts", "Look at this before you use the numbers", v.Doubts),
		photo,
		first,
		settingsPart(&v),
		figuresPart(v.Figures, d),
		readingsPart(v.Readings),
		besidePart(v.Beside, v.BesideFile),
		resultsPart(v.Results),
		agreementPart(v.Agreement),
		whatIfPart(v.WhatIfs),
		remarksPart("", "notes", "Worth knowing", v.Notes),
		budgetsPart(v.Budgets),
		last,
		care(v.Cautions),
		footPart(v.SHA256))
}

func headPart(v *view) markup {
	parts := []markup{element("h1", nil, text(v.Title))}
	if len(v.Short) > 0 {
		short := element("strong", nil, text(v.Short[0]))
		for _, s := range v.Short[1:] {
			short = join(short, text("; "+s))
		}
		parts = append(parts, element("p", class("short"), short))
	}
	return block("header", nil, append(parts, para("quiet", v.origin()))...)
}

func errorPart(e *wire.Error) markup {
	if e == nil {
		return markup{}
	}
	var hint markup
	if e.Hint != "" {
		hint = element("p", nil, element("strong", nil, text("What to do:")), text(" "+string(e.Hint)))
	}
	return section("alarm", "error", "Not read to the end", element("p", nil, text(e.Reason)), hint)
}

func remarksPart(of attributeName, id, heading string, l remarks) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section(of, id, heading, bullets(nil, l, func(r remark) markup {
		if r.About == "" {
			return text(r.Says)
		}
		return join(element("strong", nil, text(r.About+":")), text(" "+r.Says))
	}))
}

// photoPart is the photo with what was found drawn over it.
func photoPart(d *wire.Document, p *Pictures) markup {
	if p.Photo.JPEG == nil {
		return markup{}
	}
	box := func(id string, with ...attribute) markup {
		return element("input", append([]attribute{{"type", "checkbox"}, {"id", id}}, with...))
	}
	label := func(of, says string) markup { return element("label", []attribute{{"for", of}}, text(says)) }
	stack := element("div", class("stack"), img(p.Photo, attribute{"alt", "The photograph, reduced in size"}), overlay(d, p))
	view := append(class("view"), attribute{"tabindex", "0"}, attribute{"role", "region"}, attribute{"aria-label", "The photo"})
	return section("seen", "photo", "The photo",
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

func settingsPart(v *view) markup {
	entry := func(name string, values ...string) markup {
		values = slices.DeleteFunc(values, func(s string) bool { return s == "" })
		if len(values) == 0 {
			return markup{}
		}
		dd := each(values, func(s string) markup { return element("dd", nil, text(s)) })
		return element("div", nil, append([]markup{element("dt", nil, text(name))}, dd...)...)
	}
	list := each(v.Settings, func(s setting) markup { return entry(s.Name, s.Value) })
	list = append(list, entry("graticule", v.Graticule), entry("trace", v.Trace), entry("signal", v.Signal),
		entry("moves all points together", v.Effects...))
	return section("", "settings", "Settings and what was found", block("dl", nil, list...))
}

func figuresPart(l []figure, d *wire.Document) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section("", "graphs", "The trace", block("div", class("graphs"), each(l, func(f figure) markup {
		var with []attribute
		if f.Paper {
			with = append(class("paper"), styled("--on-paper: %.2fmm", paperWidth(d.Graticule)))
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
	})...))
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

func readingsPart(l []row) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section("", "readings", "Read off the curve", resultsTable(l))
}

func resultsPart(l []row) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section("", "results", "Results", resultsTable(l), para("quiet", bracketsSay))
}

func besidePart(l []besideRow, file string) markup {
	if len(l) == 0 {
		return markup{}
	}
	names := []string{"time", "reading(u)", "trace", "reading − trace", "zeta"}
	return section("", "beside", "Readings of "+file+" beside the trace",
		grid("fold beside", names, each(l, func(r besideRow) markup {
			var with []attribute
			if r.Odd {
				r.T += " stands apart"
				with = class("odd")
			}
			return line(with, text(r.T), cell{"reading(u)", r.Reading, false}, cell{"trace", r.Trace, false},
				cell{"reading − trace", r.Difference, true}, cell{"zeta", r.Zeta, false})
		})...),
		para("quiet", "What reading and trace share, the instrument’s volts scale and time base, is taken off the difference. "+
			"zeta counts its standard uncertainties."))
}

func agreementPart(l []wire.Comparison) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section("", "agree", "Do they agree?", block("ul", class("agree"), each(l, func(c wire.Comparison) markup {
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

func whatIfPart(l []wire.WhatIf) markup {
	if len(l) == 0 {
		return markup{}
	}
	return section("", "what-if", "What if…", bullets(nil, l, func(w wire.WhatIf) markup {
		return join(text("If "+w.If+", "), element("strong", nil, text(w.Then)), text("."))
	}))
}

func budgetsPart(l []row) markup {
	if len(l) == 0 {
		return markup{}
	}
	names := []string{"where it comes from", "its value", "known to (u)", "it lies", "it changes the result by",
		"so much is that here", "share of u²", "ν"}
	parts := each(l, func(r row) markup {
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
		wide := append(class("wide"), attribute{"tabindex", "0"}, attribute{"role", "region"}, attribute{"aria-label", "Budget of " + r.Name})
		return block("details", nil, element("summary", nil, summary...),
			block("div", wide, grid("fold", names, append(rows, sum)...)), trials)
	})
	return section("", "budgets", "Where the uncertainty comes from",
		para("quiet", "The largest sources of each result, with their shares. Open one to see all of it; what is open is printed."),
		lines(parts...),
		para("quiet", "How to read a line: a source is known to u, one unit of it changes the result by so much, and both multiplied are its part "+
			"here. The scatter of many points has no size of its own: only its part is told. The parts add as squares: their sum is u². ν is the "+
			"degrees of freedom. One marked (shared) is the instrument’s own and the same in every photo of it at one setting, so it drops out "+
			"when two such photos are compared."))
}

// rimsPart shows the rims of the display, where most displays print their settings.
func rimsPart(d *wire.Document, p *Pictures) markup {
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
			e := c.entry(d)
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
	return section("", "margins", "Around the display", para("quiet", rimsSay), channels, block("div", class("margins"), strips...))
}

// footPart ends the page with what tells the file from any other.
func footPart(sum string) markup {
	if sum == "" {
		return element("footer", nil)
	}
	return block("footer", nil, element("p", nil, text("The file’s SHA-256: "), element("span", class("hash"), text(sum))))
}
