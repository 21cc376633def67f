package synth

import (
	"math"
	"strings"
)

// What lies over the grid of a panel or beside it: boxes of words, menus, the overview of a record.

// A Panel is words over the grid, from (Left, Bottom) to (Right, Top) in boxes: on a ground and within a border of
// their own, as a menu's, or, if Bare, written over whatever is there.
type Panel struct {
	Left, Bottom, Right, Top float64
	Words                    []string // line by line, from the top; tabs part columns of equal width
	Bare                     bool
	OfTrace                  bool       // in the first trace's colour; otherwise in that of text
	ByTrace                  bool       // line k in the colour of trace k, and so on round
	Menu                     bool       // each word has a button of its own, and the words share the height evenly
	Borderless               bool       // a ground without a border
	Clear                    float64    // share of what lies below that is seen through the ground, 0..1
	Ground                   [3]float32 // linear light 0..1; zero means that of the panel outside the frame
	Letters                  float64    // height of the type, boxes; 0 means 0.45
}

// drawPanel writes the words of q line by line.
func (l *lcd) drawPanel(q Panel, t lettering) {
	p := int(l.perBox)
	if q.Letters > 0 {
		t = letteringOf(q.Letters * l.perBox)
	}
	column := func(x float64) int { return int(math.Round(l.centreX + x*l.perBox)) }
	i0, i1 := column(q.Left), column(q.Right)
	j0, j1 := int(math.Round(l.row(q.Top))), int(math.Round(l.row(q.Bottom)))
	ground := l.ink.bar
	if q.Ground != ([3]float32{}) && l.striped {
		ground = q.Ground
	}
	colour := func(k int) rgb {
		switch {
		case q.ByTrace:
			return l.ink.traces[k%len(l.ink.traces)]
		case q.OfTrace:
			return l.ink.traces[0]
		}
		return l.ink.text
	}
	if !q.Bare {
		l.veil(i0, j0, i1, j1, ground, q.Clear)
		if !q.Borderless {
			l.outline(i0, j0, i1, j1, colour(0))
		}
	}
	if q.Menu {
		step := (j1 - j0) / max(len(q.Words), 1)
		for k, words := range q.Words {
			y := j0 + k*step
			l.outline(i0+p/12, y+p/12, i1-p/12, y+step-p/12, mix(ground, l.ink.text, 0.5))
			l.write(t, i0+p/6, y+p/6+t.height(), words, colour(k))
		}
		return
	}
	columns := 1
	for _, words := range q.Words {
		columns = max(columns, 1+strings.Count(words, "\t"))
	}
	for k, words := range q.Words {
		for c, part := range strings.Split(words, "\t") {
			l.write(t, i0+p/8+c*(i1-i0)/columns, j0+p/8+(k+1)*(t.height()+p/10), part, colour(k))
		}
	}
}

// veil lays a ground over elements, of which the share clear is seen through.
func (l *lcd) veil(i0, j0, i1, j1 int, c rgb, clear float64) {
	if clear == 0 {
		l.fill(i0, j0, i1, j1, c)
		return
	}
	for j := max(j0, 0); j <= min(j1, l.h-1); j++ {
		for i := max(i0, 0); i <= min(i1, l.w-1); i++ {
			e := &l.pix[j*l.w+i]
			*e = mix(c, *e, float32(clear))
		}
	}
}

// outline lights the rim of a rectangle.
func (l *lcd) outline(i0, j0, i1, j1 int, c rgb) {
	l.fill(i0, j0, i1, j0, c)
	l.fill(i0, j1, i1, j1, c)
	l.fill(i0, j0, i0, j1, c)
	l.fill(i1, j0, i1, j1, c)
}

// The strip of the overview: its rims above the frame in boxes, and how many frames' widths of the record it shows.
const (
	overviewLow   = 0.45
	overviewHigh  = 1.15
	overviewWhole = 8
)

// drawOverview draws the record round the frame's part of it, small, in a strip above the frame.
func (l *lcd) drawOverview(s Scene) {
	f := s.Display.Frame
	l.fill(l.frameL, l.frameT-int(overviewHigh*l.perBox), l.frameR, l.frameT-int(overviewLow*l.perBox), l.ink.field)
	l.outline(l.frameL, l.frameT-int(overviewHigh*l.perBox), l.frameR, l.frameT-int(overviewLow*l.perBox), l.ink.grid)
	middle := (overviewLow + overviewHigh) / 2 * l.perBox
	scale := (overviewHigh - overviewLow) / float64(f.Rows) * l.perBox
	last := 0
	for i := l.frameL; i <= l.frameR; i++ {
		x := (float64(i) - l.centreX) / l.perBox
		y := s.Signals[0].box((x*overviewWhole - f.Left()) * s.TimePerBox)
		j := l.frameT - int(math.Round(middle+scale*min(max(y, f.Bottom()), -f.Bottom())))
		if i == l.frameL {
			last = j
		}
		l.fill(i, min(j, last), i, max(j, last), l.ink.traces[0])
		last = j
	}
	half := (l.frameR - l.frameL) / overviewWhole / 2 // what the frame shows stands between two brackets
	for _, i := range []int{int(l.centreX) - half, int(l.centreX) + half} {
		l.fill(i, l.frameT-int(overviewHigh*l.perBox), i, l.frameT-int(overviewLow*l.perBox), l.ink.text)
	}
}
