package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/save"
	"quadrille/cmd/internal/wire"
)

// standardInput is the name on the command line that means it, and standardInputName what it is called in what is
// written.
const (
	standardInput     = "-"
	standardInputName = "standard input"
)

// A source is a file that a command reads.
type source struct {
	name string // without its folder
	data []byte
	is   []save.Input // none for standard input
}

// sum is the SHA-256 of the bytes, as documents have it.
func (s *source) sum() string {
	sum := sha256.Sum256(s.data)
	return hex.EncodeToString(sum[:])
}

// load reads a file that should be of a kind ("a photo"), or standard input. What is larger than limit bytes is an
// error, and so is a device or a pipe by name, which could keep the program waiting for ever.
func load(in io.Reader, name string, limit int, kind, hint string) (*source, error) {
	if name == standardInput {
		return loadFrom(in, &source{name: standardInputName}, "", -1, limit, hint)
	}
	info, err := os.Stat(name) // before it is opened: opening a pipe waits
	if err == nil && !info.Mode().IsRegular() {
		err = &fs.PathError{Err: errors.New("this is a device or a pipe, and is not read by its name")}
		hint = "give it as standard input, with - for the name: quadrille … - < " + name
		if info.IsDir() {
			err, hint = &fs.PathError{Err: errors.New("this is a folder")}, "give the path of "+kind+" in it"
		}
	}
	if err != nil {
		return nil, openError(name, hint, err)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, openError(name, hint, err)
	}
	defer f.Close()
	if info, err = f.Stat(); err != nil {
		return nil, openError(name, hint, err)
	}
	s := &source{name: filepath.Base(name), is: []save.Input{{Info: info, Is: kind + " that is read"}}}
	return loadFrom(f, s, name+": ", info.Size(), limit, hint)
}

// loadFrom fills s; size is that of the file, -1 if it is not known.
func loadFrom(r io.Reader, s *source, about string, size int64, limit int, hint string) (*source, error) {
	large := func(has string) error {
		return &fileError{fmt.Sprintf("%sthe file has %s, the limit is %s", about, has, megabytes(int64(limit))), "give a smaller file"}
	}
	if size > int64(limit) {
		return nil, large(megabytes(size))
	}
	var b bytes.Buffer // of the file's size at once: one that grows takes three times the memory
	b.Grow(max(int(size), 0) + bytes.MinRead)
	_, err := b.ReadFrom(io.LimitReader(r, int64(limit)+1))
	if err != nil {
		return nil, openError(s.name, hint, err)
	}
	if s.data = b.Bytes(); len(s.data) > limit { // it has grown, or is a stream
		return nil, large("more than " + megabytes(int64(limit)))
	}
	return s, nil
}

// megabytes says how many bytes there are, in units of 2^20 and rounded up: what is over a limit does not look like it.
func megabytes(n int64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", math.Ceil(float64(n)/(1<<20)*10)/10), ".0") + " MB"
}

func openError(name, hint string, err error) error {
	reason := err.Error()
	var path *fs.PathError
	if errors.As(err, &path) {
		reason = fmt.Sprintf("%s: %s", name, path.Err)
	}
	return &fileError{reason, hint}
}

// printedTo gives the files that the command prints into, on which no output may land either.
func printedTo(streams ...io.Writer) (list []save.Input) {
	for _, w := range streams {
		if f, ok := fileOf(w); ok {
			if info, err := f.Stat(); err == nil && info.Mode().IsRegular() {
				list = append(list, save.Input{Info: info, Is: "the file that the text is printed to"})
			}
		}
	}
	return list
}

const hintReplace = "give another name, or add --replace if it may be written over"

// checkFolder refuses a folder that holds the result of another input than the one with this SHA-256. It gives the
// document of the result that is there, nil if there is none that can be read, or if dir is "".
func checkFolder(dir, sum string, replace bool) (*wire.Document, error) {
	if dir == "" {
		return nil, nil
	}
	old := documentAt(filepath.Join(dir, "result.json"))
	if old == nil || replace {
		return old, nil
	}
	name, of := old.Photo.File, string(old.Photo.SHA256)
	if old.Table != nil {
		name, of = old.Table.File, string(old.Table.SHA256)
	}
	if of != sum {
		return nil, &fileError{fmt.Sprintf("the folder %s holds the result of another file, %s", dir, name), "give another folder, or add --replace if it may be written over"}
	}
	return old, nil
}

// addResult puts a result into the set: its files, and away with those of an earlier one that it does not write over.
// doc is what they are made of.
func addResult(set *save.Set, dir string, files map[string][]byte, doc *wire.Document, sum string, replace bool) error {
	old, err := checkFolder(dir, sum, replace)
	if err != nil {
		return err
	}
	if old == nil && report.SameHandout(small(filepath.Join(dir, "figures.pdf")), doc) {
		old = doc // of the same input, and figures alone
	}
	if old == nil && !replace { // what is there was not written here
		for name := range files {
			if info, err := os.Stat(filepath.Join(dir, name)); err == nil && !info.IsDir() {
				if set.Has(info) == "" { // an input has an error of its own
					return &fileError{fmt.Sprintf("the folder %s has a file %s, and no result that it belongs to", dir, name), "give another folder, or add --replace if it may be written over"}
				}
			}
		}
	}
	set.AddFolder(dir, files)
	if old != nil {
		for _, name := range report.MayHold(old) {
			if _, again := files[name]; !again {
				set.Remove(filepath.Join(dir, name))
			}
		}
	}
	return nil
}

// documentAt reads a document that was written before; nil if there is none.
func documentAt(path string) *wire.Document {
	data := small(path)
	if data == nil {
		return nil
	}
	d, err := wire.Decode(data)
	if err != nil {
		return nil
	}
	return d
}

// small reads a regular file of at most 64 MB, which no document and no truth has; nil if it is not one.
func small(path string) []byte {
	if info, err := os.Stat(path); err != nil || !info.Mode().IsRegular() || info.Size() > 64<<20 {
		return nil
	}
	data, err := os.ReadFile(path)
	if err != nil {
		return nil
	}
	return data
}

// addDocument puts the document of --json into the set. Only an earlier document, or an empty file, is written over.
func addDocument(set *save.Set, path string, text []byte, replace bool) error {
	info, err := os.Stat(path)
	taken := err == nil && info.Mode().IsRegular() && info.Size() > 0 && set.Has(info) == ""
	if taken && !replace && documentAt(path) == nil {
		return &fileError{path + " is there already, and is no document of a reading", hintReplace}
	}
	set.Add(path, text)
	return nil
}
