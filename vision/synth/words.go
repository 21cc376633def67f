package synth

import (
	"fmt"
	"image"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/font/inconsolata"
	"golang.org/x/image/math/fixed"
)

// drawWords puts the settings and marks round the frame, and what may lie over it: plain words in a
// plain type, laid out for this simulator and after no instrument.
func (l *lcd) drawWords(s Scene) {
	p := int(l.perBox)
	kind := letteringOf(0.45 * l.perBox)
	top, low := l.frameT-p/6-1, l.frameB+p/6+kind.height()+1
	if top-kind.height() >= 0 && !s.Display.Overview {
		l.write(kind, l.frameL, top, "held", l.ink.text)
		l.write(kind, l.frameL+2*p, top, fmt.Sprintf("record %d", s.Seed%1000), l.ink.text)
	}
	if low < l.h {
		l.writeScales(s, kind, low)
	}
	for _, q := range pointersOf(s) {
		l.drawPointer(q)
	}
	if s.Display.Table {
		l.drawTable(s, kind)
	}
	if s.Display.Menu {
		l.drawMenu(kind)
	}
	for _, q := range s.Display.Panels {
		l.drawPanel(q, kind)
	}
}

// A ScaleForm is how the settings are written below the frame.
type ScaleForm int

// The forms of settings.
const (
	ScalesPlain  ScaleForm = iota // a letter and the scale, one after the other from the left; the time at the right
	ScalesSpread                  // the channels' numbers and scales at even distances, the time in the middle
	ScalesBoxed                   // each channel's in a box filled with its colour
)

// writeScales writes the settings in a line whose base is row low.
func (l *lcd) writeScales(s Scene, kind lettering, low int) {
	p := int(l.perBox)
	if s.Display.Scales == ScalesPlain {
		time := withPrefix(s.TimePerBox, "s") + "/box"
		if s.Against {
			time = "x against y"
		}
		end := l.frameR - kind.width(time)
		l.write(kind, end, low, time, l.ink.text)
		at := l.frameL
		for i, sig := range s.Signals {
			words := fmt.Sprintf("%s %s/box", traceName(i), withPrefix(sig.voltsPerBox(), "V"))
			if at+kind.width(words) < end {
				l.write(kind, at, low, words, l.ink.traces[i])
			}
			at += kind.width(words) + p/2
		}
		return
	}
	step := (l.frameR - l.frameL) / (len(s.Signals) + 1)
	for i, sig := range s.Signals {
		words := fmt.Sprintf("%d  %s", sig.channel(i), withPrefix(sig.voltsPerBox(), "V"))
		if kind.width(words)+8 > step { // no room beside the next
			words = withPrefix(sig.voltsPerBox(), "V")
		}
		at := l.frameL + i*step
		c := l.ink.traces[i]
		if s.Display.Scales == ScalesBoxed {
			l.fill(at, low-kind.height()-2, at+kind.width(words)+7, low+4, c)
			at, c = at+4, l.ink.field
		}
		l.write(kind, at, low, words, c)
	}
	l.write(kind, l.frameL+len(s.Signals)*step, low, "T "+withPrefix(s.TimePerBox, "s"), l.ink.text)
}

// tableRows and menuColumns are how many boxes the things over the grid cover.
const (
	tableRows   = 2
	menuColumns = 1.5
)

func (l *lcd) drawTable(s Scene, t lettering) {
	p := int(l.perBox)
	l.fill(l.frameL, l.frameT, l.frameR, l.frameT+tableRows*p, l.ink.bar)
	line := t.height() + p/6
	for i, sig := range s.Signals {
		c := l.ink.traces[i]
		x := l.frameL + p/5 + i*5*p
		l.write(t, x, l.frameT+line, fmt.Sprintf("%s first %.2f V", traceName(i), sig.Volts(0)), c)
		l.write(t, x, l.frameT+2*line, fmt.Sprintf("%s last  %.2f V", traceName(i), sig.Volts(float64(s.Display.Frame.Cols)*s.TimePerBox)), c)
		l.write(t, x, l.frameT+3*line, fmt.Sprintf("%s level %.2f box", traceName(i), sig.GroundBox), c)
	}
}

func (l *lcd) drawMenu(t lettering) {
	p := int(l.perBox)
	x := l.frameR - int(menuColumns*l.perBox)
	l.fill(x, l.frameT, l.frameR, l.frameB, l.ink.bar)
	step := (l.frameB - l.frameT) / 5
	for i, words := range []string{"input", "slope", "smooth", "keep", "more"} {
		y := l.frameT + i*step
		l.fill(x+p/10, y+p/10, l.frameR-p/10, y+p/10, l.ink.text)
		l.write(t, x+p/8, y+p/4+t.height(), words, l.ink.text)
	}
}

// drawHelpers draws two broken upright lines, a quarter and five eighths of the way across.
func (l *lcd) drawHelpers() {
	for _, share := range helperShares {
		i := l.frameL + int(share*float64(l.frameR-l.frameL)) + 1
		for j := l.frameT; j <= l.frameB; j += 4 {
			l.fill(i, j, i, j+1, l.ink.mark)
		}
	}
}

// A lettering is a bitmap type, each of its dots drawn as times × times elements.
type lettering struct {
	face  *basicfont.Face
	times int
}

// letteringOf gives a type of about that height in elements.
func letteringOf(height float64) lettering {
	small := lettering{basicfont.Face7x13, 1}
	for _, l := range []lettering{{inconsolata.Regular8x16, 1}, {basicfont.Face7x13, 2}, {inconsolata.Regular8x16, 2}, {inconsolata.Regular8x16, 3}} {
		if float64(l.face.Height*l.times) > height {
			break
		}
		small = l
	}
	return small
}

func (t lettering) height() int            { return t.face.Ascent * t.times }
func (t lettering) width(words string) int { return font.MeasureString(t.face, words).Ceil() * t.times }

// write draws words with their base line at row j, from column i on.
func (l *lcd) write(t lettering, i, j int, words string, c rgb) {
	w, h := font.MeasureString(t.face, words).Ceil(), t.face.Height+t.face.Descent
	mask := image.NewAlpha(image.Rect(0, 0, w, h))
	d := font.Drawer{Dst: mask, Src: image.Opaque, Face: t.face, Dot: fixed.P(0, t.face.Ascent)}
	d.DrawString(words)
	for y := range h {
		for x := range w {
			if mask.Pix[y*mask.Stride+x] >= 128 {
				u, v := i+x*t.times, j+(y-t.face.Ascent)*t.times
				l.fill(u, v, u+t.times-1, v+t.times-1, c)
			}
		}
	}
}

// withPrefix writes v with three digits and a prefix: 0.02 s is "20 ms".
func withPrefix(v float64, unit string) string {
	prefixes := []struct {
		at   float64
		name string
	}{{1e6, "M"}, {1e3, "k"}, {1, ""}, {1e-3, "m"}, {1e-6, "u"}, {1e-9, "n"}}
	for _, p := range prefixes {
		if math.Abs(v) >= p.at*0.9999 {
			return fmt.Sprintf("%.3g %s%s", v/p.at, p.name, unit)
		}
	}
	return fmt.Sprintf("%.3g %s", v, unit)
}
