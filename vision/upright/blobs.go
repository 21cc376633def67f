package upright

// Blobs: connected samples that are lighter, or darker, than their neighbourhood.

import (
	"math"
	"slices"
)

const (
	// around is half the side of the neighbourhood, boxes: a letter and the gaps beside it.
	around = 0.4
	// overSpread is how far from the mean of its neighbourhood a sample must be, in standard deviations of the neighbourhood:
	// strokes that cover a fifth of it lie 2 above the mean and the field between them 0.5 below, so that the edge is 0.75 above.
	overSpread = 0.8
	// leastContrast is the same in log lightness: fainter letters are noise.
	leastContrast = 0.08
)

// A blob is one piece of ink; its rectangle is half open.
type blob struct {
	x0, y0, x1, y1 int
	area           int
}

func (b *blob) w() int { return b.x1 - b.x0 }
func (b *blob) h() int { return b.y1 - b.y0 }

// clockwise gives the blob as seen after a quarter turn of the sheet, which takes (x, y) to (-y, x).
func (b blob) clockwise() blob {
	return blob{-b.y1, b.x0, -b.y0, b.x1, b.area}
}

// contrast subtracts the mean of the neighbourhood, and gives the threshold of each sample.
func (s *sheet) contrast() (diff, least []float32) {
	rx, ry := int(around*s.px), int(around*s.py)
	w := s.w + 1
	sum, square := make([]float64, w*(s.h+1)), make([]float64, w*(s.h+1))
	for y := range s.h {
		var a, b float64
		for x, v := range s.log[y*s.w:][:s.w] {
			a += float64(v)
			b += float64(v) * float64(v)
			k := (y+1)*w + x + 1
			sum[k], square[k] = sum[k-w]+a, square[k-w]+b
		}
	}
	diff, least = make([]float32, len(s.log)), make([]float32, len(s.log))
	for y := range s.h {
		y0, y1 := max(y-ry, 0), min(y+ry+1, s.h)
		for x := range s.w {
			x0, x1 := max(x-rx, 0), min(x+rx+1, s.w)
			n := float64((x1 - x0) * (y1 - y0))
			m := (sum[y1*w+x1] - sum[y0*w+x1] - sum[y1*w+x0] + sum[y0*w+x0]) / n
			q := (square[y1*w+x1]-square[y0*w+x1]-square[y1*w+x0]+square[y0*w+x0])/n - m*m
			k := y*s.w + x
			diff[k] = s.log[k] - float32(m)
			least[k] = max(leastContrast, overSpread*float32(math.Sqrt(max(q, 0))))
		}
	}
	return diff, least
}

// blobs finds the pieces of ink of one polarity (sign 1 lighter, -1 darker): runs of rows, joined where they touch, corners
// included.
func blobs(diff, least []float32, w, h int, sign float32) []blob {
	type run struct{ x0, x1, y, root int }
	var runs []run
	find := func(i int) int {
		for runs[i].root != i {
			runs[i].root = runs[runs[i].root].root
			i = runs[i].root
		}
		return i
	}
	before, here := 0, 0 // first runs of the row above and of this one
	for y := range h {
		here = len(runs)
		row, t := diff[y*w:][:w], least[y*w:][:w]
		k := before
		for x := 0; x < w; x++ {
			if sign*row[x] <= t[x] {
				continue
			}
			x0 := x
			for x < w && sign*row[x] > t[x] {
				x++
			}
			id := len(runs)
			runs = append(runs, run{x0, x, y, id})
			for k < here && runs[k].x1 < x0 {
				k++
			}
			for n := k; n < here && runs[n].x0 <= x; n++ {
				a, b := find(n), find(id)
				runs[max(a, b)].root = min(a, b)
			}
		}
		before = here
	}
	index := make([]int, len(runs))
	var out []blob
	for i, r := range runs {
		root := find(i)
		if root == i {
			index[i] = len(out)
			out = append(out, blob{r.x0, r.y, r.x1, r.y + 1, 0})
		}
		b := &out[index[root]]
		b.x0, b.x1, b.y1 = min(b.x0, r.x0), max(b.x1, r.x1), max(b.y1, r.y+1)
		b.area += r.x1 - r.x0
	}
	return slices.DeleteFunc(out, func(b blob) bool { return b.area < 2 })
}
