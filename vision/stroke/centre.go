package stroke

// Where in its column the trace lies, to a fraction of a row, and how sure that is.
//
// A stroke of the display is nearly Gaussian across. Its centre is the centroid inside a window of
// ±2 standard deviations about itself, repeated until it rests: within 5 to 20 % of the Cramér–Rao bound
//
//	sd(centre) >= (s/A)·sqrt(2w/√π)
//
// of a Gaussian stripe of amplitude A and standard deviation w in white noise s (Hagen, Kupinski,
// Dereniak, Appl. Opt. 46 (2007) 5374), where a single centroid about a wrong place is biased by a tenth
// of a pixel. The width is taken column by column from area/height, so that a slope's 1/cos and a
// noise band are followed. The light between the window's two surrounds is taken off first: uneven
// surrounds pull a centre (Steger, IEEE TPAMI 20 (1998) 113). An edge drawn as one tall stroke has its
// centre half way between its ends.

import (
	"math"

	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// windowWidths is the half-window of the centroid in standard deviations of the stroke
	// (TestStripeCentreReachesTheBound).
	windowWidths = 2
	// A column is an edge from path.TallStroke times a usual run's height, from tallBlend less to tallBlend more
	// (TestBetweenStrokeAndEdge).
	tallBlend = 0.2
	// visible is the most light beside a stroke, as a share of the stroke's, that is surround and nothing drawn
	// (TestWhatLiesBesideAStroke).
	visible = 0.25
)

// centre measures the path p on the planes of one tint; through is the share of a stroke's light that lines before it
// let pass, nil for all of it.
func centre(s *sheet.Sheet, p *path.Path, in *planes, through []float32) *Centres {
	plane, under, noise, bottom := in.light, in.ink, in.noise, s.Frame.Bottom()
	n := s.NX
	c := &Centres{Y: make([]float64, n), Sigma: make([]float64, n), Thick: make([]float64, n), top: make([]float64, n), light: make([]float64, n)}
	st := strokeOf(s, p, plane, under, through)
	c.stroke = st.width * s.DY
	if through != nil {
		through = crossed(s, p, plane, through, st.usual)
	}
	st.cover = covers(s, p, plane, under, st.usual)
	moment := noiseMoment(s, p, plane, noise, windowWidths*st.width)
	noises := make([]float32, s.NY)
	for i := range n {
		c.Y[i], c.Sigma[i], c.Thick[i] = math.NaN(), math.NaN(), math.NaN()
		if !p.Seen(i) {
			continue
		}
		r := p.Runs[i]
		st.load(s, i, r, plane, under, through)
		lo, hi := st.ends()
		y, area, w, ok := st.centroid(lo, hi)
		spread := moment / area * math.Pow(max(w/st.width, 1), 1.5) // rows for a noise of one unit
		// From stroke to edge the centroid gives way to the middle evenly, or noise would change one for the other.
		if t := edgeLike(hi-lo, st.usual); t > 0 && st.peak > 0 {
			// Each end lies on a flank of slope peak/(√2π·width), and the middle is the mean of two.
			middle, flanks := (lo+hi)/2, math.Sqrt(math.Pi)*st.width/st.peak
			if ok && t < 1 {
				middle, flanks = y+t*(middle-y), spread+t*(flanks-spread)
			}
			y, spread, ok = middle, flanks, true
		}
		if !ok {
			continue
		}
		noise.Column(noises, i)
		local := float64(noises[min(max(int(y), 0), s.NY-1)])
		c.Y[i] = s.Y(y)
		c.Thick[i] = (hi - lo) * s.DY
		c.top[i] = s.Y(hi)
		c.light[i] = area
		c.Sigma[i] = spread * local * st.gain * s.DY
	}
	c.mendCut(-bottom, 1)
	c.mendCut(bottom, -1)
	c.dropSmear(s)
	c.widen(s)
	return c
}

