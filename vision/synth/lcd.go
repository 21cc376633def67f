package synth

import (
	"math"
	"math/rand/v2"
	"slices"
)

type rgb [3]float32 // linear light

// A panel is the lit part of a display.
type panel interface {
	// edges gives the panel's rim in boxes.
	edges() (left, right, bottom, top float64)
	// shine gives the light of the spot, averaged over its rectangle.
	shine(s spot) rgb
}

// An lcd is a liquid-crystal panel: picture elements in rows and columns, of which those on the
// graticule's lines are centred on the lines. Element (i, j) is at pix[j*w+i], j counting down.
type lcd struct {
	w, h           int
	pix            []rgb
	perBox         float64
	centreX        float64 // column and row of the element at the frame's centre
	centreY        float64
	striped        bool    // three upright stripes, red, green and blue, to an element
	gap            float64 // dark margin round a stripe or an element, in elements
	frameL, frameR int     // columns of the frame's rims
	frameT, frameB int
	ink            palette
}

// A palette is what a panel can light.
type palette struct {
	field, grid, text, bar, mark rgb
	traces                       [4]rgb
}

// tracePalette has the colours of traces on colour panels, in linear light.
var tracePalette = [4]rgb{{0.72, 0.95, 0.10}, {0.95, 0.42, 0.08}, {0.15, 0.75, 0.95}, {0.95, 0.35, 0.75}}

// elementGap is the dark margin round each picture element or stripe, in elements: the black matrix
// takes 10 to 30 % of a panel's area (common practice, no source).
const elementGap = 0.06

func paletteOf(d Display) palette {
	g := float32(d.GridLight)
	switch d.Kind {
	case Pale:
		field, dark := rgb{0.50, 0.56, 0.44}, rgb{0.07, 0.09, 0.11}
		return palette{field: field, grid: mix(field, dark, g), text: dark, bar: field, mark: dark, traces: [4]rgb{dark, dark, dark, dark}}
	case Blue:
		field, lit := rgb{0.02, 0.05, 0.42}, rgb{0.72, 0.82, 0.95}
		return palette{field: field, grid: mix(field, lit, g), text: lit, bar: field, mark: lit, traces: [4]rgb{lit, lit, lit, lit}}
	}
	field := rgb{0.006, 0.007, 0.010} // what a dark element lets through of its lamp
	grid, bar := rgb(d.GridColour), rgb(d.BarColour)
	if grid == (rgb{}) {
		grid = rgb{0.62, 0.68, 0.72}
	}
	if bar == (rgb{}) {
		bar = rgb{0.03, 0.035, 0.045}
	}
	return palette{field: field, grid: mix(field, grid, g), text: rgb{0.62, 0.66, 0.64}, bar: bar,
		mark: rgb{0.85, 0.30, 0.10}, traces: tracePalette}
}

// inks is the palette of the display with the colours of the scene's traces.
func (s Scene) inks() palette {
	ink := paletteOf(s.Display)
	for i, sig := range s.Signals {
		if s.Display.Kind == Colour && sig.Colour != ([3]float32{}) {
			ink.traces[i] = sig.Colour
		}
	}
	return ink
}

func mix(a, b rgb, t float32) rgb {
	return rgb{a[0] + t*(b[0]-a[0]), a[1] + t*(b[1]-a[1]), a[2] + t*(b[2]-a[2])}
}

