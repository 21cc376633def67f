package trace

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
	"sort"
)

const (
	// windowWidths is the half-window of the centroid in standard deviations of the stroke.
	windowWidths = 2
	// inkMost is the part of the stroke's light that ink may have before the stroke is lost on it.
	inkMost = 0.6
	// tallStroke is how many times a usual run's height makes a column an edge, from tallBlend less to tallBlend more.
	tallStroke, tallBlend = 3, 0.2
)

// A centred trace: one value a column; y is NaN where the path is absent.
type centred struct {
	y, sigma, thick []float64 // box
	pixel           float64   // box, standard deviation of a place on the display's pixels
	smooth          bool      // a slow rise of the trace shows no steps of any kind
	wobble          float64   // box, the scatter of level stretches from column to column
	level           float64   // box, the height of a stroke where the trace is level
	camera          float64   // box, the camera's noise on a usual place
	noise           float64   // box, the signal's noise on level stretches, by means of columns
	ripple          float64   // box, the same by neighbouring columns, from which blur takes a part
	top             []float64 // box, the stroke's upper end at half its light
	light           []float64 // of the stroke, summed over its rows
	stroke          float64   // box, the standard deviation of a thin stroke
}

// centre measures the path p on the plane of light; under is the ink's light along the same tint,
// through the share of a stroke's light that lines before it let pass, nil for all of it; noise one standard deviation at
// the field's knots, bottom the frame's lowest line in boxes.
func centre(s *sheet, f *field, p *path, plane, under, through, noise []float32, bottom float64) *centred {
	n := s.nx
	c := &centred{y: make([]float64, n), sigma: make([]float64, n), thick: make([]float64, n), top: make([]float64, n), light: make([]float64, n)}
	st := strokeOf(s, p, plane, under, through)
	c.stroke = st.width * s.dy
	if through != nil {
		through = crossed(s, p, plane, through, st.usual)
	}
	st.cover = covers(s, p, plane, under, st.usual)
	moment := noiseMoment(s, f, p, plane, noise, windowWidths*st.width)
	line := make([]float32, f.nq)
	for i := range n {
		c.y[i], c.sigma[i], c.thick[i] = math.NaN(), math.NaN(), math.NaN()
		if !p.seen(i) {
			continue
		}
		r := p.runs[i]
		st.load(s, i, r, plane, under, through)
		lo, hi := st.ends()
		y, area, w, ok := st.centroid(lo, hi)
		spread := moment / area * math.Pow(max(w/st.width, 1), 1.5) // rows for a noise of one unit
		// From stroke to edge the centroid gives way to the middle evenly, or noise would change one for the other.
		if t := min((hi-lo)/(tallStroke*st.usual)-1+tallBlend, 2*tallBlend) / (2 * tallBlend); t > 0 && st.peak > 0 {
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
		f.column(line, i, noise)
		q, t := f.between(min(max(int(y), 0), s.ny-1))
		local := float64(line[q] + t*(line[q+1]-line[q]))
		c.y[i] = s.y(y)
		c.thick[i] = (hi - lo) * s.dy
		c.top[i] = s.y(hi)
		c.light[i] = area
		c.sigma[i] = spread * local * st.gain * s.dy
	}
	c.mendCut(-bottom, 1)
	c.mendCut(bottom, -1)
	c.dropSmear(s)
	c.widen(s)
	return c
}

// strokeOf gives what is known of all strokes of the path: their usual light and height, and their own width.
func strokeOf(s *sheet, p *path, plane, under, through []float32) *stroke {
	heights, peaks := []float64{}, []float64{}
	for i := range p.runs {
		if p.seen(i) {
			r := p.runs[i]
			heights = append(heights, float64(r.hi-r.lo+1))
			peaks = append(peaks, float64(peakOf(plane[i*s.ny+r.lo:i*s.ny+r.hi+1])))
		}
	}
	usual := rank(heights, 0.25)
	st := &stroke{amount: rank(peaks, 0.5), usual: usual, cover: 1}
	// The stroke's own width, from the columns where it is thin.
	var widths []float64
	for i := range p.runs {
		if p.seen(i) && float64(p.runs[i].hi-p.runs[i].lo+1) <= 1.3*usual {
			st.load(s, i, p.runs[i], plane, under, through)
			widths = append(widths, st.breadth())
		}
	}
	st.width = max(rank(widths, 0.25), 0.5)
	return st
}

// A stroke is one column's profile about one run, and what is known of all of them. Rows are
// fractional, on the sheet.
type stroke struct {
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
func (k *stroke) load(s *sheet, i int, r run, plane, under, through []float32) {
	m := int(math.Ceil(max(k.usual, 3*k.width)))
	a, b := max(r.lo-m, 0), min(r.hi+m, s.ny-1)
	k.base, k.lo, k.hi, k.peak, k.gain = a, r.lo-a, r.hi-a, 0, 1
	k.v = k.v[:0]
	for j := a; j <= b; j++ {
		v := float64(plane[i*s.ny+j])
		// Where a stroke covers the ink below it, what is seen is ink·(1 − light/amount) + light.
		g := k.amount / (k.amount - min(max(k.cover*float64(under[i*s.ny+j]), 0), inkMost*k.amount))
		if through != nil {
			g /= float64(through[i*s.ny+j])
		}
		if j >= r.lo && j <= r.hi {
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
func (k *stroke) surround(a, b int) float64 {
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
func (k *stroke) breadth() float64 {
	area := 0.0
	for _, v := range k.v {
		area += v
	}
	if !(k.peak > 0) {
		return 0
	}
	return area / k.peak / math.Sqrt(2*math.Pi)
}

// centroid gives the resting place of the windowed centroid of a stroke that ends at rows lo and hi, in rows of the sheet, with
// the area in the window and the stroke's width there.
func (k *stroke) centroid(lo, hi float64) (y, area, w float64, ok bool) {
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
func (k *stroke) ends() (lo, hi float64) {
	level := append([]float64(nil), k.v[k.lo:k.hi+1]...)
	half := max(rank(level, 0.5), k.peak/2) / 2
	if float64(len(level)) <= tallStroke*k.usual {
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
func noiseMoment(s *sheet, f *field, p *path, plane, noise []float32, half float64) float64 {
	h := max(int(half+0.5), 1)
	var moments []float64
	for i := 0; i < s.nx; i += 3 {
		col := plane[i*s.ny : (i+1)*s.ny]
		for j := h + s.up/4; j < s.ny-h-s.up/4; j += 2*h + 3 {
			if r := p.runs[i]; p.seen(i) && j+3*h >= r.lo && j-3*h <= r.hi {
				continue
			}
			m := 0.0
			for k := -h; k <= h; k++ {
				m += float64(k) * float64(col[j+k])
			}
			moments = append(moments, math.Abs(m)/float64(f.at(noise, i, j)))
		}
	}
	white := math.Sqrt(float64(h*(h+1)*(2*h+1)) / 3)
	return max(madToSD*rank(moments, 0.5), 0.5*white)
}

func peakOf(v []float32) float32 {
	m := v[0]
	for _, w := range v[1:] {
		m = max(m, w)
	}
	return m
}

// rank gives the element of rank p·(n-1) of v, unordered; 0 for none.
func rank(v []float64, p float64) float64 {
	if len(v) == 0 {
		return 0
	}
	w := append([]float64(nil), v...)
	sort.Float64s(w)
	return w[int(p*float64(len(w)-1)+0.5)]
}
