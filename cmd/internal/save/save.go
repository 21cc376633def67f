// Package save writes the files of a run, all of them or none.
//
// First every place is looked at: nothing may land on a file that the run reads from, on a folder, or on what is
// protected against writing. Then the new files are written beside their places under passing names and brought to the
// disk (fsync). Only when all are there is each old file kept under a passing name and the new one renamed into its
// place, which is atomic for each file (POSIX, rename); if anything fails on the way, the old ones are put back. A
// signal between two files must not part them: see Close. What ends a process at once (SIGKILL, a power failure) may
// part them in the milliseconds of the renames, and then leaves files .quadrille-* behind, the old ones among them.
package save

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// An Error says what could not be written, and what to do.
type Error struct{ Reason, Hint string }

func (e *Error) Error() string { return e.Reason }

const (
	hintElse  = "give another file or folder for the output"
	hintWrite = "give a folder that can be written to"
)

// An Input is a file that nothing may be written over, under whatever name or link.
type Input struct {
	Info os.FileInfo
	Is   string // "the photo that is read"
}

// A Set is a number of files to be written together. The zero value is an empty one.
type Set struct {
	Inputs []Input
	files  []file
}

type file struct {
	path    string
	content []byte
	remove  bool
}

// Add puts a file into the set. A device or a pipe is written into; a link is followed.
func (s *Set) Add(path string, content []byte) {
	s.files = append(s.files, file{path: path, content: content})
}

// AddFolder puts files (name to content) into the set, to be written into dir. Folders that are missing are made.
func (s *Set) AddFolder(dir string, files map[string][]byte) {
	for _, name := range sortedNames(files) {
		s.Add(filepath.Join(dir, name), files[name])
	}
}

// Remove takes a file away with the others' writing; one that is not there is no matter.
func (s *Set) Remove(path string) { s.files = append(s.files, file{path: path, remove: true}) }

// Has says what input of the set a file is, "" if none.
func (s *Set) Has(info os.FileInfo) string {
	for _, in := range s.Inputs {
		if os.SameFile(info, in.Info) {
			return in.Is
		}
	}
	return ""
}

// room lets one set be written at a time, and lets Close wait for it.
var room struct {
	sync.Mutex
	closed bool
	sets   int // written
}

var errClosed = errors.New("nothing is written any more")

// Close waits until a set that is being written is there or undone, and lets none begin after it. It is called once a
// signal has cancelled the contexts of Write, before the process ends, and tells how many sets were written.
func Close() (sets int) {
	room.Lock()
	defer room.Unlock()
	room.closed = true
	return room.sets
}

// Write writes the set. Until the new files are put into their places, cancelling ctx undoes it all; from there on it
// takes milliseconds and is carried through, but for devices and pipes that do not take what is written to them. The
// error is an *Error, or that of ctx.
func (s *Set) Write(ctx context.Context) (err error) {
	room.Lock()
	defer room.Unlock()
	if room.closed {
		return errClosed
	}
	var w work
	defer func() {
		if err == nil {
			room.sets++
			w.finish()
		} else if kept := w.undo(); kept != "" {
			err = &Error{fmt.Sprintf("%v; and what was there before could not be put back: %s", err, kept), "rename that file by hand"}
		}
	}()
	for _, f := range s.files {
		if err := w.plan(f, s); err != nil {
			return err
		}
	}
	for _, p := range w.places {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := w.write(p); err != nil {
			return failed(p.path, err)
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, p := range w.places {
		if err := p.put(); err != nil {
			return failed(p.path, err)
		}
	}
	for _, p := range w.places {
		if !p.stream {
			continue
		}
		if err := pour(ctx, p); err != nil {
			return err
		}
	}
	return nil
}

// failed words an error of the system that is about path.
func failed(path string, err error) error {
	var said *Error
	if errors.As(err, &said) {
		return err
	}
	cause := err
	var of *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &of):
		cause = of.Err
	case errors.As(err, &link):
		cause = link.Err
	}
	return &Error{fmt.Sprintf("writing %s: %v", path, cause), hintWrite}
}
