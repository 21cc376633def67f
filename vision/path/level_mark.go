package path

// The mark of the trigger's level: a small arrow in the trace's colour just inside the right rim, which points at it.
// Where the trace passes, the arrow touches it, and the path may end on the arrow's shaft. So the trace is taken for
// absent over the width of such a mark where something of its colour lies close beside it at that rim.

import "quadrille/vision/sheet"

const (
	// levelMark is the width of such a mark in boxes (usual ones 0.15 to 0.3: common practice, no source), levelShaft
	// the width beside the rim in which its shaft is seen, in all columns but shaftHoles, within shaftLevel boxes of
	// one height (TestWhenAPathEndsAtALevelMark).
	levelMark, levelShaft, shaftHoles, shaftLevel = 0.32, 0.12, 2, 0.02
	// In besideShaft of those columns the trace is seen as well, up to levelBeside boxes beside the shaft, and moves
	// by leavesShaft boxes; both have levelLight of the usual light at least (TestWhenAPathEndsAtALevelMark).
	besideShaft, levelBeside, leavesShaft, levelLight = 2, 0.4, 0.03, 0.3
)

// dropAtLevelMark makes the end of the path absent if a mark at the right rim touches it.
func (p *Path) dropAtLevelMark(s *sheet.Sheet, runs [][]Run) {
	n, shaft := len(p.Runs), int(levelShaft*float64(s.Across)+0.5)
	beside, level := int(levelBeside*float64(s.Up)+0.5), int(2*shaftLevel*float64(s.Up)+0.5) // level in half rows
	for i := n - besideShaft; i < n; i++ {
		for _, end := range runs[i] {
			on, both := 0, 0
			low, high := s.NY, 0 // of the trace beside it
			for k := n - shaft; k < n; k++ {
				there, other := false, absent
				for _, r := range runs[k] {
					apart := max(r.Lo-end.Hi, end.Lo-r.Hi)
					switch middle := r.Lo + r.Hi - end.Lo - end.Hi; {
					case r.Peak < levelLight*p.Amount:
					case max(middle, -middle) <= level:
						there = true
					case apart > 1 && apart < beside:
						other = r
					}
				}
				if there {
					on++
					if other != absent && p.Seen(k) {
						both++
						low, high = min(low, (other.Lo+other.Hi)/2), max(high, (other.Lo+other.Hi)/2)
					}
				}
			}
			if on >= shaft-shaftHoles && both >= besideShaft && float64(high-low)*s.DY > leavesShaft {
				p.leaveOut(piece{n - int(levelMark*float64(s.Across)+0.5), n - 1})
				return
			}
		}
	}
}
