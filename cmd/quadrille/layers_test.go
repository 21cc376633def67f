package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// rooms lists, for each package, the packages of this module that it may import. The arrows go one
// way: a room may use those below it, never one above.
var rooms = map[string]string{
	"vision":                    "",
	"vision/geom":               "",
	"vision/raster":             "vision/geom",
	"vision/photo":              "vision/geom vision/raster calibrate/remark",
	"vision/scene":              "vision/geom vision/raster vision/photo",
	"vision/lattice":            "vision/geom vision/raster vision/scene",
	"vision/frame":              "vision/geom vision/raster vision/scene vision/lattice",
	"vision/fit":                "vision/geom vision/raster vision/scene vision/lattice",
	"vision/marks":              "vision/geom vision/raster vision/scene vision/lattice vision/frame vision/fit",
	"vision/graticule":          "vision/geom vision/raster vision/photo vision/scene vision/lattice vision/frame vision/fit vision/marks calibrate/remark",
	"vision/sheet":              "vision/geom vision/raster vision/photo vision/graticule",
	"vision/path":               "vision/raster vision/sheet",
	"vision/stroke":             "vision/geom vision/raster vision/sheet vision/path",
	"vision/trace":              "vision/geom vision/raster vision/photo vision/graticule vision/sheet vision/path vision/stroke calibrate/remark",
	"vision/upright":            "vision/geom vision/raster vision/photo vision/graticule",
	"vision/squares":            "vision/geom vision/raster vision/photo vision/scene vision/lattice",
	"vision/sketch":             "vision/geom vision/raster vision/photo vision/squares vision/trace calibrate/remark",
	"vision/synth":              "vision/geom vision/raster",
	"calibrate/unit":            "",
	"calibrate/remark":          "",
	"calibrate":                 "calibrate/unit calibrate/remark vision/trace vision/geom",
	"analysis/lsq":              "",
	"analysis/drawing":          "calibrate/remark",
	"analysis":                  "analysis/lsq calibrate calibrate/unit calibrate/remark",
	"cmd/internal/reading":      "vision/geom vision/photo vision/graticule vision/upright vision/trace vision/squares vision/sketch calibrate calibrate/unit calibrate/remark analysis",
	"cmd/internal/report/words": "calibrate/remark calibrate/unit analysis",
	"cmd/internal/wire":         "cmd/internal/reading cmd/internal/report/words vision/geom vision/photo vision/graticule vision/trace vision/squares vision/sketch calibrate calibrate/unit calibrate/remark analysis",
	"cmd/internal/save":         "",
	"cmd/internal/notebook":     "cmd/internal/wire cmd/internal/check cmd/internal/reading cmd/internal/report/words vision/photo calibrate calibrate/unit",
	"cmd/internal/compare":      "cmd/internal/wire analysis calibrate/unit",
	"cmd/internal/check":        "cmd/internal/wire cmd/internal/reading analysis analysis/drawing calibrate calibrate/unit calibrate/remark vision/trace vision/geom",
	"cmd/internal/report":       "cmd/internal/wire cmd/internal/compare cmd/internal/check cmd/internal/reading cmd/internal/report/words vision/geom vision/raster vision/photo vision/graticule vision/trace calibrate calibrate/unit calibrate/remark analysis",
	"cmd/internal/handout":      "cmd/internal/report cmd/internal/wire",
	"cmd/internal/experiment":   "cmd/internal/notebook cmd/internal/reading cmd/internal/wire cmd/internal/compare cmd/internal/check cmd/internal/report calibrate/unit",
	"cmd/internal/live":         "cmd/internal/wire cmd/internal/compare cmd/internal/check cmd/internal/report cmd/internal/reading vision/geom",
	"cmd/internal/desk":         "cmd/internal/live cmd/internal/wire",
	"cmd/static":                "cmd/internal/desk testdata/photos",
	"cmd/binaries":              "",
	"cmd/quadrille":             "*",
}

// outside are packages that the core must not import, so that it can run as WebAssembly in a page:
// it has no files, no network, no processes and no terminal there.
var outside = []string{"os", "net/http", "os/exec", "log", "flag"}

// owners are packages that only the named rooms may import.
var owners = map[string]string{
	"github.com/spf13/cobra":            "cmd/quadrille",
	"github.com/disintegration/imaging": "vision/photo vision/synth cmd/internal/report",
	"golang.org/x/image/webp":           "vision/photo",
	"image/jpeg":                        "vision/photo vision/synth cmd/internal/report",
	"image/png":                         "vision/photo vision/synth cmd/internal/report cmd/internal/handout cmd/quadrille",
	"golang.org/x/image/vector":         "cmd/internal/handout",
	"golang.org/x/image/font/sfnt":      "cmd/internal/handout",
	"github.com/gen2brain/heic":         "vision/photo",
	"github.com/piglig/go-qr":           "cmd/quadrille",
	"net/http":                          "cmd/internal/desk",
	"go.yaml.in/yaml/v4":                "cmd/internal/notebook",
}

func TestImportsGoOneWay(t *testing.T) {
	list, err := exec.Command("go", "list", "-tags", "heic,nodynamic", "-f", `{{.ImportPath}} {{join .Imports " "}}`, "quadrille/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for line := range strings.Lines(string(list)) {
		words := strings.Fields(line)
		room := strings.TrimPrefix(words[0], "quadrille/")
		allowed, known := rooms[room]
		if !known {
			t.Errorf("%s is not a room of this house: add it to the table, or take it away", room)
			continue
		}
		seen[room] = true
		core := !strings.HasPrefix(room, "cmd/")
		for _, imp := range words[1:] {
			if ours, ok := strings.CutPrefix(imp, "quadrille/"); ok {
				if allowed != "*" && !slices.Contains(strings.Fields(allowed), ours) {
					t.Errorf("%s must not import %s", room, ours)
				}
				continue
			}
			if core && slices.Contains(outside, imp) {
				t.Errorf("%s must not import %s: the core has to run without an operating system", room, imp)
			}
			if owner, ok := owners[imp]; ok && !slices.Contains(strings.Fields(owner), room) {
				t.Errorf("%s must not import %s, which belongs to %s", room, imp, owner)
			}
		}
	}
	for room := range rooms {
		if !seen[room] {
			t.Errorf("%s is in the table but not in the house", room)
		}
	}
}

// What the browser's core must not carry: templates keep every method of everything by reflection (a third of its
// size), regular expressions come with the tables of Unicode (0.12 MB, packed), and a command line, a server and a
// simulator are of no use to it.
func TestBrowsersCoreCarriesNoMore(t *testing.T) {
	list := exec.Command("go", "list", "-deps", "quadrille/cmd/browser")
	list.Env = append(list.Environ(), "GOOS=js", "GOARCH=wasm")
	out, err := list.Output()
	if err != nil {
		t.Fatal(err)
	}
	deps := strings.Fields(string(out))
	if !slices.Contains(deps, "quadrille/cmd/internal/live") {
		t.Fatal("the core does not answer a page")
	}
	for _, bad := range []string{"html/template", "text/template", "encoding/gob", "encoding/xml", "net/http", "flag", "github.com/spf13/cobra",
		"regexp", "golang.org/x/image/vector", "golang.org/x/image/font/sfnt", "quadrille/vision/synth", "quadrille/cmd/internal/desk",
		"quadrille/cmd/internal/save"} {
		if slices.Contains(deps, bad) {
			t.Errorf("the core carries %s", bad)
		}
	}
}
