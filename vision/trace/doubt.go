package trace

import (
	"fmt"
	"math"
)

const (
	// nearRim is how near the upper or lower rim, in boxes, a trace that ends there has left the
	// screen.
	nearRim = 0.12
	// manyHidden is the coverage below which a reader is warned.
	manyHidden = 0.5
	// bandHeight is the thickness, in boxes, of a trace that is a band of noise rather than a line.
	bandHeight = 0.3
	// A jump of jumpHeight boxes within jumpGap boxes of width that no stroke joins parts two curves when their
	// strokes over besideJump boxes differ by a factor of otherStroke: a cable across the screen is thicker.
	jumpHeight, jumpGap, besideJump, otherStroke = 0.5, 0.3, 0.6, 1.8
)

// doubts lists in sentences what a person should look at.
func (c *candidate) doubts(s *sheet, t *Trace, m *centred) []string {
	var out []string
	top, bottom := false, false
	high, low := -t.Frame.Bottom()-nearRim, t.Frame.Bottom()+nearRim
	for i := 1; i < len(t.Y); i++ {
		a, b := t.Y[i-1], t.Y[i]
		if math.IsNaN(a) == math.IsNaN(b) {
			continue
		}
		end, thick := a, t.Thick[i-1]
		if math.IsNaN(a) {
			end, thick = b, t.Thick[i]
		}
		top = top || end+thick/2 > high
		bottom = bottom || end-thick/2 < low
	}
	if top {
		out = append(out, "The trace leaves the screen at the top: what lies above is not measured.")
	}
	if bottom {
		out = append(out, "The trace leaves the screen at the bottom: what lies below is not measured.")
	}
	if m.lost > 0 {
		out = append(out, "The trace lies on the rim of the screen, which may hide one side of it.")
	}
	if x, ok := t.changes(); ok {
		out = append(out, fmt.Sprintf("The trace jumps %.1f boxes from the centre line and goes on with another thickness: "+
			"something else may have been taken for it on one side.", x))
	}
	if t.Coverage < manyHidden {
		out = append(out, "Less than half of the trace was seen: check that the right curve was followed.")
	}
	if rank(finite(t.Thick), 0.5) > bandHeight {
		out = append(out, "The trace is a thick band: its middle was taken, and the noise may hide its shape.")
	}
	if c.twin {
		out = append(out, "Another trace of the same colour is on the screen: check that the two were not mixed up where they meet.")
	}
	return out
}

// changes gives the x of the first jump at which the trace's stroke changes, in boxes.
func (t *Trace) changes() (x float64, ok bool) {
	before := -1
	for i, y := range t.Y {
		if math.IsNaN(y) {
			continue
		}
		k := before
		before = i
		if k < 0 || t.X[i]-t.X[k] > jumpGap || math.Abs(y-t.Y[k])-(t.Thick[i]+t.Thick[k])/2 < jumpHeight {
			continue
		}
		a, b := t.strokeNear(k, -1), t.strokeNear(i, 1)
		if max(a, b) > otherStroke*min(a, b) {
			return t.X[i], true
		}
	}
	return 0, false
}

// strokeNear is the thickness of the thinner samples up to besideJump boxes from i on one side: slopes
// and noise make a stroke thicker, not thinner.
func (t *Trace) strokeNear(i, side int) float64 {
	var v []float64
	for k := i; k >= 0 && k < len(t.Y) && math.Abs(t.X[k]-t.X[i]) < besideJump; k += side {
		v = append(v, t.Thick[k])
	}
	return rank(finite(v), 0.25)
}