func newLCD(s Scene) *lcd {
	d := s.Display
	p := d.PixelsPerBox
	size := func(boxes float64) int { return int(math.Round(boxes * float64(p))) }
	left, right, top, low := size(d.Margins[0]), size(d.Margins[1]), size(d.Margins[2]), size(d.Margins[3])
	cols, rows := d.Frame.Cols*p, d.Frame.Rows*p
	l := &lcd{w: cols + 1 + left + right, h: rows + 1 + top + low, perBox: float64(p),
		frameL: left, frameR: left + cols, frameT: top, frameB: top + rows, ink: s.inks()}
	l.centreX, l.centreY = float64(left+cols/2), float64(top+rows/2)
	l.striped, l.gap = d.Kind == Colour, elementGap
	l.pix = make([]rgb, l.w*l.h)
	l.fill(0, 0, l.w-1, l.h-1, l.ink.bar)
	l.fill(l.frameL, l.frameT, l.frameR, l.frameB, l.ink.field)
	if d.Blank {
		return l
	}
	l.drawGraticule(d)
	if d.Helpers {
		l.drawHelpers()
	}
	if s.Against {
		l.drawAgainst(s, rand.New(rand.NewPCG(s.Seed, streamTrace)))
		l.drawWords(s)
		return l
	}
	for i, sig := range s.Signals {
		// Each trace has its own stream, so that one more trace changes none of the others.
		rng := rand.New(rand.NewPCG(s.Seed, streamTrace+uint64(i)))
		if d.Haze > 0 {
			l.drawHaze(s, sig, l.ink.traces[i], uint64(i))
		}
		l.drawTrace(s, sig, l.ink.traces[i], rng)
		if d.Graded {
			l.gradeTrace(s, sig, l.ink.traces[i], rng)
		}
	}
	if d.Trigger.Line != NoLine {
		l.strokeAcross(int(math.Round(l.row(s.Signals[0].triggerBox()))), 1, d.Trigger.Line, l.ink.traces[0])
	}
	for _, c := range d.Cursors {
		l.drawCursor(c)
	}
	if d.Overview {
		l.drawOverview(s)
	}
	l.drawWords(s)
	return l
}

// row gives the row of a height in boxes, not rounded.
func (l *lcd) row(y float64) float64 { return l.centreY - y*l.perBox }

// fill lights the elements from (i0, j0) to (i1, j1), both included, as far as they exist.
func (l *lcd) fill(i0, j0, i1, j1 int, c rgb) {
	for j := max(j0, 0); j <= min(j1, l.h-1); j++ {
		for i := max(i0, 0); i <= min(i1, l.w-1); i++ {
			l.pix[j*l.w+i] = c
		}
	}
}

func (l *lcd) edges() (left, right, bottom, top float64) {
	return -(l.centreX + 0.5) / l.perBox, (float64(l.w) - l.centreX - 0.5) / l.perBox,
		-(float64(l.h) - l.centreY - 0.5) / l.perBox, (l.centreY + 0.5) / l.perBox
}

// shine integrates the elements under the spot exactly: the pattern is constant in pieces, and the
// pixel collects light with a tent two pixels wide (a sharp lens before a square pixel). A square
// aperture alone would draw a line thinner than a pixel towards the pixel's centre; a tent keeps
// centres of light, because shifted tents add up to a straight line.
func (l *lcd) shine(s spot) rgb {
	x, y := l.centreX+0.5+s.x*l.perBox, l.centreY+0.5-s.y*l.perBox
	wx, wy := s.dx*l.perBox, s.dy*l.perBox
	i0, i1 := max(int(math.Floor(x-wx)), 0), min(int(math.Floor(x+wx)), l.w-1)
	j0, j1 := max(int(math.Floor(y-wy)), 0), min(int(math.Floor(y+wy)), l.h-1)
	// Where the parts of an element begin and end, from its left rim and from its top: stripes or the whole element.
	var begin, end [3]float64
	parts := 1
	if l.striped {
		parts = 3
		for k := range begin {
			begin[k], end[k] = (float64(k)/3+l.gap/2)/wx, (float64(k+1)/3-l.gap/2)/wx
		}
	} else {
		begin[0], end[0] = l.gap/wx, (1-l.gap)/wx
	}
	top, low := l.gap/wy, (1-l.gap)/wy
	var store [64][3]float64
	across := store[:0]
	for i := i0; i <= i1; i++ {
		a := (float64(i) - x) / wx
		var t [3]float64
		for k := range parts {
			t[k] = tent(a+begin[k], a+end[k])
			if l.striped {
				t[k] = t[k] / (1 - 3*l.gap) * 3
			}
		}
		if parts == 1 {
			t[1], t[2] = t[0], t[0]
		}
		across = append(across, t)
	}
	// On a colour panel the gaps are black, and an even field keeps the light it was drawn with. On
	// a monochrome one the gaps have no electrode and stay like the field.
	var red, green, blue, gapRed, gapGreen, gapBlue float64
	tall := 1 / (1 - 2*l.gap)
	if !l.striped {
		tall = 1
		gapRed, gapGreen, gapBlue = float64(l.ink.field[0]), float64(l.ink.field[1]), float64(l.ink.field[2])
	}
	for j := j0; j <= j1 && i0 <= i1; j++ {
		b := (float64(j) - y) / wy
		ty := tent(b+top, b+low) * tall
		row := l.pix[j*l.w+i0:][:len(across)]
		for i := range row {
			c, t := &row[i], &across[i]
			red += ty * t[0] * (float64(c[0]) - gapRed)
			green += ty * t[1] * (float64(c[1]) - gapGreen)
			blue += ty * t[2] * (float64(c[2]) - gapBlue)
		}
	}
	return rgb{float32(gapRed + red), float32(gapGreen + green), float32(gapBlue + blue)}
}

