package trace

// Where a trace is clipped: what lies above the highest line or below the lowest is often drawn on that line, as a level that
// the curve enters and leaves with a corner. Such samples are absent, for they say only that the signal is further out. A
// curve that settles on the line does so without a corner, and what starts from the lowest line, as a charge from 0 does,
// comes to it without one.

import (
	"fmt"
	"math"
)

const (
	// clipNear is how near the line, in boxes, a clipped trace lies, clipLeast the least length of such a stretch, and clipOff how
	// many columns in a row noise may carry off it.
	clipNear, clipLeast, clipOff = 0.06, 0.25, 2
	// The slope beside a stretch is taken between cornerNear and cornerFar boxes from it; from cornerSlope boxes up or down a box
	// across it is a corner (TestClippedPartIsAbsent), and a step of aJump boxes at once is an edge.
	cornerNear, cornerFar, cornerSlope = 0.05, 0.2, 0.5
	// cutLength is the length in boxes from which on it is told that a trace runs along a line where its ground is not; a
	// crest of several cycles that touches the line is shorter (TestALevelCutOffAtTheRimIsDoubted).
	cutLength = 0.5
)

// clip makes samples absent that lie on the highest or lowest line because the screen ends there.
func (t *Trace) clip() {
	n := len(t.Y)
	for _, side := range []float64{1, -1} {
		rim := -t.Frame.Bottom() * side
		on := func(i int) bool { return math.Abs(t.Y[i]-rim) < clipNear } // false for NaN
		for i := 0; i < n; i++ {
			if !on(i) {
				continue
			}
			first, last := i, i
			for k := i + 1; k < n && k-last <= clipOff+1; k++ {
				if on(k) {
					last = k
				}
			}
			i = last
			if t.X[last]-t.X[first] < clipLeast {
				continue
			}
			a, b := t.entry(first, -1, rim), t.entry(last, 1, rim)
			if side > 0 && max(a, b) == aCorner && min(a, b) > settles || side < 0 && a == aCorner && b > settles {
				for k := first; k <= last; k++ {
					t.Y[k], t.Sigma[k], t.Thick[k] = math.NaN(), math.NaN(), math.NaN()
				}
			}
		}
	}
}

// How a trace comes to a stretch on the rim.
type entry int

const (
	settles entry = iota // without a corner
	unknown              // at the side of the screen, at a gap or by an edge
	aCorner
)

// entry tells how the trace comes to the end i of a stretch on the line y = rim, from the given side.
func (t *Trace) entry(i, side int, rim float64) entry {
	at := func(distance float64) float64 {
		for k := i; k >= 0 && k < len(t.X); k += side {
			if math.Abs(t.X[k]-t.X[i]) >= distance {
				return t.Y[k]
			}
		}
		return math.NaN()
	}
	near, far := at(cornerNear), at(cornerFar)
	switch {
	case math.IsNaN(near) || math.IsNaN(far) || math.Abs(near-rim) > aJump:
		return unknown
	case math.Abs(far-near) > cornerSlope*(cornerFar-cornerNear):
		return aCorner
	}
	return settles
}

// mayBeCut says in a sentence where the trace runs along the highest or lowest line although its mark shows that its ground is elsewhere:
// by edges, which have no corner that tells, such a level may have come from further out. Empty if nowhere.
func (t *Trace) mayBeCut() string {
	if math.IsNaN(t.GroundMark) {
		return ""
	}
	for _, side := range []float64{1, -1} {
		rim := -t.Frame.Bottom() * side
		if math.Abs(t.GroundMark-rim) < nearRim {
			continue
		}
		n := 0
		for i, y := range t.Y {
			if t.Thick[i] < bandHeight && side*(y-rim)+t.Thick[i]/2 > -cutNear { // false for NaN
				n++
			}
		}
		length := float64(n) * (t.X[1] - t.X[0])
		if length < cutLength {
			continue
		}
		line, beyond := "highest", "above"
		if side < 0 {
			line, beyond = "lowest", "below"
		}
		return fmt.Sprintf("The trace runs along the %s line of the screen for %.1f boxes, and its ground is not there: what lies %s may be cut off, "+
			"so that its height is more than is measured.", line, length, beyond)
	}
	return ""
}
