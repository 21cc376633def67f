package trace

// The mark of the trigger's level: a small arrow in the trace's colour just inside the right rim, which points at it. Where the trace passes,
// the arrow touches it, and the path may end on the arrow's shaft. So the trace is taken for absent over the width of such a
// mark where something of its colour lies close beside it at that rim.

const (
	// levelMark is the width of such a mark in boxes (usual ones 0.15 to 0.3: common practice, no source), levelShaft the width
	// beside the rim in which its shaft is seen, in all columns but shaftHoles, within shaftLevel boxes of one height.
	levelMark, levelShaft, shaftHoles, shaftLevel = 0.32, 0.12, 2, 0.02
	// In besideShaft of those columns the trace is seen as well, up to levelBeside boxes beside the shaft, and moves by leavesShaft boxes; both
	// have levelLight of the usual light at least (TestAMarkAtTheRightRimIsNotFollowed).
	besideShaft, levelBeside, leavesShaft, levelLight = 2, 0.4, 0.03, 0.3
)

// dropAtLevelMark makes the end of the path absent if a mark at the right rim touches it.
func (p *path) dropAtLevelMark(s *sheet, runs [][]run) {
	n, shaft := len(p.runs), int(levelShaft*float64(s.across)+0.5)
	beside, level := int(levelBeside*float64(s.up)+0.5), int(2*shaftLevel*float64(s.up)+0.5) // level in half rows
	for i := n - besideShaft; i < n; i++ {
		for _, end := range runs[i] {
			on, both := 0, 0
			low, high := s.ny, 0 // of the trace beside it
			for k := n - shaft; k < n; k++ {
				there, other := false, absent
				for _, r := range runs[k] {
					apart := max(r.lo-end.hi, end.lo-r.hi)
					switch middle := r.lo + r.hi - end.lo - end.hi; {
					case r.peak < levelLight*p.amount:
					case max(middle, -middle) <= level:
						there = true
					case apart > 1 && apart < beside:
						other = r
					}
				}
				if there {
					on++
					if other != absent && p.seen(k) {
						both++
						low, high = min(low, (other.lo+other.hi)/2), max(high, (other.lo+other.hi)/2)
					}
				}
			}
			if on >= shaft-shaftHoles && both >= besideShaft && float64(high-low)*s.dy > leavesShaft {
				p.drop(piece{n - int(levelMark*float64(s.across)+0.5), n - 1})
				return
			}
		}
	}
}
