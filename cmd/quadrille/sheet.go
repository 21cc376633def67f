package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"quadrille/cmd/internal/experiment"
	"quadrille/cmd/internal/notebook"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
)

// sheetOptions are the flags of sheet.
type sheetOptions struct {
	begin     string // a template to print
	out, json string
	print     report.Print
	fresh     bool
	replace   bool
}

func newSheet() *cobra.Command {
	var o sheetOptions
	c := &cobra.Command{
		Use:   "sheet NOTEBOOK",
		Short: "Make the pages of a whole experiment",
		Long: `Sheet reads a notebook: a file that names the photos of an experiment with their
settings, what the meters, the generator and the display said, what was read by
hand, and what is to be compared. It is YAML beside its photos, or a ZIP that
holds both, as the page of quadrille desk saves it. To begin with one:

  quadrille sheet --new slow-discharge > mist.yaml

prints a notebook with a comment to each line; there is one for each part of the
usual exercise: ` + strings.Join(notebook.Templates(), ", ") + `.

It makes sheet.html and sheet.pdf, the pages to hand in: all answers first, then
what was compared, a page for each photo, and the budgets; sheet.json, the same
for programs; and a folder for each photo with its own page, its points as a
table and its figures. A value that the display printed, or that was read by
hand, is compared with its photo even where no comparison names it. Without
--out all go into a folder beside the notebook, called as it is with -sheet
behind. All are written or none.

The keys of a photo:

` + photoKeys() + `
What is wrong with the notebook is told with its line and column, all of it at
once. A photo that cannot be read does not stop the others: the sheet says what
is wrong and what to do.

What a photo gave is kept, so that a second run reads only the photos that
changed, or whose settings did; --fresh reads all of them again. It lies in
quadrille/readings of your account's cache folder (~/.cache, on macOS
~/Library/Caches, on Windows %LocalAppData%), takes 100 MB at most, and may be
deleted at any time.

Exit status: 0 all was read and agrees; 3 a doubt, a photo that could not be
read, or a comparison that fails: you must look at it; 1 no photo could be read,
or a file not written; 2 the notebook or the command line is wrong.

` + cautions,
		Example: `  quadrille sheet --new driven-discharge > fast.yaml
  quadrille sheet fast.yaml
  quadrille sheet notebook.zip --out monday`,
		Args: func(c *cobra.Command, args []string) error {
			switch {
			case o.begin != "" && len(args) > 0:
				return &usageError{"--new prints a notebook, and takes none", "quadrille sheet --new " + o.begin + " > FILE.yaml"}
			case o.begin == "" && len(args) != 1:
				return &usageError{fmt.Sprintf("sheet takes one notebook, not %d", len(args)),
					"quadrille sheet NOTEBOOK; to begin one: quadrille sheet --new slow-discharge > NOTEBOOK"}
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			if o.begin != "" {
				return printTemplate(c.OutOrStdout(), o.begin)
			}
			return sheet(c, args[0], o)
		},
	}
	f := c.Flags()
	f.SortFlags = false
	f.StringVar(&o.begin, "new", "", "print a notebook to begin with: "+strings.Join(notebook.Templates(), ", "))
	f.StringVar(&o.out, "out", "", "folder for the pages (default NOTEBOOK-sheet beside the notebook)")
	f.StringVar(&o.json, "json", "", "file for all documents and comparisons as JSON, or - for the terminal; pages are then made only "+
		"with --out")
	printFlags(f, &o.print)
	f.BoolVar(&o.fresh, "fresh", false, "read all photos again, and use nothing that was kept")
	f.BoolVar(&o.replace, "replace", false, "write over what is in the way of the output, be it another notebook's; never over a file "+
		"that is read")
	c.ValidArgsFunction = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return []string{"yaml", "yml", "zip"}, cobra.ShellCompDirectiveFilterFileExt
	}
	cobra.CheckErr(c.RegisterFlagCompletionFunc("new", cobra.FixedCompletions(notebook.Templates(), cobra.ShellCompDirectiveNoFileComp)))
	return c
}

