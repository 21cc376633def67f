package desk

import (
	"bytes"
	"encoding/json"
	"net/http"
	"strings"
	"testing"

	"quadrille/cmd/internal/live"
)

// A page that asks for it hears each stage as it begins, in the order of the document's own list, and then the answer.
func TestStagesAreToldAsTheyBegin(t *testing.T) {
	s := testServer("")
	body, kind := formOf("photo", string(smallPhoto()), "settings", mist, "have", "")
	got := do(s, "POST", "/answer", body, "Content-Type: "+kind, "Accept: "+lines)
	if got.Code != http.StatusOK || got.Header().Get("Content-Type") != lines {
		t.Fatalf("status %d, %s", got.Code, got.Header())
	}
	if !got.Flushed {
		t.Error("the lines wait for the end")
	}
	told := bytes.Split(bytes.TrimSpace(got.Body.Bytes()), []byte("\n"))
	var a live.Answer
	if err := json.Unmarshal(told[len(told)-1], &a); err != nil || a.Status != 200 {
		t.Fatalf("the last line: status %d, %v", a.Status, err)
	}
	var d struct{ Stages []struct{ Name string } }
	if err := json.Unmarshal(a.Document, &d); err != nil || len(d.Stages) < 6 || len(d.Stages) != len(told)-1 {
		t.Fatalf("%d stages, %d lines before the answer, %v", len(d.Stages), len(told)-1, err)
	}
	for i, st := range d.Stages {
		var line struct{ Stage string }
		if err := json.Unmarshal(told[i], &line); err != nil || line.Stage != st.Name {
			t.Errorf("line %d: %s; the stage is %s", i+1, told[i], st.Name)
		}
	}
}

// What is refused before a stage begins keeps its status, and is one answer; what is no photo says so in its answer.
func TestARefusalKeepsItsStatusWhereStagesAreAskedFor(t *testing.T) {
	for _, c := range []struct {
		name, photo, settings string
		code, status, lines   int
	}{
		{"a setting", string(smallPhoto()), `{"volts_per_box": "much"}`, 400, 400, 1},
		{"settings that are none", string(smallPhoto()), `[]`, 400, 400, 1},
		{"no photo", "a text", mist, 200, 415, 2},
	} {
		body, kind := formOf("photo", c.photo, "settings", c.settings, "have", "")
		got := do(testServer(""), "POST", "/answer", body, "Content-Type: "+kind, "Accept: "+lines)
		told := strings.Split(strings.TrimSpace(got.Body.String()), "\n")
		var a live.Answer
		err := json.Unmarshal([]byte(told[len(told)-1]), &a)
		if got.Code != c.code || a.Status != c.status || len(told) != c.lines || err != nil {
			t.Errorf("%s: status %d and %d, %d lines, %v", c.name, got.Code, a.Status, len(told), err)
		}
	}
}
