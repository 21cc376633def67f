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
	// seventh of that. Where the photo has fewer than leastBox it is enlarged, for the shapes of letters are still in its grey.
	leastBox, mostBox = 48.0, 72.0
	// darkFloor is added to a lightness of 0..255 before the logarithm: noise of dark parts is no contrast.
	darkFloor = 12
	// step is over how many samples places on the photo are taken for evenly spaced.
	step = 8
)

// A window is a part of the plane in boxes.
type window struct{ left, bottom, right, top float64 }

// A sheet has the log lightness of a window, row 0 its top.
type sheet struct {
	w, h   int
	px, py float64 // samples a box, across and up: their ratio is that of a box on the photo, so that letters keep their shape
	win    window
	log    []float32
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
	if out.w < 2*step || out.h < 2*step {
		return nil
	}
	// Places on the photo at every step-th sample, and the part of the photo that they lie in.
	nx, ny := out.w/step+2, out.h/step+2
	at := make([]geom.Pixel, nx*ny)
	lo, hi := geom.Pixel{X: math.Inf(1), Y: math.Inf(1)}, geom.Pixel{X: math.Inf(-1), Y: math.Inf(-1)}
	for j := range ny {
		for i := range nx {
			p := g.Pixel(out.box(float64(i*step)+0.5, float64(j*step)+0.5))
			if math.IsNaN(p.X) || math.IsNaN(p.Y) {
				return nil
			}
			at[j*nx+i] = p
			lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
		}
	}
	clip := func(v float64, n int) int { return int(min(max(v, 0), float64(n))) }
	rgb, cut := ph.ReducedRegion(image.Rect(clip(lo.X-2, ph.W), clip(lo.Y-2, ph.H), clip(hi.X+3, ph.W), clip(hi.Y+3, ph.H)), s.k)
	if rgb[0].W < 2 || rgb[0].H < 2 {
		return nil
	}
	light := logLight(rgb)
	out.log = make([]float32, out.w*out.h)
	raster.Rows(out.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row := out.log[y*out.w:][:out.w]
			j, v := y/step, float64(y%step)/step
			for i := 0; i*step < out.w; i++ {
				a, b := at[j*nx+i], at[j*nx+i+1]
				c, d := at[(j+1)*nx+i], at[(j+1)*nx+i+1]
				p := geom.Pixel{X: a.X + v*(c.X-a.X), Y: a.Y + v*(c.Y-a.Y)}
				q := geom.Pixel{X: b.X + v*(d.X-b.X), Y: b.Y + v*(d.Y-b.Y)}
				sample(row[i*step:min((i+1)*step, out.w)], light, p, q, cut.Min, 1/float64(s.k))
			}
		}
	})
	return out
}

// sample fills dst with the light from p towards q, which is step samples on; outside the photo the nearest light goes on.
func sample(dst []float32, light *raster.Plane, p, q geom.Pixel, origin image.Point, scale float64) {
	x, y := (p.X-float64(origin.X))*scale-0.5, (p.Y-float64(origin.Y))*scale-0.5
	dx, dy := (q.X-p.X)*scale/step, (q.Y-p.Y)*scale/step
	w, h := float64(light.W)-1.001, float64(light.H)-1.001
	for n := range dst {
		u, v := min(max(x, 0), w), min(max(y, 0), h)
		i, j := int(u), int(v)
		fu, fv := float32(u-float64(i)), float32(v-float64(j))
		s := light.Pix[j*light.W+i:]
		t := s[light.W:]
		top, low := s[0]+fu*(s[1]-s[0]), t[0]+fu*(t[1]-t[0])
		dst[n] = top + fv*(low-top)
		x += dx
		y += dy
	}
}

// box gives the place of a sample in boxes.
func (s *sheet) box(x, y float64) geom.Box {
	return geom.Box{X: s.win.left + x/s.px, Y: s.win.top - y/s.py}
}

func logLight(rgb [3]*raster.Plane) *raster.Plane {
	out := raster.New(rgb[0].W, rgb[0].H)
	raster.Rows(out.H, func(y0, y1 int) {
		for i := y0 * out.W; i < y1*out.W; i++ {
			// Blue counts for more than it does to the eye: displays write in blue too.
			v := 0.3*rgb[0].Pix[i] + 0.45*rgb[1].Pix[i] + 0.25*rgb[2].Pix[i]
			out.Pix[i] = logTable[min(len(logTable)-1, max(0, int(float32(len(logTable)-1)*sqrt32(v)+0.5)))]
		}
	})
	return out
}

func sqrt32(v float32) float32 { return float32(math.Sqrt(float64(v))) }

// logTable has the log lightness at v = (i/4095)²: the square root is close to how a picture file codes lightness.
var logTable = func() (t [4096]float32) {
	for i := range t {
		t[i] = float32(math.Log(255*float64(i)/4095 + darkFloor))
	}
	return t
}()
