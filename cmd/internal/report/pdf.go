// The notebook page as a PDF of A4 sheets, for a printer or to hand in. It says what the HTML page
// says, in the same order; the figures are the same drawings.

package report

import (
	"bytes"
	"fmt"
	"strings"
	"time"

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

// Print is what a person wants of the sheets.
type Print struct {
	Budgets bool // every budget in full, and not only the largest sources of each result
}

// PDF is the notebook page of d on sheets of A4; p may be nil, as for Page.
func PDF(d *wire.Document, p *Pictures, print Print) ([]byte, error) {
	v := viewOf(d)
	s := newSheet(v.Title)
	s.words(titleSize, "B", inkColour, v.Title)
	if len(v.Short) > 0 {
		s.words(headSize, "B", inkColour, v.Short[0])
		s.words(bodySize, "", inkColour, strings.Join(v.Short[1:], "; "))
		s.Ln(1)
	}
	s.words(smallSize, "", quietColour, v.origin())
	if v.Error != nil {
		s.barred("Not read to the end", alarmColour, []string{v.Error.Reason, string(v.Error.Hint)})
	}
	if len(v.Doubts) > 0 {
		s.barred("Look at this before you use the numbers", doubtColour, v.Doubts.lines())
	}
	list := append(v.Settings, setting{Name: "graticule", Value: v.Graticule}, setting{Name: "trace", Value: v.Trace}, setting{Name: "signal", Value: v.Signal})
	for i, e := range v.Effects {
		list = append(list, setting{Name: map[bool]string{true: "moves all points"}[i == 0], Value: e})
	}
	s.settings(list, d, p)
	if p != nil && !v.Scaled {
		s.margins(d, p)
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
		s.words(smallSize, "", quietColour, bracketsSay)
	}
	if len(v.Agreement) > 0 {
		s.head("Do they agree?", 16)
		for _, c := range v.Agreement {
			colour := goodColour
			if !c.Agree {
				colour = alarmColour
			}
			if c.Agree && c.Short != "" {
				s.beside(colour, "", c.Short)
				continue
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
		if print.Budgets {
			for _, r := range v.Budgets {
				s.budget(r)
			}
			s.words(smallSize, "", quietColour, "A source is known to u, one unit of it changes the result by so much, and both multiplied are its part here. "+
				"The scatter of many points has no size of its own: only its part is told. The parts add as squares: their sum is u². One marked (shared) is the instrument’s own and the same in every photo of it at one setting, so it drops out when two such photos are compared.")
		} else {
			t := newTable(s, []float64{64, 26, 84}, "result", "u", "the largest sources, and their shares of u²")
			for _, r := range v.Budgets {
				t.line(r.Name, r.U, r.Main)
			}
			s.words(smallSize, "", quietColour, "The page in the browser has each of them in full, as has this one if it is made with --budgets.")
		}
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
	return undated(b.Bytes()), nil
}

// noDate is what the PDF writer is told, so that it does not take the clock's.
var noDate = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// undated blanks the dates of making and changing, which may be left out (ISO 32000-1, table 317) and would be false or
// differ from run to run. The length stays, for the table of places at the end.
func undated(pdf []byte) []byte {
	for _, key := range []string{"CreationDate", "ModDate"} {
		date := []byte("/" + key + " (D:" + noDate.Format("20060102150405") + ")")
		pdf = bytes.Replace(pdf, date, bytes.Repeat([]byte(" "), len(date)), 1)
	}
	return pdf
}

// A sheet writes from top to bottom, and begins a new page when one is full.
type sheet struct {
	*fpdf.Fpdf
	widths map[int]bool // px, of the pictures
}

func newSheet(title string) *sheet {
	s := &sheet{fpdf.New("P", "mm", "A4", ""), map[int]bool{}}
	s.AddUTF8FontFromBytes("go", "", goregular.TTF)
	s.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	s.SetTitle("Reading of "+title, true)
	s.SetLang("en")
	s.SetCatalogSort(true) // the same bytes each time
	s.SetCreationDate(noDate)
	s.SetModificationDate(noDate)
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

// entries writes names and what they are, from x on over a width; each on one page.
func (s *sheet) entries(list []setting, x, width, size float64) {
	column := width * entryShare
	for _, e := range list {
		if e.Value == "" {
			continue
		}
		s.pen(size, "", quietColour)
		lines := s.SplitText(printable(e.Value), width-column-2)
		s.room(float64(len(lines)) * lineOf(size))
		s.SetX(x)
		s.CellFormat(column, lineOf(size), printable(e.Name), "", 0, "L", false, 0, "")
		s.pen(size, "", inkColour)
		for _, l := range lines {
			s.SetX(x + column)
			s.CellFormat(width-column, lineOf(size), l, "", 2, "L", false, 0, "")
		}
	}
}

// entryShare is the part of the width that the names take.
const entryShare = 0.3

func (s *sheet) entriesHeight(list []setting, width, size float64) (h float64) {
	s.pen(size, "", inkColour)
	for _, e := range list {
		if e.Value != "" {
			h += float64(len(s.SplitText(printable(e.Value), width*(1-entryShare)-2))) * lineOf(size)
		}
	}
	return h
}

// settings places the photo, and the settings beside it, or below it if they are many or there is no photo.
func (s *sheet) settings(list []setting, d *wire.Document, p *Pictures) {
	const photoWidth, photoHeight, most = 92.0, 84.0, 92.0
	right := sheetWidth - photoWidth - sheetGap
	heading := "Settings and what was found"
	if p == nil || p.Photo.JPEG == nil || !d.Photo.Width.Known() || d.Photo.Width <= 0 {
		s.head(heading, 20)
		s.entries(list, sheetMargin, sheetWidth, bodySize)
		return
	}
	side := s.entriesHeight(list, right, smallSize)
	s.head("The photo. "+heading, 10+max(photoHeight, min(side, most)))
	top := s.GetY()
	s.photo(d, p, photoWidth, photoHeight)
	if side > most {
		s.Ln(2)
		s.entries(list, sheetMargin, sheetWidth, bodySize)
		return
	}
	bottom := s.GetY()
	s.SetY(top)
	s.entries(list, sheetMargin+photoWidth+sheetGap, right, smallSize)
	s.SetY(max(s.GetY(), bottom))
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
	t := newTable(s, []float64{36, 14, 19, 31, 31, 18, 12, 13}, "where it comes from", "its value", "known to (u)", "it lies", "it changes the result by", "its part", "share", "ν")
	for _, b := range r.Budget {
		source := b.Source
		if b.Shared != "" {
			source += " (shared)"
		}
		t.line(source, b.Value, b.Known, b.How, b.Per, b.U, b.Share, b.DOF)
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
	out := []rune(strings.ReplaceAll(Clean(s), "∥", "||")) // which the type lacks
	for i, r := range out {
		if r > 0xffff {
			out[i] = '\ufffd'
		}
	}
	return string(out)
}
