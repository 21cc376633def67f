// Package check holds the reading of a drawing on squared paper against the reading of the display that was drawn: two
// documents in, a verdict out. Where the curves lie and how far apart is found by analysis/drawing, in boxes; what the
// drawing says of the signal is worked out from it with the settings of the display, as the trace itself was.
package check

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strconv"
	"strings"

	"quadrille/analysis/drawing"
	"quadrille/calibrate/remark"
	"quadrille/calibrate/unit"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// Schema is the version of a Check as JSON.
const Schema = 1

// Settings are what a person says beside the two pictures, each as the text that was typed; "" means not given.
type Settings struct {
	Title         string `json:"title"`
	SquaresPerBox string `json:"squares_per_box"` // "2"
	Origin        string `json:"origin"`          // "3,4": where the screen's bottom-left corner lies, in squares
	Tolerance     string `json:"tolerance"`       // boxes; "0.2"
}

// A Check is what Of gives. Numbers that are not known are null. Places on the screen are in boxes from its centre, on
// the paper in squares from the bottom-left corner of the part that was found.
type Check struct {
	Schema  int       `json:"schema"`
	Title   wire.Text `json:"title"`
	Drawing Source    `json:"drawing"`
	Display Source    `json:"display"`

	Within      bool             `json:"within"`        // the tolerance, and all of the trace is drawn
	Verdict     []string         `json:"verdict"`       // what is right or wrong, the weightiest first
	VerdictData []wire.Remark    `json:"verdict_kinds"` // the same as data
	Tolerance   wire.Number      `json:"tolerance_box"`
	RMS         wire.Number      `json:"rms_box"`
	Largest     *Departure       `json:"largest"`    // null if the curves meet nowhere
	Departures  []Departure      `json:"departures"` // the largest of each stretch over the tolerance, the largest first
	Coverage    wire.Number      `json:"coverage"`   // 0..1 of the trace
	Missing     [][2]wire.Number `json:"missing_box"`
	PassedBy    [][2]wire.Number `json:"passed_by_box"` // stretches of the trace that the drawing does not follow

	Placement  Placement  `json:"placement"`
	Start      Level      `json:"start"`  // where the drawing begins
	Ground     Level      `json:"ground"` // the ground line, if one was drawn
	Quantities []Quantity `json:"quantities"`

	Curve Curve `json:"curve"` // the drawing on the screen
	Trace Curve `json:"trace"` // the display's

	Doubts     []string      `json:"doubts"`
	DoubtKinds []wire.Remark `json:"doubt_kinds"`
	Notes      []string      `json:"notes"`
	NoteKinds  []wire.Remark `json:"note_kinds"`
}

// A Source is one of the two readings.
type Source struct {
	File     string     `json:"file"`
	SHA256   wire.Text  `json:"sha256"`
	Settings *wire.Used `json:"settings"` // of the display; null of the drawing
	Signal   wire.Text  `json:"signal"`
	Columns  int        `json:"columns"` // of the screen in boxes, of the paper in squares
	Rows     int        `json:"rows"`
	Trace    string     `json:"trace"` // its name
	Colour   string     `json:"colour"`
}

// A Departure is how far the drawing lies right of the trace and above it, at a place of the trace.
type Departure struct {
	X      wire.Number `json:"x_box"`
	Y      wire.Number `json:"y_box"`
	T      wire.Number `json:"t_s"` // from the left rim
	Across wire.Number `json:"across_box"`
	Up     wire.Number `json:"up_box"`
	Size   wire.Number `json:"size_box"`
	From   wire.Number `json:"from_box"` // the stretch that departs by more than the tolerance
	To     wire.Number `json:"to_box"`
}

// A Placement is where the screen lies on the paper.
type Placement struct {
	SquaresPerBox wire.Number    `json:"squares_per_box"`
	Corner        [2]wire.Number `json:"corner_squares"` // the screen's bottom-left one
	From          string         `json:"from"`           // "given", "axes" or "paper"
	Upright       []Line         `json:"upright"`        // lines that were drawn, and what of the screen each was taken for
	Level         []Line         `json:"level"`
}

// A Line is one that was drawn with a ruler.
type Line struct {
	At wire.Number `json:"at_squares"`
	Is wire.Text   `json:"is"` // null for nothing of the screen
}

// A Level is a height on the display and on the drawing, in boxes from the centre.
type Level struct {
	Display    wire.Number `json:"display_box"`
	Drawing    wire.Number `json:"drawing_box"`
	UDrawing   wire.Number `json:"u_drawing_box"`
	Difference Difference  `json:"difference_box"`
	// Rests says that the screen was placed by this line, so that it cannot differ.
	Rests bool `json:"rests"`
}

// A Difference is drawing less display. Told is false where it is not larger than twice its standard uncertainty U,
// which does not have what both share: then none can be told (JCGM 100:2008, 6.2).
type Difference struct {
	Value wire.Number `json:"value"`
	U     wire.Number `json:"u"`
	Told  bool        `json:"told"`
}

