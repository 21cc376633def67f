package synth

import "math"

// A Pattern is how a line over the grid is drawn.
type Pattern int

// The patterns.
const (
	NoLine Pattern = iota
	Unbroken
	Dashes
	Points
	DashPoints
)

// lit says whether element k of a line is lit on a panel of p elements to a box.
func (q Pattern) lit(k, p int) bool {
	dash := max(p/8, 2)
	switch q {
	case Unbroken:
		return true
	case Dashes:
		return k/dash%2 == 0
	case Points:
		return k%max(p/12, 2) == 0
	case DashPoints:
		k %= 3 * dash
		return k < 3*dash/2 || k/2 == 9*dash/8
	}
	return false
}

// A Cursor is one line from rim to rim of a panel that measures, most often one of a pair.
type Cursor struct {
	Upright bool
	At      float64 // boxes from the centre, right or up
	Line    Pattern
	Wide    int        // thickness in elements; 0 means 1
	Colour  [3]float32 // on a colour panel, linear light 0..1; zero means that of the trigger's marks
	Label   string     // beside its top or its right end; "" for none
	Boxed   bool       // the label on a ground of its own
	Arrows  bool       // a small point at each end, inside the frame
}

// An Other is what a display shows over its grid that is neither trace nor mark.
type Other struct {
	What  string     `json:"what"`   // "cursor", "trigger line", "helper line", "box", "menu", "table" or "overview"
	InBox [4]float64 `json:"in_box"` // left, bottom, right and top; of a line, its two ends
}

// drawCursor lights a cursor with its label.
func (l *lcd) drawCursor(c Cursor) {
	p := int(l.perBox)
	colour := l.ink.mark
	if c.Colour != ([3]float32{}) && l.striped {
		colour = c.Colour
	}
	wide := max(c.Wide, 1)
	x := int(math.Round(l.centreX+c.At*l.perBox)) - wide/2
	y := int(math.Round(l.row(c.At))) - wide/2
	t := letteringOf(0.4 * l.perBox)
	li, lj := x+wide+p/10, l.frameT+p/6+t.height()
	if c.Upright {
		l.strokeUp(x, wide, c.Line, colour)
	} else {
		l.strokeAcross(y, wide, c.Line, colour)
		li, lj = l.frameR-t.width(c.Label)-p/4, y-p/10
	}
	if c.Arrows {
		for u := range p / 8 {
			if c.Upright {
				l.fill(x-u, l.frameT+p/8-u, x+wide-1+u, l.frameT+p/8-u, colour)
				l.fill(x-u, l.frameB-p/8+u, x+wide-1+u, l.frameB-p/8+u, colour)
			} else {
				l.fill(l.frameL+p/8-u, y-u, l.frameL+p/8-u, y+wide-1+u, colour)
				l.fill(l.frameR-p/8+u, y-u, l.frameR-p/8+u, y+wide-1+u, colour)
			}
		}
	}
	if c.Label == "" {
		return
	}
	if c.Boxed {
		l.fill(li-2, lj-t.height()-1, li+t.width(c.Label)+1, lj+3, colour)
		l.write(t, li, lj, c.Label, l.ink.field)
		return
	}
	l.write(t, li, lj, c.Label, colour)
}

// strokeUp and strokeAcross light a line from rim to rim, from column or row at on.
func (l *lcd) strokeUp(at, wide int, q Pattern, c rgb) {
	for j := l.frameT; j <= l.frameB; j++ {
		if q.lit(j-l.frameT, int(l.perBox)) {
			l.fill(at, j, at+wide-1, j, c)
		}
	}
}

func (l *lcd) strokeAcross(at, wide int, q Pattern, c rgb) {
	for i := l.frameL; i <= l.frameR; i++ {
		if q.lit(i-l.frameL, int(l.perBox)) {
			l.fill(i, at, i, at+wide-1, c)
		}
	}
}

// helperShares are where helper lines stand: shares of the frame's width.
var helperShares = [2]float64{0.25, 0.625}

// othersOf lists what a panel shows that is neither trace nor mark.
func othersOf(s Scene) (list []Other) {
	d := s.Display
	if d.Blank {
		return nil
	}
	if d.Kind == Tube { // which has no more than these
		d = Display{Frame: d.Frame, Cursors: d.Cursors, Panels: d.Panels}
	}
	l, b := d.Frame.Left(), d.Frame.Bottom()
	add := func(what string, left, bottom, right, top float64) {
		list = append(list, Other{what, [4]float64{left, bottom, right, top}})
	}
	if d.Helpers {
		for _, share := range helperShares {
			x := l * (1 - 2*share)
			add("helper line", x, b, x, -b)
		}
	}
	if y := s.Signals[0].triggerBox(); d.Trigger.Line != NoLine {
		add("trigger line", l, y, -l, y)
	}
	for _, c := range d.Cursors {
		if c.Upright {
			add("cursor", c.At, b, c.At, -b)
		} else {
			add("cursor", l, c.At, -l, c.At)
		}
	}
	if d.Table {
		add("table", l, -b-tableRows, -l, -b)
	}
	if d.Menu {
		add("menu", -l-menuColumns, b, -l, -b)
	}
	if d.Overview {
		add("overview", l, overviewLow-b, -l, overviewHigh-b)
	}
	for _, q := range d.Panels {
		what := "box"
		if q.Menu {
			what = "menu"
		}
		add(what, q.Left, q.Bottom, q.Right, q.Top)
	}
	return list
}
