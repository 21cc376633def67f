package path

// Traces that are drawn one above the other. Where they have one ink and their edges are not seen, a path costs nothing
// more when it goes from the levels of one to those of the other. But between them lie rows in which nothing is drawn,
// and most columns have something above these rows and something below: those of a square wave without edges have one
// or the other. So the runs of one ink are parted into bands of rows, and paths are looked for in each.

import (
	"math"
	"slices"

	"quadrille/vision/sheet"
)

const (
	// speckled is the share of the columns in which specks may be in a row that counts as empty, and emptyRows the least
	// height in boxes of empty rows between bands (TestTracesOneAboveTheOtherAreParted).
	speckled, emptyRows = 0.004, 0.1
	// bandShare is the least share of the columns with runs in a band that holds a trace of its own; exclusive the
	// greatest share of the lesser band's columns that two parts of one trace have in common: where an edge is drawn a
	// column has both (TestTracesOneAboveTheOtherAreParted).
	bandShare, exclusive = 0.45, 0.2
	// Pulses have less than pulsesFill of the columns from the first to the last, which are pulsesWide of all at least,
	// the top of a step more than levelFill; words, which belong to no trace, have more than half, with gaps
	// (TestTracesOneAboveTheOtherAreParted).
	pulsesFill, pulsesWide, levelFill = 0.4, 0.5, 0.9
)

// A band is a stretch of rows, and which columns have runs in it; core are those of its largest part, for words may be
// drawn above or below, without the ends of its strokes, whose blur reaches over an edge.
type band struct {
	first, last int
	in, core    []bool
}

// bandsOf gives the runs by bands, from the bottom; all in one where they are not parted.
func bandsOf(s *sheet.Sheet, runs [][]Run) [][][]Run {
	bands := drawnRows(s, runs)
	for len(bands) > 1 {
		if k, ok := partsOfOne(bands); ok {
			bands = joinedAt(bands, k)
			continue
		}
		k := slices.IndexFunc(bands, func(b band) bool { return b.share() < bandShare })
		if k < 0 {
			break
		}
		part := func(o band) bool { return o.share() >= bandShare && o.common(bands[k]) <= exclusive }
		if filled, wide := bands[k].filled(); filled < pulsesFill && wide >= pulsesWide || filled > levelFill && slices.ContainsFunc(bands, part) {
			return [][][]Run{runs} // pulses or a level of some trace, which reaches through others to get there
		}
		bands = joinedAt(bands, max(k-1, 0))
	}
	if len(bands) < 2 {
		return [][][]Run{runs}
	}
	out := make([][][]Run, len(bands))
	for k, b := range bands {
		out[k] = make([][]Run, len(runs))
		for i, rs := range runs {
			for _, r := range rs {
				if b.holds(r) {
					out[k][i] = append(out[k][i], r)
				}
			}
		}
	}
	return out
}

// sumOfPeaks is the sum of the brightest peaks of all columns.
func sumOfPeaks(runs [][]Run) (sum float32) {
	for _, rs := range runs {
		var most float32
		for _, r := range rs {
			most = max(most, r.Peak)
		}
		sum += most
	}
	return sum
}

// partsOfOne gives the band that is with the one above it most surely a part of one trace.
func partsOfOne(bands []band) (at int, ok bool) {
	least := math.Inf(1)
	for k := range bands[1:] {
		if c := bands[k].common(bands[k+1]); c < least {
			at, least = k, c
		}
	}
	return at, least <= exclusive
}

// drawnRows gives the bands between empty rows. Specks there belong to the band below.
func drawnRows(s *sheet.Sheet, runs [][]Run) (bands []band) {
	drawn := make([]int, s.NY)
	for _, rs := range runs {
		for _, r := range rs {
			for j := r.Lo; j <= r.Hi; j++ {
				drawn[j]++
			}
		}
	}
	specks, apart := int(speckled*float64(s.NX)), int(emptyRows*float64(s.Up)+0.5)
	ends := int(usualHeight(runs)*s.DY/s.DX + 0.5) // a stroke is as broad as it is high
	empty := apart
	for j, n := range drawn {
		if n <= specks {
			empty++
			continue
		}
		if empty >= apart {
			bands = append(bands, band{first: j})
		}
		bands[len(bands)-1].last, empty = j, 0
	}
	for k := range bands {
		if bands[k].in = make([]bool, len(runs)); k+1 < len(bands) {
			bands[k].last = bands[k+1].first - 1
		} else {
			bands[k].last = s.NY
		}
		if k == 0 {
			bands[k].first = 0
		}
		for i, rs := range runs {
			for _, r := range rs {
				bands[k].in[i] = bands[k].in[i] || bands[k].holds(r)
			}
		}
		bands[k].core = withoutEnds(bands[k].in, ends)
	}
	return bands
}

// withoutEnds leaves so many columns out at either end of each stretch; none if less than half would be left, as of
// dashes.
func withoutEnds(in []bool, n int) []bool {
	out := slices.Clone(in)
	all, left := 0, 0
	for i := range in {
		for k := max(i-n, 0); k <= min(i+n, len(in)-1); k++ {
			out[i] = out[i] && in[k]
		}
		if in[i] {
			all++
		}
		if out[i] {
			left++
		}
	}
	if 2*left < all {
		return in
	}
	return out
}

func (b band) holds(r Run) bool { return b.first <= r.Lo && r.Lo <= b.last }

// share is that of the columns with runs in the band.
func (b band) share() float64 {
	n := 0
	for _, in := range b.in {
		if in {
			n++
		}
	}
	return float64(n) / float64(len(b.in))
}

// filled is the share that the core has of the columns from its first to its last, and wide how many of all those are.
func (b band) filled() (filled, wide float64) {
	first, last, n := slices.Index(b.core, true), 0, 0
	if first < 0 {
		return 1, 0
	}
	for i, in := range b.core {
		if in {
			last = i
			n++
		}
	}
	wide = float64(last-first+1) / float64(len(b.core))
	return float64(n) / float64(last-first+1), wide
}

// common is the share of the lesser core's columns that both have runs in.
func (b band) common(o band) float64 {
	both, n, m := 0, 0, 0
	for i := range b.core {
		if b.core[i] {
			n++
		}
		if o.core[i] {
			m++
		}
		if b.core[i] && o.core[i] {
			both++
		}
	}
	return float64(both) / float64(max(min(n, m), 1))
}

// joinedAt makes one band of band k and the one above it.
func joinedAt(bands []band, k int) []band {
	a, b := bands[k], bands[k+1]
	one := band{first: a.first, last: b.last, in: make([]bool, len(a.in)), core: a.core}
	if b.share() > a.share() {
		one.core = b.core
	}
	for i := range one.in {
		one.in[i] = a.in[i] || b.in[i]
	}
	return append(append(append([]band(nil), bands[:k]...), one), bands[k+2:]...)
}
