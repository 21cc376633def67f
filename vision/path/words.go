package path

// Words in the trace's ink. A letter is a small piece that touches nothing else, taller than a stroke, and letters
// stand in a row; where a photo runs letters together, the word still has more than one stroke in most columns. A
// trace is wider, or its pieces are no taller than its stroke.

import (
	"slices"
	"sort"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// letterLow and letterHigh bound the height of letters, letterLow and letterWide their width, in boxes; usual
	// readouts are 0.2 to 0.65 high (common practice, no source). Narrow ones count when others tell the line
	// (TestWhatIsALetter).
	letterLow, letterHigh, letterWide = 0.1, 0.75, 0.6
	// letterStroke is how many times as tall as the usual run a letter is at least (TestWhatIsALetter).
	letterStroke = 1.8
	// A word whose letters touch is wordHigh times as tall as the usual run, no wider than wordWide boxes, and has
	// wordStrokes runs a column, or fewStrokes and one stem, as tall as wordStem of it, for every letterWide of its
	// width. A noisy level has stems too, but 1.02 runs a column (TestWhatIsALetter, TestWhatIsAStem).
	wordHigh, wordWide, wordStrokes, fewStrokes, wordStem = 3, 4, 1.3, 1.12, 0.6
	// Where a tube's glow runs letters together, a word is a bar: its runs are barFilled of its height in the mean,
	// it is no wider than barWide boxes, and no further than barsApart from another word, for one bar alone may be a
	// level (TestWhatIsALetter, TestWhatIsARowOfLetters).
	barFilled, barWide, barsApart = 0.62, 1.2, 0.7
	// lettersApart is the greatest gap in boxes between letters of a row, sameLine the share of the lower one's
	// height that two of them have in common, fewLetters how many make a row (TestWhatIsARowOfLetters).
	lettersApart, sameLine, fewLetters = 0.4, 0.6, 3
	// partedBy is by how many columns pieces of a trace that noise has parted lie apart at most
	// (TestWhatNoiseHasParted).
	partedBy = 2
)

// An islet is a set of runs that touch from column to column, and the box round them.
type islet struct {
	i0, i1, j0, j1 int
	runs, cells    int // the runs, and how many rows they have together
	stems          int // groups of columns with a run nearly as tall as the islet
}

// islets gives the pieces that the runs make, those of neighbouring columns less than slack rows apart; of lists them
// like runs, as indices.
func islets(runs [][]Run, slack int) (all []islet, of [][]int) {
	var spans []raster.Span
	for i, rs := range runs {
		for _, r := range rs {
			spans = append(spans, raster.Span{Line: i, From: r.Lo, To: r.Hi + 1})
		}
	}
	pieces, label := raster.Components(spans, slack)
	for _, c := range pieces {
		all = append(all, islet{i0: c.Line0, i1: c.Line1 - 1, j0: c.From, j1: c.To - 1, cells: c.Area})
	}
	for _, k := range label {
		all[k].runs++
	}
	of = make([][]int, len(runs))
	for i, rs := range runs {
		of[i], label = label[:len(rs)], label[len(rs):]
	}
	stood := make(map[int]int) // islet to the last column of its latest stem
	for i, ks := range of {
		for n, k := range ks {
			b := &all[k]
			if r := runs[i][n]; float64(r.Hi-r.Lo+1) >= wordStem*float64(b.j1-b.j0+1) {
				if last, ok := stood[k]; !ok || last < i-1 {
					b.stems++
				}
				stood[k] = i
			}
		}
	}
	return all, of
}

