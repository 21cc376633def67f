package lattice

// The ridges across one piece of a line.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	perBox = 32 // profile samples a box: finer than the picture's own (TestAPieceIsSeenWhereItIs)
	// profHalf: samples to either side, ±0.44 box: just short of the half box, where ticks and helper lines may be
	// (TestAPieceIsSeenWhereItIs)
	profHalf = 14
	profLen  = 2*profHalf + 1 // TestAPieceIsSeenWhereItIs
	// alongRows: rows across a piece: ridges are smooth along their line over as much as lies between two of them
	// (TestAPieceIsTheMeanAlongIt)
	alongRows = 6
	// endsRows: the same where the ends of a piece are told apart, three of them each (TestAPieceIsTheMeanAlongIt)
	endsRows = 9
	// AlongFrom is where a piece's rows begin and end, in boxes from the crossings, where the other family is bright
	// (TestAPieceIsTheMeanAlongIt).
	AlongFrom = 0.12
)

// A Profile is the mean of the ridges along a piece, across it: sample profHalf lies on the line, each step is 1/perBox
// box in the direction of growing lines.
type Profile [profLen]float32

// ProfileOf gives the profile of piece p of the lattice h; ok is false when more than half of the piece lies outside.
func ProfileOf(r *scene.Ridges, h *Map, p Piece) (sum Profile, ok bool) {
	n := float32(0)
	p.rows(r, h, alongRows, func(_ int, plane *raster.Plane, a, b geom.Pixel) {
		if plane.AddRun(sum[:], a, b) {
			n++
		}
	})
	if 2*n < alongRows {
		return sum, false
	}
	for i := range sum {
		sum[i] /= n
	}
	return sum, true
}

// rows calls f with the ends of each of n rows across p, on the plane of its family.
func (p Piece) rows(r *scene.Ridges, h *Map, n int, f func(row int, plane *raster.Plane, a, b geom.Pixel)) {
	plane := r.Upright
	if p.Of == Level {
		plane = r.Level
	}
	for row := range n {
		along := AlongFrom + (1-2*AlongFrom)*float64(row)/float64(n-1)
		a := h.Pixel(p.At(-float64(profHalf)/perBox, along))
		b := h.Pixel(p.At(float64(profHalf)/perBox, along))
		if p.Of == Level { // whose plane is transposed
			a, b = geom.Pixel{X: a.Y, Y: a.X}, geom.Pixel{X: b.Y, Y: b.X}
		}
		f(row, plane, geom.Pixel{X: a.X * r.Scale, Y: a.Y * r.Scale}, geom.Pixel{X: b.X * r.Scale, Y: b.Y * r.Scale})
	}
}

// Ends gives the strengths of p's first and last third beside the profile of the whole; NaN where less than two rows of
// the third are on the picture.
func Ends(r *scene.Ridges, h *Map, p Piece, sign float32) (whole Profile, ends [2]float64, ok bool) {
	const third = endsRows / 3 // TestAPieceIsTheMeanAlongIt
	var parts [2]Profile
	var n [2]int
	all := float32(0)
	p.rows(r, h, endsRows, func(i int, plane *raster.Plane, a, b geom.Pixel) {
		var row Profile
		if !plane.AddRun(row[:], a, b) {
			return
		}
		whole.Add(&row)
		all++
		if i < third {
			parts[0].Add(&row)
			n[0]++
		} else if i >= endsRows-third {
			parts[1].Add(&row)
			n[1]++
		}
	})
	for i := range ends {
		ends[i] = math.NaN()
		if n[i] >= 2 {
			ends[i] = parts[i].Narrow(sign) / float64(n[i])
		}
	}
	for i := range whole {
		whole[i] /= max(all, 1)
	}
	return whole, ends, 2*all >= endsRows
}

// peak gives the highest place of sign·p within reach samples of the line, by a parabola, as an offset in boxes; its
// height above the profile's median; and the profile's own noise, the median absolute deviation. edge says that the
// highest place is at the end of the reach: no peak.
func (p *Profile) peak(sign float32, reach int) (off, height, noise float64, edge bool) {
	var v, sorted [profLen]float32
	best := profHalf - reach
	for i := range p {
		v[i] = sign * p[i]
		if i > profHalf-reach && i <= profHalf+reach && v[i] > v[best] {
			best = i
		}
	}
	sorted = v
	mid := raster.Median(sorted[:])
	height = float64(v[best] - mid)
	for i := range sorted {
		sorted[i] = float32(math.Abs(float64(v[i] - mid)))
	}
	noise = float64(raster.Median(sorted[:]))
	if best == profHalf-reach || best == profHalf+reach || v[best] < v[best-1] || v[best] < v[best+1] {
		return float64(best-profHalf) / perBox, height, noise, true
	}
	l, m, r := float64(v[best-1]), float64(v[best]), float64(v[best+1])
	d := 0.0
	if den := l - 2*m + r; den < 0 {
		d = 0.5 * (l - r) / den
	}
	return (float64(best-profHalf) + d) / perBox, height, noise, false
}

// Strength is how much more there is on the line than to its sides, free of bias in noise: the most within ±0.1 box
// less the most at 0.2 to 0.4 box, the mean of the two sides.
func (p *Profile) Strength(sign float32) float64 {
	// Equal counts of samples, 7, or the larger window wins in noise.
	return p.above(sign, 3, 7, 13)
}

// Narrow is as Strength, with narrower windows, for a lattice that is well known.
func (p *Profile) Narrow(sign float32) float64 { return p.above(sign, 2, 8, 12) }

// above is the most within half samples of the line, less the mean of the most from..to samples to either side.
func (p *Profile) above(sign float32, half, from, to int) float64 {
	most := func(a, b int) float32 {
		m := float32(math.Inf(-1))
		for _, v := range p[profHalf+a : profHalf+b+1] {
			if v *= sign; v > m {
				m = v
			}
		}
		return m
	}
	return float64(most(-half, half)) - float64(most(-to, -from)+most(from, to))/2
}

// Add adds q to p.
func (p *Profile) Add(q *Profile) {
	for i := range p {
		p[i] += q[i]
	}
}
