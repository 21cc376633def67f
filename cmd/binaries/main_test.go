package main

import (
	"crypto/sha256"
	"encoding/hex"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// The folder has the program of this machine, which runs; the licences of all modules in it; and checksums that are
// theirs. A folder that is there is left alone.
func TestTheFolderHasWhatIsHandedOut(t *testing.T) {
	here := platform{runtime.GOOS, runtime.GOARCH}
	out := filepath.Join(t.TempDir(), "made", "binaries")
	if err := run(out, []platform{here}, io.Discard); err != nil {
		t.Fatal(err)
	}
	help, err := exec.Command(filepath.Join(out, here.file()), "--help").CombinedOutput()
	if err != nil || !strings.Contains(string(help), "quadrille [command]") {
		t.Errorf("%v: %s", err, help)
	}
	read := exec.Command(filepath.Join(out, here.file()), "read", "../../vision/photo/testdata/decay.heic", "--volts-per-box", "1.5V", "--time-per-box", "5s", "--ground", "bottom")
	if said, err := read.CombinedOutput(); here.tags() != "" && (err != nil || !strings.Contains(string(said), "10.34")) {
		t.Errorf("a HEIC photo of τ = 10.34 s: %v: %s", err, said)
	}
	licences, err := os.ReadFile(filepath.Join(out, licencesName))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"==== quadrille, ", "==== Go and its standard library, ", "==== github.com/spf13/cobra v", "==== gonum.org/v1/gonum v", "Apache License", "LICENSE.libheif", "LICENSE.libde265", "GNU LESSER GENERAL PUBLIC LICENSE"} {
		if !strings.Contains(string(licences), want) {
			t.Errorf("no %q among the licences", want)
		}
	}
	if strings.Contains(string(licences), "rapid") {
		t.Error("a module of the tests is among the licences")
	}
	sums, err := os.ReadFile(filepath.Join(out, sumsName))
	if err != nil {
		t.Fatal(err)
	}
	files := 0
	for line := range strings.Lines(string(sums)) {
		sum, name, _ := strings.Cut(strings.TrimSpace(line), "  ")
		content, err := os.ReadFile(filepath.Join(out, name))
		if err != nil {
			t.Fatal(err)
		}
		if own := sha256.Sum256(content); hex.EncodeToString(own[:]) != sum {
			t.Errorf("%s: the checksum is another", name)
		}
		files++
	}
	if files != 2 {
		t.Errorf("%d checksums, want those of the program and of the licences", files)
	}
	if err := run(out, nil, io.Discard); err == nil || !strings.Contains(err.Error(), "is there already") {
		t.Errorf("a folder that is there: %v", err)
	}
}

// A platform that Go does not know leaves nothing behind.
func TestAFailedBuildLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	if err := run(filepath.Join(dir, "binaries"), []platform{{"toaster", "amd64"}}, io.Discard); err == nil || !strings.Contains(err.Error(), "toaster/amd64") {
		t.Errorf("error %v", err)
	}
	if left, _ := os.ReadDir(dir); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