// withoutWords gives the runs that are no words.
func withoutWords(s *sheet.Sheet, runs [][]Run) [][]Run {
	usual := usualHeight(runs)
	all, of := islets(runs, 1+int(usual/2))
	var letters, trace []int // trace: pieces too wide for a word, and those that noise has parted from one
	for k, b := range all {
		if b.letter(s, usual) {
			letters = append(letters, k)
		} else if float64(b.i1-b.i0+1)*s.DX > wordWide {
			trace = append(trace, k)
		}
	}
	for n := 0; n < len(trace); n++ {
		letters = slices.DeleteFunc(letters, func(k int) bool {
			on := all[k].goesOn(all[trace[n]])
			if on {
				trace = append(trace, k)
			}
			return on
		})
	}
	sort.SliceStable(letters, func(i, j int) bool { return all[letters[i]].i0 < all[letters[j]].i0 })
	apart, barred, slack := int(lettersApart*float64(s.Across)+0.5), int(barsApart*float64(s.Across)+0.5), int(letterLow*float64(s.Up)+0.5)
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
			if b.i0-last.i1 > barred {
				break
			}
			if b.i0-last.i1 > apart && !b.bar(s, usual) && !last.bar(s, usual) {
				continue
			}
			if both := min(b.j1, last.j1) - max(b.j0, last.j0) + 1; !taken[m] && b.i0 > last.i0 &&
				float64(both) >= sameLine*float64(min(b.j1-b.j0, last.j1-last.j0)+1) {
				row = append(row, m)
				wide += b.i1 - b.i0 + 1
				last = b
			}
		}
		if len(row) < fewLetters && float64(wide)*s.DX < fewLetters*letterWide/2 || len(row) == 1 && last.bar(s, usual) {
			continue
		}
		line := all[k]
		for _, m := range row {
			word[m], taken[m] = true, true
			line.i1, line.j0, line.j1 = max(line.i1, all[m].i1), min(line.j0, all[m].j0), max(line.j1, all[m].j1)
		}
		for grown := true; grown; { // stops, signs and broken letters of the same line
			grown = false
			for m, b := range all {
				if !word[m] && float64(b.i1-b.i0+1)*s.DX <= letterWide && b.j0 >= line.j0-slack && b.j1 <= line.j1+slack &&
					b.i0-line.i1 <= apart && line.i0-b.i1 <= apart {
					word[m], grown = true, true
					line.i0, line.i1 = min(line.i0, b.i0), max(line.i1, b.i1)
				}
			}
		}
	}
	out := make([][]Run, len(runs))
	for i, rs := range runs {
		for n, r := range rs {
			if !word[of[i][n]] {
				out[i] = append(out[i], r)
			}
		}
	}
	return out
}

// goesOn reports whether b ends where the piece o begins, at its height, or begins where o ends.
func (b islet) goesOn(o islet) bool {
	both := min(b.j1, o.j1) - max(b.j0, o.j0) + 1
	return max(o.i0-b.i1, b.i0-o.i1) <= partedBy && float64(both) >= sameLine*float64(b.j1-b.j0+1)
}

// letter reports whether the piece can be a letter, or a word whose letters touch.
func (b islet) letter(s *sheet.Sheet, usual float64) bool {
	wide, high := float64(b.i1-b.i0+1)*s.DX, float64(b.j1-b.j0+1)*s.DY
	if high < letterLow || high > letterHigh || wide < letterLow || float64(b.j1-b.j0+1) < letterStroke*usual {
		return false
	}
	return wide <= letterWide || b.bar(s, usual) || wide <= wordWide && float64(b.j1-b.j0+1) >= wordHigh*usual &&
		(float64(b.runs) >= wordStrokes*float64(b.i1-b.i0+1) ||
			float64(b.runs) >= fewStrokes*float64(b.i1-b.i0+1) && float64(b.stems)*letterWide >= wide)
}

// bar reports whether the piece can be a word whose letters have run together.
func (b islet) bar(s *sheet.Sheet, usual float64) bool {
	wide, high := float64(b.i1-b.i0+1)*s.DX, float64(b.j1-b.j0+1)
	return wide > letterWide && wide <= barWide && float64(b.cells) > barFilled*float64(b.runs)*high && high >= wordHigh*usual
}

// inALine reports whether the path stays within the height of a line of words.
func (p *Path) inALine(s *sheet.Sheet) bool {
	var y []float64
	for i, r := range p.Runs {
		if p.Seen(i) {
			y = append(y, s.Y(float64(r.Lo+r.Hi)/2))
		}
	}
	return raster.Rank(y, 0.95)-raster.Rank(y, 0.05) < letterHigh
}
