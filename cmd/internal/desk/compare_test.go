package desk

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"quadrille/cmd/internal/live"
)

// documents are the body of a comparison.
func documents(list ...json.RawMessage) *strings.Reader {
	b, err := json.Marshal(map[string]any{"documents": list, "title": "Two drives"})
	if err != nil {
		panic(err) // what is given here is JSON
	}
	return strings.NewReader(string(b))
}

// Two readings of a photo are compared, with what both share taken off; one that has nothing in common is told.
func TestDocumentsAreCompared(t *testing.T) {
	s := testServer("")
	var list []json.RawMessage
	for _, with := range []string{mist, `{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom", "from": "-3"}`} {
		a, _ := answerOf(t, post(s, "/answer", "photo", string(smallPhoto()), "settings", with).Body.Bytes())
		list = append(list, a.Document)
	}
	w := do(s, "POST", "/compare", documents(list...), "Origin: http://"+host)
	var c live.Compared
	if err := json.Unmarshal(w.Body.Bytes(), &c); err != nil {
		t.Fatal(err)
	}
	if w.Code != 200 || c.Status != 200 || c.Comparison == nil ||
		!strings.Contains(c.Page, "the time base at 5 s a box") ||
		!strings.Contains(c.Page, "<h1>Two drives</h1>") {
		t.Errorf("%d, %+v, %.2000s", w.Code, c.Error, c.Page)
	}
}

// The same guards, limits and words as for a photo.
func TestDocumentsOfTheWrongKind(t *testing.T) {
	s := testServer("")
	for _, c := range []struct {
		name, body string
		status     int
		says       string
	}{
		{"nothing", "", 400, "no list of readings"},
		{"no JSON", "photo", 400, "no list of readings"},
		{"one", `{"documents": [{"schema": 1}]}`, 400, "two to 26"},
		{"another version", `{"documents": [{"schema": 2}, {"schema": 2}]}`, 400, "version 2"},
		{"nothing in common", `{"documents": [{"schema": 1}, {"schema": 1}]}`, 422, "nothing that was worked out"},
		{"one that failed", `{"documents": [{"schema": 1, "error": {"kind": "file", "reason": "it is torn"}}, {"schema": 1}]}`, 400, "it is torn"},
		{"too much", strings.Repeat(" ", maxDocuments+1), 413, "larger than 12 MB"},
	} {
		w := do(s, "POST", "/compare", strings.NewReader(c.body), "Origin: http://"+host)
		if w.Code != c.status || !strings.Contains(w.Body.String(), c.says) {
			t.Errorf("%s: %d %s, want %d and %q", c.name, w.Code, w.Body, c.status, c.says)
		}
	}
	if w := do(s, "POST", "/compare", documents(), "Origin: http://elsewhere.example"); w.Code != http.StatusForbidden {
		t.Errorf("another page may compare: %d", w.Code)
	}
	if w := ask(s, "GET", "/compare"); w.Code != http.StatusMethodNotAllowed {
		t.Errorf("GET: %d", w.Code)
	}
}
