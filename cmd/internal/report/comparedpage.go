// The page of several readings laid side by side, as HTML and on sheets of A4.

package report

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"html/template"

	"quadrille/cmd/internal/compare"
)

//go:embed compared.html
var comparedText string

var comparedTemplate = template.Must(template.New("compared").Parse(comparedText))

// ComparedFiles are page.html, page.pdf and compared.json.
func ComparedFiles(c *compare.Comparison) (map[string][]byte, error) {
	v := comparedViewOf(c)
	var page bytes.Buffer
	if err := comparedTemplate.Execute(&page, struct {
		comparedView
		Style template.CSS
	}{v, template.CSS(pageStyle)}); err != nil {
		return nil, fmt.Errorf("making the page: %w", err)
	}
	sheets, err := comparedPDF(&v)
	if err != nil {
		return nil, err
	}
	text, err := ComparedJSON(c)
	if err != nil {
		return nil, err
	}
	return map[string][]byte{"page.html": page.Bytes(), "page.pdf": sheets, "compared.json": text}, nil
}

// ComparedJSON is the comparison for programs.
func ComparedJSON(c *compare.Comparison) ([]byte, error) {
	text, err := json.MarshalIndent(c, "", " ")
	return append(text, '\n'), err
}

func comparedPDF(v *comparedView) ([]byte, error) {
	s := newSheet(v.Title)
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
	for _, q := range v.Same {
		s.head(q.Name, 30)
		t := newTable(s, []float64{30, 50, 28, 38, 28}, "reading", "way", "value(u)", "value ± U (95 %)", map[bool]string{true: "decay height"}[q.Heights])
		for _, r := range q.Rows {
			who := r.Who
			if r.Main {
				who += " (compared)"
			}
			t.line(who, r.Way, r.Value, r.Interval, r.Height)
		}
		s.Ln(2)
		for _, k := range q.Verdicts {
			colour := goodColour
			if !k.Agree {
				colour = alarmColour
			}
			s.beside(colour, "", k.Says+".")
		}
		s.Ln(2)
		s.columns(q.Figures)
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
	s.barred("Before you touch the circuit", ruleColour, v.Cautions)
	s.Ln(3)
	for _, k := range v.Sources {
		if k.SHA256 != "" {
			s.words(smallSize-1, "", quietColour, k.Name+": SHA-256 "+k.SHA256)
		}
	}
	var b bytes.Buffer
	if err := s.Output(&b); err != nil {
		return nil, fmt.Errorf("making the PDF: %w", err)
	}
	return b.Bytes(), nil
}
