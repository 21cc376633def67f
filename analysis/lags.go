package analysis

// Sums over all pairs of points so many slots apart, by fast Fourier transforms where a record is so long and so
// correlated that the pairs are too many to be gone through one by one: the sum of products at every lag is the
// inverse transform of the power spectrum (Wiener-Khinchin), and a matrix that depends on the lag only is applied by
// the convolution theorem. Points lie in a row of slots, with zeros between them and behind the last.

import (
	"math/bits"

	"gonum.org/v1/gonum/dsp/fourier"
)

const (
	// manyPairs is the number of pairs from which on transforms are quicker; both ways give the same sums but for
	// rounding (TestLagsByTransformsAreThoseByPairs).
	manyPairs = 1 << 22
	// firstLags are looked at before the others: noise is seldom correlated over more. The sums do not depend on it.
	firstLags = 256
	// emptySlots is the most slots a point for transforms to be used; nothing but time depends on it.
	emptySlots = 16
)

// A row lays points out in slots for transforms.
type row struct {
	place []int // slot of each point, gaps wider than the lags asked for cut down to them
	fft   *fourier.FFT
	n     int // slots, with the zeros
}

// rowOf gives the row of points in rising slots for so many lags; nil if they are few enough to be gone through.
func rowOf(slot []int, lags int) *row {
	if len(slot)*lags < manyPairs {
		return nil
	}
	r := &row{place: make([]int, len(slot))}
	for i := 1; i < len(slot); i++ {
		r.place[i] = r.place[i-1] + min(slot[i]-slot[i-1], lags+1)
	}
	length := r.place[len(slot)-1] + 1 + lags + 1
	if length > emptySlots*len(slot) {
		return nil
	}
	r.n = 1 << bits.Len(uint(length-1))
	r.fft = fourier.NewFFT(r.n)
	return r
}

func (r *row) spectrum(x []float64) []complex128 {
	in := make([]float64, r.n)
	for i, at := range r.place {
		in[at] = x[i]
	}
	return r.fft.Coefficients(nil, in)
}

// back gives the sequence of a spectrum.
func (r *row) back(c []complex128) []float64 {
	out := r.fft.Sequence(nil, c)
	for i := range out {
		out[i] /= float64(r.n)
	}
	return out
}

// cross gives at each lag k the sum of a_i·b_j over pairs with j k slots behind i.
func (r *row) cross(a, b []complex128) []float64 {
	c := make([]complex128, len(a))
	for i, x := range a {
		c[i] = complex(real(x), -imag(x)) * b[i]
	}
	return r.back(c)
}

// through gives at each point the sum over all others of rho at their distance times x.
func (r *row) through(rho []float64, x []complex128) []float64 {
	kernel := make([]float64, r.n)
	for k, v := range rho {
		kernel[k] = v
		if k > 0 {
			kernel[r.n-k] = v
		}
	}
	c := r.fft.Coefficients(nil, kernel)
	for i := range c {
		c[i] *= x[i]
	}
	all := r.back(c)
	out := make([]float64, len(r.place))
	for i, at := range r.place {
		out[i] = all[at]
	}
	return out
}

// slotsOf gives the slots of the points of f.
func (f residuals) slotsOf(slot []int) []int {
	out := make([]int, len(f.use))
	for i, j := range f.use {
		out[i] = slot[j]
	}
	return out
}

// slotsInARow are those of n points without a gap.
func slotsInARow(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}
