package trace

// Words in the trace's ink. A letter is a small piece that touches nothing else, taller than a stroke, and letters stand in a
// row; where a photo runs letters together, the word still has more than one stroke in most columns. A trace is wider, or
// its pieces are no taller than its stroke.

import (
	"cmp"
	"math"
	"slices"
)

const (
	// letterLow and letterHigh bound the height of letters, letterWide their width, in boxes; usual readouts have 0.2 to 0.45
	// (common practice, no source).
	letterLow, letterHigh, letterWide = 0.1, 0.55, 0.45
	// letterStroke is how many times as tall as the usual run a letter is at least.
	letterStroke = 1.8
	// wordStrokes is how many runs a column a word whose letters touch has at least.
	wordStrokes = 1.3
	// lettersApart is the greatest gap in boxes between letters of a row, sameLine the share of the lower one's height that two of
	// them have in common, fewLetters how many make a row.
	lettersApart, sameLine, fewLetters = 0.4, 0.6, 3
)

// An islet is a set of runs that touch from column to column, and the box round them.
type islet struct {
	i0, i1, j0, j1 int
	runs           int
}

// islets gives the pieces that the runs make; of lists them like runs, as indices.
func islets(runs [][]run) (all []islet, of [][]int) {
	var parent []int
	find := func(k int) int {
		for parent[k] != k {
			parent[k] = parent[parent[k]]
			k = parent[k]
		}
		return k
	}
	of = make([][]int, len(runs))
	for i, rs := range runs {
		of[i] = make([]int, len(rs))
		for n, r := range rs {
			k := len(parent)
			parent = append(parent, k)
			all = append(all, islet{i, i, r.lo, r.hi, 1})
			of[i][n] = k
			if i == 0 {
				continue
			}
			for m, o := range runs[i-1] {
				if o.lo <= r.hi+1 && r.lo <= o.hi+1 {
					a, b := find(of[i-1][m]), find(k)
					if a == b {
						continue
					}
					parent[b] = a
					p, q := &all[a], &all[b]
					p.i0, p.i1, p.j0, p.j1 = min(p.i0, q.i0), max(p.i1, q.i1), min(p.j0, q.j0), max(p.j1, q.j1)
					p.runs += q.runs
				}
			}
		}
	}
	for _, ks := range of {
		for n, k := range ks {
			ks[n] = find(k)
		}
	}
	return all, of
}

// dropWords takes the runs of words away.
func dropWords(s *sheet, runs [][]run) {
	all, of := islets(runs)
	usual := usualHeight(runs)
	var letters []int
	for _, ks := range of {
		for _, k := range ks {
			if b := &all[k]; b.runs > 0 && b.letter(s, usual) {
				letters = append(letters, k)
			}
		}
	}
	slices.Sort(letters)
	letters = slices.Compact(letters)
	slices.SortStableFunc(letters, func(a, b int) int { return cmp.Compare(all[a].i0, all[b].i0) })
	apart := int(lettersApart*float64(s.across) + 0.5)
	word := make(map[int]bool)
	taken := make(map[int]bool)
	for n, k := range letters {
		if taken[k] {
			continue
		}
		row := []int{k}
		last, wide := &all[k], all[k].i1-all[k].i0+1
		for _, m := range letters[n+1:] {
			b := &all[m]
			if b.i0-last.i1 > apart {
				break
			}
			if both := min(b.j1, last.j1) - max(b.j0, last.j0) + 1; !taken[m] && b.i0 > last.i0 &&
				float64(both) >= sameLine*float64(min(b.j1-b.j0, last.j1-last.j0)+1) {
				row = append(row, m)
				wide += b.i1 - b.i0 + 1
				last = b
			}
		}
		if len(row) >= fewLetters || float64(wide)*s.dx > fewLetters*letterWide/2 {
			for _, m := range row {
				word[m], taken[m] = true, true
			}
		}
	}
	if len(word) == 0 {
		return
	}
	for i, rs := range runs {
		keep := rs[:0]
		for n, r := range rs {
			if !word[of[i][n]] {
				keep = append(keep, r)
			}
		}
		runs[i] = keep
	}
}

// letter reports whether the piece can be a letter, or a word whose letters touch.
func (b *islet) letter(s *sheet, usual float64) bool {
	wide, high := float64(b.i1-b.i0+1)*s.dx, float64(b.j1-b.j0+1)*s.dy
	if high < letterLow || high > letterHigh || float64(b.j1-b.j0+1) < letterStroke*usual {
		return false
	}
	return wide <= letterWide || float64(b.runs) >= math.Ceil(wordStrokes*float64(b.i1-b.i0+1))
}
