package sketch

// Where a curve runs: the way from left to right on which most ink lies.
//
// A curve is a function of x, drawn without lifting the pen for long. So a way goes from column to column, never back,
// up or down as far as it likes in one; a column entered on ink gains one, off ink it loses one, and each cell up or
// down costs next to nothing on ink and one off it. The best way of all, wherever it begins and ends, comes from one pass
// over the columns (dynamic programming; the free ends as in T. F. Smith, M. S. Waterman, J. Mol. Biol. 147 (1981) 195).
// So a steep flank is followed cell by cell, a gap is bridged where what comes after is worth it, and nothing is said
// beforehand of where the curve begins.

// upright is what a cell up or down on ink costs: with it a way through a peak of ten squares pays off against one
// straight across its foot (TestASteepPeakIsFollowed).
const upright = 0.01

// A ground is what a way is looked for on. Its cells are by columns: (x, y) at x·h + y.
type ground struct {
	w, h int
	gain []float32 // of a column entered there, -1 to 1
	cost []float32 // of a cell up or down, upright to 1
}

// A way is where a curve runs: for each column from first on the row in which it is entered, and left at another where
// it climbs.
type way struct {
	first        int
	enter, leave []int
	gain         float64 // columns on ink less columns off it, less what it climbs off it
}

// How a cell was reached: in the lower two bits from where of the column before, and whether within the column.
const (
	fromNowhere = 0
	fromLevel   = 1
	fromAbove   = 2
	fromBelow   = 3
	within      = 3
	goingDown   = 4
	goingUp     = 8
)

// follow gives the best way on g.
func (g *ground) follow() way {
	w, h := g.w, g.h
	how := make([]uint8, w*h)
	prev, next := make([]float32, h), make([]float32, h)
	bestGain, bestX, bestY := float32(0), -1, 0
	for x := range w {
		gain, cost, to := g.gain[x*h:(x+1)*h], g.cost[x*h:(x+1)*h], how[x*h:(x+1)*h]
		for y := range h {
			v, from := float32(0), uint8(fromNowhere)
			if prev[y] > v {
				v, from = prev[y], fromLevel
			}
			if y > 0 && prev[y-1]-cost[y] > v {
				v, from = prev[y-1]-cost[y], fromAbove
			}
			if y+1 < h && prev[y+1]-cost[y] > v {
				v, from = prev[y+1]-cost[y], fromBelow
			}
			next[y] = v + gain[y]
			to[y] = from
		}
		// Down and up within the column, each from what was entered.
		entered := prev
		copy(entered, next)
		run := entered[0]
		for y := 1; y < h; y++ {
			if run -= cost[y]; run <= entered[y] {
				run = entered[y]
			} else if run > next[y] {
				next[y] = run
				to[y] = to[y]&within | goingDown
			}
		}
		run = entered[h-1]
		for y := h - 2; y >= 0; y-- {
			if run -= cost[y]; run <= entered[y] {
				run = entered[y]
			} else if run > next[y] {
				next[y] = run
				to[y] = to[y]&within | goingUp
			}
		}
		for y, v := range next {
			if v > bestGain {
				bestGain, bestX, bestY = v, x, y
			}
		}
		prev, next = next, prev
	}
	out := way{gain: float64(bestGain)}
	y := bestY
	for x := bestX; x >= 0; x-- {
		to := how[x*h : (x+1)*h]
		out.leave = append(out.leave, y)
		if to[y]&goingDown != 0 {
			for to[y]&goingDown != 0 {
				y--
			}
		} else {
			for to[y]&goingUp != 0 {
				y++
			}
		}
		out.enter = append(out.enter, y)
		out.first = x
		switch to[y] & within {
		case fromNowhere:
			x = 0
		case fromAbove:
			y--
		case fromBelow:
			y++
		}
	}
	reverse(out.enter)
	reverse(out.leave)
	return out
}

func reverse(v []int) {
	for i, j := 0, len(v)-1; i < j; i, j = i+1, j-1 {
		v[i], v[j] = v[j], v[i]
	}
}

// each calls f with every cell of the way, in order.
func (p *way) each(f func(x, y int)) {
	for i, y := range p.enter {
		to, step := p.leave[i], 1
		if to < y {
			step = -1
		}
		for f(p.first+i, y); y != to; f(p.first+i, y) {
			y += step
		}
	}
}

// cut gives the part of the way from column a up to but without b.
func (p *way) cut(a, b int) way {
	a, b = max(a-p.first, 0), max(min(b-p.first, len(p.enter)), 0)
	if a >= b {
		return way{first: p.first}
	}
	return way{first: p.first + a, enter: p.enter[a:b], leave: p.leave[a:b], gain: p.gain}
}
