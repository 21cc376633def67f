package notebook_test

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"quadrille/cmd/internal/notebook"
)

// What is written is read as the same, and writing that again changes nothing.
func TestWhatIsWrittenIsReadAsTheSame(t *testing.T) {
	for _, name := range notebook.Templates() {
		files := folder(string(notebook.Template(name)), "level.jpg", "sine.jpg", "slow.jpg", "low.jpg", "high.jpg")
		first, err := notebook.Read(files, "book.yaml")
		if err != nil {
			t.Fatal(err)
		}
		text, err := first.Encode()
		if err != nil {
			t.Fatal(err)
		}
		files["book.yaml"].Data = text
		second, err := notebook.Read(files, "book.yaml")
		if err != nil {
			t.Fatalf("%s: %v\n%s", name, err, text)
		}
		if diff := different(first, second); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		again, err := second.Encode()
		if err != nil || !bytes.Equal(again, text) {
			t.Errorf("%s: written again as\n%s\n%v", name, again, err)
		}
		for line := range bytes.Lines(notebook.Template(name)) {
			if _, comment, found := bytes.Cut(line, []byte("# ")); found && !bytes.Contains(text, bytes.TrimSpace(comment)) {
				t.Errorf("%s: the comment %q is gone", name, comment)
			}
		}
	}
}

// different tells what two notebooks say differently, wherever it stands.
func different(a, b *notebook.Notebook) string {
	return cmp.Diff(a, b, cmpopts.IgnoreUnexported(notebook.Notebook{}, notebook.Photo{}, notebook.Comparison{}),
		cmpopts.IgnoreFields(notebook.Photo{}, "Line"), cmpopts.IgnoreFields(notebook.Comparison{}, "Line"),
		cmpopts.IgnoreFields(notebook.Notebook{}.Settings, "Stage", "Begin"))
}
