// A drawing held against a photo, from the documents that the page has.

package live

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// A Checked is what the page shows of a drawing beside a photo.
type Checked struct {
	Status int          `json:"status"` // of HTTP: 200; 400 for what is no two documents or a wrong setting; 422 where they cannot be held together; 503 once stopped
	Check  *check.Check `json:"check"`  // null but with 200
	Page   string       `json:"page"`   // the page of the check as HTML without the photo; "" but with 200
	// Boxes and Trace are the display laid on the photo of the drawing, in its pixels, and Numbers count its squares.
	Boxes   [][][2]float64 `json:"boxes"`
	Trace   [][][2]float64 `json:"trace"`
	Numbers []Counted      `json:"numbers"`
	Error   *wire.Error    `json:"error"` // null with 200
}

// A Counted is a number at a place of the photo.
type Counted struct {
	At   [2]float64 `json:"at"`
	Says string     `json:"says"`
}

// Check holds a drawing against a display. The JSON has "drawing" and "display", a wire.Document each, and "settings",
// the texts of check.Settings, which may be left out.
func Check(ctx context.Context, given []byte) *Checked {
	refused := func(status int, why wire.Error) *Checked {
		return &Checked{Status: status, Boxes: [][][2]float64{}, Trace: [][][2]float64{}, Numbers: []Counted{}, Error: &why}
	}
	var in struct {
		Drawing  json.RawMessage `json:"drawing"`
		Display  json.RawMessage `json:"display"`
		Settings check.Settings  `json:"settings"`
	}
	if err := json.Unmarshal(given, &in); err != nil {
		return refused(400, wire.Error{Kind: "setting", Reason: "these are no two readings: " + err.Error(), Hint: "read both photos until each has an answer, then check again"})
	}
	var documents [2]*wire.Document
	for i, text := range []json.RawMessage{in.Drawing, in.Display} {
		d, err := wire.Decode(text)
		if err == nil && len(d.Results) > maxResults {
			err = fmt.Errorf("it has more than %d results", maxResults)
		}
		if err != nil {
			return refused(400, wire.Error{Kind: "setting", Reason: fmt.Sprintf("the %s: %v", [2]string{"drawing", "display"}[i], err), Hint: "read both photos until each has an answer, then check again"})
		}
		documents[i] = d
	}
	c, err := check.Of(ctx, documents[0], documents[1], in.Settings)
	if no := (*check.Error)(nil); errors.As(err, &no) {
		return refused(422, wire.Error{Kind: no.Kind, Reason: no.Reason, Hint: wire.Text(no.Hint)})
	}
	if ctx.Err() != nil {
		return refused(503, *wire.ErrorOf(ctx.Err()))
	}
	if err != nil {
		return refused(400, *wire.ErrorOf(err))
	}
	out := &Checked{Status: 200, Check: c, Page: string(report.CheckedPage(c, nil)), Boxes: [][][2]float64{}, Trace: [][][2]float64{}, Numbers: []Counted{}}
	if on := report.NewOnDrawing(c, documents[0], report.Picture{}); on != nil {
		out.Boxes, out.Trace = pointsOf(on.Boxes), pointsOf(on.Trace)
		for _, n := range on.Numbers {
			out.Numbers = append(out.Numbers, Counted{pointOf(n.At), n.Says})
		}
	}
	return out
}
