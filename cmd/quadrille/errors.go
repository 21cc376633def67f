package main

import (
	"errors"
	"fmt"
	"io"
	"strings"

	"quadrille/analysis"
	"quadrille/calibrate"
	"quadrille/cmd/internal/reading"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/trace"
)

// A usageError is a mistake on the command line.
type usageError struct{ reason, hint string }

func (e *usageError) Error() string { return e.reason }

// errDoubted ends a command that read its photo, but with doubts, which it has printed already.
var errDoubted = errors.New("read with a doubt")

// explain prints err as an error and a hint, each on a line of its own, and gives the exit status.
func explain(errs io.Writer, err error) int {
	if err == nil {
		return exitRead
	}
	if errors.Is(err, errDoubted) {
		return exitDoubted
	}
	hint, status := advice(err)
	fmt.Fprintf(errs, "quadrille: error: %s\n", oneLine(err.Error()))
	if hint != "" {
		fmt.Fprintf(errs, "quadrille: hint: %s\n", oneLine(hint))
	}
	return status
}

// advice gives the hint of an error and the exit status that it leads to.
func advice(err error) (hint string, status int) {
	var (
		usage    *usageError
		format   *photo.FormatError
		foreign  *photo.UnsupportedError
		noGrid   *graticule.NotFoundError
		byHand   *graticule.OptionsError
		noTrace  *trace.NotFoundError
		setup    *calibrate.SetupError
		setting  *reading.SettingError
		noSignal *analysis.NotFoundError
	)
	switch {
	case errors.As(err, &usage):
		return usage.hint, exitUsage
	case errors.As(err, &byHand):
		return byHand.Hint, exitUsage
	case errors.As(err, &setup):
		return setup.Hint, exitUsage
	case errors.As(err, &setting):
		return setting.Hint, exitUsage
	case errors.As(err, &format):
		return format.Hint, exitFailed
	case errors.As(err, &foreign):
		return foreign.Hint, exitFailed
	case errors.As(err, &noGrid):
		return noGrid.Hint, exitFailed
	case errors.As(err, &noTrace):
		return noTrace.Hint, exitFailed
	case errors.As(err, &noSignal):
		return noSignal.Hint, exitFailed
	case strings.HasPrefix(err.Error(), "unknown command"):
		return "see quadrille --help", exitUsage
	}
	return "", exitFailed
}

// oneLine keeps a message on its line, whatever a file name in it contains.
func oneLine(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r == 0x7f {
			return ' '
		}
		return r
	}, s)
}
