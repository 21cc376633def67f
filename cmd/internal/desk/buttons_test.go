package desk

import (
	"io/fs"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/report/words"
	"quadrille/cmd/internal/wire"
)

func script(t *testing.T, name string) string {
	t.Helper()
	b, err := fs.ReadFile(Page, name)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// What the page has a button for is a kind of doubt or note that there is, each once.
func TestButtonsAreForKindsThatThereAre(t *testing.T) {
	_, table, _ := strings.Cut(script(t, "doubts.js"), "export const table = {")
	table, _, found := strings.Cut(table, "\n};")
	if !found {
		t.Fatal("doubts.js has no table")
	}
	rows := regexp.MustCompile(`(?m)^  '([a-z_.]+)':`).FindAllStringSubmatch(table, -1)
	if len(rows) < 50 {
		t.Errorf("the table has %d rows", len(rows))
	}
	var seen []string
	for _, r := range rows {
		if slices.Contains(seen, r[1]) {
			t.Errorf("%s has two rows", r[1])
		}
		seen = append(seen, r[1])
		if !slices.ContainsFunc(words.Kinds(), func(k remark.Kind) bool { return string(k) == r[1] }) {
			t.Errorf("there is no kind %s", r[1])
		}
	}
}

// The page takes for a trace's own what the settings of a trace are (wire.TraceFields), and its fields are settings.
func TestThePageKnowsTheSettings(t *testing.T) {
	_, list, _ := strings.Cut(script(t, "traces.js"), "export const of = [")
	list, _, _ = strings.Cut(list, "]")
	var own []string
	for _, m := range regexp.MustCompile(`'([a-z_]+)'`).FindAllStringSubmatch(list, -1) {
		own = append(own, m[1])
	}
	var want []string
	for f := range fields(reflect.TypeFor[wire.TraceFields]()) {
		if f != "trace" { // the name itself
			want = append(want, f)
		}
	}
	slices.Sort(own)
	slices.Sort(want)
	if !slices.Equal(own, want) {
		t.Errorf("the page has %q, a trace %q", own, want)
	}
	all := slices.Collect(fields(reflect.TypeFor[wire.Settings]()))
	names := regexp.MustCompile(`<(?:input|select)[^>]* name="([a-z_]+)"`).FindAllStringSubmatch(script(t, "index.html"), -1)
	if len(names) < 15 {
		t.Errorf("the page has %d fields", len(names))
	}
	for _, m := range names {
		if !slices.Contains(all, m[1]) {
			t.Errorf("the field %s is no setting", m[1])
		}
	}
}

// fields gives the names in JSON of a struct's fields, with those of what it embeds.
func fields(of reflect.Type) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for _, f := range reflect.VisibleFields(of) {
			if name := f.Tag.Get("json"); !f.Anonymous && name != "" && name != "-" && !yield(name) {
				return
			}
		}
	}
}
