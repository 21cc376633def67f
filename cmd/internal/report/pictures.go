// Pictures for the page: the photo made small, and the margins of the display straightened and
// enlarged, where most displays print their settings. They are for looking at; nothing is measured on them.

package report

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"math"
	"sync"

	"quadrille/cmd/internal/reading"
	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
	"quadrille/vision/trace"
)

const (
	// photoSide is the longest side of the small photo, px: sharp on a laptop, 150 to 300 kB.
	photoSide = 1400
	// quality of the JPEGs: letters stay free of blocks.
	quality = 82
	// marginUp and marginOut are how far the margins reach beyond the frame, in boxes: most displays
	// print within one and a half boxes above and below, and two and a half at the sides (common
	// practice, no source).
	marginUp, marginOut = 1.6, 2.4
	// marginIn is how far they reach into the frame, so that a person sees where they are.
	marginIn = 0.2
	// marginNear is how far from the frame, in boxes, the display itself surely reaches.
	marginNear = 0.8
	// marginLeast is the narrowest margin worth showing, in boxes.
	marginLeast = 0.3
	// marginScale bounds the pixels a box in a margin: more than the photo has is no use, and more
	// than 96 only makes the page heavy.
	marginScale = 96
	// marginMore is by how much the halves of a strip overlap on each side of the axis, in boxes: a
	// word at the cut is whole in one of them.
	marginMore = 0.4
)

// Pictures are what the page shows of the photo.
type Pictures struct {
	Photo   Picture
	Lattice [][]geom.Pixel // the graticule's lines and its rim, on the photo
	Lines   []Line         // the traces on the photo
	Margins []Picture
	// Channels are the traces where there are several, each with the parts of the margins that are coloured like it.
	Channels []Channel
}

// A Picture is a JPEG file's bytes, with its size in pixels.
type Picture struct {
	Name string // for people: "above, left half"
	Tall bool   // of a margin at a side of the display
	JPEG []byte
	W, H int
}

// A Line is a trace as seen on the photo, in pixels of the photo; hidden stretches part its pieces.
type Line struct {
	Name   string
	Colour [3]uint8
	Pieces [][]geom.Pixel
}

// Illustrate makes the pictures of a reading, as far as it came; nil without a photo. It takes about a
// tenth of a second for 12 megapixels, so that a caller who wants no page leaves it out.
func Illustrate(r *reading.Reading) *Pictures {
	if r.Photo == nil {
		return nil
	}
	p := &Pictures{}
	var wait sync.WaitGroup
	wait.Go(func() { p.Photo = Small(r.Photo) })
	if r.Graticule != nil {
		p.Lattice = Lattice(r.Graticule)
		p.Lines = Lines(r.Graticule, r.Traces)
		p.Margins = Margins(context.Background(), r.Photo, r.Graticule)
		p.Channels = Channels(r.Photo, r.Graticule, r.Traces)
	}
	wait.Wait()
	return p
}

// Small is the whole photo, at most photoSide pixels on its longer side.
func Small(ph *photo.Photo) Picture {
	k := max(1, (max(ph.W, ph.H)+photoSide-1)/photoSide)
	return encode("photo", ph.Preview(k))
}

// Lattice takes the lines that the graticule draws, and its rim, to the photo.
func Lattice(g *graticule.Graticule) [][]geom.Pixel {
	const steps = 24 // pieces of a line, enough for the bend of any lens
	halfX, halfY := float64(g.Frame.Cols)/2, float64(g.Frame.Rows)/2
	var out [][]geom.Pixel
	draw := func(a, b geom.Box) {
		line := make([]geom.Pixel, steps+1)
		for i := range line {
			f := float64(i) / steps
			line[i] = g.Pixel(geom.Box{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)})
		}
		out = append(out, line)
	}
	upright := func(x float64) { draw(geom.Box{X: x, Y: -halfY}, geom.Box{X: x, Y: halfY}) }
	first := -halfX
	if g.Centred && g.Frame.Cols%2 == 1 {
		upright(-halfX)
		upright(halfX)
		first += 0.5
	}
	for x := first; x <= halfX; x++ {
		upright(x)
	}
	for y := -halfY; y <= halfY; y++ {
		draw(geom.Box{X: -halfX, Y: y}, geom.Box{X: halfX, Y: y})
	}
	return out
}

