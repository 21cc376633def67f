package graticule

// What is a doubt and what is only worth knowing.
//
// A display that is half covered by a menu shows no rim there, one that is enlarged has oblong boxes, one under glare
// shows few lines: each of these by itself is true of good photos, and says little of whether the grid is right.
// Several of them together do. So each kind of remark has a weight, and they are doubts if their weights add up to a
// doubt; else they are notes. What shows that the count of boxes may be another (ticks of a centre line elsewhere,
// lines that leave the photo) is a doubt by itself. The weights are rounded logarithms of how many times more often a
// kind is seen on wrong grids than on right ones, as counted over 33 photos of displays, 231 altered copies of them, 12
// photos of other things and 185 simulated ones (testdata/measured/doubts.md); TestOneAbsenceIsANoteAndSeveralAreADoubt
// holds the table.

import "quadrille/calibrate/remark"

// enoughWeight is the sum of weights from which remarks are doubts (TestOneAbsenceIsANoteAndSeveralAreADoubt).
const enoughWeight = 3

// sideWeight is that of a left or right rim that was not seen: menus cover columns there, and rows hardly ever
// (TestASideThatWasNotSeenWeighsMore).
const sideWeight = 2

// weights are those of the kinds; others weigh as much as a doubt.
var weights = map[remark.Kind]int{
	FewLines: 1, RimUnseen: 1, BoxUnusual: 1, TwoInks: 1, FaceBends: 1,
	LinesOff: 2, OtherFrame: 2, EndsUnclear: 2, OtherGrid: 2, MarksFew: 2, MarksOneSided: 2, MarksEnd: 2,
}

// weighed moves the remarks of g to its doubts or to its notes.
func (g *Graticule) weighed() *Graticule {
	sum := 0
	for _, r := range g.Doubts {
		w, known := weights[r.Kind]
		switch side := r.Word("side"); {
		case !known:
			w = enoughWeight
		case r.Kind == RimUnseen && (side == "left" || side == "right"):
			w = sideWeight
		}
		sum += w
	}
	if sum >= enoughWeight {
		return g
	}
	out := *g
	out.Doubts, out.Notes = nil, g.Doubts
	return &out
}
