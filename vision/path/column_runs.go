package path

// The runs of a column: stretches of cells that score above a threshold. A flat trace gives a short one, an edge that
// the display draws from its lowest to its highest sample gives one as tall as the edge.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// visible is the least score of a run's cells as a share of the run's own peak, faint the least
	// of that peak as a share of the trace's usual one: a beam is dim where it is fast (TestWhichCellsAreARun).
	visible, faint = 0.25, 0.06
	// overInk is the least light of a run in units of the graticule's brightest. What the model of the ink
	// leaves of lines and dots is a quarter of them at most (TestWhichCellsAreARun).
	overInk = 0.3
	// detect is the least score of a run's cells in standard deviations of the noise
	// (TestWhichCellsAreARun).
	detect = 4
	// rimSlack is how far outside the frame a trace is followed, in boxes (TestWhichCellsAreARun).
	rimSlack = 0.06
	// inkBridge is the greatest height in boxes of a line of the graticule with its blur, inkSeen the least of its
	// light as a share of the trace's, edgePart the least height of a part of an edge beside it
	// (TestWhichCellsAreARun).
	inkBridge, inkSeen, edgePart = 0.16, 0.06, 0.12
	// holeRows is the tallest hole of a run, in boxes: a third of a stroke, which is noise
	// (TestWhichCellsAreARun).
	holeRows = 0.015
	// helperSpan is the share of the frame's height from which a run is a vertical helper line (TestWhichRunsAreNone).
	helperSpan = 0.93
	// pastRim is how far beyond the rim, in boxes, the middle of a run may lie: half a stroke. Further
	// out is what the display draws around the frame (TestWhichRunsAreNone).
	pastRim = 0.035
)

// A Run is a stretch of cells of one column, rows Lo to Hi inclusive.
type Run struct {
	Lo, Hi int
	Peak   float32 // of the score
}

// absent is the run of a column that does not hold the trace.
var absent = Run{Lo: 0, Hi: -1}

// followed gives the first and the last row in which a trace is followed.
func followed(s *sheet.Sheet) (first, last int) {
	first = max(int(math.Ceil(s.Row(s.Frame.Bottom()-rimSlack))), 0)
	return first, min(int(s.Row(-s.Frame.Bottom()+rimSlack)), s.NY-1)
}

// usualScore is the median, over the columns where the colour is strong, of the column's highest score.
func usualScore(s *sheet.Sheet, score []float32) float32 {
	first, last := followed(s)
	peaks := make([]float32, s.NX)
	raster.Rows(s.NX, func(a, b int) {
		for i := a; i < b; i++ {
			for _, v := range score[i*s.NY+first : i*s.NY+last+1] {
				peaks[i] = max(peaks[i], v)
			}
		}
	})
	half := raster.Rank(append([]float32(nil), peaks...), 0.9) / 2
	strong := peaks[:0]
	for _, m := range peaks {
		if m > half {
			strong = append(strong, m)
		}
	}
	return raster.Rank(strong, 0.5)
}

// findRuns fills in the runs of every column of w, but for those that a rule takes away; inked is the ink's light of
// any colour in every cell.
func (w *drawing) findRuns(s *sheet.Sheet, inked []float32, rules []runRule) {
	first, last := followed(s)
	w.runs = make([][]Run, s.NX)
	joint := max(int(holeRows*float64(s.Up)+0.5), 1)
	tall, bridge := int(edgePart*float64(s.Up)+0.5), int(inkBridge*float64(s.Up)+0.5)
	least := max(faint*w.amount, overInk*w.peakInk)
	raster.Rows(s.NX, func(a, b int) {
		floor := make([]float32, s.NY)
		for i := a; i < b; i++ {
			w.noise.Column(floor, i)
			for j, v := range floor { // where strokes crowd, what looks like noise is strokes
				floor[j] = max(least, min(detect*v, visible*w.amount))
			}
			col := w.score[i*s.NY : (i+1)*s.NY]
			var found []Run
			for _, r := range stretchesAbove(nil, col, first, last, 0, floor, 1) {
				found = append(found, stretchesAbove(nil, col, r.Lo, r.Hi, visible*r.Peak, floor, joint)...)
			}
			for _, r := range joinOverInk(found, inked[i*s.NY:(i+1)*s.NY], inkSeen*w.amount, tall, bridge) {
				if !anyOf(rules, func(not runRule) bool { return not(s, r) }) {
					w.runs[i] = append(w.runs[i], r)
				}
			}
		}
	})
}

// isUprightLine tells a run as tall as the screen.
func isUprightLine(s *sheet.Sheet, r Run) bool {
	first, last := followed(s)
	return r.Hi-r.Lo+1 >= int(helperSpan*float64(last-first+1))
}

// isOutside tells a run whose middle is beyond the upper or lower rim.
func isOutside(s *sheet.Sheet, r Run) bool {
	return math.Abs(s.Y(float64(r.Lo+r.Hi)/2))+s.Frame.Bottom() >= pastRim
}

// joinOverInk makes one run of two of a column, each tall rows at least, when there is nothing but ink between them,
// bridge rows at most: a line of the graticule parts an edge that is drawn across it.
func joinOverInk(rs []Run, inked []float32, least float32, tall, bridge int) []Run {
	out := rs[:0]
	for _, r := range rs {
		n := len(out)
		if n > 0 && r.Lo-out[n-1].Hi-1 <= bridge && min(r.Hi-r.Lo, out[n-1].Hi-out[n-1].Lo) >= tall && inkedAll(inked[out[n-1].Hi+1:r.Lo], least) {
			out[n-1].Hi, out[n-1].Peak = r.Hi, max(out[n-1].Peak, r.Peak)
			continue
		}
		out = append(out, r)
	}
	return out
}

func inkedAll(v []float32, least float32) bool {
	for _, w := range v {
		if w < least {
			return false
		}
	}
	return true
}

// stretchesAbove appends the stretches of col within rows first to last that are above level and floor; holes of
// up to joint rows do not part them.
func stretchesAbove(rs []Run, col []float32, first, last int, level float32, floor []float32, joint int) []Run {
	for j := first; j <= last; j++ {
		v := col[j]
		if v <= level || v <= floor[j] {
			continue
		}
		if n := len(rs); n > 0 && j-rs[n-1].Hi <= joint+1 {
			rs[n-1].Hi = j
			rs[n-1].Peak = max(rs[n-1].Peak, v)
		} else {
			rs = append(rs, Run{j, j, v})
		}
	}
	return rs
}
