package sheet

// The display, sampled in its own frame.
//
// A sheet is a raster over the frame in boxes, its columns and rows commensurate with the boxes, so
// that the same place of every box has the same index. Each cell is the mean of a few bilinear
// samples of the photo in linear light, spread over the cell; the photo itself is never resampled
// as a whole. The photo is read one strip of the display at a time, so that memory stays small.

import (
	"context"
	"image"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// maxAcross is the most columns a box. Displays have about 50 of their own pixels to a box;
	// finer columns only repeat what their neighbours say (TestHowFinelyADisplayIsRead).
	maxAcross = 50
	// maxUp is the most rows a box. A stroke is about 0.04 box high, with a standard deviation of
	// 0.012 box or more in the photo: at least 1.2 rows, where centres are still unbiased
	// (TestHowFinelyADisplayIsRead).
	maxUp = 100
	// minPitch is the coarsest display that is tried, in pixels a box (TestHowFinelyADisplayIsRead).
	minPitch = 8
	// straightRows is the rows over which a column's way across the photo is taken for straight: for a
	// lens of K = 0.1 and 20 pixels it is 0.0005 px off
	// (TestSheetIsThePhotoThroughTheGraticule).
	straightRows = 4
	// maxSub is the most samples a cell takes along each axis (TestHowFinelyADisplayIsRead).
	maxSub = 3
)

// A pitch is how finely the display is read.
type pitch struct {
	across, up int // cells a box
	subX, subY int // samples a cell
	// reduce is how many pixels of the photo, each way, are averaged before they are sampled: as many as a cell
	// holds. It halves the time of a photo of 12 megapixels, and widens a stroke of 0.012 box by less than a
	// hundredth.
	reduce int
}

// pitchOf gives the cells a box that suit the photo's resolution; ok is false where the display is too small in it.
func pitchOf(g *graticule.Graticule) (p pitch, ok bool) {
	o, e, n := g.Pixel(geom.Box{}), g.Pixel(geom.Box{X: 1}), g.Pixel(geom.Box{Y: 1})
	px, py := math.Hypot(e.X-o.X, e.Y-o.Y), math.Hypot(n.X-o.X, n.Y-o.Y)
	if !(px >= minPitch && py >= minPitch) || math.IsInf(px, 0) || math.IsInf(py, 0) {
		return p, false
	}
	p.across, p.up = even(min(px, maxAcross)), even(min(py, maxUp))
	p.reduce = max(int(min(px/float64(p.across), py/float64(p.up))), 1)
	px, py = px/float64(p.reduce), py/float64(p.reduce)
	p.subX = min(max(int(px/float64(p.across)+0.5), 1), maxSub)
	p.subY = min(max(int(py/float64(p.up)+0.5), 1), maxSub)
	return p, true
}

func even(v float64) int { return 2 * int(math.Round(v/2)) }

// gridOf gives the cells between the boxes lo and hi, the lower left and the upper right corner, whole cells apart.
func gridOf(lo, hi geom.Box, p pitch) Grid {
	g := Grid{
		NX: int(math.Round((hi.X - lo.X) * float64(p.across))), DX: 1 / float64(p.across), Across: p.across,
		NY: int(math.Round((hi.Y - lo.Y) * float64(p.up))), DY: 1 / float64(p.up), Up: p.up,
	}
	g.X0, g.Y0 = lo.X+g.DX/2, lo.Y+g.DY/2
	return g
}

// sample reads the cells' linear light off the photo; those that lie off it are NaN in all channels. Its error is
// that of ctx.
func (s *Grid) sample(ctx context.Context, ph *photo.Photo, g *graticule.Graticule, p pitch) (rgb [3][]float32, err error) {
	for c := range rgb {
		rgb[c] = make([]float32, s.NX*s.NY)
	}
	strips := (s.NX + p.across/2 - 1) / (p.across / 2) // half a box each
	raster.Rows(strips, func(a, b int) {
		for k := a; k < b && ctx.Err() == nil; k++ {
			s.readStrip(&rgb, ph, g, k*s.NX/strips, (k+1)*s.NX/strips, p)
		}
	})
	return rgb, ctx.Err()
}

