// A small writer of PDF (ISO 32000-1:2008, here called the standard): pages of text in embedded letters, straight
// lines, discs and JPEG pictures. Places are in mm from the top-left corner of the page, sizes of letters in points.
// The same calls make the same bytes: there is no date and nothing by chance.

package report

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
)

// A canvas is a file that is being drawn. Text goes to x, y and on from there.
type canvas struct {
	title         string
	of            string  // the SHA-256 of the one file that it is made of, as its keyword; "" for none
	width, height float64 // of a page, mm
	margin        float64 // on all sides, mm
	foot          func()  // draws at the foot of each page, as it is ended
	x, y          float64

	pages            []*bytes.Buffer
	out              *bytes.Buffer // what the page is told
	pictures         []Picture
	letters          *letters
	bold             bool
	size             float64 // points
	ink, rule, paint [3]int  // of text, lines and areas
	thick            float64 // of lines, mm
	round            bool    // ends and corners of lines
	told             string  // the state that the page was told last
	inFoot           bool
}

const (
	pointsAMillimetre = 72 / 25.4
	cellMargin        = 1.0 // mm, of text within its cell
	// circleArm is how far the control points of a quarter of a circle stand off its ends, in radii: 4/3·(√2 − 1), with
	// which a Bézier curve is nowhere more than 0.03 % off.
	circleArm = 0.5522847498
	// boldRim is how thick the outline is that makes a letter bold, in sizes: the stems are then 1.4 times as thick. Each
	// letter is wider by as much. (TestBoldIsTheSameLettersThicker.)
	boldRim = 0.035
)

func newCanvas(title string, width, height, margin float64) *canvas {
	return &canvas{title: title, width: width, height: height, margin: margin, letters: goRegular()}
}

// addPage ends the page and begins another.
func (c *canvas) addPage() {
	c.endPage()
	c.out = new(bytes.Buffer)
	c.pages = append(c.pages, c.out)
	c.x, c.y, c.told = c.margin, c.margin, ""
}

func (c *canvas) endPage() {
	if c.out != nil && c.foot != nil {
		size, ink, bold, letters := c.size, c.ink, c.bold, c.letters // which what goes on over the page's end is written in
		c.inFoot = true
		c.foot()
		c.inFoot = false
		c.size, c.ink, c.bold, c.letters = size, ink, bold, letters
	}
}

func (c *canvas) op(format string, args ...any) { fmt.Fprintf(c.out, format+"\n", args...) }

// at prints a place in points from the bottom-left corner.
func (c *canvas) at(x, y float64) string {
	return decimal(x*pointsAMillimetre) + " " + decimal((c.height-y)*pointsAMillimetre)
}

// decimal prints to a thousandth of a point.
func decimal(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "0"
	}
	return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64)
}

// pen chooses letters for what is written from now on; style "B" is bold.
func (c *canvas) pen(size float64, style string, colour [3]int) {
	c.size, c.ink, c.bold = size, colour, style == "B"
}

// state tells the page how lines and areas look, if that has changed.
func (c *canvas) state() {
	cap := 0
	if c.round {
		cap = 1
	}
	now := rgb(c.rule) + " RG " + rgb(c.paint) + " rg " + decimal(c.thick*pointsAMillimetre) + " w " + fmt.Sprintf("%d J %d j", cap, cap)
	if now != c.told {
		c.op("%s", now)
		c.told = now
	}
}

func rgb(c [3]int) string {
	return decimal(float64(c[0])/255) + " " + decimal(float64(c[1])/255) + " " + decimal(float64(c[2])/255)
}

func (c *canvas) strokeLine(x0, y0, x1, y1 float64) {
	c.state()
	c.op("%s m %s l S", c.at(x0, y0), c.at(x1, y1))
}

// rectangle is filled, and has a rim too if rim is set.
func (c *canvas) rectangle(x, y, w, h float64, rim bool) {
	c.state()
	c.op("%s %s %s re %s", c.at(x, y+h), decimal(w*pointsAMillimetre), decimal(h*pointsAMillimetre), either(rim, "B", "f"))
}

