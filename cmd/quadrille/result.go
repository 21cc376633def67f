package main

// What a command that lays readings beside each other does with its result: the folder, the JSON and the summary,
// written all or not at all, and never over what is no earlier result of the same files.

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"quadrille/cmd/internal/save"
)

// A result is what such a command made.
type result struct {
	is      string // what it is called where something is in the way: "comparison"
	json    []byte
	inJSON  string                            // the name of the JSON in the folder
	files   func() (map[string][]byte, error) // those of the folder, by name
	summary func(width int) string
	same    func(old []byte) bool // whether a file of JSON is an earlier result of the same files
	doubt   string                // told where the summary is not seen; "" without a doubt
}

// deliver writes the folder out and the file json, "" for none and "-" for the terminal, and prints the summary.
// replace lets it write over anything. Its error is errDoubted once all is written, if there is a doubt.
func (r *result) deliver(c *cobra.Command, set *save.Set, out, json string, replace bool) error {
	files := map[string][]byte{}
	if out != "" {
		made, err := r.files()
		if err != nil {
			return err
		}
		for name, content := range made {
			files[filepath.Join(out, name)] = content
		}
	}
	if json != "" && json != "-" {
		files[json] = r.json
	}
	for _, path := range slices.Sorted(maps.Keys(files)) {
		of := path // the file that tells what path is of
		if path != json {
			of = filepath.Join(out, r.inJSON)
		}
		if inTheWay(path) && !replace && !r.same(small(of)) {
			return &fileError{fmt.Sprintf("%s is there already, and is no %s of these files", path, r.is), hintReplace}
		}
		set.Add(path, files[path])
	}
	if err := set.Write(c.Context()); err != nil {
		return err
	}
	text := r.json
	if json != "-" {
		text = []byte(r.summary(terminalWidth))
	}
	if _, err := c.OutOrStdout().Write(text); err != nil {
		return err
	}
	if r.doubt == "" {
		return nil
	}
	if json == "-" || !isTerminal(c.OutOrStdout()) {
		fmt.Fprintln(c.ErrOrStderr(), "quadrille: "+r.doubt)
	}
	return errDoubted
}

// inTheWay says that at path stands a file with something in it. Pipes and devices are written to.
func inTheWay(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.Mode().IsRegular() && info.Size() > 0
}
