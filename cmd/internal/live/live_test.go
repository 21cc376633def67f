package live_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"

	"quadrille/cmd/internal/live"
	"quadrille/cmd/internal/wire"
)

const demo = "../../../testdata/photos/slow-pale.jpg"

// shared is a room for all that does not ask whether something is made anew.
var shared live.Room

func photo(t *testing.T) []byte {
	t.Helper()
	b, err := os.ReadFile(demo)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// settings are those of the demo photo, the delay network of a mist timer, with what is to be added.
func settings(with string) []byte {
	return []byte(`{"volts_per_box": "1.5V", "time_per_box": "5s", "ground": "bottom"` + with + `}`)
}

// A change of settings gives another document, and the pictures only if the grid has changed.
func TestPicturesComeOnceAGrid(t *testing.T) {
	var room live.Room
	first := room.Answer(t.Context(), photo(t), settings(""), "", nil)
	if first.Status != 200 || len(first.Pictures) < 3 || first.Pictures[0].Name != "photo" || len(first.Lattice) < 18 || len(first.Traces) != 1 {
		t.Fatalf("status %d, %d pictures, %d lines, %d traces", first.Status, len(first.Pictures), len(first.Lattice), len(first.Traces))
	}
	again := room.Answer(t.Context(), photo(t), settings(`, "settles_at": "ground"`), first.Grid, nil)
	if again.Grid != first.Grid || len(again.Pictures) != 0 || string(again.Document) == string(first.Document) {
		t.Errorf("with another setting: grid %q for %q, %d pictures", again.Grid, first.Grid, len(again.Pictures))
	}
	var d wire.Document
	if err := json.Unmarshal(first.Document, &d); err != nil {
		t.Fatal(err)
	}
	c := d.Graticule.Corners
	byHand := `, "boxes": "12x8", "corners": "`
	for i, p := range c {
		byHand += strings.TrimSuffix(strings.Trim(jsonOf(t, p), "[]"), " ")
		if i < 3 {
			byHand += " "
		}
	}
	moved := room.Answer(t.Context(), photo(t), settings(byHand+`"`), first.Grid, nil)
	if moved.Grid == first.Grid || len(moved.Pictures) < 3 {
		t.Errorf("with corners by hand, %s: status %d, grid %q, %d pictures", byHand, moved.Status, moved.Grid, len(moved.Pictures))
	}
}

func jsonOf(t *testing.T, v any) string {
	t.Helper()
	b, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// What was refused says why, as a document and on the page, and leaves no files.
func TestWhatIsRefusedSaysWhy(t *testing.T) {
	for _, c := range []struct {
		name     string
		photo    []byte
		settings string
		status   int
	}{
		{"a setting that nobody knows", photo(t), `{"volts_per_bx": "1V"}`, 400},
		{"volts that are none", photo(t), `{"volts_per_box": "much"}`, 400},
		{"no picture", []byte("a text"), `{}`, 415},
	} {
		var room live.Room
		a := room.Answer(t.Context(), c.photo, []byte(c.settings), "", nil)
		file, status := room.File(t.Context(), c.photo, []byte(c.settings), live.All)
		if a.Status != c.status || status != c.status || len(file) != 0 || !strings.Contains(a.Page, "What to do:") {
			t.Errorf("%s: status %d and %d, want %d; %d bytes kept", c.name, a.Status, status, c.status, len(file))
		}
	}
}

// What is kept is what the command leaves in a folder: one file, or all of them in an archive that is the same each
// time.
func TestWhatIsKept(t *testing.T) {
	for _, name := range []string{"page.html", "page.pdf", "points.csv", "result.json"} {
		if b, status := shared.File(t.Context(), photo(t), settings(""), name); status != 200 || len(b) < 1000 {
			t.Errorf("%s: status %d, %d bytes", name, status, len(b))
		}
	}
	if _, status := shared.File(t.Context(), photo(t), settings(""), "../result.json"); status != 404 {
		t.Errorf("a file that is not there: status %d", status)
	}
	all, status := shared.File(t.Context(), photo(t), settings(""), live.All)
	z, err := zip.NewReader(bytes.NewReader(all), int64(len(all)))
	if status != 200 || err != nil {
		t.Fatal(status, err)
	}
	var names []string
	for _, f := range z.File {
		names = append(names, f.Name)
	}
	for _, name := range []string{"page.html", "page.pdf", "points.csv", "result.json", "v-t.svg"} {
		if !slices.Contains(names, name) {
			t.Errorf("no %s among %q", name, names)
		}
	}
}
