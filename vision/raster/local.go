package raster

// The mean and the spread of the neighbourhood of each sample, by running sums over columns and along rows.

import "math"

// band is how many rows share running sums. Each band begins anew, so that the sums do not depend on how rows are
// spread over cores; a smaller one would begin too often. It costs time only: of what is computed nothing changes from
// 128 to 512.
const band = 256

// Local gives, for each sample, the mean and the standard deviation of those at most rx columns and ry rows
// from it.
func (p *Plane) Local(rx, ry int) (mean, spread *Plane) {
	mean, spread = New(p.W, p.H), New(p.W, p.H)
	Rows((p.H+band-1)/band, func(b0, b1 int) {
		// Sums over columns, with zeros at either side for what lies beyond the plane.
		sums, squares := make([]float64, p.W+2*rx+1), make([]float64, p.W+2*rx+1)
		for y := b0 * band; y < min(b1*band, p.H); y++ {
			if y%band == 0 {
				clear(sums)
				clear(squares)
				for j := max(y-ry, 0); j < min(y+ry, p.H); j++ {
					enter(sums[rx+1:], squares[rx+1:], p.Row(j), 1)
				}
			} else if y-ry-1 >= 0 {
				enter(sums[rx+1:], squares[rx+1:], p.Row(y-ry-1), -1)
			}
			if y+ry < p.H {
				enter(sums[rx+1:], squares[rx+1:], p.Row(y+ry), 1)
			}
			rows := min(y+ry, p.H-1) - max(y-ry, 0) + 1
			momentsOf(mean.Row(y), spread.Row(y), sums, squares, rx, rows)
		}
	})
	return mean, spread
}

// enter adds a row to the sums over columns, or takes it off with sign -1.
func enter(sums, squares []float64, row []float32, sign float64) {
	sums, squares = sums[:len(row)], squares[:len(row)]
	for x, v := range row {
		w := float64(v)
		sums[x] += sign * w
		squares[x] += sign * w * w
	}
}

// momentsOf slides along a row of sums over columns of so many rows.
func momentsOf(mean, spread []float32, sums, squares []float64, rx, rows int) {
	n := len(mean)
	var s, q float64
	for i := rx + 1; i < 2*rx+1; i++ {
		s += sums[i]
		q += squares[i]
	}
	inS, inQ, outS, outQ := sums[2*rx+1:][:n], squares[2*rx+1:][:n], sums[:n], squares[:n]
	spread = spread[:n]
	for x := range mean {
		s += inS[x] - outS[x]
		q += inQ[x] - outQ[x]
		f := 1 / float64((min(x+rx, n-1)-max(x-rx, 0)+1)*rows)
		m := s * f
		mean[x] = float32(m)
		v := q*f - m*m
		if v < 0 { // by rounding
			v = 0
		}
		spread[x] = float32(math.Sqrt(v))
	}
}
