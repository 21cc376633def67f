package graticule

// Pictures of what each stage saw, for people.

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/marks"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// drawSide is the long side of the pictures, px (TestPicturesForPeopleAreOfUse).
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
	const n = 16 // TestPicturesForPeopleAreOfUse
	for i := range n {
		f, g := float64(i)/n, float64(i+1)/n
		c.line(pixel(geom.Box{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}), pixel(geom.Box{X: a.X + g*(b.X-a.X), Y: a.Y + g*(b.Y-a.Y)}), ink)
	}
}

func (c canvas) grid(pixel func(geom.Box) geom.Pixel, x lattice.Extent, ink color.RGBA) {
	l, r, b, t := float64(x.Left), float64(x.Right), float64(x.Bottom), float64(x.Top)
	for k := l; k <= r; k++ {
		c.curve(pixel, geom.Box{X: k, Y: b}, geom.Box{X: k, Y: t}, ink)
	}
	for k := b; k <= t; k++ {
		c.curve(pixel, geom.Box{X: l, Y: k}, geom.Box{X: r, Y: k}, ink)
	}
}

// drawRidges shows upright ridges in red, level ones in green, around grey.
func drawRidges(e *scene.Ridges) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, e.W, e.H))
	level := e.Level.Transpose()
	tone := func(v float32) uint8 { return uint8(127.5 + 127*v/scene.RidgeMost) }
	for y := range e.H {
		for x := range e.W {
			m.SetRGBA(x, y, color.RGBA{tone(e.Upright.Pix[y*e.W+x]), tone(level.Pix[y*e.W+x]), 127, 255})
		}
	}
	return m
}

func drawSeeds(ph *photo.Photo, seeds []lattice.Seed) image.Image {
	c := canvasOf(ph)
	for i := range seeds {
		c.grid(seeds[i].Map.Pixel, lattice.Extent{Left: -2, Right: 2, Bottom: -2, Top: 2}, inkSeed)
	}
	return c
}

func drawLattice(ph *photo.Photo, best *frame.Candidate) image.Image {
	c := canvasOf(ph)
	c.grid(best.Survey.Lattice.Map.Pixel, best.Survey.Lattice.Part, inkPart)
	for _, s := range best.Survey.Lattice.Seen {
		a, b := s.At(s.Off, 0.3), s.At(s.Off, 0.7)
		c.line(best.Survey.Lattice.Map.Pixel(a), best.Survey.Lattice.Map.Pixel(b), inkSeed)
	}
	return c
}

func drawFrame(ph *photo.Photo, best *frame.Candidate) image.Image {
	c := canvasOf(ph)
	c.grid(best.Survey.Lattice.Map.Pixel, best.Frame.Extent, inkFound)
	return c
}

// offTimes is how much farther off the grid than they are pieces are drawn (TestPiecesAreDrawnTwentyTimesAsFarOff).
const offTimes = 20

// drawPieces shows where each piece of line was seen: beside the grid, its offset magnified; red what
// the fit left out.
func drawPieces(ph *photo.Photo, g *Graticule, seen []fit.Observation) image.Image {
	c := canvasNear(ph, g)
	c.graticule(g, inkPart)
	m := g.model()
	for i, off := range fit.Residuals(m, seen) {
		o, ink := seen[i], inkSeed
		if o.Weight <= fit.Agrees {
			ink = inkLeft
		}
		mid := m.Box(o.Place)
		a, b := geom.Box{X: o.At + offTimes*off, Y: mid.Y - 0.3}, geom.Box{X: o.At + offTimes*off, Y: mid.Y + 0.3}
		if o.Of == lattice.Level {
			a, b = geom.Box{X: mid.X - 0.3, Y: o.At + offTimes*off}, geom.Box{X: mid.X + 0.3, Y: o.At + offTimes*off}
		}
		c.curve(g.Pixel, a, b, ink)
	}
	return c
}

// drawMarks shows the frames whose marks were seen: the best one's boxes, the rims of the others.
func drawMarks(ph *photo.Photo, found []marks.Found) image.Image {
	c := canvasOf(ph)
	for i := range found {
		f := &found[i]
		k := f.Frame.Corners()
		for j := range k {
			c.curve(f.Fit.Pixel, k[j], k[(j+1)%4], inkSeed)
		}
		if i == 0 {
			c.graticule(graticuleOf(&f.Fit, f.Frame, f.Sight.Size.Centred), inkPart)
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
	xs, ys := fit.Rulings(g.Frame, g.Centred)
	k := g.Frame.Corners()
	for _, x := range append(xs, k[0].X, k[1].X) {
		c.curve(g.Pixel, geom.Box{X: x, Y: ys[0]}, geom.Box{X: x, Y: ys[len(ys)-1]}, ink)
	}
	for _, y := range ys {
		c.curve(g.Pixel, geom.Box{X: k[0].X, Y: y}, geom.Box{X: k[1].X, Y: y}, ink)
	}
}

// showFit hands out the picture of what the last fit saw.
func (s *search) showFit(h *hypothesis) {
	if s.o.Stage != nil {
		s.o.Stage(fmt.Sprintf("lines off %d times", offTimes), drawPieces(s.scene.Photo, h.Graticule, h.fit.Observations))
	}
}

// showCandidate hands out the pictures of the candidate that was fitted.
func (s *search) showCandidate(p *pool, c *frame.Candidate) {
	if s.o.Stage != nil {
		s.o.Stage("seeds", drawSeeds(s.scene.Photo, p.seeds))
		s.o.Stage("lattice", drawLattice(s.scene.Photo, c))
		s.o.Stage("frame", drawFrame(s.scene.Photo, c))
	}
}
