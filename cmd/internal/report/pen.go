// The shapes of a drawing by a pen, be it that of a sheet of the PDF or of a picture (package handout).

package report

import (
	"encoding/binary"
	"strconv"
	"strings"

	"quadrille/cmd/internal/wire"
)

// A Pen draws what figures consist of. Places and lengths are in mm, y down; a colour is sRGB, 8 bits each of red,
// green and blue.
type Pen interface {
	// Strokes draws lines through points, with round ends and corners. One whose points are all the same is a dot.
	Strokes(colour [3]int, width float64, lines [][][2]float64)
	// Disc draws a disc with a rim of a width; without either where its colour is nil.
	Disc(x, y, radius float64, fill, rim *[3]int, width float64)
	// Label writes a line of letters of a size, the height of their em. x is its start, middle or end, as anchor says, y
	// its base line.
	Label(colour [3]int, size, x, y float64, anchor, words string)
}

// Letters is the TrueType font in which figures are written on paper, with the empty table of names that other readers
// of fonts ask for (OpenType specification 1.9, post, version 3).
func Letters() []byte {
	tables := goRegular().tables
	tables["post"] = make([]byte, 32)
	binary.BigEndian.PutUint32(tables["post"], 0x00030000)
	return fontFile(tables)
}

// A Drawing is one of the figures of a document, as large as it is printed.
type Drawing struct {
	Name          string  // of its file, without an ending: "v-t"
	Width, Height float64 // mm
	of            *svg
}

// Drawings are the figures of d, as Figures has them, the display to scale first.
func Drawings(d *wire.Document, print Print) (list []Drawing) {
	for _, f := range figuresOf(d, print) {
		across := f.across
		if across == 0 {
			across = sheetWidth
		}
		list = append(list, Drawing{f.name, across, across * f.of.h / f.of.w, f.of})
	}
	return list
}

// By draws it from its top-left corner on.
func (d Drawing) By(p Pen) { d.of.onto(p, 0, 0, d.Width/d.of.w) }

// inks are the colours of the classes of shapes, as in fileStyle.
var inks = map[string][3]int{
	"axis": inkColour, "case": inkColour, "dots": inkColour,
	"grid": {0xcf, 0xdc, 0xd8}, "fine": {0xe3, 0xec, 0xea},
	"zero": {0x5b, 0x65, 0x70}, "bars": {0x5b, 0x65, 0x70},
	"fit": {0x9c, 0x3a, 0x22}, "value": {0x9c, 0x3a, 0x22}, "odd": {0x9c, 0x3a, 0x22},
}

// ringWidth is that of the rims of discs, in figure units, as in fileStyle.
const ringWidth = 1.4

// onto draws a drawing with its top-left corner at x, y, at scale mm a unit.
func (s *svg) onto(p Pen, x, y, scale float64) {
	for _, f := range s.shapes {
		colour, known := inks[f.class]
		if !known {
			colour = colourOf(f.colour)
		}
		switch {
		case f.radius > 0:
			fill, rim := &colour, &inkColour
			switch f.class {
			case "ring":
				fill = nil
			case "value":
				rim = nil
			}
			p.Disc(x+f.x*scale, y+f.y*scale, f.radius*scale, fill, rim, ringWidth*scale)
		case f.path != "":
			p.Strokes(colour, f.width*scale, trail(f.path, x, y, scale))
		default:
			p.Label(inkColour, letter*scale, x+f.x*scale, y+f.y*scale, f.anchor, printable(f.words))
		}
	}
}

// colourOf reads "#rrggbb"; ink if it is not that.
func colourOf(text string) [3]int {
	digits, ok := strings.CutPrefix(text, "#")
	v, err := strconv.ParseUint(digits, 16, 24)
	if !ok || err != nil || len(digits) != 6 {
		return inkColour
	}
	return [3]int{int(v >> 16), int(v >> 8 & 0xff), int(v & 0xff)}
}

// trail gives the lines of the data of a path: M, L, V and H in place, and m, v and h from where the pen is.
func trail(data string, x, y, scale float64) (lines [][][2]float64) {
	var px, py float64
	for len(data) > 0 {
		verb := data[0]
		end := 1
		for end < len(data) && (data[end] < 'A') {
			end++
		}
		var v [2]float64
		for i, f := range strings.Fields(data[1:end]) {
			if i < len(v) {
				v[i], _ = strconv.ParseFloat(f, 64)
			}
		}
		data = data[end:]
		switch verb {
		case 'M', 'L':
			px, py = v[0], v[1]
		case 'm':
			px, py = px+v[0], py+v[1]
		case 'V':
			py = v[0]
		case 'v':
			py += v[0]
		case 'H':
			px = v[0]
		case 'h':
			px += v[0]
		}
		if verb == 'M' || verb == 'm' {
			lines = append(lines, nil)
		}
		last := len(lines) - 1
		lines[last] = append(lines[last], [2]float64{x + px*scale, y + py*scale})
	}
	return lines
}
