package trace

import "math"

const (
	// nearRim is how near the upper or lower rim, in boxes, a trace that ends there has left the
	// screen.
	nearRim = 0.12
	// manyHidden is the coverage below which a reader is warned.
	manyHidden = 0.5
	// bandHeight is the thickness, in boxes, of a trace that is a band of noise rather than a line.
	bandHeight = 0.3
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
