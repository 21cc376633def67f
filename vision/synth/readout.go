package synth

import (
	"image"
	"math/rand/v2"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/math/fixed"
)

// What the beam of a tube writes beside the signals on instruments with a readout: words, dot by dot, and
// cursors. It is the same beam: as green, as wide, and behind the graticule by the same parallax.

const (
	readoutDot    = 0.03 // distance of the dots of a letter, boxes; letters of a third of a box are common practice
	readoutCursor = 0.06 // distance of the dots of a cursor, boxes; of a dashed one where there are any
	readoutLight  = 0.6  // of a resting level line
)

// writeReadout writes the words of the panels and the cursors.
func (t *tube) writeReadout(d Display) {
	for _, q := range d.Panels {
		for k, words := range q.Words {
			t.writeWords(q.Left, q.Top-float64(k+1)*readoutDot*float64(basicfont.Face7x13.Height+2), words)
		}
	}
	left, bottom := d.Frame.Left(), d.Frame.Bottom()
	dot := readoutDot * t.perBox * readoutLight
	for _, c := range d.Cursors {
		from, to := left, -left
		if c.Upright {
			from, to = bottom, -bottom
		}
		for k := 0; from+float64(k)*readoutCursor <= to; k++ {
			if c.Line == Dashes && k/3%2 == 1 || c.Line == DashPoints && k/3%3 == 2 {
				continue
			}
			at := from + float64(k)*readoutCursor
			if c.Upright {
				t.drop(c.At, at, 2*dot)
			} else {
				t.drop(at, c.At, 2*dot)
			}
		}
	}
}

// writeWords writes words with their base line at height y, from x on.
func (t *tube) writeWords(x, y float64, words string) {
	face := basicfont.Face7x13
	w, h := font.MeasureString(face, words).Ceil(), face.Height+face.Descent
	mask := image.NewAlpha(image.Rect(0, 0, w, h))
	d := font.Drawer{Dst: mask, Src: image.Opaque, Face: face, Dot: fixed.P(0, face.Ascent)}
	d.DrawString(words)
	for j := range h {
		for i := range w {
			if mask.Pix[j*mask.Stride+i] >= 128 {
				t.drop(x+float64(i)*readoutDot, y+float64(face.Ascent-j)*readoutDot, readoutDot*t.perBox*readoutLight)
			}
		}
	}
}

// busyReadout gives a tube words over the upper and lower rows, and now and then a pair of cursors.
func busyReadout(s *Scene) {
	rng := rand.New(rand.NewPCG(s.Seed, streamBusy+1))
	if !chance(rng, 0.5) {
		return
	}
	d := &s.Display
	left, top := d.Frame.Left(), -d.Frame.Bottom()
	settings := "1 " + withPrefix(s.Signals[0].voltsPerBox(), "V") + "  T " + withPrefix(s.TimePerBox, "s")
	d.Panels = append(d.Panels, Panel{Left: left + 0.2, Right: -left - 0.2, Top: top, Bottom: top - 0.6, Bare: true,
		Words: []string{settings}})
	if chance(rng, 0.6) {
		d.Panels = append(d.Panels, Panel{Left: left + within(rng, 0.2, 3), Right: -left - 0.2,
			Top: 0.55 - top, Bottom: 0.05 - top, Bare: true, Words: []string{randomReading(rng)}})
	}
	if chance(rng, 0.4) {
		c := Cursor{Upright: chance(rng, 0.5), Line: oneOf(rng, Points, Dashes, DashPoints)}
		reach := top
		if c.Upright {
			reach = -left
		}
		c.At = within(rng, -0.8, 0.2) * reach
		d.Cursors = append(d.Cursors, c)
		c.At += within(rng, 0.2, 0.5) * reach
		d.Cursors = append(d.Cursors, c)
	}
}
