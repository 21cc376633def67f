package sheet

// A display that a fast wave or a thick band of noise fills. Of thirty cycles and more the strokes with their blur
// cover more than half of the cells: the median of all is no longer the field, nor their median deviation the noise,
// which came out twenty times too large, so that of the flanks only shreds stood above it. Such a wave does so left
// and right of the middle. At its heights the field then goes straight from below them to above, and the noise is
// held to that of the display's quieter part. A square wave or a menu may look crowded, too, and is seen better
// without: which of the two sheets counts, package path decides by what it sees on them.

import (
	"slices"

	"quadrille/vision/raster"
)

const (
	// A height is crowded when, left and right of the middle, crowdedShare of its knots are crowded times as noisy as
	// the quieter part of the display, which quietShare of all knots are; and so are all heights between two such.
	// Words, menus and reflections are not as wide as the screen (TestWhichHeightsAreCrowded).
	crowded, crowdedShare, quietShare = 5, 0.3, 0.2
	// mostNoise is the most noise of a crowded knot, in units of the quieter part's and of how many times as bright
	// as that the field is: where a wave is drawn, its blur adds to the noise of the camera
	// (TestWhichHeightsAreCrowded).
	mostNoise = 3
)

// seeCrowds finds the crowded heights and puts the field beneath them.
func (s *Sheet) seeCrowds() {
	var spread [3]*Knots
	for c := range spread {
		spread[c] = newKnots(&s.Grid)
	}
	fillKnots(&spread, func(buf []float32, c, p, q int) float32 {
		k := spread[c]
		buf = k.around(buf, p, q, s.raw[c])
		level := s.Field[c].V[p*k.nq+q]
		for i, v := range buf {
			buf[i] = abs(v - level)
		}
		return MADToSD * raster.Rank(buf, 0.5)
	})
	for c, k := range s.Field {
		least := crowded * max(raster.Rank(slices.Clone(spread[c].V), quietShare), minNoise)
		first, last := spread[c].crowdedHeights(least)
		for p := range k.np {
			bridge(k.V[p*k.nq:(p+1)*k.nq], first-1, last+1)
		}
	}
}

// bridge makes level, one column of knots, go straight from the height below the crowd to that above it, or on from
// the one that there is.
func bridge(level []float32, below, above int) {
	if below < 0 && above >= len(level) {
		return
	}
	from, to := below, above
	if below < 0 {
		from = above
	}
	if above >= len(level) {
		to = below
	}
	for q := below + 1; q < above; q++ {
		t := float32(q-below) / float32(above-below)
		level[q] = level[from] + t*(level[to]-level[from])
	}
}

// crowdedHeights gives the first and the last row of knots of which enough are above least; first is beyond last if
// none is.
func (k *Knots) crowdedHeights(least float32) (first, last int) {
	first, last = k.nq, -1
	for q := range k.nq {
		var noisy [2]int // left and right half
		for p := range k.np {
			if k.V[p*k.nq+q] > least {
				noisy[2*p/(k.np+1)]++
			}
		}
		if float64(min(noisy[0], noisy[1])) >= crowdedShare*float64(k.np/2) {
			first, last = min(first, q), q
		}
	}
	return first, last
}

// calmCrowds holds the noise of crowded heights to that of the quieter part of the display.
func (s *Sheet) calmCrowds() {
	for c, n := range s.Noise {
		field := s.Field[c].V
		quiet := raster.Rank(slices.Clone(n.V), quietShare)
		dark := max(raster.Rank(slices.Clone(field), quietShare), minNoise) // black fields have 0
		first, last := n.crowdedHeights(crowded * quiet)
		for k := range n.V {
			if q := k % n.nq; first <= q && q <= last {
				n.V[k] = min(n.V[k], mostNoise*quiet*max(1, field[k]/dark))
			}
		}
	}
}
