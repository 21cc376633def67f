package sketch

// The middle of a stroke, along its way.
//
// At even steps along a way the excess absorbance is looked at across it, at right angles to where it goes, and the
// centre of what absorbs more than both sides is the stroke's. So a steep flank is as sharp as a flat part. The places
// are then put in order along x: a hand that leans a flank over by less than a stroke's breadth draws it upright.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	// every is the distance of the places along a way, in squares (TestHowNearACurveIsRead).
	every = 0.05
	// tangentReach is how far to both sides a way's direction is told from, in squares (TestHowNearACurveIsRead).
	tangentReach = 0.12
	// leastContrast is what a stroke absorbs more than its sides, to be seen, in noises (TestHowNearACurveIsRead).
	leastContrast = 2.0
	// ownBreadth is the standard uncertainty of a stroke's middle that its places share, as a share of its breadth: a pen
	// leaves more ink on one side (BenchmarkSketches, pulls).
	ownBreadth = 0.015
	// scatterReach is over how many places to both sides it is told how they scatter, about a square (BenchmarkSketches,
	// pulls).
	scatterReach = 20
	// steepest is the slope up to which a place's uncertainty along x counts for y (TestHowNearACurveIsRead).
	steepest = 20.0
	// hiddenGap is the length in squares of a part that was not seen from which on a curve is told to be hidden there
	// (TestHowNearACurveIsRead).
	hiddenGap = 0.3
)

// A point is a place of a curve, in squares from the frame's centre.
type point struct {
	geom.Box
	sigma float64 // square, of y
	steep float64 // sigma of y to that across the stroke
	thick float64 // square, the stroke's breadth across it
}

// points gives the places of a stroke, from left to right; between parts that were not seen there is one with a NaN y.
func (c *canvas) points(s *stroke) []point {
	var px, py []float64 // cells
	for _, p := range s.at {
		px, py = append(px, float64(p.x)+0.5), append(py, float64(p.y)+0.5)
	}
	step := every * float64(c.per)
	sx, sy := evenly(px, py, step/2)
	reach := max(1, int(math.Round(2*tangentReach/every)))
	smooth := max(1, int(0.5*s.half/(step/2)+0.5))
	sx, sy = smoothed(sx, smooth), smoothed(sy, smooth)
	var out []point
	last := -1
	for i := 0; i < len(sx); i += 2 {
		a, b := max(i-reach, 0), min(i+reach, len(sx)-1)
		tx, ty := sx[b]-sx[a], sy[b]-sy[a]
		n := math.Hypot(tx, ty)
		if n == 0 {
			continue
		}
		tx, ty = tx/n, ty/n
		off, sigma, breadth, ok := c.across(sx[i], sy[i], -ty, tx, s.half)
		if !ok {
			continue
		}
		if last >= 0 && float64(i-last)*step/2 > hiddenGap*float64(c.per) {
			out = append(out, point{Box: geom.Box{X: c.x((sx[i] + sx[last]) / 2), Y: math.NaN()}})
		}
		last = i
		steep := math.Hypot(1, min(math.Abs(ty)/max(math.Abs(tx), 1e-6), steepest))
		out = append(out, point{
			Box:   geom.Box{X: c.x(sx[i] - off*ty), Y: c.y(sy[i] + off*tx)},
			sigma: sigma / float64(c.per) * steep, steep: steep, thick: breadth / float64(c.per) * steep,
		})
	}
	scatter(out)
	return inOrder(out)
}

// scatter adds to the sigmas how far places lie beside the middle of their neighbours: a hand's curve is smooth over a
// tenth of a square, and pencil is grain.
func scatter(p []point) {
	off := make([]float64, len(p))
	for i := range p {
		off[i] = math.NaN()
		if i == 0 || i+1 == len(p) {
			continue
		}
		a, b := p[i-1], p[i+1]
		dx, dy := b.X-a.X, b.Y-a.Y
		if n := math.Hypot(dx, dy); n > 0 && n < 4*every { // false where one is hidden
			off[i] = math.Abs((p[i].X-(a.X+b.X)/2)*dy-(p[i].Y-(a.Y+b.Y)/2)*dx) / n
		}
	}
	var v []float64
	for i := range p {
		v = v[:0]
		for _, d := range off[max(i-scatterReach, 0):min(i+scatterReach+1, len(p))] {
			if !math.IsNaN(d) {
				v = append(v, d)
			}
		}
		if len(v) > 0 {
			// Of one place less the mean of two the variance is one and a half times that of one.
			const normal = 1.4826
			p[i].sigma = math.Hypot(p[i].sigma, p[i].steep*normal*raster.Median(v)/math.Sqrt(1.5))
		}
	}
}

