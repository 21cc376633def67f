// Binaries makes the ready programs that are handed to people who have no Go: one file a platform, with the licences of
// all that is in them and a list of checksums that "sha256sum -c" takes.
//
//	go run ./cmd/binaries -out binaries
//
// It runs on every platform that Go runs on and needs nothing but Go. The same commit and the same Go make the same
// bytes, whatever machine they are made on (-trimpath, no cgo), so that a checksum can be checked by making it again.
package main

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// platforms are those of students' and laboratories' machines: desktops and laptops of the last ten years, and the
// small boards that stand beside an instrument (common practice, no source).
var platforms = []platform{
	{"windows", "amd64"}, {"windows", "arm64"},
	{"darwin", "arm64"}, {"darwin", "amd64"},
	{"linux", "amd64"}, {"linux", "arm64"}, {"linux", "arm"},
}

// A platform is an operating system and a processor, as Go calls them.
type platform struct{ system, processor string }

// tags gives the build tags for p. All have the reader of HEIC, 3 MB of 20, but those of processors for which its
// sandbox has no compiler: interpreted, a photo of 12 megapixels would take longer than a photo may.
func (p platform) tags() string {
	if p.processor == "arm" {
		return ""
	}
	return "heic,nodynamic"
}

// file is the name of the program for p.
func (p platform) file() string {
	name := "quadrille-" + p.system + "-" + p.processor
	if p.system == "windows" {
		name += ".exe"
	}
	return name
}

const (
	sumsName     = "SHA256SUMS"
	licencesName = "LICENCES.txt"
	program      = "quadrille/cmd/quadrille"
	heicModule   = "github.com/gen2brain/heic"
)

// heicNotice is what the licence of the libraries in the reader of HEIC asks for: that they are in it, where their text
// is, and how to put others in their place (LGPL 3, section 4).
const heicNotice = `==== libheif and libde265

The program reads HEIC photos with libheif and libde265, which are under the GNU Lesser General Public License, version 3,
and embedded as WebAssembly by the module github.com/gen2brain/heic. Its file lib/Makefile says from which sources they
are built and how. To use others, build them so, put a copy of the module with them in the place of the one in go.mod
(go mod edit -replace), and build the program with: go build -tags heic,nodynamic ./cmd/quadrille

`

func main() {
	out := flag.String("out", "binaries", "folder for the programs; it is made, and must not be there yet")
	only := flag.String("only", "", "one platform only, such as linux/amd64")
	flag.Parse()
	list := platforms
	if *only != "" {
		system, processor, ok := strings.Cut(*only, "/")
		if !ok {
			fail(fmt.Errorf("-only %s: give a system and a processor, such as linux/amd64", *only))
		}
		list = []platform{{system, processor}}
	}
	if err := run(*out, list, os.Stdout); err != nil {
		fail(err)
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, "binaries:", err)
	os.Exit(1)
}

// run makes the programs for a list of platforms in a folder beside out, which takes its name when all are there.
func run(out string, list []platform, say io.Writer) (err error) {
	if _, err := os.Stat(out); !errors.Is(err, os.ErrNotExist) {
		return fmt.Errorf("%s is there already: take it away, or give another folder with -out", out)
	}
	if err := os.MkdirAll(filepath.Dir(out), 0o777); err != nil {
		return err
	}
	dir, err := os.MkdirTemp(filepath.Dir(out), ".binaries-*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir) // nothing is left of it once it is renamed
	for _, p := range list {
		fmt.Fprintln(say, p.file())
		if err := build(filepath.Join(dir, p.file()), p); err != nil {
			return err
		}
	}
	licences, err := licencesOf(list)
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(dir, licencesName), licences, 0o666); err != nil {
		return err
	}
	if err := writeSums(dir); err != nil {
		return err
	}
	if err := os.Chmod(dir, 0o755); err != nil { // a passing folder is its maker's alone
		return err
	}
	return os.Rename(dir, out)
}

// build makes the program for p without what belongs to this machine.
func build(path string, p platform) error {
	_, err := goCommand(p, "build", "-trimpath", "-tags="+p.tags(), "-ldflags=-s -w", "-o", path, program)
	return err
}

// goCommand runs go for a platform, without cgo, and gives what it prints.
func goCommand(p platform, args ...string) (string, error) {
	c := exec.Command("go", args...)
	c.Env = append(os.Environ(), "GOOS="+p.system, "GOARCH="+p.processor, "CGO_ENABLED=0", "GOARM=7", "GOFLAGS=-mod=readonly")
	var out, errs bytes.Buffer
	c.Stdout, c.Stderr = &out, &errs
	if err := c.Run(); err != nil {
		return "", fmt.Errorf("go %s for %s/%s: %w\n%s", args[0], p.system, p.processor, err, errs.Bytes())
	}
	return out.String(), nil
}

// licencesOf gives the licence of this program, and of Go and every module that is compiled in on any of the platforms.
func licencesOf(list []platform) ([]byte, error) {
	goRoot, err := goCommand(list[0], "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	from := map[string]string{"Go and its standard library": strings.TrimSpace(goRoot)}
	for _, p := range list {
		modules, err := goCommand(p, "list", "-deps", "-tags="+p.tags(), "-f", "{{with .Module}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}", program)
		if err != nil {
			return nil, err
		}
		for line := range strings.Lines(modules) {
			if name, dir, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				from[strings.TrimSpace(name)] = dir
			}
		}
	}
	names := make([]string, 0, len(from))
	for name := range from {
		names = append(names, name)
	}
	slices.Sort(names)
	var b bytes.Buffer
	for _, name := range names {
		found, err := filepath.Glob(filepath.Join(from[name], "LICEN[CS]E*"))
		if err != nil || len(found) == 0 {
			return nil, fmt.Errorf("%s has no file of its licence in %s", name, from[name])
		}
		if strings.HasPrefix(name, heicModule+" ") {
			embedded, err := filepath.Glob(filepath.Join(from[name], "lib", "LICEN[CS]E*"))
			if err != nil || len(embedded) != 2 {
				return nil, fmt.Errorf("%s has the licences %q of what it embeds, want those of libheif and libde265", name, embedded)
			}
			found = append(found, embedded...)
			b.WriteString(heicNotice)
		}
		for _, file := range found {
			text, err := os.ReadFile(file)
			if err != nil {
				return nil, err
			}
			fmt.Fprintf(&b, "==== %s, %s\n\n%s\n\n", name, filepath.Base(file), bytes.TrimSpace(bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))))
		}
	}
	return b.Bytes(), nil
}

// writeSums writes the SHA-256 (FIPS 180-4) of each file of dir, a line each.
func writeSums(dir string) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, e := range entries {
		f, err := os.Open(filepath.Join(dir, e.Name()))
		if err != nil {
			return err
		}
		h := sha256.New()
		_, err = io.Copy(h, f)
		f.Close()
		if err != nil {
			return err
		}
		fmt.Fprintf(&b, "%x  %s\n", h.Sum(nil), e.Name())
	}
	return os.WriteFile(filepath.Join(dir, sumsName), []byte(b.String()), 0o666)
}
