// Package photo turns the bytes of a picture file into one upright photo in linear light. It is the
// only room that knows image decoders.
//
// The kind is told by the file's first bytes and that one decoder is called; sizes are checked from
// the header before anything is decoded (see Decode). The decoder's planes are kept as they are, with
// the EXIF orientation noted beside them, and become linear light when they are read: by the inverse
// of the sRGB transfer curve (IEC 61966-2-1). A colour profile in the file is not applied, and a
// phone's own tone mapping cannot be undone: the light is proportional to the scene's only nearly.
package photo

import (
	"image"

	"quadrille/calibrate/remark"
	"quadrille/vision/raster"
)

// A Photo is one upright photograph. Its samples stay as the decoder gave them (a JPEG's planes take
// 1.5 bytes a pixel) and become linear light when they are read. A Photo is never changed after
// Decode and may be read by several goroutines at once.
type Photo struct {
	W, H   int // px, upright
	Source Source
	Doubts []remark.Remark // what a person should know of the file itself; may be nil

	stored      pixels
	turn        turn
	orientation int // 1..8, of turn
}

// A Source tells where a photo came from.
type Source struct {
	SHA256      string // of the file's bytes, hex; "" if made by New
	Kind        string // "jpeg", "png", "webp" or "heic"; "" if made by New
	Taken       string // date and time as the camera wrote them, "2006:01:02 15:04:05"; "" if unknown
	Orientation int    // EXIF orientation 1..8 that was applied; 1 if none
	Noted       bool   // the file has an EXIF orientation: the camera's own sense of down, or what was made of it
	Turned      int    // degrees clockwise after it: 0, 90, 180 or 270
}

// New wraps a picture that is decoded and upright already. The picture is not copied where its kind
// allows, and must not be changed afterwards.
func New(img image.Image) *Photo {
	return assemble(img, 1)
}

// assemble makes a photo of a decoded picture and its EXIF orientation (1..8).
func assemble(img image.Image, orientation int) *Photo {
	p := &Photo{stored: pixelsOf(img), turn: turns[orientation-1], orientation: orientation, Source: Source{Orientation: orientation}}
	p.W, p.H = p.turn.size(p.stored.w, p.stored.h)
	return p
}

// Reduced gives the photo in linear light, k×k pixels averaged to one (k >= 1; a remainder at the
// right and bottom is left out). A position q of the photo is q/k there: both frames count from the
// top-left corner.
func (p *Photo) Reduced(k int) [3]*raster.Plane {
	rgb, _ := p.ReducedRegion(image.Rect(0, 0, p.W, p.H), k)
	return rgb
}

// Region gives the linear light of the pixels in r, which is cut to the photo. Position q of the
// photo is q minus the cut rectangle's Min there. Outside the photo the planes are empty.
func (p *Photo) Region(r image.Rectangle) (rgb [3]*raster.Plane, cut image.Rectangle) {
	return p.ReducedRegion(r, 1)
}

// ReducedRegion is Region with k×k pixels averaged to one: position q of the photo is (q - Min)/k there. The cut
// rectangle's sides are multiples of k.
func (p *Photo) ReducedRegion(r image.Rectangle, k int) (rgb [3]*raster.Plane, cut image.Rectangle) {
	cut = p.cut(r, k)
	return p.planes(cut, k), cut
}

// Grey is ReducedRegion with the three colours weighed and added to one, for a third of its memory.
func (p *Photo) Grey(r image.Rectangle, k int, weights [3]float32) (grey *raster.Plane, cut image.Rectangle) {
	cut = p.cut(r, k)
	grey = raster.New(cut.Dx()/k, cut.Dy()/k)
	p.reduce(cut, k, func(at, step int, light *[3][]float32) {
		r, g, b := light[0], light[1], light[2]
		for x := range r {
			grey.Pix[at] = weights[0]*r[x] + weights[1]*g[x] + weights[2]*b[x]
			at += step
		}
	})
	return grey, cut
}

// cut takes off r what lies outside the photo, and at the right and the bottom what is no whole k pixels.
func (p *Photo) cut(r image.Rectangle, k int) image.Rectangle {
	if k < 1 {
		panic("photo: reduced by less than 1")
	}
	r = r.Intersect(image.Rect(0, 0, p.W, p.H))
	r.Max.X -= r.Dx() % k
	r.Max.Y -= r.Dy() % k
	return r
}

func (p *Photo) planes(r image.Rectangle, k int) (rgb [3]*raster.Plane) {
	for c := range rgb {
		rgb[c] = raster.New(r.Dx()/k, r.Dy()/k)
	}
	if r.Empty() {
		return rgb
	}
	s := p.turn.rect(r, p.stored.w, p.stored.h)
	if _, step := p.turn.place(0, s.Dx()/k, s.Dy()/k); step != 1 {
		p.reduce(r, k, func(at, step int, light *[3][]float32) {
			for c, row := range light {
				pix, i := rgb[c].Pix, at
				for _, v := range row {
					pix[i] = v
					i += step
				}
			}
		})
		return rgb
	}
	// Stored rows are upright ones: they need not be copied.
	w, h := rgb[0].W, rgb[0].H
	raster.Rows(h, func(j0, j1 int) {
		work := p.stored.newScratch(w)
		for j := j0; j < j1; j++ {
			at, _ := p.turn.place(j, w, h)
			light := [3][]float32{rgb[0].Pix[at : at+w], rgb[1].Pix[at : at+w], rgb[2].Pix[at : at+w]}
			p.stored.meanRow(&light, s.Min.X, s.Min.Y+j*k, k, work)
		}
	})
	return rgb
}

// reduce averages k×k pixels of the upright rectangle r, whose sides are multiples of k, and hands
// over the means a stored row at a time: element i of light belongs at index at + i·step of an upright
// plane of r's size over k. The rows come from several goroutines.
func (p *Photo) reduce(r image.Rectangle, k int, put func(at, step int, light *[3][]float32)) {
	if r.Empty() {
		return
	}
	s := p.turn.rect(r, p.stored.w, p.stored.h)
	w, h := s.Dx()/k, s.Dy()/k
	raster.Rows(h, func(j0, j1 int) {
		light := [3][]float32{make([]float32, w), make([]float32, w), make([]float32, w)}
		work := p.stored.newScratch(w)
		for j := j0; j < j1; j++ {
			p.stored.meanRow(&light, s.Min.X, s.Min.Y+j*k, k, work)
			at, step := p.turn.place(j, w, h)
			put(at, step, &light)
		}
	})
}

// Clockwise gives the same photo turned by so many degrees more: 0, 90, 180 or 270, and panics for any other. Its
// samples are shared.
func (p *Photo) Clockwise(degrees int) *Photo {
	if degrees < 0 || degrees > 270 || degrees%90 != 0 {
		panic("photo: turned by what is no quarter")
	}
	out := *p
	out.orientation = turnedBy(p.orientation, degrees)
	out.turn = turns[out.orientation-1]
	out.W, out.H = out.turn.size(p.stored.w, p.stored.h)
	out.Source.Turned = (p.Source.Turned + degrees) % 360
	return &out
}
