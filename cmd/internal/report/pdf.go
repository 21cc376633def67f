// The notebook page as a PDF of A4 sheets, for a printer or to hand in. It says what the HTML page
// says, in the same order; the figures are the same drawings.

package report

import (
	"fmt"
	"strings"

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
func PDF(d *wire.Document, p *Pictures, print Print) []byte {
	v := viewOf(d)
	s := newSheet(v.Title)
	s.words(titleSize, "B", inkColour, v.Title)
	if len(v.Short) > 0 {
		s.words(headSize, "B", inkColour, v.Short[0])
		s.words(bodySize, "", inkColour, strings.Join(v.Short[1:], "; "))
		s.goOn(1)
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
		s.goOn(1)
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
		s.goOn(3)
		s.words(smallSize-1, "", quietColour, "The file’s SHA-256: "+v.SHA256)
	}
	return s.file()
}

// A sheet writes from top to bottom, and begins a new page when one is full.
type sheet struct {
	*canvas
	page int
}

func newSheet(title string) *sheet {
	s := &sheet{canvas: newCanvas("Reading of "+title, sheetMargin+sheetWidth+sheetMargin, 297, sheetMargin)}
	s.foot = func() {
		s.page++
		s.x, s.y = sheetMargin, s.height-12
		s.pen(smallSize, "", quietColour)
		s.cell(0, 5, fmt.Sprint(s.page), true, false)
	}
	s.addPage()
	return s
}

// lineOf is the height of a line of letters of a size in points, mm.
func lineOf(size float64) float64 { return size * 0.47 }

// room begins a new page unless h mm are left on this one.
func (s *sheet) room(h float64) {
	if s.y+h > s.height-sheetMargin {
		s.addPage()
	}
}

// words writes a paragraph over the whole width.
func (s *sheet) words(size float64, style string, colour [3]int, text string) {
	s.pen(size, style, colour)
	s.x = sheetMargin
	s.paragraph(sheetWidth, lineOf(size), printable(text))
}

// head writes a heading, with at least so many mm of what follows on the same page.
func (s *sheet) head(text string, follows float64) {
	s.goOn(sheetGap)
	s.room(lineOf(headSize) + follows)
	s.words(headSize, "B", inkColour, text)
	s.goOn(1)
}

// barred writes a heading and a list beside a coloured bar.
func (s *sheet) barred(heading string, colour [3]int, list []string) {
	s.goOn(sheetGap)
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
	for _, l := range s.split(printable(text), sheetWidth-5) {
		s.room(line)
		y := s.y
		s.paint = colour
		s.rectangle(sheetMargin, y, 1.2, line, false)
		s.x, s.y = sheetMargin+4, y
		s.cell(sheetWidth-4, line, l, false, true)
	}
	s.x, s.y = sheetMargin, s.y+0.8
}

// entries writes names and what they are, from x on over a width; each on one page.
func (s *sheet) entries(list []setting, x, width, size float64) {
	column := width * entryShare
	for _, e := range list {
		if e.Value == "" {
			continue
		}
		s.pen(size, "", quietColour)
		lines := s.split(printable(e.Value), width-column-2)
		s.room(float64(len(lines)) * lineOf(size))
		s.x = x
		s.cell(column, lineOf(size), printable(e.Name), false, false)
		s.pen(size, "", inkColour)
		for _, l := range lines {
			s.x = x + column
			s.cell(width-column, lineOf(size), l, false, true)
		}
	}
}

// entryShare is the part of the width that the names take.
const entryShare = 0.3

func (s *sheet) entriesHeight(list []setting, width, size float64) (h float64) {
	s.pen(size, "", inkColour)
	for _, e := range list {
		if e.Value != "" {
			h += float64(len(s.split(printable(e.Value), width*(1-entryShare)-2))) * lineOf(size)
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
	top := s.y
	s.photo(d, p, photoWidth, photoHeight)
	if side > most {
		s.goOn(2)
		s.entries(list, sheetMargin, sheetWidth, bodySize)
		return
	}
	bottom := s.y
	s.x, s.y = sheetMargin, top
	s.entries(list, sheetMargin+photoWidth+sheetGap, right, smallSize)
	s.x, s.y = sheetMargin, max(s.y, bottom)
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
	s.goOn(1)
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
	s.goOn(3)
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
	if t.y+t.heightOf(cells) > t.height-sheetMargin {
		t.addPage()
		t.row(quietColour, t.names)
	}
	t.row(inkColour, cells)
}

// heading names what the lines below it are of, and keeps at least two of those with it.
func (t *table) heading(text string) {
	t.room(4 * lineOf(cellSize))
	t.goOn(1.2)
	t.words(cellSize, "B", inkColour, text)
}

const cellSize = 8.5 // points

func (t *table) heightOf(cells []string) float64 {
	t.pen(cellSize, "", inkColour)
	most := 1
	for i, c := range cells {
		most = max(most, len(t.split(printable(c), t.widths[i]-2)))
	}
	return float64(most)*lineOf(cellSize) + 1.2
}

func (t *table) row(colour [3]int, cells []string) {
	h := t.heightOf(cells)
	x, y := float64(sheetMargin), t.y
	t.rule = ruleColour
	t.thick = 0.2
	t.strokeLine(x, y, x+sheetWidth, y)
	t.pen(cellSize, "", colour)
	for i, c := range cells {
		for k, l := range t.split(printable(c), t.widths[i]-2) {
			t.x, t.y = x, y+0.6+float64(k)*lineOf(cellSize)
			t.cell(t.widths[i], lineOf(cellSize), l, false, false)
		}
		x += t.widths[i]
	}
	t.x, t.y = sheetMargin, y+h
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
