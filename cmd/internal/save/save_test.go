package save

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// tree gives all files below dir with their content, folders as "name/".
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || path == dir {
			return err
		}
		name, _ := filepath.Rel(dir, path)
		if d.IsDir() {
			all[name+"/"] = ""
			return nil
		}
		text, err := os.ReadFile(path)
		all[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
}

func unchanged(t *testing.T, about, dir string, want map[string]string) {
	t.Helper()
	if got := tree(t, dir); !maps.Equal(got, want) {
		t.Errorf("%s: the folder holds %q, before %q", about, got, want)
	}
}

// some is a set of new files, of one to be replaced, and of one to be taken away.
func some(dir string) *Set {
	var s Set
	s.AddFolder(filepath.Join(dir, "result"), map[string][]byte{"a.csv": []byte("new a"), "b.json": []byte("new b"), "c.svg": nil})
	s.Remove(filepath.Join(dir, "result", "old.svg"))
	s.Remove(filepath.Join(dir, "result", "never.svg"))
	s.Add(filepath.Join(dir, "far", "away", "d.json"), []byte("new d"))
	return &s
}

func beforeSome(t *testing.T) (dir string, held map[string]string) {
	dir = t.TempDir()
	put(t, filepath.Join(dir, "result", "b.json"), "old b")
	put(t, filepath.Join(dir, "result", "old.svg"), "old figure")
	put(t, filepath.Join(dir, "result", "notes.txt"), "a person's")
	return dir, tree(t, dir)
}

func TestASetIsWrittenAndLeavesNothingElse(t *testing.T) {
	dir, _ := beforeSome(t)
	if err := some(dir).Write(t.Context()); err != nil {
		t.Fatal(err)
	}
	unchanged(t, "written", dir, map[string]string{"result/": "", "result/a.csv": "new a", "result/b.json": "new b", "result/c.svg": "",
		"result/notes.txt": "a person's", "far/": "", "far/away/": "", "far/away/d.json": "new d"})
}

// Whichever step fails, what was there is there.
func TestASetThatFailsChangesNothing(t *testing.T) {
	defer func() { rename = os.Rename }()
	failed := 0
	for step := 0; ; step++ {
		dir, held := beforeSome(t)
		left := step
		rename = func(a, b string) error {
			if left--; left < 0 {
				return &os.LinkError{Op: "rename", Old: a, New: b, Err: errors.New("the disk is gone")}
			}
			return os.Rename(a, b)
		}
		err := some(dir).Write(t.Context())
		if err == nil {
			break
		}
		failed++
		unchanged(t, fmt.Sprintf("failed at step %d", step), dir, held)
		if !strings.Contains(err.Error(), "the disk is gone") || strings.Contains(err.Error(), passingPart) {
			t.Errorf("step %d: the error is %q", step, err)
		}
	}
	if failed < 5 {
		t.Errorf("%d steps, and four files and one to take away were expected", failed)
	}
}

const passingPart = ".quadrille-"

// What cannot be is seen before anything is touched.
func TestWhatStandsInTheWayChangesNothing(t *testing.T) {
	for _, c := range []struct {
		name string
		way  func(dir string) error
		says string
	}{
		{"a folder", func(dir string) error { return os.MkdirAll(filepath.Join(dir, "result", "c.svg", "inside"), 0o777) }, "c.svg is a folder"},
		{"a file for a folder", func(dir string) error { return os.WriteFile(filepath.Join(dir, "far"), nil, 0o666) }, "not a directory"},
		{"a read-only file", func(dir string) error { return os.WriteFile(filepath.Join(dir, "result", "a.csv"), nil, 0o444) }, "protected against writing"},
		{"a link to nothing", func(dir string) error { return os.Symlink("nowhere", filepath.Join(dir, "result", "a.csv")) }, "leads nowhere"},
	} {
		dir, _ := beforeSome(t)
		if err := c.way(dir); err != nil {
			t.Fatal(err)
		}
		count := func() (n int) {
			_ = filepath.WalkDir(dir, func(string, os.DirEntry, error) error { n++; return nil })
			return n
		}
		before := count()
		err := some(dir).Write(t.Context())
		var said *Error
		if !errors.As(err, &said) || said.Hint == "" || !strings.Contains(said.Reason, c.says) {
			t.Errorf("%s: %v", c.name, err)
		}
		if text, err := os.ReadFile(filepath.Join(dir, "result", "b.json")); string(text) != "old b" || count() != before {
			t.Errorf("%s: b.json holds %q, %v; %d entries, before %d", c.name, text, err, count(), before)
		}
	}
}

