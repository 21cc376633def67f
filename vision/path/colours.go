package path

// The colours that are drawn with.
//
// What stands out from field and ink has a direction in linear RGB: that of a yellow stroke on black,
// of a pale stroke on blue, or, negative, of a dark stroke on a pale display. Glare adds to the field and
// leaves the direction alone. The directions of all such cells gather about few places of the sphere,
// found one after the other as the heaviest cluster (mean shift: Comaniciu, Meer, IEEE TPAMI 24
// (2002) 603). Each is tried as a trace's colour.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// standsOut is how many standard deviations above the field a cell needs to tell a colour
	// (TestWhichColoursAreDrawnWith).
	standsOut = 6
	// clusterRadius is how far, in radians, colours of one stroke spread from its overexposed core
	// to its rim; yellow and green strokes, both half bleached, are 0.4 apart
	// (TestWhichColoursAreDrawnWith).
	clusterRadius = 0.13
	pieceHigh     = 0.12
	// leastShare is the share of all that stands out below which a colour is not tried
	// (TestWhichColoursAreDrawnWith).
	leastShare = 0.02
	// mostColours bounds the search; displays have four channels and white text
	// (TestWhichColoursAreDrawnWith).
	mostColours = 6
	// foreign is how many times the part of a cell's light off the colour's direction is taken from
	// the part along it: a cell 27° off scores 0 (TestWhatACellScores).
	foreign = 2
	// coversInk is how many times brighter than the ink a cell must be to be judged as a stroke that
	// covers it (TestWhatACellScores).
	// Ink up to inkReach boxes away counts: the grid may lie a little beside its lines.
	coversInk, inkReach = 2, 0.03
	// lineBeside is how far beside an upright line, in boxes, there is none of its light
	// (TestTheInkOfAnUprightLineCounts).
	lineBeside = 0.1
	// otherColour is how alike the tint the graticule's ink may be, as a share of its light, and be of another
	// colour: that of monochrome displays has 0.9 to 1 (TestWhichInkIsOfAnotherColour).
	otherColour = 0.8
)

// tints gives the colours drawn with, heaviest first.
func tints(s *sheet.Sheet) []sheet.Tint {
	const levels = 32 // of each channel (TestWhichColoursAreDrawnWith)
	heap := make([]struct {
		sum    [3]float64
		weight float64
	}, levels*levels*levels)
	total := 0.0
	each := func(visit func(v [3]float32, size float32)) {
		high := max(int(pieceHigh*float64(s.Up)+0.5), 1)
		for i := 1; i < s.NX; i += 2 {
			var sum [3]float32
			n := 0
			end := func() {
				if n > 0 {
					visit(sum, float32(math.Sqrt(float64(sum[0]*sum[0]+sum[1]*sum[1]+sum[2]*sum[2]))))
				}
				sum, n = [3]float32{}, 0
			}
			for j := 0; j < s.NY; j++ {
				v, lit := lightOf(s, i, j)
				if !lit {
					end()
					continue
				}
				for c := range sum {
					sum[c] += v[c]
				}
				if n++; n == high {
					end()
				}
			}
			end()
		}
	}
	var brightest []float32
	each(func(_ [3]float32, size float32) { brightest = append(brightest, size) })
	top := raster.Rank(brightest, 0.9) // so that a lamp's reflection does not outweigh a stroke
	each(func(v [3]float32, size float32) {
		if size < top/10 {
			return
		}
		w := float64(min(size, top))
		bin := 0
		for c := range 3 {
			u := float64(v[c] / size)
			bin = bin*levels + min(int((u+1)/2*levels), levels-1)
		}
		for c := range 3 {
			heap[bin].sum[c] += w * float64(v[c]/size)
		}
		heap[bin].weight += w
		total += w
	})
	var found []sheet.Tint
	for len(found) < mostColours {
		best := 0
		for b := range heap {
			if heap[b].weight > heap[best].weight {
				best = b
			}
		}
		if heap[best].weight == 0 {
			break
		}
		d := sheet.Unit(heap[best].sum)
		near := 0.0
		for range 8 {
			var sum [3]float64
			near = 0
			for b := range heap {
				h := &heap[b]
				if h.weight > 0 && sheet.Dot(sheet.Unit(h.sum), d) > math.Cos(clusterRadius) {
					for c := range sum {
						sum[c] += h.sum[c]
					}
					near += h.weight
				}
			}
			if near == 0 {
				break
			}
			d = sheet.Unit(sum)
		}
		for b := range heap {
			h := &heap[b]
			if b == best || h.weight > 0 && sheet.Dot(sheet.Unit(h.sum), d) > math.Cos(1.2*clusterRadius) {
				h.weight = 0
			}
		}
		if near < leastShare*total {
			continue
		}
		found = append(found, sheet.Tint{float32(d[0]), float32(d[1]), float32(d[2])})
	}
	return found
}

