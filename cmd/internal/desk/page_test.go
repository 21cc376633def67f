package desk

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"quadrille/cmd/internal/notebook"
)

// maxPage is the size of the page in bytes without the core: a phone with 1 Mbit/s has it in less than two seconds.
const maxPage = 200_000

// The page stays small, whatever it learns: all its files together.
func TestThePageIsSmall(t *testing.T) {
	total, list := 0, []string{}
	err := fs.WalkDir(Page, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(Page, name)
		total += len(b)
		list = append(list, fmt.Sprintf("%7d %s", len(b), name))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if t.Logf("%d bytes", total); total > maxPage {
		t.Errorf("%d bytes, more than %d:\n%s", total, maxPage, strings.Join(list, "\n"))
	}
}

// Modules of others are those that the table beside them names, with their licences.
func TestModulesOfOthersAreTheirs(t *testing.T) {
	table, err := fs.ReadFile(Page, "npm/README.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile(`(?m)^\| (\S+)\.js \| .* \| ([0-9a-f]{64}) \|$`).FindAllStringSubmatch(string(table), -1)
	if scripts, err := fs.Glob(Page, "npm/*.js"); err != nil || len(scripts) != len(rows) || len(rows) == 0 {
		t.Errorf("%d scripts and %d rows, %v", len(scripts), len(rows), err)
	}
	for _, row := range rows {
		b, err := fs.ReadFile(Page, "npm/"+row[1]+".js")
		if err != nil || fmt.Sprintf("%x", sha256.Sum256(b)) != row[2] {
			t.Errorf("%s.js is not what the table says: %x, %v", row[1], sha256.Sum256(b), err)
		}
		if licence, err := fs.ReadFile(Page, "npm/"+row[1]+".LICENSE.txt"); err != nil ||
			!strings.Contains(string(licence), "Permission is hereby granted") {
			t.Errorf("%s has no licence: %v", row[1], err)
		}
	}
}

// The page and package notebook know the same keys: what the reader names as the keys of a block is what terms.js has.
func TestThePageKnowsTheSameKeys(t *testing.T) {
	script, err := fs.ReadFile(Page, "terms.js")
	if err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(string(script), "export const keys = ")
	var keys map[string][]string
	if err := json.Unmarshal([]byte(strings.TrimSuffix(strings.TrimSpace(after), ";")), &keys); err != nil {
		t.Fatal(err)
	}
	photo := "notebook: 1\nphotos:\n  - file: a.jpg\n    "
	for _, c := range []struct {
		what, text string
		page       []string
	}{
		{"notebook", "notebook: 1\n%s\nphotos: [{file: a.jpg}]\n", keys["notebook"]},
		{"settings", "notebook: 1\nsettings: {%s}\nphotos: [{file: a.jpg}]\n",
			slices.Concat(keys["settings"], keys["trace"])},
		{"photo", photo + "%s", slices.Concat(keys["photo"], keys["readings"], keys["settings"], keys["trace"])},
		{"trace", photo + "traces: [{%s}]", keys["trace"]},
		{"generator", photo + "generator: {%s}", keys["generator"]},
		{"display", photo + "display: {%s}", keys["quantities"]},
		{"by_hand", photo + "by_hand: {%s}", keys["quantities"]},
		{"comparison", photo + "ground: 0\ncompare: [{%s, quantity: tau}]", keys["comparison"]},
	} {
		files := fstest.MapFS{"n.yaml": {Data: fmt.Appendf(nil, c.text, "qqqqqqqqqqqq: 1")}, "a.jpg": {Data: []byte("x")}}
		_, err := notebook.Read(files, "n.yaml")
		var faults notebook.Faults
		if !errors.As(err, &faults) || len(faults) != 1 {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		slices.Sort(c.page)
		if want := "the keys here are " + strings.Join(c.page, ", "); faults[0].Hint != want {
			t.Errorf("%s: the reader says\n%s, the page\n%s", c.what, faults[0].Hint, want)
		}
	}
}
