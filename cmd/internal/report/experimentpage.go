// The pages of an experiment as HTML: the answers of all photos and what was compared, then each photo, then all
// budgets. The parts of a photo are those of its own page.

package report

import (
	_ "embed"
	"fmt"
	"strings"
)

//go:embed experiment.css
var experimentStyle string

// ExperimentPage is sheet.html. It loads nothing from anywhere; links lead to the folders beside it.
func ExperimentPage(e *Experiment, print Print) []byte {
	v := experimentViewOf(e, print)
	parts := []markup{block("header", nil, element("h1", nil, text(v.Title)), quiet(v.Origin))}
	if len(v.Remarks) > 0 {
		parts = append(parts, section("doubts", "doubts", "Look at this before you use the numbers", bullets(nil, v.Remarks, text)))
	}
	parts = append(parts, answersPart(&v))
	if v.First != nil {
		parts = append(parts, v.First.paperPart())
	}
	for k := range v.Compared {
		if v.Compared[k].Made {
			parts = append(parts, samePart(fmt.Sprintf("same-%d", k), &v.Compared[k].comparedQuantity))
		}
	}
	for k := range v.Parts {
		parts = append(parts, v.Parts[k].article(v.First != nil))
	}
	var budgets []markup
	for k := range v.Parts {
		if p := &v.Parts[k]; len(p.Budgets) > 0 {
			budgets = append(budgets, lower(p.section("", "budgets", p.Heading, p.budgetGrid())))
		}
	}
	if len(budgets) > 0 {
		parts = append(parts, section("", "appendix", "Appendix: where the uncertainty comes from", budgets...))
	}
	return documentIn(pageStyle+experimentStyle, v.Title, print, append(parts, care(v.Cautions), sourcesPart(v.Parts))...)
}

func quiet(s string) markup {
	if s == "" {
		return markup{}
	}
	return para("quiet", s)
}

// answersPart has the first values of each photo and the answer of each comparison.
func answersPart(v *experimentView) markup {
	list := block("dl", nil, each(v.Parts, func(p partView) markup {
		return element("div", nil, element("dt", nil, element("strong", nil, text(p.Heading))), element("dd", nil, text(p.inALine())))
	})...)
	var compared []markup
	sentence := markup{}
	if v.First != nil && v.First.Sentence != "" {
		sentence = element("p", nil, text(v.First.Sentence))
	}
	for _, a := range v.Compared {
		if a.Made {
			var with []attribute
			if !a.Agree {
				with = class("apart")
			}
			compared = append(compared, element("li", with, element("strong", nil, text(a.Name+": ")), text(a.Short+".")))
		}
	}
	if len(compared) == 0 {
		return section("", "answers", "The answers", list, sentence)
	}
	return section("", "answers", "The answers", list, block("ul", class("agree verdicts below"), compared...), sentence)
}

// article is one photo under its name; alone it goes on with what the first page has begun.
func (p *partView) article(alone bool) markup {
	parts := []markup{
		p.errorPart(),
		p.remarksPart("doubts", "doubts", "Look at this before you use the numbers", p.Doubts),
		p.paperPart(), p.photoPart(), p.settingsPart(), p.figuresPart(), p.readingsPart(), p.besidePart(), p.resultsPart(),
		p.agreementPart(), p.heldPart(), p.remarksPart("", "notes", "Worth knowing", p.Notes),
	}
	if !p.Scaled {
		parts = append(parts, p.rimsPart())
	}
	of := attributeName("photo-part")
	if alone {
		of = "photo-part alone"
	}
	with := append(class(of), attribute{"aria-labelledby", "h-" + p.prefix + "title"})
	return block("article", with, p.titlePart(), lower(lines(parts...)))
}

// lower puts sections under a heading of their own.
func lower(m markup) markup {
	return markup{strings.NewReplacer("<h2 ", "<h3 ", "</h2>", "</h3>").Replace(m.html)}
}

// heldPart says how a drawing lies against the photo.
func (p *partView) heldPart() markup {
	h := p.Part.Sketch
	switch {
	case h == nil:
		return markup{}
	case h.Check == nil:
		return p.section("alarm", "check", "The drawing was not held against the photo", bullets(nil, h.doubts(), text))
	}
	v := h.view()
	return lines(checkedParts(p.prefix+"check", &v, h.On)...)
}

// sourcesPart ends the page with what tells each file from any other, and where its own files are.
func sourcesPart(l []partView) markup {
	return block("footer", nil, each(l, func(p partView) markup {
		parts := []markup{text(Clean(p.Part.Name) + ": " + Clean(p.Part.File))}
		if p.Error == nil {
			link := element("a", []attribute{{"href", p.Part.Folder + "/page.html"}}, text(p.Part.Folder))
			parts = append(parts, text(", its own page and its points in "), link)
		}
		if p.SHA256 != "" {
			parts = append(parts, text("; SHA-256 "), element("span", class("hash"), text(p.SHA256)))
		}
		return element("p", nil, parts...)
	})...)
}
