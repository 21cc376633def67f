package upright

// A picture of the letters that were seen, for people.

import (
	"image"
	"image/color"
	"math"
)

// draw shows the sheet, and round each letter a frame: green if it stands upright along x, red if upside down, blue if
// its row runs along y, yellow if it tells little.
func (s *sheet) draw(letters []letter) image.Image {
	const clear = 1 // log of the odds; it steers colours of a picture only, so that nothing changes from 0.5 to 2
	m := image.NewNRGBA(image.Rect(0, 0, s.w, s.h))
	for i, v := range s.log.Pix {
		g := uint8(min(max(math.Exp(float64(v))-darkFloor, 0), 255))
		m.SetNRGBA(i%s.w, i/s.w, color.NRGBA{g, g, g, 255})
	}
	for i := range letters {
		l := &letters[i]
		c := color.NRGBA{240, 220, 0, 255}
		switch {
		case max(l.up-l.down, l.down-l.up) < clear:
		case l.view == 1:
			c = color.NRGBA{60, 120, 255, 255}
		case l.up > l.down:
			c = color.NRGBA{0, 220, 60, 255}
		default:
			c = color.NRGBA{255, 60, 40, 255}
		}
		for x := l.x0; x < l.x1; x++ {
			m.SetNRGBA(x, l.y0-1, c)
			m.SetNRGBA(x, l.y1, c)
		}
		for y := l.y0; y < l.y1; y++ {
			m.SetNRGBA(l.x0-1, y, c)
			m.SetNRGBA(l.x1, y, c)
		}
	}
	return m
}
