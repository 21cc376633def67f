package main

import (
	"bytes"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"quadrille/cmd/internal/wire"
)

var update = flag.Bool("update", false, "rewrite the kept outputs")

// testdata/outputs keeps the text of one reading of each kind of signal, and of a comparison that fails, behind the
// commands that make it; and in a table beside it every number of the document with its uncertainty. Every result and
// every verdict that is kept must still be there, and each number be what it was to a hundredth of its u, and its u to
// a hundredth; more may be said. -update writes both anew.
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
			for i, c := range commands {
				head += c[0] + "\n"
				args := strings.Fields(strings.ReplaceAll(c[1], "photos/", photos+"/"))
				if i == len(commands)-1 {
					args = append(args, "--json", "document.json")
				}
				var text, errs bytes.Buffer
				want := exitRead
				if i == len(commands)-1 && strings.Contains(string(kept), "Look at this before you use the numbers") {
					want = exitDoubted
				}
				if status := run(t.Context(), args, &text, &errs); status != want && !*update {
					t.Fatalf("%s: exit status %d\n%s%s", c[0], status, text.String(), errs.String())
				}
				out = text.String()
			}
			given := numbersOf(t, "document.json")
			table := strings.TrimSuffix(path, ".txt") + ".csv"
			if *update {
				if err := os.WriteFile(path, []byte(head+"\n"+out), 0o644); err != nil {
					t.Fatal(err)
				}
				writeNumbers(t, table, given)
				return
			}
			compareNumbers(t, readNumbers(t, table), given)
			lines := linesSaid(out)
			for line := range linesSaid(string(kept)) {
				if !lines[line] {
					t.Errorf("%q is not given any more in\n%s", line, out)
				}
			}
		})
	}
}

// A keptNumber is one number of a document and its standard uncertainty, NaN where it is unknown.
type keptNumber struct {
	name     string // "tau, curve, " and so on; unique in a document
	value, u float64
}

// numbersOf gives the results of a document, what the Monte Carlo calculation says of them, and the zeta of each
// comparison, whose u is 1 by its nature.
func numbersOf(t *testing.T, file string) (list []keptNumber) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	d, err := wire.Decode(text)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	add := func(value, u wire.Number, parts ...string) {
		name := strings.Join(parts, ", ")
		if seen[name]++; seen[name] > 1 {
			name += fmt.Sprintf(" (%d)", seen[name])
		}
		list = append(list, keptNumber{name, float64(value), float64(u)})
	}
	for _, r := range d.Results {
		// Figures in a label are numbers too, and have u in other rows.
		label := regexp.MustCompile(`[0-9.]+`).ReplaceAllString(string(r.Label), "…")
		add(r.Value, r.U, r.Trace, r.Quantity, string(r.Method), label)
		add(r.Expanded, r.U, r.Trace, r.Quantity, string(r.Method), label, "U")
		if r.Trials != nil {
			add(r.Trials.Mean, r.Trials.U, r.Trace, r.Quantity, string(r.Method), label, "Monte Carlo")
		}
	}
	for _, c := range d.Comparisons {
		add(c.Zeta, 1, c.Title, "zeta", map[bool]string{true: "agree", false: "disagree"}[c.Agree])
	}
	return list
}

func compareNumbers(t *testing.T, kept, given []keptNumber) {
	const share = 0.01 // of u
	now := map[string]keptNumber{}
	for _, n := range given {
		now[n.name] = n
	}
	same := func(a, b, within float64) bool {
		return a == b || math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) <= within
	}
	for _, k := range kept {
		n, ok := now[k.name]
		if !ok {
			t.Errorf("%s is not given any more", k.name)
		} else if !same(n.value, k.value, share*k.u) || !same(n.u, k.u, share*k.u) {
			t.Errorf("%s: %.8g with u %.4g, was %.8g with u %.4g: off by %.3f u", k.name, n.value, n.u, k.value, k.u, (n.value-k.value)/k.u)
		}
	}
}

func writeNumbers(t *testing.T, file string, list []keptNumber) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	rows := [][]string{{"what", "value", "u"}}
	for _, n := range list {
		rows = append(rows, []string{n.name, strconv.FormatFloat(n.value, 'g', 9, 64), strconv.FormatFloat(n.u, 'g', 5, 64)})
	}
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
}

func readNumbers(t *testing.T, file string) (list []keptNumber) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", file, len(rows), err)
	}
	for _, r := range rows[1:] {
		n := keptNumber{name: r[0]}
		for i, to := range []*float64{&n.value, &n.u} {
			if *to, err = strconv.ParseFloat(r[i+1], 64); err != nil {
				t.Fatal(err)
			}
		}
		list = append(list, n)
	}
	return list
}

// linesSaid are the beginnings of the lines that have a result or a verdict, without figures and without what the width
// of the figures moves to the next line.
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
