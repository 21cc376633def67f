package analysis

// Where the decays of a record begin and end. A capacitor that is switched or driven by a square wave
// gives pieces, each of one exponential (a constant level is one without a drop), all with the same τ. For a
// trial τ every piece is a straight-line fit in exp(-t/τ), so the best cut into pieces comes from dynamic
// programming over the last cut (Jackson et al., "An algorithm for optimal partitioning of data on an
// interval", IEEE Signal Process. Lett. 12 (2005) 105), a fixed price being paid for each piece; and τ from
// trying a grid of them. Only cuts are taken from here: the fits that are reported are made on all points.

import (
	"math"
	"slices"
)

// A stretch is a piece of one exponential: points lo to hi-1, and its curve's values at both ends.
type stretch struct {
	lo, hi     int
	start, end float64 // V
}

func (s stretch) drop() float64 { return math.Abs(s.end - s.start) }

const (
	// cutBins is the number of bins that points are gathered in: enough for 20 half cycles, few enough
	// for 1 to 2 ms (BenchmarkFindStretches).
	// TestDecaysThatDifferAreTold would notice.
	cutBins = 200
	// cutFloor is the least standard deviation of a bin, as a share of the record's height: small departures
	// from an exponential (a leaky capacitor, a bent display) must not cut a decay in two
	// (TestWhatCutsADecay).
	cutFloor = 0.01
	// cutPrice, in units of the sum of squares, is what a piece costs: a new one must take away a misfit
	// of 10 bins by 1.6 floors each, or of one bin by 5
	// (TestDecaysThatDifferAreTold).
	cutPrice = 25
	// cutTauCoarse and cutTauFine are ratios of neighbouring trial τ, in a first pass over all and in passes
	// about the best
	// (TestStretchesOfASquareDriveBeginAtItsEdges, TestCutIsTheCheapest, TestFindsTheDecaysOfASquareDrive).
	cutTauCoarse = 1.35
	cutTauFine   = 1.04 // nothing changes from 1.02 to 4 (TestCutIsTheCheapest)
	// strangeBins is the most that may lie between two stretches of one curve: a label or a stain of 2 % of the
	// record's width (TestStainDoesNotCutADecay notices 1; nothing changes from 2 to 16).
	strangeBins = 4
)

// findStretches cuts points (t, v) with standard deviations sigma, t rising, all finite, into stretches, and gives the
// τ in s that suits them best.
func findStretches(t, v, sigma []float64) (all []stretch, tau float64) {
	b := gather(t, v, sigma)
	if len(b.t) < 2 {
		return []stretch{{lo: 0, hi: len(t)}}, 0
	}
	span := b.t[len(b.t)-1] - b.t[0]
	c := newCutter(b)
	best, at := math.Inf(1), span
	try := func(tau float64) {
		if s := c.cut(tau, best); s < best {
			best, at = s, tau
			copy(c.bestFrom, c.from)
		}
	}
	for tau := span; tau > span/float64(2*len(b.t)); tau /= cutTauCoarse {
		try(tau)
	}
	for centre, k := at, cutTauFine; k < cutTauCoarse; k *= cutTauFine {
		try(centre * k)
		try(centre / k)
	}
	return c.stretches(at), at
}

// bins are groups of neighbouring points.
type bins struct {
	first   []int // index of each bin's first point, and at the end the number of points
	t, v, w []float64
}

func gather(t, v, sigma []float64) bins {
	n := len(t)
	m := min(n, cutBins)
	b := bins{first: make([]int, m+1), t: make([]float64, m), v: make([]float64, m), w: make([]float64, m)}
	s := make([]float64, m)
	for i := range m {
		lo, hi := i*n/m, (i+1)*n/m
		b.first[i] = lo
		b.t[i], b.v[i], s[i] = median(t[lo:hi]), median(v[lo:hi]), median(sigma[lo:hi])
	}
	b.first[m] = n
	floor := math.Max(cutFloor*height(v), scatter(b.v))
	for i := range b.w {
		b.w[i] = 1 / (floor*floor + s[i]*s[i])
	}
	return b
}

// height is the range of v without its extreme hundredths.
func height(v []float64) float64 {
	s := slices.Sorted(slices.Values(v))
	cut := len(s) / 100
	return s[len(s)-1-cut] - s[cut]
}

// scatter is the standard deviation of v from one point to the next, whatever slow curve it follows: from the
// median size of second differences, which for normal noise is 0.6745·√6 standard deviations.
func scatter(v []float64) float64 {
	if len(v) < 3 {
		return 0
	}
	d := make([]float64, len(v)-2)
	for j := range d {
		d[j] = math.Abs(v[j] - 2*v[j+1] + v[j+2])
	}
	return median(d) / (0.6745 * math.Sqrt(6))
}

type cutter struct {
	bins
	cost           []float64 // of the best cut of the first i bins
	from, bestFrom []int     // where its last piece begins
	open           []openPiece
}

func newCutter(b bins) *cutter {
	n := len(b.t)
	return &cutter{bins: b, cost: make([]float64, n+1), from: make([]int, n+1), bestFrom: make([]int, n+1)}
}

// An openPiece is a piece from bin first to the bin that the cutter has come to, with the sums of its line as lineSums
// has them. Many go on at once: a processor need not wait for one piece's sums to go on with the next one's.
type openPiece struct {
	first                  int
	before                 float64 // cost of what lies before it, and its price
	total                  float64 // and its misfit
	e                      float64 // the exponential at the last bin, 1 at the first
	sw, me, mv, ee, ev, vv float64
}

