package synth

import (
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// Streams of random numbers, one a purpose, so that a change in one leaves the others alone.
const (
	streamTrace   = 100
	streamScenery = 200
	streamGlare   = 300
	streamRandom  = 400
	streamOverlay = 500
	streamBusy    = 600
	streamHaze    = 700
	streamFingers = 800
	streamAgainst = 900
	streamSketch  = 950
	streamSensor  = 1000 // and one a row after it
)

// A slab is a rectangle with round corners in the display plane, in boxes.
type slab struct {
	x, y, halfX, halfY, round float64
	c                         rgb
}

// distance is how far outside the slab a place is, in boxes; negative inside. Further out than near
// it says only that: more than near.
func (s *slab) distance(x, y, near float64) float64 {
	dx, dy := math.Abs(x-s.x)-s.halfX, math.Abs(y-s.y)-s.halfY
	if dx > near || dy > near {
		return max(dx, dy)
	}
	dx, dy = dx+s.round, dy+s.round
	if dx <= 0 || dy <= 0 {
		return max(dx, dy) - s.round
	}
	return math.Sqrt(dx*dx+dy*dy) - s.round
}

// A scenery is what surrounds the panel: the instrument's front in the display's plane, and behind it
// a bench and a room, out of focus.
type scenery struct {
	slabs []slab // later ones lie on top
	far   [3]*raster.Plane
	mat   *mat    // nil if there is none
	scale float64 // photo pixels to a sample of far
}

const farReduction = 8 // photo pixels to a sample of the room: it is out of focus anyway

func newScenery(s Scene, p panel) *scenery {
	rng := rand.New(rand.NewPCG(s.Seed, streamScenery))
	left, right, bottom, top := p.edges()
	mx, my, hx, hy := (left+right)/2, (bottom+top)/2, (right-left)/2, (top-bottom)/2
	shade := 0.12 + 0.4*rng.Float64()
	warm := 0.08 * (rng.Float64() - 0.3)
	paint := func(v float64) rgb { return rgb{float32(v * (1 + warm)), float32(v), float32(v * (1 - 1.5*warm))} }
	side, rim := 4+3*rng.Float64(), 0.7+0.6*rng.Float64()
	sc := &scenery{scale: farReduction}
	sc.slabs = append(sc.slabs,
		slab{mx + side/2, my - rim/2, hx + rim + side/2, hy + 1.5*rim, 0.5, paint(shade)},
		slab{mx, my, hx + 0.45, hy + 0.45, 0.25, paint(shade * 0.55)},
		slab{mx, my, hx + 0.2, hy + 0.2, 0.1, paint(0.012)})
	for k := range 5 { // keys beside the screen
		y := top - (float64(k)+0.5)*(top-bottom)/5
		sc.slabs = append(sc.slabs, slab{right + rim + 0.3, y, 0.42, 0.28, 0.12, paint(shade * (0.6 + 0.2*rng.Float64()))})
	}
	for k := range 6 { // knobs
		x := right + rim + 1.8 + 1.7*float64(k%2)
		y := top - (0.5+float64(k/2))*(top-bottom)/3
		r := 0.45 + 0.25*rng.Float64()
		sc.slabs = append(sc.slabs,
			slab{x + 0.08, y - 0.1, r * 1.12, r * 1.12, r * 1.1, paint(shade * 0.5)},
			slab{x, y, r, r, r, paint(shade * (0.35 + 0.6*rng.Float64()))},
			slab{x, y + r*0.55, 0.05, r * 0.3, 0.04, paint(0.6)})
	}
	sc.far = farPlanes(s, rng)
	if s.Mat {
		sc.mat = newMat(s, rng)
	}
	return sc
}

// farPlanes paints the room: a wall above a bench, blurred things on both.
func farPlanes(s Scene, rng *rand.Rand) (far [3]*raster.Plane) {
	w, h := s.Camera.Width/farReduction+2, s.Camera.Height/farReduction+2
	tinted := func(c rgb, light float32) rgb { // a room's paints and woods are nearly grey
		for i := range c {
			c[i] *= light * (0.88 + 0.24*rng.Float32())
		}
		return c
	}
	wall := tinted(rgb{0.35, 0.34, 0.31}, 0.4+rng.Float32())
	bench := tinted(rgb{0.22, 0.17, 0.12}, 0.4+1.2*rng.Float32())
	for i := range far {
		far[i] = raster.New(w, h)
	}
	horizon := h/2 + int(float64(h)*0.35*rng.Float64())
	paint := func(x0, y0, x1, y1 int, c rgb) {
		for y := max(y0, 0); y < min(y1, h); y++ {
			for x := max(x0, 0); x < min(x1, w); x++ {
				for i := range far {
					far[i].Pix[y*w+x] = c[i]
				}
			}
		}
	}
	paint(0, 0, w, horizon, wall)
	paint(0, horizon, w, h, bench)
	for range 14 {
		x, y := rng.IntN(w), rng.IntN(h)
		c := tinted(rgb{0.4, 0.4, 0.4}, 1.2*rng.Float32())
		if rng.IntN(4) == 0 {
			c = rgb{0.5 * rng.Float32(), 0.5 * rng.Float32(), 0.45 * rng.Float32()}
		}
		paint(x, y, x+2+rng.IntN(w/6+1), y+2+rng.IntN(h/5+1), c)
	}
	for i := range far {
		far[i] = far[i].Blur(2.5)
		for k := range far[i].Pix { // the grain of the surfaces
			far[i].Pix[k] *= 1 + 0.05*(rng.Float32()-0.5)
		}
	}
	return far
}

// near adds to list the slabs that any of the spots may touch.
func (sc *scenery) near(list []int, spots []spot) []int {
	left, right, bottom, top, size := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1), 0.0
	for _, s := range spots {
		left, right, bottom, top = min(left, s.x), max(right, s.x), min(bottom, s.y), max(top, s.y)
		size = max(size, s.dx+s.dy)
	}
	for i := range sc.slabs {
		b := &sc.slabs[i]
		if !(b.x-b.halfX-size > right || b.x+b.halfX+size < left || b.y-b.halfY-size > top || b.y+b.halfY+size < bottom) {
			list = append(list, i)
		}
	}
	return list
}

