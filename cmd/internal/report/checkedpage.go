// The page of a drawing held against a display, as HTML and on sheets of paper, and the same as a section of another
// page.

package report

import (
	"quadrille/cmd/internal/check"
	"quadrille/vision/geom"
)

// CheckedFiles are page.html, page.pdf, check.json, overlay.svg and, where there is a photo of the drawing,
// drawing.svg. on is nil without one.
func CheckedFiles(c *check.Check, on *OnDrawing, print Print) (map[string][]byte, error) {
	v := checkedViewOf(c)
	s := newSheet(v.Title, print)
	s.words(titleSize, "B", inkColour, v.Title)
	s.checked(&v, on)
	s.barred("Before you touch the circuit", ruleColour, v.Cautions)
	s.goOn(3)
	for _, sum := range v.Sums {
		s.words(smallSize-1, "", quietColour, sum)
	}
	text, err := c.JSON()
	if err != nil {
		return nil, err
	}
	files := map[string][]byte{"page.html": checkedPage(&v, on, print), "page.pdf": s.file(), "check.json": text}
	if v.Figure.svg != nil {
		files["overlay.svg"] = v.Figure.file(v.Figure.Title, 0)
	}
	if on != nil {
		files["drawing.svg"] = on.File()
	}
	return files, nil
}

// CheckedPage is page.html alone, to be printed on A4.
func CheckedPage(c *check.Check, on *OnDrawing) []byte {
	v := checkedViewOf(c)
	return checkedPage(&v, on, Print{})
}

func checkedPage(v *checkedView, on *OnDrawing, print Print) []byte {
	sums := each(v.Sums, func(sum string) markup { return element("p", nil, element("span", class("hash"), text(sum))) })
	parts := append([]markup{block("header", nil, element("h1", nil, text(v.Title)))}, checkedParts("check", v, on)...)
	return document(v.Title, print, append(parts, care(v.Cautions), block("footer", nil, sums...))...)
}

// checkedParts are the sections of a check; id begins theirs, and is unique on the page.
func checkedParts(id string, v *checkedView, on *OnDrawing) []markup {
	of := attributeName("agree verdicts")
	verdict := element("p", class("short"), element("strong", nil, text(v.Short)))
	var list markup
	if says := v.Verdict; len(says) > 0 && v.Within {
		list = bullets(nil, says, text)
	} else if len(says) > 0 {
		list = block("ul", class(of), each(says, func(says string) markup { return element("li", class("apart"), text(says)) })...)
	}
	parts := []markup{section("", id, "The drawing held against the display", verdict, list)}
	if len(v.Doubts) > 0 {
		parts = append(parts, section("doubts", id+"-doubts", "Look at this before you use the verdict", bullets(nil, v.Doubts, text)))
	}
	if v.Figure.svg != nil {
		parts = append(parts, section("", id+"-figure", "Both on the display’s boxes", block("div", class("graphs"), element("figure", nil, drawn(v.Figure),
			element("figcaption", nil, text(v.Figure.Caption[0].Says))))))
	}
	if on != nil {
		over := element("svg", append(class("over"), attribute{"viewBox", on.viewBox()}, attribute{"aria-hidden", "true"}), markup{on.over()})
		stack := element("div", class("stack"), img(on.Photo, attribute{"alt", "The photograph of the drawing, reduced in size"}), over)
		parts = append(parts, section("seen", id+"-drawing", "The display laid on the drawing", element("div", class("photo"), element("div", class("view"), stack)),
			para("quiet", onDrawingSays)))
	}
	facts := each(v.Facts, func(f setting) markup {
		return element("div", nil, element("dt", nil, text(f.Name)), element("dd", nil, text(f.Value)))
	})
	parts = append(parts, section("", id+"-facts", "How far off", block("dl", nil, facts...)))
	if len(v.Rows) > 0 {
		rows := each(v.Rows, func(r checkedRow) markup {
			return line(nil, text(r.Name), cell{"display", r.Display, false}, cell{"drawing", r.Drawing, true}, cell{"difference", r.Difference, false})
		})
		var rule markup
		if says := toldRule(v.Rows); says != "" {
			rule = para("quiet", says)
		}
		table := grid("fold", []string{"", "display", "drawing", "difference"}, rows...)
		parts = append(parts, section("", id+"-numbers", "What each says", table, rule))
	}
	if len(v.Notes) > 0 {
		parts = append(parts, section("", id+"-notes", "Worth knowing", bullets(nil, v.Notes, text)))
	}
	return parts
}

