package sketch

// Where a curve runs: the way from left to right on which most ink lies and which turns least.
//
// A curve is a function of x, drawn without lifting the pen for long and without a kink where another stroke is
// crossed. So a way is a chain of short straight steps that never goes back. A step on ink gains what it is wide, and a
// little for what it climbs; off ink it loses its length; and turning costs, gently free, up to the price of a corner.
// The best way of all, wherever it begins and ends, comes from one pass over the columns with the heading as a part of
// the state (dynamic programming; the free ends as in T. F. Smith, M. S. Waterman, J. Mol. Biol. 147 (1981) 195; the
// heading as in A. A. Amini, T. E. Weymouth, R. C. Jain, IEEE Trans. PAMI 12 (1990) 855, from memory). So a crossing is
// left in the direction in which it was entered, a label at a curve's end costs more corners than it has ink, a gap is
// bridged where what comes after is worth it, and nothing is said beforehand of where the curve begins.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
)

const (
	// flank is what climbing on ink gains, for each cell as much as so many cells along: with it a way through a peak
	// of ten squares pays off against one straight across its foot (TestASteepPeakIsFollowed). With twice as much, ways
	// go from one square wave to another for its higher flanks (TestTwoSquareWavesAreTold).
	flank = 0.1
	// freeTurn is how far a way turns from step to step at no cost, in radians: the headings are so far apart, and a
	// curve bends (TestAWayTurnsLittle).
	freeTurn = 0.33
	// sharpTurn is the turn, in radians, that costs as much as a corner (TestAWayTurnsLittle).
	sharpTurn = 1.1
	// corner is what a corner costs, in squares of ink: a square wave is made of them, a word needs two for each letter
	// (TestAWayTurnsLittle).
	corner = 0.5
	// spikeTries is how often a way is looked for where one gained by a flank going up and down, which has one stroke
	// only: nothing changes from 2 to 6 (TestAFlankIsGoneOverOnce).
	spikeTries = 3
	// broadPen is how broad at most a stroke is that is gone over twice, in what a flank may lean back: nothing changes
	// from 1 to 6 (TestTwoSquareWavesAreTold).
	broadPen = 3
	// backwards is how many headings apart are nearly opposite: turning back costs four
	// corners, or a broad flank is gone over three times (TestASteepPeakIsFollowed).
	backwards = 12
)

// A heading is a step of a way in cells: y counts down.
type heading struct {
	dx, dy int
	angle  float64
	// onInk and offInk are what one cell of it gains or loses.
	onInk, offInk float32
	cells         [][2]int // that it goes over, the last one its end
}

// headings are the steps from straight up to straight down. The first and the last stay in their column.
var headings = headingsOf([][2]int{{0, 1}, {1, 3}, {1, 2}, {2, 3}, {1, 1}, {3, 2}, {2, 1}, {3, 1}, {1, 0}})

func headingsOf(down [][2]int) (out []heading) {
	n := len(down)
	for i := range 2*n - 1 {
		h := heading{}
		if i < n {
			h.dx, h.dy = down[i][0], -down[i][1]
		} else {
			h.dx, h.dy = down[2*n-2-i][0], down[2*n-2-i][1]
		}
		h.angle = math.Atan2(float64(h.dy), float64(h.dx))
		far := max(h.dx, h.dy, -h.dy)
		for k := 1; k <= far; k++ {
			h.cells = append(h.cells, [2]int{round(h.dx*k, far), round(h.dy*k, far)})
		}
		h.onInk = float32((float64(h.dx) + flank*math.Abs(float64(h.dy))) / float64(far))
		h.offInk = float32(math.Hypot(float64(h.dx), float64(h.dy)) / float64(far))
		out = append(out, h)
	}
	return out
}

func round(a, b int) int { return int(math.Round(float64(a) / float64(b))) }

// A ground is what a way is looked for on. Its cells are by columns: (x, y) at x·h + y.
type ground struct {
	w, h   int
	corner float32   // cells, what a corner costs
	lean   int       // cells that a flank may lean back
	gain   []float32 // of a cell, -1 to 1
	steep  []float32 // of a cell that is climbed over: a flank that a hand leans back climbs beside its ink
	back   []int8    // the dy of a climb that costs in a cell what it gains otherwise: back over a flank; nil for none
}

// A place is a cell that a way goes over.
type place struct{ x, y int }

// A way is where a curve runs: cell after cell, none before its last one in x.
type way struct {
	at   []place
	gain float64 // of its cells, less what it turns
}

// none is the heading that a way begins with.
const none = 255

