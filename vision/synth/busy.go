package synth

import (
	"fmt"
	"math/rand/v2"
	"strings"

	"quadrille/vision/geom"
)

// Busy displays, as laboratories have them: several traces of many forms, each with its mark, cursors,
// boxes of readings, menus, signs of the trigger. What is common and what is rare is common practice,
// no source; places, colours, type and wording are drawn by lot and after no instrument.

// RandomBusy draws a scene with what real displays have and Random lacks. The camera is that of Random.
// Every seed is another scene; Features says what a scene has.
func RandomBusy(seed uint64) Scene {
	rng := rand.New(rand.NewPCG(seed, streamBusy))
	s := Scene{Seed: seed}
	s.Display = busyDisplay(rng)
	busySignals(&s, rng)
	s.Camera = randomCamera(rng)
	s.Cables = rng.IntN(3)
	s.meter()
	if s.Display.Kind != Tube {
		busyMarks(&s, rng)
		busyCursors(&s, rng)
		busyPanels(&s, rng)
	} else {
		busyReadout(&s)
	}
	busyCamera(&s, rng)
	for !s.framed() {
		s.Camera.Fill *= 0.95
	}
	return s
}

// busyDisplay is randomDisplay with more colour panels, and with wide boxes, as where a part of the
// record is drawn out.
func busyDisplay(rng *rand.Rand) Display {
	d := randomDisplay(rng)
	if d.Kind != Colour && chance(rng, 0.55) {
		d.Kind = Colour
		d.GridLight = within(rng, 0.15, 0.6)
		d.Frame = oneOf(rng, geom.Frame{Cols: 10, Rows: 8}, geom.Frame{Cols: 12, Rows: 8})
		d.Centred = false
	}
	if d.Kind == Tube {
		return d
	}
	if chance(rng, 0.15) {
		d.Aspect = within(rng, 1.3, 1.9)
	}
	if chance(rng, 0.1) {
		d.Grid, d.Minor, d.GridLight = oneOf(rng, Crosses, Axes, Ticks), max(d.Minor, 2), max(d.GridLight, 0.3)
	}
	d.Scales = oneOf(rng, ScalesPlain, ScalesSpread, ScalesBoxed)
	d.Dots = chance(rng, 0.08)
	if chance(rng, 0.12) {
		d.Haze = within(rng, 0.15, 0.5)
	}
	if chance(rng, 0.06) {
		d.Overview = true
		d.Margins[2] = overviewHigh + 0.6
	}
	return d
}

// busyMarks gives the channels marks of one form, and the trigger its signs.
func busyMarks(s *Scene, rng *rand.Rand) {
	d := &s.Display
	mark := ChannelMark{Form: MarkForm(rng.IntN(len(markNames))), White: chance(rng, 0.15)}
	if chance(rng, 0.25) {
		mark.Inside = within(rng, 0.1, 0.4)
	}
	for _, sig := range s.Signals {
		if mark.Form == MarkFlag && groundSide(sig.GroundBox, d.Frame) != "on the screen" {
			mark.Form = MarkPointer // a flag cannot point down
		}
	}
	for i := range s.Signals {
		s.Signals[i].Mark = mark
	}
	q := pointer{form: mark.Form, sign: "1"}
	w, _ := q.size(d.PixelsPerBox)
	d.Margins[0] = max(d.Margins[0], float64(w+4)/float64(d.PixelsPerBox)-mark.Inside+within(rng, 0.02, 0.3))
	d.Trigger = Trigger{Form: oneOf(rng, MarkFlag, MarkFlag, MarkArrow, MarkPointer, MarkSignArrow), Own: chance(rng, 0.4)}
	if chance(rng, 0.4) {
		d.Trigger.Inside = within(rng, 0.1, 0.3)
	}
	if chance(rng, 0.4) {
		d.Trigger.Position = within(rng, 0.9, -0.9) * d.Frame.Left()
	}
	if chance(rng, 0.12) {
		d.Trigger.Line = oneOf(rng, Dashes, Points, DashPoints)
	}
	d.Margins[1] = max(d.Margins[1], 0.25)
	d.Margins[2] = max(d.Margins[2], 0.35)
}

// busyCursors draws one pair of cursors, or one upright and one level.
func busyCursors(s *Scene, rng *rand.Rand) {
	if !chance(rng, 0.25) {
		return
	}
	d := &s.Display
	c := Cursor{Line: oneOf(rng, Unbroken, Dashes, Dashes, Points, DashPoints), Wide: oneOf(rng, 1, 1, d.Stroke),
		Arrows: chance(rng, 0.25), Boxed: chance(rng, 0.4),
		Colour: oneOf(rng, [3]float32{}, [3]float32{0.8, 0.8, 0.8}, s.inks().traces[0],
			[3]float32{0.9, 0.5, 0.05}, [3]float32{0.1, 0.7, 0.8})}
	half := [2]float64{-d.Frame.Bottom(), -d.Frame.Left()} // of level and of upright ones
	pair := func(upright bool) {
		c.Upright = upright
		reach := half[0]
		if upright {
			reach = half[1]
		}
		labels := oneOf(rng, [2]string{}, [2]string{"A", "B"}, [2]string{"1", "2"},
			[2]string{withPrefix(rng.NormFloat64()*s.TimePerBox, "s"), withPrefix(rng.NormFloat64(), "V")})
		first := within(rng, -0.9, 0.3) * reach
		for k, at := range [2]float64{first, first + within(rng, 0.15, 0.6)*reach} {
			c.At, c.Label = at, labels[k]
			d.Cursors = append(d.Cursors, c)
		}
	}
	switch rng.IntN(5) {
	case 0, 1:
		pair(true)
	case 2, 3:
		pair(false)
	default:
		pair(true)
		pair(false)
	}
}