func differenceOf(value, u float64) Difference {
	return Difference{wire.Number(value), wire.Number(u), math.Abs(value) > 2*u}
}

// A Quantity is one result of both.
type Quantity struct {
	Quantity string      `json:"quantity"`
	Method   wire.Text   `json:"method"`
	Label    wire.Text   `json:"label"`
	Unit     string      `json:"unit"`
	Display  wire.Number `json:"display"`
	UDisplay wire.Number `json:"u_display"`
	Drawing  wire.Number `json:"drawing"`
	UDrawing wire.Number `json:"u_drawing"` // of the hand and of where the screen lies alone: the scales are the display's
	Share    wire.Number `json:"share"`     // drawing less display over display; null of voltages, whose 0 is a choice

	Difference Difference `json:"difference"`
}

// A Curve has one value a place.
type Curve struct {
	X wire.Numbers `json:"x_box"`
	Y wire.Numbers `json:"y_box"`
}

// KindLineIsCurve doubts a curve that is the only level line on the paper: it may be an axis.
const KindLineIsCurve remark.Kind = "check.line_is_curve"

// KindNotWorkedOut notes that the drawing alone gave no results of the trace's kind.
const KindNotWorkedOut remark.Kind = "check.not_worked_out"

// KindSweepBefore notes that the trace from from_box on, counted from the left rim, is of the sweep before and was left
// out.
const KindSweepBefore remark.Kind = "check.sweep_before"

// KindSwapped doubts that the two stand in their order: what was given as the drawing, if drawing is true, looks like a
// display, and what was given as the display, if display is true, like squared paper.
const KindSwapped remark.Kind = "check.swapped"

// An Error says which of the two readings is of no use, "drawing" or "display", and why. Kind is that of a wire.Error.
type Error struct{ Of, Kind, Reason, Hint string }

func (e *Error) Error() string { return e.Reason }

// Doubted says that something is to be looked at.
func (c *Check) Doubted() bool { return !c.Within || len(c.Doubts) > 0 }

// Options reads the settings. Its error is a *reading.SettingError.
func (s Settings) Options() (o drawing.Options, err error) {
	number := func(name, text, hint string, low, high float64) float64 {
		v, e := unit.Parse(text, "1")
		if e == nil && (v.U > 0 || v.X < low || v.X > high) {
			e = fmt.Errorf("%s is not between %g and %g", text, low, high)
		}
		if e != nil && err == nil {
			err = &reading.SettingError{Field: name, Reason: "--" + name + ": " + e.Error(), Hint: hint}
		}
		return v.X
	}
	if s.SquaresPerBox != "" {
		o.SquaresPerBox = number("squares-per-box", s.SquaresPerBox, "give how many squares of the paper one box of the display is, such as 2 for 10 mm on squares of 5 mm", 0.1, 20)
	}
	if s.Tolerance != "" {
		bare := s.Tolerance
		for _, boxes := range []string{"boxes", "box"} {
			bare = strings.TrimSpace(strings.TrimSuffix(bare, boxes))
		}
		o.Tolerance = number("tolerance", bare, "give how many boxes the drawing may be off, such as 0.2", 0.01, 10)
	}
	if s.Origin != "" {
		const hint = "give where the screen's bottom-left corner lies, in squares across and up as the picture of the drawing numbers them, such as 3,4"
		x, y, two := strings.Cut(strings.ReplaceAll(s.Origin, "−", "-"), ",") // with the minus that the check prints, too
		var p drawing.Point
		var wrong [2]error
		p.X, wrong[0] = strconv.ParseFloat(strings.TrimSpace(x), 64)
		p.Y, wrong[1] = strconv.ParseFloat(strings.TrimSpace(y), 64)
		if err == nil && (!two || wrong != [2]error{} || !(math.Abs(p.X) <= 1e4 && math.Abs(p.Y) <= 1e4)) {
			err = &reading.SettingError{Field: "origin", Reason: fmt.Sprintf("--origin: %q is no place on the paper", s.Origin), Hint: hint}
		}
		o.Corner = &p
	}
	return o, err
}

