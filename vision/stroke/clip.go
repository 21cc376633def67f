package stroke

// Where a trace is clipped: what lies above the highest line or below the lowest is often drawn on that line, as a
// level that the curve enters and leaves with a corner. Such samples are absent, for they say only that the signal is
// further out. A curve that settles on the line does so without a corner, and what starts from the lowest line, as a
// charge from 0 does, comes to it without one.

import (
	"math"

	"quadrille/vision/sheet"
)

const (
	// clipNear is how near the line, in boxes, a clipped trace lies, clipLeast the least length of such a stretch,
	// and clipOff how many columns in a row noise may carry off it (TestWhatIsClippedAtTheRim).
	clipNear, clipLeast, clipOff = 0.06, 0.25, 2
	// The slope beside a stretch is taken between cornerNear and cornerFar boxes from it; from cornerSlope boxes up
	// or down a box across it is a corner (TestWhatIsClippedAtTheRim), and a step of aJump boxes at once is an edge.
	cornerNear, cornerFar, cornerSlope = 0.05, 0.2, 0.5
)

// clip makes samples absent that lie on the highest or lowest line because the screen ends there.
func (c *Centres) clip(s *sheet.Sheet) {
	n := len(c.Y)
	for _, side := range []float64{1, -1} {
		rim := -s.Frame.Bottom() * side
		on := func(i int) bool { return math.Abs(c.Y[i]-rim) < clipNear } // false for NaN
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
			if s.X(last)-s.X(first) < clipLeast {
				continue
			}
			a, b := c.entry(s, first, -1, rim), c.entry(s, last, 1, rim)
			if side > 0 && max(a, b) == aCorner && min(a, b) > settles || side < 0 && a == aCorner && b > settles {
				for k := first; k <= last; k++ {
					c.Y[k], c.Sigma[k], c.Thick[k] = math.NaN(), math.NaN(), math.NaN()
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
func (c *Centres) entry(s *sheet.Sheet, i, side int, rim float64) entry {
	at := func(distance float64) float64 {
		for k := i; k >= 0 && k < len(c.Y); k += side {
			if math.Abs(s.X(k)-s.X(i)) >= distance {
				return c.Y[k]
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
