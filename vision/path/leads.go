package path

// Something in the trace's colour that is thicker and brighter than it, such as a lead that hangs before the screen,
// draws the best path to itself for a part of the width, although the trace goes on beside it. So where a piece at
// one end of the path is drawn with another stroke than the longest piece, and a path through the other runs goes on
// from that without a jump and in long pieces, the trace is there.

import (
	"slices"

	"quadrille/vision/sheet"
)

// goesOnIn is the share of the columns of such a piece in which the trace that goes on is seen, in pieces of goesOnLong
// boxes at least: a steep edge may be dimmer than what is seen of it (TestWhatGoesOnBesideALead).
const goesOnIn, goesOnLong = 0.8, 0.5

// mostLeads is how many leads, one behind the other, are looked past (TestLeadsBehindLeads).
const mostLeads = 3

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
				others[i] = slices.Clone(runs[i])
			case i >= main.start && i <= main.end && p.Seen(i):
				others[i] = []Run{p.Runs[i]}
			}
		}
		leads := []piece{c}
		q := p
		for range mostLeads {
			for _, lead := range leads {
				for i := max(lead.start, c.start); i <= min(lead.end, c.end); i++ {
					others[i] = slices.DeleteFunc(others[i], func(r Run) bool { return r == q.Runs[i] })
				}
			}
			q = bestPath(s, others, p.Amount)
			leads = slices.DeleteFunc(q.joinedPieces(s), func(c piece) bool { return q.mannerOf(s, c).thin < OtherStroke*usual.thin })
			if len(leads) == 0 {
				break
			}
		}
		n := 0
		for i := c.start; i <= c.end; i++ {
			if q.Seen(i) {
				n++
			}
		}
		if len(leads) == 0 && float64(n) >= goesOnIn*float64(c.end-c.start+1) && q.goesOnFrom(s, main) {
			copy(p.Runs[c.start:c.end+1], q.Runs[c.start:c.end+1])
		}
	}
}

// goesOnFrom reports whether p goes on from the piece that q has in it without a jump, and is in long pieces elsewhere.
func (p *Path) goesOnFrom(s *sheet.Sheet, q piece) bool {
	least := int(goesOnLong * float64(s.Across))
	joined := false
	for _, c := range p.joinedPieces(s) {
		if c.end-c.start+1 < least {
			return false
		}
		if c.start <= q.start && c.end >= q.end {
			joined = c.start <= q.start-least || c.end >= q.end+least
		}
	}
	return joined
}
