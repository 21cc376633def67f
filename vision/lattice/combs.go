package lattice

// Combs: equispaced lines of one family in a window.
//
// For shears of -25° to 25° the ridges are summed along the sheared columns of the window; at the right shear the lines
// stand out, and the autocorrelation of the sums has a peak at the step of the lines. Sums over windows come from
// running sums over blocks of rows, one set for each shear (a Radon transform with integer shifts).

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/raster"
)

const (
	// shearMax, degrees, to either side in steps of one: people hold a phone straighter than that
	// (TestSeedsAreFoundOfWhatADisplayMayBe)
	shearMax  = 25
	shears    = 2*shearMax + 1 // TestSeedsAreFoundOfWhatADisplayMayBe
	blockRows = 32             // px (TestSeedsAreFoundOfWhatADisplayMayBe)
	// rowsToOne, px: the ridges are smooth along the lines, so every fourth row tells all (nothing changes from 2 to
	// 8, TestSeedsAreFoundOfWhatADisplayMayBe)
	rowsToOne = 4
	// minStep, px: finer lattices are the display's own pixels, cloth, breadboards
	// (TestSeedsAreFoundOfWhatADisplayMayBe)
	minStep   = 14
	stepShare = 2.4 // a window must be that many steps wide (TestSeedsAreFoundOfWhatADisplayMayBe)
	// repeatSlip, px, how far the step is searched around the autocorrelation's lag (nothing changes from 0.6 to
	// 2.4, TestSeedsAreFoundOfWhatADisplayMayBe)
	repeatSlip = 1.2
)

// A comb is a set of equispaced parallel lines in a window, in the samples of the plane it was found
// in: x + tan·(y - yMid) = at + k·step, with y from the top edge and x from the first sample's middle.
type comb struct {
	step, tan, at float64
	rating        float64
}

// A shearSum has, for each shear, running sums of the evidence over blocks of rows: cum[s] is a
// table of blocks+1 lines of width samples; a sample at x belongs to x + tan·(y - h/2) + pad.
type shearSum struct {
	cum        [shears][]float32
	tan        [shears]float64
	blocks     int
	width, pad int
	half       float64 // px, the middle row
}

func shearSums(p *raster.Plane) *shearSum {
	s := &shearSum{blocks: p.H / blockRows, half: float64(p.H) / 2}
	s.pad = int(math.Tan(shearMax*math.Pi/180)*s.half) + 2
	s.width = p.W + 2*s.pad
	few := raster.New(p.W, s.blocks*blockRows/rowsToOne)
	raster.Rows(few.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			dst := few.Row(y)
			for r := range rowsToOne {
				for x, v := range p.Row(y*rowsToOne + r) {
					dst[x] += v / rowsToOne
				}
			}
		}
	})
	raster.Rows(shears, func(a, b int) {
		for i := a; i < b; i++ {
			s.tan[i] = math.Tan(float64(i-shearMax) * math.Pi / 180)
			cum := make([]float32, (s.blocks+1)*s.width)
			for y := range few.H {
				b := y * rowsToOne / blockRows
				line := cum[(b+1)*s.width : (b+2)*s.width]
				if y*rowsToOne%blockRows == 0 {
					copy(line, cum[b*s.width:(b+1)*s.width])
				}
				dx := int(math.Round(s.tan[i] * (rowsToOne*(float64(y)+0.5) - s.half)))
				dst := line[s.pad+dx:][:p.W]
				for x, v := range few.Row(y) {
					dst[x] += v
				}
			}
			s.cum[i] = cum
		}
	})
	return s
}

// profileOf writes the mean-free sums of a window at shear i into dst and gives their variance.
func (s *shearSum) profileOf(dst []float32, i, x0, b0, blocks int) (start int, variance float64) {
	mid := (float64(b0) + float64(blocks)/2) * blockRows
	start = x0 + s.pad + int(math.Round(s.tan[i]*(mid-s.half)))
	lo, hi := s.cum[i][b0*s.width:][start:], s.cum[i][(b0+blocks)*s.width:][start:]
	f := float32(rowsToOne) / float32(blocks*blockRows)
	var sum, sq float32
	for x := range dst {
		v := (hi[x] - lo[x]) * f
		dst[x] = v
		sum += v
		sq += v * v
	}
	n := float32(len(dst))
	mean := sum / n
	for x := range dst {
		dst[x] -= mean
	}
	return start, float64(sq/n - mean*mean)
}