// edgeLike says how far a stroke of that height, in the unit of a usual one, is on the way from stroke, 0 and less, to
// edge, 1.
func edgeLike(height, usual float64) float64 {
	return min(height/(path.TallStroke*usual)-1+tallBlend, 2*tallBlend) / (2 * tallBlend)
}

// strokeOf gives what is known of all strokes of the path: their usual light and height, and their own width.
func strokeOf(s *sheet.Sheet, p *path.Path, plane, under, through []float32) *profile {
	heights, peaks := []float64{}, []float64{}
	for i := range p.Runs {
		if p.Seen(i) {
			r := p.Runs[i]
			heights = append(heights, float64(r.Hi-r.Lo+1))
			peaks = append(peaks, float64(peakOf(plane[i*s.NY+r.Lo:i*s.NY+r.Hi+1])))
		}
	}
	usual := raster.Rank(heights, 0.25)
	st := &profile{amount: raster.Rank(peaks, 0.5), usual: usual, cover: 1}
	// The stroke's own width, from the columns where it is thin.
	var widths []float64
	for i := range p.Runs {
		if p.Seen(i) && float64(p.Runs[i].Hi-p.Runs[i].Lo+1) <= 1.3*usual {
			st.load(s, i, p.Runs[i], plane, under, through)
			widths = append(widths, st.breadth())
		}
	}
	st.width = max(raster.Rank(widths, 0.25), 0.5)
	return st
}

// A profile is one column's light about one run, and what is known of all of them. Rows are
// fractional, on the sheet.
type profile struct {
	amount float64 // light
	usual  float64 // rows, height of a usual run
	width  float64 // rows, standard deviation of a thin stroke
	cover  float64 // 0..1, share of the ink's light that the stroke takes away where it crosses a line
	base   int     // row of v[0]
	v      []float64
	lo, hi int // of the run, in v
	peak   float64
	gain   float64 // by how much ink under the stroke raised the noise
}

// load cuts the profile of run r out of column i: light of the stroke as if it lay on bare field.
func (k *profile) load(s *sheet.Sheet, i int, r path.Run, plane, under, through []float32) {
	m := int(math.Ceil(max(k.usual, 3*k.width)))
	a, b := max(r.Lo-m, 0), min(r.Hi+m, s.NY-1)
	k.base, k.lo, k.hi, k.peak, k.gain = a, r.Lo-a, r.Hi-a, 0, 1
	k.v = k.v[:0]
	for j := a; j <= b; j++ {
		v := float64(plane[i*s.NY+j])
		// Where a stroke covers the ink below it, what is seen is ink·(1 − light/amount) + light.
		g := k.amount / (k.amount - min(max(k.cover*float64(under[i*s.NY+j]), 0), sheet.InkMost*k.amount))
		if through != nil {
			g /= float64(through[i*s.NY+j])
		}
		if j >= r.Lo && j <= r.Hi {
			k.gain = max(k.gain, g)
		}
		k.v = append(k.v, v*g)
	}
	left, right := k.surround(0, k.lo/2), k.surround(k.hi+(len(k.v)-k.hi)/2+1, len(k.v))
	if math.IsNaN(left) {
		left = right
	}
	if math.IsNaN(right) {
		right = left
	}
	for j := range k.v {
		if !math.IsNaN(left) {
			k.v[j] -= left + (right-left)*float64(j)/float64(max(len(k.v)-1, 1))
		}
		if j >= k.lo && j <= k.hi {
			k.peak = max(k.peak, k.v[j])
		}
	}
}

// surround is the mean light of rows a to b beside the stroke; NaN if there are none or something
// else is drawn there.
func (k *profile) surround(a, b int) float64 {
	a, b = max(a, 0), min(b, len(k.v))
	if b <= a {
		return math.NaN()
	}
	sum := 0.0
	for _, v := range k.v[a:b] {
		sum += v
	}
	if m := sum / float64(b-a); math.Abs(m) < visible*k.amount {
		return m
	}
	return math.NaN()
}

