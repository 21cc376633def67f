// The notebook page as a PDF of sheets of A4 or Letter, for a printer or to hand in. It says what the HTML page
// says, in the same order; the figures are the same drawings.

package report

import (
	"fmt"
	"slices"
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

// PDF is the notebook page of d on sheets of paper; p may be nil, as for Page. The first sheet has the answer, whether
// the results agree, and the display to scale, to be cut out; what every source of uncertainty does comes last.
func PDF(d *wire.Document, p *Pictures, print Print) []byte {
	l := leafOf(d, p, print)
	s := newSheet("Reading of "+l.Title, print)
	s.leafHead(l, titleSize)
	s.leaf(l)
	s.appendix(l)
	s.barred("Before you touch the circuit", ruleColour, l.Cautions)
	s.origin("", l.SHA256)
	return s.file()
}

// leafHead is the heading of a reading with its answer.
func (s *sheet) leafHead(l *leaf, size float64) {
	s.words(size, "B", inkColour, l.Title)
	if len(l.Short) > 0 {
		s.words(headSize, "B", inkColour, l.Short[0])
		s.words(bodySize, "", inkColour, strings.Join(l.Short[1:], "; "))
	}
	if l.Sentence != "" {
		s.words(bodySize, "", inkColour, l.Sentence)
	}
	s.goOn(1)
	s.words(smallSize, "", quietColour, l.origin())
}

// leaf is what is said of a reading, but for the appendix.
func (s *sheet) leaf(l *leaf) {
	if e := l.Error; e != nil {
		s.barred("Not read to the end", alarmColour, []string{e.Reason, string(e.Hint)})
	}
	if len(l.Doubts) > 0 {
		s.barred("Look at this before you use the numbers", doubtColour, l.Doubts.lines())
	}
	s.toScale(l)
	list := append(slices.Clone(l.Settings), setting{Name: "graticule", Value: l.Graticule}, setting{Name: "trace", Value: l.Trace},
		setting{Name: "signal", Value: l.Signal})
	for i, e := range l.Effects {
		list = append(list, setting{Name: either(i == 0, "moves all points", ""), Value: e})
	}
	s.settings(list, l.d, l.p)
	if l.p != nil && !l.Scaled {
		s.margins(l)
	}
	if len(l.Figures) > 0 {
		s.head("The trace", s.figuresHeight(l.Figures))
		s.figures(l.Figures)
	}
	if len(l.Readings) > 0 {
		s.head("Read off the curve", tableRoom)
		s.results(l.Readings)
	}
	if len(l.Beside) > 0 {
		s.head("Readings of "+l.BesideFile+" beside the trace", tableRoom)
		t := newTable(s, []float64{44, 34, 30, 46, 20}, "time", "reading(u)", "trace", "reading − trace", "zeta")
		for _, r := range l.Beside {
			if r.Apart != "" {
				r.T += " " + r.Apart
			}
			t.line(r.T, r.Reading, r.Trace, r.Difference, r.Zeta)
		}
		s.words(smallSize, "", quietColour, besideSays(l.Beside))
		s.goOn(1)
	}
	if len(l.Results) > 0 {
		s.head("Results", tableRoom)
		s.results(l.Results)
		s.words(smallSize, "", quietColour, bracketsSay)
	}
	if len(l.Agreement) > 0 {
		s.head("Do they agree?", 16)
		for _, c := range l.Agreement {
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
	if len(l.WhatIfs) > 0 {
		s.head("What if…", 16)
		for _, w := range l.WhatIfs {
			s.words(bodySize, "", inkColour, "If "+w.If+", "+w.Then+".")
		}
	}
	if len(l.Notes) > 0 {
		s.barred("Worth knowing", ruleColour, l.Notes.lines())
	}
}

// toScale places the display to scale.
func (s *sheet) toScale(l *leaf) {
	if f := l.Paper; f != nil {
		w := l.print.paperWidth(l.d.Graticule)
		s.goOn(3)
		s.room(w*f.h/f.w + 8)
		s.figure(*f, min(sheetMargin, (s.width-w)/2), s.y, w)
		s.goOn(2)
	}
}

// paperHeight is what that takes with its caption.
func (s *sheet) paperHeight(l *leaf) float64 {
	w := l.print.paperWidth(l.d.Graticule)
	return 5 + w*l.Paper.h/l.Paper.w + s.captionHeight(*l.Paper, w)
}

// appendix has the budgets, and the rims of the display where nobody has to look for its settings.
func (s *sheet) appendix(l *leaf) {
	if len(l.Budgets) > 0 {
		s.head("Appendix: where the uncertainty comes from", 40)
		s.budgets(budgetOf(l.d))
	}
	if l.print.Budgets {
		for _, r := range l.Budgets {
			s.budget(r)
		}
	}
	if l.p != nil && l.Scaled {
		s.margins(l)
	}
}

// origin tells the file from any other.
func (s *sheet) origin(name, sum string) {
	if sum != "" {
		s.goOn(1)
		s.words(smallSize-1, "", quietColour, joinNonEmpty(": ", name, "The file’s SHA-256: "+sum))
	}
}

// budgets writes a table with a row a source and a column a result, below the names of the results.
func (s *sheet) budgets(b budgetTable) {
	const source, wide = 44.0, 14.0 // mm
	s.words(smallSize, "", inkColour, strings.Join(b.says, ";  "))
	s.goOn(1)
	const most = 16 // columns, of which each has room for 100
	tables := (len(b.names) + most - 1) / most
	for k := range tables { // of one width
		from, to := k*len(b.names)/tables, (k+1)*len(b.names)/tables
		widths, heads := []float64{source}, []string{"share of u², %"}
		for k := from; k < to; k++ {
			widths, heads = append(widths, min((sheetWidth-source)/float64(to-from), wide)), append(heads, fmt.Sprint(k+1))
		}
		t := newTable(s, widths, heads...)
		for _, r := range b.rows {
			if strings.Join(r.shares[from:to], "") != "" {
				t.line(append([]string{r.source}, r.shares[from:to]...)...)
			}
		}
		s.goOn(2)
	}
	s.words(smallSize, "", quietColour, joinNonEmpty(" ", budgetsSay, b.others))
}

// A sheet writes from top to bottom, and begins a new page when one is full.
type sheet struct {
	*canvas
	page int
}

func newSheet(title string, print Print) *sheet {
	w, h := print.size()
	s := &sheet{canvas: newCanvas(title, w, h, sheetMargin)}
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

// words writes a paragraph over the whole width; a short one stays on one page.
func (s *sheet) words(size float64, style string, colour [3]int, text string) {
	const short = 4 // lines
	s.pen(size, style, colour)
	if n := len(s.split(printable(text), sheetWidth)); n <= short {
		s.room(float64(n) * lineOf(size))
	}
	s.x = sheetMargin
	s.paragraph(sheetWidth, lineOf(size), printable(text))
}

// head writes a heading, with at least so many mm of what follows on the same page.
func (s *sheet) head(text string, follows float64) {
	s.goOn(sheetGap)
	s.room(lineOf(headSize) + 1 + follows)
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
	_, high := fitted(p.Photo, photoWidth, photoHeight)
	s.head("The photo. "+heading, 10+max(high, min(side, most)))
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
	t.room(tableRoom) // a head does not stand alone at the foot of a sheet, nor with the name of a trace
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

// tableRoom is what the head of a table takes with the name of a trace and two lines, mm.
const tableRoom = 32

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
