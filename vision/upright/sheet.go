package upright

// A part of the display's plane, sampled evenly: the plane reaches beyond the frame, to the words on the rim
// and on the instrument's front.

import (
	"image"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// leastBox and mostBox are the samples to a box: letters are a fifth to a half of a box high, and their strokes a
	// seventh of that. Where the photo has fewer than leastBox it is enlarged, for the shapes of letters are still in its
	// grey. TestWithoutWordsNothingIsTold would notice twice leastBox, TestWordsTellEveryTurn half of mostBox.
	leastBox, mostBox = 48.0, 72.0
	// darkFloor is added to a lightness of 0..255 before the logarithm: noise of dark parts is no contrast
	// (TestFaintInkIsNoise).
	darkFloor = 12
	// leastSide is the least side of a sheet in samples: a third of a box has no room for a row of letters. Nothing
	// changes from 8 to 32, for all windows of words are larger or lie off the photo.
	leastSide = 16
)

// A window is a part of the plane in boxes.
type window struct{ left, bottom, right, top float64 }

// A sheet has the log lightness of a window, row 0 its top.
type sheet struct {
	w, h   int
	px, py float64 // samples a box, across and up: their ratio is that of a box on the photo, so that letters keep their shape
	win    window
	log    *raster.Plane
}

// A scale is how finely windows are sampled.
type scale struct {
	px, py float64 // samples a box
	k      int     // pixels of the photo to one that is sampled
}

// scaleOf suits the size of a box on the photo; not ok if there is none to speak of.
func scaleOf(g *graticule.Graticule) (s scale, ok bool) {
	l, r := g.Pixel(geom.Box{X: -0.5}), g.Pixel(geom.Box{X: 0.5})
	b, t := g.Pixel(geom.Box{Y: -0.5}), g.Pixel(geom.Box{Y: 0.5})
	across, up := math.Hypot(r.X-l.X, r.Y-l.Y), math.Hypot(t.X-b.X, t.Y-b.Y)
	box := math.Sqrt(across * up)
	if !(across > 4 && up > 4 && across < 10*up && up < 10*across) || math.IsInf(box, 0) {
		return s, false
	}
	n := min(max(box, leastBox), mostBox)
	return scale{n * across / box, n * up / box, max(1, int(box/n))}, true
}

func sheetOf(ph *photo.Photo, g *graticule.Graticule, win window, s scale) *sheet {
	out := &sheet{w: int((win.right - win.left) * s.px), h: int((win.top - win.bottom) * s.py), px: s.px, py: s.py, win: win}
	if out.w < leastSide || out.h < leastSide {
		return nil
	}
	warp := raster.NewWarp(out.w, out.h, func(x, y float64) geom.Pixel { return g.Pixel(out.box(x, y)) })
	lo, hi := warp.Bounds()
	if lo != lo || hi != hi { // NaN: a part lies beyond the display's horizon
		return nil
	}
	clip := func(v float64, n int) int { return int(min(max(v, 0), float64(n))) }
	part := image.Rect(clip(lo.X-2, ph.W), clip(lo.Y-2, ph.H), clip(hi.X+3, ph.W), clip(hi.Y+3, ph.H))
	light, cut := ph.Grey(part, s.k, lightness)
	if light.W < 2 || light.H < 2 {
		return nil
	}
	toLog(light)
	out.log = warp.Of(light, geom.Pixel{X: float64(cut.Min.X), Y: float64(cut.Min.Y)}, 1/float64(s.k), light.Clamped)
	return out
}

// box gives the place of a sample in boxes.
func (s *sheet) box(x, y float64) geom.Box {
	return geom.Box{X: s.win.left + x/s.px, Y: s.win.top - y/s.py}
}

// lightness has the weights of red, green and blue. Blue counts for more than it does to the eye: displays write
// in blue too. TestFaintInkIsNoise would notice if they did not add up to 1.
var lightness = [3]float32{0.3, 0.45, 0.25}

// toLog turns lightness in linear light into its logarithm.
func toLog(light *raster.Plane) {
	raster.Rows(light.H, func(y0, y1 int) {
		part := light.Pix[y0*light.W : y1*light.W]
		for i, v := range part {
			part[i] = logTable[min(len(logTable)-1, max(0, int(float32(len(logTable)-1)*float32(math.Sqrt(float64(v)))+0.5)))]
		}
	})
}

// logTable has the log lightness at v = (i/4095)²: the square root is close to how a picture file codes lightness.
var logTable = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log(255*float64(i)/4095 + darkFloor))
	}
	return t
}()