// checked puts a check on sheets.
func (s *sheet) checked(v *checkedView, on *OnDrawing) {
	s.words(headSize, "B", inkColour, v.Short)
	colour := alarmColour
	if v.Within {
		colour = goodColour
	}
	for _, l := range v.Verdict {
		s.beside(colour, "", l)
	}
	if len(v.Doubts) > 0 {
		s.barred("Look at this before you use the verdict", doubtColour, v.Doubts)
	}
	if v.Figure.svg != nil {
		w := min(float64(sheetWidth), 110*v.Figure.w/v.Figure.h)
		s.head("Both on the display’s boxes", w*v.Figure.h/v.Figure.w+8)
		s.figure(v.Figure, sheetMargin, s.y, w)
	}
	if on != nil {
		s.onDrawing(on)
	}
	s.head("How far off", 20)
	for _, f := range v.Facts {
		s.words(bodySize, "", inkColour, f.Name+": "+f.Value)
	}
	if len(v.Rows) > 0 {
		s.head("What each says", 30)
		t := newTable(s, []float64{70, 38, 38, 28}, "", "display", "drawing", "difference")
		for _, r := range v.Rows {
			t.line(r.Name, r.Display, r.Drawing, r.Difference)
		}
		if says := toldRule(v.Rows); says != "" {
			s.goOn(2)
			s.words(smallSize, "", quietColour, says)
		}
	}
	for _, l := range v.Notes {
		s.goOn(2)
		s.words(smallSize, "", quietColour, l)
	}
}

const onDrawingSays = "The orange lines are the boxes of the display, the white one its trace; the numbers count the " +
	"squares of the paper."

// onDrawing places the photo of the drawing with the display laid on it, smaller if it then has room on the sheet.
func (s *sheet) onDrawing(on *OnDrawing) {
	const large, least = 110.0, 70.0 // mm, of its height
	below := lineOf(headSize) + 1 + sheetGap + 2*lineOf(smallSize)
	most := s.height - sheetMargin - s.y - below
	if most = min(most, large); most < least {
		most = large
	}
	w, h := fitted(on.Photo, sheetWidth, most)
	s.head("The display laid on the drawing", h+2*lineOf(smallSize))
	y, scale := s.y, w/on.W
	s.overlaid(on.Photo, on.W, w, h, []laidLines{{on.Boxes, [3]int{0xff, 0x8a, 0x5c}, 0.12},
		{on.Trace, [3]int{0xff, 0xff, 0xff}, 0.3}})
	s.pen(smallSize-1, "", [3]int{0x7a, 0x2a, 0x14})
	for _, n := range on.Numbers {
		at, wide, high := geom.Pixel{X: n.At.X * scale, Y: n.At.Y * scale}, s.textWidth(n.Says), lineOf(smallSize-1)
		if at.X < wide/2 || at.X > w-wide/2 || at.Y < high || at.Y > h {
			continue
		}
		s.paint = [3]int{0xff, 0xff, 0xff}
		s.rectangle(sheetMargin+at.X-wide/2-0.4, y+at.Y-high, wide+0.8, high, false)
		s.write(sheetMargin+at.X-wide/2, y+at.Y-0.25*high, n.Says)
	}
	s.words(smallSize, "", quietColour, onDrawingSays)
}
