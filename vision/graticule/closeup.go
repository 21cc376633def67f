package graticule

// A closer look at the part of the photo where a lattice lies, with boxes of a useful size.

import (
	"image"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// closeBox is the least size in samples of a box on a close-up, where the photo has it: a line
	// is some 1.5 samples wide then, and its place is good to a hundredth of a sample. Four times
	// the samples gain nothing (TestFindOnSimulatedPhotos).
	closeBox = 64
	// fineBox and tickBox are the sizes in samples from which the searched picture serves as it is,
	// for the last fit and for seeing ticks, of which a box has five.
	fineBox = 56
	tickBox = 36
)

// A closeUp has the log lightness of a part of the photo. Its samples are means over whole k×k
// pixels, so that thin dots are seen and noise is averaged; the place q of the photo is
// (q - origin)·scale.
type closeUp struct {
	plane  *raster.Plane
	origin geom.Pixel
	scale  float64
}

// closeUpOf shows the part x of the lattice h and a box around it; fine is the searched picture, and
// serves when a box has enough samples there.
func closeUpOf(ph *photo.Photo, fine light, h *lattice, x extent, enough float64) *closeUp {
	across, up := boxSize(*h, x.mid())
	box := min(across, up)
	if fine.scale >= 1 || box*fine.scale >= enough {
		return &closeUp{plane: fine.log, scale: fine.scale}
	}
	k := max(1, int(box/closeBox))
	var r image.Rectangle
	for _, b := range [4]geom.Box{
		{X: float64(x.left) - 1, Y: float64(x.bottom) - 1}, {X: float64(x.right) + 1, Y: float64(x.bottom) - 1},
		{X: float64(x.left) - 1, Y: float64(x.top) + 1}, {X: float64(x.right) + 1, Y: float64(x.top) + 1},
	} {
		p := h.Pixel(b)
		px, py := int(min(max(p.X, 0), float64(ph.W))), int(min(max(p.Y, 0), float64(ph.H)))
		r = r.Union(image.Rect(px, py, px+1, py+1))
	}
	r = r.Intersect(image.Rect(0, 0, ph.W, ph.H))
	r.Max.X -= r.Dx() % k
	r.Max.Y -= r.Dy() % k
	c := &closeUp{raster.New(r.Dx()/k, r.Dy()/k), geom.Pixel{X: float64(r.Min.X), Y: float64(r.Min.Y)}, 1 / float64(k)}
	// In strips, so that the three colours of the whole part are never in memory at once.
	const strip = 64 // rows of the close-up
	for y0 := 0; y0 < c.plane.H; y0 += strip {
		y1 := min(y0+strip, c.plane.H)
		rgb, _ := ph.Region(image.Rect(r.Min.X, r.Min.Y+y0*k, r.Max.X, r.Min.Y+y1*k))
		raster.Rows(y1-y0, func(a, b int) {
			for y := a; y < b; y++ {
				meanLog(c.plane.Row(y0+y), rgb, y*k, k)
			}
		})
	}
	return c
}

// meanLog writes the log lightness of the means over k×k pixels, from row y of rgb on.
func meanLog(dst []float32, rgb [3]*raster.Plane, y, k int) {
	f := 1 / float32(k*k)
	for x := range dst {
		var s [3]float32
		for c := range s {
			for d := range k {
				for _, v := range rgb[c].Row(y + d)[x*k : x*k+k] {
					s[c] += v
				}
			}
			s[c] *= f
		}
		dst[x] = logOf(s)
	}
}

// samples gives the place q of the photo in samples, whose middles are at whole numbers.
func (c *closeUp) samples(q geom.Pixel) (x, y float64) {
	return (q.X-c.origin.X)*c.scale - 0.5, (q.Y-c.origin.Y)*c.scale - 0.5
}

// run writes n bilinear samples from p to q (photo pixels) to dst; false if an end is outside.
func (c *closeUp) run(dst []float32, p, q geom.Pixel) bool {
	x, y := c.samples(p)
	x1, y1 := c.samples(q)
	w, h := float64(c.plane.W-1), float64(c.plane.H-1)
	if !(x >= 0 && y >= 0 && x < w && y < h && x1 >= 0 && y1 >= 0 && x1 < w && y1 < h) {
		return false
	}
	n := math.Max(float64(len(dst)-1), 1)
	dx, dy := (x1-x)/n, (y1-y)/n
	for i := range dst {
		xi, yi := min(int(x), c.plane.W-2), min(int(y), c.plane.H-2)
		fx, fy := float32(x-float64(xi)), float32(y-float64(yi))
		s := c.plane.Pix[yi*c.plane.W+xi:]
		top := s[0] + fx*(s[1]-s[0])
		s = s[c.plane.W:]
		low := s[0] + fx*(s[1]-s[0])
		dst[i] = top + fy*(low-top)
		x += dx
		y += dy
	}
	return true
}
