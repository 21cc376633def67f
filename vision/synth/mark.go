package synth

import (
	"math"
	"strconv"

	"quadrille/vision/geom"
)

// Marks at the rims of a panel: of a channel's ground at the left, of the trigger's level at the right,
// of its moment at the top. Their places follow from the scene alone, so that what is drawn and what the
// truth tells are one list, pointersOf. Elements count from the frame's centre, right and down.

// A MarkForm is how a mark looks.
type MarkForm int

// The forms of mark.
const (
	MarkFlag        MarkForm = iota // filled, with a point, without a sign; the trigger's are triangles
	MarkPointer                     // filled, with a point, its sign in it in the colour of the field
	MarkOutline                     // the same, only its outline and the sign
	MarkSignPointer                 // the sign, and a small triangle between it and the rim
	MarkSignArrow                   // the sign, and a small arrow between it and the rim
	MarkArrow                       // a small arrow alone
	MarkEarth                       // the sign, and beside it three bars on a post, as earth is drawn in circuits
)

var markNames = [...]string{"flag", "pointer", "outline", "sign and pointer", "sign and arrow", "arrow", "earth"}

func (f MarkForm) String() string { return markNames[f] }

// A ChannelMark shows where a trace has its zero. The zero value is a flag in the trace's colour, left of the rim.
type ChannelMark struct {
	Form   MarkForm
	White  bool    // in the colour of the panel's text and not in the trace's
	Inside float64 // how far its point reaches into the frame, boxes
}

// A Trigger is how the panel shows level and moment of the trigger. The zero value is a small triangle
// beyond the right rim, half-way up the first signal, and one above the middle of the frame.
type Trigger struct {
	Form     MarkForm
	Inside   float64 // how far the points reach into the frame, boxes
	Own      bool    // the mark of the level in a colour of its own and not in the trace's
	Position float64 // of the moment's mark, boxes right of the centre
	Line     Pattern // a level line through the frame at the trigger's level
}

// A Mark is one sign at a rim, as the truth tells it.
type Mark struct {
	What   string     `json:"what"`            // "ground", "trigger level" or "trigger moment"
	Trace  string     `json:"trace,omitempty"` // of a ground, whose it is
	Form   string     `json:"form"`
	AtBox  float64    `json:"at_box"`           // height that it shows, of the moment x; for one off the screen the rim
	Points string     `json:"points"`           // "right", "left", "down" or "up"; a ground off the screen is down or up
	White  bool       `json:"white,omitempty"`  // not in the colour of its trace
	InBox  [4]float64 `json:"in_box"`           // what it takes up: left, bottom, right, top
	Hidden bool       `json:"hidden,omitempty"` // its point or most of it lies under a panel, or under a later mark
}

// A side is where a pointer's point is.
type side int

const (
	right side = iota
	left
	down
	up
)

var sideNames = [...]string{"right", "left", "down", "up"}

// A pointer is a mark with its place.
type pointer struct {
	Mark
	form       MarkForm
	triangle   int    // its length in elements if it is a mere triangle; 0 if not
	sign       string // "" for none
	towards    side
	tipI, tipJ int // where its point is, elements from the frame's centre
	colour     rgb
}

// lettering of the signs in marks, a little smaller than that of words.
func markLettering(perBox int) lettering { return letteringOf(0.4 * float64(perBox)) }

// groundSide says where a ground line lies.
func groundSide(box float64, f geom.Frame) string {
	switch {
	case box < f.Bottom():
		return "below"
	case box > -f.Bottom():
		return "above"
	}
	return "on the screen"
}