// light gives the scenery at a spot that photo pixel q shows; near are the slabs near it.
func (sc *scenery) light(s spot, q geom.Pixel, near []int) (c rgb) {
	if sc.mat != nil {
		c = sc.mat.light(q)
	} else {
		c, _ = raster.Bilinears(sc.far, geom.Pixel{X: q.X/sc.scale + 0.5, Y: q.Y/sc.scale + 0.5})
	}
	size := (s.dx + s.dy) / 2
	for _, i := range near {
		b := &sc.slabs[i]
		if d := b.distance(s.x, s.y, size/2); d < size/2 {
			c = mix(c, b.c, float32(min(0.5-d/size, 1)))
		}
	}
	return c
}

// A mat is a ruled sheet on a bench that the camera sees aslant: a lattice of its own perspective.
type mat struct {
	middle, horizon, height float64 // px: of the photo, of the bench's vanishing line, and a scale
	sin, cos, pitch         float64
	ground, ruling          rgb
}

func newMat(s Scene, rng *rand.Rand) *mat {
	h := float64(s.Camera.Height)
	sin, cos := math.Sincos(within(rng, -0.6, 0.6))
	return &mat{middle: float64(s.Camera.Width) / 2, horizon: -within(rng, 0.3, 1) * h, height: h, sin: sin, cos: cos,
		pitch: within(rng, 0.03, 0.09), ground: oneOf(rng, rgb{0.01, 0.12, 0.08}, rgb{0.03, 0.05, 0.15}, rgb{0.05, 0.05, 0.05}), ruling: rgb{0.35, 0.38, 0.2}}
}

// light of the mat at photo pixel q: lines a twelfth of the pitch wide, smoothed over the pixel.
func (m *mat) light(q geom.Pixel) rgb {
	z := m.height / (q.Y - m.horizon)
	x := (q.X - m.middle) / m.height * z
	a, b := (m.cos*x-m.sin*z)/m.pitch, (m.sin*x+m.cos*z)/m.pitch
	size := z / m.height * max(1, z) / m.pitch // of a pixel, about
	cover := 0.0
	for _, v := range [2]float64{a, b} {
		off := math.Abs(v - math.Round(v))
		cover = max(cover, min(max((1./24-off)/size+0.5, 0), 1))
	}
	return mix(m.ground, m.ruling, float32(cover))
}
