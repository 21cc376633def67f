package trace

// Pictures of what the stages saw, for a person who wants to know why.

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// showEvidence gives the display in its own frame without field and ink, and the runs of every path.
func showEvidence(o *Options, s *sheet, f *field, ink *[3][]float32, found []*candidate) {
	if o.Stage == nil {
		return
	}
	img := image.NewNRGBA(image.Rect(0, 0, s.nx, s.ny))
	for i := range s.nx {
		for j := range s.ny {
			var v [3]uint8
			for c := range 3 {
				// Half grey is no difference, so that dark traces show as well.
				v[c] = toSRGB(0.2 + float64(s.rgb[c][i*s.ny+j]-ink[c][i*s.ny+j]))
			}
			img.SetNRGBA(i, s.ny-1-j, color.NRGBA{v[0], v[1], v[2], 255})
		}
	}
	o.Stage("trace-evidence", img)
	paths := image.NewNRGBA(img.Rect)
	draw.Draw(paths, img.Rect, img, image.Point{}, draw.Src)
	for k, c := range found {
		for i, r := range c.path.runs {
			for j := r.lo; j <= r.hi; j++ {
				paths.SetNRGBA(i, s.ny-1-j, marker(k))
			}
		}
	}
	o.Stage("trace-path", paths)
}

// showPaths draws the centre lines on the photo.
func showPaths(o *Options, ph *photo.Photo, g *graticule.Graticule, traces []*Trace) {
	if o.Stage == nil {
		return
	}
	up := ph.Upright()
	img := image.NewNRGBA(image.Rect(0, 0, ph.W, ph.H))
	draw.Draw(img, img.Rect, up, up.Bounds().Min, draw.Src)
	for k, t := range traces {
		for i, y := range t.Y {
			if !math.IsNaN(y) {
				p := g.Pixel(geom.Box{X: t.X[i], Y: y})
				img.SetNRGBA(int(p.X), int(p.Y), marker(k))
				img.SetNRGBA(int(p.X)+1, int(p.Y), marker(k))
			}
		}
	}
	o.Stage("trace", img)
}

// marker is a colour that no display draws with, one a trace.
func marker(k int) color.NRGBA {
	return []color.NRGBA{{255, 0, 0, 255}, {255, 0, 255, 255}, {255, 128, 0, 255}}[k%3]
}
