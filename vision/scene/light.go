package scene

// Log lightness.
//
// The search needs contrast that does not depend on the light that falls on a part of the display: it works on the
// logarithm of the lightness, where a line is a constant step below or above its field, in glare as in shadow.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// darkFloor is added to a lightness of 0..255 before the logarithm: the noise of dark parts must not count as
// contrast (TestNoiseInTheDarkIsNoContrast).
const darkFloor = 12

// A Picture has the log lightness of the photo, or of a part of it. The place q of the photo is
// (q - Origin)·Scale on it; both count from the top-left corner.
type Picture struct {
	Plane  *raster.Plane
	Origin geom.Pixel
	Scale  float64 // samples to a pixel of the photo
}

// Place gives the place on the picture that shows the place q of the photo.
func (p *Picture) Place(q geom.Pixel) geom.Pixel {
	return geom.Pixel{X: (q.X - p.Origin.X) * p.Scale, Y: (q.Y - p.Origin.Y) * p.Scale}
}

// Run writes len(dst) samples at even distances from a to b, places of the photo, to dst; false, and nothing is
// written, if an end is outside.
func (p *Picture) Run(dst []float32, a, b geom.Pixel) bool {
	return p.Plane.Run(dst, p.Place(a), p.Place(b))
}

// At gives the log lightness at the place q of the photo; ok is false outside.
func (p *Picture) At(q geom.Pixel) (v float32, ok bool) { return p.Plane.Bilinear(p.Place(q)) }

// logTable has ln(255·√v + darkFloor) at v = (i/4095)²: the square root is close to how a picture file codes
// lightness, and makes dark steps fine.
var logTable = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log(255*float64(i)/4095 + darkFloor))
	}
	return t
}()

// logOf gives the log of linear light v, 0..1.
func logOf(v float32) float32 {
	return logTable[min(4095, max(0, int(4095*float32(math.Sqrt(float64(v)))+0.5)))]
}

// logLight gives the log lightness of linear light. Blue counts for more than it does to the eye: many displays rule
// their grid in blue.
func logLight(rgb [3]*raster.Plane) *raster.Plane {
	out := raster.New(rgb[0].W, rgb[0].H)
	raster.Rows(out.H, func(y0, y1 int) {
		for i := y0 * out.W; i < y1*out.W; i++ {
			out.Pix[i] = logOf(0.3*rgb[0].Pix[i] + 0.45*rgb[1].Pix[i] + 0.25*rgb[2].Pix[i])
		}
	})
	return out
}
