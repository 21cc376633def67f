package path

// Something in the trace's colour that is thicker and brighter than it, such as a lead that hangs before the screen,
// draws the best path to itself for a part of the width, although the trace goes on beside it. So where a piece at
// one end of the path is drawn with another stroke than the longest piece, and a path through the other runs goes on
// from that without a jump, the trace is there.

import (
	"slices"

	"quadrille/vision/sheet"
)

// goesOnIn is the share of the columns of such a piece in which the trace that goes on is seen
// (TestWhatGoesOnBesideALead).
const goesOnIn = 0.8

// leaveLeads takes pieces at the ends of the path that are not drawn like the longest for what the other runs give in
// their columns, if that goes on from it.
func (p *Path) leaveLeads(s *sheet.Sheet, runs [][]Run) {
	pieces := p.joinedPieces(s)
	if len(pieces) < 2 {
		return
	}
	main := longestOf(pieces)
	usual := p.mannerOf(s, main)
	for _, c := range []piece{pieces[0], pieces[len(pieces)-1]} {
		if c == main || p.mannerOf(s, c).thin < OtherStroke*usual.thin {
			continue
		}
		others := make([][]Run, len(runs))
		for i := range others {
			switch {
			case i >= c.start && i <= c.end:
				others[i] = slices.DeleteFunc(slices.Clone(runs[i]), func(r Run) bool { return r == p.Runs[i] })
			case i >= main.start && i <= main.end && p.Seen(i):
				others[i] = []Run{p.Runs[i]}
			}
		}
		q := bestPath(s, others, p.Amount)
		n := 0
		for i := c.start; i <= c.end; i++ {
			if q.Seen(i) {
				n++
			}
		}
		if float64(n) < goesOnIn*float64(c.end-c.start+1) || len(q.joinedPieces(s)) > 1 {
			continue
		}
		copy(p.Runs[c.start:c.end+1], q.Runs[c.start:c.end+1])
	}
}
