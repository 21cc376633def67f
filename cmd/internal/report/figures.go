// The figures: the trace on squared paper to scale; volts against seconds with the fit and what it
// leaves; the logarithm with its straight line; the values of τ side by side.

package report

import (
	"fmt"
	"math"
	"slices"

	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/wire"
)

// Figures gives the figures that the document has data for, as SVG files by name: v-t.svg, ln-v.svg,
// paper.svg, which is to scale, tau.svg, and one named for the kind of signal, such as triangle.svg; of several traces
// tau-a.svg, triangle-a.svg and so on. It is never nil.
func Figures(d *wire.Document, print Print) map[string][]byte {
	out := map[string][]byte{}
	for _, f := range figuresOf(d, print) {
		out[f.name+".svg"] = f.of.file(f.title, f.across)
	}
	return out
}

// A namedFigure is one of the files of figures.
type namedFigure struct {
	of          *svg
	name, title string  // name of the file, without an ending
	across      float64 // its width in print, mm; 0 is that of the sheet
}

// figureList collects those that there are.
type figureList []*namedFigure

func (l *figureList) add(of *svg, d *wire.Document, name, trace, title string) {
	if of == nil {
		return
	}
	if trace != "" && (several(d) || trace == wire.ReadingsName) {
		name, title = name+"-"+trace, ofTrace(d, trace, title)
	}
	from, _ := source(d)
	*l = append(*l, &namedFigure{of: of, name: name, title: title + ": " + Clean(from)})
}

func figuresOf(d *wire.Document, print Print) (list figureList) {
	list.add(paperFigure(d, print), d, "paper", "", toScaleSay(d))
	if len(list) > 0 {
		list[0].across = print.paperWidth(d.Graticule)
	}
	list.add(timeFigure(d), d, "v-t", "", againstTime(d))
	for _, tr := range chosen(d) {
		if k := sketchOf(d, tr); k != nil {
			list.add(k.draw(tr), d, string(tr.Signal), tr.Name, k.title)
		}
	}
	list.add(logFigure(d), d, "ln-v", "", "Logarithm of the voltage against time")
	for _, taus := range constants(d) {
		name := "tau"
		if taus[0].Unit == unit.Box {
			name = "tau-boxes"
		}
		list.add(tauFigure(taus), d, name, taus[0].Trace, tauTitle)
	}
	return list
}

// againstTime is the title of the figure of voltage and time, in their units.
func againstTime(d *wire.Document) string {
	volts, time := "Volts", "seconds"
	if list := inUnits(d); len(list) > 0 {
		if voltsIn(list[0]) == unit.Box {
			volts = "Boxes from ground"
		}
		if timeIn(list[0]) == unit.Box {
			time = "boxes from the left rim"
		}
	}
	return volts + " against " + time
}

// margins of a figure, in its units: room for numbers of five digits, and for the names of the scales.
const (
	leftRoom  = 52
	topRoom   = 28
	rightRoom = 12
	lowRoom   = 40
)