// pointersOf lists the marks of a panel in the order of drawing; none of a tube or a blank panel.
func pointersOf(s Scene) (list []pointer) {
	d, f := s.Display, s.Display.Frame
	if d.Kind == Tube || d.Blank || s.Against {
		return nil
	}
	ink := s.inks()
	p, halfX, halfY := d.PixelsPerBox, d.Frame.Cols*d.PixelsPerBox/2, d.Frame.Rows*d.PixelsPerBox/2
	centre := math.Round(d.Margins[2]*float64(p)) + float64(halfY) // halves are rounded as by lcd.row
	row := func(y float64) int { return int(math.Round(centre-y*float64(p)) - centre) }
	inside := func(boxes float64) int { return int(math.Round(boxes * float64(p))) }
	for i, sig := range s.Signals {
		q := pointer{form: sig.Mark.Form, sign: strconv.Itoa(sig.channel(i)), colour: ink.traces[i],
			tipI: -halfX - 2 + inside(sig.Mark.Inside)}
		q.Mark = Mark{What: "ground", Trace: traceName(i), AtBox: sig.GroundBox, White: sig.Mark.White}
		if sig.Mark.White {
			q.colour = ink.text
		}
		q.tipJ = row(sig.GroundBox)
		if side := groundSide(sig.GroundBox, f); side != "on the screen" && sig.Mark.Form != MarkFlag {
			// It stands at the rim, its point on it.
			q.AtBox, q.towards, q.tipJ = f.Bottom(), down, halfY
			if side == "above" {
				q.AtBox, q.towards, q.tipJ = -f.Bottom(), up, -halfY
			}
			w, _ := q.size(p)
			q.tipI -= w / 2
		}
		list = append(list, q)
	}
	first := s.Signals[0]
	t := d.Trigger
	moment := pointer{form: t.Form, sign: "T", towards: down, colour: ink.mark,
		tipI: inside(t.Position), tipJ: -halfY - 2 + inside(t.Inside)}
	moment.Mark = Mark{What: "trigger moment", AtBox: t.Position, White: true}
	level := pointer{form: t.Form, sign: "T", towards: left, colour: ink.traces[0],
		tipI: halfX + 2 - inside(t.Inside), tipJ: row(first.triggerBox())}
	level.Mark = Mark{What: "trigger level", AtBox: first.triggerBox(), White: t.Own}
	if t.Own {
		level.colour = ink.mark
	}
	if t.Form == MarkFlag {
		moment.triangle, level.triangle = p/8, max(2, p/10)
	}
	list = append(list, moment, level)
	for k := range list {
		q := &list[k]
		q.Form, q.Points = q.form.String(), sideNames[q.towards]
		i0, j0, i1, j1 := q.extent(p)
		box := func(elements float64) float64 { return elements / float64(p) }
		q.InBox = [4]float64{box(float64(i0) - 0.5), -box(float64(j1) + 0.5), box(float64(i1) + 0.5), -box(float64(j0) - 0.5)}
	}
	return list
}

// coveredMark is the share of a mark's rectangle from which on it counts as hidden: a third of a digit is
// still a digit, two thirds are none (TestBoxesLeaveTheMainTrace).
const coveredMark = 0.4

// marksOf gives the marks that lie at least partly on the panel.
func marksOf(s Scene) (marks []Mark) {
	d, f := s.Display, s.Display.Frame
	m := d.Margins
	panel := [4]float64{f.Left() - m[0], f.Bottom() - m[3], m[1] - f.Left(), m[2] - f.Bottom()}
	for _, q := range pointersOf(s) {
		if coveredShare(q.InBox, panel) == 0 {
			continue
		}
		for _, over := range d.Panels {
			in := [4]float64{over.Left, over.Bottom, over.Right, over.Top}
			x, y := float64(q.tipI)/float64(d.PixelsPerBox), -float64(q.tipJ)/float64(d.PixelsPerBox)
			point := x > in[0] && x < in[2] && y > in[1] && y < in[3]
			if over.Clear == 0 && !over.Bare && (point || coveredShare(q.InBox, in) > coveredMark) {
				q.Hidden = true
			}
		}
		for k := range marks {
			marks[k].Hidden = marks[k].Hidden || coveredShare(marks[k].InBox, q.InBox) > coveredMark
		}
		marks = append(marks, q.Mark)
	}
	return marks
}

// coveredShare is the share of rectangle a, left, bottom, right, top, that b covers.
func coveredShare(a, b [4]float64) float64 {
	return overlap(a[0], a[2], b[0], b[2]) * overlap(a[1], a[3], b[1], b[3]) / ((a[2] - a[0]) * (a[3] - a[1]))
}

// triggerBox is the height of the trigger's level: half-way up the signal.
func (s Signal) triggerBox() float64 { return s.GroundBox + (s.VStart+s.VEnd)/2/s.voltsPerBox() }

// channel is the number of the input that trace i shows.
func (s Signal) channel(i int) int {
	if s.Channel == 0 {
		return i + 1
	}
	return s.Channel
}

// earthArm is the length of the arm of a sign of earth, from the rim to its post, in elements.
func earthArm(p int) int { return p / 5 }

// flagHalf is half the height of a flag in elements, less its middle row.
func flagHalf(p int) int { return max(2, p/10) }

