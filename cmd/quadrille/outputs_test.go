package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "rewrite the kept outputs")

// testdata/outputs keeps the text of one reading of each kind of signal, and of a comparison that fails, behind the commands
// that make it. Every result and every verdict that is kept must still be there; numbers may move a little, and more may be
// said. -update writes the texts anew.
func TestKeptOutputsAreStillGiven(t *testing.T) {
	photos, err := filepath.Abs("../../testdata/photos")
	if err != nil {
		t.Fatal(err)
	}
	names, err := filepath.Glob("../../testdata/outputs/*.txt")
	if err != nil || len(names) < 7 {
		t.Fatal(names, err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			path, err := filepath.Abs(name)
			if err != nil {
				t.Fatal(err)
			}
			kept, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			t.Chdir(t.TempDir())
			commands := regexp.MustCompile(`(?m)^\$ quadrille (.*)$`).FindAllStringSubmatch(string(kept), -1)
			var head, out string
			for _, c := range commands {
				head += c[0] + "\n"
				var text, errs bytes.Buffer
				if status := run(strings.Fields(strings.ReplaceAll(c[1], "photos/", photos+"/")), &text, &errs); status != exitRead {
					t.Fatalf("%s: exit status %d\n%s%s", c[0], status, text.String(), errs.String())
				}
				out = text.String()
			}
			if *update {
				if err := os.WriteFile(path, []byte(head+"\n"+out), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			given := linesSaid(out)
			for line := range linesSaid(string(kept)) {
				if !given[line] {
					t.Errorf("%q is not given any more in\n%s", line, out)
				}
			}
		})
	}
}

// linesSaid are the beginnings of the lines that have a result or a verdict, without figures and without what the width of
// the figures moves to the next line.
func linesSaid(text string) map[string]bool {
	const said = 14 // letters
	lines := map[string]bool{}
	for _, line := range strings.Split(text, "\n") {
		verdict := strings.HasPrefix(line, "  = ") || strings.HasPrefix(line, "  ≠ ")
		if !verdict && !strings.Contains(line, " ± ") || strings.Contains(line, "value ± U") || strings.HasPrefix(line, "Settings") {
			continue
		}
		letters := []rune(regexp.MustCompile(`[0-9.]+`).ReplaceAllString(line, ""))
		lines[string(letters[:min(said, len(letters))])] = true
	}
	return lines
}
