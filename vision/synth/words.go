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

// drawWords puts the settings and marks round the frame: plain words in a plain type, laid out for
// this simulator and after no instrument.
func (l *lcd) drawWords(s Scene) {
	p := int(l.perBox)
	face := letteringOf(0.45 * l.perBox)
	size := face.height()
	top, low := l.frameT-p/6, l.frameB+p/6+size
	l.write(face, l.frameL, top, "held", l.ink.text)
	l.write(face, l.frameL+4*p, top, fmt.Sprintf("seen %d", s.Seed%1000), l.ink.text)
	for i, sig := range s.Signals {
		c := l.ink.traces[i]
		l.write(face, l.frameL+i*4*p, low, fmt.Sprintf("%s %s/box", traceName(i), withPrefix(sig.voltsPerBox(), "V")), c)
		l.groundMark(int(math.Round(l.row(sig.GroundBox))), c)
	}
	words := withPrefix(s.TimePerBox, "s") + "/box"
	l.write(face, l.frameR-face.width(words), low, words, l.ink.text)
	// The trigger's mark stands on the upper rim, its tip on the line.
	for k := range p / 8 {
		i := int(l.centreX)
		l.fill(i-k, l.frameT-2-k, i+k, l.frameT-2-k, l.ink.mark)
	}
}

// groundMark points at row j from the left of the frame: a flag whose middle row is the ground line.
func (l *lcd) groundMark(j int, c rgb) {
	p := int(l.perBox)
	reach, half := p/3, max(2, p/10)
	for k := -half; k <= half; k++ {
		cut := max(k, -k)
		l.fill(l.frameL-2-reach, j+k, l.frameL-2-cut, j+k, c)
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