// timeFigure has V against t with the fits over the points, and below it the residuals; nil if the
// scales are not known.
func timeFigure(d *wire.Document) *svg {
	list := inUnits(d)
	main := timePanel(d)
	if main == nil {
		return nil
	}
	s := main.svg
	var offs []float64
	for _, tr := range list {
		of, _ := residuals(d, tr.Name)
		offs = append(offs, of...)
	}
	main.upright("voltage", voltsIn(list[0]))
	main.level("time", timeIn(list[0]), len(offs) == 0)
	main.rim()
	fit, width, dot := "fit", 1.6, 2.4
	if several(d) { // their own colours tell the traces apart
		fit, width, dot = "axis", 0.6, 3.4
	}
	for _, tr := range list {
		main.path("bars", 1, bars(tr.T, tr.V, thinned(tr.U), main.px, main.inside))
		points := specks(tr.T, tr.V, main.px, main.py)
		main.path("case", dot+1.6, points)
		s.own(tr.Colour, dot, points)
	}
	for _, f := range d.Fits {
		if !slices.ContainsFunc(list, func(tr *wire.Trace) bool { return tr.Name == f.Trace }) {
			continue
		}
		main.path(fit, width, curve(f.T, f.V, main.px, main.py))
	}
	for _, tr := range list {
		if t, v, ok := lastOf(tr.T, tr.V); ok && several(d) {
			main.text(min(main.px(t)+4, main.right+3), main.py(v)+0.35*letter, "start", tr.Name)
		}
	}
	rings(main, d.Readings, func(r wire.ReadingBeside) wire.Number { return r.V })
	if len(offs) == 0 {
		return s
	}
	const height = 90
	rest := &panel{svg: s, left: leftRoom, top: main.bottom + topRoom, right: main.right,
		bottom: main.bottom + topRoom + height, x0: main.x0, x1: main.x1}
	s.h = rest.bottom + lowRoom
	farthest, bar := 1e-12, 0.0
	for _, tr := range list {
		offs, at := residuals(d, tr.Name)
		sigmas := sigmasAt(tr, at)
		for i, v := range offs {
			if !math.IsNaN(v) {
				farthest = max(farthest, math.Abs(v))
			}
			if !math.IsNaN(v + sigmas[i]) {
				bar = max(bar, math.Abs(v)+sigmas[i])
			}
		}
	}
	for _, v := range column(d.Readings, func(r wire.ReadingBeside) wire.Number { return r.Difference }) {
		if !math.IsNaN(v) {
			farthest = max(farthest, math.Abs(v))
		}
	}
	rest.y1 = 1.1 * max(farthest, min(bar, 2*farthest)) // one huge bar must not hide the others
	rest.y0 = -rest.y1
	rest.upright("points − fit", voltsIn(list[0]))
	rest.level("time", timeIn(list[0]), true)
	rest.rim()
	for _, tr := range list {
		offs, at := residuals(d, tr.Name)
		rest.path("bars", 1, bars(at, offs, thinned(sigmasAt(tr, at)), rest.px, rest.inside))
		points := specks(at, offs, rest.px, rest.py)
		if !several(d) {
			rest.path("dots", 2.4, points)
			continue
		}
		rest.path("case", 3.4, points)
		s.own(tr.Colour, 2.2, points)
	}
	rest.line("fit", 1.6, rest.left, rest.py(0), rest.right, rest.py(0))
	rings(rest, d.Readings, func(r wire.ReadingBeside) wire.Number { return r.Difference })
	return s
}

// mostBars is how many error bars stand apart across a figure: more would be a grey band that hides the points.
const mostBars = 130

// oneIn is which share of n points has a bar.
func oneIn(n int) int { return 1 + (n-1)/mostBars }

// thinned leaves of many uncertainties every so manieth.
func thinned(u []float64) []float64 {
	k := oneIn(len(u))
	out := slices.Clone(u)
	for i := range out {
		if i%k > 0 {
			out[i] = math.NaN()
		}
	}
	return out
}

// column gives one number of every reading.
func column(l *wire.Readings, of func(wire.ReadingBeside) wire.Number) (out []float64) {
	if l == nil {
		return nil
	}
	for _, r := range l.Rows {
		out = append(out, float64(of(r)))
	}
	return out
}

// rings marks readings in a panel; those that stand apart are filled.
func rings(p *panel, l *wire.Readings, of func(wire.ReadingBeside) wire.Number) {
	if l == nil {
		return
	}
	for _, r := range l.Rows {
		x, y := p.px(float64(r.T)), p.py(float64(of(r)))
		if math.IsNaN(x+y) || x < p.left-1 || x > p.right+1 {
			continue
		}
		class := "ring"
		if r.Odd {
			class = "odd"
		}
		p.disc(class, x, y, 5)
	}
}

// toRims widens x0 to x1, s, to the rims of the display if they lie near.
func toRims(d *wire.Document, x0, x1 float64) (float64, float64) {
	near := 0.03 * (x1 - x0)
	if x0 > 0 && x0 < near {
		x0 = 0
	}
	if g := d.Graticule; g != nil && d.Settings.TimePerBox.Known() {
		if right := float64(g.Columns) * float64(d.Settings.TimePerBox); right > x1 && right < x1+near {
			x1 = right
		}
	}
	return x0, x1
}

// residuals gives those of the fits of a trace.
func residuals(d *wire.Document, trace string) (offs, at []float64) {
	for _, f := range d.Fits {
		if f.Trace == trace {
			offs, at = append(offs, f.Off...), append(at, f.AtT...)
		}
	}
	return offs, at
}

// sigmasAt looks up the standard uncertainty of the points at the times at; NaN where none lies there.
func sigmasAt(tr *wire.Trace, at []float64) []float64 {
	known := make(map[float64]float64, len(tr.T))
	for i, t := range tr.T {
		if i < len(tr.U) {
			known[t] = tr.U[i]
		}
	}
	out := make([]float64, len(at))
	for i, t := range at {
		u, ok := known[t]
		if !ok {
			u = math.NaN()
		}
		out[i] = u
	}
	return out
}

