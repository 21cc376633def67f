package report_test

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"quadrille/cmd/internal/wire"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// fixed is the document of the hand-made reading that wire's own test keeps.
func fixed(t testing.TB) *wire.Document {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "wire", "testdata", "decay.json"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := wire.Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// golden compares with testdata/name; a difference leaves name.got beside it.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(want, got) {
		if err := os.WriteFile(path+".got", got, 0o644); err != nil {
			t.Error(err)
		}
		t.Errorf("%s differs; see %s.got, or run with -update:\n%s", path, path, cmp.Diff(string(want), string(got)))
	}
}
