package main

import (
	"errors"
	"fmt"
	"io"

	"quadrille/cmd/internal/check"
	"quadrille/cmd/internal/compare"
	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
)

// A usageError is a mistake on the command line.
type usageError struct{ reason, hint string }

func (e *usageError) Error() string { return e.reason }

// A fileError is a file that could not be read or written.
type fileError struct{ reason, hint string }

func (e *fileError) Error() string { return e.reason }

// A serverError is a page that could not be served.
type serverError struct{ reason, hint string }

func (e *serverError) Error() string { return e.reason }

// A readError is what the document says of a reading that failed.
type readError struct{ said *wire.Error }

func (e *readError) Error() string { return e.said.Reason }

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
	if book := (*notebookError)(nil); errors.As(err, &book) {
		book.explain(errs)
		return exitUsage
	}
	hint, status := advice(err)
	fmt.Fprintf(errs, "quadrille: error: %s\n", report.Clean(err.Error()))
	if hint != "" {
		fmt.Fprintf(errs, "quadrille: hint: %s\n", report.Clean(hint))
	}
	return status
}

// advice gives the hint of an error and the exit status that it leads to.
func advice(err error) (hint string, status int) {
	var usage *usageError
	var file *fileError
	var apart *compare.NothingSharedError
	var unsaved *save.Error
	var server *serverError
	var unchecked *check.Error
	switch {
	case errors.As(err, &unsaved):
		return unsaved.Hint, exitFailed
	case errors.As(err, &usage):
		return usage.hint, exitUsage
	case errors.As(err, &unchecked):
		if unchecked.Kind == "setting" {
			return unchecked.Hint, exitUsage
		}
		if unchecked.Kind == "graticule" || unchecked.Kind == "trace" {
			return unchecked.Hint + "; or are the two swapped? The drawing comes first, the display behind --against", exitFailed
		}
		return unchecked.Hint, exitFailed
	case errors.As(err, &apart):
		return apart.Hint, exitFailed
	case errors.As(err, &file):
		return file.hint, exitFailed
	case errors.As(err, &server):
		return server.hint, exitFailed
	}
	var failed *readError
	said := wire.ErrorOf(err)
	if errors.As(err, &failed) {
		said = failed.said
	}
	if said.Kind == "setting" {
		return string(said.Hint), exitUsage
	}
	return string(said.Hint), exitFailed
}