// disc is filled, drawn as a ring, or both.
func (c *canvas) disc(x, y, radius float64, fill, ring bool) {
	c.state()
	k := circleArm * radius
	c.op("%s m", c.at(x+radius, y))
	for _, q := range [][2]float64{{0, 1}, {-1, 0}, {0, -1}, {1, 0}} { // each quarter ends there
		from := [2]float64{q[1], -q[0]}
		c.op("%s %s %s c", c.at(x+radius*from[0]+k*q[0], y+radius*from[1]+k*q[1]), c.at(x+radius*q[0]+k*from[0], y+radius*q[1]+k*from[1]),
			c.at(x+radius*q[0], y+radius*q[1]))
	}
	c.op("%s", either(ring, either(fill, "b", "s"), "f"))
}

func (c *canvas) moveTo(x, y float64) { c.op("%s m", c.at(x, y)) }
func (c *canvas) lineTo(x, y float64) { c.op("%s l", c.at(x, y)) }
func (c *canvas) strokePath()         { c.op("S") }

// clip hides what is drawn outside a rectangle, until unclip.
func (c *canvas) clip(x, y, w, h float64) {
	c.op("q %s %s %s re W n", c.at(x, y+h), decimal(w*pointsAMillimetre), decimal(h*pointsAMillimetre))
	c.told = ""
}

func (c *canvas) unclip() {
	c.op("Q")
	c.told = ""
}

func (c *canvas) picture(p Picture, x, y, w, h float64) {
	c.pictures = append(c.pictures, p)
	c.op("q %s 0 0 %s %s cm /P%d Do Q", decimal(w*pointsAMillimetre), decimal(h*pointsAMillimetre), c.at(x, y+h), len(c.pictures))
}

// textWidth is that of a line of text, mm.
func (c *canvas) textWidth(text string) float64 {
	w := 0.0 // sizes
	for _, r := range text {
		w += float64(c.letters.advance(r)) / float64(c.letters.perEm)
		if c.bold {
			w += boldRim
		}
	}
	return w * c.size / pointsAMillimetre
}

// write puts a line of text with the left end of its base line at x, y.
func (c *canvas) write(x, y float64, text string) {
	if text == "" {
		return
	}
	code := make([]byte, 0, 2*len(text))
	for _, r := range text {
		code = binary.BigEndian.AppendUint16(code, c.letters.code(r))
	}
	before, after := "", ""
	if c.bold { // filled and drawn round (9.3.6), in a state of its own
		rim := decimal(boldRim * c.size)
		before, after = fmt.Sprintf("q 2 Tr %s w %s Tc %s RG ", rim, rim, rgb(c.ink)), " Q"
	}
	c.op("%sBT /%s %s Tf %s rg %s Td <%x> Tj ET%s", before, c.letters.name, decimal(c.size), rgb(c.ink), c.at(x, y), code, after)
	c.told = "" // the colour of areas is that of text
}

// cell writes a line of text into a width and a height from x, y, which is then at its right, or below it. A page that
// is full is ended first.
func (c *canvas) cell(w, h float64, text string, right, below bool) {
	if c.y+h > c.height-c.margin && !c.inFoot {
		x := c.x
		c.addPage()
		c.x = x
	}
	if w == 0 {
		w = c.width - c.margin - c.x
	}
	at := c.x + cellMargin
	if right {
		at = c.x + w - cellMargin - c.textWidth(text)
	}
	c.write(at, c.y+0.5*h+0.3*c.size/pointsAMillimetre, text)
	if below {
		c.y += h
	} else {
		c.x += w
	}
}

// paragraph writes lines of text, of a height each, into a width from x, y, and goes on below at the margin.
func (c *canvas) paragraph(w, h float64, text string) {
	for _, l := range c.split(text, w) {
		c.cell(w, h, l, false, true)
	}
	c.x = c.margin
}

func (c *canvas) goOn(h float64) { c.x, c.y = c.margin, c.y+h }

// split parts a text into lines that fit into a cell of a width, between words where it can.
func (c *canvas) split(text string, w float64) (out []string) {
	most := w - 2*cellMargin
	for _, part := range strings.Split(text, "\n") {
		line := ""
		for word := range strings.FieldsFuncSeq(part, func(r rune) bool { return r == ' ' }) {
			if c.textWidth(joinNonEmpty(" ", line, word)) <= most {
				line = joinNonEmpty(" ", line, word)
				continue
			}
			if line != "" {
				out = append(out, line)
			}
			line = ""
			for _, r := range word { // a word that is too long is broken anywhere
				if line != "" && c.textWidth(line+string(r)) > most {
					out, line = append(out, line), ""
				}
				line += string(r)
			}
		}
		out = append(out, line)
	}
	return out
}