// mostHidden is the share of the main trace's columns that a box or a menu may hide: a student who hides
// more of it takes the photo again.
const mostHidden = 0.2

// busyPanels lays boxes of readings over the upper or lower rows, and a menu over the right columns or
// beside them.
func busyPanels(s *Scene, rng *rand.Rand) {
	d := &s.Display
	l, top := d.Frame.Left(), -d.Frame.Bottom()
	if chance(rng, 0.35) {
		q := Panel{Letters: within(rng, 0.3, 0.45), ByTrace: chance(rng, 0.5), Borderless: chance(rng, 0.3),
			Ground: oneOf(rng, [3]float32{}, [3]float32{}, [3]float32{0.01, 0.02, 0.12},
				[3]float32{0.04, 0.04, 0.04}, [3]float32{0.15, 0.17, 0.2})}
		switch rng.IntN(4) {
		case 0:
			q.Clear = within(rng, 0.2, 0.6)
		case 1:
			q.Bare = true
		}
		kind := letteringOf(q.Letters * float64(d.PixelsPerBox))
		line := float64(kind.height()+d.PixelsPerBox/10) / float64(d.PixelsPerBox)
		lines, columns := 1+rng.IntN(4), 1+rng.IntN(3)
		for range lines {
			words := randomReading(rng)
			for range columns - 1 {
				words += "\t" + randomReading(rng)
			}
			q.Words = append(q.Words, words)
		}
		wide := 0.3
		for _, words := range q.Words {
			for _, part := range strings.Split(words, "\t") {
				wide = max(wide, float64(kind.width(part))/float64(d.PixelsPerBox)+0.3)
			}
		}
		wide = min(float64(columns)*wide*within(rng, 1, 1.2), -2*l)
		high := float64(lines)*line + 0.35
		q.Left = l + within(rng, 0, 1)*(-2*l-wide)
		q.Right = q.Left + wide
		for _, upper := range [2]bool{rng.IntN(2) == 0, rng.IntN(2) == 0} {
			q.Top, q.Bottom = top, top-high
			if !upper {
				q.Top, q.Bottom = high-top, -top
			}
			if q.Clear > 0 || q.Bare || s.hidden(q) < mostHidden {
				d.Panels = append(d.Panels, q)
				break
			}
		}
	}
	if chance(rng, 0.35) {
		q := Panel{Menu: true, Top: top, Bottom: -top, Words: []string{}, Letters: 0.4,
			Ground: oneOf(rng, [3]float32{}, [3]float32{0.01, 0.02, 0.15}, [3]float32{0.1, 0.11, 0.13})}
		for range 4 + rng.IntN(3) {
			q.Words = append(q.Words, oneOf(rng, "input", "slope", "smooth", "keep", "more",
				"level", "mode", "auto", "shift", "invert", "probe"))
		}
		wide := within(rng, 1.3, 2.2)
		q.Left, q.Right = -l-wide, -l+within(rng, 0, 0.3)
		if chance(rng, 0.65) || s.hidden(q) > mostHidden { // beside the frame
			q.Left, q.Right = -l+0.35, -l+0.35+wide
			d.Margins[1] = wide + 0.45
		}
		d.Panels = append(d.Panels, q)
	}
}

// hidden is the share of the first trace's width that a panel hides.
func (s Scene) hidden(q Panel) float64 {
	const places = 200
	f := s.Display.Frame
	n := 0
	for k := range places {
		x := f.Left() + (float64(k)+0.5)/places*float64(f.Cols)
		if t, ok := s.shownTime(x); ok && x > q.Left && x < q.Right {
			if y := s.Signals[0].box(t); y > q.Bottom && y < q.Top {
				n++
			}
		}
	}
	return float64(n) / places
}

// randomReading is a line of a box of readings.
func randomReading(rng *rand.Rand) string {
	name := oneOf(rng, "period", "rate", "p-p", "mean", "rise", "width", "top", "base", "rms", "duty")
	unit := oneOf(rng, "V", "s", "Hz", "%")
	v := within(rng, 1, 999)
	if unit == "%" {
		return fmt.Sprintf("%s %.1f %%", name, v/10)
	}
	return fmt.Sprintf("%s %s%s%s", name, fmt.Sprintf("%.3g", v), oneOf(rng, " ", " m", " u", " k"), unit)
}

// busyCamera adds, now and then, what troubles photos of busy displays as well as of others.
func busyCamera(s *Scene, rng *rand.Rand) {
	c := &s.Camera
	if chance(rng, 0.12) {
		c.Glare = within(rng, 0.2, 0.7)
	}
	if chance(rng, 0.1) {
		c.Lamps += 1 + rng.IntN(2)
	}
	s.CableAcross, s.Finger = chance(rng, 0.05), chance(rng, 0.05)
	if chance(rng, 0.08) {
		c.Bands = within(rng, 0.15, 0.5)
	}
	if chance(rng, 0.2) {
		c.Tone = within(rng, 0.2, 0.6)
	}
	if chance(rng, 0.25) {
		c.Denoise = within(rng, 0.3, 1)
	}
	if s.Display.Kind == Colour && chance(rng, 0.08) {
		c.Blur = 0.3
	}
	if chance(rng, 0.2) {
		c.Sharpen = within(rng, 0.8, 1.6)
	}
}
