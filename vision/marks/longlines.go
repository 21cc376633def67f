package marks

// Long straight lines in the evidence, for displays on which no lines run across the field: their
// frame is the only thing to start from.
//
// A Hough transform of the ridges along the rows gives slopes and intercepts; each peak is followed
// along its length, and the stretch of it that is a line is fitted by a parabola, for lenses bend.
// R. O. Duda, P. E. Hart, Use of the Hough transformation to detect lines and curves in pictures,
// Comm. ACM 15 (1972) 11, in slope and intercept because lines stand within 30° of a picture's side.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/raster"
)

const (
	lineSlope = 0.6 // to either side, 31°: a roll of 20° and what perspective adds (TestWhichLinesAreLong)
	// lineBin, samples, width of a bin at the ends of the picture and of an intercept
	// (TestLinesCloseToEachOtherAreOne)
	lineBin    = 2.0
	ridgeLeast = 0.5 // rms of the evidence: a ridge (TestWhichLinesAreLong)
	// lineGate: samples beside a line where its ridge is searched: a lens bends a long line by that
	// (TestWhichLinesAreLong)
	lineGate  = 4.0
	lineWorth = 0.55 // rms: mean evidence that a stretch of line must have (TestWhichLinesAreLong)
	lineShort = 0.10 // of the picture's side along it: shorter lines are no frame's (TestWhichLinesAreLong)
	everyRow  = 4    // px: ridges are smooth along their lines (TestWhichLinesMakeARectangle)
	mostLines = 40   // of one family and polarity (TestAGrilleHasNoMoreThanFortyLines)
	// mostPeaks, of the transform, from which they come (nothing changes from 60 to 240,
	// TestAGrilleHasNoMoreThanFortyLines)
	mostPeaks   = 120
	lineClipLow = -0.5 // rms, of the evidence on a line; above it lineClip (TestTheSupportOfALineIsLimited)
	lineClip    = 1.2  // TestWhichLinesAreLong
)

// A longLine is a line of one family, x = c0 + c1·t + c2·t² with t = y - mid, in samples of the
// evidence (the level family's is transposed), from lo to hi.
type longLine struct {
	c0, c1, c2, mid float64
	lo, hi          float64
	sum             []float64 // of the clipped evidence along it, every everyRow samples, from 0
	rows            float64   // how many there are
}

func (l *longLine) at(y float64) float64 {
	t := y - l.mid
	return l.c0 + t*(l.c1+t*l.c2)
}

// support is the mean clipped evidence on the line from a to b; 0 outside the picture.
func (l *longLine) support(a, b float64) float64 {
	i, j := a/everyRow, b/everyRow
	n := j - i
	i, j = min(max(i, 0), l.rows), min(max(j, 0), l.rows)
	if !(n > 0) {
		return 0
	}
	at := func(x float64) float64 {
		k := min(int(x), len(l.sum)-2)
		f := x - float64(k)
		return l.sum[k]*(1-f) + l.sum[k+1]*f
	}
	return (at(j) - at(i)) / n
}

// longLines gives the long lines of the evidence p that are brighter (sign +1) or darker (-1) than
// their sides, the best supported first.
func longLines(p *raster.Plane, sign float32) (out []longLine) {
	for _, peak := range houghPeaks(p, sign) {
		l := longLine{c0: peak.x, c1: peak.slope, mid: float64(p.H) / 2, lo: 0, hi: float64(p.H)}
		if !l.follow(p, sign) || slices.ContainsFunc(out, func(k longLine) bool { return k.covers(&l) }) {
			continue
		}
		if out = append(out, l); len(out) == mostLines {
			break
		}
	}
	return out
}

type houghPeak struct{ x, slope, weight float64 }

// houghPeaks gives the places of p's middle row and slopes where most evidence adds up.
func houghPeaks(p *raster.Plane, sign float32) []houghPeak {
	step := 2 * lineBin / float64(p.H)
	n := int(lineSlope/step)*2 + 1
	reach := int(lineSlope*float64(p.H)/2/lineBin) + 1 // bins past the picture's sides
	bins := int(float64(p.W)/lineBin) + 1 + 2*reach
	acc := make([]float32, n*bins)
	type point struct{ x, t, v float32 }
	var points []point
	for y := 0; y < p.H; y += everyRow {
		row := p.Row(y)
		for x := 1; x < p.W-1; x++ {
			if v := sign * row[x]; v > ridgeLeast && v >= sign*row[x-1] && v > sign*row[x+1] {
				points = append(points, point{float32(x), float32(y) - float32(p.H)/2, min(v, lineClip)})
			}
		}
	}
	raster.Rows(n, func(s0, s1 int) {
		for s := s0; s < s1; s++ {
			slope := float32(step) * float32(s-n/2)
			row := acc[s*bins : (s+1)*bins]
			for _, q := range points {
				row[int((q.x-slope*q.t)/lineBin)+reach] += q.v
			}
		}
	})
	var peaks []houghPeak
	for s := 1; s < n-1; s++ {
		for i := 1; i < bins-1; i++ {
			v := acc[s*bins+i]
			// What a line adds to what lies around it.
			v -= (acc[s*bins+max(i-3, 0)] + acc[s*bins+min(i+3, bins-1)]) / 2
			if float64(v)*everyRow < lineShort*float64(p.H) {
				continue
			}
			top := true
			for d := -1; d <= 1; d++ {
				for e := -1; e <= 1; e++ {
					top = top && acc[(s+d)*bins+i+e] <= acc[s*bins+i]
				}
			}
			if top {
				peaks = append(peaks, houghPeak{(float64(i-reach) + 0.5) * lineBin, step * float64(s-n/2), float64(v)})
			}
		}
	}
	sort.Slice(peaks, func(i, j int) bool { return cmp.Less(peaks[j].weight, peaks[i].weight) })
	return peaks[:min(len(peaks), mostPeaks)]
}

