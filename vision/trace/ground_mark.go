package trace

// The mark that shows where a trace has its zero: a pointer, a flag, a sign of earth, or a digit with one of them
// beside it, at the left rim, outside the frame, across it or just inside.
//
// What stands out at the rim (rim_strip.go, rim_signs.go) and has the shape of a mark (rim_marks.go) is given to the
// traces by likelihood: that assignment is taken in which colours agree best, and in which traces that are at rest are
// at their marks. Where another one is nearly as likely, that is told.

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
	"quadrille/vision/path"
	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// noMark is the cost of a trace without a mark, in log likelihood, clearlyOwned by how much dearer any other
	// assignment of a trace must be (TestWhoseAMarkIs).
	noMark, clearlyOwned = 3, 1
	// A trace that is flat at one of its ends within restsNear boxes of a mark is at rest there. Of 235 traces of busy
	// displays 49 are, and of 243 that the mark does not belong to 2: restsAt is the gain, a little less than the
	// logarithm of their ratio (TestAMarkBelongsToTheTraceThatRestsThere).
	restsNear, restsAt = 0.1, 2.5
	// mostOwners bounds the traces that are assigned, for the work grows with their power (TestWhoseAMarkIs).
	mostOwners = 6
)

// markGround fills in the traces' marks; found are their candidates, on sheet s.
func markGround(side *sheet.Side, s *sheet.Sheet, traces []*Trace, found []*path.Candidate) {
	var starts []start
	for _, t := range traces {
		for i, y := range t.Y {
			if !math.IsNaN(y) && t.X[i] < t.Frame.Left()+markTip {
				starts = append(starts, start{y, raster.Rank(finite(t.Thick), 0.25)})
				break
			}
		}
	}
	r := newRim(side, s, found)
	tints := make([]sheet.Tint, len(traces))
	for k, t := range traces {
		tints[k] = r.tint(sheet.FromSRGB(t.Colour))
	}
	owners, left := r.assign(r.marks(starts, tints, traces[0].Frame.Bottom()), traces, found)
	for k, o := range owners {
		traces[k].GroundMark, traces[k].GroundRival = o.y, o.rival
		for _, m := range left {
			traces[k].Doubts = append(traces[k].Doubts, remark.Of(KindMarkWithoutTrace, remark.Number("mark_box", m.y)))
		}
	}
}

// An owner says where a trace's mark points, in boxes: ±Inf if off the screen, NaN if it has none or may have to leave
// it to another trace; and where another sign points that may be its mark as well, or the one that it may have to
// leave, NaN if there is none.
type owner struct{ y, rival float64 }

// assign gives each trace its mark: that assignment of signs to traces whose colours agree best, in which no sign has
// two traces. A trace is better left without one than with one of another hue, and a helper line beside a trace of its
// ink has none; a trace at rest, which looks the same, is at its mark.
//
// Left are the sure marks on the screen that it gives to none.
func (r *rim) assign(marks []rimMark, traces []*Trace, found []*path.Candidate) (out []owner, left []rimMark) {
	out = make([]owner, len(traces))
	for k := range out {
		out[k] = owner{y: math.NaN(), rival: math.NaN()}
	}
	if len(marks) == 0 || len(traces) > mostOwners {
		return out, nil
	}
	costs := make([][]float64, len(traces)) // by trace and mark
	for k, t := range traces {
		var rests []float64 // box
		for _, step := range []int{1, -1} {
			if f := t.flatEnd(step); f.Seen() {
				rests = append(rests, f.Y)
			}
		}
		beside := found[k].Line && slices.ContainsFunc(found, func(c *path.Candidate) bool {
			return c != found[k] && c.Tint == found[k].Tint
		})
		costs[k] = make([]float64, len(marks))
		for m, s := range marks {
			costs[k][m] = s.costs[k]
			if slices.ContainsFunc(rests, func(y float64) bool { return math.Abs(y-s.y) < restsNear }) {
				costs[k][m] -= restsAt
			}
			if beside && !(math.Abs(raster.Rank(finite(t.Y), 0.5)-s.y) < markLeast) {
				costs[k][m] = math.Inf(1)
			}
		}
	}
	best, mine := cheapest(costs, none, none)
	for k, m := range mine {
		dearer, other := cheapest(costs, k, m)
		near := dearer-best <= clearlyOwned
		if m != none && (!near || other[k] != none) {
			out[k].y = marks[m].y
		}
		switch {
		case near && other[k] != none:
			out[k].rival = marks[other[k]].y
		case near && m != none:
			out[k].rival = marks[m].y
		}
	}
	for m, s := range marks {
		if s.cost < surelyMark && !math.IsNaN(s.y) && !math.IsInf(s.y, 0) && !slices.Contains(mine, m) {
			left = append(left, s)
		}
	}
	return out, left
}

// none stands for no mark, or for no trace (TestWhoseAMarkIs).
const none = -1

// cheapest is the assignment of least cost: by trace, its mark or none. Trace not does not take mark but; it takes
// another one, or leaves that to another trace; if but is none it takes a mark. The cost is infinite if that cannot be.
func cheapest(costs [][]float64, not, but int) (least float64, mine []int) {
	least, mine = math.Inf(1), slices.Repeat([]int{none}, len(costs))
	now := make([]int, len(costs))
	var try func(k int, sum float64, taken uint64)
	try = func(k int, sum float64, taken uint64) {
		if k == len(costs) {
			if left := not != none && now[not] == none && (but == none || taken&(1<<but) == 0); sum < least && !left {
				least, mine = sum, slices.Clone(now)
			}
			return
		}
		now[k] = none
		try(k+1, sum+noMark, taken)
		for m, c := range costs[k] {
			if taken&(1<<m) == 0 && c < noMark && !(k == not && m == but) {
				now[k] = m
				try(k+1, sum+c, taken|1<<m)
			}
		}
	}
	try(0, 0, 0)
	return least, mine
}
