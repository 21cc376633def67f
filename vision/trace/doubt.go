package trace

import (
	"fmt"
	"math"

	"quadrille/vision/graticule"
)

const (
	// nearRim is how near the upper or lower rim, in boxes, a trace that ends there has left the
	// screen.
	nearRim = 0.12
	// gapWidth is the width in boxes of a gap in which a trace may be off the screen.
	gapWidth = 0.1
	// goingWidth is the width in boxes over which a trace that leaves the screen goes towards the rim by goingRise boxes.
	goingWidth, goingRise = 0.4, 0.08
	// manyHidden is the coverage below which a reader is warned.
	manyHidden = 0.5
	// bandHeight is the thickness, in boxes, of a trace that is a band of noise rather than a line.
	bandHeight = 0.25
	// A jump of jumpHeight boxes within jumpGap boxes of width that no stroke joins parts two curves when their
	// strokes over besideJump boxes differ by a factor of otherStroke: a cable across the screen is thicker.
	jumpHeight, jumpGap, besideJump, otherStroke = 0.5, 0.3, 0.6, 1.8
	// fewJumps is how many jumps no stroke joins a trace may have for one of them to be odd.
	fewJumps = 3
	// sameWay is how near to both heights of a jump, as a share of it, the trace must pass elsewhere to go the same way
	// (TestAWaveMayChangeItsStroke).
	sameWay = 0.15
	// enoughLevel is how many samples tell a stroke's thickness.
	enoughLevel = 5
)

// doubts lists in sentences what a person should look at.
func (c *candidate) doubts(s *sheet, g *graticule.Graticule, t *Trace, m *centred) []string {
	var out []string
	top, bottom := false, false
	high, low := -t.Frame.Bottom()-nearRim, t.Frame.Bottom()+nearRim
	for i, y := range t.Y {
		if !t.ends(i) {
			continue
		}
		top = top || y+t.Thick[i]/2 > high && t.goesTo(i, 1)
		bottom = bottom || y-t.Thick[i]/2 < low && t.goesTo(i, -1)
	}
	if top {
		out = append(out, "The trace leaves the screen at the top: what lies above is not measured.")
	}
	if bottom {
		out = append(out, "The trace leaves the screen at the bottom: what lies below is not measured.")
	}
	if c.path.hugsRim(s, g) {
		out = append(out, "The trace lies along the rim of the screen: it may be the edge of the screen itself, and one side of it may be hidden.")
	}
	if c.words {
		out = append(out, "What was followed looks like a line of words, and nothing else was found in its colour: check that it is a trace.")
	}
	if x, ok := t.changes(); ok {
		out = append(out, fmt.Sprintf("%.1f boxes from the left rim the trace jumps to another height and goes on with another thickness: "+
			"something else may have been taken for it on one side.", x-t.Frame.Left()))
	}
	if c.crests {
		out = append(out, "Only the crests of a fast wave are bright enough to be seen: the flanks between them are missing. A shorter time per box, "+
			"with fewer cycles on the screen, gives a better trace.")
	} else if t.Coverage < manyHidden {
		out = append(out, "Less than half of the trace was seen: check that the right curve was followed.")
	}
	if rank(finite(t.Thick), 0.25) > bandHeight {
		if y := finite(t.Y); passesOf(y, rank(y, 0.1), rank(y, 0.9)) >= fastWave {
			out = append(out, "The trace is a thick band or a wave so fast that it is drawn in upright strokes: the middle of each was taken. A shorter time per box, "+
				"with fewer cycles on the screen, gives a better trace.")
		} else {
			out = append(out, "The trace is a thick band: its middle was taken, and the noise may hide its shape.")
		}
	}
	if c.meets {
		out = append(out, "Another trace of the same colour comes near this one: check that the two were not mixed up where they meet.")
	}
	return out
}