func TestNothingLandsOnAnInput(t *testing.T) {
	dir := t.TempDir()
	photo := filepath.Join(dir, "photo.jpg")
	put(t, photo, "light")
	for name, link := range map[string]func(a, b string) error{"hard": os.Link, "soft": os.Symlink} {
		if err := link(photo, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	info, err := os.Stat(photo)
	if err != nil {
		t.Fatal(err)
	}
	held := tree(t, dir)
	for _, name := range []string{"photo.jpg", "./photo.jpg", "hard", "soft"} {
		s := Set{Inputs: []Input{{info, "the photo that is read"}}}
		s.Add(filepath.Join(dir, "other.json"), nil)
		s.Add(dir+"/"+name, []byte("numbers"))
		if err := s.Write(t.Context()); err == nil || !strings.Contains(err.Error(), "is the photo that is read") {
			t.Errorf("%s: %v", name, err)
		}
		unchanged(t, name, dir, held)
	}
	s := Set{Inputs: []Input{{info, "the photo that is read"}}}
	s.Remove(photo)
	if err := s.Write(t.Context()); err == nil {
		t.Error("an input was taken away")
	}
	unchanged(t, "to be removed", dir, held)
}

func TestTwoOutputsDoNotMeet(t *testing.T) {
	dir := t.TempDir()
	for _, c := range []struct {
		second string
		fails  bool
	}{{"same", false}, {"different", true}} {
		var s Set
		s.Add(filepath.Join(dir, "a"), []byte("same"))
		s.Add(dir+"/./a", []byte(c.second))
		if err := s.Write(t.Context()); (err != nil) != c.fails {
			t.Errorf("%s: %v", c.second, err)
		}
	}
}

// 255 bytes are what most file systems allow (common practice, no source).
func TestALongNameIsWritten(t *testing.T) {
	name := filepath.Join(t.TempDir(), strings.Repeat("n", 254))
	for range 2 {
		var s Set
		s.Add(name, []byte("1"))
		if err := s.Write(t.Context()); err != nil {
			t.Error(err)
		}
	}
}

func TestALinkIsFollowed(t *testing.T) {
	dir := t.TempDir()
	put(t, filepath.Join(dir, "there", "a"), "old")
	link := filepath.Join(dir, "link")
	if err := os.Symlink(filepath.Join("there", "a"), link); err != nil {
		t.Fatal(err)
	}
	var s Set
	s.Add(link, []byte("new"))
	if err := s.Write(t.Context()); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is %v, %v", info.Mode(), err)
	}
	unchanged(t, "written", dir, map[string]string{"there/": "", "there/a": "new", "link": "new"})
}

func TestNameOfAFolderIsNoFile(t *testing.T) {
	dir := t.TempDir()
	var s Set
	s.Add(filepath.Join(dir, "tr")+"/", []byte("1"))
	if err := s.Write(t.Context()); err == nil || !strings.Contains(err.Error(), "name of a folder") {
		t.Error(err)
	}
	unchanged(t, "refused", dir, map[string]string{})
}

func TestACancelledSetChangesNothing(t *testing.T) {
	dir, held := beforeSome(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := some(dir).Write(ctx); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
	unchanged(t, "cancelled", dir, held)
}

// Whenever Close is called, sets are there or not, and none comes after it.
func TestCloseLeavesWholeSetsOnly(t *testing.T) {
	defer func() { room.closed = false }()
	for range 20 {
		dir, held := beforeSome(t)
		room.closed = false
		done := make(chan error, 1)
		go func() { done <- some(dir).Write(t.Context()) }()
		sets := Close()
		got := tree(t, dir)
		if err := <-done; err != nil {
			unchanged(t, "refused", dir, held)
		} else if got["result/a.csv"] != "new a" || got["far/away/d.json"] != "new d" || sets == 0 {
			t.Errorf("after %d sets the folder holds %q", sets, got)
		}
		for name := range got {
			if strings.Contains(name, passingPart) {
				t.Errorf("%s is left", name)
			}
		}
	}
}
