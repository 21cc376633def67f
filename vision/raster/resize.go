package raster

// Planes of other sizes: halved, doubled, reduced or enlarged by a whole factor, and with their axes swapped.

import "quadrille/vision/geom"

// Reduce gives the means over k×k samples (k >= 1); a remainder at the right and at the bottom is left
// out. A position q of the plane is q/k there: both frames count from the top-left corner.
func (p *Plane) Reduce(k int) *Plane {
	if k < 1 {
		panic("raster: reduced by less than 1")
	}
	if k == 2 {
		return p.Halve()
	}
	out := New(p.W/k, p.H/k)
	f := 1 / float32(k*k)
	Rows(out.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Row(y)
			for d := range k {
				row := p.Row(y*k + d)
				for x := range dst {
					var s float32
					for _, v := range row[x*k:][:k] {
						s += v
					}
					dst[x] += s
				}
			}
			for x := range dst {
				dst[x] *= f
			}
		}
	})
	return out
}

// Halve is Reduce(2), in a loop of its own.
func (p *Plane) Halve() *Plane {
	out := New(p.W/2, p.H/2)
	Rows(out.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Row(y)
			a, b := p.Row(2 * y)[:2*len(dst)], p.Row(2*y + 1)[:2*len(dst)]
			for x := range dst {
				dst[x] = (a[2*x] + a[2*x+1] + b[2*x] + b[2*x+1]) / 4
			}
		}
	})
	return out
}

// Double gives the plane at twice its size, bilinear; the border is repeated outwards. A position q of
// the plane is 2q there.
func (p *Plane) Double() *Plane {
	out := New(2*p.W, 2*p.H)
	if out.W == 0 {
		return out
	}
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			here := p.Row(y)
			double(out.Row(2*y), here, p.Row(max(y-1, 0)))
			double(out.Row(2*y+1), here, p.Row(min(y+1, p.H-1)))
		}
	})
	return out
}

// double writes one row of a doubled plane: 3/4 of its samples are near's, 1/4 far's.
func double(dst, near, far []float32) {
	last := 3*near[0] + far[0] // four times the row's value at the sample before
	here := last
	for i := range near {
		next := here
		if i+1 < len(near) {
			next = 3*near[i+1] + far[i+1]
		}
		dst[2*i], dst[2*i+1] = (3*here+last)/16, (3*here+next)/16
		last, here = here, next
	}
}

// Transpose swaps the axes: sample (x, y) goes to (y, x).
func (p *Plane) Transpose() *Plane {
	const tile = 32 // samples a side: two tiles fit the first cache; of the result nothing changes from 16 to 64
	out := New(p.H, p.W)
	Rows((p.H+tile-1)/tile, func(t0, t1 int) {
		for t := t0; t < t1; t++ {
			yEnd := min((t+1)*tile, p.H)
			for x0 := 0; x0 < p.W; x0 += tile {
				for x := x0; x < min(x0+tile, p.W); x++ {
					dst := out.Row(x)
					for y := t * tile; y < yEnd; y++ {
						dst[y] = p.Pix[y*p.W+x]
					}
				}
			}
		}
	})
	return out
}

// Enlarged gives a function that fills dst with row y of the plane enlarged k times, of which sample x is what Clamped
// gives at ((x+0.5)/k, (y+0.5)/k). The function may be called at once from many sides. No row is longer than w.
func (p *Plane) Enlarged(k, w int) func(dst []float32, y int) {
	type column struct {
		at    int
		share float32
	}
	columns := make([]column, w)
	middle := func(i, n int) float64 { return min(max((float64(i)+0.5)/float64(k), 0.5), float64(n)-0.5) }
	for i := range columns {
		x, _ := p.place(geom.Pixel{X: middle(i, p.W), Y: 0.5})
		columns[i] = column{int(x >> 32), share(x)}
	}
	return func(dst []float32, y int) {
		_, v := p.place(geom.Pixel{X: 0.5, Y: middle(y, p.H)})
		fy := share(v)
		high, low := p.Row(int(v>>32)), p.Row(int(v>>32)+1)
		for i, c := range columns[:len(dst)] {
			a, b := high[c.at], low[c.at]
			a += c.share * (high[c.at+1] - a)
			b += c.share * (low[c.at+1] - b)
			dst[i] = a + fy*(b-a)
		}
	}
}