// photoKeys lists the keys of a photo, each group under what it says, in lines of a terminal.
func photoKeys() string {
	const width = 80
	var b strings.Builder
	for _, g := range notebook.PhotoKeys() {
		line := "  " + g.Says + ":"
		for i, key := range g.Keys {
			if i < len(g.Keys)-1 {
				key += ","
			}
			if len(line)+1+len(key) > width {
				b.WriteString(line + "\n")
				line = "   "
			}
			line += " " + key
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

func printTemplate(out io.Writer, name string) error {
	text := notebook.Template(name)
	if text == nil {
		hint := "the notebooks to begin with are " + strings.Join(notebook.Templates(), ", ")
		if near := notebook.NearestTemplate(name); near != "" {
			hint = "did you mean --new " + near + "?"
		}
		return &usageError{fmt.Sprintf("--new: there is no notebook %q", name), hint}
	}
	_, err := out.Write(text)
	return err
}

// sheet runs the command: reads the notebook and its photos, and writes all outputs or none.
func sheet(c *cobra.Command, name string, o sheetOptions) error {
	if name == standardInput {
		return &usageError{"a notebook is not read from standard input: its photos lie beside it", "give the path of its file"}
	}
	if info, err := os.Stat(name); err != nil || info.IsDir() {
		if err == nil {
			err = &fs.PathError{Err: errors.New("this is a folder")}
		}
		return openError(name, "give the path of a notebook; to begin one: quadrille sheet --new slow-discharge > NOTEBOOK", err)
	}
	dir := filepath.Dir(name)
	book, err := notebook.Read(os.DirFS(dir), filepath.Base(name))
	if err != nil {
		if faults := (notebook.Faults)(nil); errors.As(err, &faults) {
			return &notebookError{dir, faults}
		}
		return openError(name, "give the path of a notebook", err)
	}
	set := save.Set{Inputs: append(printedTo(c.OutOrStdout(), c.ErrOrStderr()), inputsOf(name, book)...)}
	if o.out == "" && o.json == "" {
		o.out = strings.TrimSuffix(name, filepath.Ext(name)) + "-sheet"
	}
	old, err := checkSheet(o, filepath.Base(name), book)
	if err != nil {
		return err // before anything is read
	}
	raiseMemoryLimit()
	done := showCount(c, "photos", len(book.Photos))
	e, err := experiment.Read(c.Context(), book, experiment.Options{Kept: shelf(o.fresh), Done: done.count})
	done.end()
	if err != nil {
		return err
	}
	e.Notebook = filepath.Base(name)
	var text []byte
	if o.json != "" {
		if text, err = report.ExperimentJSON(e); err != nil {
			return err
		}
	}
	if o.out != "" {
		files, err := report.ExperimentFiles(e, o.print)
		if err != nil {
			return err
		}
		if err := addSheet(&set, o, old, files); err != nil {
			return err
		}
	}
	if o.json != "" && o.json != "-" {
		if sheetAt(o.json) == nil && taken(o.json, &set) && !o.replace {
			return &fileError{o.json + " is there already, and is no sheet", hintReplace}
		}
		set.Add(o.json, text)
	}
	if err := set.Write(c.Context()); err != nil {
		return err
	}
	if o.json != "-" {
		text = []byte(report.ExperimentText(e, terminalWidth))
		if o.out != "" {
			text = fmt.Appendf(text, "\nThe pages are %s and sheet.pdf beside it.\n", report.Clean(filepath.Join(o.out, "sheet.html")))
		}
	}
	if _, err := c.OutOrStdout().Write(text); err != nil {
		return err
	}
	return doubtOf(c, e, o.json == "-")
}

// doubtOf is how the command ends once all is written.
func doubtOf(c *cobra.Command, e *report.Experiment, toTerminal bool) error {
	if n := e.Unread(); n == len(e.Photos) {
		p := e.Photos[0]
		said := *p.Document.Error
		said.Kind = "file" // not the command line
		said.Reason = fmt.Sprintf("no photo could be read; the first, %s: %s", p.File, said.Reason)
		return &readError{&said}
	}
	if !e.Doubted() {
		return nil
	}
	if toTerminal || !isTerminal(c.OutOrStdout()) {
		fmt.Fprintln(c.ErrOrStderr(), "quadrille: read with a doubt: see \"Look at this before you use the numbers\" on the pages")
	}
	return errDoubted
}

// inputsOf are the files that are read, on which nothing may be written.
func inputsOf(name string, book *notebook.Notebook) (list []save.Input) {
	add := func(path, is string) {
		if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
			list = append(list, save.Input{Info: info, Is: is})
		}
	}
	add(name, "the notebook that is read")
	for _, p := range book.Photos {
		for _, file := range []string{p.File, p.Sketch, p.Settings.ReadingsFile} {
			if file != "" { // those in a ZIP are not on the disk
				add(filepath.Join(filepath.Dir(name), filepath.FromSlash(file)), "a file of the notebook that is read")
			}
		}
	}
	return list
}

// checkSheet gives the sheet that is in the output's folder already, nil if there is none, and refuses that of another
// notebook: one of another name, or with another title and no photo in common.
func checkSheet(o sheetOptions, name string, book *notebook.Notebook) (*report.Experiment, error) {
	if o.out == "" {
		return nil, nil
	}
	old := sheetAt(filepath.Join(o.out, "sheet.json"))
	if old == nil || o.replace {
		return old, nil
	}
	common := slices.ContainsFunc(old.Photos, func(p report.Part) bool {
		return slices.ContainsFunc(book.Photos, func(q notebook.Photo) bool { return q.Name == p.Name && q.File == p.File })
	})
	if old.Notebook != name || string(old.Title) != book.Title && !common {
		return nil, &fileError{fmt.Sprintf("the folder %s holds the sheet of another notebook, %s", o.out, old.Notebook),
			"give another folder, or add --replace if it may be written over"}
	}
	return old, nil
}

// addSheet puts the pages into the set, and away with those of an earlier sheet that they do not write over.
func addSheet(set *save.Set, o sheetOptions, old *report.Experiment, files map[string][]byte) error {
	mine := map[string]bool{"sheet.html": true, "sheet.pdf": true, "sheet.json": true}
	if old != nil {
		for _, p := range old.Photos {
			if p.Document == nil || !filepath.IsLocal(p.Folder) || filepath.Base(p.Folder) != p.Folder {
				continue
			}
			for _, name := range report.MayHold(p.Document) {
				mine[p.Folder+"/"+name] = true
			}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		path := filepath.Join(o.out, filepath.FromSlash(name))
		if (old == nil || !mine[name]) && !o.replace && taken(path, set) {
			return &fileError{path + " is there already, and no sheet that it belongs to",
				"give another folder with --out, or add --replace if it may be written over"}
		}
		if !bytes.Equal(small(path), files[name]) { // what stays as it is need not be brought to the disk again
			set.Add(path, files[name])
		}
	}
	if old != nil {
		for name := range mine {
			if _, again := files[name]; !again {
				set.Remove(filepath.Join(o.out, filepath.FromSlash(name)))
			}
		}
	}
	return nil
}

// taken says that a file is in the way, other than an input, of which the set tells.
func taken(path string, set *save.Set) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular() && info.Size() > 0 && set.Has(info) == ""
}

// sheetAt reads a sheet that was written before; nil if there is none.
func sheetAt(path string) *report.Experiment {
	var old report.Experiment
	if json.Unmarshal(small(path), &old) != nil || old.Schema == 0 || len(old.Photos) == 0 {
		return nil
	}
	return &old
}

// shelf is where readings are kept for the next run; nil where the account has no place for such files.
func shelf(fresh bool) *experiment.Shelf {
	dir, err := os.UserCacheDir()
	if err != nil {
		return nil
	}
	// A program that is built anew from changed files has the same version; its own file tells it.
	program := version()
	if path, err := os.Executable(); err == nil {
		if info, err := os.Stat(path); err == nil {
			program += fmt.Sprintf(", %d bytes of %d", info.Size(), info.ModTime().UnixNano())
		}
	}
	return experiment.NewShelf(filepath.Join(dir, keptFolder), program, fresh)
}

// keptFolder is the place of kept readings in the account's folder for such files.
var keptFolder = filepath.Join("quadrille", "readings")

// A notebookError is all that is wrong with a notebook; dir is its folder.
type notebookError struct {
	dir    string
	faults notebook.Faults
}

func (e *notebookError) Error() string { return e.faults.Error() }

// explain prints each fault with its place and what to do.
func (e *notebookError) explain(errs io.Writer) {
	for _, f := range e.faults {
		fmt.Fprintf(errs, "quadrille: error: %s\n", report.Clean(filepath.Join(e.dir, f.Where())+": "+f.Reason))
		if f.Hint != "" {
			fmt.Fprintf(errs, "quadrille: hint: %s\n", report.Clean(f.Hint))
		}
	}
}
