package path

// A fast wave on a tube. The beam's light is spread over its way, so that of a wave of twenty cycles and more the
// crests are bright, and the flanks between them, a tenth as bright and side by side, are lost in the noise. The
// crests stand in two level rows, by turns above and below and evenly spaced, as nothing else that is drawn on a
// display does. They are taken for the trace, and the rest of it is absent.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// leastCrests is the least count of crests in all, fewTurns how many of them may follow one on the same side:
	// lines of the graticule hide some (TestWhatStandsInTwoRows).
	leastCrests, fewTurns = 20, 0.3
	// crestLevel and crestSpacing are the greatest spread (from the 20th to the 80th in a hundred) of the heights of
	// one row, as a share of their distance, and of the distances of crests, as a share of the median
	// (TestWhatStandsInTwoRows).
	crestLevel, crestSpacing = 0.05, 0.6
	// crestHeight is the least distance of the rows, in boxes (TestWhatStandsInTwoRows).
	crestHeight = 1.0
	// hole is the greatest step from column to column of a crest (TestWhatACrestIs).
	hole = 3
	// tip is the share of the light of the usual crest from which a column is a part of one, and of that at its
	// brightest row to which a stroke reaches. Columns that have topmost of the crest's light are taken: further out
	// the two flanks of the crest melt together, and their middle is no place of the wave
	// (TestWhatACrestIs).
	tip, topmost = 0.5, 0.85
)

// A crest is a bright piece of a few columns: where it is brightest, and the cells from there that are at least tip
// as bright.
type crest struct {
	columns []int
	tips    []Run // of each column
	column  int   // the brightest
	row     int   // its brightest row
	peak    float32
}

// crestsOf gives the path along the crests of a fast wave; nil if the drawing is none.
func (w *drawing) crestsOf(s *sheet.Sheet) *Path {
	var all []crest
	last, row := -hole-1, 0
	for i, rs := range w.runs {
		best := Run{}
		for _, r := range rs {
			if r.Peak > best.Peak {
				best = r
			}
		}
		if best.Peak < tip*w.amount {
			continue
		}
		j := brightest(w.score[i*s.NY:(i+1)*s.NY], best)
		if i > last+hole || math.Abs(float64(j-row))*s.DY > crestHeight/2 {
			all = append(all, crest{})
		}
		last, row = i, j
		c := &all[len(all)-1]
		c.columns, c.tips = append(c.columns, i), append(c.tips, tipOf(w.score[i*s.NY:(i+1)*s.NY], j))
		if best.Peak > c.peak {
			c.column, c.row, c.peak = i, j, best.Peak
		}
	}
	if !inTwoRows(all, s) {
		return nil
	}
	p := &Path{Runs: make([]Run, len(w.runs)), Amount: w.amount}
	for i := range p.Runs {
		p.Runs[i] = absent
	}
	for _, c := range all {
		for k, i := range c.columns {
			if c.tips[k].Peak >= topmost*c.peak {
				p.Runs[i] = c.tips[k]
			}
		}
	}
	return p
}

// brightest is the row of r with the highest score.
func brightest(score []float32, r Run) int {
	best := r.Lo
	for j := r.Lo; j <= r.Hi; j++ {
		if score[j] > score[best] {
			best = j
		}
	}
	return best
}

// tipOf is the run of cells about row j that score at least tip of it.
func tipOf(score []float32, j int) Run {
	r := Run{j, j, score[j]}
	for r.Lo > 0 && score[r.Lo-1] >= tip*score[j] {
		r.Lo--
	}
	for r.Hi+1 < len(score) && score[r.Hi+1] >= tip*score[j] {
		r.Hi++
	}
	return r
}

// inTwoRows reports whether the crests are those of a fast wave.
func inTwoRows(all []crest, s *sheet.Sheet) bool {
	if len(all) < leastCrests {
		return false
	}
	rows := make([]float64, len(all))
	for k, c := range all {
		rows[k] = float64(c.row)
	}
	middle := (slices.Min(rows) + slices.Max(rows)) / 2
	var upper, lower, apart []float64
	turns := 0
	for k, r := range rows {
		if r > middle {
			upper = append(upper, r)
		} else {
			lower = append(lower, r)
		}
		if k > 0 {
			apart = append(apart, float64(all[k].column-all[k-1].column))
			if (r > middle) != (rows[k-1] > middle) {
				turns++
			}
		}
	}
	height := raster.Rank(upper, 0.5) - raster.Rank(lower, 0.5)
	spread := func(v []float64) float64 { return raster.Rank(v, 0.8) - raster.Rank(v, 0.2) }
	return height*s.DY >= crestHeight && float64(turns) >= (1-fewTurns)*float64(len(all)-1) &&
		max(spread(upper), spread(lower)) <= crestLevel*height && spread(apart) <= crestSpacing*raster.Rank(apart, 0.5)
}
