package drawing

import (
	"math"
	"slices"

	"quadrille/calibrate/remark"
)

// The kinds of a verdict beside those of the causes. Places are in boxes from the screen's left rim, as a person
// counts.
const (
	// KindWithin says that the drawing holds: largest_box at x_box, tolerance_box. Where nothing drawn tells where the
	// screen lies, it has the values of KindAssumed too; where the one level axis was taken for the ground line,
	// ground_up_box, how far that lies above the lowest line of the screen.
	KindWithin remark.Kind = "drawing.within"
	// KindAssumed says that all else holds if the screen's bottom-left corner lies at corner_x_squares, corner_y_squares,
	// where the drawing fits best; the other values are those of KindNoAxes.
	KindAssumed remark.Kind = "drawing.assumed"
	// KindDeparts says that at x_box (time_s, where the time a box is known) it lies so much too far right, across_box,
	// and too high, up_box; most says that it does so nowhere more.
	KindDeparts remark.Kind = "drawing.departs"
	// KindLacks says that from from_box to to_box the drawing passes by what the trace does.
	KindLacks remark.Kind = "drawing.lacks"
	// KindMissing says that nothing is drawn from from_box to to_box, of a screen so many width_box wide.
	KindMissing remark.Kind = "drawing.missing"
)

// mostPlaces is how many places that depart, beside their causes, are worth a sentence.
const mostPlaces = 3

// Verdict says in a few remarks what is right or wrong with the drawing, the weightiest first. Of a drawing that holds
// the second one, if there is one, is a cause within the tolerance.
func (h *Held) Verdict() []remark.Remark {
	width := float64(h.on.Cols)
	from := func(x float64) float64 { return x + width/2 }
	departs := func(d Departure, nowhereMore bool) remark.Remark {
		r := remark.Of(KindDeparts, remark.Number("x_box", from(d.X)), remark.Number("across_box", d.Across), remark.Number("up_box", d.Up), remark.Flag("most", nowhereMore))
		if h.on.TimePerBox > 0 {
			r.Values = append(r.Values, remark.Number("time_s", from(d.X)*h.on.TimePerBox))
		}
		return r
	}
	assumed := remark.Of(KindAssumed, remark.Number("corner_x_squares", h.Corner.X), remark.Number("corner_y_squares", h.Corner.Y),
		remark.Number("across_box", h.step.X), remark.Number("up_box", h.step.Y))
	if h.Within() {
		r := remark.Of(KindWithin, remark.Number("largest_box", h.Largest.Size), remark.Number("x_box", from(h.Largest.X)),
			remark.Number("tolerance_box", h.Tolerance))
		if h.From == FromPaper {
			r.Values = append(r.Values, assumed.Values...)
		}
		if h.axisIsGround() {
			r.Values = append(r.Values, remark.Number("ground_up_box", h.on.Ground+float64(h.on.Rows)/2))
		}
		out := []remark.Remark{r}
		if len(h.Causes) > 0 {
			out = append(out, h.Causes[0].Remark)
		}
		return out
	}
	var out []remark.Remark
	for i, c := range h.Causes {
		if c.Moves > h.Tolerance || i == 0 {
			out = append(out, c.Remark)
		}
	}
	told := len(out) > 0
	if told && h.Largest.Size > h.Tolerance {
		out = append(out, departs(h.Largest, true))
	}
	for i, d := range h.Rest {
		if i < mostPlaces && (!told || math.Abs(d.X-h.Largest.X) > steady) {
			out = append(out, departs(d, false))
		}
	}
	near := func(x float64) bool {
		return slices.ContainsFunc(h.Rest, func(d Departure) bool { return x > d.From-apartBox && x < d.To+apartBox })
	}
	for i, s := range h.Lacks {
		if i < mostPlaces && !near((s.From+s.To)/2) {
			out = append(out, remark.Of(KindLacks, remark.Number("from_box", from(s.From)), remark.Number("to_box", from(s.To))))
		}
	}
	for _, s := range h.Missing {
		out = append(out, remark.Of(KindMissing, remark.Number("from_box", from(s.From)), remark.Number("to_box", from(s.To)), remark.Number("width_box", width)))
	}
	if h.From == FromPaper {
		out = append(out, assumed)
	}
	return out
}
