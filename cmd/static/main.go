// Static makes a folder of static files that any web host can serve: the page, with the core as WebAssembly, so that
// each visitor's own browser does the work and no photo leaves it.
//
//	go run ./cmd/static FOLDER
//
// It runs the go command, and must be started inside this module.
package main

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"

	"quadrille/cmd/internal/desk"
	"quadrille/testdata/photos"
)

func main() {
	if len(os.Args) != 2 || strings.HasPrefix(os.Args[1], "-") {
		fmt.Fprintln(os.Stderr, "static: give one folder: go run ./cmd/static FOLDER")
		os.Exit(2)
	}
	if err := make(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "static:", err)
		os.Exit(1)
	}
}

// make fills the folder dir, which is made if it is not there. Other files in it stay.
func make(dir string) error {
	files := map[string][]byte{}
	err := fs.WalkDir(desk.Page, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files[name], err = fs.ReadFile(desk.Page, name)
		return err
	})
	if err != nil {
		return err
	}
	if err := addCore(files); err != nil {
		return err
	}
	if err := addSamples(files); err != nil {
		return err
	}
	files["where.js"] = bytes.Replace(files["where.js"], []byte("core = 'server'"), []byte("core = 'worker'"), 1)
	files["offline.js"] = offline(files)
	for name, b := range files {
		at := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(at), 0o777); err != nil {
			return err
		}
		if err := os.WriteFile(at, b, 0o666); err != nil {
			return err
		}
	}
	fmt.Printf("%d files in %s; the core has %.2f MB, packed\n", len(files), dir, float64(len(files["core.wasm.gz"]))/1e6)
	return nil
}

// The most that the core may have, bytes: what a phone must load, and hold. A build above is refused; what goes beyond
// must be paid for elsewhere. So the core's packages read texts without regexp, and sort by a rule with the sort
// package, which is compiled once, where slices.SortFunc is for each type anew.
const mostRaw, mostPacked = 14_000_000, 3_200_000

// small are the packages whose functions are not put into their callers, which makes the core smaller by a tenth. They
// are the runtime and most others, not those whose loops over pixels call many; a reading in a worker takes up to a
// tenth longer.
var small = []string{"quadrille/cmd/...", "quadrille/calibrate/...", "quadrille/analysis/...",
	"quadrille/vision/graticule", "quadrille/vision/frame", "quadrille/vision/marks", "quadrille/vision/trace",
	"quadrille/vision/upright", "quadrille/vision/sketch", "quadrille/vision/squares", "quadrille/vision/path",
	"quadrille/vision/sheet", "quadrille/vision/stroke", "quadrille/vision/fit", "quadrille/vision/scene",
	"quadrille/vision/lattice", "quadrille/vision/photo", "quadrille/vision/raster", "gonum.org/v1/gonum/...",
	"golang.org/x/image/...", "archive/...", "bufio", "bytes", "compress/...", "context", "crypto/...",
	"encoding/...", "errors", "fmt", "hash/...", "image", "image/color", "image/draw", "image/jpeg", "image/png",
	"internal/...", "io", "maps", "math", "math/rand/v2", "os", "path/...", "reflect", "runtime/...", "slices",
	"sort", "strconv", "strings", "sync/...", "syscall/...", "time", "unicode/..."}

// addCore builds the core, and takes the script that starts it from the same toolchain.
func addCore(files map[string][]byte) error {
	tmp, err := os.MkdirTemp("", "quadrille-core")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	core := filepath.Join(tmp, "core.wasm")
	args := []string{"build", "-trimpath", "-ldflags=-s -w -buildid="}
	for _, p := range small {
		args = append(args, "-gcflags="+p+"=-l")
	}
	build := exec.Command("go", append(args, "-o", core, "quadrille/cmd/browser")...)
	build.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm")
	if out, err := build.CombinedOutput(); err != nil {
		return fmt.Errorf("building the core: %w\n%s", err, out)
	}
	b, err := os.ReadFile(core)
	if err != nil {
		return err
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := z.Write(b); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	if len(b) > mostRaw || packed.Len() > mostPacked {
		return fmt.Errorf("the core has %d bytes, packed %d: it may have %d, packed %d", len(b), packed.Len(), mostRaw, mostPacked)
	}
	files["core.wasm.gz"] = packed.Bytes()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		return err
	}
	files["wasm_exec.js"], err = os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	return err
}

// addSamples takes the simulated photos.
func addSamples(files map[string][]byte) error {
	list, err := fs.ReadDir(photos.Samples, ".")
	if err != nil {
		return err
	}
	for _, f := range list {
		if files["samples/"+f.Name()], err = fs.ReadFile(photos.Samples, f.Name()); err != nil {
			return err
		}
	}
	return nil
}

// offline writes into the script that keeps the page which files there are, and their version. Samples are left to be
// loaded when they are wanted.
func offline(files map[string][]byte) []byte {
	var names []string
	sum := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(files)) {
		sum.Write(files[name])
		if name != "offline.js" && !strings.HasPrefix(name, "samples/") {
			names = append(names, "'"+name+"'")
		}
	}
	script := bytes.Replace(files["offline.js"], []byte("'FILES'"), []byte("'./', "+strings.Join(names, ", ")), 1)
	return bytes.Replace(script, []byte("'VERSION'"), fmt.Appendf(nil, "'%x'", sum.Sum(nil)[:8]), 1)
}
