package trace

// The path of a trace over the columns.
//
// In every column the cells that score above a threshold make runs: a flat trace gives a short one, an
// edge that the display draws from its lowest to its highest sample gives one as tall as the edge.
// A path takes at most one run a column. Runs of neighbouring columns that touch link for nothing;
// a jump costs by its height, up to a limit, for an edge too fast to be drawn; columns without the
// trace cost what they do not earn. The best path is found by dynamic programming over the runs
// (Viterbi), exactly.

import (
	"cmp"
	"math"
	"slices"

	"quadrille/vision/graticule"
	"quadrille/vision/raster"
)

const (
	// visible is the least score of a run's cells as a share of the run's own peak, faint the least
	// of that peak as a share of the trace's usual one: a beam is dim where it is fast.
	visible, faint = 0.25, 0.06
	// fullShare is the share of the usual peak from which a run is full evidence: glare dims the rest.
	fullShare = 0.5
	// detect is the least score of a run's cells in standard deviations of the noise.
	detect = 4
	// lookBack is the longest absence, in boxes, after which the place before it still counts.
	lookBack = 0.5
	// jumpCost is what a jump of any height costs at most, in boxes of full evidence: a piece of a
	// trace between two jumps is taken when it is longer than twice this (TestGapStaysGap).
	jumpCost = 0.12
	// stepCost is the cost of a jump by one box, before the limit; stepFree boxes are free.
	stepCost = 0.25
	stepFree = 0.03
	// bendCost is the cost of a run one box away from where the path was going, up to bendMost boxes:
	// little, to decide where runs cross. slopeGain is the weight of the latest step in the direction.
	bendCost, bendMost, slopeGain = 0.03, 0.3, 0.3
	// rimSlack is how far outside the frame a trace is followed, in boxes.
	rimSlack = 0.06
	// pieceJump is the undrawn jump, in boxes beyond the free step, that parts pieces of a path.
	pieceJump = 0.3
	// endPiece is the length in boxes up to which the first or last piece must look like the longest: a
	// line of text is shorter. It may have dimPiece of its brightness, moreHoles more of its columns empty, and its tall runs may be
	// moreTall times its thin ones, or more by as much as in the longest.
	endPiece, dimPiece, moreHoles, moreTall = 3, 0.35, 0.1, 1.6
	// slopeColumns to each side tell the slope that a stroke is stretched by: letters change within so many.
	slopeColumns = 3
	// A path within hugLevel boxes of its own height that lies within hugNear of a line is drawn on
	// the line; where it is no brighter than ink it is the line, displaced by lens or hand.
	hugLevel, hugNear = 0.25, 0.12
	// pastRim is how far beyond the rim, in boxes, the middle of a run may lie: half a stroke. Further
	// out is what the display draws around the frame.
	pastRim = 0.035
	// A path is sparse at a column when less than a share sparse of the columns up to sparseReach boxes from it are seen, and dense
	// as a whole when a share dense of them is.
	sparseReach, sparse, dense = 0.3, 0.4, 0.7
	// inkBridge is the greatest height in boxes of a line of the graticule with its blur, inkSeen the least of its light as a
	// share of the trace's, edgePart the least height of a part of an edge beside it.
	inkBridge, inkSeen, edgePart = 0.16, 0.06, 0.12
	// helperSpan is the share of the frame's height from which a run is a vertical helper line.
	helperSpan = 0.93
)

// A run is a stretch of cells of one column, rows lo to hi inclusive.
type run struct {
	lo, hi int
	peak   float32 // of the score
}

// A path holds one run a column; absent columns have hi < lo.
type path struct {
	runs   []run
	amount float32 // usual peak of the score
}

func (p *path) seen(i int) bool { return p.runs[i].hi >= p.runs[i].lo }

