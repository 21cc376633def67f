// The page of several readings laid side by side, as HTML and on sheets of paper.

package report

import (
	"encoding/json"
	"fmt"

	"quadrille/cmd/internal/compare"
)

// ComparedFiles are page.html, page.pdf and compared.json.
func ComparedFiles(c *compare.Comparison, print Print) (map[string][]byte, error) {
	v := comparedViewOf(c)
	text, err := ComparedJSON(c)
	if err != nil {
		return nil, err
	}
	return map[string][]byte{"page.html": comparedPage(&v, print), "page.pdf": comparedPDF(&v, print), "compared.json": text}, nil
}

// ComparedPage is page.html alone, to be printed on A4.
func ComparedPage(c *compare.Comparison) []byte {
	v := comparedViewOf(c)
	return comparedPage(&v, Print{})
}

// comparedPage is the page as HTML.
func comparedPage(v *comparedView, print Print) []byte {
	head := []markup{element("h1", nil, text(v.Title))}
	if v.Short != "" {
		head = append(head, element("p", class("short"), element("strong", nil, text(v.Short))))
	}
	sums := each(v.Sources, func(s comparedSource) markup {
		if s.SHA256 == "" {
			return markup{}
		}
		return element("p", nil, text(s.Name+": SHA-256 "), element("span", class("hash"), text(s.SHA256)))
	})
	parts := append([]markup{block("header", nil, head...)}, v.parts()...)
	return document(v.Title, print, append(parts, care(v.Cautions), block("footer", nil, sums...))...)
}

// parts are those between the heading and what all pages end with.
func (v *comparedView) parts() (parts []markup) {
	if len(v.Remarks) > 0 {
		parts = append(parts, section("doubts", "doubts", "Look at this before you use the numbers", bullets(nil, v.Remarks, text)))
	}
	parts = append(parts, section("", "sources", "What is compared", block("dl", nil, each(v.Sources, func(s comparedSource) markup {
		name := element("dt", nil, element("strong", nil, text(s.Name)))
		return element("div", nil, name, element("dd", nil, text(s.File+": "+s.Says)))
	})...)))
	for k := range v.Same {
		parts = append(parts, samePart(fmt.Sprintf("same-%d", k), &v.Same[k]))
	}
	if len(v.Beside) > 0 {
		names := append(append([]string{"quantity"}, v.Names...), "the widest difference")
		parts = append(parts, section("", "beside", "Side by side, without a verdict",
			grid("fold", names, each(v.Beside, func(q besideQuantity) markup {
				var cells []cell
				for i, x := range q.Values {
					cells = append(cells, cell{v.Names[i], x, true})
				}
				return line(nil, text(q.Name), append(cells, cell{"the widest difference", q.Difference, false})...)
			})...)))
	}
	return parts
}

// samePart is a quantity that must be one in all readings.
func samePart(id string, q *comparedQuantity) markup {
	names := []string{"reading", "way", "value(u)", "value ± U (95 %)"}
	if q.Heights {
		names = append(names, "height of its decays")
	}
	rows := each(q.Rows, func(r comparedRow) markup {
		cells := []cell{{"way", r.Way, false}, {"value(u)", r.Value, r.Main}, {"value ± U", r.Interval, false}}
		if q.Heights {
			cells = append(cells, cell{"height", r.Height, false})
		}
		return line(nil, text(r.Who), cells...)
	})
	var figures markup
	if len(q.Figures) > 0 {
		figures = block("div", class("graphs below"), each(q.Figures, func(f figure) markup {
			caption := each(f.Caption, func(c caption) markup { return text(c.Says) })
			return element("figure", nil, drawn(f), element("figcaption", nil, caption...))
		})...)
	}
	bold := ""
	if q.mixed() {
		bold = "Values in bold are compared. "
	}
	return section("", id, q.Name, grid("fold", names, rows...),
		para("quiet", bold+"The figures in brackets are the standard uncertainty u in the last digits."),
		block("ul", class("agree verdicts"), each(q.Verdicts, func(w verdict) markup {
			if w.Agree {
				return element("li", nil, text(w.Says+"."))
			}
			return element("li", class("apart"), text(w.Says+"."))
		})...), figures)
}

// ComparedJSON is the comparison for programs.
func ComparedJSON(c *compare.Comparison) ([]byte, error) {
	text, err := json.MarshalIndent(c, "", " ")
	return append(text, '\n'), err
}

func comparedPDF(v *comparedView, print Print) []byte {
	s := newSheet(v.Title, print)
	s.comparison(v)
	s.barred("Before you touch the circuit", ruleColour, v.Cautions)
	s.goOn(3)
	for _, k := range v.Sources {
		s.origin(k.Name, k.SHA256)
	}
	return s.file()
}

// comparison is what is said of several readings.
func (s *sheet) comparison(v *comparedView) {
	s.words(titleSize, "B", inkColour, v.Title)
	if v.Short != "" {
		s.words(headSize, "B", inkColour, v.Short)
	}
	if len(v.Remarks) > 0 {
		s.barred("Look at this before you use the numbers", doubtColour, v.Remarks)
	}
	s.head("What is compared", 20)
	for _, k := range v.Sources {
		s.words(bodySize, "", inkColour, k.Name+"   "+k.File+": "+k.Says)
	}
	for k := range v.Same {
		s.same(&v.Same[k])
		s.columns(v.Same[k].Figures)
	}
	if len(v.Beside) > 0 {
		s.head("Side by side, without a verdict", 30)
		const name, difference = 56.0, 58.0
		widths, heads := []float64{name}, []string{"quantity"}
		shown := v.Names[:min(len(v.Names), 4)] // more do not fit side by side; the page in the browser has all
		for _, n := range shown {
			widths, heads = append(widths, (sheetWidth-name-difference)/float64(len(shown))), append(heads, n)
		}
		t := newTable(s, append(widths, difference), append(heads, "the widest difference")...)
		for _, q := range v.Beside {
			t.line(append(append([]string{q.Name}, q.Values[:len(shown)]...), q.Difference)...)
		}
	}
}

// same writes a quantity that must be one in all readings, but for its figures.
func (s *sheet) same(q *comparedQuantity) {
	s.head(q.Name, 30)
	t := newTable(s, []float64{30, 50, 28, 38, 28}, "reading", "way", "value(u)", "value ± U (95 %)", either(q.Heights, "decay height", ""))
	for _, r := range q.Rows {
		who := r.Who
		if r.Main && q.mixed() {
			who += " (compared)"
		}
		t.line(who, r.Way, r.Value, r.Interval, r.Height)
	}
	s.goOn(2)
	for _, k := range q.Verdicts {
		s.beside(verdictColour(k.Agree), "", k.Says+".")
	}
	s.goOn(2)
}