// Lines takes the traces to the photo.
func Lines(g *graticule.Graticule, traces []*trace.Trace) []Line {
	var out []Line
	for _, t := range traces {
		l := Line{Name: t.Name, Colour: t.Colour}
		var piece []geom.Pixel
		for i := range t.X {
			q := g.Pixel(geom.Box{X: t.X[i], Y: t.Y[i]})
			if math.IsNaN(q.X + q.Y) {
				if piece != nil {
					l.Pieces = append(l.Pieces, piece)
				}
				piece = nil
				continue
			}
			piece = append(piece, q)
		}
		if piece != nil {
			l.Pieces = append(l.Pieces, piece)
		}
		out = append(out, l)
	}
	return out
}

// Margins gives the strips around the frame, straightened through the homography and the lens, with
// their contrast stretched so that dim letters can be read. Each comes in two halves, to be large enough
// on a phone. A strip that lies outside the photo is left out, and all that come after ctx is cancelled.
func Margins(ctx context.Context, ph *photo.Photo, g *graticule.Graticule) []Picture {
	halfX, halfY := float64(g.Frame.Cols)/2, float64(g.Frame.Rows)/2
	up, down, left, right := reaches(ph, g)
	scale := min(marginScale, pixelsABox(ph, g))
	var out []Picture
	add := func(name string, tall bool, reach, x0, x1, y0, y1 float64) {
		if reach < marginLeast || ctx.Err() != nil {
			return
		}
		if img := straighten(ph, g, x0, x1, y0, y1, scale); img != nil {
			p := encode(name, img)
			p.Tall = tall
			out = append(out, p)
		}
	}
	add("above, left half", false, up, -halfX-left, marginMore, halfY-marginIn, halfY+up)
	add("above, right half", false, up, -marginMore, halfX+right, halfY-marginIn, halfY+up)
	add("left, upper half", true, left, -halfX-left, -halfX+marginIn, -marginMore, halfY)
	add("left, lower half", true, left, -halfX-left, -halfX+marginIn, -halfY, marginMore)
	add("right, upper half", true, right, halfX-marginIn, halfX+right, -marginMore, halfY)
	add("right, lower half", true, right, halfX-marginIn, halfX+right, -halfY, marginMore)
	add("below, left half", false, down, -halfX-left, marginMore, -halfY-down, -halfY+marginIn)
	add("below, right half", false, down, -marginMore, halfX+right, -halfY-down, -halfY+marginIn)
	return out
}

// within says how far, up to reach boxes, one can go outwards from the side a to b before more than
// half of it has left the photo.
func within(ph *photo.Photo, g *graticule.Graticule, a, b, out geom.Box, reach float64) float64 {
	const step, places = 0.1, 9
	far := 0.0
	for d := step; d <= reach+1e-9; d += step {
		in := 0
		for i := range places {
			f := float64(i) / (places - 1)
			q := g.Pixel(geom.Box{X: a.X + f*(b.X-a.X) + d*out.X, Y: a.Y + f*(b.Y-a.Y) + d*out.Y})
			if q.X > 0 && q.Y > 0 && q.X < float64(ph.W) && q.Y < float64(ph.H) {
				in++
			}
		}
		if 2*in <= places {
			break
		}
		far = d
	}
	return far
}

// pixelsABox is the photo's resolution at the middle of the display.
func pixelsABox(ph *photo.Photo, g *graticule.Graticule) float64 {
	a, b, c := g.Pixel(geom.Box{}), g.Pixel(geom.Box{X: 1}), g.Pixel(geom.Box{Y: 1})
	return max(math.Hypot(b.X-a.X, b.Y-a.Y), math.Hypot(c.X-a.X, c.Y-a.Y))
}