// A front is how much the best ways to the cells of a column are worth.
type front struct {
	arrived [][]float32 // by heading of the last step
	leaving [][]float32 // by heading of the next one, turn paid; 0 for a beginning
	from    [][]uint8   // the heading before it, of the best way to leave with a heading
	// upTo and downTo are the best headings up to one, and from one on: what a corner can come from.
	upTo, downTo [][]uint8
}

// A turn is a heading that another one is come from at less than a corner.
type turn struct {
	from int
	cost float32
}

// An ended is where a way may end: having come there with heading k it is worth gain.
type ended struct {
	gain    float32
	x, y, k int
}

// follow gives the best way on g that gains by no flank twice.
func (g *ground) follow() way {
	for try := 1; ; try++ {
		w := g.best()
		if g.spend(&w) == 0 || try == spikeTries {
			return w
		}
	}
}

// spend lets it cost what it gains to climb back over the flanks that a way goes up and down on the same ink, and gives
// how many cells that were. So three times over gains no more than once.
func (g *ground) spend(w *way) (spent int) {
	const never = -1
	if g.back == nil {
		g.back = make([]int8, g.w*g.h)
	}
	climbed := [2][]int{make([]int, g.h), make([]int, g.h)} // by direction: the column in which a row was climbed last
	for d := range climbed {
		for y := range climbed[d] {
			climbed[d][y] = never
		}
	}
	for i := 1; i < len(w.at); i++ {
		p, q := w.at[i-1], w.at[i]
		if p.y == q.y {
			continue
		}
		up := 0
		if q.y < p.y {
			up = 1
		}
		at := g.inkBeside(q.x, q.y)
		climbed[up][q.y] = at
		if x := climbed[1-up][q.y]; x != never && g.isOneStroke(min(x, at), max(x, at), q.y) {
			for a := max(min(x, at)-g.lean, 0); a <= min(max(x, at)+g.lean, g.w-1); a++ {
				if k := a*g.h + q.y; g.steep[k] > 0 && g.back[k] == 0 {
					g.back[k] = int8(min(max(q.y-p.y, -1), 1))
					spent++
				}
			}
		}
	}
	return spent
}

// inkBeside gives the column with most ink in a row, of one and those that a flank may lean back by.
func (g *ground) inkBeside(x, row int) int {
	best := x
	for a := max(x-g.lean, 0); a <= min(x+g.lean, g.w-1); a++ {
		if g.gain[a*g.h+row] > g.gain[best*g.h+row] {
			best = a
		}
	}
	return best
}

// isOneStroke reports whether two columns of a row are as near as a flank may lean back, or ink lies all the way
// between, no farther than a broad pen's.
func (g *ground) isOneStroke(from, to, row int) bool {
	if to-from > broadPen*g.lean {
		return false
	}
	for x := from; x <= to && to-from > g.lean; x++ {
		if g.gain[x*g.h+row] <= 0 {
			return false
		}
	}
	return true
}

// best gives the way that is worth most.
func (g *ground) best() way {
	n := len(headings)
	turns := make([][]turn, n)
	for k := range turns {
		for from := range n {
			a := math.Abs(headings[k].angle - headings[from].angle)
			share := math.Pow(max(a-freeTurn, 0)/(sharpTurn-freeTurn), 2)
			if share < 1 {
				turns[k] = append(turns[k], turn{from, g.corner * float32(share)})
			}
		}
	}
	how := make([]uint8, g.w*g.h*n)
	const keep = 4 // columns: the longest step is three
	var fronts [keep]*front
	for i := range fronts {
		f := &front{}
		for range n {
			f.arrived = append(f.arrived, make([]float32, g.h))
			f.leaving = append(f.leaving, make([]float32, g.h))
			f.from = append(f.from, make([]uint8, g.h))
			f.upTo, f.downTo = append(f.upTo, make([]uint8, g.h)), append(f.downTo, make([]uint8, g.h))
		}
		fronts[i] = f
	}
	best := ended{}
	bests := make([]ended, n)
	for x := range g.w {
		f := fronts[x%keep]
		raster.Rows(n, func(k0, k1 int) {
			for k := k0; k < k1; k++ {
				bests[k] = ended{}
				hd := &headings[k]
				to := f.arrived[k]
				for y := range to {
					to[y] = -1
				}
				if hd.dx == 0 || x-hd.dx < 0 {
					continue
				}
				before := fronts[(x-hd.dx)%keep]
				leaving, from := before.leaving[k], before.from[k]
				lo, hi := max(0, hd.dy), min(g.h, g.h+hd.dy)
				for y := lo; y < hi; y++ {
					v := leaving[y-hd.dy]
					base := (x-hd.dx)*g.h + y - hd.dy
					for _, c := range hd.cells {
						if a := g.gain[base+c[0]*g.h+c[1]]; a > 0 {
							v += a * hd.onInk
						} else {
							v += a * hd.offInk
						}
					}
					if v <= 0 {
						continue
					}
					to[y] = v
					how[(x*g.h+y)*n+k] = from[y-hd.dy]
					if v > bests[k].gain {
						bests[k] = ended{v, x, y, k}
					}
				}
			}
		})
		for _, b := range bests {
			if b.gain > best.gain {
				best = b
			}
		}
		up := g.climb(f, how, x, 0, turns)
		down := g.climb(f, how, x, n-1, turns)
		for _, e := range [2]ended{up, down} {
			if e.gain > best.gain {
				best = e
			}
		}
		f.most()
		raster.Rows(n, func(k0, k1 int) {
			for k := k0; k < k1; k++ {
				f.leave(k, turns[k], g.corner)
			}
		})
	}
	if best.gain == 0 {
		return way{}
	}
	out := way{gain: float64(best.gain)}
	x, y, k := best.x, best.y, best.k
	for {
		h := &headings[k]
		for i := len(h.cells) - 1; i >= 0; i-- {
			out.at = append(out.at, place{x - h.dx + h.cells[i][0], y - h.dy + h.cells[i][1]})
		}
		before := how[(x*g.h+y)*n+k]
		x, y = x-h.dx, y-h.dy
		if before == none {
			out.at = append(out.at, place{x, y})
			break
		}
		k = int(before)
	}
	slices.Reverse(out.at)
	return out
}