// readStrip fills columns i0 to i1.
func (s *Grid) readStrip(to *[3][]float32, ph *photo.Photo, g *graticule.Graticule, i0, i1 int, p pitch) {
	rgb, cut := ph.ReducedRegion(s.bounds(g, i0, i1, p.reduce), p.reduce)
	w, h := rgb[0].W, rgb[0].H
	if w < 2 || h < 2 {
		for c := range to {
			fill(to[c][i0*s.NY:i1*s.NY], float32(math.NaN()))
		}
		return
	}
	red, green, blue := rgb[0].Pix, rgb[1].Pix, rgb[2].Pix
	share, scale := 1/float32(p.subX*p.subY), 1/float64(p.reduce)
	knots := make([]geom.Pixel, (s.NY-1)/straightRows+2)
	for i := i0; i < i1; i++ {
		col := [3][]float32{}
		for c := range col {
			col[c] = to[c][i*s.NY : (i+1)*s.NY]
		}
		for u := range p.subX {
			x := s.X(i) + (float64(2*u+1)/float64(2*p.subX)-0.5)*s.DX
			// Between every few rows the way across the photo is as good as straight.
			for k := range knots {
				q := g.Pixel(geom.Box{X: x, Y: s.Y(float64(k*straightRows) - 0.5)})
				knots[k] = geom.Pixel{X: (q.X-float64(cut.Min.X))*scale - 0.5, Y: (q.Y-float64(cut.Min.Y))*scale - 0.5}
			}
			for j := range s.NY {
				a, b := knots[j/straightRows], knots[j/straightRows+1]
				for v := range p.subY {
					t := (float64(j%straightRows) + float64(2*v+1)/float64(2*p.subY)) / straightRows
					px, py := a.X+t*(b.X-a.X), a.Y+t*(b.Y-a.Y)
					if !(px >= 0 && py >= 0 && px <= float64(w-1) && py <= float64(h-1)) {
						nan := float32(math.NaN())
						col[0][j], col[1][j], col[2][j] = nan, nan, nan
						continue
					}
					m, n := min(int(px), w-2), min(int(py), h-2)
					fx, fy := float32(px-float64(m)), float32(py-float64(n))
					k := n*w + m
					w11 := fx * fy
					w10, w01 := fx-w11, fy-w11
					w00 := 1 - fx - w01
					w00, w10, w01, w11 = w00*share, w10*share, w01*share, w11*share
					col[0][j] += w00*red[k] + w10*red[k+1] + w01*red[k+w] + w11*red[k+w+1]
					col[1][j] += w00*green[k] + w10*green[k+1] + w01*green[k+w] + w11*green[k+w+1]
					col[2][j] += w00*blue[k] + w10*blue[k+1] + w01*blue[k+w] + w11*blue[k+w+1]
				}
			}
		}
	}
}

// bounds gives the pixels that columns i0 to i1 may touch when k×k of them are averaged to one: the hull of points
// along the strip's rim, two of those wider, and one more, of which a part may be left over
// (TestALargePhotosSheetHasNoHoles, TestAStripsBoundsHoldItsSides).
func (s *Grid) bounds(g *graticule.Graticule, i0, i1, k int) image.Rectangle {
	const steps = 8
	lo := geom.Pixel{X: math.Inf(1), Y: math.Inf(1)}
	hi := geom.Pixel{X: math.Inf(-1), Y: math.Inf(-1)}
	for n := range steps + 1 {
		t := float64(n) / steps
		x := s.X(i0) + t*float64(i1-i0)*s.DX - s.DX/2
		y := s.Y(-0.5) + t*float64(s.NY)*s.DY
		for _, b := range []geom.Box{
			{X: s.X(i0) - s.DX/2, Y: y}, {X: s.X(i1) - s.DX/2, Y: y},
			{X: x, Y: s.Y(-0.5)}, {X: x, Y: s.Y(float64(s.NY) - 0.5)},
		} {
			p := g.Pixel(b)
			lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
			hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
		}
	}
	// far keeps a broken homography inside the range of int, beyond any photo; nothing changes from 1e5 to 1e9
	// (TestAStripThatIsFarOffIsEmpty).
	const far = 1 << 24
	clampInt := func(v float64) int { return int(min(max(v, -far), far)) }
	return image.Rect(clampInt(lo.X)-2*k, clampInt(lo.Y)-2*k, clampInt(hi.X)+3*k, clampInt(hi.Y)+3*k)
}

func fill(s []float32, v float32) {
	for i := range s {
		s[i] = v
	}
}
