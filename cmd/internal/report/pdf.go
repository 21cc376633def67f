// The notebook page as a PDF of A4 sheets, for a printer or to hand in. It says what the HTML page
// says, in the same order; the figures are the same drawings.

package report

import (
	"bytes"
	"fmt"
	"strings"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"

	"quadrille/cmd/internal/wire"
)

// Sizes of a sheet, mm, and of its letters, points.
const (
	sheetMargin = 18
	sheetWidth  = 210 - 2*sheetMargin
	sheetGap    = 6 // between parts, and between things side by side

	titleSize, headSize, bodySize, smallSize = 16, 12, 9.5, 8
)

// Colours of the sheet: those of the printed page.
var (
	inkColour   = [3]int{0x26, 0x30, 0x3a}
	quietColour = [3]int{0x50, 0x58, 0x60}
	ruleColour  = [3]int{0xc8, 0xc4, 0xb8}
	doubtColour = [3]int{0xb0, 0x74, 0x1a}
	alarmColour = [3]int{0xa8, 0x32, 0x1a}
	goodColour  = [3]int{0x2c, 0x6a, 0x4f}
)

// PDF is the notebook page of d on sheets of A4; p may be nil, as for Page.
func PDF(d *wire.Document, p *Pictures) ([]byte, error) {
	v := viewOf(d)
	s := newSheet(v.Title)
	s.words(titleSize, "B", inkColour, v.Title)
	taken := "The file does not say when it was taken."
	if v.Taken != "" {
		taken = "Taken " + v.Taken + " by the camera’s clock."
	}
	from := "Read from a photograph of an oscilloscope’s display. " + taken + " " + v.Size
	if v.Table != "" {
		from = "Read from a table of readings: " + v.Table + "."
	}
	s.words(smallSize, "", quietColour, from)
	if v.Short != "" {
		s.Ln(1.5)
		s.words(headSize-1, "", inkColour, v.Short)
	}
	if v.Error != nil {
		s.barred("Not read to the end", alarmColour, []string{v.Error.Reason, string(v.Error.Hint)})
	}
	if len(v.Doubts) > 0 {
		s.barred("Look at this before you use the numbers", doubtColour, v.Doubts.lines())
	}
	if p != nil {
		s.photo(d, p)
		if !v.Scaled {
			s.margins(d, p)
		}
	}
	s.head("Settings and what was found", 20)
	for _, e := range append(v.Settings, setting{Name: "graticule", Value: v.Graticule}, setting{Name: "trace", Value: v.Trace}, setting{Name: "signal", Value: v.Signal}) {
		s.entry(e.Name, e.Value)
	}
	for i, e := range v.Effects {
		s.entry(map[bool]string{true: "moves all points together"}[i == 0], e)
	}
	if len(v.Figures) > 0 {
		s.figures(v.Figures, d)
	}
	if len(v.Readings) > 0 {
		s.head("Read off the curve", 20)
		s.results(v.Readings)
	}
	if len(v.Beside) > 0 {
		s.head("Readings of "+v.BesideFile+" beside the trace", 20)
		t := newTable(s, []float64{44, 34, 30, 46, 20}, "time", "reading(u)", "trace", "reading − trace", "zeta")
		for _, r := range v.Beside {
			if r.Odd {
				r.T += " stands apart"
			}
			t.line(r.T, r.Reading, r.Trace, r.Difference, r.Zeta)
		}
		s.Ln(1)
	}
	if len(v.Results) > 0 {
		s.head("Results", 20)
		s.results(v.Results)
		s.words(smallSize, "", quietColour, "The figures in brackets are the standard uncertainty u in the last digits. The interval value ± U, with U = k·u, holds the true value with about 95 % probability; ν is the effective degrees of freedom.")
	}
	if len(v.Agreement) > 0 {
		s.head("Do they agree?", 16)
		for _, c := range v.Agreement {
			colour := goodColour
			if !c.Agree {
				colour = alarmColour
			}
			s.beside(colour, "", c.Says)
			for k, cause := range c.Causes {
				s.words(smallSize, "", inkColour, fmt.Sprintf("      %d. %s", k+1, cause))
			}
		}
	}
	if len(v.WhatIfs) > 0 {
		s.head("What if…", 16)
		for _, w := range v.WhatIfs {
			s.words(bodySize, "", inkColour, "If "+w.If+", "+w.Then+".")
		}
	}
	if len(v.Notes) > 0 {
		s.barred("Worth knowing", ruleColour, v.Notes.lines())
	}
	if len(v.Budgets) > 0 {
		s.head("Where the uncertainty comes from", 30)
		for _, r := range v.Budgets {
			s.budget(r)
		}
		s.words(smallSize, "", quietColour, "Contributions add as squares. One marked (shared) is the instrument’s own and the same in every photo of it at one setting, so it drops out when two such photos are compared.")
	}
	if p != nil && v.Scaled {
		s.margins(d, p)
	}
	s.barred("Before you touch the circuit", ruleColour, v.Cautions)
	if v.SHA256 != "" {
		s.Ln(3)
		s.words(smallSize-1, "", quietColour, "The file’s SHA-256: "+v.SHA256)
	}
	var b bytes.Buffer
	if err := s.Output(&b); err != nil {
		return nil, fmt.Errorf("making the PDF: %w", err)
	}
	return b.Bytes(), nil
}