// logFigure has ln(|V − V∞| / 1 V) against t with its straight lines; nil if there is none.
func logFigure(d *wire.Document) *svg {
	var ts, lows, highs []float64
	for _, l := range d.LogLines {
		for i := range l.T {
			u := 0.0
			if i < len(l.U) && !math.IsNaN(l.U[i]) {
				u = l.U[i]
			}
			ts, lows, highs = append(ts, l.T[i]), append(lows, l.LnV[i]-u), append(highs, l.LnV[i]+u)
		}
	}
	x0, x1, okX := span(ts)
	y0, y1, okY := span(lows, highs)
	if !okX || !okY || x0 == x1 {
		return nil
	}
	s := &svg{w: figureWidth, h: topRoom + 270 + lowRoom}
	p := &panel{svg: s, left: leftRoom, top: topRoom, right: figureWidth - rightRoom, bottom: topRoom + 270}
	p.x0, p.x1 = padded(x0, x1, 0.03)
	p.y0, p.y1 = padded(y0, y1, 0.05)
	time, volts := lineIn(d, d.LogLines[0])
	p.upright("ln(|V − V∞| / 1 "+volts+")", "1")
	p.level("time", time, true)
	p.rim()
	for _, l := range d.LogLines {
		p.path("bars", 1, bars(l.T, l.LnV, thinned(l.U), p.px, p.py))
		p.path("dots", 3, specks(l.T, l.LnV, p.px, p.py))
		if lo, hi, ok := span(l.T); ok && l.Slope.Known() && l.Intercept.Known() {
			at := func(t float64) float64 { return float64(l.Intercept) + float64(l.Slope)*t }
			p.line("fit", 1.8, p.px(lo), p.py(at(lo)), p.px(hi), p.py(at(hi)))
		}
	}
	return s
}

// paperBox is the side of a square of 10 mm in figure units, so that a unit is as long in print whatever a square is,
// and the letters as high.
const paperBox = 38.0 // with the point: half a square of room is no whole number of squares

// finest is how far the fine lines stand apart at least, in figure units: 0.8 mm.
const finest = 3

// paperLeft and paperRight are the room beside the paper for the numbers of its lines and for the names of ground
// lines, in figure units.
const (
	paperLeft  = 52
	paperRight = 36
)

// paperFigure has the display to scale on squared paper, one box a square, seconds and volts along it if they are
// known, with all traces in their own colours and the ground line; nil without a graticule.
func paperFigure(d *wire.Document, print Print) *svg {
	g := d.Graticule
	if g == nil || g.Columns <= 0 || g.Rows <= 0 {
		return nil
	}
	halfX, halfY := float64(g.Columns)/2, float64(g.Rows)/2
	box := print.paperScale(g) / paperSquare * paperBox
	s := &svg{w: float64(g.Columns)*box + paperLeft + paperRight, h: float64(g.Rows)*box + topRoom + lowRoom}
	p := &panel{svg: s, left: paperLeft, top: topRoom, right: s.w - paperRight, bottom: s.h - lowRoom, x0: -halfX, x1: halfX, y0: -halfY, y1: halfY}
	across, up := paperScales(d)
	fine, squares := fmt.Sprintf("M%[1]s %[2]sV%[3]s", coordinate(p.right), coordinate(p.top), coordinate(p.bottom)), ""
	numbered := math.Inf(-1) // the place of the last number
	for _, l := range paperLines(halfX, g.LinesX == "centred") {
		line := "M" + coordinate(p.px(l.at)) + " " + coordinate(p.top) + "V" + coordinate(p.bottom)
		if l.whole {
			squares += line
			if math.Abs(p.px(l.at)-numbered) >= 3*letter-2 && !across.scaled { // a number of boxes has four signs at most
				p.text(p.px(l.at), p.bottom+letter+5, "middle", short(l.at))
				numbered = p.px(l.at)
			}
		} else {
			fine += line
		}
	}
	numbered = math.Inf(-1)
	for _, l := range paperLines(halfY, false) {
		line := "M" + coordinate(p.left) + " " + coordinate(p.py(l.at)) + "H" + coordinate(p.right)
		if l.whole {
			squares += line
			if math.Abs(p.py(l.at)-numbered) >= letter+2 && !up.scaled {
				p.text(p.left-5, p.py(l.at)+0.35*letter, "end", short(l.at))
				numbered = p.py(l.at)
			}
		} else {
			fine += line
		}
	}
	if box/5 >= finest {
		p.path("fine", 0.7, fine)
	}
	p.path("grid", 1.2, squares)
	across.level(p)
	up.upright(p)
	ground := math.Inf(1)
	zero := func(v float64, name string) {
		if v >= -halfY && v <= halfY {
			if math.Abs(p.py(v)-ground) < letter { // two ground lines at one place have one name
				name = ""
			}
			ground = p.py(v)
			p.path("zero", 1.4, "M"+coordinate(p.left)+" "+coordinate(p.py(v))+"H"+coordinate(p.right))
			p.text(p.right+4, p.py(v)+0.35*letter, "start", name)
		}
	}
	if !several(d) {
		zero(float64(d.Settings.GroundBox), "0 V")
	} else {
		for _, t := range chosen(d) {
			if t.Settings != nil {
				zero(float64(t.Settings.GroundBox), "0 V "+t.Name)
			}
		}
	}
	for _, t := range d.Traces {
		t = inFrame(t, halfX, halfY)
		line := curve(t.X, t.Y, p.px, p.py)
		p.path("case", 3.4, line)
		s.own(t.Colour, 2, line)
		if x, y, ok := lastSeen(t); ok && len(d.Traces) > 1 {
			at := min(max(p.py(y)-6, p.top+letter), p.bottom-4)
			if math.Abs(at-ground) < letter+2 { // above the ground line's own name
				at = ground - letter + 2
			}
			p.text(max(min(p.px(x), p.right)+4, p.left+4), at, "start", t.Name)
		}
	}
	return s
}

