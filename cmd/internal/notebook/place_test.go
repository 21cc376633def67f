package notebook_test

import (
	"archive/zip"
	"bytes"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"

	"quadrille/cmd/internal/notebook"
)

// packed is a folder with one ZIP of these names and contents, two a file.
func packed(t *testing.T, parts ...string) fstest.MapFS {
	t.Helper()
	return fstest.MapFS{"book.zip": {Data: bytesOf(t, parts...)}}
}

// bytesOf is that ZIP.
func bytesOf(t testing.TB, parts ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.CreateHeader(&zip.FileHeader{Name: parts[i], Method: zip.Deflate})
		if err == nil {
			_, err = w.Write([]byte(parts[i+1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A ZIP with the notebook and its photos is a notebook, at its top or in a folder that was packed whole.
func TestAZIPIsANotebook(t *testing.T) {
	for _, dir := range []string{"", "my experiment/"} {
		n, err := notebook.Read(packed(t, dir+"notebook.yaml", begin, dir+"low.jpg", "a photo", "__MACOSX/notebook.yaml",
			"x"), "book.zip")
		if err != nil {
			t.Fatal(err)
		}
		if b, err := n.Load(n.Photos[0].File); err != nil || string(b) != "a photo" {
			t.Errorf("in %q: %q, %v", dir, b, err)
		}
	}
	f := faults(t, packed(t, "notebook.yaml", "notebook: 1\nphotos: [{file: lwo.jpg}]\n", "low.jpg", "a photo"),
		"book.zip")
	if f[0].Where() != "book.zip/notebook.yaml:2:17" || f[0].Hint != "the nearest is low.jpg" {
		t.Error(f[0], f[0].Hint)
	}
}

// A ZIP that is none, holds no notebook, or has names that lead elsewhere is refused with its reason.
func TestAZIPIsNotTrusted(t *testing.T) {
	link := func() fstest.MapFS {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		h := &zip.FileHeader{Name: "low.jpg"}
		h.SetMode(fs.ModeSymlink | 0o777)
		if w, err := z.CreateHeader(h); err != nil {
			t.Fatal(err)
		} else if _, err := w.Write([]byte("/etc/passwd")); err != nil {
			t.Fatal(err)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return fstest.MapFS{"book.zip": {Data: b.Bytes()}}
	}
	var many []string
	for i := range 1001 {
		many = append(many, strings.Repeat("x", i%200+1)+strings.Repeat("/y", i/200)+".jpg", "x")
	}
	cut := packed(t, "notebook.yaml", begin)
	cut["book.zip"].Data = cut["book.zip"].Data[:60]
	huge := packed(t, "notebook.yaml", begin, "low.jpg", "x")
	at := bytes.LastIndex(huge["book.zip"].Data, []byte("PK\x01\x02"))
	copy(huge["book.zip"].Data[at+24:], []byte{1, 0, 0, 64}) // the last file says that it unpacks to 1 GB and a byte
	for _, c := range []struct {
		name   string
		files  fstest.MapFS
		reason string
	}{
		{"more than a notebook holds", huge, "more than 1024 MB"},
		{"cut off", cut, "no whole ZIP"},
		{"no notebook", packed(t, "low.jpg", "x"), "no notebook.yaml"},
		{"out of it", packed(t, "notebook.yaml", begin, "../low.jpg", "x"), "leads elsewhere"},
		{"from the root", packed(t, "notebook.yaml", begin, "/low.jpg", "x"), "leads elsewhere"},
		{"with a drive", packed(t, "notebook.yaml", begin, `c:\low.jpg`, "x"), "leads elsewhere"},
		{"twice", packed(t, "notebook.yaml", begin, "low.jpg", "x", "low.jpg", "y"), "twice"},
		{"a link", link(), "a link"},
		{"many files", packed(t, many...), "more than 1000 files"},
		{"much text", packed(t, "notebook.yaml", strings.Repeat("#", 300<<10)), "larger than 256 kB"},
		{"a photo out of it", packed(t, "notebook.yaml", "notebook: 1\nphotos: [{file: ../low.jpg}]\n"), "leads out"},
	} {
		if f := faults(t, c.files, "book.zip"); !strings.Contains(f[0].Reason, c.reason) || f[0].Hint == "" {
			t.Errorf("%s: %v -> %s", c.name, f[0], f[0].Hint)
		}
	}
	if _, err := notebook.Read(fstest.MapFS{}, "book.yaml"); err == nil {
		t.Error("no notebook is read")
	}
}

// A photo that unpacks to more than it says, or than any photo has, does not come into memory whole.
func TestAPhotoThatUnpacksToMuchIsRefused(t *testing.T) {
	f := faults(t, packed(t, "notebook.yaml", begin, "low.jpg", strings.Repeat("\x00", 65<<20)), "book.zip")
	if !strings.Contains(f[0].Reason, "larger than 64 MB") {
		t.Error(f)
	}
}

// Whatever the bytes are, opening them ends without a panic, and what can be loaded lies within the limits.
func FuzzZIP(f *testing.F) {
	f.Add([]byte("PK\x03\x04"))
	f.Add(bytesOf(f, "notebook.yaml", begin, "low.jpg", "a photo"))
	f.Add(bytesOf(f, "a/notebook.yaml", begin, "a/low.jpg", "a photo", "../b", "x"))
	f.Fuzz(func(t *testing.T, b []byte) {
		n, err := notebook.Read(fstest.MapFS{"book.zip": {Data: b}}, "book.zip")
		if err != nil {
			return
		}
		for _, p := range n.Photos {
			if photo, err := n.Load(p.File); err == nil && len(photo) > 64<<20 {
				t.Fatalf("%d bytes", len(photo))
			}
		}
	})
}
