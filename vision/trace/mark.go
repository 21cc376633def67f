package trace

// The mark at the left rim that shows where a trace has its zero: a small arrow or flag in the trace's
// colour, just outside the frame, often with a number beside it.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

const (
	// markReach is how far outside the frame the mark may begin, in boxes; its tip is within
	// markTip of the frame.
	markReach, markTip = 0.5, 0.25
	// markPast is how far past the lowest or highest line a mark may point, in boxes.
	markPast = 0.08
	// markLeast and markMost bound the height of a mark, in boxes.
	markLeast, markMost = 0.06, 0.45
	// markContrast is the least difference in linear light between trace and rim for a mark to be
	// seen, markShare the share of it that a cell of a mark has at least.
	markContrast, markShare = 0.03, 0.4
	// markAlone is how much heavier than any other blob the mark must be.
	markAlone = 1.5
	// markCells is how many rows of cells a mark has at least for its shape to be seen.
	markCells = 6
	// besideFrame columns touch the frame, and there a mark's tip is at most tipShare as high as the
	// mark. A trace's own start spills over into them.
	besideFrame, tipShare = 2, 0.7
)

// A rim is the strip left of the frame, as differences from its field.
type rim struct {
	s     *sheet
	field [][3]float32 // linear light, by column
}

func readRim(ph *photo.Photo, g *graticule.Graticule, across, up, subX, subY int) *rim {
	left, low := g.Frame.Left(), g.Frame.Bottom()
	w := math.Round(markReach*float64(across)) / float64(across)
	h := math.Round(markMost*float64(up)) / float64(up) // a mark at the lowest line reaches below it
	r := &rim{s: sampleSheet(ph, g, geom.Box{X: left - w, Y: low - h}, geom.Box{X: left, Y: -low + h}, across, up, subX, subY)}
	// Each column has its own field, the median over its rows: marks are small, and what surrounds
	// the frame (a menu's colour, the bezel) changes from column to column.
	r.field = make([][3]float32, r.s.nx)
	var buf []float32
	for c := range 3 {
		for i := range r.s.nx {
			col := r.s.rgb[c][i*r.s.ny : (i+1)*r.s.ny]
			buf = buf[:0]
			for _, v := range col {
				if v == v {
					buf = append(buf, v)
				}
			}
			m := median(buf)
			r.field[i][c] = m
			for j := range col {
				if col[j] -= m; col[j] != col[j] {
					col[j] = 0
				}
			}
		}
	}
	return r
}

// markGround fills in the traces' marks.
func (r *rim) markGround(traces []*Trace) {
	var starts []start
	for _, t := range traces {
		for i, y := range t.Y {
			if !math.IsNaN(y) && t.X[i] < t.Frame.Left()+markTip {
				starts = append(starts, start{y, rank(finite(t.Thick), 0.25)})
				break
			}
		}
	}
	for _, t := range traces {
		t.GroundMark = r.groundMark(t.Colour, t.Frame.Bottom(), starts)
	}
}

// A start is where a trace meets the left rim, and the thickness of its stroke, in boxes.
type start struct{ y, thick float64 }

// groundMark gives the y in boxes of the mark in the trace's colour, NaN if there is none that stands
// alone. low is the frame's lowest line.
func (r *rim) groundMark(srgb [3]uint8, low float64, starts []start) float64 {
	s := r.s
	tip := s.nx - int(markTip*float64(s.across)+0.5)
	mask := r.alike(fromSRGB(srgb), tip)
	weight := make([]int, s.ny) // cells of the mark by row, but for those right beside the frame
	for i := range len(mask) - besideFrame {
		for j, on := range mask[i] {
			if on {
				weight[j]++
			}
		}
	}
	best, second, where := 0, 0, math.NaN()
	for j := 0; j < s.ny; j++ {
		if weight[j] == 0 {
			continue
		}
		first, sum, moment := j, 0, 0
		for j < s.ny && weight[j] > 0 {
			sum += weight[j]
			moment += weight[j] * j
			j++
		}
		height := float64(j-first) * s.dy
		y := s.y(float64(moment) / float64(sum))
		if height < markLeast || height > markMost || math.Abs(y) > -low+markPast {
			continue
		}
		most, last, wide := shape(mask, first, j)
		if most < markCells || wide < markCells/2 {
			continue
		}
		// A trace that runs on past the frame is as thick there as further out; a mark has its tip there.
		if float64(last) > tipShare*float64(most) && slices.ContainsFunc(starts, func(a start) bool { return math.Abs(y-a.y) < height+a.thick }) {
			continue
		}
		if sum > best {
			best, second, where = sum, best, y
		} else {
			second = max(second, sum)
		}
	}
	least := markLeast * markLeast / 2 * float64(s.across*s.up) // a triangle as small as a mark may be
	if float64(best) < least || float64(best) < markAlone*float64(second) {
		return math.NaN()
	}
	return where
}

// alike tells which cells of the columns from first on have the colour, given in linear light.
func (r *rim) alike(colour [3]float32, first int) [][]bool {
	s := r.s
	mask := make([][]bool, s.nx-first)
	for i := first; i < s.nx; i++ {
		row := make([]bool, s.ny)
		mask[i-first] = row
		// A mark has the trace's colour on the rim's field, which may be another than the display's.
		var d tint
		amount := float32(0)
		for c := range d {
			d[c] = colour[c] - r.field[i][c]
			amount += d[c] * d[c]
		}
		amount = float32(math.Sqrt(float64(amount)))
		if amount < markContrast {
			continue
		}
		for c := range d {
			d[c] /= amount
		}
		for j := range row {
			k := i*s.ny + j
			v0, v1, v2 := s.rgb[0][k], s.rgb[1][k], s.rgb[2][k]
			row[j] = d.alike(d[0]*v0+d[1]*v1+d[2]*v2, v0, v1, v2) > markShare*amount
		}
	}
	return mask
}

// shape gives the greatest height, in cells, of the blob in rows first to end of the mask, its height at the
// frame, and how many columns it has.
func shape(mask [][]bool, first, end int) (most, last, wide int) {
	for i, row := range mask {
		n := 0
		for _, on := range row[first:end] {
			if on {
				n++
			}
		}
		most = max(most, n)
		if n > 0 {
			wide++
		}
		if i >= len(mask)-besideFrame {
			last = max(last, n)
		}
	}
	return most, last, wide
}
