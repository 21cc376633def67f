package frame

import "quadrille/vision/geom"

// A Size is a count of boxes that displays have, and what it costs to be of that size: one unit is three pieces as
// strong as the median.
type Size struct {
	Cols, Rows int
	// Centred says that the upright lines count from the centre line: an odd count of columns has half a box at either
	// rim then.
	Centred bool
	Cost    float64
}

// sizes are those that displays have (common practice, no source), the usual ones first.
var sizes = []Size{
	{10, 8, false, 0}, {12, 8, false, 0.5}, {14, 8, false, 0.5}, {15, 10, true, 0.6}, {10, 10, false, 1},
	{14, 10, false, 0.8}, {16, 8, false, 1.2}, {16, 10, false, 1.5}, {12, 10, false, 1.2},
	{8, 10, false, 4}, {8, 12, false, 4.5}, {8, 8, false, 8}, {10, 12, false, 4.5}, {8, 14, false, 5}, {10, 14, false, 5},
	{18, 8, false, 2}, {18, 10, false, 2.5},
}

// rareSizes are taken only where ticks or crosses count them, not for a part of a lattice that goes on.
var rareSizes = []Size{{12, 12, false, 3}, {20, 10, false, 3}, {16, 12, false, 3}}

// Boxes is the count of boxes.
func (z Size) Boxes() geom.Frame { return geom.Frame{Cols: z.Cols, Rows: z.Rows} }

// is reports whether z has the counts of want that are not zero.
func (z Size) is(want geom.Frame) bool {
	return (want.Cols == 0 || want.Cols == z.Cols) && (want.Rows == 0 || want.Rows == z.Rows)
}

// Sizes gives the sizes that a frame with ruled lines may have; want is the count as a person knows it, zero where it
// is not known.
func Sizes(want geom.Frame) (out []Size) {
	for _, z := range sizes {
		if z.is(want) {
			out = append(out, z)
		}
	}
	if len(out) == 0 && want.Cols > 0 && want.Rows > 0 {
		out = append(out, Size{Cols: want.Cols, Rows: want.Rows})
		if want.Cols%2 == 1 {
			out = append(out, Size{Cols: want.Cols, Rows: want.Rows, Centred: true})
		}
	}
	return out
}

// MarkedSizes gives the sizes that a frame may have whose boxes marks count: those of ruled lines and rarer ones, the
// same on their sides, and lines from the rims where the columns are odd.
func MarkedSizes(want geom.Frame) []Size {
	const onItsSide = 4 // cost (nothing changes from 2 to 8, TestMarkedSizesAreAllThatMarksMayCount)
	out := Sizes(want)
	for _, z := range rareSizes {
		if z.is(want) {
			out = append(out, z)
		}
	}
	for _, all := range [2][]Size{sizes, rareSizes} {
		for _, z := range all {
			z.Cost += onItsSide
			if z.Centred {
				z.Centred = false
			} else {
				z.Cols, z.Rows = z.Rows, z.Cols
			}
			fits := z.is(want)
			for _, k := range out {
				fits = fits && (k.Cols != z.Cols || k.Rows != z.Rows || k.Centred != z.Centred)
			}
			if fits {
				out = append(out, z)
			}
		}
	}
	return out
}