// across gives how far beside (x, y) along the normal (nx, ny) the middle of the stroke lies, in cells; its standard
// uncertainty and the stroke's breadth.
func (c *canvas) across(x, y, nx, ny, half float64) (off, sigma, breadth float64, ok bool) {
	const fine = 0.5 // cells
	reach := half + 4
	n := int(reach/fine + 0.5)
	v := make([]float64, 2*n+1)
	for i := range v {
		d := float64(i-n) * fine
		s, inside := c.dark.Bilinear(geom.Pixel{X: x + d*nx, Y: y + d*ny})
		if !inside {
			return 0, 0, 0, false
		}
		v[i] = float64(s)
	}
	// The highest within the stroke's own breadth of its way, and down to both sides.
	best := n
	for i, s := range v {
		if math.Abs(float64(i-n))*fine <= half+2 && s > v[best] {
			best = i
		}
	}
	noise := float64(c.noise.Clamped(geom.Pixel{X: x / float64(c.per), Y: y / float64(c.per)}))
	low := max(min(least(v[:best+1]), least(v[best:])), 0)
	top := v[best] - low
	if top < leastContrast*max(noise, inkLeast/inkNoise) {
		return 0, 0, 0, false
	}
	sum, mid := 0.0, 0.0
	add := func(i int) bool {
		w := v[i] - low - 0.25*top
		if w <= 0 {
			return false
		}
		sum += w
		mid += w * float64(i-n) * fine
		breadth += fine
		return true
	}
	for i := best; i >= 0 && add(i); i-- {
	}
	for i := best + 1; i < len(v) && add(i); i++ {
	}
	off = mid / sum
	return off, math.Hypot(ownBreadth*breadth, noise/top*breadth/2), breadth, math.Abs(off) <= half+3
}

func least(v []float64) float64 {
	m := math.Inf(1)
	for _, x := range v {
		m = min(m, x)
	}
	return m
}

// evenly gives places at even distances along a line of straight pieces.
func evenly(x, y []float64, step float64) (ex, ey []float64) {
	ex, ey = append(ex, x[0]), append(ey, y[0])
	left := step
	for i := 1; i < len(x); i++ {
		d := math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
		for at := left; at <= d; at += step {
			ex = append(ex, x[i-1]+(x[i]-x[i-1])*at/d)
			ey = append(ey, y[i-1]+(y[i]-y[i-1])*at/d)
			left += step
		}
		left -= d
	}
	return ex, ey
}

// smoothed is the running mean over r to both sides, fewer at the ends.
func smoothed(v []float64, r int) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		k := min(r, i, len(v)-1-i)
		for _, x := range v[i-k : i+k+1] {
			out[i] += x / float64(2*k+1)
		}
	}
	return out
}

// inOrder gives the places with x in strictly growing order: where it goes back, the best growing order through all
// (pool adjacent violators; M. Ayer and others, Annals of Mathematical Statistics 26 (1955) 641).
func inOrder(p []point) []point {
	type pool struct {
		sum float64
		n   int
	}
	var pools []pool
	for _, q := range p {
		pools = append(pools, pool{q.X, 1})
		for k := len(pools) - 1; k > 0 && pools[k].sum*float64(pools[k-1].n) <= pools[k-1].sum*float64(pools[k].n); k-- {
			pools[k-1] = pool{pools[k-1].sum + pools[k].sum, pools[k-1].n + pools[k].n}
			pools = pools[:k]
		}
	}
	const apart = 1e-6 // square: an upright part keeps its places, one after the other
	i := 0
	for _, q := range pools {
		for k := range q.n {
			x := q.sum/float64(q.n) + apart*(float64(k)-float64(q.n-1)/2)
			// A flank that leans back is drawn upright here, and lies beside its stroke by as much.
			p[i].sigma = math.Hypot(p[i].sigma, math.Abs(x-p[i].X)*math.Sqrt(p[i].steep*p[i].steep-1))
			p[i].X = x
			i++
		}
	}
	return p
}

// colourOf is the mean colour of the photo on a stroke, sRGB.
func (c *canvas) colourOf(s *stroke, light func(b geom.Box) ([3]float32, bool)) [3]uint8 {
	var sum [3]float64
	n := 0.0
	for i := 6; i < len(s.at); i += 7 {
		x, y := s.at[i].x, s.at[i].y
		if c.ink.Pix[y*c.w+x] < 1 {
			continue
		}
		if v, ok := light(geom.Box{X: c.x(float64(x) + 0.5), Y: c.y(float64(y) + 0.5)}); ok {
			for k := range sum {
				sum[k] += float64(v[k])
			}
			n++
		}
	}
	var out [3]uint8
	for k := range out {
		out[k] = srgb(sum[k] / max(n, 1))
	}
	return out
}

// srgb codes linear light by IEC 61966-2-1.
func srgb(v float64) uint8 {
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(raster.Clip(v*255+0.5, 0, 255))
}
