package report

import (
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

// photo places the photo with the lattice and the traces as found, within a width and a height.
func (s *sheet) photo(d *wire.Document, p *Pictures, width, height float64) {
	w, h := fitted(p.Photo, width, height)
	laid := []laidLines{{p.Lattice, [3]int{0xff, 0x8a, 0x5c}, 0.12}}
	for _, l := range p.Lines {
		colour := [3]int{0xff, 0xff, 0xff}
		if several(d) { // which is which
			colour = [3]int{int(l.Colour[0]), int(l.Colour[1]), int(l.Colour[2])}
		}
		laid = append(laid, laidLines{l.Pieces, colour, 0.15})
	}
	s.overlaid(p.Photo, float64(d.Photo.Width), w, h, laid)
	s.pen(smallSize, "", quietColour)
	s.x = sheetMargin
	s.paragraph(width, lineOf(smallSize), "Do the thin lines lie on the display’s own? If not, read it again with the corners given by hand.")
}

// laidLines are lines laid over a photo, in its pixels, in a colour and so many mm wide.
type laidLines struct {
	lines  [][]geom.Pixel
	colour [3]int
	width  float64
}

// overlaid places a photo, which is across pixels wide before it is made small, with lines over it; each has a dark
// rim.
func (s *sheet) overlaid(p Picture, across, w, h float64, laid []laidLines) {
	x, y := float64(sheetMargin), s.y
	s.picture(p, x, y, w, h)
	scale := w / across
	s.clip(x, y, w, h)
	for _, k := range laid {
		for _, over := range []bool{false, true} {
			s.rule = [3]int{0x10, 0x14, 0x18}
			s.thick = 2 * k.width
			if over {
				s.rule = k.colour
				s.thick = k.width
			}
			s.state()
			for _, l := range k.lines {
				for i, q := range l {
					if i == 0 {
						s.moveTo(x+q.X*scale, y+q.Y*scale)
					} else {
						s.lineTo(x+q.X*scale, y+q.Y*scale)
					}
				}
				s.strokePath()
			}
		}
	}
	s.unclip()
	s.x, s.y = sheetMargin, y+h+1
}

// margins places the strips around the display, long ones two in a line and tall ones four.
func (s *sheet) margins(l *leaf) {
	var long, tall []Picture
	for _, m := range l.p.Margins {
		switch {
		case m.JPEG == nil:
		case m.Tall:
			tall = append(tall, m)
		default:
			long = append(long, m)
		}
	}
	if len(long)+len(tall) == 0 {
		return
	}
	s.head("Around the display", 60)
	s.words(smallSize, "", quietColour, rimsSay)
	s.goOn(1)
	for i := range l.p.Channels {
		s.channel(l, &l.p.Channels[i])
	}
	s.side(long, 2)
	s.side(tall, 4)
}

// channel places a trace's colour, what is known of its settings, and the parts of the rims that are coloured like it.
func (s *sheet) channel(l *leaf, c *Channel) {
	const swatch, high, gap = 3, 9, 3
	e := c.entry(l.d, l.print)
	text := e.Name + ": " + e.Says + "."
	if e.Hint != "" {
		text += " To give it: " + e.Hint
	}
	if len(c.Scale) == 0 {
		text += " " + c.nowhere()
	}
	s.room(2*lineOf(bodySize) + high)
	s.paint = [3]int{int(c.Colour[0]), int(c.Colour[1]), int(c.Colour[2])}
	s.rule = inkColour
	s.thick = 0.2
	s.rectangle(sheetMargin, s.y+0.7, swatch, swatch, true)
	s.pen(bodySize, "", inkColour)
	s.x = sheetMargin + swatch + 2
	s.paragraph(sheetWidth-swatch-2, lineOf(bodySize), printable(text))
	x, y := sheetMargin+swatch+2.0, s.y+1
	for _, m := range c.Scale {
		w, h := fitted(m, (sheetWidth-swatch-2-gap*(pieceCount-1))/pieceCount, high)
		s.picture(m, x, y, w, h)
		x += w + gap
	}
	if len(c.Scale) > 0 {
		s.x, s.y = sheetMargin, y+high+1
	}
	s.goOn(2)
}

// highestStrip is the most that a strip of the rim takes of a sheet, mm: its print is still 2 mm high.
const highestStrip = 50

// side places pictures side by side, so many in a line, each with its name below.
func (s *sheet) side(l []Picture, across int) {
	const gap = 3
	width := (sheetWidth - gap*float64(across-1)) / float64(across)
	for i := 0; i < len(l); i += across {
		line := l[i:min(i+across, len(l))]
		highest := 0.0
		for _, m := range line {
			_, h := fitted(m, width, highestStrip)
			highest = max(highest, h)
		}
		s.room(highest + 6)
		y := s.y
		for k, m := range line {
			x := sheetMargin + float64(k)*(width+gap)
			w, h := fitted(m, width, highestStrip)
			s.picture(m, x, y, w, h)
			s.pen(smallSize-1, "", quietColour)
			s.x, s.y = x, y+h
			s.cell(width, 4, m.Name, false, false)
		}
		s.x, s.y = sheetMargin, y+highest+5
	}
}

// fitted is the size, mm, of a picture in a space.
func fitted(p Picture, width, height float64) (w, h float64) {
	w, h = width, width*float64(p.H)/float64(p.W)
	if h > height {
		w, h = w*height/h, height
	}
	return w, h
}

// columnGap parts the two columns of figures, columnWidth is that of each, mm.
const (
	columnGap   = 8
	columnWidth = (sheetWidth - columnGap) / 2.0
)

// columnHeight is what a figure takes of a column with its caption.
func (s *sheet) columnHeight(f figure) float64 {
	return columnWidth*f.h/f.w + s.captionHeight(f, columnWidth)
}

// aloneWidth is that of a figure that has no other beside it, mm.
const aloneWidth = 125

// figures places figures: one alone large, more in two columns.
func (s *sheet) figures(l []figure) {
	if len(l) != 1 {
		s.columns(l)
		return
	}
	s.room(s.figuresHeight(l))
	s.figure(l[0], sheetMargin, s.y, aloneWidth)
	s.goOn(4)
}

// figuresHeight is what the first of them takes.
func (s *sheet) figuresHeight(l []figure) float64 {
	switch len(l) {
	case 0:
		return 0
	case 1:
		return aloneWidth*l[0].h/l[0].w + s.captionHeight(l[0], aloneWidth)
	}
	return s.columnHeight(l[0])
}

// columns places figures in two columns, each below the shorter one.
func (s *sheet) columns(l []figure) {
	const between = 4
	ends := [2]float64{s.y, s.y}
	for _, f := range l {
		k := 0
		if ends[1] < ends[0] {
			k = 1
		}
		high := s.columnHeight(f)
		if ends[k]+high > s.height-sheetMargin {
			s.addPage()
			ends, k = [2]float64{s.y, s.y}, 0
		}
		s.figure(f, sheetMargin+float64(k)*(columnWidth+columnGap), ends[k], columnWidth)
		ends[k] += high + between
	}
	s.goOn(max(ends[0], ends[1]) - s.y)
}

func (s *sheet) captionHeight(f figure, w float64) float64 {
	s.pen(smallSize, "", quietColour)
	lines := 0
	for _, c := range f.Caption {
		lines += len(s.split(printable(joinNonEmpty(": ", c.Label, c.Says)), w-2))
	}
	return float64(lines) * lineOf(smallSize)
}

// figure draws f with its top-left corner at x, y, w mm wide, and its caption below.
func (s *sheet) figure(f figure, x, y, w float64) {
	s.drawing(f.svg, x, y, w/f.w)
	s.x, s.y = sheetMargin, y+w*f.h/f.w
	for _, c := range f.Caption {
		s.pen(smallSize, "", quietColour)
		s.x = x
		s.paragraph(w, lineOf(smallSize), printable(joinNonEmpty(": ", c.Label, c.Says)))
	}
}

// drawing puts a drawing on the sheet at scale mm a unit.
func (s *sheet) drawing(g *svg, x, y, scale float64) {
	s.round = true
	g.onto(s, x, y, scale)
	s.round = false
}

// Strokes, Disc and Label make a sheet a Pen.
func (s *sheet) Strokes(colour [3]int, width float64, lines [][][2]float64) {
	s.rule, s.thick = colour, width
	s.state()
	for _, l := range lines {
		for i, q := range l {
			if i == 0 {
				s.moveTo(q[0], q[1])
			} else {
				s.lineTo(q[0], q[1])
			}
		}
	}
	s.strokePath()
}

func (s *sheet) Disc(x, y, radius float64, fill, rim *[3]int, width float64) {
	if fill != nil {
		s.paint = *fill
	}
	if rim != nil {
		s.rule, s.thick = *rim, width
	}
	s.disc(x, y, radius, fill != nil, rim != nil)
}

func (s *sheet) Label(colour [3]int, size, x, y float64, anchor, words string) {
	s.pen(size*pointsAMillimetre, "", colour)
	switch anchor {
	case "middle":
		x -= s.textWidth(words) / 2
	case "end":
		x -= s.textWidth(words)
	}
	s.write(x, y, words)
}
