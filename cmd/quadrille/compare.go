package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"quadrille/calibrate"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
	"quadrille/vision/photo"
)

// compareOptions are the flags of compare that hold for all files.
type compareOptions struct {
	title, out, json string
	otherInstruments bool
	print            report.Print
	replace          bool // what is in the way of the output
}

func newCompare() *cobra.Command {
	var o compareOptions
	c := &cobra.Command{
		Use:   "compare FILE FILE …",
		Short: "Compare photos, tables and kept results",
		Long: `Compare lays two or more readings side by side, named A, B, … in their order:
photos, tables of readings, and the result.json of earlier readings (or the
folders that --out made). τ and the frequency, which must be the same in all, are
compared in pairs and together; τ also against the height of its decays, which is
the drive. Everything else that they have in common stands side by side.

Flags behind a file hold for that file; flags before the first file hold for all.
Only what was read already, a result.json, takes none.

Two readings of one instrument at one setting share its volts scale and its time
base; that part of their uncertainty is taken off the difference, and said. If
they come from different instruments, say --other-instruments.

Exit status: 0 all that must be the same is; 3 something does not agree, or a
reading has a doubt; 1 a file could not be read; 2 wrong usage.

` + cautions,
		Example: `  quadrille compare low.jpg --volts-per-box 0.5V high.jpg --volts-per-box 1V
  quadrille compare --time-per-box 20ms --volts-per-box 1V a.jpg b.jpg --ground -3 --out compared
  quadrille compare photo.jpg --volts-per-box 1.5V --time-per-box 5s hand.csv --u-volts 0.1V
  quadrille compare monday/result.json tuesday/result.json`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) < 2 {
				return &usageError{fmt.Sprintf("compare takes two files or more, not %d", len(args)), "quadrille compare low.jpg --volts-per-box 0.5V high.jpg --volts-per-box 1V"}
			}
			return nil
		},
	}
	f := c.Flags()
	f.SortFlags = false
	given := &fileFlags{files: f}
	given.define()
	c.RunE = func(c *cobra.Command, args []string) error {
		return runCompare(c, args, given, o)
	}
	f.StringVar(&o.title, "title", "", "heading of the page")
	f.BoolVar(&o.otherInstruments, "other-instruments", false, "the files come from different instruments, which share nothing")
	f.StringVar(&o.out, "out", "", "folder for page.html, page.pdf and compared.json")
	sheetsFlag(f, &o.print)
	f.StringVar(&o.json, "json", "", "file for the comparison as JSON, or - for the terminal")
	f.BoolVar(&o.replace, "replace", false, "write over what is in the way of the output")
	return c
}

// fileFlags are the settings behind each file, in the order of the command line.
type fileFlags struct {
	files *pflag.FlagSet // which knows how many files it has passed
	list  []fileSetting
}

// A fileSetting holds for the file of number at, from 1; of number 0 for all.
type fileSetting struct {
	at   int
	name string
	set  func(*wire.Settings)
}

// define makes the flags that compare shares with read and fit.
func (g *fileFlags) define() {
	of := func(name, usage string, field func(*wire.Settings) *string) {
		g.files.Var(fileFlag{g, name, field}, name, usage)
	}
	trace := func(name, _, usage string, field func(*wire.TraceFields) *string) {
		of(name, usage, func(s *wire.Settings) *string { return field(&s.TraceFields) })
	}
	trace("volts-per-box", "", "of a photo: volts a box, as printed on the display: 1.5V, 500mV", func(t *wire.TraceFields) *string { return &t.VoltsPerBox })
	of("time-per-box", "of a photo: time a box: 5s, 250us", func(s *wire.Settings) *string { return &s.TimePerBox })
	trace("ground", "", "of a photo: where 0 V is: bottom, centre, BOXES up from the centre, or auto (the mark at the rim)", func(t *wire.TraceFields) *string { return &t.Ground })
	trace("trace", "", "of a photo: the trace to use, by name (a) or by colour (#rrggbb)", func(t *wire.TraceFields) *string { return &t.Trace })
	of("corners", `of a photo: the frame's corners by hand, "x,y x,y x,y x,y"`, func(s *wire.Settings) *string { return &s.Corners })
	of("boxes", "of a photo: the count of boxes across and down: 10x8", func(s *wire.Settings) *string { return &s.Boxes })
	of("turn", "of a photo: turn it clockwise by 90, 180 or 270 degrees first", func(s *wire.Settings) *string { return &s.Turn })
	of("column", "of a table: its column of voltages, by its name in the head", func(s *wire.Settings) *string { return &s.Column })
	of("u-volts", "of a table: one standard deviation of every voltage: 0.1V", func(s *wire.Settings) *string { return &s.UVolts })
	of("u-time", "of a table: one standard deviation of every time: 0.3s", func(s *wire.Settings) *string { return &s.UTime })
	of("zero-accuracy", "of a table: limits within which its 0 V may lie off ground: 0.15V", func(s *wire.Settings) *string { return &s.ZeroAccuracy })
	trace("probe", "", "attenuation of the probe that the instrument was not told of: 10", func(t *wire.TraceFields) *string { return &t.Probe })
	trace("volts-accuracy", "", "limits of the volts scale (default 3%)", func(t *wire.TraceFields) *string { return &t.VoltsAccuracy })
	of("time-accuracy", "limits of the time base (default 100ppm)", func(s *wire.Settings) *string { return &s.TimeAccuracy })
	trace("from", "", "use it from this time on: 1.2s", func(t *wire.TraceFields) *string { return &t.From })
	trace("to", "", "use it up to this time", func(t *wire.TraceFields) *string { return &t.To })
	signalFlags(trace)
}

