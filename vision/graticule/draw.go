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
	inkLeft  = color.RGBA{255, 40, 40, 255}
)

// A canvas is a reduced and dimmed copy of the photo, or of a part of it, to draw on; places are given
// on the photo.
type canvas struct {
	*image.RGBA
	k float64
}

func canvasOf(ph *photo.Photo) canvas { return canvasFrom(ph, image.Rect(0, 0, ph.W, ph.H)) }

func canvasFrom(ph *photo.Photo, part image.Rectangle) canvas {
	k := max(1, (max(part.Dx(), part.Dy())+drawSide-1)/drawSide)
	m := ph.Preview(k)
	sub := m.SubImage(image.Rect(part.Min.X/k, part.Min.Y/k, part.Max.X/k, part.Max.Y/k)).(*image.RGBA)
	for y := sub.Rect.Min.Y; y < sub.Rect.Max.Y; y++ {
		row := sub.Pix[sub.PixOffset(sub.Rect.Min.X, y):][:4*sub.Rect.Dx()]
		for i := range row {
			if i%4 != 3 {
				row[i] = 24 + row[i]/8*5 // bright enough to see, dark enough for inks
			}
		}
	}
	return canvas{sub, float64(k)}
}

// enlarged repeats the pixels of a small canvas, so that lines close to each other stand apart.
func (c canvas) enlarged() canvas {
	r := c.Rect
	n := drawSide / max(r.Dx(), r.Dy(), 1)
	if n < 2 {
		return c
	}
	m := image.NewRGBA(image.Rect(n*r.Min.X, n*r.Min.Y, n*r.Max.X, n*r.Max.Y))
	for y := m.Rect.Min.Y; y < m.Rect.Max.Y; y++ {
		for x := m.Rect.Min.X; x < m.Rect.Max.X; x++ {
			m.SetRGBA(x, y, c.RGBAAt(x/n, y/n))
		}
	}
	return canvas{m, c.k / float64(n)}
}

// canvasNear shows the graticule and a box around it.
func canvasNear(ph *photo.Photo, g *Graticule) canvas {
	part := image.Rectangle{}
	for _, b := range g.Frame.Corners() {
		p := g.Pixel(geom.Box{X: b.X + math.Copysign(1, b.X), Y: b.Y + math.Copysign(1, b.Y)})
		x, y := int(min(max(p.X, 0), float64(ph.W))), int(min(max(p.Y, 0), float64(ph.H)))
		part = part.Union(image.Rect(x, y, x+1, y+1))
	}
	return canvasFrom(ph, part.Intersect(image.Rect(0, 0, ph.W, ph.H))).enlarged()
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

// offTimes is how much farther off the grid than they are pieces are drawn.
const offTimes = 20

// drawPieces shows where each piece of line was seen: beside the grid, its offset magnified; red what
// the fit left out.
func drawPieces(ph *photo.Photo, g *Graticule, seen []observation) image.Image {
	c := canvasNear(ph, g)
	c.graticule(g, inkPart)
	m := g.model()
	for i, off := range residuals(m, seen) {
		o, ink := seen[i], inkSeed
		if o.weight <= agrees {
			ink = inkLeft
		}
		mid := m.box(o.place)
		a, b := geom.Box{X: o.coord + offTimes*off, Y: mid.Y - 0.3}, geom.Box{X: o.coord + offTimes*off, Y: mid.Y + 0.3}
		if o.fam == level {
			a, b = geom.Box{X: mid.X - 0.3, Y: o.coord + offTimes*off}, geom.Box{X: mid.X + 0.3, Y: o.coord + offTimes*off}
		}
		c.curve(g.Pixel, a, b, ink)
	}
	return c
}

// drawMarks shows the frames whose marks were seen: the best one's boxes, the rims of the others.
func drawMarks(ph *photo.Photo, found []markedFrame) image.Image {
	c := canvasOf(ph)
	for i := range found {
		m := &found[i].r.m
		k := found[i].r.frame.Corners()
		for j := range k {
			c.curve(m.pixel, k[j], k[(j+1)%4], inkSeed)
		}
		if i > 0 {
			continue
		}
		for _, mk := range found[i].seen.marks() {
			for _, s := range mk.spans {
				a, b := geom.Box{X: mk.coord, Y: s[0]}, geom.Box{X: mk.coord, Y: s[1]}
				if mk.fam == level {
					a, b = geom.Box{X: a.Y, Y: a.X}, geom.Box{X: b.Y, Y: b.X}
				}
				c.curve(m.pixel, a, b, inkPart)
			}
		}
	}
	return c
}

// drawFound shows the grid that Find returns.
func drawFound(ph *photo.Photo, g *Graticule) image.Image {
	c := canvasNear(ph, g)
	c.graticule(g, inkFound)
	return c
}

// graticule draws the lines and rims of g.
func (c canvas) graticule(g *Graticule, ink color.RGBA) {
	xs, ys := rulings(g.Frame, g.Centred)
	k := g.Frame.Corners()
	for _, x := range append(xs, k[0].X, k[1].X) {
		c.curve(g.Pixel, geom.Box{X: x, Y: ys[0]}, geom.Box{X: x, Y: ys[len(ys)-1]}, ink)
	}
	for _, y := range ys {
		c.curve(g.Pixel, geom.Box{X: k[0].X, Y: y}, geom.Box{X: k[1].X, Y: y}, ink)
	}
}
