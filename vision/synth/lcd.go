package synth

import (
	"math"
	"math/rand/v2"
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

// Margins of the panel round the frame, in boxes.
const (
	marginX    = 0.55
	marginTop  = 0.75
	marginLow  = 0.95
	traceTimes = 6 // samples of the record to a column of the panel, as a deep record has them
)

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
	return palette{field: field, grid: mix(field, rgb{0.62, 0.68, 0.72}, g), text: rgb{0.62, 0.66, 0.64}, bar: rgb{0.03, 0.035, 0.045},
		mark: rgb{0.85, 0.30, 0.10}, traces: tracePalette}
}

func mix(a, b rgb, t float32) rgb {
	for i := range a {
		a[i] += t * (b[i] - a[i])
	}
	return a
}

func newLCD(s Scene) *lcd {
	d := s.Display
	p := d.PixelsPerBox
	left, top, low := even(marginX*float64(p)), even(marginTop*float64(p)), even(marginLow*float64(p))
	cols, rows := d.Frame.Cols*p, d.Frame.Rows*p
	l := &lcd{w: cols + 1 + 2*left, h: rows + 1 + top + low, perBox: float64(p),
		frameL: left, frameR: left + cols, frameT: top, frameB: top + rows, ink: paletteOf(d)}
	l.centreX, l.centreY = float64(left+cols/2), float64(top+rows/2)
	l.striped, l.gap = d.Kind == Colour, 0.06
	l.pix = make([]rgb, l.w*l.h)
	l.fill(0, 0, l.w-1, l.h-1, l.ink.bar)
	l.fill(l.frameL, l.frameT, l.frameR, l.frameB, l.ink.field)
	l.drawGraticule(d)
	for i, sig := range s.Signals {
		// Each trace has its own stream, so that one more trace changes none of the others.
		l.drawTrace(s, sig, l.ink.traces[i], rand.New(rand.NewPCG(s.Seed, streamTrace+uint64(i))))
	}
	l.drawWords(s)
	return l
}

func even(v float64) int { return 2 * int(math.Round(v/2)) }

// column and row give the element of a place in boxes, not rounded.
func (l *lcd) column(x float64) float64 { return l.centreX + x*l.perBox }
func (l *lcd) row(y float64) float64    { return l.centreY - y*l.perBox }

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
	var store [64][3]float64
	across := store[:0]
	for i := i0; i <= i1; i++ {
		a := (float64(i) - x) / wx
		var t [3]float64
		if l.striped {
			for k := range t {
				t[k] = tent(a+(float64(k)/3+l.gap/2)/wx, a+(float64(k+1)/3-l.gap/2)/wx) / (1 - 3*l.gap) * 3
			}
		} else {
			t[0] = tent(a+l.gap/wx, a+(1-l.gap)/wx) / (1 - 2*l.gap)
			t[1], t[2] = t[0], t[0]
		}
		across = append(across, t)
	}
	var sum [3]float64
	for j := j0; j <= j1; j++ {
		b := (float64(j) - y) / wy
		ty := tent(b+l.gap/wy, b+(1-l.gap)/wy) / (1 - 2*l.gap)
		for i, t := range across {
			c := &l.pix[j*l.w+i0+i]
			for k := range sum {
				sum[k] += ty * t[k] * float64(c[k])
			}
		}
	}
	return rgb{float32(sum[0]), float32(sum[1]), float32(sum[2])}
}

// tent is the integral of max(0, 1 − |u|) from a to b.
func tent(a, b float64) float64 { return tentTo(b) - tentTo(a) }

func tentTo(u float64) float64 {
	switch {
	case u <= -1:
		return 0
	case u <= 0:
		return (1 + u) * (1 + u) / 2
	case u < 1:
		return 1 - (1-u)*(1-u)/2
	}
	return 1
}

func overlap(a0, a1, b0, b1 float64) float64 { return max(0, min(a1, b1)-max(a0, b0)) }