// breadth is the standard deviation, in rows, of the Gaussian of the same area and peak.
func (k *profile) breadth() float64 {
	area := 0.0
	for _, v := range k.v {
		area += v
	}
	if !(k.peak > 0) {
		return 0
	}
	return area / k.peak / math.Sqrt(2*math.Pi)
}

// centroid gives the resting place of the windowed centroid of a stroke that ends at rows lo and hi, in rows of the
// sheet, with the area in the window and the stroke's width there.
func (k *profile) centroid(lo, hi float64) (y, area, w float64, ok bool) {
	w = max(k.breadth(), k.width)
	half := min(windowWidths*w, (hi-lo)/2+windowWidths*k.width)
	y = float64(k.lo+k.hi) / 2
	for range 40 {
		sum, moment := windowed(k.v, y, half)
		if !(sum > 0) {
			return 0, 0, 0, false
		}
		area = sum
		next := moment / sum
		if math.Abs(next-y) < 1e-4 {
			y = next
			break
		}
		y = next
	}
	if !(y >= float64(k.lo)-k.width && y <= float64(k.hi)+k.width) {
		return 0, 0, 0, false
	}
	return y + float64(k.base), area, w, true
}

// windowed sums v and its first moment over c ± half, cells at the ends counting by their share.
func windowed(v []float64, c, half float64) (sum, moment float64) {
	lo, hi := c-half, c+half
	for j := max(int(math.Floor(lo)), 0); j <= min(int(math.Ceil(hi)), len(v)-1); j++ {
		a, b := max(lo, float64(j)-0.5), min(hi, float64(j)+0.5)
		if b > a {
			sum += v[j] * (b - a)
			moment += v[j] * (b - a) * (a + b) / 2
		}
	}
	return sum, moment
}

// ends gives the rows where the profile passes half its level, outermost.
func (k *profile) ends() (lo, hi float64) {
	level := append([]float64(nil), k.v[k.lo:k.hi+1]...)
	half := max(raster.Rank(level, 0.5), k.peak/2) / 2
	if float64(len(level)) <= path.TallStroke*k.usual {
		half = k.peak / 2
	}
	a, b := k.lo, k.hi
	for a < b && k.v[a] < half {
		a++
	}
	for b > a && k.v[b] < half {
		b--
	}
	lo, hi = float64(a), float64(b)
	if a > 0 && k.v[a] > k.v[a-1] {
		lo -= min(max((k.v[a]-half)/(k.v[a]-k.v[a-1]), 0), 1)
	}
	if b+1 < len(k.v) && k.v[b] > k.v[b+1] {
		hi += min(max((k.v[b]-half)/(k.v[b]-k.v[b+1]), 0), 1)
	}
	return lo + float64(k.base), hi + float64(k.base)
}

// noiseMoment is the standard deviation of the first moment of blank field over a window of ±half
// rows, for noise of one unit a cell. It is measured, not computed, because neighbouring cells share
// photo pixels and JPEG blocks: their noise is not white.
func noiseMoment(s *sheet.Sheet, p *path.Path, plane []float32, noise *sheet.Knots, half float64) float64 {
	h := max(int(half+0.5), 1)
	var moments []float64
	for i := 0; i < s.NX; i += 3 {
		col := plane[i*s.NY : (i+1)*s.NY]
		for j := h + s.Up/4; j < s.NY-h-s.Up/4; j += 2*h + 3 {
			if r := p.Runs[i]; p.Seen(i) && j+3*h >= r.Lo && j-3*h <= r.Hi {
				continue
			}
			m := 0.0
			for k := -h; k <= h; k++ {
				m += float64(k) * float64(col[j+k])
			}
			moments = append(moments, math.Abs(m)/float64(noise.At(i, j)))
		}
	}
	white := math.Sqrt(float64(h*(h+1)*(2*h+1)) / 3)
	return max(sheet.MADToSD*raster.Rank(moments, 0.5), 0.5*white)
}

func peakOf(v []float32) float32 {
	m := v[0]
	for _, w := range v[1:] {
		m = max(m, w)
	}
	return m
}
