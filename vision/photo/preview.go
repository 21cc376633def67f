package photo

import (
	"image"
	"math"
)

// Upright gives the picture for people, in sRGB of 8 bits or what the file has, with the orientation applied. It
// may share memory with the photo and must not be changed. A photo that the camera stored turned is copied at
// four bytes a pixel: Preview is the cheaper way to a smaller picture.
func (p *Photo) Upright() image.Image {
	seen := p.stored.picture()
	if p.orientation == 1 {
		return seen
	}
	from := seen.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, p.W, p.H))
	for y := range p.H {
		for x := range p.W {
			sx, sy := p.turn.pixel(x, y, from.Dx(), from.Dy())
			out.Set(x, y, seen.At(from.Min.X+sx, from.Min.Y+sy))
		}
	}
	return out
}

// Preview gives Reduced(k) for people: k×k pixels averaged in linear light and coded in sRGB again. It
// is the caller's to draw on.
func (p *Photo) Preview(k int) *image.RGBA {
	r := p.cut(image.Rect(0, 0, p.W, p.H), k)
	out := image.NewRGBA(image.Rect(0, 0, r.Dx()/k, r.Dy()/k))
	code := codeTable()
	p.reduce(r, k, func(at, step int, light *[3][]float32) {
		r, g, b := light[0], light[1], light[2]
		for x := range r {
			s := out.Pix[4*(at+x*step):][:4]
			s[0], s[1], s[2], s[3] = code[index(r[x])], code[index(g[x])], code[index(b[x])], 255
		}
	})
	return out
}

// codes is fine enough that each 8-bit value comes back as itself: the steepest part of the sRGB curve climbs 12.92·255
// steps for a unit of light, and half a step is lost on either side. Nothing changes from 8192 to 65536; of 4096
// TestPreviewOfOneIsThePicture would notice.
const codes = 1 << 14

func index(light float32) int { return min(max(int(light*(codes-1)+0.5), 0), codes-1) }

// codeTable gives the 8-bit sRGB value of linear light, by IEC 61966-2-1.
func codeTable() *[codes]uint8 {
	var t [codes]uint8
	for i := range t {
		v := float64(i) / (codes - 1)
		if v <= 0.0031308 {
			v *= 12.92
		} else {
			v = 1.055*math.Pow(v, 1/2.4) - 0.055
		}
		t[i] = uint8(v*255 + 0.5)
	}
	return &t
}
