package wire_test

import (
	"encoding/json"
	"maps"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"unicode"

	"quadrille/calibrate/remark"
	"quadrille/cmd/internal/reading"
	"quadrille/cmd/internal/wire"
)

// keysFile has every key that a document of version 1 has ever had, a line each: "traces[].doubts".
const keysFile = "testdata/keys.txt"

// Readers of the document rely on its keys: what was once in it stays. A new key gets its line with -update, and from
// then on stays too.
func TestTheDocumentOnlyGrows(t *testing.T) {
	d := wire.From(handMade())
	d.Table, d.Readings = &wire.Table{}, &wire.Readings{Rows: []wire.ReadingBeside{{}}}
	d.Error = &wire.Error{}
	d.Results[0].Trials, d.Results[0].Interval = &wire.Trials{}, &[2]wire.Number{}
	d.Results[0].NoteKinds = []wire.Remark{{}}
	d.NoteKinds, d.Photo.DoubtKinds = []wire.Remark{{}}, []wire.Remark{{}}
	text, err := wire.Encode(d)
	if err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	has := map[string]bool{}
	keys("", tree, has)
	kept, err := os.ReadFile(keysFile)
	if err != nil {
		t.Fatal(err)
	}
	was := strings.Fields(string(kept))
	for _, k := range was {
		if !has[k] {
			t.Errorf("the document has lost %s", k)
		}
		delete(has, k)
	}
	if len(has) == 0 {
		return
	}
	fresh := slices.Sorted(maps.Keys(has))
	if !*update {
		t.Fatalf("the document has new keys: %q; add them with -update", fresh)
	}
	all := slices.Sorted(slices.Values(append(was, fresh...)))
	if err := os.WriteFile(keysFile, []byte(strings.Join(all, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}

// keys gathers the keys of a JSON value; what a remark's values are called is its kind's affair.
func keys(at string, v any, into map[string]bool) {
	switch v := v.(type) {
	case map[string]any:
		for k, x := range v {
			path := strings.TrimPrefix(at+"."+k, ".")
			into[path] = true
			if k != "values" {
				keys(path, x, into)
			}
		}
	case []any:
		for _, x := range v {
			keys(at+"[]", x, into)
		}
	}
}

// Each doubt and note is in the document twice, as a sentence and as data, in the same order.
func TestDoubtsAreSentencesAndData(t *testing.T) {
	r := handMade()
	r.Others = append(r.Others, reading.Analysed{Chosen: 1})
	r.Records[1].Notes = []remark.Remark{remark.Of("calibrate.ground_unknown")}
	r.Traces[0].Doubts = []remark.Remark{remark.Of("calibrate.ground_at_rest", remark.Number("length_box", math.NaN()), remark.Number("ground_box", -3.5))}
	r.Doubts = []remark.Remark{remark.Of("reading.scales_unknown", remark.Word("trace", "b"), remark.Flag("volts", true), remark.Flag("seconds", false)),
		remark.Of("reading.words_turned", remark.Count("turn_deg", 180), remark.Count("try_deg", 180))}
	text, err := wire.Encode(wire.From(r))
	if err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	lists := 0
	beside(t, tree, &lists)
	if lists < 10 {
		t.Errorf("only %d lists of doubts and notes", lists)
	}
	for _, part := range []string{
		`"kind": "calibrate.ground_unknown",` + "\n" + `   "about": "b",` + "\n" + `   "values": {},` + "\n" + `   "text": "Trace b: No ground mark`,
		`"length_box": null`, `"ground_box": -3.5`, `"trace": "b"`, `"volts": true`, `"seconds": false`, `"turn_deg": 180`,
	} {
		if !strings.Contains(string(text), part) {
			t.Errorf("%s is not in the document", part)
		}
	}
}

// beside checks that every list of sentences has its list of data.
func beside(t *testing.T, v any, lists *int) {
	switch v := v.(type) {
	case map[string]any:
		for _, k := range []string{"doubt", "note"} {
			texts, ok := v[k+"s"].([]any)
			if !ok {
				continue
			}
			kinds, ok := v[k+"_kinds"].([]any)
			if !ok || len(kinds) != len(texts) {
				t.Errorf("%d %ss have %d kinds", len(texts), k, len(kinds))
				continue
			}
			*lists++
			for i, s := range texts {
				if m := kinds[i].(map[string]any); m["text"] != s || m["kind"] == "" {
					t.Errorf("%s %d is %q, and as data %v", k, i, s, m)
				}
			}
		}
		for _, x := range v {
			beside(t, x, lists)
		}
	case []any:
		for _, x := range v {
			beside(t, x, lists)
		}
	}
}

// A document may be printed on a terminal: names in it move no cursor and turn no text, and are read back as they were.
func TestADocumentIsSafeToPrint(t *testing.T) {
	d := wire.From(handMade())
	d.Photo.File = "a\u202e\u009bm\x1b\x7f\u2066τ.jpg"
	text, err := wire.Encode(d)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range string(text) {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r)) {
			t.Errorf("%U is in the text", r)
		}
	}
	back, err := wire.Decode(text)
	if err != nil || back.Photo.File != d.Photo.File {
		t.Errorf("%q is read back as %q, %v", d.Photo.File, back.Photo.File, err)
	}
}
