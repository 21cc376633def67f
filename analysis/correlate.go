package analysis

// Neighbouring points of a photographed trace share blur and display pixels, so their residuals are
// correlated and n points are worth fewer. With ρ_k the correlation of standardised residuals k places apart,
// a weighted mean of n points is worth n/τ_int of them, τ_int = 1 + 2·Σρ_k (Sokal, "Monte Carlo methods in
// statistical mechanics", lecture notes 1989, section 3; from memory), the sum ending before the first ρ_k
// that is not positive.
//
// A fit with p parameters takes slow waves out of its residuals, which makes ρ_k look too small. Their
// expected products under a correlation R are those of (I - QQ')R(I - QQ'), Q an orthonormal basis of the
// whitened Jacobian; the difference is added back and R found again, a few times over. At R = I this is the
// usual division by n - p.
//
// A result that is linear in the points with weights L then has the noise variance s²·Σ L_j σ_j ρ σ_k L_k
// (the "sandwich" of econometrics: Newey & West, Econometrica 55 (1987) 703). It knows that a curve
// fitted over a few correlation lengths suffers less than τ_int says.

import (
	"context"
	"math"
	"slices"
)

// A noise is what the residuals of a record's fits say about its points.
type noise struct {
	slot  []int     // place of each point of the record, counted in its usual spacing
	sigma []float64 // V, stated for each point of the record
	rho   []float64 // rho[0] = 1, then by distance in slots, positive
	// scale is the variance of residuals over that stated, at least 1 when sigma was stated.
	scale float64
	// measured is the same variance as it came out, less than 1 if the points scatter less than stated.
	measured     float64
	n            int     // residuals used
	neighbours   float64 // ρ_1, which may be negative
	inflation    float64 // τ_int
	sigmaUnknown bool
}

// residuals of one fit, standardised, of the points at places use of the record.
type residuals struct {
	use   []int
	r     []float64
	basis [][]float64
}

const (
	// correlationRounds is how often the products taken out by the fit are added back; the fourth round
	// moves τ_int by less than 2 % at ρ_1 = 0.9 (TestPullsHoldUnderCorrelatedNoise,
	// which notices 1). Nothing changes from 2 to 64.
	correlationRounds = 4
	// fewForCorrelation is the number of residuals below which correlation cannot be told and is taken
	// as none; a table of hand readings is that short, and its readings are independent
	// (TestWhereCorrelationIsLookedFor).
	fewForCorrelation = 24
	// longestCorrelation is the share of a fit's length over which correlation is looked for
	// (TestWhereCorrelationIsLookedFor).
	longestCorrelation = 0.25
	// lagsKept times the first distance without positive correlation is as far as the correction of the
	// fit can move that distance; it only saves time, and nothing changes from 1 to 12
	// (TestNoiseOfAnAutoregressionIsRecovered).
	lagsKept = 3
)

// slots gives each point its place counted in the median spacing, so that a gap counts as wide as it is.
func slots(t []float64) []int {
	s := make([]int, len(t))
	step := medianStep(t)
	for j := 1; j < len(t); j++ {
		d := math.Round((t[j] - t[j-1]) / step)
		s[j] = s[j-1] + int(math.Max(1, math.Min(d, float64(len(t)))))
	}
	return s
}

// findNoise measures scatter and correlation over all fits together. Once ctx is done it ends with what it has.
func findNoise(ctx context.Context, slot []int, sigma []float64, sigmaUnknown bool, fits []residuals) noise {
	z := noise{slot: slot, sigma: sigma, rho: []float64{1}, scale: 1, inflation: 1, sigmaUnknown: sigmaUnknown}
	lags, p := 0, 0
	for _, f := range fits {
		z.n += len(f.r)
		p += len(f.basis)
		lags = max(lags, int(longestCorrelation*float64(len(f.r))))
	}
	if z.n < fewForCorrelation {
		lags = 0
	}
	products, count := productsOf(fits, slot, lags)
	if z.n <= p {
		// As many parameters as points: the residuals say nothing and the stated sigma stands.
		if sigmaUnknown {
			z.scale, z.measured = math.NaN(), math.NaN()
		}
		return z
	}
	lags = min(lags, firstNotPositive(products)*lagsKept)
	products = products[:lags+1]
	for range correlationRounds {
		taken := make([]float64, lags+1)
		for _, f := range fits {
			if ctx.Err() != nil {
				return z
			}
			f.taken(slot, z.rho, taken)
		}
		variance := 0.0
		rho := make([]float64, 0, lags+1)
		for k := range products {
			if count[k] == 0 {
				break
			}
			if k == 0 {
				variance = products[0] / (count[0] - taken[0])
			}
			r := (products[k]/variance + taken[k]) / count[k]
			if k == 1 {
				z.neighbours = math.Max(-1, math.Min(1, r))
			}
			if k > 0 && !(r > 0) {
				break
			}
			rho = append(rho, math.Min(r, 1))
		}
		z.rho, z.measured = rho, variance
	}
	z.inflation = -1
	for _, r := range z.rho {
		z.inflation += 2 * r
	}
	z.scale = z.measured
	if !sigmaUnknown {
		z.scale = math.Max(1, z.measured)
	}
	return z
}

// effective is the number of independent points that the n residuals are worth.
func (z *noise) effective() float64 { return math.Max(1, float64(z.n)/z.inflation) }