// tent is the integral of max(0, 1 − |u|) from a to b.
func tent(a, b float64) float64 { return tentTo(b) - tentTo(a) }

// tentTo has no branches, which a processor would guess wrong too often.
func tentTo(u float64) float64 {
	rest := max(1-math.Abs(u), 0)
	half := rest * rest / 2 // of the tent's area beyond u, seen from its middle
	right := 1 - math.Float64bits(u)>>63
	return tentSide[right][0] + tentSide[right][1]*half
}

// tentSide is what the left and the right side of a tent add to the half beyond a place, and its sign.
var tentSide = [2][2]float64{{0, 1}, {1, -1}}

// overlap is the length that a0..a1 and b0..b1 have in common. The built-in min and max are slower, and its branches
// go the same way for many pixels.
func overlap(a0, a1, b0, b1 float64) float64 {
	if a1 > b1 {
		a1 = b1
	}
	if a0 < b0 {
		a0 = b0
	}
	if a1 <= a0 {
		return 0
	}
	return a1 - a0
}

// drawGraticule lights the lines of whole boxes, the rim, and the minor divisions.
func (l *lcd) drawGraticule(d Display) {
	p, halfX, halfY := d.PixelsPerBox, (l.frameR-l.frameL)/2, (l.frameB-l.frameT)/2
	cx, cy := l.frameL+halfX, l.frameT+halfY
	dot := func(i, j int) { l.fill(cx+i, cy+j, cx+i, cy+j, l.ink.grid) }
	step := float64(p) / 5
	if d.Minor > 1 {
		step = float64(p) / float64(d.Minor)
	}
	along := func(half int, centred bool) []int { // where a line's dots stand, elements from the centre
		switch d.Grid {
		case Solid:
			return steps(half, 1, centred)
		case Fine:
			return steps(half, float64(p)/10, centred)
		}
		return steps(half, step, centred)
	}
	lined := d.Grid == Dotted || d.Grid == Fine || d.Grid == Solid
	if lined {
		for _, i := range steps(halfX, float64(p), d.Centred) {
			for _, k := range along(halfY, false) {
				dot(i, k)
			}
		}
		for _, j := range steps(halfY, float64(p), false) {
			for _, k := range along(halfX, d.Centred) {
				dot(k, j)
			}
		}
	}
	l.fill(l.frameL, l.frameT, l.frameR, l.frameT, l.ink.grid)
	l.fill(l.frameL, l.frameB, l.frameR, l.frameB, l.ink.grid)
	l.fill(l.frameL, l.frameT, l.frameL, l.frameB, l.ink.grid)
	l.fill(l.frameR, l.frameT, l.frameR, l.frameB, l.ink.grid)
	if !lined {
		l.drawMarks(d, step)
		return
	}
	if d.Minor < 2 {
		return
	}
	tick := max(1, p/14) // half length
	for _, i := range steps(halfX, step, d.Centred) {
		if d.MinorDots {
			for _, j := range steps(halfY, step, false) {
				dot(i, j)
			}
		}
		l.fill(cx+i, cy-tick, cx+i, cy+tick, l.ink.grid)
		l.fill(cx+i, l.frameT, cx+i, l.frameT+tick, l.ink.grid)
		l.fill(cx+i, l.frameB-tick, cx+i, l.frameB, l.ink.grid)
	}
	for _, j := range steps(halfY, step, false) {
		l.fill(cx-tick, cy+j, cx+tick, cy+j, l.ink.grid)
		l.fill(l.frameL, cy+j, l.frameL+tick, cy+j, l.ink.grid)
		l.fill(l.frameR-tick, cy+j, l.frameR, cy+j, l.ink.grid)
	}
}