// drawGraticule lights the lines of whole boxes, the rim, and the minor divisions.
func (l *lcd) drawGraticule(d Display) {
	p := d.PixelsPerBox
	minor := max(d.Minor, 1)
	lines := func(boxes int, centred bool) (at []int) { // elements from the centre
		half := boxes * p / 2
		first := -half
		if centred {
			first = -(boxes / 2) * p
			at = append(at, -half)
		}
		for k := first; k <= half; k += p {
			at = append(at, k)
		}
		if centred {
			at = append(at, half)
		}
		return at
	}
	upright, level := lines(d.Frame.Cols, d.Centred && d.Frame.Cols%2 == 1), lines(d.Frame.Rows, false)
	step := float64(p) / float64(minor)
	grid := l.ink.grid
	pen := max(1, p/50)/2*2 + 1 // odd, so that a dot is centred on its line
	dot := func(i, j int) {
		l.fill(int(l.centreX)+i-pen/2, int(l.centreY)+j-pen/2, int(l.centreX)+i+pen/2, int(l.centreY)+j+pen/2, grid)
	}
	if p < 50 {
		pen = 1
	}
	along := func(half int, put func(k int)) {
		switch d.Grid {
		case Solid:
			for k := -half; k <= half; k++ {
				put(k)
			}
		case Fine:
			for k := -half; k <= half; k += 2 + p/50 {
				put(k)
			}
		default:
			for n := -int(float64(half) / step); float64(n)*step <= float64(half)+0.5; n++ {
				put(int(math.Round(float64(n) * step)))
			}
		}
	}
	halfX, halfY := d.Frame.Cols*p/2, d.Frame.Rows*p/2
	if d.Grid != Dotted {
		pen = 1
	}
	for _, i := range upright {
		along(halfY, func(k int) { dot(i, k) })
	}
	for _, j := range level {
		along(halfX, func(k int) { dot(k, j) })
	}
	if d.MinorDots && d.Minor > 1 {
		for n := -int(float64(halfX) / step); float64(n)*step <= float64(halfX); n++ {
			for m := -int(float64(halfY) / step); float64(m)*step <= float64(halfY); m++ {
				dot(int(math.Round(float64(n)*step)), int(math.Round(float64(m)*step)))
			}
		}
	}
	l.fill(l.frameL, l.frameT, l.frameR, l.frameT, grid)
	l.fill(l.frameL, l.frameB, l.frameR, l.frameB, grid)
	l.fill(l.frameL, l.frameT, l.frameL, l.frameB, grid)
	l.fill(l.frameR, l.frameT, l.frameR, l.frameB, grid)
	if d.Minor < 2 {
		return
	}
	tick := max(2, p/14) // half length, elements
	for n := -int(float64(halfX) / step); float64(n)*step <= float64(halfX); n++ {
		i := int(l.centreX) + int(math.Round(float64(n)*step))
		l.fill(i, int(l.centreY)-tick, i, int(l.centreY)+tick, grid)
		l.fill(i, l.frameT, i, l.frameT+tick, grid)
		l.fill(i, l.frameB-tick, i, l.frameB, grid)
	}
	for m := -int(float64(halfY) / step); float64(m)*step <= float64(halfY); m++ {
		j := int(l.centreY) + int(math.Round(float64(m)*step))
		l.fill(int(l.centreX)-tick, j, int(l.centreX)+tick, j, grid)
		l.fill(l.frameL, j, l.frameL+tick, j, grid)
		l.fill(l.frameR-tick, j, l.frameR, j, grid)
	}
}

// drawTrace lights, column by column, the rows between the lowest and the highest sample of the
// record in the column, and half of the way to a neighbour that does not touch them.
func (l *lcd) drawTrace(s Scene, sig Signal, c rgb, rng *rand.Rand) {
	n := l.frameR - l.frameL + 1
	lo, hi := make([]float64, n), make([]float64, n)
	for i := range n {
		lo[i], hi[i] = math.Inf(1), math.Inf(-1)
		for k := range traceTimes {
			x := (float64(l.frameL+i) + (float64(k)+0.5)/traceTimes - 0.5 - l.centreX) / l.perBox
			t, ok := s.shownTime(x)
			if !ok {
				continue
			}
			y := sig.sample(t, rng)
			lo[i], hi[i] = min(lo[i], y), max(hi[i], y)
		}
	}
	bottom, top := append([]float64(nil), lo...), append([]float64(nil), hi...)
	for i := 1; i < n; i++ {
		if lo[i] > hi[i] || lo[i-1] > hi[i-1] {
			continue // the gap
		}
		if lo[i] > hi[i-1] {
			mid := (lo[i] + hi[i-1]) / 2
			bottom[i], top[i-1] = min(bottom[i], mid), max(top[i-1], mid)
		} else if hi[i] < lo[i-1] {
			mid := (hi[i] + lo[i-1]) / 2
			top[i], bottom[i-1] = max(top[i], mid), min(bottom[i-1], mid)
		}
	}
	half := s.Display.Stroke / 2
	for i := range n {
		if bottom[i] > top[i] {
			continue
		}
		j0, j1 := int(math.Round(l.row(top[i])))-half, int(math.Round(l.row(bottom[i])))+half
		l.fill(l.frameL+i, max(j0, l.frameT), l.frameL+i, min(j1, l.frameB), c)
	}
}
