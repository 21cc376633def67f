// What stands along the figure on squared paper, and its scale when it is printed. Seconds count from the left rim and
// stand at the lines; volts count from the ground line, so that they stand a box apart from there, which may be between
// the lines.

package report

import (
	"fmt"
	"math"
	"strings"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// Print is what a person wants of the sheets.
type Print struct {
	Budgets bool                // every budget in full, and not only the table of all of them
	Letter  bool                // on sheets of US Letter, else of A4
	Box     float64             // mm a box of the display in the figure to scale; 0 means 10, a square of most notebooks
	say     func(string) string // changes each sentence that may name a flag; nil for none
}

// Sizes in mm. A square of 10 mm is that of the squared paper of notebooks (common practice, no source).
const (
	paperSquare = 10.0
	paperWidest = 186.0 // A4 less a margin of 12 mm at each side, as the page in print has it
	paperSpare  = 57.0  // of a sheet's height: margins and the caption
)

// size is that of a sheet: A4 by ISO 216, or Letter, 8½ by 11 inches.
func (p Print) size() (w, h float64) {
	if p.Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

func (p Print) cssSize() string {
	if p.Letter {
		return "letter"
	}
	return "A4"
}

// paperScale is the side of a box in print, mm: what is wanted, or less for a display of so many boxes that they do not
// fit.
func (p Print) paperScale(g *wire.Graticule) float64 {
	want := p.Box
	if !(want > 0) {
		want = paperSquare
	}
	_, high := p.size()
	across := (paperWidest - inPrint(paperLeft+paperRight)) / float64(g.Columns)
	down := (high - paperSpare - inPrint(topRoom+lowRoom)) / float64(g.Rows)
	return min(want, across, down)
}

// paperWidth is the width of the whole figure in print, mm.
func (p Print) paperWidth(g *wire.Graticule) float64 {
	return p.paperScale(g)*float64(g.Columns) + inPrint(paperLeft+paperRight)
}

// inPrint is a length of the figure to scale in mm.
func inPrint(units float64) float64 { return units * paperSquare / paperBox }

// A paperAxis is a scale along the paper: what is at a box from the centre, in s or V.
type paperAxis struct {
	scaled bool
	name   string
	unit   string
	perBox float64
	zero   float64 // boxes from the centre, where it is 0
}

// paperScales gives seconds and volts along the paper. Several traces have volts only if they share them; what is not
// known stays in boxes from the centre.
func paperScales(d *wire.Document) (across, up paperAxis) {
	across, up = paperAxis{name: "boxes from the centre"}, paperAxis{name: "boxes from the centre"}
	if s := d.Settings; s.TimePerBox.Known() && s.TimePerBox > 0 {
		across = paperAxis{true, "time", "s", float64(s.TimePerBox), -float64(d.Graticule.Columns) / 2}
	}
	for i, s := range paperSettings(d) {
		of := paperAxis{true, "voltage", "V", voltsOf(s), float64(s.GroundBox)}
		if !(of.perBox > 0) || !s.GroundBox.Known() || i > 0 && of != up {
			return across, paperAxis{name: "boxes from the centre"}
		}
		up = of
	}
	return across, up
}

// paperSettings are those of each trace that is analysed.
func paperSettings(d *wire.Document) []wire.Used {
	if !several(d) {
		return []wire.Used{d.Settings}
	}
	var out []wire.Used
	for _, t := range chosen(d) {
		if t.Settings != nil {
			out = append(out, *t.Settings)
		}
	}
	return out
}

// voltsOf is what one box is at the probe's tip, V.
func voltsOf(s wire.Used) float64 {
	v := float64(s.VoltsPerBox)
	if s.Probe.Known() && s.Probe > 0 {
		v *= float64(s.Probe)
	}
	return v
}

// marks gives the places in boxes from the centre, within half, where the scale has a whole number of boxes, with
// their numbers, and the symbol of their unit.
func (a paperAxis) marks(half float64) (at []float64, numbers []string, symbol string) {
	first, last := math.Ceil(-half-a.zero-1e-6), math.Floor(half-a.zero+1e-6)
	factor, symbol := unit.Scale(max(math.Abs(first), math.Abs(last))*a.perBox, a.unit)
	step := a.perBox / factor
	decimals := 0 // as many as tell a box
	for decimals < 3 && math.Abs(step*math.Pow10(decimals)-math.Round(step*math.Pow10(decimals))) > 1e-6*step*math.Pow10(decimals) {
		decimals++
	}
	for k := first; k <= last; k++ {
		at, numbers = append(at, a.zero+k), append(numbers, fixed(k*step+0, decimals))
	}
	return at, numbers, symbol
}

// level writes the scale below the paper, every so many squares that the numbers are apart.
func (a paperAxis) level(p *panel) {
	box := (p.right - p.left) / (p.x1 - p.x0)
	name := a.name
	if a.scaled {
		at, numbers, symbol := a.marks(p.x1)
		widest := 0
		for _, n := range numbers {
			widest = max(widest, len([]rune(n)))
		}
		every := 1 + int(letter*(letterWidth*float64(widest)+0.4)/box)
		for i := 0; i < len(at); i += every {
			p.text(p.px(at[i]), p.bottom+letter+5, "middle", numbers[i])
		}
		name = titled(a.name, symbol)
	}
	p.text(p.right, p.bottom+2*letter+9, "end", name)
}

// upright writes the scale at the left of the paper, with a tick at each number.
func (a paperAxis) upright(p *panel) {
	name := a.name
	if a.scaled {
		at, numbers, symbol := a.marks(p.y1)
		ticks := ""
		every := 1 + int((letter+2)/((p.bottom-p.top)/(p.y1-p.y0)))
		for i := 0; i < len(at); i += every {
			y := at[i]
			ticks += "M" + coordinate(p.left-4) + " " + coordinate(p.py(y)) + "h4"
			p.text(p.left-7, p.py(y)+0.35*letter, "end", numbers[i])
		}
		p.path("axis", 1, ticks)
		name = titled(a.name, symbol)
	}
	p.text(2, p.top-letter, "start", name)
}

// toScaleSay heads the figure to scale.
func toScaleSay(d *wire.Document) string {
	if d.Paper != nil {
		return "The curve to scale"
	}
	return "The display to scale"
}

// paperCaption says what a square is, and how large it is in print.
func paperCaption(d *wire.Document, print Print) string {
	g := d.Graticule
	if g == nil {
		return ""
	}
	of := "box of the display"
	if d.Paper != nil {
		of = "square of the drawing"
	}
	says := fmt.Sprintf("On squared paper: one %s is one square, %s mm wide if it is printed at 100 %%.", of, short(math.Round(1000*print.paperScale(g))/1000))
	across, up := paperScales(d)
	var parts []string
	if across.scaled {
		parts = append(parts, exact(wire.Number(across.perBox), "s")+" across")
	}
	if up.scaled {
		parts = append(parts, exact(wire.Number(up.perBox), "V")+" up")
	} else if several(d) {
		for _, t := range chosen(d) {
			if t.Settings != nil && voltsOf(*t.Settings) > 0 {
				parts = append(parts, exact(wire.Number(voltsOf(*t.Settings)), "V")+" up for "+t.Name)
			}
		}
	}
	if len(parts) > 0 {
		says += " A square is " + strings.Join(parts, ", ") + "."
	}
	return says
}
