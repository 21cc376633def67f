// A drawing is a list of shapes with classes. This file writes it as SVG, so that the page's style sheet (light, dark,
// print) colours it, with a style of its own when it is kept as a file; pen.go draws the same list on paper and
// elsewhere.

package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Sizes of a figure in its own units. On a phone the figure is about 350 pixels wide, so that its
// letters are about 10 pixels high; on a desk about 17.
const (
	figureWidth = 460
	letter      = 13   // height of the letters
	letterWidth = 0.56 // of letter, on the average; labels are kept apart by it
)

// fileStyle colours a figure that stands alone: ink on paper, as printed.
const fileStyle = `text{font:13px "DejaVu Sans","Liberation Sans",Arial,sans-serif;fill:#26303a;paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round}` +
	`.axis{stroke:#26303a;fill:none}.grid{stroke:#cfdcd8;fill:none}.fine{stroke:#e3ecea;fill:none}` +
	`.zero{stroke:#5b6570;fill:none}.bars{stroke:#5b6570;fill:none}.dots{stroke:#26303a;stroke-linecap:round;fill:none}` +
	`.case{stroke:#26303a;stroke-linecap:round;stroke-linejoin:round;fill:none}` +
	`.own{stroke-linecap:round;stroke-linejoin:round;fill:none}.fit{stroke:#9c3a22;fill:none;stroke-linejoin:round}` +
	`.value{fill:#9c3a22;stroke:none}.ring{fill:none;stroke:#26303a;stroke-width:1.4px}.odd{fill:#9c3a22;stroke:#26303a;stroke-width:1.4px}.sheet{fill:#fff}`

type svg struct {
	w, h   float64
	shapes []shape
}

// A shape is a path, a disc or words, whichever is not empty. Places are in figure units, y down.
type shape struct {
	class  string
	colour string  // of the class own: "#rrggbb"
	width  float64 // of the line
	path   string  // M, L, V and H in place, m, v and h from where the pen is
	radius float64 // of a disc
	x, y   float64 // of a disc or words
	words  string
	anchor string // start, middle or end of the words is at x
}

func (s *svg) text(x, y float64, anchor, words string) {
	s.shapes = append(s.shapes, shape{x: x, y: y, anchor: anchor, words: words})
}

func (s *svg) line(class string, width, x0, y0, x1, y1 float64) {
	s.path(class, width, "M"+coordinate(x0)+" "+coordinate(y0)+"L"+coordinate(x1)+" "+coordinate(y1))
}

func (s *svg) path(class string, width float64, d string) {
	if d != "" {
		s.shapes = append(s.shapes, shape{class: class, width: width, path: d})
	}
}

// own is a path in a trace's own colour.
func (s *svg) own(colour string, width float64, d string) {
	if d != "" {
		s.shapes = append(s.shapes, shape{class: "own", colour: colour, width: width, path: d})
	}
}

func (s *svg) disc(class string, x, y, radius float64) {
	s.shapes = append(s.shapes, shape{class: class, x: x, y: y, radius: radius})
}

// String is what stands inside of the svg element. All that may come from outside, words and colours, is escaped.
func (s *svg) String() string {
	var b strings.Builder
	for _, f := range s.shapes {
		switch {
		case f.radius > 0:
			fmt.Fprintf(&b, `<circle class="%s" cx="%s" cy="%s" r="%s"/>`, f.class, coordinate(f.x), coordinate(f.y), coordinate(f.radius))
		case f.class == "own":
			fmt.Fprintf(&b, `<path class="own" stroke="%s" stroke-width="%s" d="%s"/>`, escaped(f.colour), coordinate(f.width), f.path)
		case f.class != "":
			fmt.Fprintf(&b, `<path class="%s" stroke-width="%s" d="%s"/>`, f.class, coordinate(f.width), f.path)
		default:
			fmt.Fprintf(&b, `<text x="%s" y="%s" text-anchor="%s">%s</text>`, coordinate(f.x), coordinate(f.y), f.anchor, escaped(f.words))
		}
	}
	return b.String()
}

// inner is the figure for a page that has the style sheet.
func (s *svg) inner(title string) string {
	return fmt.Sprintf(`<svg viewBox="0 0 %s %s" role="img" aria-label="%s">%s</svg>`,
		coordinate(s.w), coordinate(s.h), escaped(title), s.String())
}

// file is the figure as a file of its own, across mm wide in print; 0 leaves that to whoever prints it.
func (s *svg) file(title string, across float64) []byte {
	w, h := coordinate(s.w), coordinate(s.h)
	wide, high := w, h
	if across > 0 {
		wide, high = decimal(across)+"mm", decimal(across*s.h/s.w)+"mm"
	}
	return fmt.Appendf(nil, `<svg xmlns="http://www.w3.org/2000/svg" width="%s" height="%s" viewBox="0 0 %[3]s %[4]s">`+
		"<title>%[5]s</title><style>%[6]s</style>"+`<rect class="sheet" width="%[3]s" height="%[4]s"/>%[7]s</svg>`+"\n",
		wide, high, w, h, escaped(title), fileStyle, s.String())
}

// coordinate prints to a tenth of a unit: finer than any screen shows.
func coordinate(v float64) string {
	return strconv.FormatFloat(math.Round(v*10)/10+0, 'f', -1, 64)
}

// curve joins the points of finite y; a hidden one breaks the line.
func curve(x, y []float64, px, py func(float64) float64) string {
	var b strings.Builder
	pen := "M"
	for i := range x {
		if math.IsNaN(y[i]) || math.IsInf(y[i], 0) {
			pen = "M"
			continue
		}
		b.WriteString(pen + coordinate(px(x[i])) + " " + coordinate(py(y[i])))
		pen = "L"
	}
	return b.String()
}

// specks is a dot of the stroke's width at each point of finite y.
func specks(x, y []float64, px, py func(float64) float64) string {
	var b strings.Builder
	for i := range x {
		if !math.IsNaN(y[i]) && !math.IsInf(y[i], 0) {
			b.WriteString("M" + coordinate(px(x[i])) + " " + coordinate(py(y[i])) + "h0")
		}
	}
	return b.String()
}

// bars is an upright bar of one standard deviation to each side of each point.
func bars(x, y, u []float64, px, py func(float64) float64) string {
	var b strings.Builder
	for i := range x {
		if i < len(u) && !math.IsNaN(y[i]+u[i]) && !math.IsInf(y[i]+u[i], 0) {
			b.WriteString("M" + coordinate(px(x[i])) + " " + coordinate(py(y[i]-u[i])) + "V" + coordinate(py(y[i]+u[i])))
		}
	}
	return b.String()
}