// lightOf is what cell (i, j) has above field and ink, and whether it stands out.
func lightOf(s *sheet.Sheet, i, j int) (v [3]float32, lit bool) {
	k := i*s.NY + j
	over := float32(0)
	for c := range 3 {
		v[c] = s.Light[c][k] - s.Ink[c][k]
		e := v[c] / s.Noise[c].At(i, j)
		over += e * e
	}
	return v, over > 3*standsOut*standsOut
}

// likeness gives light less what the cell has of other colours: the score by which a stroke of this tint is found. A
// stroke covers the ink below it, so a cell that is much brighter than its ink, or than what a level line has of the
// tint, is also judged as it is.
func likeness(s *sheet.Sheet, d sheet.Tint) []float32 {
	out := make([]float32, s.NX*s.NY)
	other := unlike(s, d)
	reach, beside := int(inkReach*float64(s.Up)+0.5), int(lineBeside*float64(s.Across)+0.5)
	raster.Rows(s.NX, func(a, b int) {
		under, alike := make([]float32, s.NY), make([]float32, s.NY)
		inked := func(k int) float32 { return d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k] }
		for i := a; i < b; i++ {
			left, right := max(i-beside, 0)*s.NY, min(i+beside, s.NX-1)*s.NY
			for j := range under {
				k := i*s.NY + j
				under[j] = inked(k)
				// Of an upright line, the edges have colours of their own, and a display's three stripes.
				if alike[j] = under[j]; other && min(inked(left+j), inked(right+j)) > under[j]/2 {
					alike[j] = d.Alike(foreign, under[j], s.Ink[0][k], s.Ink[1][k], s.Ink[2][k])
				}
			}
			for j := range under {
				k := i*s.NY + j
				v0, v1, v2 := s.Light[0][k], s.Light[1][k], s.Light[2][k]
				m := d[0]*v0 + d[1]*v1 + d[2]*v2
				if m <= 0 {
					continue
				}
				best := d.Alike(foreign, m-under[j], v0-s.Ink[0][k], v1-s.Ink[1][k], v2-s.Ink[2][k])
				if under[j] > 0.1*m {
					near := alike[j]
					for _, w := range alike[max(j-reach, 0):min(j+reach+1, s.NY)] {
						near = max(near, w)
					}
					if as := d.Alike(foreign, m, v0, v1, v2); as > coversInk*near {
						best = max(best, as)
					}
				}
				out[k] = best
			}
		}
	})
	return out
}

// unlike reports whether the graticule's ink has another colour than the tint. Its own is that of its cells, each
// with the weight of its light along the tint.
func unlike(s *sheet.Sheet, d sheet.Tint) bool {
	var sum [3]float32
	for k := range s.Ink[0] {
		if m := d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k]; m > 0 {
			for c := range sum {
				sum[c] += m * s.Ink[c][k]
			}
		}
	}
	m := d[0]*sum[0] + d[1]*sum[1] + d[2]*sum[2]
	return d.Alike(foreign, m, sum[0], sum[1], sum[2]) < otherColour*m
}
