package fit

// Where a short stretch of a line lies on the photo: a piece of a rim, a tick, two arms of a cross.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// stretchRows is how many rows there are at least across a span of a stretch
// (nothing changes from 3 to 10, TestRimsAreSeenUpToAFifthOfABoxOff).
const stretchRows = 5

// A Stretch is seen at the places (At + off, t) of an upright line, t in its spans, in boxes from the frame's centre;
// for a level one the other way round.
type Stretch struct {
	Of    lattice.Family
	At    float64
	Spans [][2]float64
}

// BoxLong is the stretch of one box from the crossing line at from, its ends left out.
func BoxLong(of lattice.Family, at, from float64) Stretch {
	return Stretch{of, at, [][2]float64{{from + lattice.AlongFrom, from + 1 - lattice.AlongFrom}}}
}

// See looks across the stretch, up to reach boxes beside it, and gives its place on the photo and the ridge's height,
// in units of the rms beside it; in is false outside the photo. sign is 1 for bright lines and -1 for dark ones.
func (k *Stretch) See(near *scene.Picture, m *Model, sign float32, reach float64) (place geom.Pixel, height float64, in bool) {
	at := func(off, t float64) geom.Pixel {
		if k.Of == lattice.Upright {
			return m.Pixel(geom.Box{X: k.At + off, Y: t})
		}
		return m.Pixel(geom.Box{X: t, Y: k.At + off})
	}
	total := 0.0
	for _, s := range k.Spans {
		total += s[1] - s[0]
	}
	mid := (k.Spans[0][0] + k.Spans[len(k.Spans)-1][1]) / 2
	a, b := at(-0.5, mid), at(0.5, mid)
	px := math.Hypot(b.X-a.X, b.Y-a.Y) * near.Scale
	c, d := at(0, mid-0.5), at(0, mid+0.5)
	along := math.Hypot(d.X-c.X, d.Y-c.Y) * near.Scale
	if px < leastBox {
		return place, 0, false
	}
	const wide = len(ridgeKernel) / 2 // TestRimsAreSeenUpToAFifthOfABoxOff
	step := max(ridgeWidth, 1.5/px) / ridgeSteps
	half := int(reach/step) + 1 + wide
	n := 2*half + 1
	row := make([]float32, n)
	ridge := make([]float32, n)
	mean := make([]float64, n)
	rows, asked := 0.0, 0.0
	for _, s := range k.Spans {
		count := min(max(int((s[1]-s[0])*along), stretchRows), MostRows)
		for r := range count {
			asked++
			t := s[0] + (s[1]-s[0])*(float64(r)+0.5)/float64(count)
			if !near.Run(row, at(-float64(half)*step, t), at(float64(half)*step, t)) {
				continue
			}
			power := 0.0
			for i := wide; i < n-wide; i++ {
				var v float32
				for j, w := range ridgeKernel {
					v += w * row[i-wide+j]
				}
				ridge[i] = sign * v
				power += float64(v * v)
			}
			// A row over its own strength, so that a trace across one row does not rule.
			w := 1 / (math.Sqrt(power/float64(n-2*wide)) + 2*scene.NoiseFloor)
			for i := wide; i < n-wide; i++ {
				mean[i] += w * float64(ridge[i])
			}
			rows++
		}
	}
	if 2*rows < asked {
		return place, 0, false
	}
	best := wide + 1
	for i := best; i < n-wide-1; i++ {
		if mean[i] > mean[best] {
			best = i
		}
	}
	l, c0, h := mean[best-1], mean[best], mean[best+1]
	if c0 < l || c0 < h || c0 <= 0 {
		return place, 0, true
	}
	part := 0.0
	if den := l - 2*c0 + h; den < 0 {
		part = 0.5 * (l - h) / den
	}
	a, b = at(-float64(half)*step, mid), at(float64(half)*step, mid)
	f := (float64(best) + part) / float64(n-1)
	return geom.Pixel{X: a.X + f*(b.X-a.X), Y: a.Y + f*(b.Y-a.Y)}, c0 / rows, true
}

// RimClear is the height of a rim's ridge, of the rms beside it; noise gives 0.3 (TestRimsAreSeenUpToAFifthOfABoxOff).
const RimClear = 0.6

// RimOff is how far, in boxes, the farther of the left and right rim of f is from its place, half a box from the last
// line; of those of which half is seen.
func RimOff(near *scene.Picture, m *Model, f geom.Frame, sign float32) (off float64) {
	const reach = 0.2 // box (TestRimsAreSeenUpToAFifthOfABoxOff)
	for _, x := range [2]float64{f.Left(), -f.Left()} {
		var at []float64
		for c := range f.Rows {
			k := BoxLong(lattice.Upright, x, f.Bottom()+float64(c))
			if p, height, in := k.See(near, m, sign, reach); in && height > RimClear {
				at = append(at, m.Box(p).X-x)
			}
		}
		if 2*len(at) >= f.Rows {
			off = max(off, math.Abs(raster.Median(at)))
		}
	}
	return off
}