// A sheet writes from top to bottom, and begins a new page when one is full.
type sheet struct{ *fpdf.Fpdf }

func newSheet(title string) *sheet {
	s := &sheet{fpdf.New("P", "mm", "A4", "")}
	s.AddUTF8FontFromBytes("go", "", goregular.TTF)
	s.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	s.SetTitle("Reading of "+title, true)
	s.SetLang("en")
	s.SetMargins(sheetMargin, sheetMargin, sheetMargin)
	s.SetAutoPageBreak(true, sheetMargin)
	s.SetFooterFunc(func() {
		s.SetY(-12)
		s.pen(smallSize, "", quietColour)
		s.CellFormat(0, 5, fmt.Sprint(s.PageNo()), "", 0, "R", false, 0, "")
	})
	s.AddPage()
	return s
}

func (s *sheet) pen(size float64, style string, colour [3]int) {
	s.SetFont("go", style, size)
	s.SetTextColor(colour[0], colour[1], colour[2])
}

// lineOf is the height of a line of letters of a size in points, mm.
func lineOf(size float64) float64 { return size * 0.47 }

// room begins a new page unless h mm are left on this one.
func (s *sheet) room(h float64) {
	if _, height := s.GetPageSize(); s.GetY()+h > height-sheetMargin {
		s.AddPage()
	}
}

// words writes a paragraph over the whole width.
func (s *sheet) words(size float64, style string, colour [3]int, text string) {
	s.pen(size, style, colour)
	s.SetX(sheetMargin)
	s.MultiCell(sheetWidth, lineOf(size), printable(text), "", "L", false)
}

// head writes a heading, with at least so many mm of what follows on the same page.
func (s *sheet) head(text string, follows float64) {
	s.Ln(sheetGap)
	s.room(lineOf(headSize) + follows)
	s.words(headSize, "B", inkColour, text)
	s.Ln(1)
}

// barred writes a heading and a list beside a coloured bar.
func (s *sheet) barred(heading string, colour [3]int, list []string) {
	s.Ln(sheetGap)
	s.room(20)
	s.beside(colour, "B", heading)
	for _, l := range list {
		if l != "" {
			s.beside(colour, "", l)
		}
	}
}

// beside writes a paragraph to the right of a bar of its height.
func (s *sheet) beside(colour [3]int, style, text string) {
	s.pen(bodySize, style, inkColour)
	line := lineOf(bodySize)
	for _, l := range s.SplitText(printable(text), sheetWidth-5) {
		s.room(line)
		y := s.GetY()
		s.SetFillColor(colour[0], colour[1], colour[2])
		s.Rect(sheetMargin, y, 1.2, line, "F")
		s.SetXY(sheetMargin+4, y)
		s.CellFormat(sheetWidth-4, line, l, "", 2, "L", false, 0, "")
	}
	s.SetY(s.GetY() + 0.8)
}

