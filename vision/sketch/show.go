package sketch

import (
	"image"
	"image/color"
)

// show hands out what the ink is and where the curves and axes were followed.
func (c *canvas) show(o *Options, strokes []*stroke) {
	if o.Stage == nil {
		return
	}
	m := image.NewRGBA(image.Rect(0, 0, c.w, c.h))
	for y := range c.h {
		for x := range c.w {
			v := uint8(255 - 110*c.ink.Pix[y*c.w+x])
			m.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	dot := func(x, y int, col color.RGBA) {
		m.SetRGBA(x, y, col)
		m.SetRGBA(x, y+1, col)
	}
	for _, l := range c.level {
		for x := l.from; l.axis && x <= l.to; x++ {
			dot(x, int(l.at(x)), color.RGBA{0, 160, 160, 255})
		}
	}
	for _, l := range c.stands {
		for y := l.from; l.axis && y <= l.to; y++ {
			dot(int(l.at(y)), y, color.RGBA{0, 160, 160, 255})
		}
	}
	colours := []color.RGBA{{220, 0, 0, 255}, {0, 0, 220, 255}, {0, 130, 0, 255}, {180, 0, 180, 255}}
	for i, s := range strokes {
		for _, p := range s.at {
			dot(p.x, p.y, colours[i%len(colours)])
		}
	}
	o.Stage("ink and curves", m)
}
