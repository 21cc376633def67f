package synth

import (
	"math"
	"math/rand/v2"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// A glass is the pane before the display: it reflects soft patches of room light, lamps, and a veil
// that grows towards one side.
type glass struct {
	veil, veilX, veilY float64 // light at the frame's centre, and its growth to the side and up, 1/box
	patches            []patch
	tint               [3]float64
}

// A patch is a hill of light, exp(−(u²ᵖ + v²ᵖ)/2), where u and v are the distances in sx and sy boxes:
// Gaussian for p = 1, a lamp with edges for more.
type patch struct{ x, y, sx, sy, p, light float64 }

const lampEdges = 5 // the p of a lamp: its rim is a tenth of its size

func newGlass(s Scene, p panel) *glass {
	rng := rand.New(rand.NewPCG(s.Seed, streamGlare))
	c := s.Camera
	left, right, bottom, top := p.edges()
	g := &glass{veil: c.Veil, tint: [3]float64{1, within(rng, 0.95, 1), within(rng, 0.8, 1.1)}}
	towards := within(rng, 0, 2*math.Pi)
	g.veilX, g.veilY = 0.7*math.Cos(towards)/(right-left)*2, 0.7*math.Sin(towards)/(top-bottom)*2
	for range c.Lamps {
		g.patches = append(g.patches, patch{within(rng, left, right), within(rng, bottom, top), within(rng, 0.3, 1.5), within(rng, 0.15, 0.5),
			lampEdges, c.Glare * within(rng, 0.5, 1)})
	}
	if c.Glare <= 0 {
		return g
	}
	light := c.Glare // of the first patch; the others are weaker
	for range 1 + rng.IntN(3) {
		g.patches = append(g.patches, patch{within(rng, left, right), within(rng, bottom, top), within(rng, 0.8, 2.8), within(rng, 0.8, 2.8), 1, light})
		light = c.Glare * within(rng, 0.4, 1)
	}
	return g
}

func (g *glass) light(s spot) rgb {
	sum := g.veil * max(0, 1+g.veilX*s.x+g.veilY*s.y)
	for _, q := range g.patches {
		dx, dy := (s.x-q.x)/q.sx, (s.y-q.y)/q.sy
		u, v := dx*dx, dy*dy
		if u+v > 20 { // less than 1/20000 of the peak
			continue
		}
		if q.p != 1 {
			u, v = math.Pow(u, q.p), math.Pow(v, q.p)
		}
		sum += q.light * math.Exp(-(u+v)/2)
	}
	return rgb{float32(sum * g.tint[0]), float32(sum * g.tint[1]), float32(sum * g.tint[2])}
}

// addDust puts bright specks on the glass, a hundredth of a box or two in size.
func addDust(s Scene, out [3]*raster.Plane, v *view, p panel) {
	rng := rand.New(rand.NewPCG(s.Seed, streamGlare+1))
	left, right, bottom, top := p.edges()
	for range s.Camera.Dust {
		at := v.pixel(geom.Box{X: left + (right-left)*rng.Float64(), Y: bottom + (top-bottom)*rng.Float64()})
		under := v.plane(at)
		size := max(0.6, (0.004+0.012*rng.Float64())/under.dx) // px
		light := 0.02 + 0.2*rng.Float64()*rng.Float64()
		reach := int(4 * size)
		for y := max(int(at.Y)-reach, 0); y <= min(int(at.Y)+reach, s.Camera.Height-1); y++ {
			for x := max(int(at.X)-reach, 0); x <= min(int(at.X)+reach, s.Camera.Width-1); x++ {
				dx, dy := (float64(x)+0.5-at.X)/size, (float64(y)+0.5-at.Y)/size
				for i := range out {
					out[i].Pix[y*s.Camera.Width+x] += float32(light * math.Exp(-(dx*dx+dy*dy)/2))
				}
			}
		}
	}
}

// addCables hangs round leads before the instrument: from its front down, and one across the screen
// if the scene has it.
func addCables(s Scene, out [3]*raster.Plane, v *view, p panel) {
	rng := rand.New(rand.NewPCG(s.Seed, streamGlare+2))
	left, right, bottom, top := p.edges()
	for k := range s.Cables {
		from := geom.Box{X: right + 1.5 + float64(k) + rng.Float64(), Y: bottom - 0.5*rng.Float64()}
		over := geom.Box{X: from.X + within(rng, -3, 2), Y: bottom - 3}
		to := geom.Box{X: from.X + within(rng, -9, 3), Y: bottom - 7}
		addCable(s, out, v, [3]geom.Box{from, over, to}, rng)
	}
	if s.CableAcross {
		from := geom.Box{X: within(rng, left+0.3*(right-left), right), Y: top + 4}
		over := geom.Box{X: within(rng, left, right), Y: (top + bottom) / 2}
		to := geom.Box{X: within(rng, left+0.3*(right-left), right+3), Y: bottom - 7}
		addCable(s, out, v, [3]geom.Box{from, over, to}, rng)
	}
}

// addCable hangs one lead along a parabola.
func addCable(s Scene, out [3]*raster.Plane, v *view, b [3]geom.Box, rng *rand.Rand) {
	c := [][3]float32{{0.02, 0.02, 0.02}, {0.45, 0.04, 0.03}, {0.25, 0.25, 0.25}, {0.04, 0.12, 0.35}}[rng.IntN(4)]
	addRound(s, out, v, b, within(rng, 0.09, 0.16), c)
}

// A finger points at the screen: where its tip lies and whence it comes, in boxes, and its radius.
type finger struct {
	tip, from geom.Box
	radius    float64
}

// fingerOf draws a finger that comes from below or from the right and reaches over the rim.
func fingerOf(s Scene) finger {
	rng := rand.New(rand.NewPCG(s.Seed, streamFingers))
	f := s.Display.Frame
	g := finger{radius: within(rng, 0.4, 0.7)}
	reach, away := within(rng, 0.2, 1.4), within(rng, -4, 4)
	if chance(rng, 0.5) {
		g.tip = geom.Box{X: -f.Left() - reach, Y: within(rng, 0.8, -0.8) * f.Bottom()}
		g.from = geom.Box{X: -f.Left() + 12, Y: g.tip.Y - 3 + away}
	} else {
		g.tip = geom.Box{X: within(rng, 0.8, -0.8) * f.Left(), Y: f.Bottom() + reach}
		g.from = geom.Box{X: g.tip.X + 2 + away, Y: f.Bottom() - 12}
	}
	return g
}

// covered is the part of the frame that the finger hides: left, bottom, right, top of a rectangle round it.
func (g finger) covered(f geom.Frame) [4]float64 {
	rim := geom.Box{X: g.tip.X, Y: g.tip.Y} // where its middle line crosses the frame's rim
	if share := (-f.Left() - g.tip.X) / (g.from.X - g.tip.X); g.from.Y > f.Bottom()-6 && share > 0 && share < 1 {
		rim = geom.Box{X: -f.Left(), Y: g.tip.Y + share*(g.from.Y-g.tip.Y)}
	} else if share := (f.Bottom() - g.tip.Y) / (g.from.Y - g.tip.Y); share > 0 && share < 1 {
		rim = geom.Box{X: g.tip.X + share*(g.from.X-g.tip.X), Y: f.Bottom()}
	}
	return [4]float64{max(min(g.tip.X, rim.X)-g.radius, f.Left()), max(min(g.tip.Y, rim.Y)-g.radius, f.Bottom()),
		min(max(g.tip.X, rim.X)+g.radius, -f.Left()), min(max(g.tip.Y, rim.Y)+g.radius, -f.Bottom())}
}

// addFinger draws the scene's finger.
func addFinger(s Scene, out [3]*raster.Plane, v *view) {
	g := fingerOf(s)
	middle := geom.Box{X: (g.tip.X + g.from.X) / 2, Y: (g.tip.Y + g.from.Y) / 2}
	rng := rand.New(rand.NewPCG(s.Seed, streamFingers+1))
	light := float32(within(rng, 0.4, 1))
	addRound(s, out, v, [3]geom.Box{g.tip, middle, g.from}, g.radius, [3]float32{0.42 * light, 0.24 * light, 0.17 * light})
}

// addRound draws a round thing of a radius in boxes along a parabola (a Bézier curve of three points), lit from
// one side, with round ends.
func addRound(s Scene, out [3]*raster.Plane, v *view, b [3]geom.Box, boxes float64, c [3]float32) {
	radius := boxes / v.plane(v.pixel(geom.Box{})).dx // px
	const pieces = 80
	at := func(t float64) geom.Pixel {
		p, q, r := (1-t)*(1-t), 2*t*(1-t), t*t
		return v.lens.bend(v.h0.Pixel(geom.Box{X: p*b[0].X + q*b[1].X + r*b[2].X, Y: p*b[0].Y + q*b[1].Y + r*b[2].Y}))
	}
	w, h := s.Camera.Width, s.Camera.Height
	away := make(map[int]float64) // px from the lead's middle line, by pixel
	reach := int(radius) + 2
	for k := range pieces {
		p, q := at(float64(k)/pieces), at(float64(k+1)/pieces)
		dx, dy := q.X-p.X, q.Y-p.Y
		for y := max(int(min(p.Y, q.Y))-reach, 0); y <= min(int(max(p.Y, q.Y))+reach, h-1); y++ {
			for x := max(int(min(p.X, q.X))-reach, 0); x <= min(int(max(p.X, q.X))+reach, w-1); x++ {
				ex, ey := float64(x)+0.5-p.X, float64(y)+0.5-p.Y
				t := min(max((ex*dx+ey*dy)/(dx*dx+dy*dy+1e-9), 0), 1)
				d := length(ex-t*dx, ey-t*dy)
				if old, ok := away[y*w+x]; d < radius+0.5 && (!ok || d < old) {
					away[y*w+x] = d
				}
			}
		}
	}
	for k, d := range away {
		cover := float32(min(max(radius+0.5-d, 0), 1))
		round := float32(0.35 + 0.65*math.Sqrt(max(0, 1-d*d/(radius*radius)))) // darker where it turns away
		for i := range out {
			out[i].Pix[k] += cover * (c[i]*round - out[i].Pix[k])
		}
	}
}
