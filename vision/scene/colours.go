package scene

import (
	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// Colours are planes of red, green and blue in linear light.
type Colours struct {
	scale float64 // samples to a pixel of the photo
	plane [3]*raster.Plane
}

// At gives the linear light at the place q of the photo; ok is false outside.
func (c *Colours) At(q geom.Pixel) (rgb [3]float32, ok bool) {
	q.X, q.Y = q.X*c.scale, q.Y*c.scale
	for i, p := range c.plane {
		if rgb[i], ok = p.Bilinear(q); !ok {
			return rgb, false
		}
	}
	return rgb, true
}
