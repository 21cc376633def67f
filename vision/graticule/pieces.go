package graticule

// Looking at one piece of a line in the evidence: the profile across it.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	perBox    = 32 // profile samples a box: finer than the picture's own
	profHalf  = 14 // samples to either side, ±0.44 box: just short of the half box, where ticks and helper lines may be
	profLen   = 2*profHalf + 1
	alongPts  = 10   // samples along a piece
	alongFrom = 0.12 // box: crossings are left out, the other family is bright there
)

// A profile is the mean evidence along a piece, across it: sample profHalf lies on the line, each
// step is 1/perBox box in the direction of growing k.
type profile [profLen]float32

// look gives the profile of pc; ok is false when more than half of the piece lies outside.
func (e *evidence) look(h *lattice, pc piece) (p profile, ok bool) {
	n := 0
	plane := e.upright
	if pc.fam == level {
		plane = e.level
	}
	for t := range alongPts {
		along := alongFrom + (1-2*alongFrom)*float64(t)/(alongPts-1)
		a := h.Pixel(pc.at(-float64(profHalf)/perBox, along))
		b := h.Pixel(pc.at(float64(profHalf)/perBox, along))
		if pc.fam == level {
			a, b = geom.Pixel{X: a.Y, Y: a.X}, geom.Pixel{X: b.Y, Y: b.X}
		}
		if addRun(&p, plane, a, b, e.scale) {
			n++
		}
	}
	if 2*n < alongPts {
		return p, false
	}
	for i := range p {
		p[i] /= float32(n)
	}
	return p, true
}

// lookEnds is look, and gives the strengths of the piece's first and last third beside the profile of
// the whole; NaN where less than two of the third's places are on the picture.
func (e *evidence) lookEnds(h *lattice, pc piece, sign float32) (whole profile, ends [2]float64, ok bool) {
	plane := e.upright
	if pc.fam == level {
		plane = e.level
	}
	const third = alongPts / 3
	var parts [2]profile
	var all float32
	var n [2]int
	for t := range alongPts {
		along := alongFrom + (1-2*alongFrom)*float64(t)/(alongPts-1)
		a := h.Pixel(pc.at(-float64(profHalf)/perBox, along))
		b := h.Pixel(pc.at(float64(profHalf)/perBox, along))
		if pc.fam == level {
			a, b = geom.Pixel{X: a.Y, Y: a.X}, geom.Pixel{X: b.Y, Y: b.X}
		}
		var row profile
		if !addRun(&row, plane, a, b, e.scale) {
			continue
		}
		whole.add(&row)
		all++
		if t < third {
			parts[0].add(&row)
			n[0]++
		} else if t >= alongPts-third {
			parts[1].add(&row)
			n[1]++
		}
	}
	for i := range ends {
		ends[i] = math.NaN()
		if n[i] >= 2 {
			ends[i] = parts[i].pieceStrength(sign) / float64(n[i])
		}
	}
	for i := range whole {
		whole[i] /= max(all, 1)
	}
	return whole, ends, 2*all >= alongPts
}

// addRun adds the bilinear samples of plane from a to b (photo pixels) to p; nothing is added, and
// false returned, if an end is outside.
func addRun(p *profile, plane *raster.Plane, a, b geom.Pixel, scale float64) bool {
	x, y := a.X*scale-0.5, a.Y*scale-0.5
	x1, y1 := b.X*scale-0.5, b.Y*scale-0.5
	xMax, yMax := float64(plane.W-2), float64(plane.H-2)
	if !(x >= 0 && y >= 0 && x < xMax && y < yMax && x1 >= 0 && y1 >= 0 && x1 < xMax && y1 < yMax) {
		return false
	}
	dx, dy := (x1-x)/(profLen-1), (y1-y)/(profLen-1)
	for i := range p {
		xi, yi := int(x), int(y)
		fx, fy := float32(x-float64(xi)), float32(y-float64(yi))
		q := plane.Pix[yi*plane.W+xi:]
		top := q[0] + fx*(q[1]-q[0])
		q = q[plane.W:]
		low := q[0] + fx*(q[1]-q[0])
		p[i] += top + fy*(low-top)
		x += dx
		y += dy
	}
	return true
}

// peak gives the highest place of sign·p within reach samples of the line, by a parabola, as an
// offset in boxes; its height above the profile's median; and the profile's own noise, the median
// absolute deviation. edge says that the highest place is at the end of the reach: no peak.
func (p *profile) peak(sign float32, reach int) (off, height, noise float64, edge bool) {
	var v [profLen]float64
	best := profHalf - reach
	for i := range p {
		v[i] = float64(sign * p[i])
		if i > profHalf-reach && i <= profHalf+reach && v[i] > v[best] {
			best = i
		}
	}
	sorted := v
	mid := median(sorted[:])
	for i := range sorted {
		sorted[i] = math.Abs(v[i] - mid)
	}
	noise = median(sorted[:])
	height = v[best] - mid
	if best == profHalf-reach || best == profHalf+reach || v[best] < v[best-1] || v[best] < v[best+1] {
		return float64(best-profHalf) / perBox, height, noise, true
	}
	l, m, r := v[best-1], v[best], v[best+1]
	d := 0.0
	if den := l - 2*m + r; den < 0 {
		d = 0.5 * (l - r) / den
	}
	return (float64(best-profHalf) + d) / perBox, height, noise, false
}

// strength is how much more evidence lies on the line than to its sides, free of bias in noise: the
// most within ±0.1 box less the most at 0.2 to 0.4 box, the mean of the two sides.
func (p *profile) strength(sign float32) float64 {
	most := func(from, to int) float64 {
		m := float32(math.Inf(-1))
		for i := profHalf + from; i <= profHalf+to; i++ {
			m = max(m, sign*p[i])
		}
		return float64(m)
	}
	// Equal counts of samples, 7, or the larger window wins in noise.
	return most(-3, 3) - (most(-13, -7)+most(7, 13))/2
}

func (p *profile) add(q *profile) {
	for i := range p {
		p[i] += q[i]
	}
}
