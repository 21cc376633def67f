package marks

import (
	"math"

	"quadrille/vision/fit"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// A drawing is a frame of 10 × 8 boxes of 60 pixels on which there are rims, ticks and what else is asked for.
type drawing struct {
	rim   func(fam lattice.Family, at float64, cell int) float64 // height of a piece of a rim; nil for 1
	ticks int                                                    // a box
	// height of the k-th tick from the centre along a family's ticks; nil for 1
	tick   func(fam lattice.Family, k int, x float64) float64
	length func(division bool) float64 // boxes; nil for 0.13
	beyond float64                     // boxes past the rims to which ticks go on
	also   func(b geom.Box) float64
	shift  geom.Box // of the drawing from where the rectangle has it
}

const drawnBox = 60

func bell(x float64) float64 { return math.Exp(-x * x / (2 * 0.02 * 0.02)) }

func (d drawing) light(b geom.Box) (v float64) {
	rim := func(fam lattice.Family, at float64, cell int) float64 {
		if d.rim == nil {
			return 1
		}
		return d.rim(fam, at, cell)
	}
	if math.Abs(b.Y) < 4 {
		for _, x := range [2]float64{-5, 5} {
			v = max(v, rim(lattice.Upright, x, int(math.Floor(b.Y)))*bell(b.X-x))
		}
	}
	if math.Abs(b.X) < 5 {
		for _, y := range [2]float64{-4, 4} {
			v = max(v, rim(lattice.Level, y, int(math.Floor(b.X)))*bell(b.Y-y))
		}
	}
	if d.ticks > 0 {
		stand := func(fam lattice.Family, x, along, y, across float64) {
			k := int(math.Round(x * float64(d.ticks)))
			if math.Abs(x) > along+d.beyond+0.02 || math.Abs(y) > across {
				return
			}
			long := 0.13
			if d.length != nil {
				long = d.length(k%d.ticks == 0)
			}
			if min(across-math.Abs(y), math.Abs(y)) > long {
				return
			}
			h := 1.0
			if d.tick != nil {
				h = d.tick(fam, k, x)
			}
			off := x - float64(k)/float64(d.ticks)
			if h < 0 { // wide, so that the highest light near its place is dark too
				off *= 0.08 * float64(d.ticks)
			}
			if t := h * bell(off); math.Abs(t) > math.Abs(v) {
				v = t
			}
		}
		stand(lattice.Upright, b.X, 5, b.Y, 4)
		stand(lattice.Level, b.Y, 4, b.X, 5)
	}
	if d.also != nil {
		v = max(v, d.also(b))
	}
	return 0.5 * v
}

// rectangle gives the picture of the drawing with the rectangle at its frame.
func (d drawing) rectangle() rectangle {
	const w, h = 13 * drawnBox, 11 * drawnBox
	m := geom.Homography{drawnBox, 0, w / 2, 0, -drawnBox, h / 2, 0, 0, 1}
	p := &scene.Picture{Plane: raster.New(w, h), Scale: 1}
	for y := range h {
		for x := range w {
			b := m.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			p.Plane.Row(y)[x] = float32(d.light(geom.Box{X: b.X - d.shift.X, Y: b.Y - d.shift.Y}))
		}
	}
	f := geom.Frame{Cols: 10, Rows: 8}
	r := rectangle{near: p, m: *fit.New(w, h, m, f), sign: 1, frame: f}
	r.sample()
	return r
}
