package main

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/cmd/internal/handout"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/photo"
)

// readOptions are the flags of read that say where its output goes.
type readOptions struct {
	out     string // folder of the page, the table, the document and the figures
	json    string // file of the document, or "-"
	stages  string // folder of the pictures of the stages
	full    bool   // all of the summary, not the short one
	table   string // file of readings to lay beside the trace
	print   report.Print
	figures bool // nothing else into out

	replace bool // what is in the places of the output already may be written over
}

func newRead() *cobra.Command {
	var s wire.Settings
	var o readOptions
	groups := newTraceGroups()
	c := &cobra.Command{
		Use:   "read PHOTO",
		Short: "Read one photo of a display",
		Long: `Read finds the graticule and the trace on one photo and works out what it shows.

With --volts-per-box and --time-per-box, as the display prints them at its rim,
the trace becomes volts and seconds. Without them it stays in boxes, and the
page of --out shows the rims enlarged, so that you can read them there.

Several traces are worked out in one run, each --trace with the flags behind it:
--trace a --volts-per-box 2V --trace b --volts-per-box 5V. Flags before the first
--trace hold for all of them. Of two sines of one frequency the phase difference,
the delay and the ratio of the amplitudes are given as well.

A table of readings taken off the same screen by hand, as fit takes it, is laid
beside the trace with --readings. PHOTO, or the table, may be - for standard input.

Exit status: 0 read; 3 read, with a doubt that you must look at; 1 could not be
read; 2 wrong usage.

` + cautions,
		Example: `  quadrille read photo.jpg --volts-per-box 1.5V --time-per-box 5s --ground bottom --out result
  quadrille read photo.jpg --volts-per-box 1V --time-per-box 10ms --resistance 4k7±1% --capacitance 1uF±5%
  quadrille read photo.jpg --time-per-box 1ms --trace a --volts-per-box 2V --trace b --volts-per-box 5V
  quadrille read photo.jpg --volts-per-box 1.5V --time-per-box 5s --readings hand.csv --u-volts 0.05V`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) != 1 {
				return &usageError{fmt.Sprintf("read takes one photo, not %d", len(args)), "quadrille read PHOTO --volts-per-box 1.5V --time-per-box 5s"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			groups.into(&s)
			return read(c, args[0], s, o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&s.TimePerBox, "time-per-box", "", "time a box: 5s, 250us; or find, with --known-frequency")
	f.StringVar(&s.TimeAccuracy, "time-accuracy", "", "limits of the time base (default 100ppm)")
	f.Var(traceFlag{groups}, "trace", "a trace to use, by name (a) or by colour (#rrggbb); with several, each with the flags behind it")
	of := groups.flags(f)
	of("volts-per-box", "", "volts a box, as printed on the display: 1.5V, 500mV; or find, with --known-drive or --known-level", func(t *wire.TraceFields) *string { return &t.VoltsPerBox })
	of("ground", "auto", "where 0 V is: bottom, centre, BOXES up from the centre, or auto (the mark at the rim)", func(t *wire.TraceFields) *string { return &t.Ground })
	of("probe", "", "attenuation of the probe that the instrument was not told of: 10", func(t *wire.TraceFields) *string { return &t.Probe })
	of("volts-accuracy", "", "limits of the volts scale (default 3%)", func(t *wire.TraceFields) *string { return &t.VoltsAccuracy })
	of("from", "", "use the trace from here on: BOXES from the centre, or a time from the left rim (1.2s)", func(t *wire.TraceFields) *string { return &t.From })
	of("to", "", "use the trace up to here", func(t *wire.TraceFields) *string { return &t.To })
	signalFlags(of)
	f.StringVar(&s.Turn, "turn", "", "turn the photo clockwise by 90, 180 or 270 degrees before anything is measured; 0: leave it as it stands, whatever the words on it say")
	f.StringVar(&s.Corners, "corners", "", `the frame's corners by hand, "x,y x,y x,y x,y" in pixels, top-left first, clockwise`)
	f.StringVar(&s.CornerDoubt, "corner-uncertainty", "", "standard uncertainty of a corner by hand in pixels, for photos without visible lines (default 0.4% of the frame's diagonal)")
	f.Var(yes{&s.Paper}, "paper", "the photo is of a drawing on squared paper: read its curve, a square a box")
	f.Lookup("paper").NoOptDefVal = "yes"
	f.StringVar(&s.Boxes, "boxes", "", "the count of boxes across and down: 10x8")
	f.StringVar(&s.MonteCarlo, "monte-carlo", "", trialsUsage)
	f.StringVar(&o.table, "readings", "", "a table of readings taken off the screen by hand, as fit takes it, to lay beside the trace")
	f.StringVar(&s.ReadingsBegin, "readings-begin", "", "where the table's time 0 is: a time from the left rim (5s), BOXES from the centre, or fit (default the left rim)")
	tableFlags(c, &s)
	outputFlags(c, &s, &o)
	f.StringVar(&o.stages, "show-stages", "", "folder for pictures of what each stage saw")
	return c
}

// yes is a flag without a value of a setting that is yes or not given.
type yes struct{ to *string }

func (y yes) String() string {
	if y.to == nil {
		return ""
	}
	return *y.to
}
func (y yes) Set(text string) error { *y.to = text; return nil }
func (y yes) Type() string          { return "bool" }

const trialsUsage = "check every budget by so many trials that draw all inputs anew: 10000"

// signalFlags are those of the signal and its circuit, be it on a photo or in a table.
func signalFlags(of func(name, usual, usage string, field func(*wire.TraceFields) *string)) {
	of("signal", "auto", "what the signal is: "+strings.Join(analysis.Kinds(), ", ")+" or auto", func(t *wire.TraceFields) *string { return &t.Signal })
	of("settles-at", "", "what a decay settles at: free (found by the fit), ground, or a level (0.5V±0.1V)", func(t *wire.TraceFields) *string { return &t.SettlesAt })
	of("at", "", "levels whose times are wanted: 9V,7V,5V, or a share of the start, 50%", func(t *wire.TraceFields) *string { return &t.At })
	of("resistance", "", "R of the circuit with its accuracy: 21.9k±0.3%, or 21.9k±0.5%+2 digits as meters state it", func(t *wire.TraceFields) *string { return &t.Resistance })
	of("capacitance", "", "C of the circuit with its accuracy: 470u±20%, or 471.2u±2%+5", func(t *wire.TraceFields) *string { return &t.Capacitance })
	of("input-resistance", "", "of the instrument, in parallel with the circuit: 1M", func(t *wire.TraceFields) *string { return &t.InputResistance })
	of("source-resistance", "", "of the generator, in series with the circuit: 50ohm", func(t *wire.TraceFields) *string { return &t.SourceResistance })
	of("known-frequency", "", "the signal's frequency from elsewhere, to compare with, or to find the time per box: 50Hz±1%", func(t *wire.TraceFields) *string { return &t.KnownFrequency })
	of("known-tau", "", "the time constant from elsewhere, to compare with: 10.3s±0.2s, or 10.34(6)s as this program prints it", func(t *wire.TraceFields) *string { return &t.KnownTau })
	of("known-half-life", "", "the half-life from elsewhere, likewise: 7.1s±0.3s", func(t *wire.TraceFields) *string { return &t.KnownHalfLife })
	of("known-level", "", "its highest level above ground, to compare with, or to find the volts per box: 9V", func(t *wire.TraceFields) *string { return &t.KnownLevel })
	of("known-drive", "", "the voltage between its lowest and highest level, of a sine from peak to peak, likewise: 6V±1%", func(t *wire.TraceFields) *string { return &t.KnownDrive })
}

// outputFlags say where the output goes.
func outputFlags(c *cobra.Command, s *wire.Settings, o *readOptions) {
	f := c.Flags()
	f.StringVar(&o.out, "out", "", "folder for points.csv, result.json, page.html, page.pdf and the figures")
	f.StringVar(&s.Title, "title", "", "heading of the page (default the file's name)")
	printFlags(f, &o.print)
	f.BoolVar(&o.figures, "figures-only", false, "write into --out nothing but the figures, as SVG, as PNG of 300 dots an inch and in figures.pdf, for a handout")
	f.BoolVar(&o.full, "full", false, "print all: every result, comparison, doubt and note, and on a terminal a plot")
	f.StringVar(&o.json, "json", "", "file for the JSON document, or - for the terminal")
	f.BoolVar(&o.replace, "replace", false, "write over what --out and --json find there, be it the result of another file; never over a file that is read")
}

// read runs the command: reads the photo, works, and writes all outputs or none.
func read(c *cobra.Command, name string, given wire.Settings, o readOptions) error {
	inputs := printedTo(c.OutOrStdout(), c.ErrOrStderr())
	if o.table != "" {
		if o.table == standardInput && name == standardInput {
			return &usageError{"the photo and the table cannot both come from standard input", "give one of them as a file"}
		}
		table, err := load(c.InOrStdin(), o.table, calibrate.MaxTableBytes, "the table", "give the path of a table of text")
		if err != nil {
			return err
		}
		if len(table.data) == 0 {
			return &fileError{o.table + ": the table is empty", "give a table of text with a line of names and units on top, such as t_s,v_V"}
		}
		given.Readings, given.ReadingsFile = string(table.data), table.name
		inputs = append(inputs, table.is...)
	}
	if _, err := given.Parse(); err != nil { // before a photo is loaded
		return err
	}
	if err := alone(given, o.table != ""); err != nil {
		return err
	}
	if err := needOut(c, o.out); err != nil {
		return err
	}
	photo, err := load(c.InOrStdin(), name, photo.DefaultBytes, "the photo", "give the path of a photo (JPEG, PNG or WebP)")
	if err != nil {
		return err
	}
	given.File = photo.name
	inputs = append(inputs, photo.is...)
	if _, err := checkFolder(o.out, photo.sum(), o.replace); err != nil { // before it is read
		return err
	}
	var pictures stagePictures
	if o.stages != "" {
		given.Stage = pictures.add
	}
	set := save.Set{Inputs: inputs}
	done := showProgress(c, &given)
	a := new(wire.Reader).Answer(c.Context(), photo.data, given)
	done()
	if o.stages != "" {
		set.AddFolder(o.stages, pictures.files)
		if a.Document.Error != nil { // when they are most wanted
			if err := set.Write(c.Context()); err != nil {
				return err
			}
		}
	}
	return deliver(c, a, photo.sum(), &set, o)
}

// alone refuses a flag that says something only beside another one, which is not there.
func alone(s wire.Settings, table bool) error {
	for _, f := range []struct {
		name, text, needs, hint string
		there                   bool
	}{
		{"column", s.Column, "readings", "the table of readings with --readings FILE", table},
		{"u-volts", s.UVolts, "readings", "the table of readings with --readings FILE", table},
		{"u-time", s.UTime, "readings", "the table of readings with --readings FILE", table},
		{"zero-accuracy", s.ZeroAccuracy, "readings", "the table of readings with --readings FILE", table},
		{"corner-uncertainty", s.CornerDoubt, "corners", `the corners with --corners "x,y x,y x,y x,y"`, s.Corners != ""},
	} {
		if f.text != "" && !f.there {
			return &usageError{fmt.Sprintf("--%s needs --%s", f.name, f.needs), "give " + f.hint + ", or leave --" + f.name + " out"}
		}
	}
	return nil
}

// needOut refuses a flag that says how files are made where none are.
func needOut(c *cobra.Command, out string) error {
	for _, name := range []string{"figures-only", "scale", "sheets", "budgets"} {
		if out == "" && c.Flags().Changed(name) {
			return &usageError{fmt.Sprintf("--%s needs --out", name), "give the folder to be written with --out FOLDER, or leave --" + name + " out"}
		}
	}
	return nil
}

// asked is the error of a document, with the question before its hint whether --paper is right where a display was
// found.
func asked(d *wire.Document) *wire.Error {
	said := *d.Error
	for _, k := range d.DoubtKinds {
		if k.Kind == string(reading.KindMayBeDisplay) {
			said.Hint = wire.Text(strings.ToLower(k.Text[:1])+strings.TrimSuffix(k.Text[1:], ".")) + "; else " + said.Hint
		}
	}
	return &said
}

// deliver writes what a reading gave, all of it or none, and prints it. sum is the input's SHA-256.
func deliver(c *cobra.Command, a *wire.Answer, sum string, set *save.Set, o readOptions) error {
	doc, out := a.Document, c.OutOrStdout()
	if doc.Error != nil {
		return &readError{asked(doc)}
	}
	text, err := wire.Encode(doc)
	if err != nil {
		return err
	}
	if o.out != "" {
		var files map[string][]byte
		if o.figures {
			files, err = handout.Files(doc, o.print)
		} else {
			files, err = report.Files(doc, a.Reading, o.print)
		}
		if err != nil {
			return err
		}
		if err := addResult(set, o.out, files, doc, sum, o.replace); err != nil {
			return err
		}
	}
	toTerminal := o.json == "-"
	if o.json != "" && !toTerminal {
		if err := addDocument(set, o.json, text, o.replace); err != nil {
			return err
		}
	}
	if err := set.Write(c.Context()); err != nil {
		return err
	}
	if toTerminal {
		_, err = out.Write(text)
	} else {
		err = summary(out, doc, o)
	}
	if err != nil {
		return err
	}
	doubts := report.Doubts(doc)
	if len(doubts) == 0 {
		return nil
	}
	switch {
	case toTerminal: // no summary shows them
		for _, d := range doubts {
			fmt.Fprintf(c.ErrOrStderr(), "quadrille: doubt: %s\n", report.Clean(d))
		}
	case !isTerminal(out): // the summary has them, and went elsewhere
		fmt.Fprintln(c.ErrOrStderr(), "quadrille: read with a doubt: see \"Look at this before you use the numbers\" in the output")
	}
	return errDoubted
}

// terminalWidth is the width in columns of the summary; 80 is what the narrowest terminals have
// (common practice, no source).
const terminalWidth = 80

// plotHeight is the height in lines of the plot on a terminal: with the summary it fills a window of
// ordinary height and no more.
const plotHeight = 16

// written says what the folder of --out holds now; "" without one.
func written(o readOptions) string {
	switch {
	case o.out == "":
		return ""
	case o.figures:
		return "The figures are in " + filepath.Join(o.out, "figures.pdf") + ", and each as SVG and PNG beside it."
	}
	return "The page is " + filepath.Join(o.out, "page.html") + "; page.pdf, result.json, the points as CSV and the figures are beside it."
}

// summary writes the short one, or all of it with the plot on a terminal, and what was written where.
func summary(out io.Writer, doc *wire.Document, o readOptions) error {
	said := report.Clean(written(o))
	if !o.full {
		_, err := io.WriteString(out, report.Brief(doc, terminalWidth, said))
		return err
	}
	text := report.Text(doc, terminalWidth)
	if said != "" {
		text += "\n" + said + "\n"
	}
	if isTerminal(out) {
		text = report.Plot(doc, terminalWidth, plotHeight) + "\n" + text
	}
	_, err := io.WriteString(out, text)
	return err
}

// stagePictures numbers the pictures that the stages show.
type stagePictures struct{ files map[string][]byte }

func (p *stagePictures) add(name string, img image.Image) {
	if p.files == nil {
		p.files = map[string][]byte{}
	}
	var b bytes.Buffer
	if png.Encode(&b, img) != nil { // only for an empty picture, which shows nothing
		return
	}
	p.files[fmt.Sprintf("%02d-%s.png", len(p.files)+1, strings.ReplaceAll(name, " ", "-"))] = b.Bytes()
}