// findRuns gives the runs of every column and the trace's usual peak score. peakInk is the light of the
// graticule's brightest ink along the same tint, inked the ink's light of any colour in every cell.
func findRuns(s *sheet, f *field, g *graticule.Graticule, score, noise, inked []float32, peakInk float32) ([][]run, float32) {
	first := max(int(math.Ceil(s.row(g.Frame.Bottom()-rimSlack))), 0)
	last := min(int(s.row(-g.Frame.Bottom()+rimSlack)), s.ny-1)
	peaks := make([]float32, 0, s.nx)
	for i := range s.nx {
		m := float32(0)
		for j := first; j <= last; j++ {
			m = max(m, score[i*s.ny+j])
		}
		peaks = append(peaks, m)
	}
	half := quantile(append([]float32(nil), peaks...), 0.9) / 2
	strong := peaks[:0]
	for _, m := range peaks {
		if m > half {
			strong = append(strong, m)
		}
	}
	amount := median(strong)
	runs := make([][]run, s.nx)
	joint := max(int(0.015*float64(s.up)+0.5), 1) // a hole of a third of a stroke is noise
	tall, bridge := int(edgePart*float64(s.up)+0.5), int(inkBridge*float64(s.up)+0.5)
	tallest := int(helperSpan * float64(last-first+1))
	least := max(faint*amount, overInk*peakInk)
	raster.Rows(s.nx, func(a, b int) {
		line, floor := make([]float32, f.nq), make([]float32, s.ny)
		for i := a; i < b; i++ {
			f.column(line, i, noise)
			for j := range floor {
				q, t := f.between(j)
				floor[j] = max(least, detect*(line[q]+t*(line[q+1]-line[q])))
			}
			col := score[i*s.ny : (i+1)*s.ny]
			var found []run
			for _, r := range above(nil, col, first, last, 0, floor, 1) {
				found = append(found, above(nil, col, r.lo, r.hi, visible*r.peak, floor, joint)...)
			}
			for _, r := range joinOverInk(found, inked[i*s.ny:(i+1)*s.ny], inkSeen*amount, tall, bridge) {
				past := math.Abs(s.y(float64(r.lo+r.hi)/2)) + g.Frame.Bottom()
				if n := r.hi - r.lo + 1; n < tallest && past < pastRim {
					runs[i] = append(runs[i], r)
				}
			}
		}
	})
	return runs, amount
}