// of gives the settings of the file of index i, and whether any stand behind it.
func (g *fileFlags) of(i int) (s wire.Settings, own string) {
	for _, at := range []int{0, i + 1} {
		for _, f := range g.list {
			if f.at == at {
				f.set(&s)
				if at > 0 {
					own = f.name
				}
			}
		}
	}
	return s, own
}

// A fileFlag sets a field for the last file before it.
type fileFlag struct {
	*fileFlags
	name  string
	field func(*wire.Settings) *string
}

func (f fileFlag) Set(text string) error {
	if isEmpty(text) {
		return errEmpty
	}
	f.list = append(f.list, fileSetting{f.files.NArg(), f.name, func(s *wire.Settings) { *f.field(s) = text }})
	return nil
}
func (f fileFlag) String() string { return "" }
func (f fileFlag) Type() string   { return "string" }

// runCompare reads all files, compares them, and writes all outputs or none.
func runCompare(c *cobra.Command, names []string, given *fileFlags, o compareOptions) error {
	if err := needOut(c, o.out); err != nil {
		return err
	}
	set := save.Set{Inputs: printedTo(c.OutOrStdout(), c.ErrOrStderr())}
	var documents []*wire.Document
	reader := new(wire.Reader) // which keeps what it made of a photo that is given twice
	shown := showCount(c, "files", len(names))
	defer shown.end()
	for i, name := range names {
		s, own := given.of(i)
		if _, err := s.Parse(); err != nil { // before anything is loaded
			return ofFile(compare.NameOf(i), name, wire.ErrorOf(err))
		}
		d, is, err := documentOf(c, reader, name, s, own)
		if err != nil {
			return err
		}
		if d.Error != nil {
			return ofFile(compare.NameOf(i), name, d.Error)
		}
		documents, set.Inputs = append(documents, d), append(set.Inputs, is...)
		shown.count(len(documents))
	}
	shown.end()
	compared, err := compare.Of(documents, compare.Options{Title: o.title, OtherInstruments: o.otherInstruments})
	if err != nil {
		return err
	}
	text, err := report.ComparedJSON(compared)
	if err != nil {
		return err
	}
	made := result{is: "comparison", json: text, inJSON: "compared.json",
		files:   func() (map[string][]byte, error) { return report.ComparedFiles(compared, o.print) },
		summary: func(width int) string { return report.ComparedText(compared, width) },
		same: func(file []byte) bool {
			var old compare.Comparison
			return json.Unmarshal(file, &old) == nil && slices.EqualFunc(old.Sources, compared.Sources, func(a, b compare.Source) bool { return a.SHA256 == b.SHA256 })
		}}
	if compared.Doubted() {
		made.doubt = "compared with a doubt: see ≠ and \"Look at this before you use the numbers\" in the output"
	}
	return made.deliver(c, &set, o.out, o.json, o.replace)
}

// documentOf reads one file by what it holds: a document that was kept, a photo, or else a table. own names a setting
// that stands behind it, if any does.
func documentOf(c *cobra.Command, reader *wire.Reader, name string, s wire.Settings, own string) (*wire.Document, []save.Input, error) {
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		name = filepath.Join(name, "result.json")
	}
	from, err := load(c.InOrStdin(), name, max(photo.DefaultBytes, calibrate.MaxTableBytes), "a file", "give the path of a photo, a table of text or a result.json")
	if err != nil {
		return nil, nil, err
	}
	s.File = from.name
	switch {
	case bytes.HasPrefix(bytes.TrimSpace(from.data), []byte("{")):
		if own != "" {
			return nil, nil, &usageError{fmt.Sprintf("%s was read already, and --%s behind it changes nothing", name, own), "leave it out, or give the photo or the table instead"}
		}
		d, err := wire.Decode(from.data)
		if err != nil {
			return nil, nil, &fileError{fmt.Sprintf("%s: %v", name, err), "give the result.json that read or fit wrote with --out"}
		}
		return d, from.is, nil
	}
	return reader.AnswerFile(c.Context(), from.data, s).Document, from.is, nil
}

// ofFile says which file an error is about.
func ofFile(called, name string, e *wire.Error) error {
	said := *e
	said.Reason = fmt.Sprintf("%s (%s): %s", called, name, said.Reason)
	if strings.HasPrefix(e.Reason, name) {
		said.Reason = called + ", " + e.Reason
	}
	return &readError{&said}
}