// drawMarks lights what displays without lines across the field have instead. step is the distance of
// ticks in elements.
func (l *lcd) drawMarks(d Display, step float64) {
	p, halfX, halfY := d.PixelsPerBox, (l.frameR-l.frameL)/2, (l.frameB-l.frameT)/2
	cx, cy := l.frameL+halfX, l.frameT+halfY
	xs, ys := steps(halfX, float64(p), d.Centred), steps(halfY, float64(p), false)
	if d.Grid == Crosses {
		arm := max(2, p/12)
		for _, i := range xs {
			for _, j := range ys {
				l.fill(max(cx+i-arm, l.frameL), cy+j, min(cx+i+arm, l.frameR), cy+j, l.ink.grid)
				l.fill(cx+i, max(cy+j-arm, l.frameT), cx+i, min(cy+j+arm, l.frameB), l.ink.grid)
			}
		}
		return
	}
	if d.Minor < 2 {
		step = float64(p)
	}
	tick := max(2, p/14) // half length on an axis, length at a rim; of those at whole boxes twice that
	length := func(k int, boxes []int) int {
		if !d.EvenTicks && slices.Contains(boxes, k) {
			return 2 * tick
		}
		return tick
	}
	if d.Grid == Axes {
		l.fill(l.frameL, cy, l.frameR, cy, l.ink.grid)
		l.fill(cx, l.frameT, cx, l.frameB, l.ink.grid)
	}
	for _, i := range steps(halfX, step, d.Centred) {
		n := length(i, xs)
		if d.Grid == Axes {
			l.fill(cx+i, cy-n, cx+i, cy+n, l.ink.grid)
		} else {
			l.fill(cx+i, l.frameT, cx+i, l.frameT+n, l.ink.grid)
			l.fill(cx+i, l.frameB-n, cx+i, l.frameB, l.ink.grid)
		}
	}
	for _, j := range steps(halfY, step, false) {
		n := length(j, ys)
		if d.Grid == Axes {
			l.fill(cx-n, cy+j, cx+n, cy+j, l.ink.grid)
		} else {
			l.fill(l.frameL, cy+j, l.frameL+n, cy+j, l.ink.grid)
			l.fill(l.frameR-n, cy+j, l.frameR, cy+j, l.ink.grid)
		}
	}
}

// steps lists the elements nearest to marks that lie step apart within −half..half, counted from the
// rim or, if centred, from the centre.
func steps(half int, step float64, centred bool) (at []int) {
	first := -float64(half)
	if centred {
		first = -math.Floor(float64(half)/step) * step
	}
	for n := 0.0; first+n*step <= float64(half)+1e-6; n++ {
		at = append(at, int(math.Round(first+n*step)))
	}
	return at
}
