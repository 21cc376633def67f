package save

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// A place is where one file goes, and how far it is on its way.
type place struct {
	file
	real   string      // where it is, links followed
	old    os.FileInfo // what is there already; nil if nothing
	stream bool        // a device or a pipe

	temp   string // the new file under its passing name, "" if there is none
	backup string // the old file under its passing name, likewise
	there  bool   // the new file is in its place, or the old one is removed from it
}

// work is one set on its way.
type work struct {
	places []*place
	made   []string // folders, the outermost first
}

// plan finds the place of f and whether anything speaks against writing there. Nothing is changed by it.
func (w *work) plan(f file, s *Set) error {
	p := &place{file: f, real: f.path}
	if f.remove {
		info, err := os.Lstat(f.path)
		if err != nil || !info.Mode().IsRegular() {
			return nil
		}
		p.old = info
	} else {
		if n := len(f.path); n > 0 && os.IsPathSeparator(f.path[n-1]) {
			return &Error{fmt.Sprintf("%s is the name of a folder, and a file is to be written", f.path), "give the name of a file, such as " + filepath.Join(f.path, "result.json")}
		}
		info, err := os.Stat(f.path)
		switch {
		case err == nil && info.IsDir():
			return &Error{fmt.Sprintf("%s is a folder, and a file of that name is to be written", f.path), "move that folder away, or " + hintElse}
		case err == nil && !info.Mode().IsRegular():
			p.stream = true
			w.places = append(w.places, p)
			return nil
		case err == nil:
			p.old = info
			if p.real, err = filepath.EvalSymlinks(f.path); err != nil {
				return failed(f.path, err)
			}
		case !errors.Is(err, fs.ErrNotExist):
			return failed(f.path, err)
		default:
			if _, err := os.Lstat(f.path); err == nil {
				return &Error{fmt.Sprintf("%s is a link that leads nowhere", f.path), "take the link away, or " + hintElse}
			}
		}
	}
	if p.old != nil {
		if is := s.Has(p.old); is != "" {
			return &Error{fmt.Sprintf("%s is %s, and an output would be written over it", f.path, is), hintElse}
		}
		if err := writable(p.real, p.old); err != nil {
			return &Error{fmt.Sprintf("%s is protected against writing", f.path), "allow writing to it, or " + hintElse}
		}
	}
	if absolute, err := filepath.Abs(p.real); err == nil {
		p.real = absolute
	}
	for _, q := range w.places {
		if q.stream || q.real != p.real {
			continue
		}
		if !q.remove && !p.remove && bytes.Equal(q.content, p.content) {
			return nil
		}
		return &Error{fmt.Sprintf("two outputs would be written to %s", f.path), "give them different names"}
	}
	w.places = append(w.places, p)
	return nil
}

// writable asks the system, and the file's own bits, which do not bind an administrator.
func writable(path string, info os.FileInfo) error {
	if info.Mode().Perm()&0o222 == 0 {
		return fs.ErrPermission
	}
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	return f.Close()
}

// write puts the new content on the disk, beside its place. A new file's permissions are what the process's mask
// allows; one that replaces another has that one's.
func (w *work) write(p *place) error {
	if p.remove || p.stream {
		return nil
	}
	dir := filepath.Dir(p.real)
	if err := w.makeFolder(dir); err != nil {
		return err
	}
	p.temp = passing(dir)
	f, err := os.OpenFile(p.temp, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		p.temp = ""
		return err
	}
	if p.old != nil {
		err = f.Chmod(p.old.Mode().Perm())
	}
	if err == nil {
		_, err = f.Write(p.content)
	}
	if err == nil {
		err = f.Sync()
	}
	return errors.Join(err, f.Close())
}

// makeFolder makes dir and what is missing above it, and notes what it made.
func (w *work) makeFolder(dir string) error {
	if info, err := os.Stat(dir); err == nil && info.IsDir() {
		return nil
	}
	if up := filepath.Dir(dir); up != dir {
		if err := w.makeFolder(up); err != nil {
			return err
		}
	}
	err := os.Mkdir(dir, 0o777)
	if err == nil {
		w.made = append(w.made, dir)
	}
	return err
}

// passing gives a name in dir that nobody has: 64 bits by chance. It is short, so that it fits where any name fits.
func passing(dir string) string {
	return filepath.Join(dir, fmt.Sprintf(".quadrille-%016x", rand.Uint64()))
}

// rename is os.Rename; a test lets it fail.
var rename = os.Rename

// put keeps the old file and renames the new one into its place. The old one gets a second name, so that its own is
// never missing; where the file system knows no second names it is renamed.
func (p *place) put() error {
	if p.stream {
		return nil
	}
	if p.old != nil {
		backup := passing(filepath.Dir(p.real))
		if p.remove || os.Link(p.real, backup) != nil {
			if err := rename(p.real, backup); err != nil {
				return err
			}
			p.there = p.remove
		}
		p.backup = backup
	}
	if p.remove {
		return nil
	}
	if err := rename(p.temp, p.real); err != nil {
		return err
	}
	p.temp, p.there = "", true
	return nil
}

// undo puts back what was there. It gives the passing names of old files that could not be put back, "" if all is well.
func (w *work) undo() (kept string) {
	for _, p := range slices.Backward(w.places) {
		if p.temp != "" {
			os.Remove(p.temp)
		}
		switch {
		case p.backup != "":
			if err := os.Rename(p.backup, p.real); err != nil {
				kept += fmt.Sprintf("%s is %s; ", p.path, p.backup)
			} else {
				os.Remove(p.backup) // POSIX: of two names of one file, rename leaves both
			}
		case p.there:
			os.Remove(p.real)
		}
	}
	for _, dir := range slices.Backward(w.made) {
		os.Remove(dir) // only if it is empty
	}
	return kept
}

// finish brings the new names to the disk and takes the old files away.
func (w *work) finish() {
	synced := map[string]bool{}
	for _, p := range w.places {
		dir := filepath.Dir(p.real)
		if p.stream || synced[dir] {
			continue
		}
		synced[dir] = true
		if d, err := os.Open(dir); err == nil {
			_ = d.Sync() // not every system can; the files themselves are on the disk
			d.Close()
		}
	}
	for _, p := range w.places {
		if p.backup != "" {
			os.Remove(p.backup)
		}
	}
}

// readerWait is how long a pipe may have no reader; nothing changes from 1 to 60 s
// (TestAPipeWithoutAReaderIsAnError would notice none).
const readerWait = 2 * time.Second

// pour writes into a device or a pipe, which may take as long as it likes once it is open.
func pour(ctx context.Context, p *place) error {
	opened, done := make(chan *os.File, 1), make(chan error, 1)
	go func() {
		f, err := os.OpenFile(p.path, os.O_WRONLY, 0)
		if err != nil {
			done <- err
			return
		}
		opened <- f
		_, err = f.Write(p.content)
		done <- errors.Join(err, f.Close())
	}()
	late := time.After(readerWait)
	for {
		select {
		case <-opened:
			late = nil
		case err := <-done:
			if err != nil {
				return failed(p.path, err)
			}
			return nil
		case <-ctx.Done():
			return ctx.Err()
		case <-late:
			return &Error{fmt.Sprintf("writing %s: nothing reads from this pipe", p.path), hintElse}
		}
	}
}

func sortedNames(files map[string][]byte) []string { return slices.Sorted(maps.Keys(files)) }
