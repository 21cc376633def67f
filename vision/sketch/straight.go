package sketch

// Straight lines along the squares: axes, the lines of a table, a rim that is printed heavily, dimension lines.
//
// A drawn line is ink on nearly every cell over a long stretch, level or upright to a few degrees.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/raster"
)

const (
	// leastLine is how long a line is at least, in squares (TestAxesAreNoCurves).
	leastLine = 4.0
	// lineSlope is the steepest of a drawn line, to the squares (TestAxesAreNoCurves).
	lineSlope = 0.035
	// lineGap is the longest gap in a line, in squares: where a ruling hides it, where a letter stands
	// (TestAxesAreNoCurves).
	lineGap = 0.35
	// lineInk is the part of a line that is ink: of a hard pencil two thirds (TestAxesOfAHardPencilAreNoCurves).
	lineInk = 0.6
)

// A line is a straight stroke in cells: from (from, a) to (to, b), along x if level, else along y.
type line struct {
	level    bool
	from, to int     // along
	a, b     float64 // across, at the ends
	half     float64 // cells, half the stroke's breadth
	axis     bool
}

func (l *line) at(k int) float64 {
	return l.a + (l.b-l.a)*float64(k-l.from)/float64(max(l.to-l.from, 1))
}

// lines gives the level, or upright, straight strokes of at least so many squares that have no longer gap than so many.
func (e *evidence) lines(level bool, length, bare float64) []line {
	w, h := e.w, e.h
	ink := e.ink
	if !level {
		w, h, ink = h, w, ink.Transpose()
	}
	// A stroke three cells wide is met by a straight line that is a cell off.
	on := make([]bool, w*h)
	for y := 1; y+1 < h; y++ {
		for x := range w {
			on[y*w+x] = max(ink.Pix[y*w+x], ink.Pix[(y-1)*w+x], ink.Pix[(y+1)*w+x]) > 0.5
		}
	}
	least, gap := int(length*float64(e.per)), int(bare*float64(e.per))
	tilt := int(lineSlope * float64(w))
	type run struct {
		y0, d, from, to, n int
	}
	// A run is found at many tilts and rows; the one with most ink stays.
	per := make([][]run, h)
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			for d := -tilt; d <= tilt; d += 2 {
				if y+d < 0 || y+d >= h {
					continue
				}
				begin, last, n := -1, -1, 0
				end := func() {
					if begin >= 0 && last-begin >= least && float64(n) > lineInk*float64(last-begin+1) {
						per[y] = append(per[y], run{y, d, begin, last, n})
					}
					begin, n = -1, 0
				}
				step := float64(d) / float64(w)
				for x := range w {
					if on[(y+int(step*float64(x)+0.5*sign(step)))*w+x] {
						if begin < 0 {
							begin = x
						}
						last = x
						n++
					} else if begin >= 0 && x-last > gap {
						end()
					}
				}
				end()
			}
		}
	})
	all := slices.Concat(per...)
	sort.Slice(all, func(i, j int) bool {
		a, b := all[i], all[j]
		return cmp.Or(cmp.Compare(b.n, a.n), cmp.Compare(a.y0, b.y0), cmp.Compare(a.d, b.d)) < 0
	})
	var out []line
	for _, r := range all {
		at := func(x int) float64 { return float64(r.y0) + float64(r.d)*float64(x)/float64(w) }
		l := line{level: level, from: r.from, to: r.to, a: at(r.from), b: at(r.to)}
		near := 0.15 * float64(e.per)
		if slices.ContainsFunc(out, func(o line) bool {
			mid := (max(l.from, o.from) + min(l.to, o.to)) / 2
			return min(l.to, o.to)-max(l.from, o.from) > (l.to-l.from)/4 && math.Abs(l.at(mid)-o.at(mid)) < near
		}) {
			continue
		}
		l.centre(ink)
		l.extend(ink, gap)
		out = append(out, l)
		if len(out) == 60 {
			break
		}
	}
	return out
}

func sign(v float64) float64 {
	if v < 0 {
		return -1
	}
	return 1
}

// centre puts a line in the middle of its stroke, and tells the stroke's breadth.
func (l *line) centre(ink *raster.Plane) {
	const reach = 6
	var off, n [2]float64
	wide := 0.0
	for x := l.from; x <= l.to; x++ {
		y := l.at(x)
		sum, mid := 0.0, 0.0
		for d := -reach; d <= reach; d++ {
			if j := int(math.Round(y)) + d; j >= 0 && j < ink.H {
				v := float64(ink.Pix[j*ink.W+x])
				sum += v
				mid += v * (float64(j) - y)
			}
		}
		if sum > 0 {
			half := 0
			if 2*(x-l.from) > l.to-l.from {
				half = 1
			}
			off[half] += mid / sum
			n[half]++
			wide += sum
		}
	}
	if n[0] > 0 && n[1] > 0 {
		u, v := off[0]/n[0], off[1]/n[1] // at a quarter and at three quarters
		l.a += u - (v-u)/2
		l.b += v + (v-u)/2
		l.half = wide / (n[0] + n[1]) / 2
	}
}

// extend lets a line go on at both ends as far as there is ink on it: its first course was a cell or two off there.
func (l *line) extend(ink *raster.Plane, gap int) {
	const reach = 3 // cells
	was := *l
	goesTo := func(from, step int) int {
		last := from
		for x := from + step; x >= 0 && x < ink.W && (x-last)*step <= gap; x += step {
			for d := -reach; d <= reach; d++ {
				if y := int(math.Round(was.at(x))) + d; y >= 0 && y < ink.H && ink.Pix[y*ink.W+x] > isInk {
					last = x
				}
			}
		}
		return last
	}
	l.from, l.to = goesTo(was.from, -1), goesTo(was.to, 1)
	l.a, l.b = was.at(l.from), was.at(l.to)
}
