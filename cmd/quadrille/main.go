// Quadrille reads a photograph of an oscilloscope's display and gives the numbers on it, each with
// its uncertainty.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"quadrille/cmd/internal/save"
)

func main() {
	limitMemory()
	ctx, signalled := untilSignal()
	done := make(chan int, 1)
	go func() { done <- run(ctx, os.Args[1:], os.Stdout, os.Stderr) }()
	tell := io.Discard
	if isTerminal(os.Stderr) {
		tell = os.Stderr
	}
	beat := time.NewTicker(heartbeat)
	if status, ended := await(ctx, done, beat.C, tell); ended {
		os.Exit(status)
	}
	os.Exit(stopped(<-signalled, save.Close(), os.Stderr))
}

// heartbeat is how often a person at a terminal is told that the program is still at work, with many trials or on a
// large simulated photo. Nothing changes from 5 to 30 s (TestLongWorkIsTold).
const heartbeat = 10 * time.Second

// await waits for the status of a run, or for the end of ctx.
func await(ctx context.Context, done <-chan int, beat <-chan time.Time, tell io.Writer) (status int, ended bool) {
	for spent := heartbeat; ; spent += heartbeat {
		select {
		case status := <-done:
			return status, true
		case <-ctx.Done():
			if serving.Load() {
				return <-done, true
			}
			return 0, false
		case <-beat:
			if serving.Load() || counting.Load() {
				continue
			}
			fmt.Fprintf(tell, "quadrille: at work for %v now; Ctrl-C stops it\n", spent)
		}
	}
}

// serving is true once the page is served: then a signal is its ordinary end, which takes 2 s at the most.
var serving atomic.Bool

// counting is true while the terminal shows how far the work is.
var counting atomic.Bool

// Exit statuses.
const (
	exitRead    = 0
	exitFailed  = 1 // the photo could not be read, or a file not written
	exitUsage   = 2 // the command line or a setting is wrong
	exitDoubted = 3 // read, with a doubt that a person must look at
)

// untilSignal gives a context that ends when the process is asked to end, and what asked. A signal that is ignored when
// the process begins, as nohup and background jobs have it, stays so.
func untilSignal() (context.Context, <-chan os.Signal) {
	ctx, cancel := context.WithCancel(context.Background())
	came, signalled := make(chan os.Signal, 1), make(chan os.Signal, 1)
	for _, s := range []os.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP} {
		if !signal.Ignored(s) {
			signal.Notify(came, s)
		}
	}
	go func() {
		signalled <- <-came
		cancel()
	}()
	return ctx, signalled
}

// stopped says what a signal left, after so many sets of files were written, and gives the exit status: 128 and the
// signal's number, as shells do (common practice, no source).
func stopped(by os.Signal, sets int, errs io.Writer) int {
	left := "nothing was written"
	if sets > 0 {
		left = "the files that were written are whole"
	}
	fmt.Fprintf(errs, "quadrille: error: stopped by a signal (%s): %s\n", by, left)
	number, _ := by.(syscall.Signal)
	return 128 + int(number)
}

// run is the whole program; main only lends it the terminal. Once ctx has ended it prints nothing more.
func run(ctx context.Context, args []string, out, errs io.Writer) int {
	checked := &checkedWriter{Writer: out}
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(checked)
	root.SetErr(errs)
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd(args...)
	_, _, err := root.Find(args)
	// The one thing that Find has to say is that there is no such command; a shell asks for completions by hidden ones.
	if err == nil && len(args) > 1 && args[0] == "help" {
		_, _, err = root.Find(args[1:])
		args = args[1:]
	}
	if err != nil && !strings.HasPrefix(args[0], "__") {
		err = noCommand(root, args[0])
	} else {
		err = root.ExecuteContext(ctx)
		var usage *usageError
		if parts := inTwoParts(args); parts != "" && errors.As(err, &usage) && strings.Contains(usage.reason, " takes one ") {
			err = &usageError{err.Error(), parts}
		}
	}
	if ctx.Err() != nil && !serving.Load() {
		return exitFailed // main knows better
	}
	if checked.err != nil && (err == nil || errors.Is(err, errDoubted) || errors.Is(err, checked.err)) {
		err = &fileError{"the output could not be printed: " + checked.err.Error(), "give it a place that takes it; files that were asked for are written"}
	}
	return explain(errs, err)
}

