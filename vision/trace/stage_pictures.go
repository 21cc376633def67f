package trace

// Pictures of what the stages saw, for a person who wants to know why.

import (
	"image"
	"image/color"
	"image/draw"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/path"
	"quadrille/vision/photo"
	"quadrille/vision/sheet"
)

// showEvidence gives the display in its own frame without field and ink, and the runs of every path.
func showEvidence(o *Options, found *path.Found) {
	if o.Stage == nil {
		return
	}
	s := found.Sheet
	img := image.NewNRGBA(image.Rect(0, 0, s.NX, s.NY))
	for i := range s.NX {
		for j := range s.NY {
			var v [3]uint8
			for c := range 3 {
				// Half grey is no difference, so that dark traces show as well.
				v[c] = sheet.ToSRGB(0.2 + float64(s.Light[c][i*s.NY+j]-s.Ink[c][i*s.NY+j]))
			}
			img.SetNRGBA(i, s.NY-1-j, color.NRGBA{v[0], v[1], v[2], 255})
		}
	}
	o.Stage("trace-evidence", img)
	paths := image.NewNRGBA(img.Rect)
	draw.Draw(paths, img.Rect, img, image.Point{}, draw.Src)
	for k, c := range found.Candidates {
		for i, r := range c.Path.Runs {
			for j := r.Lo; j <= r.Hi; j++ {
				paths.SetNRGBA(i, s.NY-1-j, marker(k))
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
