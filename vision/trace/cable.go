package trace

// Something in the trace's colour that is thicker and brighter than it, such as a lead that hangs before the screen, draws the best path to
// itself for a part of the width, although the trace goes on beside it. So where a piece at one end of the path is drawn with
// another stroke than the longest piece, and a path through the other runs goes on from that without a jump, the trace is there.

import (
	"cmp"
	"slices"
)

// goesOnIn is the share of the columns of such a piece in which the trace that goes on is seen (TestATraceGoesOnBesideACable).
const goesOnIn = 0.8

// leaveCables takes pieces at the ends of the path that are not drawn like the longest for what the other runs give in their columns,
// if that goes on from it.
func (p *path) leaveCables(s *sheet, runs [][]run) {
	pieces := p.pieces(s)
	if len(pieces) < 2 {
		return
	}
	main := slices.MaxFunc(pieces, func(a, b piece) int { return cmp.Compare(a.end-a.start, b.end-b.start) })
	usual := p.look(s, main)
	for _, c := range []piece{pieces[0], pieces[len(pieces)-1]} {
		if c == main || p.look(s, c).thin < otherStroke*usual.thin {
			continue
		}
		others := make([][]run, len(runs))
		for i := range others {
			switch {
			case i >= c.start && i <= c.end:
				others[i] = slices.DeleteFunc(slices.Clone(runs[i]), func(r run) bool { return r == p.runs[i] })
			case i >= main.start && i <= main.end && p.seen(i):
				others[i] = []run{p.runs[i]}
			}
		}
		q := bestPath(s, others, p.amount)
		n := 0
		for i := c.start; i <= c.end; i++ {
			if q.seen(i) {
				n++
			}
		}
		if float64(n) < goesOnIn*float64(c.end-c.start+1) || len(q.pieces(s)) > 1 {
			continue
		}
		copy(p.runs[c.start:c.end+1], q.runs[c.start:c.end+1])
	}
}