// noCommand is the error of a command that there is not, with the one that was meant.
func noCommand(root *cobra.Command, name string) error {
	const all = "all commands: quadrille --help"
	root.SuggestionsMinimumDistance = 2 // letters, of names of four to seven
	if meant := root.SuggestionsFor(name); len(meant) > 0 {
		return &usageError{fmt.Sprintf("unknown command %q", name), "did you mean quadrille " + strings.Join(meant, ", or quadrille ") + "? Else " + all}
	}
	return &usageError{fmt.Sprintf("unknown command %q", name), "to read a photo: quadrille read PHOTO; " + all}
}

// A checkedWriter remembers the first error, which the printing of a help leaves aside.
type checkedWriter struct {
	io.Writer
	err error
}

func (c *checkedWriter) Write(b []byte) (int, error) {
	n, err := c.Writer.Write(b)
	if c.err == nil {
		c.err = err
	}
	return n, err
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
	root.Version = version()
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), ".FlagUsages ", fmt.Sprintf(".FlagUsagesWrapped %d ", helpWidth)))
	root.SetFlagErrorFunc(func(c *cobra.Command, err error) error {
		var invalid *pflag.InvalidValueError
		if errors.As(err, &invalid) && isEmpty(invalid.GetValue()) {
			return emptyFlag(c, invalid.GetFlag())
		}
		return &usageError{err.Error(), flagHint(c, err)}
	})
	root.PersistentPreRunE = func(c *cobra.Command, _ []string) (err error) {
		c.Flags().Visit(func(f *pflag.Flag) {
			switch f.Value.(type) {
			case traceFlag, fieldFlag, fileFlag: // have looked themselves
				return
			}
			if err == nil && isEmpty(f.Value.String()) {
				err = emptyFlag(c, f)
			}
		})
		return err
	}
	read, fit, compare, check, sheet := newRead(), newFit(), newCompare(), newCheck(), newSheet()
	for _, c := range []*cobra.Command{read, fit, compare, check, sheet} {
		c.SetUsageFunc(func(c *cobra.Command) error {
			_, err := io.WriteString(c.OutOrStderr(), groupedUsage(c))
			return err
		})
		complete(c)
	}
	root.AddCommand(read, fit, compare, check, sheet, newDesk(), newSynth(), newMan())
	return root
}

// isEmpty says whether a flag's value is nothing: as a variable of a script is that was not set.
func isEmpty(value string) bool { return strings.TrimSpace(value) == "" }

func emptyFlag(c *cobra.Command, f *pflag.Flag) error {
	return &usageError{fmt.Sprintf("--%s: nothing is given", f.Name), "give a value, or leave the flag out; see " + c.CommandPath() + " --help"}
}

// cautions stand wherever a circuit is described.
const cautions = `Safety: electrolytic capacitors are polarised; reversed or over-volted they can
burst. A charged capacitor stays charged: discharge it through a resistor. The
ground clip of a mains-powered oscilloscope is earth: never clip it to a live
point. Local rules and the laboratory's supervisor come first.`

// isTerminal says whether w is a person's screen.
func isTerminal(w io.Writer) bool {
	f, ok := fileOf(w)
	return ok && isatty.IsTerminal(f.Fd())
}

// fileOf gives the file that w writes to.
func fileOf(w io.Writer) (*os.File, bool) {
	if c, ok := w.(*checkedWriter); ok {
		w = c.Writer
	}
	f, ok := w.(*os.File)
	return f, ok
}
