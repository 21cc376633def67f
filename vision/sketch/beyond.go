package sketch

// What lies beyond the sheet: a table, another page. Its edge is a straight dark line along the squares and must not be
// taken for an axis.
//
// Along each side of the ruled part, in stretches of a square, the middle of the light at each distance outward is laid
// beside that of the paper within. From where it differs from the paper's, and does so all the way on, there is no
// sheet. The middle over a stretch does not see strokes that cross it, and a line along it is not the whole way.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	// tableStep is the least difference in light, in natural logarithms, between the paper and what it lies on: light
	// that falls unevenly has a tenth in a square and a half (TestTheTableIsNoDrawing, TestAShadowIsNoInk).
	tableStep = 0.2
	// tableLeast is how broad in squares what is seen of it must be within rimReach squares of the ruled part: a line
	// at the rim is narrower (TestTheTableIsNoDrawing).
	tableLeast, rimReach = 0.25, 0.5
	// lineBroad is how broad in squares a printed line is at most, which differs from paper too where it lies along the
	// end of what is looked at: nothing changes from 0.04 to 0.2 (TestASheetThatIsFoundInPartIsTold).
	lineBroad = 0.1
	// edgeHalf is half the breadth in squares of the sheet's edge: a thin shadow lies beside it, and the photo blurs it
	// (TestTheTableIsNoDrawing).
	edgeHalf = 0.12
	// paperWithin is how far within the rim the paper's light is taken, in squares (TestTheTableIsNoDrawing).
	paperWithin = 1.5
)

// beyond marks the cells that are not on the sheet. The sheet's colours are light in logarithms yet.
func (s *sheet) beyond() {
	first := int(margin * float64(s.per))
	for _, turned := range []bool{false, true} {
		w, h := s.w, s.h // along the side, and across
		if turned {
			w, h = h, w
		}
		for _, far := range []bool{false, true} {
			// at gives the cell x along the side and d outward from the rim of the ruled part.
			at := func(x, d int) int {
				y := first - 1 - d
				if far {
					y = h - first + d
				}
				if turned {
					return x*s.w + y
				}
				return y*s.w + x
			}
			ends := make([]int, 0, w/s.per+1) // the sheet's end in each stretch within the ruled part; first: none
			for x := first; x+s.per <= w-first; x += s.per {
				ends = append(ends, s.endOf(x, first, at))
			}
			if !filled(ends, first) {
				continue
			}
			for x := range w {
				end := ends[min(max((x-first)/s.per, 0), len(ends)-1)]
				for d := end; d < first; d++ {
					s.outside[at(x, d)] = true
				}
			}
		}
	}
}

// filled gives the stretches without an end that of the one beside them, if the sheet ends in most; else it says no.
func filled(ends []int, none int) bool {
	lacking := 0
	for i, e := range ends {
		if e == none {
			lacking++
			if i > 0 {
				ends[i] = ends[i-1]
			}
		}
	}
	for i := len(ends) - 2; i >= 0; i-- {
		if ends[i] == none {
			ends[i] = ends[i+1]
		}
	}
	return 2*lacking < len(ends)
}

// endOf gives how far out from the rim the sheet ends in the stretch of a square from x, in cells; most if it does not.
// It may end within the rim by the edge's breadth.
func (s *sheet) endOf(x, most int, at func(x, d int) int) int {
	var v []float32
	light := func(d0, d1 int) float64 {
		v = v[:0]
		for d := d0; d < d1; d++ {
			for i := x; i < x+s.per; i++ {
				if k := at(i, d); !s.outside[k] {
					v = append(v, (s.colour[0].Pix[k]+s.colour[1].Pix[k]+s.colour[2].Pix[k])/3)
				}
			}
		}
		if len(v) == 0 {
			return math.NaN()
		}
		return float64(raster.Rank(v, whiteRank))
	}
	edge := int(math.Ceil(edgeHalf * float64(s.per)))
	paper := light(-int(paperWithin*float64(s.per)), -2*edge)
	end, seen := most, 0
	for d := most - 1; d >= -edge; d-- {
		l := light(d, d+1)
		if math.IsNaN(l) {
			continue // not on the photo
		}
		if math.Abs(l-paper) < tableStep {
			break
		}
		end = d
		seen++
	}
	least := lineBroad
	if float64(end) < rimReach*float64(s.per) {
		least = tableLeast
	}
	if float64(seen) < least*float64(s.per) {
		return most
	}
	return end - edge
}
