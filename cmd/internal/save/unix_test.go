//go:build unix

package save

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func TestPermissionsAreTheMasksOrTheOldFiles(t *testing.T) {
	defer syscall.Umask(syscall.Umask(0o027))
	dir := t.TempDir()
	old := filepath.Join(dir, "old")
	put(t, old, "1")
	if err := os.Chmod(old, 0o604); err != nil {
		t.Fatal(err)
	}
	var s Set
	s.AddFolder(dir, map[string][]byte{"new": nil, "old": nil})
	if err := s.Write(t.Context()); err != nil {
		t.Fatal(err)
	}
	for name, want := range map[string]os.FileMode{"new": 0o640, "old": 0o604} {
		if info, err := os.Stat(filepath.Join(dir, name)); err != nil || info.Mode() != want {
			t.Errorf("%s has %v, %v", name, info.Mode(), err)
		}
	}
}

func TestADeviceIsWrittenInto(t *testing.T) {
	if info, err := os.Stat(os.DevNull); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Fatal("this machine has no null device")
	}
	dir := t.TempDir()
	null := filepath.Join(dir, "null")
	if err := os.Symlink(os.DevNull, null); err != nil {
		t.Fatal(err)
	}
	var s Set
	s.Add(null, []byte("1"))
	s.Add(filepath.Join(dir, "a"), []byte("1"))
	if err := s.Write(t.Context()); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(null); err != nil || info.Mode()&os.ModeDevice == 0 {
		t.Errorf("the device is %v, %v", info.Mode(), err)
	}
}

func TestAPipeIsWrittenInto(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o666); err != nil {
		t.Fatal(err)
	}
	came := make(chan string, 1)
	go func() {
		f, err := os.Open(pipe)
		if err != nil {
			came <- err.Error()
			return
		}
		defer f.Close()
		text, _ := io.ReadAll(f)
		came <- string(text)
	}()
	var s Set
	s.Add(pipe, []byte("numbers"))
	if err := s.Write(t.Context()); err != nil {
		t.Error(err)
	}
	if got := <-came; got != "numbers" {
		t.Errorf("the reader got %q", got)
	}
}

func TestAPipeWithoutAReaderIsAnError(t *testing.T) {
	dir, held := beforeSome(t)
	pipe := filepath.Join(t.TempDir(), "pipe")
	if err := syscall.Mkfifo(pipe, 0o666); err != nil {
		t.Fatal(err)
	}
	s := some(dir)
	s.Add(pipe, []byte("numbers"))
	if err := s.Write(t.Context()); err == nil || !strings.Contains(err.Error(), "nothing reads from this pipe") {
		t.Error(err)
	}
	unchanged(t, "nobody read", dir, held)
	if f, err := os.OpenFile(pipe, os.O_RDWR, 0); err == nil { // lets the one that waits go on
		f.Close()
	}
}
