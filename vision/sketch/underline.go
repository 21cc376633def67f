package sketch

// What is drawn on an axis, under or over it.
//
// A decay ends on its ground line, and a line drawn twice is darker and broader than one drawn once. So an axis is
// taken out as the ruling was: what its stroke usually absorbs at each distance from its middle is taken away, and what
// is left counts against the axis's own unevenness, over a short way along it.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// trackReach is over how much of an axis to both sides its middle is told, in squares: a hand leads no ruler, and
	// what crosses it must not draw it aside (TestATailOnAnAxisIsTheCurves).
	trackReach = 1.0
	// alongReach is over how much of an axis to both sides what is drawn on it is told, in squares: pencil is grain
	// (TestATailOnAnAxisIsTheCurves).
	alongReach = 0.15
	// axisRank: so many of an axis's places absorb less than it usually does. Curves may lie on most of it
	// (TestATailOnAnAxisIsTheCurves).
	axisRank = 0.2
	// lowRank is a standard deviation below that and axisDeviations what the middle is above it, in standard
	// deviations, for a normal distribution.
	lowRank, axisDeviations = 0.033, 0.84
	// twiceDrawn is how much more than an axis once is drawn there, in shares of it, where something else lies on it:
	// it is pressed on unevenly (TestATailOnAnAxisIsTheCurves).
	twiceDrawn = 0.5
	// besideAxis is how far beyond its usual breadth an axis is uneven, in squares (TestAxesAreNoCurves).
	besideAxis = 0.07
)

// takeLine takes an axis off the sheet's colours, and from the ink.
func (c *canvas) takeLine(l line) {
	n := l.to - l.from + 1
	at := func(k int, i float64) (x, y float64) {
		if l.level {
			return float64(k), i
		}
		return i, float64(k)
	}
	track := c.track(l)
	reach := int(math.Ceil(l.half + besideAxis*float64(c.per)))
	along := max(1, int(alongReach*float64(c.per)))
	// rest[j][d][k] is what is left of dark, and of the two differences of colour, d cells beside the middle.
	across := 2*reach + 1
	var left, mean [3][][]float32
	for j := range left {
		left[j], mean[j] = make([][]float32, across), make([][]float32, across)
	}
	var usual [3][]float32
	for j := range usual {
		usual[j] = make([]float32, across)
	}
	spread := make([][3]float32, across)
	raster.Rows(across, func(d0, d1 int) {
		values := make([]float32, n)
		for d := d0; d < d1; d++ {
			for j := range left {
				v := make([]float32, n)
				for k := range v {
					x, y := at(l.from+k, track[k]+float64(d-reach))
					v[k] = c.sample(c.colour[j], x, y)
				}
				left[j][d], mean[j][d] = v, meanAlong(v, along)
				copy(values, mean[j][d])
				low := raster.Rank(values, axisRank)
				usual[j][d] = low + axisDeviations*(low-raster.Rank(values, lowRank))
			}
			for j, of := range [3]func(k int) float32{
				func(k int) float32 { return (mean[0][d][k] + mean[1][d][k] + mean[2][d][k]) / 3 },
				func(k int) float32 { u, _ := tints(mean[0][d][k], mean[1][d][k], mean[2][d][k]); return u },
				func(k int) float32 { _, v := tints(mean[0][d][k], mean[1][d][k], mean[2][d][k]); return v },
			} {
				for k := range values {
					values[k] = of(k)
				}
				low := raster.Rank(values, axisRank)
				spread[d][j] = low - raster.Rank(values, lowRank)
			}
		}
	})
	// What is beside the stroke on one side only is another's.
	for d := 0; float64(reach-d) > l.half+1.5; d++ {
		for j := range usual {
			a, b := usual[j][d], usual[j][across-1-d]
			usual[j][d], usual[j][across-1-d] = min(a, max(b, 0)), min(b, max(a, 0))
		}
	}
	peak := float32(inkLeast)
	for d := range across {
		peak = max(peak, (usual[0][d]+usual[1][d]+usual[2][d])/3)
	}
	for k := range n {
		mid := track[k]
		for i := int(math.Ceil(mid - float64(reach))); i <= int(math.Floor(mid+float64(reach))); i++ {
			fx, fy := at(l.from+k, float64(i))
			x, y := int(fx), int(fy)
			if x < 0 || x >= c.w || y < 0 || y >= c.h {
				continue
			}
			d := float64(i) - mid + float64(reach)
			d0 := min(int(d), across-2)
			f := float32(d - float64(d0))
			cell := y*c.w + x
			var rest [3]float32
			for j := range left {
				was := usual[j][d0]*(1-f) + usual[j][d0+1]*f
				c.colour[j].Pix[cell] = left[j][d0][k]*(1-f) + left[j][d0+1][k]*f - was
				// The printed line under an axis may have been taken out for more than it absorbs there.
				rest[j] = mean[j][d0][k]*(1-f) + mean[j][d0+1][k]*f - max(was, 0)
			}
			c.dark.Pix[cell] = (c.colour[0].Pix[cell] + c.colour[1].Pix[cell] + c.colour[2].Pix[cell]) / 3
			c.axis[x*c.h+y] = true
			c.ink.Pix[cell] = 0
			dark := (rest[0] + rest[1] + rest[2]) / 3
			if dark < inkLeast/2 {
				continue
			}
			u, v := tints(rest[0], rest[1], rest[2])
			sd := [3]float32{}
			for j := range sd {
				sd[j] = spread[d0][j]*(1-f) + spread[d0+1][j]*f
			}
			dd, uu, vv := dark/max(sd[0], inkLeast/inkNoise), u/max(sd[1], leastTint), v/max(sd[2], leastTint)
			all := float32(math.Sqrt(float64(dd*dd+uu*uu+vv*vv))) / inkNoise
			c.ink.Pix[cell] = raster.Clip(min(all, dark/(twiceDrawn*peak))-0.5, 0, 1)
		}
	}
}