// surelyDearer, in units of the sum of squares, is how much dearer a piece must be than a cut at its last bin for it to
// be given up: far more than rounding leaves open, far less than a piece's price. Nothing but time depends on it
// (TestCutIsTheCheapest).
const surelyDearer = 1.0

// cut finds the cheapest cut at tau and gives its cost, or +Inf once it is clear that it exceeds limit. It goes from
// bin to bin with all pieces that may still end there. One is given up once it and a cut behind it cost more than the
// best cut there (R. Killick, P. Fearnhead, I. A. Eckley, J. Am. Stat. Assoc. 107 (2012) 1590): it never ends better.
func (c *cutter) cut(tau, limit float64) float64 {
	n := len(c.t)
	open := c.open[:0]
	for j := range n {
		here := c.cost[j]
		decay := 1.0
		if j > 0 {
			decay = math.Exp((c.t[j-1] - c.t[j]) / tau)
		}
		v, w := c.v[j], c.w[j]
		least, from, kept := math.Inf(1), 0, 0
		if here < limit {
			open = append(open, openPiece{first: j, before: here + cutPrice, e: 1})
		}
		for k := range open {
			p := &open[k]
			e := p.e
			if p.first < j {
				if p.total > here+cutPrice+surelyDearer {
					continue
				}
				e *= decay
			}
			sw := p.sw + w
			de, dv := e-p.me, v-p.mv
			me, mv := p.me+de*w/sw, p.mv+dv*w/sw
			ee, ev, vv := p.ee+w*de*(e-me), p.ev+w*de*(v-mv), p.vv+w*dv*(v-mv)
			misfit := vv
			if !(ee <= slopeTold*sw) {
				misfit = max(0, vv-ev*ev/ee)
			}
			total := p.before + misfit
			if total >= limit {
				continue // more bins never fit better
			}
			if total < least {
				least, from = total, p.first
			}
			q := &open[kept]
			if kept++; q != p {
				q.first, q.before = p.first, p.before
			}
			q.total, q.e, q.sw, q.me, q.mv, q.ee, q.ev, q.vv = total, e, sw, me, mv, ee, ev, vv
		}
		open = open[:kept]
		c.cost[j+1], c.from[j+1] = least, from
	}
	c.open = open
	return c.cost[n]
}

// stretches of the best cut, whose τ is tau. Two that one curve fits as well, with a few strange bins between them,
// are put together: a stain on the trace does not end a decay.
func (c *cutter) stretches(tau float64) []stretch {
	type run struct{ i, j int } // bins
	var runs []run
	for j := len(c.t); j > 0; j = c.bestFrom[j] {
		runs = append(runs, run{c.bestFrom[j], j})
	}
	slices.Reverse(runs)
	for k := 0; k < len(runs); k++ {
		for m := k + 1; m < len(runs) && runs[m].i-runs[k].j <= strangeBins; m++ {
			if runs[m].j-runs[m].i <= strangeBins {
				continue
			}
			first, second := c.sums(tau, runs[k].i, runs[k].j), c.sums(tau, runs[m].i, runs[m].j)
			joined := c.sums(tau, runs[k].i, runs[k].j)
			for b := runs[m].i; b < runs[m].j; b++ {
				joined.add(math.Exp((c.t[runs[k].i]-c.t[b])/tau), c.v[b], c.w[b])
			}
			if joined.misfit() <= first.misfit()+second.misfit()+cutPrice {
				runs[k].j = runs[m].j
				runs = slices.Delete(runs, k+1, m+1)
				k--
			}
			break
		}
	}
	var out []stretch
	for _, r := range runs {
		f := c.sums(tau, r.i, r.j)
		a, b := f.line()
		out = append(out, stretch{lo: c.first[r.i], hi: c.first[r.j], start: a + b, end: a + b*math.Exp((c.t[r.i]-c.t[r.j-1])/tau)})
	}
	return out
}

// sums of the line through bins i to j-1, the exponential being 1 at bin i.
func (c *cutter) sums(tau float64, i, j int) lineSums {
	var f lineSums
	for k := i; k < j; k++ {
		f.add(math.Exp((c.t[i]-c.t[k])/tau), c.v[k], c.w[k])
	}
	return f
}

// lineSums gathers a weighted straight line v = a + b·e one point at a time, by running means so that nothing
// cancels (Welford, Technometrics 4 (1962) 419).
type lineSums struct{ w, e, v, ee, ev, vv float64 }

func (f *lineSums) add(e, v, w float64) {
	f.w += w
	de, dv := e-f.e, v-f.v
	f.e += de * w / f.w
	f.v += dv * w / f.w
	f.ee += w * de * (e - f.e)
	f.ev += w * de * (v - f.v)
	f.vv += w * dv * (v - f.v)
}

// slopeTold is the share of squared spread in e below which a slope is rounding only; nothing changes from 2.5e-19 to
// 4e-18 (TestCutIsTheCheapest).
const slopeTold = 1e-18

func (f *lineSums) misfit() float64 {
	if f.ee <= slopeTold*f.w {
		return f.vv
	}
	return max(0, f.vv-f.ev*f.ev/f.ee)
}

func (f *lineSums) line() (a, b float64) {
	if f.ee > slopeTold*f.w {
		b = f.ev / f.ee
	}
	return f.v - b*f.e, b
}
