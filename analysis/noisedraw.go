package analysis

// Noise drawn with the correlation that residuals were found to have: the points' places are laid on a ring long enough
// that its ends do not meet, where the correlation's Fourier transform is the power of each frequency (circulant
// embedding: Dietrich & Newsam, SIAM J. Sci. Comput. 18 (1997) 1088). Lags cut off where the correlation was no
// longer positive can leave a little negative power, which is set to zero and the rest scaled to the right variance.

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"
)

// A noiseDraw draws noise for the points of a record; it is not for several goroutines at once.
type noiseDraw struct {
	place []int     // of each point on the ring
	sd    []float64 // V, of each point
	root  []float64 // √ of the power of each frequency; nil for white noise
	fft   *fourier.FFT
	lines []complex128
	wave  []float64
}

func newNoiseDraw(z *noise) *noiseDraw {
	d := &noiseDraw{place: make([]int, len(z.sigma)), sd: make([]float64, len(z.sigma))}
	for j, s := range z.sigma {
		d.sd[j] = s * math.Sqrt(z.scale)
	}
	if len(z.rho) == 1 || len(z.sigma) < 2 {
		return d
	}
	// Beyond the last lag nothing is correlated, so a gap need not be longer than that.
	for j := 1; j < len(d.place); j++ {
		d.place[j] = d.place[j-1] + min(z.slot[j]-z.slot[j-1], len(z.rho))
	}
	size := 2
	for size < d.place[len(d.place)-1]+1+len(z.rho) {
		size *= 2
	}
	ring := make([]float64, size)
	for k, r := range z.rho {
		ring[k] = r
		ring[(size-k)%size] = r
	}
	d.fft = fourier.NewFFT(size)
	lines := d.fft.Coefficients(nil, ring)
	d.lines, d.wave = make([]complex128, len(lines)), ring
	d.root = make([]float64, len(lines))
	whole := 0.0
	for k, c := range lines {
		power := math.Max(0, real(c))
		twice := 2.0 // a frequency and its negative
		if k == 0 || k == len(lines)-1 {
			twice = 1
		}
		whole += twice * power
		d.root[k] = math.Sqrt(power)
	}
	for k := range d.root { // so that the variance of a point is 1
		d.root[k] /= math.Sqrt(whole)
	}
	return d
}

// draw fills in e, V.
func (d *noiseDraw) draw(rng *rand.Rand, e []float64) {
	if d.root == nil {
		for j := range e {
			e[j] = d.sd[j] * rng.NormFloat64()
		}
		return
	}
	last := len(d.root) - 1
	for k, r := range d.root {
		if k == 0 || k == last {
			d.lines[k] = complex(r*rng.NormFloat64(), 0)
			continue
		}
		d.lines[k] = complex(r*rng.NormFloat64()/math.Sqrt2, r*rng.NormFloat64()/math.Sqrt2)
	}
	d.fft.Sequence(d.wave, d.lines)
	for j := range e {
		e[j] = d.sd[j] * d.wave[d.place[j]]
	}
}