// Of holds a drawing's document (wire.Read with paper) against a display's. Its error is an *Error, a
// *reading.SettingError, or that of ctx.
func Of(ctx context.Context, drawn, display *wire.Document, s Settings) (*Check, error) {
	o, err := s.Options()
	if err != nil {
		return nil, err
	}
	if err := usable("drawing", drawn); err != nil {
		return nil, err
	}
	screen, tr, err := screenOf(display)
	if err != nil {
		return nil, err
	}
	held, pencil, err := heldBest(ctx, drawn, screen, o)
	if err != nil {
		return nil, err
	}
	c := &Check{Schema: Schema, Title: wire.Text(s.Title), Within: held.Within(), Tolerance: wire.Number(held.Tolerance), RMS: wire.Number(held.RMS),
		Coverage: wire.Number(held.Coverage), Departures: []Departure{}, Missing: [][2]wire.Number{}, PassedBy: [][2]wire.Number{}, Quantities: []Quantity{}}
	c.Drawing = Source{File: drawn.Photo.File, SHA256: drawn.Photo.SHA256, Columns: drawn.Graticule.Columns, Rows: drawn.Graticule.Rows,
		Trace: pencil.Name, Colour: pencil.Colour}
	used := settingsOf(display, tr)
	c.Display = Source{File: display.Photo.File, SHA256: display.Photo.SHA256, Columns: screen.Cols, Rows: screen.Rows, Settings: &used, Signal: signalOf(display, tr),
		Trace: tr.Name, Colour: tr.Colour}
	verdict := held.Verdict()
	c.Verdict, c.VerdictData = wire.Told(verdict)
	if held.Largest.Size > 0 {
		d := c.departure(held.Largest, screen)
		c.Largest = &d
	}
	for _, d := range held.Over {
		c.Departures = append(c.Departures, c.departure(d, screen))
	}
	for _, m := range held.Missing {
		c.Missing = append(c.Missing, [2]wire.Number{wire.Number(m.From), wire.Number(m.To)})
	}
	for _, m := range held.Lacks {
		c.PassedBy = append(c.PassedBy, [2]wire.Number{wire.Number(m.From), wire.Number(m.To)})
	}
	c.Placement = Placement{SquaresPerBox: wire.Number(held.SquaresPerBox), Corner: [2]wire.Number{wire.Number(held.Corner.X), wire.Number(held.Corner.Y)},
		From: string(held.From), Upright: linesOf(held.Upright), Level: linesOf(held.Level)}
	c.Curve, c.Trace = Curve{held.X, held.Y}, Curve{tr.X, tr.Y}
	c.levels(held, screen, tr)
	notes, doubts := held.Notes, held.Doubts
	if asDisplay, asPaper := told(drawn, reading.KindMayBeDisplay), told(display, reading.KindMayBePaper); asDisplay || asPaper {
		doubts = append([]remark.Remark{remark.Of(KindSwapped, remark.Flag("drawing", asDisplay), remark.Flag("display", asPaper))}, doubts...)
	}
	if levelLines(drawn) == 1 && strings.HasPrefix(pencil.Name, linePrefix) {
		doubts = append(doubts, remark.Of(KindLineIsCurve))
	}
	if n := len(screen.X); n < len(tr.X) {
		notes = append(notes, remark.Of(KindSweepBefore, remark.Number("from_box", tr.X[n]+float64(screen.Cols)/2)))
	}
	notes = append(notes, c.workOut(ctx, held, display, tr)...)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	c.Doubts, c.DoubtKinds = wire.Told(doubts)
	for _, r := range append(doubtsOf("drawing", drawn, pencil), doubtsOf("display", display, tr)...) {
		c.Doubts, c.DoubtKinds = append(c.Doubts, r.Text), append(c.DoubtKinds, r)
	}
	c.Notes, c.NoteKinds = wire.Told(notes)
	return c, nil
}

// heldBest holds each curve of a drawing, the most prominent ones, and gives the likeliest one.
func heldBest(ctx context.Context, drawn *wire.Document, screen *drawing.Screen, o drawing.Options) (best *drawing.Held, of *wire.Trace, err error) {
	curves := curvesOf(drawn, screen)
	for i := range curves {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		t := &curves[i]
		h, no := drawing.Hold(sketchOf(drawn, t), screen, o)
		if no != nil {
			if err == nil || t.Chosen {
				e := no.(*drawing.Error)
				err = &Error{"drawing", "trace", e.Reason, e.Hint}
			}
			continue
		}
		if best == nil || h.Surprise < best.Surprise {
			best, of = h, t
		}
	}
	switch {
	case best != nil:
		return best, of, nil
	case err != nil:
		return nil, nil, err
	}
	return nil, nil, &Error{"drawing", drawn.Error.Kind, fmt.Sprintf("the drawing (%s): %s", drawn.Photo.File, drawn.Error.Reason), string(drawn.Error.Hint)}
}

func (c *Check) departure(d drawing.Departure, on *drawing.Screen) Departure {
	t := wire.Number(math.NaN())
	if on.TimePerBox > 0 {
		t = wire.Number((d.X + float64(on.Cols)/2) * on.TimePerBox)
	}
	return Departure{wire.Number(d.X), wire.Number(d.Y), t, wire.Number(d.Across), wire.Number(d.Up), wire.Number(d.Size), wire.Number(d.From), wire.Number(d.To)}
}

func linesOf(list []drawing.Line) []Line {
	out := []Line{}
	for _, l := range list {
		out = append(out, Line{wire.Number(l.At), wire.Text(l.Is)})
	}
	return out
}

// JSON is the check for programs.
func (c *Check) JSON() ([]byte, error) {
	text, err := json.MarshalIndent(c, "", " ")
	return append(text, '\n'), err
}