// entry writes a name and what it is.
func (s *sheet) entry(name, text string) {
	if text == "" {
		return
	}
	const column = 48
	s.room(lineOf(bodySize))
	s.pen(bodySize, "", quietColour)
	s.SetX(sheetMargin)
	s.CellFormat(column, lineOf(bodySize), printable(name), "", 0, "L", false, 0, "")
	s.pen(bodySize, "", inkColour)
	s.MultiCell(sheetWidth-column, lineOf(bodySize), printable(text), "", "L", false)
}

// results writes a table of results.
func (s *sheet) results(l []row) {
	t := newTable(s, []float64{54, 30, 24, 42, 10, 14}, "quantity", "value(u)", "u", "value ± U (95 %)", "k", "ν")
	for _, r := range l {
		if r.Head != "" {
			t.heading(r.Head)
		}
		t.line(r.Name, r.Value, r.U, r.Expanded, r.K, r.DOF)
	}
	s.Ln(1)
}

// budget writes the budget of a result.
func (s *sheet) budget(r row) {
	s.room(25)
	s.words(bodySize, "B", inkColour, r.Name+": "+r.Value)
	t := newTable(s, []float64{40, 15, 21, 21, 26, 23, 13, 15}, "source", "value", "standard u", "distribution", "sensitivity", "contribution", "share", "ν")
	for _, b := range r.Budget {
		source := b.Source
		if b.Shared != "" {
			source += " (shared)"
		}
		t.line(source, b.Value, b.Standard, b.Distribution, b.Sensitivity, b.U, b.Share, b.DOF)
	}
	t.line("together (u)", "", "", "", "", r.U, "", r.DOF)
	if r.Trials != "" {
		s.words(smallSize, "", quietColour, r.Trials)
	}
	s.Ln(3)
}

// A table has columns of fixed widths, mm, and repeats its head on a new page.
type table struct {
	*sheet
	widths []float64
	names  []string
}

func newTable(s *sheet, widths []float64, names ...string) *table {
	t := &table{s, widths, names}
	t.row(quietColour, names)
	return t
}

func (t *table) line(cells ...string) {
	if _, height := t.GetPageSize(); t.GetY()+t.height(cells) > height-sheetMargin {
		t.AddPage()
		t.row(quietColour, t.names)
	}
	t.row(inkColour, cells)
}

// heading names what the lines below it are of, and keeps at least two of those with it.
func (t *table) heading(text string) {
	t.room(4 * lineOf(cellSize))
	t.Ln(1.2)
	t.words(cellSize, "B", inkColour, text)
}

const cellSize = 8.5 // points

func (t *table) height(cells []string) float64 {
	t.pen(cellSize, "", inkColour)
	most := 1
	for i, c := range cells {
		most = max(most, len(t.SplitText(printable(c), t.widths[i]-2)))
	}
	return float64(most)*lineOf(cellSize) + 1.2
}

func (t *table) row(colour [3]int, cells []string) {
	h := t.height(cells)
	x, y := float64(sheetMargin), t.GetY()
	t.SetDrawColor(ruleColour[0], ruleColour[1], ruleColour[2])
	t.SetLineWidth(0.2)
	t.Line(x, y, x+sheetWidth, y)
	t.pen(cellSize, "", colour)
	for i, c := range cells {
		for k, l := range t.SplitText(printable(c), t.widths[i]-2) {
			t.SetXY(x, y+0.6+float64(k)*lineOf(cellSize))
			t.CellFormat(t.widths[i], lineOf(cellSize), l, "", 0, "L", false, 0, "")
		}
		x += t.widths[i]
	}
	t.SetXY(sheetMargin, y+h)
}

// printable leaves out what the sheet's letters cannot show: control characters, and those beyond the
// first plane, for which the PDF writer has no room.
func printable(s string) string {
	out := []rune(strings.ReplaceAll(clean(s), "∥", "||")) // which the type lacks
	for i, r := range out {
		if r > 0xffff {
			out[i] = '\ufffd'
		}
	}
	return string(out)
}