// covariance of two results whose influences on each point of the record are given, in the product of
// their units.
func (z *noise) covariance(one, two []float64) float64 {
	white, sum := 0.0, 0.0
	for j, a := range one {
		white += a * two[j] * z.sigma[j] * z.sigma[j]
	}
	if len(z.rho) == 1 {
		return z.scale * white
	}
	last := len(z.rho) - 1
	if r := rowOf(z.slot, last); r != nil {
		x := make([]float64, len(two))
		for j, b := range two {
			x[j] = b * z.sigma[j]
		}
		for j, near := range r.through(z.rho, r.spectrum(x)) {
			sum += one[j] * z.sigma[j] * near
		}
		return z.scale * sum
	}
	for j, a := range one {
		if a == 0 {
			continue
		}
		near := 0.0
		for k := j; k < len(two) && z.slot[k]-z.slot[j] <= last; k++ {
			near += z.rho[z.slot[k]-z.slot[j]] * two[k] * z.sigma[k]
		}
		for k := j - 1; k >= 0 && z.slot[j]-z.slot[k] <= last; k-- {
			near += z.rho[z.slot[j]-z.slot[k]] * two[k] * z.sigma[k]
		}
		sum += a * z.sigma[j] * near
	}
	return z.scale * sum
}

// variance is covariance with itself, never less than that of uncorrelated points.
func (z *noise) variance(one []float64) float64 {
	white := 0.0
	for j, a := range one {
		white += a * a * z.sigma[j] * z.sigma[j]
	}
	return math.Max(z.scale*white, z.covariance(one, one))
}

func firstNotPositive(x []float64) int {
	for k, xk := range x {
		if !(xk > 0) {
			return k
		}
	}
	return len(x)
}

// productsOf gives the sums of products of residuals k slots apart, k up to lags, and how many there are. Those far
// behind the first sum that is not positive are not needed, and left out of many.
func productsOf(fits []residuals, slot []int, lags int) (sum, count []float64) {
	for upTo := min(lags, firstLags); ; upTo = min(lags, 8*upTo) {
		sum, count = make([]float64, upTo+1), make([]float64, upTo+1)
		for _, f := range fits {
			f.products(slot, sum, count)
		}
		if upTo == lags || firstNotPositive(sum)*lagsKept <= upTo {
			return sum, count
		}
	}
}

// products adds to sum[k] those of residuals k slots apart and to count[k] how many there are.
func (f residuals) products(slot []int, sum, count []float64) {
	at := f.slotsOf(slot)
	if r := rowOf(at, len(sum)-1); r != nil {
		ones := make([]float64, len(f.r))
		for i := range ones {
			ones[i] = 1
		}
		x, here := r.spectrum(f.r), r.spectrum(ones)
		products, pairs := r.cross(x, x), r.cross(here, here)
		for k := range sum {
			sum[k] += products[k]
			count[k] += math.Round(pairs[k])
		}
		return
	}
	for i, here := range at {
		ri := f.r[i]
		for m, there := range at[i:] {
			k := there - here
			if k >= len(sum) {
				break
			}
			sum[k] += ri * f.r[i+m]
			count[k]++
		}
	}
}

// taken adds to out[k] what the fit took out of the sum of products k slots apart, at unit variance and
// correlation rho: the lag-k sum of QQ'R + RQQ' - QQ'RQQ'.
func (f residuals) taken(slot []int, rho, out []float64) {
	// Half of QQ'RQQ' off each side: columns m = RQ - Q(Q'RQ)/2 give QQ'R + RQQ' - QQ'RQQ' = Qm' + mQ'.
	m := make([][]float64, len(f.basis))
	at := f.slotsOf(slot)
	r := rowOf(at, len(out)-1)
	for a, q := range f.basis {
		if r != nil {
			m[a] = r.through(rho, r.spectrum(q))
		} else {
			m[a] = through(at, rho, q)
		}
		rq := slices.Clone(m[a])
		for _, other := range f.basis {
			h, ma := dot(other, rq), m[a][:len(other)]
			for i, x := range other {
				ma[i] -= x * h / 2
			}
		}
	}
	for a, q := range f.basis {
		if r != nil {
			one, two := r.spectrum(q), r.spectrum(m[a])
			forth, back := r.cross(one, two), r.cross(two, one)
			for k := range out {
				out[k] += forth[k] + back[k]
			}
			continue
		}
		ma := m[a]
		for i, here := range at {
			ahead := at[i:]
			qi, mi, behind, qs := q[i], ma[i], ma[i:][:len(ahead)], q[i:][:len(ahead)]
			for n, there := range ahead {
				k := uint(there - here)
				if k >= uint(len(out)) {
					break
				}
				out[k] += qi*behind[n] + mi*qs[n]
			}
		}
	}
}

// through gives at each point, of slots at, the sum over all of rho at their distance times q.
func through(at []int, rho, q []float64) []float64 {
	m := make([]float64, len(q))
	for i, here := range at {
		ahead := at[i:]
		qi, mi, behind, qs := q[i], m[i], m[i:][:len(ahead)], q[i:][:len(ahead)]
		for n, there := range ahead {
			k := uint(there - here)
			if k >= uint(len(rho)) {
				break
			}
			mi += rho[k] * qs[n]
			if n > 0 {
				behind[n] += rho[k] * qi
			}
		}
		m[i] = mi
	}
	return m
}

// medianStep is the median spacing of rising times; 1 if there are fewer than two.
func medianStep(t []float64) float64 {
	if len(t) < 2 {
		return 1
	}
	d := make([]float64, len(t)-1)
	for j := range d {
		d[j] = t[j+1] - t[j]
	}
	return median(d)
}

// median of x, which is not changed; NaN if x is empty. gonum's quantiles have no mean of the two middle ones.
func median(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	s := slices.Clone(x)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

func dot(a, b []float64) float64 {
	s := 0.0
	b = b[:len(a)]
	for i, x := range a {
		s += x * b[i]
	}
	return s
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }
