package raster

import "math"

// Blur gives the plane smoothed by a Gaussian of standard deviation sigma pixels, cut off at three
// standard deviations; the border is repeated outwards. A sigma of 0 or less copies.
func (p *Plane) Blur(sigma float64) *Plane {
	out := New(p.W, p.H)
	if sigma <= 0 || len(p.Pix) == 0 {
		copy(out.Pix, p.Pix)
		return out
	}
	taps := gauss(sigma)
	r := len(taps) - 1
	across := New(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		padded := make([]float32, p.W+2*r)
		at := func(i int) []float32 { return padded[r+i : r+i+p.W] }
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			for i := range r {
				padded[i], padded[p.W+r+i] = row[0], row[p.W-1]
			}
			copy(padded[r:], row)
			weigh(across.Row(y), taps, at)
		}
	})
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			weigh(out.Row(y), taps, func(i int) []float32 { return across.Row(min(max(y+i, 0), p.H-1)) })
		}
	})
	return out
}

// weigh sets dst to the sum of at(i), i from -r to r, times taps[|i|]. Four of them are added at a time, at first five:
// a loop over the taps inside one over the samples would cost more than the sums.
func weigh(dst, taps []float32, at func(i int) []float32) {
	n := len(dst)
	middle, k0 := at(0)[:n], taps[0]
	i := 1
	for ; i+1 < len(taps); i += 2 {
		a, b, c, d := at(-i)[:n], at(i)[:n], at(-i - 1)[:n], at(i + 1)[:n]
		k, l := taps[i], taps[i+1]
		if i == 1 {
			for x := range dst {
				dst[x] = k0*middle[x] + (k*(a[x]+b[x]) + l*(c[x]+d[x]))
			}
			continue
		}
		for x := range dst {
			dst[x] += k*(a[x]+b[x]) + l*(c[x]+d[x])
		}
	}
	if i == 1 {
		for x, v := range middle {
			dst[x] = k0 * v
		}
	}
	if i < len(taps) {
		a, b, k := at(-i)[:n], at(i)[:n], taps[i]
		for x := range dst {
			dst[x] += k * (a[x] + b[x])
		}
	}
}

// gauss gives the weights of a Gaussian at 0, 1, 2, ... up to three standard deviations. With those at the
// other side they add up to 1.
func gauss(sigma float64) []float32 {
	taps := make([]float32, int(math.Ceil(3*sigma))+1)
	sum := 0.0
	for i := range taps {
		v := math.Exp(-float64(i*i) / (2 * sigma * sigma))
		taps[i] = float32(v)
		if i > 0 {
			v *= 2
		}
		sum += v
	}
	for i := range taps {
		taps[i] /= float32(sum)
	}
	return taps
}