// climb lets the ways of column x go straight up or down, heading k, in steps of one cell, and gives the best one's
// end.
func (g *ground) climb(f *front, how []uint8, x, k int, turns [][]turn) (best ended) {
	h := &headings[k]
	y, left := 1, g.h-1
	if h.dy < 0 {
		y = g.h - 2
	}
	for ; left > 0; y, left = y+h.dy, left-1 {
		v, by := f.turned(y-h.dy, k, turns[k], g.corner)
		i := x*g.h + y
		switch a := g.steep[i]; {
		case a <= 0:
			v += a * h.offInk
		case g.back != nil && g.back[i] == int8(h.dy):
			v -= a * h.onInk
		default:
			v += a * h.onInk
		}
		if v > f.arrived[k][y] && v > 0 {
			f.arrived[k][y] = v
			how[(x*g.h+y)*len(headings)+k] = by
			if v > best.gain {
				best = ended{v, x, y, k}
			}
		}
	}
	return best
}

// most fills upTo and downTo.
func (f *front) most() {
	n := len(f.arrived)
	for y := range f.arrived[0] {
		f.upTo[0][y], f.downTo[n-1][y] = 0, uint8(n-1)
	}
	for k := 1; k < n; k++ {
		up, down, u, d := f.upTo[k-1], f.downTo[n-k], f.arrived[k], f.arrived[n-1-k]
		for y := range u {
			f.upTo[k][y], f.downTo[n-1-k][y] = up[y], down[y]
			if u[y] > f.arrived[up[y]][y] {
				f.upTo[k][y] = uint8(k)
			}
			if d[y] > f.arrived[down[y]][y] {
				f.downTo[n-1-k][y] = uint8(n - 1 - k)
			}
		}
	}
}

// leave pays for the turns to heading k at each row.
func (f *front) leave(k int, near []turn, corner float32) {
	n := len(f.arrived)
	sideways := f.upTo[min(k+backwards, n-1)]
	if k > backwards {
		sideways = f.downTo[k-backwards]
	}
	to, from, any := f.leaving[k], f.from[k], f.upTo[n-1]
	for y := range to {
		to[y], from[y] = 0, none
		i := any[y]
		a := f.arrived[i][y]
		if a <= 0 {
			continue
		}
		if a -= 4 * corner; a > 0 {
			to[y], from[y] = a, i
		}
		i = sideways[y]
		if a = f.arrived[i][y] - corner; a > to[y] {
			to[y], from[y] = a, i
		}
	}
	for _, t := range near {
		for y, a := range f.arrived[t.from] {
			if a -= t.cost; a > to[y] {
				to[y], from[y] = a, uint8(t.from)
			}
		}
	}
}

// turned is what the best way to row y is worth that goes on with heading k, and the heading that it came with.
func (f *front) turned(y, k int, near []turn, corner float32) (v float32, by uint8) {
	by = none
	for i := range f.arrived {
		price := corner
		if i-k > backwards || k-i > backwards {
			price = 4 * corner
		}
		if a := f.arrived[i][y] - price; a > v {
			v, by = a, uint8(i)
		}
	}
	for _, t := range near {
		if a := f.arrived[t.from][y] - t.cost; a > v {
			v, by = a, uint8(t.from)
		}
	}
	return v, by
}
