package path

// A second look at a display that a fast wave or a thick band of noise fills, on the sheet whose field lies beneath
// it. It counts only where the first left much out, and if it shows what swings up and down time and again: a square
// wave or a menu may look crowded, too, and is seen better without.

import (
	"slices"

	"quadrille/vision/raster"
)

const (
	// wellSeen is the share of the columns from which the first look has not left much out; moreSeen the least by
	// which the second must see more, for noise alone moves what is seen by a few hundredths
	// (TestWhenASecondLookCounts); FastWave how often the wave goes up or down at least: ten cycles leave more than
	// half of the cells bare (TestWhenASecondLookCounts).
	wellSeen, moreSeen, FastWave = 0.9, 1.1, 20
)

// seen is the evidence of the most prominent path, in columns, but for crests, which are all that is seen of a wave.
func (f *Found) seen() float64 {
	if len(f.Candidates) == 0 || f.Candidates[0].Crests {
		return 0
	}
	return f.Candidates[0].Path.evidence()
}

// leftMuchOut reports whether another look may see more.
func (f *Found) leftMuchOut() bool { return f.seen() < wellSeen*float64(f.Sheet.NX) }

// showsFastWave reports whether the most prominent path is one.
func (f *Found) showsFastWave() bool {
	if len(f.Candidates) == 0 || f.Candidates[0].Crests {
		return false
	}
	var y []float64
	for i, r := range f.Candidates[0].Path.Runs {
		if f.Candidates[0].Path.Seen(i) {
			y = append(y, float64(r.Lo+r.Hi)/2)
		}
	}
	return Passes(y, raster.Rank(slices.Clone(y), 0.1), raster.Rank(slices.Clone(y), 0.9)) >= FastWave
}

// seesMoreThan reports whether this look counts in place of the first.
func (f *Found) seesMoreThan(first *Found) bool {
	return f.showsFastWave() && f.seen() > moreSeen*first.seen()
}

// Passes counts how often heights go from the lower to the upper third between lo and hi, or back; NaN is passed over.
func Passes(heights []float64, lo, hi float64) (n int) {
	a, b := lo+(hi-lo)/3, hi-(hi-lo)/3
	side := 0
	for _, y := range heights {
		now := side
		if y < a { // false for NaN
			now = -1
		} else if y > b {
			now = 1
		}
		if side != 0 && now != side {
			n++
		}
		side = now
	}
	return n
}
