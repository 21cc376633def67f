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
	kernel := gauss(sigma)
	r := len(kernel) / 2
	across := New(p.W, p.H)
	Rows(p.H, func(y0, y1 int) {
		padded := make([]float32, p.W+2*r)
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			for i := range r {
				padded[i], padded[p.W+r+i] = row[0], row[p.W-1]
			}
			copy(padded[r:], row)
			dst := across.Row(y)
			for x := range dst {
				var s float32
				for i, k := range kernel {
					s += k * padded[x+i]
				}
				dst[x] = s
			}
		}
	})
	Rows(p.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := out.Row(y)
			for i, k := range kernel {
				src := across.Row(min(max(y+i-r, 0), p.H-1))
				for x, v := range src {
					dst[x] += k * v
				}
			}
		}
	})
	return out
}

func gauss(sigma float64) []float32 {
	r := int(math.Ceil(3 * sigma))
	k := make([]float32, 2*r+1)
	sum := 0.0
	for i := range k {
		d := float64(i - r)
		v := math.Exp(-d * d / (2 * sigma * sigma))
		k[i] = float32(v)
		sum += v
	}
	for i := range k {
		k[i] /= float32(sum)
	}
	return k
}
