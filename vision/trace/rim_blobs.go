package trace

// Blobs of like-coloured cells and their shapes, for the marks at the rim.

import (
	"math"
	"slices"
	"sort"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

// A blob is a set of cells that touch, by column and row of its mask, and the box round them.
type blob struct {
	cells          [][2]int
	i0, i1, j0, j1 int
	cut            bool // it is what lies outside the frame of something that goes on inside
}

func (b *blob) add(i, j int) {
	if len(b.cells) == 0 {
		b.i0, b.i1, b.j0, b.j1 = i, i, j, j
	}
	b.cells = append(b.cells, [2]int{i, j})
	b.i0, b.i1, b.j0, b.j1 = min(b.i0, i), max(b.i1, i), min(b.j0, j), max(b.j1, j)
}

// overlaps reports whether the boxes round two blobs share more than sameSign of the smaller.
func (b *blob) overlaps(o *blob) bool {
	wide, high := min(b.i1, o.i1)-max(b.i0, o.i0)+1, min(b.j1, o.j1)-max(b.j0, o.j0)+1
	size := func(b *blob) int { return (b.i1 - b.i0 + 1) * (b.j1 - b.j0 + 1) }
	return wide > 0 && high > 0 && float64(wide*high) > sameSign*float64(min(size(b), size(o)))
}

// blobsOf gives the blobs of a mask, whose columns are mask[i]; cells touch at sides and corners.
func blobsOf(mask [][]bool) (blobs []*blob) {
	var spans []raster.Span
	for i, col := range mask {
		spans = raster.Spans(spans, i, col)
	}
	pieces, of := raster.Components(spans, 1)
	blobs = make([]*blob, len(pieces))
	for k := range blobs {
		blobs[k] = &blob{}
	}
	for k, s := range spans {
		for j := s.From; j < s.To; j++ {
			blobs[of[k]].add(s.Line, j)
		}
	}
	return blobs
}

// A group is blobs that stand side by side, such as a number and its arrow.
type group struct {
	blob
	parts []*blob
}

// grouped joins blobs at most apart columns from each other and at a height.
func grouped(blobs []*blob, apart int) (groups []*group) {
	sort.Slice(blobs, func(i, j int) bool { return blobs[i].i1 < blobs[j].i1 })
	for _, b := range blobs {
		g := &group{parts: []*blob{b}}
		g.blob = *b
		groups = slices.DeleteFunc(groups, func(o *group) bool {
			if b.i0-o.i1 > apart || o.j0 > b.j1 || b.j0 > o.j1 {
				return false
			}
			for _, c := range o.cells {
				g.add(c[0], c[1])
			}
			g.parts, g.cut = append(g.parts, o.parts...), g.cut || o.cut
			return true
		})
		groups = append(groups, g)
	}
	return groups
}

// arrow is the rightmost part of at least so many columns and rows, and not much lower than the whole; the whole if
// none is.
func (g *group) arrow(columns, rows int) *blob {
	var best *blob
	rows = max(rows, int(arrowShare*float64(g.j1-g.j0+1)))
	for _, b := range g.parts {
		if b.i1-b.i0+1 >= columns && b.j1-b.j0+1 >= rows && (best == nil || b.i1 > best.i1) {
			best = b
		}
	}
	if best == nil {
		return &g.blob
	}
	return best
}

// spans gives, by column, the lowest and the highest row of the blob.
func (b *blob) spans() (lo, hi []int) {
	lo, hi = make([]int, b.i1-b.i0+1), make([]int, b.i1-b.i0+1)
	for k := range lo {
		lo[k], hi[k] = b.j1, b.j0
	}
	for _, c := range b.cells {
		k := c[0] - b.i0
		lo[k], hi[k] = min(lo[k], c[1]), max(hi[k], c[1])
	}
	return lo, hi
}

// endHeight is the height of the two rightmost columns over the greatest.
func (b *blob) endHeight() float64 {
	lo, hi := b.spans()
	last, most := 0, 0
	for k := range lo {
		h := hi[k] - lo[k] + 1
		most = max(most, h)
		if k >= len(lo)-2 {
			last = max(last, h)
		}
	}
	return float64(last) / float64(most)
}

// mirrored tells how alike the blob is to itself upside down and left for right: the share of the cells of
// either that both have. Holes count as filled from row to row.
func (b *blob) mirrored() (upright, sideways float64) {
	w, h := b.i1-b.i0+1, b.j1-b.j0+1
	on := make([]bool, w*h)
	for _, c := range b.cells {
		on[(c[0]-b.i0)*h+c[1]-b.j0] = true
	}
	for j := range h { // fill along rows
		first, last := -1, -1
		for i := range w {
			if on[i*h+j] {
				if first < 0 {
					first = i
				}
				last = i
			}
		}
		for i := first; i >= 0 && i <= last; i++ {
			on[i*h+j] = true
		}
	}
	n, up, side := 0, 0, 0
	for i := range w {
		for j := range h {
			if !on[i*h+j] {
				continue
			}
			n++
			if on[i*h+h-1-j] {
				up++
			}
			if on[(w-1-i)*h+j] {
				side++
			}
		}
	}
	share := func(both int) float64 { return float64(both) / float64(2*n-both) }
	return share(up), share(side)
}

// middle is the mean over the columns of the middle of their span, in rows.
func (b *blob) middle() float64 {
	lo, hi := b.spans()
	sum := 0.0
	for k := range lo {
		sum += float64(lo[k]+hi[k]) / 2
	}
	return sum / float64(len(lo))
}

// tip is the mean of the rows that reach the furthest right, in rows.
func (b *blob) tip() float64 {
	sum, n := 0.0, 0
	for _, c := range b.cells {
		if c[0] == b.i1 {
			sum += float64(c[1])
			n++
		}
	}
	return sum / float64(n)
}

// isCut reports whether the blob ends at the sheet's lowest or highest line.
func (b *blob) isCut(s *sheet.Grid, low float64) bool {
	return math.Abs(s.Y(float64(b.j0)-0.5)-low) < markPast || math.Abs(s.Y(float64(b.j1)+0.5)+low) < markPast
}
