package graticule

// Seeds: small affine lattices, from periodicity in windows.
//
// In a window of the right size the lines of one family are nearly parallel and equispaced, whatever
// the perspective of the whole. For shears of -25° to 25° the evidence is summed along the sheared
// columns of the window; at the right shear the lines stand out, and the autocorrelation of the sums
// has a peak at the step of the lines. Sums over windows come from running sums over blocks of rows,
// one set for each shear (a Radon transform with integer shifts). The best steps of both families
// in one window make a seed. Window by window this asks nothing of the frame, the bezel or the trace.
// Source: the measured comparison of two prototypes that DEVELOPERS.md tells of.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	shearMax   = 25 // degrees, to either side in steps of one: people hold a phone straighter than that
	shears     = 2*shearMax + 1
	blockRows  = 32  // px
	rowsToOne  = 4   // px: the evidence is smoothed along the lines, so every fourth row tells all
	minStep    = 14  // px: finer lattices are the display's own pixels, cloth, breadboards
	stepShare  = 2.4 // a window must be that many steps wide
	repeatSlip = 1.2 // px, how far the step is searched around the autocorrelation's lag
	maxSkew    = 20  // degrees off a right angle between the families
	aspectMax  = 2.6 // width to height of a box, either way
	keepFine   = 8   // seeds kept from the fine picture
	keepCoarse = 16  // and from the coarse one, where wide boxes are seen better
)

// windowBlocks are the sides of the windows in blocks, and their strides.
var windowBlocks = [][2]int{{5, 2}, {8, 3}, {13, 4}, {20, 7}}

// A seed is a small lattice whose origin is near the middle of its window.
type seed struct {
	h     lattice
	score float64
}

// A comb is a set of equispaced parallel lines in a window, in the samples of the plane it was found
// in: x + tan·(y - yMid) = at + k·step, with y from the top edge and x from the first sample's middle.
type comb struct {
	step, tan, at float64
	rating        float64
}

// seedsOf gives the seeds of one picture, the best first, at most keep.
func seedsOf(e *evidence, keep int) []seed {
	type window struct{ x, y, w, h int } // blocks
	var windows []window
	bw, bh := e.w/blockRows, e.h/blockRows
	for _, s := range windowBlocks {
		w, h := min(s[0], bw), min(s[0], bh)
		if w < 3 || h < 3 {
			continue
		}
		for y := 0; ; y += s[1] {
			y = min(y, bh-h)
			for x := 0; ; x += s[1] {
				x = min(x, bw-w)
				windows = append(windows, window{x, y, w, h})
				if x == bw-w {
					break
				}
			}
			if y == bh-h {
				break
			}
		}
	}
	up, lv := make([][]comb, len(windows)), make([][]comb, len(windows))
	s := shearSums(e.upright)
	raster.Rows(len(windows), func(a, b int) {
		for i := a; i < b; i++ {
			w := windows[i]
			up[i] = s.combs(w.x*blockRows, w.w*blockRows, w.y, w.h)
		}
	})
	s = shearSums(e.level)
	raster.Rows(len(windows), func(a, b int) {
		for i := a; i < b; i++ {
			w := windows[i]
			lv[i] = s.combs(w.y*blockRows, w.h*blockRows, w.x, w.w)
		}
	})
	var all []seed
	for i, w := range windows {
		xMid, yMid := (float64(w.x)+float64(w.w)/2)*blockRows, (float64(w.y)+float64(w.h)/2)*blockRows
		for _, u := range up[i] {
			for _, l := range lv[i] {
				if sd, ok := joinCombs(u, l, xMid, yMid, e.scale); ok {
					all = append(all, sd)
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b seed) int {
		switch {
		case a.score > b.score:
			return -1
		case a.score < b.score:
			return 1
		}
		return 0
	})
	var kept []seed
	for _, sd := range all {
		if len(kept) == keep {
			break
		}
		if !slices.ContainsFunc(kept, func(k seed) bool { return sameSeed(k.h, sd.h) }) {
			kept = append(kept, sd)
		}
	}
	return kept
}

// joinCombs makes a seed of an upright and a level comb of one window with its middle at (xMid, yMid).
func joinCombs(u, l comb, xMid, yMid, scale float64) (seed, bool) {
	aspect := u.step / l.step
	skew := math.Abs(math.Atan(u.tan)+math.Atan(l.tan)) * 180 / math.Pi
	if skew > maxSkew || aspect > aspectMax || aspect < 1/aspectMax {
		return seed{}, false
	}
	// i = (x + tu(y-yMid) - xu)/pu, j = -(y + tl(x-xMid) - yl)/pl, on the photo.
	inv := scale / u.step
	jnv := -scale / l.step
	h, ok := invert([9]float64{
		inv, inv * u.tan, -(u.tan*yMid + u.at + 0.5) / u.step,
		jnv * l.tan, jnv, (l.tan*xMid + l.at + 0.5) / l.step,
		0, 0, 1,
	})
	if !ok {
		return seed{}, false
	}
	mid := h.Box(geom.Pixel{X: xMid / scale, Y: yMid / scale})
	la, ls := math.Log(aspect)/0.9, skew/15
	return seed{
		h:     shift(h, math.Round(mid.X), math.Round(mid.Y)),
		score: math.Sqrt(u.rating*l.rating) * math.Exp(-la*la-ls*ls),
	}, true
}

// sameSeed reports whether b, near its own origin, may be a with another origin: steps equal within
// 0.12 (and 0.03 for each box between them, for perspective), phase within a quarter box. Beyond five
// boxes the phase cannot be told.
func sameSeed(a, b lattice) bool {
	o := a.Box(b.Pixel(geom.Box{}))
	dist := math.Hypot(o.X, o.Y)
	if !(dist < 30) {
		return false
	}
	r, u := a.Box(b.Pixel(geom.Box{X: 1})), a.Box(b.Pixel(geom.Box{Y: 1}))
	tol := 0.12 + 0.03*dist
	if math.Abs(r.X-o.X-1) > tol || math.Abs(r.Y-o.Y) > tol || math.Abs(u.Y-o.Y-1) > tol || math.Abs(u.X-o.X) > tol {
		return false
	}
	return dist > 5 || math.Abs(o.X-math.Round(o.X)) < 0.25 && math.Abs(o.Y-math.Round(o.Y)) < 0.25
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
	const best = 4 // shears looked at: where the sums vary most
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
	slices.SortFunc(peaks, func(a, b int) int {
		if vary[a] > vary[b] {
			return -1
		}
		return 1
	})
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
	slices.SortFunc(found, func(a, b sheared) int {
		if a.rating > b.rating {
			return -1
		}
		return 1
	})
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

// repeats gives the two best steps of a mean-free profile, of rating and lag zero where there are fewer. A step P is rated by
// its autocorrelation A at P and 2P, less that at P/2 and 3P/2: two repeats are wanted and a half step
// is not, over the root of A(0), so that strong lines count more than faint ones.
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
