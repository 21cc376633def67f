// The pictures of a check: both curves on the display's boxes, and the display's boxes and trace laid on the photo of
// the drawing.

package report

import (
	"encoding/base64"
	"fmt"
	"math"
	"strings"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/geom"
)

// checkedFigure has the display's trace, the drawing and its departures on the boxes of the display; nil if it has
// none.
func checkedFigure(c *check.Check) *svg {
	if c.Display.Columns <= 0 || c.Display.Rows <= 0 {
		return nil
	}
	d := &wire.Document{Graticule: &wire.Graticule{Columns: c.Display.Columns, Rows: c.Display.Rows}, Settings: *c.Display.Settings}
	halfX, halfY := float64(c.Display.Columns)/2, float64(c.Display.Rows)/2
	s := &svg{w: 2*halfX*paperBox + paperLeft + paperRight, h: 2*halfY*paperBox + topRoom + lowRoom}
	p := &panel{svg: s, left: paperLeft, top: topRoom, right: s.w - paperRight, bottom: s.h - lowRoom, x0: -halfX, x1: halfX, y0: -halfY, y1: halfY}
	squares := ""
	for x := -halfX; x <= halfX; x++ {
		squares += "M" + coordinate(p.px(x)) + " " + coordinate(p.top) + "V" + coordinate(p.bottom)
	}
	for y := -halfY; y <= halfY; y++ {
		squares += "M" + coordinate(p.left) + " " + coordinate(p.py(y)) + "H" + coordinate(p.right)
	}
	p.path("grid", 1.2, squares)
	across, up := paperScales(d)
	if !across.scaled { // boxes from the left rim, as the verdict counts
		across = paperAxis{scaled: true, name: "boxes from the left rim", perBox: 1, zero: -halfX}
	}
	across.level(p)
	if !up.scaled {
		up = paperAxis{scaled: true, name: "boxes from the centre", perBox: 1}
	}
	up.upright(p)
	if g := float64(c.Display.Settings.GroundBox); g >= -halfY && g <= halfY {
		p.line("zero", 1.4, p.left, p.py(g), p.right, p.py(g))
	}
	shown := inFrame(wire.Trace{X: c.Trace.X, Y: c.Trace.Y}, halfX, halfY)
	line := curve(shown.X, shown.Y, p.px, p.py)
	p.path("case", 6, line)
	s.own(c.Display.Colour, 4.6, line)
	over := inFrame(wire.Trace{X: c.Curve.X, Y: c.Curve.Y}, halfX, halfY)
	p.path("fit", 1.8, curve(over.X, over.Y, p.px, p.py))
	for _, l := range c.Departures {
		x, y := float64(l.X+l.Across), float64(l.Y+l.Up)
		s.disc("ring", p.px(x), p.py(y), 5)
		at, anchor := p.px(x)+9, "start"
		if at > p.right-40 {
			at, anchor = p.px(x)-9, "end"
		}
		p.text(at, min(max(p.py(y)+0.35*letter, p.top+letter), p.bottom-3), anchor, fixed(float64(l.Size), 2))
	}
	return s
}

// OnDrawing is the display laid on the photo of its drawing, in pixels of the upright photo.
type OnDrawing struct {
	Photo   Picture
	W, H    float64        // px of the photo itself
	Boxes   [][]geom.Pixel // the lines of the screen's boxes
	Trace   [][]geom.Pixel // its pieces
	Numbers []NumberAt     // of the squares
	size    float64        // px: of the numbers
}

// A NumberAt is written at a place of the photo.
type NumberAt struct {
	At   geom.Pixel
	Says string
}