// combs gives the best combs, at most three, of the window that starts at sample x0 and block b0.
func (s *shearSum) combs(x0, width, b0, blocks int) []comb {
	// Shears looked at: where the sums vary most (nothing changes from 2 to 8, TestSeedsAreFoundOfWhatADisplayMayBe).
	const best = 4
	prof := make([]float32, width)
	var vary [shears]float64
	for i := range vary {
		_, vary[i] = s.profileOf(prof, i, x0, b0, blocks)
	}
	var peaks []int
	for i, v := range vary {
		if (i == 0 || v >= vary[i-1]) && (i == shears-1 || v > vary[i+1]) {
			peaks = append(peaks, i)
		}
	}
	sort.Slice(peaks, func(i, j int) bool { return vary[peaks[i]] > vary[peaks[j]] })
	type sheared struct {
		repeat
		shear int
	}
	var found []sheared
	for _, i := range peaks[:min(best, len(peaks))] {
		s.profileOf(prof, i, x0, b0, blocks)
		for _, r := range repeats(prof) {
			if r.lag > 0 {
				found = append(found, sheared{r, i})
			}
		}
	}
	sort.Slice(found, func(i, j int) bool { return cmp.Less(found[j].rating, found[i].rating) })
	var kept []sheared
	for _, f := range found {
		if len(kept) == 3 {
			break
		}
		if !slices.ContainsFunc(kept, func(k sheared) bool {
			return math.Abs(s.tan[k.shear]-s.tan[f.shear]) < 0.044 && math.Abs(math.Log(k.lag/f.lag)) < 0.12
		}) {
			kept = append(kept, f)
		}
	}
	var out []comb
	mid := (float64(b0) + float64(blocks)/2) * blockRows
	for _, f := range kept {
		start, _ := s.profileOf(prof, f.shear, x0, b0, blocks)
		c := comb{tan: s.tan[f.shear], rating: f.rating}
		c.step, c.at = phaseOf(prof, f.lag)
		c.at += float64(start-s.pad) - c.tan*(mid-s.half)
		out = append(out, c)
	}
	return out
}

// A repeat is a step after which a profile is like itself, to the sample.
type repeat struct{ lag, rating float64 }

// repeats gives the two best steps of a mean-free profile, of rating and lag zero where there are fewer. A step P is
// rated by its autocorrelation A at P and 2P, less that at P/2 and 3P/2: two repeats are wanted and a half step is not,
// over the root of A(0), so that strong lines count more than faint ones.
func repeats(p []float32) (best [2]repeat) {
	n := len(p)
	top := int(float64(n) / stepShare)
	lags := min(2*top+2, n-1)
	a := make([]float64, lags+1)
	for k := range a {
		if k > 0 && k < minStep/2 {
			continue
		}
		a[k] = float64(product(p[k:], p)) / float64(n-k)
	}
	rate := func(k int) float64 {
		second := a[2*k]
		if 2*k+1 <= lags {
			second = max(second, a[2*k+1])
		}
		second = max(second, a[2*k-1])
		return ((a[k]+second)/2 - max(a[k/2], a[k*3/2], 0)) / math.Sqrt(a[0]+0.001)
	}
	prev, here := math.Inf(-1), rate(minStep)
	for k := minStep; k <= top && 2*k <= lags; k++ {
		next := math.Inf(-1)
		if k < top && 2*(k+1) <= lags {
			next = rate(k + 1)
		}
		if here > 0 && here >= prev && here > next {
			if l := (repeat{float64(k), here}); l.rating > best[0].rating {
				best[0], best[1] = l, best[0]
			} else if l.rating > best[1].rating {
				best[1] = l
			}
		}
		prev, here = here, next
	}
	return best
}

// product sums a[i]·b[i] over a, in four sums that do not wait for each other.
func product(a, b []float32) float32 {
	var s, t, u, v float32
	b = b[:len(a)]
	for len(a) >= 4 && len(b) >= 4 {
		s += a[0] * b[0]
		t += a[1] * b[1]
		u += a[2] * b[2]
		v += a[3] * b[3]
		a, b = a[4:], b[4:]
	}
	for i := range a {
		s += a[i] * b[i]
	}
	return s + t + (u + v)
}

// phaseOf refines the step of a comb around guess and finds its first line.
func phaseOf(p []float32, guess float64) (best, first float64) {
	most := -1.0
	for step := guess - repeatSlip; step <= guess+repeatSlip; step += 0.2 {
		for at := 0.0; at < step; at++ {
			sum, n := 0.0, 0
			for x := at; x < float64(len(p)-1); x += step {
				i := int(x)
				f := x - float64(i)
				sum += float64(p[i])*(1-f) + float64(p[i+1])*f
				n++
			}
			if v := math.Abs(sum / float64(n)); v > most {
				most = v
				best, first = step, at
			}
		}
	}
	return best, first
}
