package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"quadrille/analysis"
	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/photo"
)

// checkOptions are the flags of check beside the settings of the display.
type checkOptions struct {
	check.Settings
	against   string
	out, json string
	print     report.Print
	replace   bool
}

func newCheck() *cobra.Command {
	var s wire.Settings
	var o checkOptions
	groups := newTraceGroups()
	c := &cobra.Command{
		Use:   "check SKETCH --against PHOTO",
		Short: "Hold a drawing on squared paper against the display",
		Long: `Check holds a drawing of the screen, made by hand on squared paper, against a
photo of the screen itself: how far it departs and where, whether it lies too
high or comes too early, begins or settles wrongly, decays too fast or too slowly,
and what is not drawn. A departure is counted along the squares: so many boxes
across and so many up to the nearest place of the trace.

SKETCH is a photo of the drawing, PHOTO one of the display, with its settings
behind it as read takes them. Each may be the result.json that read made (of a
drawing: read --paper), or the folder of --out.

Where the screen lies on the paper is told by the axes or the frame that were
drawn. Without any it is laid where it fits best on the lines of the paper, and a
shift by whole squares cannot be seen.

Exit status: 0 the drawing holds; 3 it departs by more than --tolerance, or there
is a doubt; 1 one of the two could not be read, and which; 2 wrong usage.

` + cautions,
		Example: `  quadrille check sketch.jpg --against photo.jpg --volts-per-box 1.5V --time-per-box 5s
  quadrille check sketch.jpg --against result --squares-per-box 2 --tolerance 0.3 --out checked
  quadrille check sketch.jpg --against photo.jpg --origin 3,4`,
		Args: func(c *cobra.Command, args []string) error {
			const example = "quadrille check sketch.jpg --against photo.jpg"
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("check takes one drawing, not %d", len(args)), example}
			}
			if o.against == "" {
				return &usageError{"check needs --against, the photo of the display", example}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			groups.into(&s)
			return runCheck(c, args[0], s, o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.against, "against", "", "the photo of the display, its result.json, or the folder of that")
	f.StringVar(&o.SquaresPerBox, "squares-per-box", "", "squares of the paper for one box of the display: 2 (default found)")
	f.StringVar(&o.Origin, "origin", "", "where the screen's bottom-left corner lies, in squares across and up as drawing.svg numbers them: 3,4 (default found)")
	f.StringVar(&o.Tolerance, "tolerance", "", "boxes that the drawing may be off (default 0.2)")
	f.StringVar(&s.TimePerBox, "time-per-box", "", "time a box of the display: 5s, 250us")
	f.Var(traceFlag{groups}, "trace", "the trace that was drawn, by name (a) or by colour (#rrggbb)")
	of := groups.flags(f)
	of("volts-per-box", "", "volts a box, as printed on the display: 1.5V, 500mV", func(t *wire.TraceFields) *string { return &t.VoltsPerBox })
	of("ground", "auto", "where 0 V is: bottom, centre, BOXES up from the centre, or auto (the mark at the rim)", func(t *wire.TraceFields) *string { return &t.Ground })
	of("probe", "", "attenuation of the probe that the instrument was not told of: 10", func(t *wire.TraceFields) *string { return &t.Probe })
	of("signal", "auto", "what the signal is: "+strings.Join(analysis.Kinds(), ", ")+" or auto", func(t *wire.TraceFields) *string { return &t.Signal })
	f.StringVar(&s.Turn, "turn", "", "turn the display's photo clockwise by 90, 180 or 270 degrees first")
	f.StringVar(&s.Corners, "corners", "", `corners of the display's frame by hand, "x,y x,y x,y x,y" in pixels`)
	f.StringVar(&s.Boxes, "boxes", "", "the display's count of boxes across and down: 10x8")
	f.StringVar(&o.Title, "title", "", "heading of the page")
	f.StringVar(&o.out, "out", "", "folder for page.html, page.pdf, check.json and the pictures")
	sheetsFlag(f, &o.print)
	f.StringVar(&o.json, "json", "", "file for the check as JSON, or - for the terminal")
	f.BoolVar(&o.replace, "replace", false, "write over what is in the way of the output")
	return c
}

// runCheck reads both pictures, holds them against each other, and writes all outputs or none.
func runCheck(c *cobra.Command, sketch string, s wire.Settings, o checkOptions) error {
	if _, err := s.Parse(); err != nil { // before anything is loaded
		return err
	}
	if _, err := o.Options(); err != nil {
		return err
	}
	if err := needOut(c, o.out); err != nil {
		return err
	}
	if sketch == standardInput && o.against == standardInput {
		return &usageError{"the drawing and the display cannot both come from standard input", "give one of them as a file"}
	}
	set := save.Set{Inputs: printedTo(c.OutOrStdout(), c.ErrOrStderr())}
	shown := showCount(c, "drawing and the display", 2)
	defer shown.end()
	drawn, is, err := drawingOf(c, sketch)
	if err != nil {
		return err
	}
	set.Inputs = append(set.Inputs, is...)
	shown.count(1)
	own := ""
	c.Flags().Visit(func(f *pflag.Flag) {
		if slices.Contains(displaySettings, f.Name) {
			own = f.Name
		}
	})
	display, is, err := documentOf(c, new(wire.Reader), o.against, s, own)
	if err != nil {
		return err
	}
	set.Inputs = append(set.Inputs, is...)
	shown.end()
	held, err := check.Of(c.Context(), drawn.Document, display, o.Settings)
	if err != nil {
		return err
	}
	text, err := held.JSON()
	if err != nil {
		return err
	}
	made := result{is: "check", json: text, inJSON: "check.json",
		files:   func() (map[string][]byte, error) { return report.CheckedFiles(held, onDrawing(held, drawn), o.print) },
		summary: func(width int) string { return report.CheckedText(held, width) },
		same: func(file []byte) bool {
			var old check.Check
			return json.Unmarshal(file, &old) == nil && old.Schema > 0 && old.Drawing.SHA256 == held.Drawing.SHA256 && old.Display.SHA256 == held.Display.SHA256
		}}
	switch {
	case !held.Within:
		made.doubt = "the drawing departs from the display: see the output"
	case held.Doubted():
		made.doubt = "checked with a doubt: see \"Look at this before you use the verdict\" in the output"
	}
	return made.deliver(c, &set, o.out, o.json, o.replace)
}

// displaySettings are the flags of check that say how the display's photo is read.
var displaySettings = []string{"time-per-box", "trace", "volts-per-box", "ground", "probe", "signal", "turn", "corners", "boxes"}

// drawingOf reads a drawing: a photo of it, or the document that was kept.
func drawingOf(c *cobra.Command, name string) (*wire.Answer, []save.Input, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		name = filepath.Join(name, "result.json")
	}
	from, err := load(c.InOrStdin(), name, photo.DefaultBytes, "the drawing", "give the path of a photo of the drawing (JPEG, PNG or WebP)")
	if err != nil {
		return nil, nil, err
	}
	if !wire.IsPhoto(from.data) {
		d, err := wire.Decode(from.data)
		if err != nil {
			return nil, nil, &fileError{fmt.Sprintf("%s is no photo, and no result of one: %v", name, err), "give a photo of the drawing, or the result.json of read --paper"}
		}
		return &wire.Answer{Document: d}, from.is, nil
	}
	return new(wire.Reader).Answer(c.Context(), from.data, wire.Settings{File: from.name, Paper: "yes"}), from.is, nil
}

// onDrawing is the picture of the display laid on the drawing; nil if only a document of the drawing is there.
func onDrawing(held *check.Check, drawn *wire.Answer) *report.OnDrawing {
	if drawn.Reading == nil || drawn.Reading.Photo == nil {
		return nil
	}
	return report.NewOnDrawing(held, drawn.Document, report.Small(drawn.Reading.Photo))
}