// NewOnDrawing lays the display on a drawing; nil where the drawing's document has no squares. photo is made small, as
// by Small; it is the zero Picture for one who has it already.
func NewOnDrawing(c *check.Check, drawn *wire.Document, photo Picture) *OnDrawing {
	n := squaresOf(drawn)
	if n == nil || !drawn.Photo.Width.Known() || !drawn.Photo.Height.Known() {
		return nil
	}
	o := &OnDrawing{Photo: photo, W: float64(drawn.Photo.Width), H: float64(drawn.Photo.Height)}
	halfX, halfY, per := float64(c.Display.Columns)/2, float64(c.Display.Rows)/2, float64(c.Placement.SquaresPerBox)
	at := func(x, y float64) geom.Pixel {
		return n.pixel(float64(c.Placement.Corner[0])+per*(x+halfX), float64(c.Placement.Corner[1])+per*(y+halfY))
	}
	const steps = 24 // pieces of a line, enough for the bend of a page
	line := func(x0, y0, x1, y1 float64) {
		l := make([]geom.Pixel, steps+1)
		for i := range l {
			f := float64(i) / steps
			l[i] = at(x0+f*(x1-x0), y0+f*(y1-y0))
		}
		o.Boxes = append(o.Boxes, l)
	}
	for x := -halfX; x <= halfX; x++ {
		line(x, -halfY, x, halfY)
	}
	for y := -halfY; y <= halfY; y++ {
		line(-halfX, y, halfX, y)
	}
	shown := inFrame(wire.Trace{X: c.Trace.X, Y: c.Trace.Y}, halfX, halfY)
	var piece []geom.Pixel
	for i := range shown.Y {
		if math.IsNaN(shown.X[i] + shown.Y[i]) {
			if len(piece) > 1 {
				o.Trace = append(o.Trace, piece)
			}
			piece = nil
			continue
		}
		piece = append(piece, at(shown.X[i], shown.Y[i]))
	}
	if len(piece) > 1 {
		o.Trace = append(o.Trace, piece)
	}
	// Every fifth square is numbered along the bottom and the left, so that a person can say where a corner is.
	a, b := n.pixel(0, 0), n.pixel(1, 0)
	o.size = max(0.6*math.Hypot(b.X-a.X, b.Y-a.Y), o.W/60)
	const every = 5
	for k := 0; k < len(n[0]); k += every {
		o.Numbers = append(o.Numbers, NumberAt{n.pixel(float64(k), 0), fmt.Sprint(k)})
	}
	for k := every; k < len(n); k += every {
		o.Numbers = append(o.Numbers, NumberAt{n.pixel(0, float64(k)), fmt.Sprint(k)})
	}
	return o
}

// squares are the crossings of the paper's lines on the photo: rows from the bottom, each from the left.
type squares [][]wire.Point

// squaresOf gives those of a document; nil without any, or if they are no lattice.
func squaresOf(d *wire.Document) squares {
	if d.Graticule == nil || len(d.Graticule.Nodes) < 2 || len(d.Graticule.Nodes[0]) < 2 {
		return nil
	}
	for _, row := range d.Graticule.Nodes {
		if len(row) != len(d.Graticule.Nodes[0]) {
			return nil
		}
	}
	return d.Graticule.Nodes
}

// pixel gives the place on the photo of a place in squares from the bottom-left crossing; beyond the last square it
// goes on as there.
func (n squares) pixel(x, y float64) geom.Pixel {
	i := min(max(int(math.Floor(x)), 0), len(n[0])-2)
	j := min(max(int(math.Floor(y)), 0), len(n)-2)
	fx, fy := x-float64(i), y-float64(j)
	of := func(k int) float64 {
		return (1-fy)*((1-fx)*float64(n[j][i][k])+fx*float64(n[j][i+1][k])) + fy*((1-fx)*float64(n[j+1][i][k])+fx*float64(n[j+1][i+1][k]))
	}
	return geom.Pixel{X: of(0), Y: of(1)}
}

// over is what is laid over the photo, as the inside of an svg element in the photo's pixels.
func (o *OnDrawing) over() string {
	var b strings.Builder
	path := func(of string, lines [][]geom.Pixel) {
		fmt.Fprintf(&b, `<path class="%s" d="`, of)
		for _, l := range lines {
			b.WriteString(route(l))
		}
		b.WriteString(`"/>`)
	}
	path("under", o.Boxes)
	path("lattice", o.Boxes)
	path("under dark", o.Trace)
	path("found", o.Trace)
	for _, n := range o.Numbers {
		fmt.Fprintf(&b, `<text class="count" x="%s" y="%s" style="`+countStyle+`;font-size:%spx">%s</text>`, coordinate(n.At.X), coordinate(n.At.Y), coordinate(o.size), escaped(n.Says))
	}
	return b.String()
}

// viewBox is that of the overlay.
func (o *OnDrawing) viewBox() string { return "0 0 " + coordinate(o.W) + " " + coordinate(o.H) }

// countStyle is that of the numbers of the squares, on the page and in the file.
const countStyle = "text-anchor:middle;fill:#7a2a14;stroke:#fff;stroke-width:.2em;font-weight:600"

// overStyle colours the overlay in a file of its own, as the page's style sheet does.
const overStyle = `path{fill:none;vector-effect:non-scaling-stroke;stroke-linejoin:round}.under{stroke:#101418;stroke-width:2.4px;opacity:.35}` +
	`.under.dark{stroke-width:4.4px;opacity:.9}.lattice{stroke:#ff8a5c;stroke-width:1px;opacity:.85}.found{stroke:#fff;stroke-width:1.8px}` +
	`text{font-family:"DejaVu Sans",Arial,sans-serif;paint-order:stroke}`

// File is the picture as an SVG that holds the photo.
func (o *OnDrawing) File() []byte {
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="%s"><title>The display laid on the drawing</title>`+
		`<style>%s</style><image width="%s" height="%s" preserveAspectRatio="none" href="data:image/jpeg;base64,%s"/>%s</svg>`+"\n",
		o.Photo.W, o.Photo.H, o.viewBox(), overStyle, coordinate(o.W), coordinate(o.H), base64.StdEncoding.EncodeToString(o.Photo.JPEG), o.over())
}
