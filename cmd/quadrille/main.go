// Quadrille reads a photograph of an oscilloscope's display and gives the numbers on it, each with
// its uncertainty.
package main

import (
	"io"
	"os"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"
)

func main() {
	limitMemory()
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}

// Exit statuses.
const (
	exitRead    = 0
	exitFailed  = 1 // the photo could not be read, or a file not written
	exitUsage   = 2 // the command line or a setting is wrong
	exitDoubted = 3 // read, with a doubt that a person must look at
)

// run is the whole program; main only lends it the terminal.
func run(args []string, out, errs io.Writer) int {
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(out)
	root.SetErr(errs)
	root.InitDefaultHelpCmd()
	if _, _, err := root.Find(args); err != nil { // the one thing that Find has to say is that there is no such command
		return explain(errs, &usageError{err.Error(), "to read a photo: quadrille read PHOTO; all commands: quadrille --help"})
	}
	return explain(errs, root.Execute())
}

func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "quadrille",
		Short: "Numbers from a photograph of an oscilloscope's display",
		Long: `Quadrille reads a photograph of an oscilloscope's display: it finds the
graticule and the trace, and gives levels, times and time constants, each with
its uncertainty.

` + cautions,
		SilenceUsage:  true,
		SilenceErrors: true,
	}
	root.CompletionOptions.DisableDefaultCmd = true
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		return &usageError{err.Error(), "see " + c.CommandPath() + " --help"}
	})
	root.AddCommand(newRead(), newFit(), newSynth())
	return root
}

// cautions stand wherever a circuit is described.
const cautions = `Safety: electrolytic capacitors are polarised; reversed or over-volted they can
burst. A charged capacitor stays charged: discharge it through a resistor. The
ground clip of a mains-powered oscilloscope is earth: never clip it to a live
point. Local rules and the laboratory's supervisor come first.`

// isTerminal says whether w is a person's screen.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}