// A paperLine is a line of the paper, in boxes from the centre; whole ones part the squares, the
// others fifths of them.
type paperLine struct {
	at    float64
	whole bool
}

// paperLines counts from the rim at -half, or from the centre.
func paperLines(half float64, centred bool) []paperLine {
	from := -half
	if centred {
		from = 0
	}
	var out []paperLine
	for k := int(math.Ceil(5*(-half-from) - 1e-9)); from+float64(k)/5 <= half+1e-9; k++ {
		out = append(out, paperLine{from + float64(k)/5, k%5 == 0})
	}
	return out
}

// inFrame hides what the trace does more than half a box outside the frame: a trace may run a little
// over the rim, but not over the numbers.
func inFrame(t wire.Trace, halfX, halfY float64) wire.Trace {
	const over = 0.5
	y := make(wire.Numbers, min(len(t.X), len(t.Y)))
	for i := range y {
		y[i] = t.Y[i]
		if math.Abs(t.X[i]) > halfX+over || math.Abs(y[i]) > halfY+over {
			y[i] = math.NaN()
		}
	}
	t.X, t.Y = t.X[:len(y)], y
	return t
}

func lastSeen(t wire.Trace) (x, y float64, ok bool) { return lastOf(t.X, t.Y) }

func lastOf(t, v wire.Numbers) (x, y float64, ok bool) {
	for i := min(len(t), len(v)) - 1; i >= 0; i-- {
		if !math.IsNaN(v[i]) {
			return t[i], v[i], true
		}
	}
	return 0, 0, false
}

// tauFigure has the values of τ of one trace by each method, with their U, on one scale; nil for fewer than two.
func tauFigure(taus []wire.Result) *svg { return sideBySide("τ", taus) }

// sideBySide has values of one quantity, with their U, on one scale; nil for fewer than two.
func sideBySide(name string, taus []wire.Result) *svg {
	if len(taus) < 2 {
		return nil
	}
	lo, hi := common(taus)
	const row = 44
	s := &svg{w: figureWidth, h: float64(len(taus))*row + lowRoom + 8}
	p := &panel{svg: s, left: 12, top: 4, right: figureWidth - rightRoom, bottom: 4 + float64(len(taus))*row}
	p.x0, p.x1 = padded(lo, hi, 0.06)
	p.level(name, taus[0].Unit, true)
	p.line("axis", 1.2, p.left, p.bottom, p.right, p.bottom)
	for i, r := range taus {
		y := p.top + float64(i)*row + 31
		p.text(p.left, y-15, "start", way(r)+": "+measured(r.Value, r.U, r.Unit))
		a, v, b := p.px(float64(r.Value)-reach(r)), p.px(float64(r.Value)), p.px(float64(r.Value)+reach(r))
		p.path("bars", 1.6, "M"+coordinate(max(a, p.left))+" "+coordinate(y)+"H"+coordinate(min(b, p.right)))
		// An end is a tick, or an arrow where the bar goes on.
		for _, end := range []struct{ x, back float64 }{{a, 5}, {b, -5}} {
			if x := min(max(end.x, p.left), p.right); x == end.x {
				p.path("bars", 1.6, "M"+coordinate(x)+" "+coordinate(y-5)+"v10")
			} else {
				p.path("bars", 1.6, "M"+coordinate(x+end.back)+" "+coordinate(y-5)+"L"+coordinate(x)+" "+coordinate(y)+"L"+coordinate(x+end.back)+" "+coordinate(y+5))
			}
		}
		s.disc("value", v, y, 4)
	}
	return s
}