// size gives width and height of a pointer in elements, as it stands.
func (q *pointer) size(p int) (w, h int) {
	t := markLettering(p)
	tw, th := t.width(q.sign), t.height()
	upright := q.towards == down || q.towards == up
	if q.triangle > 0 {
		if w, h = q.triangle, 2*q.triangle-1; upright {
			w, h = h, w
		}
		return w, h
	}
	switch q.form {
	case MarkFlag:
		return p/3 + 1, 2*flagHalf(p) + 1
	case MarkPointer, MarkOutline:
		w, h = tw+4, th+4
		if upright {
			return w, h + w/2
		}
		return w + h/2, h
	case MarkArrow:
		tw, th = 0, 0
	}
	if q.form == MarkEarth && !upright {
		return earthArm(p) + p/8 + 2 + tw, max(th, p/2)
	}
	across := max(p/4, 2*(p/5)) // of the heads
	if upright {
		return max(tw, across), th + 2 + p/4
	}
	return tw + 2 + p/4, max(th, across)
}

// extent is the smallest rectangle round a pointer, both ends included.
func (q *pointer) extent(p int) (i0, j0, i1, j1 int) {
	w, h := q.size(p)
	switch q.towards {
	case right:
		return q.tipI - w + 1, q.tipJ - h/2, q.tipI, q.tipJ + h/2
	case left:
		return q.tipI, q.tipJ - h/2, q.tipI + w - 1, q.tipJ + h/2
	case down:
		return q.tipI - w/2, q.tipJ - h + 1, q.tipI + w/2, q.tipJ
	}
	return q.tipI - w/2, q.tipJ, q.tipI + w/2, q.tipJ + h - 1
}

// along gives the element u behind a pointer's point and v across.
func (q *pointer) along(u, v int) (i, j int) {
	switch q.towards {
	case right:
		return q.tipI - u, q.tipJ + v
	case left:
		return q.tipI + u, q.tipJ + v
	case down:
		return q.tipI + v, q.tipJ - u
	}
	return q.tipI + v, q.tipJ + u
}

// drawPointer lights a mark.
func (l *lcd) drawPointer(q pointer) {
	p := int(l.perBox)
	ci, cj := int(l.centreX), int(l.centreY)
	bar := func(u, half int, c rgb) { // across the pointer's axis
		i0, j0 := q.along(u, -half)
		i1, j1 := q.along(u, half)
		l.fill(ci+min(i0, i1), cj+min(j0, j1), ci+max(i0, i1), cj+max(j0, j1), c)
	}
	if q.triangle > 0 {
		for u := range q.triangle {
			bar(u, u, q.colour)
		}
		return
	}
	t := markLettering(p)
	tw, th := t.width(q.sign), t.height()
	upright := q.towards == down || q.towards == up
	sign := func(u int, c rgb) { // centred u behind the point
		i, j := q.along(u, 0)
		l.write(t, ci+i-tw/2, cj+j+th/2, q.sign, c)
	}
	switch q.form {
	case MarkFlag:
		half := flagHalf(p)
		for u := range p/3 + 1 {
			bar(u, min(u, half), q.colour)
		}
	case MarkPointer, MarkOutline:
		long, high := tw+4, th+4
		if upright {
			long, high = high, long
		}
		fill := func(less int, c rgb) {
			for u := less + less/2; u < long+high/2-less; u++ {
				bar(u, min(u, high/2)-less, c)
			}
		}
		if fill(0, q.colour); q.form == MarkOutline {
			fill(1, l.ink.bar)
			sign(high/2+long/2-1, q.colour)
		} else {
			sign(high/2+long/2-1, l.ink.field)
		}
	case MarkEarth:
		if upright { // an earth points nowhere
			q.form = MarkSignArrow
			l.drawPointer(q)
			return
		}
		// The arm from the rim to the post is the ground's line; the bars hang below it.
		i, j := q.along(earthArm(p), 0)
		l.fill(ci+min(i, q.tipI), cj+j, ci+max(i, q.tipI), cj+j, q.colour)
		l.fill(ci+i, cj+j, ci+i, cj+j+p/12, q.colour)
		for k, half := range []int{p / 8, p / 12, p / 24} {
			l.fill(ci+i-half, cj+j+p/12+k*max(p/16, 2), ci+i+half, cj+j+p/12+k*max(p/16, 2), q.colour)
		}
		sign(earthArm(p)+p/8+2+tw/2, q.colour)
	default:
		head := p / 8
		if q.form == MarkSignPointer {
			head = p / 5
		}
		for u := range head {
			bar(u, u, q.colour)
		}
		if q.form != MarkSignPointer {
			for u := head; u < p/4; u++ {
				bar(u, max(p/40, 0), q.colour)
			}
		}
		if q.form != MarkArrow {
			half := tw / 2
			if upright {
				half = th / 2
			}
			sign(p/4+2+half, q.colour)
		}
	}
}
