package path

// The best path through the runs.
//
// A path takes at most one run a column. Runs of neighbouring columns that touch link for nothing;
// a jump costs by its height, up to a limit, for an edge too fast to be drawn; columns without the
// trace cost what they do not earn. The best path is found by dynamic programming over the runs
// (Viterbi), exactly.

import (
	"math"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// fullShare is the share of the usual peak from which a run is full evidence: glare dims the rest
	// (TestWhatLightIsFullEvidence).
	fullShare = 0.5
	// lookBack is the longest absence, in boxes, after which the place before it still counts
	// (TestHowLongAPlaceCounts).
	lookBack = 0.5
	// jumpCost is what a jump of any height costs at most, in boxes of full evidence: a piece of a
	// trace between two jumps is taken when it is longer than twice this (TestWhatAJumpCosts).
	jumpCost = 0.12
	// stepCost is the cost of a jump by one box, before the limit; stepFree boxes are free (TestWhatAJumpCosts).
	stepCost, stepFree = 0.25, 0.03
	// bendCost is the cost of a run one box away from where the path was going, up to bendMost boxes:
	// little, to decide where runs cross. slopeGain is the weight of the latest step in the direction
	// (TestWhatABendCosts, TestAPathGoesStraightOn).
	bendCost, bendMost, slopeGain = 0.03, 0.3, 0.3
	// TallStroke is how many times a usual run's height makes a column an edge (TestBetweenStrokeAndEdge).
	TallStroke = 3
)

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
func bestPath(s *sheet.Sheet, runs [][]Run, amount float32) *Path {
	limit := jumpCost * float64(s.Across)
	reach := max(int(lookBack*float64(s.Across)), 2)
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
			mid, slack := float64(r.Lo+r.Hi)/2, max(float64(r.Hi-r.Lo+1)-usual, 0)/2
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
					v -= bendCost * min(math.Abs(ahead-y)*s.DY, bendMost) * float64(s.Across)
					if v <= best.score {
						continue
					}
					best = state{v, k, m, y, from.slope + slopeGain*(y-ahead)/float64(i-k), nan}
					if math.Abs(ahead-y)*s.DY > bendMost || ahead == from.end {
						best.slope = 0 // a jump
					}
					if slack > TallStroke*usual/2 && math.Abs(y-mid) > slack-usual {
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
	p := &Path{Runs: make([]Run, len(runs)), Amount: amount}
	for i := range p.Runs {
		p.Runs[i] = absent
	}
	for top.column >= 0 {
		p.Runs[top.column] = runs[top.column][top.index]
		st := states[top.column][top.index]
		top.column, top.index = st.column, st.index
	}
	return p
}

// usualHeight is the height in rows of thin runs.
func usualHeight(runs [][]Run) float64 {
	var h []float64
	for _, rs := range runs {
		for _, r := range rs {
			h = append(h, float64(r.Hi-r.Lo+1))
		}
	}
	return raster.Rank(h, 0.25)
}

// linkCost is the price of going from run a to run b, n columns later, in columns of evidence.
func linkCost(s *sheet.Sheet, a, b Run, n int) float64 {
	apart := float64(max(b.Lo-a.Hi, a.Lo-b.Hi, 0)) * s.DY
	free := stepFree * (1 + float64(n-1)/4)
	return stepCost * max(apart-free, 0) * float64(s.Across)
}