// ends reports whether sample i is the last before or the first after a gap of gapWidth inside the frame.
func (t *Trace) ends(i int) bool {
	if math.IsNaN(t.Y[i]) {
		return false
	}
	for _, side := range []int{-1, 1} {
		k := i + side
		for k >= 0 && k < len(t.Y) && math.IsNaN(t.Y[k]) {
			k += side
		}
		if last := min(max(k, 0), len(t.Y)-1); k != i+side && math.Abs(t.X[last]-t.X[i]) > gapWidth {
			return true
		}
	}
	return false
}

// goesTo reports whether the trace was on its way up (side 1) or down (-1) where it ends at sample i: over goingWidth
// boxes by goingRise, half of it over the last half, or in one stroke. A trace that comes to rest at the rim does not leave the screen.
func (t *Trace) goesTo(i, side int) bool {
	usual := rank(finite(t.Thick), 0.25)
	if t.Thick[i] > otherStroke*usual {
		return true
	}
	for _, step := range []int{-1, 1} {
		var last []float64
		for k := i; k >= 0 && k < len(t.Y) && math.Abs(t.X[k]-t.X[i]) < goingWidth; k += step {
			if !math.IsNaN(t.Y[k]) {
				last = append(last, t.Y[k])
			}
		}
		if len(last) < enoughLevel {
			continue
		}
		n := len(last)
		near, half, far := rank(last[:2], 0.5), rank(last[n/2:n/2+2], 0.5), rank(last[n-2:], 0.5)
		if (near-far)*float64(side) > goingRise && (near-half)*float64(side) > goingRise/2 {
			return true
		}
	}
	return false
}

// changes gives the x of the first jump at which the trace's stroke changes, in boxes. A wave that jumps time and again, or that
// goes the same way elsewhere in strokes, may be drawn thicker on one level than on the other.
func (t *Trace) changes() (x float64, ok bool) {
	before, jumps := -1, 0
	for i, y := range t.Y {
		if math.IsNaN(y) {
			continue
		}
		k := before
		before = i
		if k < 0 || t.X[i]-t.X[k] > jumpGap || math.Abs(y-t.Y[k])-(t.Thick[i]+t.Thick[k])/2 < jumpHeight {
			continue
		}
		jumps++
		a, b := t.strokeNear(k, -1), t.strokeNear(i, 1)
		if max(a, b) > otherStroke*min(a, b) && !ok && !t.goesElsewhere(k, i) { // false for NaN
			x, ok = t.X[i], true
		}
	}
	return x, ok && jumps <= fewJumps
}

// goesElsewhere reports whether the trace passes from the height of sample from to that of sample to elsewhere as well, without
// an undrawn jump.
func (t *Trace) goesElsewhere(from, to int) bool {
	rise := t.Y[to] - t.Y[from]
	begun, before := false, -1
	for i, y := range t.Y {
		if math.IsNaN(y) || i >= from && i <= to {
			continue
		}
		k := before
		before = i
		if k < 0 || t.X[i]-t.X[k] > jumpGap || k < from && i > to || math.Abs(y-t.Y[k])-(t.Thick[i]+t.Thick[k])/2 >= jumpHeight {
			begun = false
		}
		way := (y - t.Y[from]) / rise // 0 at the one height, 1 at the other
		if way <= sameWay {
			begun = true
		} else if begun && way >= 1-sameWay {
			return true
		}
	}
	return false
}

// strokeNear is the thickness of the samples up to besideJump boxes from i on one side, as it would be if the trace were
// level there, NaN if they are few.
func (t *Trace) strokeNear(i, side int) float64 {
	var v []float64
	for k := i; k >= slopeColumns && k+slopeColumns < len(t.Y) && math.Abs(t.X[k]-t.X[i]) < besideJump; k += side {
		slope := (t.Y[k+slopeColumns] - t.Y[k-slopeColumns]) / (t.X[k+slopeColumns] - t.X[k-slopeColumns])
		if !math.IsNaN(slope) {
			v = append(v, t.Thick[k]/math.Hypot(1, slope))
		}
	}
	if len(v) < enoughLevel {
		return math.NaN()
	}
	return rank(v, 0.25)
}