// track gives the middle of a line's stroke at each of its places, in cells across it.
func (c *canvas) track(l line) []float64 {
	off := make([]float64, l.to-l.from+1)
	reach := int(math.Ceil(l.half + 2))
	for k := range off {
		mid := l.at(l.from + k)
		sum, moment := 0.0, 0.0
		for d := -reach; d <= reach; d++ {
			i := math.Round(mid) + float64(d)
			x, y := i, float64(l.from+k)
			if l.level {
				x, y = y, i
			}
			v := math.Max(float64(c.sample(c.dark, x, y)), 0)
			sum += v
			moment += v * (i - mid)
		}
		off[k] = math.NaN()
		if sum > 0 {
			off[k] = moment / sum
		}
	}
	r := int(trackReach * float64(c.per))
	out := make([]float64, len(off))
	const every = 4 // cells: the middle moves slowly
	for k := 0; k < len(off); k += every {
		var v []float64
		for i := max(k-r, 0); i <= min(k+r, len(off)-1); i += 2 {
			if !math.IsNaN(off[i]) {
				v = append(v, off[i])
			}
		}
		for i := k; i < min(k+every, len(off)); i++ {
			out[i] = l.at(l.from + i)
			if len(v) > 0 {
				out[i] += raster.Median(v)
			}
		}
	}
	return out
}

// sample is a plane's value at a place in cells, between two cells of a row or a column; 0 outside.
func (c *canvas) sample(p *raster.Plane, x, y float64) float32 {
	x0, y0 := int(math.Floor(x)), int(math.Floor(y))
	if x0 < 0 || y0 < 0 || x0 >= c.w || y0 >= c.h {
		return 0
	}
	v := p.Pix[y0*c.w+x0]
	if f := float32(x - float64(x0)); f > 0 && x0+1 < c.w {
		return v + f*(p.Pix[y0*c.w+x0+1]-v)
	}
	if f := float32(y - float64(y0)); f > 0 && y0+1 < c.h {
		return v + f*(p.Pix[(y0+1)*c.w+x0]-v)
	}
	return v
}

// meanAlong is the running mean over r to both sides, fewer at the ends.
func meanAlong(v []float32, r int) []float32 {
	sums := make([]float64, len(v)+1)
	for i, x := range v {
		sums[i+1] = sums[i] + float64(x)
	}
	out := make([]float32, len(v))
	for i := range v {
		a, b := max(i-r, 0), min(i+r+1, len(v))
		out[i] = float32((sums[b] - sums[a]) / float64(b-a))
	}
	return out
}
