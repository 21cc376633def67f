package sketch

// What is drawn: the absorbance that the ruling does not explain.
//
// A ruling repeats from square to square and a drawing does not. So what the ruling absorbs at a cell is the middle of
// what the same cell of several squares round it absorbs, taken from squares of which no two are in one row or column,
// so that a line drawn along a row counts once among nine. Printed lines are not all alike: each gets a gain, the
// middle of what it absorbs along its length to what the rest do.

import (
	"math"

	"quadrille/vision/raster"
)

// alike are the squares compared with one: no two in a row or a column (TestInkIsWhatTheRulingIsNot).
var alike = [9][2]int{{0, 0}, {1, 2}, {2, -1}, {-1, -2}, {-2, 1}, {3, -3}, {-3, 3}, {4, 4}, {-4, -4}}

// takeOutRuling leaves in the sheet's colours the excess absorbance.
func (s *sheet) takeOutRuling() {
	for c := range s.colour {
		s.colour[c] = s.withoutRuling(s.colour[c])
	}
}

// squareOf gives the square, clamped to the frame, of column or row i of cells, and the cell in it.
func squareOf(i, per, first, n int) (square, phase int) {
	i -= first
	square = int(math.Floor(float64(i) / float64(per)))
	phase = i - square*per
	return min(max(square, 0), n-1), phase
}

func mirrored(i, n int) int {
	for i < 0 || i >= n {
		if i < 0 {
			i = -1 - i
		} else {
			i = 2*n - 1 - i
		}
		if n == 1 {
			return 0
		}
	}
	return i
}

// withoutRuling takes from the absorbance of a colour what repeats from square to square.
func (s *sheet) withoutRuling(p *raster.Plane) *raster.Plane {
	first := int(math.Round(margin * float64(s.per)))
	cols, rows := s.paper.Frame.Cols, s.paper.Frame.Rows
	ruling := raster.New(s.w, s.h)
	raster.Rows(s.h, func(y0, y1 int) {
		var v [len(alike)]float32
		var same [len(alike)]int // the cell that is alike, less x
		for y := y0; y < y1; y++ {
			j, py := squareOf(y, s.per, first, rows)
			for x, left := 0, 0; x < s.w; x++ {
				if left--; left < 0 { // the first of the cells of a square
					i, px := squareOf(x, s.per, first, cols)
					left = s.per - 1 - px
					for n, d := range alike {
						k := (first+mirrored(j+d[1], rows)*s.per+py)*s.w + first + mirrored(i+d[0], cols)*s.per + px
						same[n] = k - x
					}
				}
				n := 0
				for _, k := range same {
					if !s.outside[k+x] {
						v[n] = p.Pix[k+x]
						n++
					}
				}
				if n == len(v) {
					ruling.Pix[y*s.w+x] = raster.MedianOf9(&v)
				} else {
					ruling.Pix[y*s.w+x] = raster.Median(v[:n])
				}
			}
		}
	})
	s.strengthen(p, ruling)
	// A line that is printed or found a cell beside its place is no ink.
	out := raster.New(s.w, s.h)
	raster.Rows(s.h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for x := range s.w {
				m := ruling.Pix[y*s.w+x]
				for b := max(y-1, 0); b <= min(y+1, s.h-1); b++ {
					for a := max(x-1, 0); a <= min(x+1, s.w-1); a++ {
						m = max(m, ruling.Pix[b*s.w+a])
					}
				}
				out.Pix[y*s.w+x] = p.Pix[y*s.w+x] - m
			}
		}
	})
	return out
}

// lineHalf is how far from a line of the lattice its gain reaches, in squares, and gainMost the highest gain: rims are
// printed up to that much heavier (TestInkIsWhatTheRulingIsNot).
const lineHalf, gainMost = 0.06, 2.0

// strengthen raises the ruling where a line of the lattice is darker over most of its length than the others.
func (s *sheet) strengthen(p, ruling *raster.Plane) {
	half := max(1, int(lineHalf*float64(s.per)))
	first := int(math.Round(margin * float64(s.per)))
	gain := func(n int, at func(i int) int) float64 {
		var ratio []float32
		for i := range n {
			k := at(i)
			if r := ruling.Pix[k]; r > 0.03 && !s.outside[k] {
				ratio = append(ratio, p.Pix[k]/r)
			}
		}
		return raster.Clip(float64(raster.Median(ratio)), 1, gainMost)
	}
	for i := 0; i <= s.paper.Frame.Cols; i++ {
		for x := max(first+i*s.per-half, 0); x < min(first+i*s.per+half+1, s.w); x++ {
			n := s.paper.Frame.Rows * s.per
			if g := float32(gain(n, func(y int) int { return (first+y)*s.w + x })); g > 1 {
				for y := range s.h {
					ruling.Pix[y*s.w+x] *= g
				}
			}
		}
	}
	for j := 0; j <= s.paper.Frame.Rows; j++ {
		for y := max(first+j*s.per-half, 0); y < min(first+j*s.per+half+1, s.h); y++ {
			n := s.paper.Frame.Cols * s.per
			if g := float32(gain(n, func(x int) int { return y*s.w + first + x })); g > 1 {
				for x := range s.w {
					ruling.Pix[y*s.w+x] *= g
				}
			}
		}
	}
}
