package raster

// Running means, two of the same width one after the other: together they weigh their neighbourhood by a
// triangle, which is smooth enough for a background or a local spread, at a cost that does not depend on
// the width. At the border, where a window reaches beyond the plane, the samples inside are averaged.
//
// The sum over a window follows from the one before by adding the sample that enters and taking off the
// one that leaves. Sums are of float64: a million such steps lose less than a float32 can show. Both means
// are made in one go: the mean that the first gives is the sample that enters the window of the second.

// MeanDownTwice replaces each sample by the mean of the n (odd) around it in its column, twice.
func (p *Plane) MeanDownTwice(n int) {
	r := radius(n)
	shares := sharesOf(p.H, r)
	Rows((p.W+stripe-1)/stripe, func(s0, s1 int) {
		c := columns{means: make([]float64, n*stripe)}
		for s := s0; s < s1; s++ {
			c.mean(p, s*stripe, min((s+1)*stripe, p.W), r, shares)
		}
	})
}

// MeanAcrossTwice replaces each sample by the mean of the n (odd) around it in its row, twice.
func (p *Plane) MeanAcrossTwice(n int) {
	r := radius(n)
	shares := sharesOf(p.W, r)
	Rows((p.H+1)/2, func(k0, k1 int) {
		// Two rows at a time: each sum waits for the one before it, and the two fill each other's waits.
		// The last row of an odd number is its own partner.
		room := make([]float64, 4*(p.W+2*r+1))
		a, room := cut(room, p.W+2*r+1)
		b, room := cut(room, p.W+2*r+1)
		meanA, meanB := cut(room, p.W+2*r+1)
		for k := k0; k < k1; k++ {
			rowA, rowB := p.Row(2*k), p.Row(min(2*k+1, p.H-1))
			for x, v := range rowA {
				a[r+1+x], b[r+1+x] = float64(v), float64(rowB[x])
			}
			slide(meanA[r+1:], meanB[r+1:], a, b, shares, r)
			slide(rowA, rowB, meanA, meanB, shares, r)
		}
	})
}

// radius checks the width of a window and gives the samples it has on either side of its middle.
func radius(n int) int {
	if n < 1 || n%2 == 0 {
		panic("raster: a running mean over no odd number of samples")
	}
	return n / 2
}

// sharesOf gives one over the samples within r of each of n.
func sharesOf(n, r int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1 / float64(min(i+r, n-1)-max(i-r, 0)+1)
	}
	return out
}

func cut(room []float64, n int) (part, rest []float64) { return room[:n:n], room[n:] }

// slide writes the running means of rows a and b, which begin with r+1 zeros and end with r.
func slide[F float32 | float64](dstA, dstB []F, a, b, shares []float64, r int) {
	n := len(shares)
	var sumA, sumB float64
	for i := r + 1; i < 2*r+1; i++ {
		sumA += a[i]
		sumB += b[i]
	}
	dstA, dstB = dstA[:n], dstB[:n]
	inA, inB, outA, outB := a[2*r+1:][:n], b[2*r+1:][:n], a[:n], b[:n]
	for x, f := range shares {
		sumA += inA[x] - outA[x]
		sumB += inB[x] - outB[x]
		dstA[x], dstB[x] = F(sumA*f), F(sumB*f)
	}
}

// stripe is how many columns are done at once: their sums and the means that one window holds stay in the
// processor's first cache. It costs time only: of what is computed nothing changes from 32 to 128.
const stripe = 64

// columns has the state of the running means of a stripe's columns.
type columns struct {
	sum, sum2 [stripe]float64 // over the windows of the first and the second mean
	means     []float64       // the n last means of the first, by rows in turn
	none      [stripe]float32 // a row of zeros
}

// mean does the columns x0 to x1. The window of the second mean is r rows behind that of the first; a row's
// result is written when the first has let go of it.
func (c *columns) mean(p *Plane, x0, x1, r int, shares []float64) {
	clear(c.sum[:])
	clear(c.sum2[:])
	clear(c.means)
	row := func(y int) []float32 {
		if y < 0 || y >= p.H {
			return c.none[:x1-x0]
		}
		return p.Pix[y*p.W+x0 : y*p.W+x1]
	}
	shareOf := func(y int) float64 {
		if y < 0 || y >= p.H {
			return 0
		}
		return shares[y]
	}
	for y := range r {
		for x, v := range row(y) {
			c.sum[x] += float64(v)
		}
	}
	for y := range p.H + r + 1 {
		at := y % (2*r + 1) * stripe
		c.step(c.means[at:at+stripe], row(y+r), row(y-r-1), shareOf(y), shareOf(y-r-1))
	}
}

// step lets a row enter the first window and its mean the second. Row out leaves, and gets the result of the
// window before; share and shareOut are one over the samples in the two windows.
func (c *columns) step(means []float64, in, out []float32, share, shareOut float64) {
	n := len(in)
	out, means = out[:n], means[:n]
	sum, sum2 := c.sum[:n], c.sum2[:n]
	for x, v := range in {
		old, s2 := out[x], sum2[x]
		out[x] = float32(s2 * shareOut)
		s := sum[x] + (float64(v) - float64(old))
		sum[x] = s
		m := s * share
		sum2[x] = s2 + (m - means[x])
		means[x] = m
	}
}