// follow fits the line to the ridges beside it and finds where it begins and ends; false if it is
// too short.
func (l *longLine) follow(p *raster.Plane, sign float32) bool {
	n := (p.H-1)/everyRow + 1
	xs, vs := make([]float64, n), make([]float64, n)
	for round := range 3 {
		gate := lineGate
		if round == 2 {
			gate = lineGate / 2
		}
		for i := range n {
			y := i * everyRow
			row := p.Row(y)
			c := l.at(float64(y))
			best := -1
			for x := max(1, int(math.Ceil(c-gate))); x <= min(p.W-2, int(c+gate)); x++ {
				if best < 0 || sign*row[x] > sign*row[best] {
					best = x
				}
			}
			vs[i] = 0
			if best < 0 {
				continue
			}
			a, b, d := float64(sign*row[best-1]), float64(sign*row[best]), float64(sign*row[best+1])
			xs[i], vs[i] = float64(best), min(max(b, lineClipLow), lineClip)
			if den := a - 2*b + d; den < 0 && b >= a && b >= d {
				xs[i] += min(max(0.5*(a-d)/den, -0.5), 0.5)
			}
		}
		// The stretch with the most evidence above what is wanted. The best of many samples of
		// noise is high, hence the high price.
		sum, from := 0.0, 0
		best, lo, hi := 0.0, 0, 0
		for i, v := range vs {
			if sum <= 0 {
				sum, from = 0, i
			}
			if sum += v - (lineWorth + 0.3); sum > best {
				best, lo, hi = sum, from, i
			}
		}
		if float64(hi-lo)*everyRow < lineShort*float64(p.H)/2 {
			return false
		}
		l.lo, l.hi = float64(lo*everyRow), float64(hi*everyRow)
		if !l.fit(xs, vs, lo, hi, round > 0) {
			return false
		}
	}
	l.sum = make([]float64, n+1)
	for i := range n {
		v := 0.0
		if c := l.at(float64(i * everyRow)); c >= 0 && c < float64(p.W-1) {
			row := p.Row(i * everyRow)
			k := int(c)
			f := float32(c - float64(k))
			v = min(max(float64(sign*(row[k]*(1-f)+row[k+1]*f)), lineClipLow), lineClip)
		}
		l.sum[i+1] = l.sum[i] + v
	}
	l.rows = float64(n)
	return l.hi-l.lo >= lineShort*float64(p.H) && l.support(l.lo, l.hi) > lineWorth
}

// fit is a weighted least-squares fit to the ridges lo..hi: a straight line, or a parabola.
func (l *longLine) fit(xs, vs []float64, lo, hi int, bent bool) bool {
	l.mid = float64(lo+hi) / 2 * everyRow
	half := max(float64(hi-lo)/2*everyRow, 1)
	var m [3][4]float64
	for i := lo; i <= hi; i++ {
		if vs[i] < ridgeLeast {
			continue
		}
		t := (float64(i*everyRow) - l.mid) / half
		w := vs[i]
		b := [3]float64{1, t, t * t}
		for r := range 3 {
			for c := range 3 {
				m[r][c] += w * b[r] * b[c]
			}
			m[r][3] += w * b[r] * xs[i]
		}
	}
	n := 3
	if !bent {
		n = 2
	}
	var c [3]float64
	for i := range n { // elimination: the matrix is symmetric and positive if there are enough ridges
		if !(m[i][i] > 1e-9) {
			return false
		}
		for r := i + 1; r < n; r++ {
			f := m[r][i] / m[i][i]
			for k := i; k < 4; k++ {
				m[r][k] -= f * m[i][k]
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		c[i] = m[i][3]
		for k := i + 1; k < n; k++ {
			c[i] -= m[i][k] * c[k]
		}
		c[i] /= m[i][i]
	}
	l.c0, l.c1, l.c2 = c[0], c[1]/half, c[2]/(half*half)
	return math.Abs(l.c1) < 2*lineSlope
}

// covers reports whether k is a part of l, or nearly.
func (l *longLine) covers(k *longLine) bool {
	lo, hi := max(l.lo, k.lo), min(l.hi, k.hi)
	if hi-lo < 0.7*(k.hi-k.lo) {
		return false
	}
	return math.Abs(l.at(lo)-k.at(lo)) < lineBin && math.Abs(l.at(hi)-k.at(hi)) < lineBin
}
