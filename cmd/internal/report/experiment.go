// The page of a whole experiment: several readings, each with all that its own page has, behind what is compared between
// them. It is put together from the same parts as the page of one reading (leaf) and that of a comparison.

package report

import (
	"fmt"

	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/wire"
)

// An Experiment is what is handed in. To make its page, read each photo or table, give its document a title (or leave the
// name of its file), illustrate it, compare documents as is wanted, and call Page and PDF.
type Experiment struct {
	Title string
	About []string // lines below the title: who, when, with what
	// Compared come first, in their order: they answer what several readings were made for.
	Compared []*compare.Comparison
	Readings []ExperimentReading
}

// An ExperimentReading is one of an experiment; its pictures may be nil.
type ExperimentReading struct {
	Document *wire.Document
	Pictures *Pictures
}

// Page is the experiment as one HTML file that stands alone, as Page makes it of one reading.
func (e *Experiment) Page(print Print) []byte {
	head := append([]markup{element("h1", nil, text(Clean(e.Title)))}, each(e.About, func(s string) markup { return element("p", nil, text(Clean(s))) })...)
	parts := []markup{block("header", nil, head...)}
	for i, c := range e.Compared {
		v := comparedViewOf(c)
		parts = append(parts, v.parts(fmt.Sprintf("c%d-", i+1))...)
	}
	var feet []markup
	for i, r := range e.Readings {
		l := leafOf(r.Document, r.Pictures, print)
		l.prefix = fmt.Sprintf("r%d-", i+1)
		parts = append(parts, block("article", []attribute{{"aria-labelledby", "h-" + l.prefix + "title"}}, append([]markup{l.titlePart()}, l.parts()...)...))
		feet = append(feet, l.footPart())
	}
	return document(Clean(e.Title), print, append(append(parts, care(cautions)), feet...)...)
}

// PDF is the experiment on sheets of paper: what is compared, each reading from a new sheet on, and all appendices.
func (e *Experiment) PDF(print Print) []byte {
	s := newSheet(Clean(e.Title), print)
	s.words(titleSize, "B", inkColour, Clean(e.Title))
	for _, line := range e.About {
		s.words(bodySize, "", inkColour, Clean(line))
	}
	for _, c := range e.Compared {
		v := comparedViewOf(c)
		s.comparison(&v)
	}
	var leaves []*leaf
	for i, r := range e.Readings {
		l := leafOf(r.Document, r.Pictures, print)
		leaves = append(leaves, l)
		if i > 0 || len(e.Compared) > 0 {
			s.addPage()
		} else {
			s.goOn(sheetGap)
		}
		s.leafHead(l, headSize)
		s.leaf(l)
	}
	for _, l := range leaves {
		if len(l.Budgets) > 0 || l.p != nil {
			s.goOn(sheetGap)
			s.room(60)
			s.words(headSize, "B", inkColour, l.Title)
			s.appendix(l)
		}
	}
	s.barred("Before you touch the circuit", ruleColour, cautions)
	for _, l := range leaves {
		s.origin(l.Title, l.SHA256)
	}
	return s.file()
}