// file ends the pages and gives the whole of the file.
func (c *canvas) file() []byte {
	c.endPage()
	f := &pdfObjects{}
	f.b.WriteString("%PDF-1.7\n%\xe2\xe3\xcf\xd3\n")
	catalogue, tree, info, resources := f.reserve(), f.reserve(), f.reserve(), f.reserve()
	var kids []string
	for _, p := range c.pages {
		content := f.stream("", p.Bytes())
		page := f.add("<</Type /Page\n/Parent %d 0 R /Resources %d 0 R /MediaBox [0 0 %s %s] /Contents %d 0 R>>",
			tree, resources, decimal(c.width*pointsAMillimetre), decimal(c.height*pointsAMillimetre), content)
		kids = append(kids, fmt.Sprintf("%d 0 R", page))
	}
	var pictures strings.Builder
	for i, p := range c.pictures {
		n := f.reserve()
		f.begin(n)
		fmt.Fprintf(&f.b, "<</Type /XObject /Subtype /Image /Width %d /Height %d /ColorSpace /DeviceRGB /BitsPerComponent 8 "+
			"/Filter /DCTDecode /Length %d>>\nstream\n", p.W, p.H, len(p.JPEG))
		f.b.Write(p.JPEG)
		f.b.WriteString("\nendstream\nendobj\n")
		fmt.Fprintf(&pictures, "/P%d %d 0 R ", i+1, n)
	}
	fonts := ""
	if l := c.letters; len(l.used) > 0 {
		fonts = fmt.Sprintf("/%s %d 0 R", l.name, l.embed(f))
	}
	f.put(resources, "<</Font <<%s>> /XObject <<%s>>>>", fonts, pictures.String())
	f.put(tree, "<</Type /Pages /Kids [%s] /Count %d>>", strings.Join(kids, " "), len(kids))
	title := []byte{0xfe, 0xff} // UTF-16 (7.9.2.2)
	for _, u := range utf16.Encode([]rune(c.title)) {
		title = binary.BigEndian.AppendUint16(title, u)
	}
	keywords := ""
	if c.of != "" {
		keywords = fmt.Sprintf(" /Keywords <%x>", c.of)
	}
	f.put(info, "<</Title <%x>%s>>", title, keywords)
	f.put(catalogue, "<</Type /Catalog /Pages %d 0 R /Lang (en) /ViewerPreferences <</DisplayDocTitle true /PrintScaling /None>>>>", tree)
	return f.end(catalogue, info)
}

// pdfObjects are the numbered objects of a file, and their places for the table at its end (7.5).
type pdfObjects struct {
	b      bytes.Buffer
	places []int
}

func (f *pdfObjects) reserve() int {
	f.places = append(f.places, 0)
	return len(f.places)
}

func (f *pdfObjects) begin(n int) {
	f.places[n-1] = f.b.Len()
	fmt.Fprintf(&f.b, "%d 0 obj\n", n)
}

func (f *pdfObjects) put(n int, format string, args ...any) {
	f.begin(n)
	fmt.Fprintf(&f.b, format+"\nendobj\n", args...)
}

func (f *pdfObjects) add(format string, args ...any) int {
	n := f.reserve()
	f.put(n, format, args...)
	return n
}

// stream adds bytes, packed, with what a dictionary says of them.
func (f *pdfObjects) stream(says string, data []byte) int {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	z.Write(data) // a buffer takes everything
	z.Close()
	n := f.reserve()
	f.begin(n)
	fmt.Fprintf(&f.b, "<<%s /Filter /FlateDecode /Length %d>>\nstream\n", says, packed.Len())
	f.b.Write(packed.Bytes())
	f.b.WriteString("\nendstream\nendobj\n")
	return n
}

func (f *pdfObjects) end(catalogue, info int) []byte {
	at := f.b.Len()
	fmt.Fprintf(&f.b, "xref\n0 %d\n0000000000 65535 f \n", len(f.places)+1)
	for _, p := range f.places {
		fmt.Fprintf(&f.b, "%010d 00000 n \n", p)
	}
	fmt.Fprintf(&f.b, "trailer\n<</Size %d /Root %d 0 R /Info %d 0 R>>\nstartxref\n%d\n%%%%EOF\n", len(f.places)+1, catalogue, info, at)
	return f.b.Bytes()
}