// joinOverInk makes one run of two of a column, each tall rows at least, when there is nothing but ink between them, bridge rows
// at most: a line of the graticule parts an edge that is drawn across it.
func joinOverInk(rs []run, inked []float32, least float32, tall, bridge int) []run {
	out := rs[:0]
	for _, r := range rs {
		n := len(out)
		if n > 0 && r.lo-out[n-1].hi-1 <= bridge && min(r.hi-r.lo, out[n-1].hi-out[n-1].lo) >= tall && inkedAll(inked[out[n-1].hi+1:r.lo], least) {
			out[n-1].hi, out[n-1].peak = r.hi, max(out[n-1].peak, r.peak)
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

// above appends the stretches of col within rows first to last that are above level and floor; holes of
// up to joint rows do not part them.
func above(rs []run, col []float32, first, last int, level float32, floor []float32, joint int) []run {
	for j := first; j <= last; j++ {
		v := col[j]
		if v <= level || v <= floor[j] {
			continue
		}
		if n := len(rs); n > 0 && j-rs[n-1].hi <= joint+1 {
			rs[n-1].hi = j
			rs[n-1].peak = max(rs[n-1].peak, v)
		} else {
			rs = append(rs, run{j, j, v})
		}
	}
	return rs
}

// A state is the best path that ends in one run.
type state struct {
	score  float64
	column int // of the run before; -1 at the start
	index  int
	// y and slope carry on where the path was going, in rows and rows a column: where two traces of
	// one colour cross, the one that goes straight on is the same trace. end is where it may be as well, NaN
	// if nowhere: an edge that was entered at one end is left at the other.
	y, slope, end float64
}

// bestPath links runs to the path of most evidence.
func bestPath(s *sheet, runs [][]run, amount float32) *path {
	limit := jumpCost * float64(s.across)
	reach := max(int(lookBack*float64(s.across)), 2)
	usual := usualHeight(runs)
	states := make([][]state, len(runs))
	nan := math.NaN()
	far := state{column: -1} // the best of all columns that lie out of reach; column is its own
	top := state{column: -1}
	for i, rs := range runs {
		if k := i - reach; k >= 0 {
			for n, st := range states[k] {
				if st.score > far.score {
					far = state{score: st.score, column: k, index: n}
				}
			}
		}
		states[i] = make([]state, len(rs))
		for n, r := range rs {
			mid, slack := float64(r.lo+r.hi)/2, max(float64(r.hi-r.lo+1)-usual, 0)/2
			best := state{column: -1, y: mid, end: nan}
			if far.column >= 0 && far.score-limit > best.score {
				best = state{score: far.score - limit, column: far.column, index: far.index, y: mid, end: nan}
			}
			for k := i - 1; k >= max(i-reach+1, 0); k-- {
				for m, o := range runs[k] {
					from := &states[k][m]
					v := from.score - min(limit, linkCost(s, o, r, i-k))
					if v <= best.score {
						continue
					}
					ahead := from.y + from.slope*float64(i-k)
					if math.Abs(from.end-mid) < math.Abs(ahead-mid) {
						ahead = from.end
					}
					y := min(max(ahead, mid-slack), mid+slack)
					v -= bendCost * min(math.Abs(ahead-y)*s.dy, bendMost) * float64(s.across)
					if v <= best.score {
						continue
					}
					best = state{v, k, m, y, from.slope + slopeGain*(y-ahead)/float64(i-k), nan}
					if math.Abs(ahead-y)*s.dy > bendMost || ahead == from.end {
						best.slope = 0 // a jump
					}
					if slack > tallStroke*usual/2 && math.Abs(y-mid) > slack-usual {
						best.end = 2*mid - y
					}
				}
			}
			best.score += r.evidence(amount)
			states[i][n] = best
			if best.score > top.score {
				top = state{score: best.score, column: i, index: n}
			}
		}
	}
	p := &path{runs: make([]run, len(runs)), amount: amount}
	for i := range p.runs {
		p.runs[i] = absent
	}
	for top.column >= 0 {
		p.runs[top.column] = runs[top.column][top.index]
		st := states[top.column][top.index]
		top.column, top.index = st.column, st.index
	}
	return p
}

// evidence is what a column's run earns, 0 to 1.
func (r run) evidence(amount float32) float64 { return float64(min(r.peak/(fullShare*amount), 1)) }

// evidence is the columns' worth of the path.
func (p *path) evidence() float64 {
	sum := 0.0
	for i, r := range p.runs {
		if p.seen(i) {
			sum += r.evidence(p.amount)
		}
	}
	return sum
}

// absent is the run of a column that does not hold the trace.
var absent = run{lo: 0, hi: -1}

// usualHeight is the height in rows of thin runs.
func usualHeight(runs [][]run) float64 {
	var h []float64
	for _, rs := range runs {
		for _, r := range rs {
			h = append(h, float64(r.hi-r.lo+1))
		}
	}
	return rank(h, 0.25)
}

// linkCost is the price of going from run a to run b, n columns later, in columns of evidence.
func linkCost(s *sheet, a, b run, n int) float64 {
	apart := float64(max(b.lo-a.hi, a.lo-b.hi, 0)) * s.dy
	free := stepFree * (1 + float64(n-1)/4)
	return stepCost * max(apart-free, 0) * float64(s.across)
}

// prune drops pieces of the path that hang together with nothing else: those shorter than twice the
// jump's cost, such as letters, and at the path's ends longer ones, up to endPiece, that do not look like
// the rest. Where a menu hides the trace the best path runs on through the menu's words.
func (p *path) prune(s *sheet) {
	pieces := p.pieces(s)
	least := int(2 * jumpCost * float64(s.across))
	for _, c := range pieces {
		if c.end-c.start+1 < least {
			p.drop(c)
		}
	}
	pieces = p.pieces(s)
	longest := 0
	for _, c := range pieces {
		longest = max(longest, c.end-c.start+1)
	}
	for _, c := range pieces { // a letter among levels or long pieces of a curve
		if n := c.end - c.start + 1; float64(n)*s.dx < letterWide && n*fewLetters < longest && float64(p.height(c))*s.dy > letterLow {
			p.drop(c)
		}
	}
	p.dropSparse(s)
	for {
		pieces = p.pieces(s)
		if len(pieces) < 2 {
			return
		}
		main := slices.MaxFunc(pieces, func(a, b piece) int { return cmp.Compare(a.end-a.start, b.end-b.start) })
		dropped := false
		for _, c := range []piece{pieces[0], pieces[len(pieces)-1]} {
			if c != main && float64(c.end-c.start+1)*s.dx < endPiece && !p.alike(s, c, main) {
				p.drop(c)
				dropped = true
			}
		}
		if !dropped {
			return
		}
	}
}

// dropSparse drops columns about which a path that is dense as a whole is sparse: what is left of a dotted line.
func (p *path) dropSparse(s *sheet) {
	reach := int(sparseReach*float64(s.across) + 0.5)
	before := make([]int, len(p.runs)+1) // columns seen before each
	first, last := -1, -1
	for i := range p.runs {
		before[i+1] = before[i]
		if p.seen(i) {
			before[i+1]++
			if last = i; first < 0 {
				first = i
			}
		}
	}
	if first < 0 || float64(before[last+1]) < dense*float64(last-first+1) {
		return
	}
	for i := range p.runs {
		a, b := max(i-reach, 0), min(i+reach+1, len(p.runs))
		if p.seen(i) && float64(before[b]-before[a]) < sparse*float64(b-a) {
			p.runs[i] = absent
		}
	}
}

// A piece is a stretch of columns without an undrawn jump, both ends included.
type piece struct{ start, end int }

func (p *path) pieces(s *sheet) (all []piece) {
	prev := -1
	for i := range p.runs {
		if !p.seen(i) {
			continue
		}
		if prev < 0 || linkCost(s, p.runs[prev], p.runs[i], i-prev) > stepCost*pieceJump*float64(s.across) {
			all = append(all, piece{start: i})
		}
		all[len(all)-1].end = i
		prev = i
	}
	return all
}

// height is how far apart the middles of a piece's runs lie, in rows.
func (p *path) height(c piece) int {
	lo, hi := math.MaxInt, math.MinInt
	for _, r := range p.runs[c.start : c.end+1] {
		if r.hi >= r.lo {
			lo, hi = min(lo, (r.lo+r.hi)/2), max(hi, (r.lo+r.hi)/2)
		}
	}
	return hi - lo
}

func (p *path) drop(c piece) {
	for i := c.start; i <= c.end; i++ {
		p.runs[i] = absent
	}
}

// alike reports whether the end piece c is drawn like the main one: as thick, as bright, as unbroken and as
// even. A true piece that glare has changed is lost as well; a menu's words in a trace would be worse.
func (p *path) alike(s *sheet, c, main piece) bool {
	a, b := p.look(s, c), p.look(s, main)
	return a.thin < otherStroke*b.tall && b.thin < otherStroke*a.thin && a.peak > dimPiece*b.peak &&
		a.holes < b.holes+moreHoles && a.tall < moreTall*a.thin*max(b.tall/b.thin, 1)
}

// A look says how a piece is drawn: the heights in rows of its thinner and of its taller runs, as they would be if it were
// flat, their median peak, and the share of its columns without a run.
type look struct{ thin, tall, peak, holes float64 }

func (p *path) look(s *sheet, c piece) look {
	var heights, peaks []float64
	for i := c.start; i <= c.end; i++ {
		if p.seen(i) {
			slope := p.rise(max(i-slopeColumns, c.start), min(i+slopeColumns, c.end)) * s.dy / s.dx
			heights = append(heights, float64(p.runs[i].hi-p.runs[i].lo+1)/math.Hypot(1, slope))
			peaks = append(peaks, float64(p.runs[i].peak))
		}
	}
	return look{
		thin: rank(heights, 0.25), tall: rank(heights, 0.75), peak: rank(peaks, 0.5),
		holes: 1 - float64(len(heights))/float64(c.end-c.start+1),
	}
}

// rise is the path's mean rise from column i to column k, rows a column; 0 if it is absent in one.
func (p *path) rise(i, k int) float64 {
	if k <= i || !p.seen(i) || !p.seen(k) {
		return 0
	}
	a, b := p.runs[i], p.runs[k]
	return float64(b.lo+b.hi-a.lo-a.hi) / 2 / float64(k-i)
}
