package graticule

// Pictures of what each stage saw, for people.

import (
	"image"
	"image/color"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

// drawSide is the long side of the pictures, px.
const drawSide = 1600

var (
	inkFound = color.RGBA{255, 64, 160, 255}
	inkSeed  = color.RGBA{255, 200, 0, 255}
	inkPart  = color.RGBA{0, 200, 255, 255}
)

// A canvas is a reduced copy of the photo to draw on; places are given on the photo.
type canvas struct {
	*image.RGBA
	k float64
}

func canvasOf(ph *photo.Photo) canvas {
	k := max(1, (max(ph.W, ph.H)+drawSide-1)/drawSide)
	return canvas{ph.Preview(k), float64(k)}
}

func (c canvas) line(a, b geom.Pixel, ink color.RGBA) {
	d := math.Hypot(b.X-a.X, b.Y-a.Y) / c.k
	if !(d < 4*drawSide) {
		return
	}
	for i := 0.0; i <= d; i += 0.5 {
		f := i / max(d, 1)
		c.SetRGBA(int((a.X+f*(b.X-a.X))/c.k), int((a.Y+f*(b.Y-a.Y))/c.k), ink)
	}
}

// curve draws the straight line of the display from a to b as the map shows it.
func (c canvas) curve(pixel func(geom.Box) geom.Pixel, a, b geom.Box, ink color.RGBA) {
	const n = 16
	for i := range n {
		f, g := float64(i)/n, float64(i+1)/n
		c.line(pixel(geom.Box{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}), pixel(geom.Box{X: a.X + g*(b.X-a.X), Y: a.Y + g*(b.Y-a.Y)}), ink)
	}
}

func (c canvas) grid(pixel func(geom.Box) geom.Pixel, x extent, ink color.RGBA) {
	l, r, b, t := float64(x.left), float64(x.right), float64(x.bottom), float64(x.top)
	for k := l; k <= r; k++ {
		c.curve(pixel, geom.Box{X: k, Y: b}, geom.Box{X: k, Y: t}, ink)
	}
	for k := b; k <= t; k++ {
		c.curve(pixel, geom.Box{X: l, Y: k}, geom.Box{X: r, Y: k}, ink)
	}
}

// drawEvidence shows upright evidence in red, level in green, around grey.
func drawEvidence(e *evidence) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, e.w, e.h))
	level := transpose(e.level)
	tone := func(v float32) uint8 { return uint8(127.5 + 127*v/evidenceClip) }
	for y := range e.h {
		for x := range e.w {
			m.SetRGBA(x, y, color.RGBA{tone(e.upright.Pix[y*e.w+x]), tone(level.Pix[y*e.w+x]), 127, 255})
		}
	}
	return m
}

func drawSeeds(ph *photo.Photo, seeds []seed) image.Image {
	c := canvasOf(ph)
	for i := range seeds {
		c.grid(seeds[i].h.Pixel, extent{-2, 2, -2, 2}, inkSeed)
	}
	return c
}

func drawLattice(ph *photo.Photo, best *candidate) image.Image {
	c := canvasOf(ph)
	c.grid(best.survey.g.h.Pixel, best.survey.g.part, inkPart)
	for _, s := range best.survey.g.seen {
		a, b := s.at(s.off, 0.3), s.at(s.off, 0.7)
		c.line(best.survey.g.h.Pixel(a), best.survey.g.h.Pixel(b), inkSeed)
	}
	return c
}

func drawFrame(ph *photo.Photo, best *candidate) image.Image {
	c := canvasOf(ph)
	c.grid(best.survey.g.h.Pixel, best.frame.extent, inkFound)
	return c
}

// drawFound shows the grid that Find returns.
func drawFound(ph *photo.Photo, g *Graticule) image.Image {
	c := canvasOf(ph)
	xs, ys := rulings(g.Frame, g.Centred)
	k := g.Frame.Corners()
	for _, x := range append(xs, k[0].X, k[1].X) {
		c.curve(g.Pixel, geom.Box{X: x, Y: ys[0]}, geom.Box{X: x, Y: ys[len(ys)-1]}, inkFound)
	}
	for _, y := range ys {
		c.curve(g.Pixel, geom.Box{X: k[0].X, Y: y}, geom.Box{X: k[1].X, Y: y}, inkFound)
	}
	return c
}
