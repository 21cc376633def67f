package photo

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"
)

// pixels holds a decoded picture in one of four kinds, without transparency, with its origin at
// (0, 0). Exactly one of the four is set; a switch on them costs nothing in the row loops, where a
// call of At for each pixel would cost more than the work.
type pixels struct {
	w, h int
	ycc  *image.YCbCr  // 8 bits, full range (ITU-T T.871)
	grey *image.Gray   // 8 bits
	rgb  *image.RGBA   // 8 bits, opaque
	deep *image.RGBA64 // 16 bits, opaque
	sx   int           // ycc: luma columns a chroma column: 1, 2 or 4
	sy   int           // ycc: luma rows a chroma row: 1 or 2
	cw   int           // ycc: chroma columns
	ch   int           // ycc: chroma rows
}

// pixelsOf takes a decoder's picture. Kinds that are not kept are drawn anew; what is transparent
// lies on white, as a drawing lies on paper.
func pixelsOf(img image.Image) pixels {
	b := img.Bounds()
	p := pixels{w: b.Dx(), h: b.Dy()}
	if b.Min == (image.Point{}) {
		switch m := img.(type) {
		case *image.YCbCr:
			p.keepYCbCr(m)
			return p
		case *image.NYCbCrA:
			if m.Opaque() {
				p.keepYCbCr(&m.YCbCr)
				return p
			}
		case *image.Gray:
			p.grey = m
			return p
		case *image.RGBA:
			if m.Opaque() {
				p.rgb = m
				return p
			}
		case *image.NRGBA:
			if m.Opaque() { // then both kinds store the same bytes
				p.rgb = &image.RGBA{Pix: m.Pix, Stride: m.Stride, Rect: m.Rect}
				return p
			}
		case *image.RGBA64:
			if m.Opaque() {
				p.deep = m
				return p
			}
		case *image.NRGBA64:
			if m.Opaque() {
				p.deep = &image.RGBA64{Pix: m.Pix, Stride: m.Stride, Rect: m.Rect}
				return p
			}
		}
	}
	r := image.Rect(0, 0, p.w, p.h)
	switch img.ColorModel() {
	case color.RGBA64Model, color.NRGBA64Model, color.Gray16Model:
		p.deep = image.NewRGBA64(r)
		draw.Draw(p.deep, r, image.White, image.Point{}, draw.Src)
		draw.Draw(p.deep, r, img, b.Min, draw.Over)
	default:
		p.rgb = image.NewRGBA(r)
		draw.Draw(p.rgb, r, image.White, image.Point{}, draw.Src)
		draw.Draw(p.rgb, r, img, b.Min, draw.Over)
	}
	return p
}

func (p *pixels) keepYCbCr(m *image.YCbCr) {
	p.ycc, p.sx, p.sy = m, 1, 1
	switch m.SubsampleRatio {
	case image.YCbCrSubsampleRatio422:
		p.sx = 2
	case image.YCbCrSubsampleRatio420:
		p.sx, p.sy = 2, 2
	case image.YCbCrSubsampleRatio440:
		p.sy = 2
	case image.YCbCrSubsampleRatio411:
		p.sx = 4
	case image.YCbCrSubsampleRatio410:
		p.sx, p.sy = 4, 2
	}
	p.cw, p.ch = (p.w+p.sx-1)/p.sx, (p.h+p.sy-1)/p.sy
}

// picture gives the pixels as a picture, in sRGB.
func (p *pixels) picture() image.Image {
	switch {
	case p.ycc != nil:
		return p.ycc
	case p.grey != nil:
		return p.grey
	case p.rgb != nil:
		return p.rgb
	}
	return p.deep
}

// Colour is computed in units of a quarter of an 8-bit step, so that rounding it to whole steps does
// not add to the rounding of the file's own planes. The table of light reaches beyond 0 and 255, as
// far as T.871's equations can; there it is clipped, as T.871 says. TestLightOutsideTheRangeIsClipped and
// TestPixelsAgreeWithTheReferenceDecoders would notice other numbers.
const (
	steps = 4            // table entries for one 8-bit step
	zero  = 256 * steps  // index of black
	reach = 1024 * steps // entries; a power of two, so that masking replaces bounds checks
	mask  = reach - 1
	whole = 64 // weights of the chroma interpolation add up to this

	// ITU-T T.871 (JFIF), conversion to RGB: 1.402, 0.344136, 0.714136 and 1.772, from chroma in units of
	// 1/whole to table entries, times 2^16.
	redOfCr   = 5743
	greenOfCb = -1410
	greenOfCr = -2925
	blueOfCb  = 7258
)

var (
	lightOf = lightTable()
	light8  = light8Table()
	light16 = sync.OnceValue(light16Table) // few photos need it
)

// Linear light of an sRGB value c in 0..1, by IEC 61966-2-1.
func linear(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

func lightTable() (t [reach]float32) {
	for i := range t {
		t[i] = float32(linear(min(max(float64(i-zero)/(255*steps), 0), 1)))
	}
	return t
}

func light8Table() (t [256]float32) {
	for i := range t {
		t[i] = float32(linear(float64(i) / 255))
	}
	return t
}

func light16Table() []float32 {
	t := make([]float32, 65536)
	for i := range t {
		t[i] = float32(linear(float64(i) / 65535))
	}
	return t
}

// luma gives the place of a luma sample in the table of light, where its tint is added.
func luma(y uint8) int32 { return int32(y)*steps + zero }

// blend tells which two of n chroma samples surround luma sample x, and the weight of the second in
// eighths. A chroma sample lies in the middle of the s luma samples it covers (T.871, spatial relationship
// of components); beyond the outermost centres it is repeated.
func blend(x, s, n int) (i0, i1 int, w int32) {
	f := (2*x + 1 - s) * 4 / s
	if f < 0 { // left of the first centre: Go rounds towards zero
		return 0, 0, 0
	}
	i0 = f >> 3
	return min(i0, n-1), min(i0+1, n-1), int32(f & 7)
}

// tintOf gives the tint of cb and cr, in 1/whole.
func tintOf(cb, cr int32) tint {
	cb -= 128 * whole
	cr -= 128 * whole
	const half = 1 << 15 // rounds; TestRegionFollowsTheTextbook would notice
	return tint{(redOfCr*cr + half) >> 16, (greenOfCb*cb + greenOfCr*cr + half) >> 16, (blueOfCb*cb + half) >> 16}
}
