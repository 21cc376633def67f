package upright

// Rows: letters of like size beside one another.

import (
	"math"
	"sort"
)

// TestLettersOfARowAreOfLikeSizeAndCloseTogether would notice other numbers.
const (
	leastHeight = 6    // samples; smaller letters have no shape
	mostHeight  = 0.8  // box
	mostGap     = 0.7  // of the height, between letters; lines are further apart
	offLine     = 0.15 // of the height, by which tops or feet differ
	leastRow    = 3    // letters
)

// letterLike says whether the size of a blob is one of a letter's.
func letterLike(b *blob, box float64) bool {
	w, h := float64(b.w()), float64(b.h())
	return h >= leastHeight && h <= mostHeight*box && w <= 1.6*h && w >= 0.1*h && w >= 1.5
}

// rowsOf gives the blobs that stand in rows along x; box is the height of a box in samples.
func rowsOf(all []blob, box float64) []blob {
	var l []blob
	for i := range all {
		if letterLike(&all[i], box) {
			l = append(l, all[i])
		}
	}
	sort.Slice(l, func(i, j int) bool { return l[i].x0 < l[j].x0 })
	root := make([]int, len(l))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range l {
		a := &l[i]
		best, gap := -1, math.Inf(1)
		for j := i + 1; j < len(l) && float64(l[j].x0) <= float64(a.x1)+mostGap*mostHeight*box; j++ {
			if b := &l[j]; beside(a, b) && float64(b.x0-a.x1) < gap {
				best, gap = j, float64(b.x0-a.x1)
			}
		}
		if best >= 0 {
			ra, rb := find(i), find(best)
			root[max(ra, rb)] = min(ra, rb)
		}
	}
	size := make([]int, len(l))
	for i := range l {
		size[find(i)]++
	}
	var out []blob
	for i, b := range l {
		if size[find(i)] >= leastRow {
			out = append(out, b)
		}
	}
	return out
}

// beside says whether b may be the letter after a.
func beside(a, b *blob) bool {
	h := float64(max(a.h(), b.h()))
	gap := float64(b.x0 - a.x1)
	if gap > mostGap*h || gap < -0.15*h || float64(min(a.h(), b.h())) < 0.45*h {
		return false
	}
	return math.Abs(float64(a.y1-b.y1)) <= max(offLine*h, 1) || math.Abs(float64(a.y0-b.y0)) <= max(offLine*h, 1)
}