// straighten samples the rectangle x0..x1, y0..y1 of the display and stretches its contrast. Places outside the photo
// are grey. It is nil if the rectangle is of no size.
func straighten(ph *photo.Photo, g *graticule.Graticule, x0, x1, y0, y1, scale float64) image.Image {
	out := sampled(ph, g, x0, x1, y0, y1, scale)
	if out == nil {
		return nil
	}
	// The light of what lies near the frame decides: farther out is the bright case, or the room.
	halfX, halfY := float64(g.Frame.Cols)/2+marginNear, float64(g.Frame.Rows)/2+marginNear
	stretch(out, image.Rect(int((-halfX-x0)*scale), int((y1-halfY)*scale), int((halfX-x0)*scale), int((y1+halfY)*scale)))
	return out
}

// sampled samples the rectangle x0..x1, y0..y1 of the display at scale pixels a box; where the photo has more, it is
// reduced first. Places outside the photo stay transparent. It is nil if the rectangle is of no size.
func sampled(ph *photo.Photo, g *graticule.Graticule, x0, x1, y0, y1, scale float64) *image.RGBA {
	w, h := int((x1-x0)*scale), int((y1-y0)*scale)
	if w < 1 || h < 1 {
		return nil
	}
	warp := raster.NewWarp(w, h, func(x, y float64) geom.Pixel {
		return g.Pixel(geom.Box{X: x0 + x/scale, Y: y1 - y/scale})
	})
	lo, hi := warp.Bounds()
	k := max(1, int(pixelsABox(ph, g)/scale))
	// One reduced pixel more on each side, for what lies between it and the next.
	clip := func(v float64, n int) int { return int(min(max(v, 0), float64(n))) } // 0 for NaN
	part := image.Rect(clip(lo.X, ph.W)-k, clip(lo.Y, ph.H)-k, clip(hi.X, ph.W)+2*k, clip(hi.Y, ph.H)+2*k)
	rgb, cut := ph.ReducedRegion(part, k)
	origin := geom.Pixel{X: float64(cut.Min.X), Y: float64(cut.Min.Y)}
	outside := func(geom.Pixel) float32 { return float32(math.NaN()) }
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for c, p := range rgb {
		for i, v := range warp.Of(p, origin, 1/float64(k), outside).Pix {
			if v == v { // not NaN
				out.Pix[4*i+c] = uint8(math.Sqrt(float64(v))*255 + 0.5) // near enough to sRGB to look at
				out.Pix[4*i+3] = 255
			}
		}
	}
	return out
}

// stretch spreads the light so that of the opaque pixels in near one in a hundred is black and one
// white, and paints those that are not opaque grey.
func stretch(m *image.RGBA, near image.Rectangle) {
	var count [256]int
	seen := 0
	near = near.Intersect(m.Rect)
	for y := near.Min.Y; y < near.Max.Y; y++ {
		row := m.Pix[y*m.Stride:]
		for i := 4 * near.Min.X; i < 4*near.Max.X; i += 4 {
			if row[i+3] != 0 {
				count[max(row[i], row[i+1], row[i+2])]++
				seen++
			}
		}
	}
	few := seen / 100
	lo, hi := 0, 255
	for n := count[lo]; n <= few && lo < 255; n += count[lo] {
		lo++
	}
	for n := count[hi]; n <= few && hi > 0; n += count[hi] {
		hi--
	}
	if hi-lo < 8 { // an even field: stretched, it would only show noise
		lo, hi = 0, 255
	}
	var to [256]uint8
	for v := range to {
		to[v] = uint8(min(max((v-lo)*255/(hi-lo), 0), 255))
	}
	for i := 0; i < len(m.Pix); i += 4 {
		if m.Pix[i+3] == 0 {
			m.Pix[i], m.Pix[i+1], m.Pix[i+2], m.Pix[i+3] = 128, 128, 128, 255
			continue
		}
		m.Pix[i], m.Pix[i+1], m.Pix[i+2] = to[m.Pix[i]], to[m.Pix[i+1]], to[m.Pix[i+2]]
	}
}

// encode gives the zero Picture, which the page leaves out, for one that JPEG cannot hold: no pixels,
// or a side of 65536 or more.
func encode(name string, img image.Image) Picture {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil || img.Bounds().Empty() {
		return Picture{}
	}
	return Picture{Name: name, JPEG: b.Bytes(), W: img.Bounds().Dx(), H: img.Bounds().Dy()}
}
