package trace

// The mark of the trigger's level: a small arrow in the trace's colour just inside the right rim, which points at it. Where the trace passes,
// the arrow touches it, and the path may end on the arrow's shaft. So the trace is taken for absent over the width of such a
// mark where something of its colour lies close beside it at that rim.

const (
	// levelMark is the width of such a mark in boxes (usual ones 0.15 to 0.3: common practice, no source), levelShaft the width
	// beside the rim in which something must lie beside the path in a third of the columns, levelBeside how far beside it at most, in boxes.
	levelMark, levelShaft, levelBeside = 0.32, 0.12, 0.35
	// levelLight is its least light as a share of the trace's (TestAMarkAtTheRightRimIsNotFollowed).
	levelLight = 0.3
)

// dropAtLevelMark makes the end of the path absent if a mark at the right rim touches it.
func (p *path) dropAtLevelMark(s *sheet, runs [][]run) {
	shaft, beside := int(levelShaft*float64(s.across)+0.5), int(levelBeside*float64(s.up)+0.5)
	n, near := len(p.runs), 0
	for i := n - shaft; i < n; i++ {
		for _, r := range runs[i] {
			o := p.runs[i]
			if apart := max(r.lo-o.hi, o.lo-r.hi); p.seen(i) && apart > 1 && apart < beside && r.peak > levelLight*p.amount {
				near++
				break
			}
		}
	}
	if 3*near >= shaft {
		p.drop(piece{n - int(levelMark*float64(s.across)+0.5), n - 1})
	}
}
