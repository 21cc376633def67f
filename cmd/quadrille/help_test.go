package main

import (
	"bytes"
	"testing"
	"unicode/utf8"

	"quadrille/cmd/internal/notebook"
)

// Help and templates fit a window of 120 columns: what is longer breaks anywhere, and its columns are lost.
func TestHelpFitsAWindow(t *testing.T) {
	const width = 120
	texts := map[string][]byte{}
	for _, c := range newRoot().Commands() {
		var out, errs bytes.Buffer
		if status := run(t.Context(), []string{c.Name(), "--help"}, &out, &errs); status != exitRead || out.Len() == 0 {
			t.Errorf("%s --help: exit status %d: %s", c.Name(), status, errs.String())
		}
		texts[c.Name()+" --help"] = out.Bytes()
	}
	for _, name := range notebook.Templates() {
		texts[name] = notebook.Template(name)
	}
	for name, text := range texts {
		for line := range bytes.Lines(text) {
			if n := utf8.RuneCount(bytes.TrimRight(line, "\n")); n > width {
				t.Errorf("%s: %d columns: %s", name, n, line)
			}
		}
	}
}
