package main

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"quadrille/vision/synth"
)

// The command line as a person meets it: each file of testdata/cli is a session with its files,
// exit statuses and messages.

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"quadrille": main})
}

func TestSessions(t *testing.T) {
	photos := sync.OnceValues(func() (string, error) { return smallPhotos(t) })
	testscript.Run(t, testscript.Params{
		Dir: "../../testdata/cli",
		Setup: func(env *testscript.Env) error {
			env.Setenv("XDG_CACHE_HOME", env.WorkDir+"/.kept")
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"photos": func(ts *testscript.TestScript, _ bool, _ []string) {
				folder, err := photos()
				ts.Check(err)
				ts.Setenv("PHOTOS", folder)
			},
			"make-photo": makePhoto,
			"exits":      exits,
			"zip":        zipped,
		},
	})
}

// smallPhotos makes the photos of testdata anew, by their commands but a quarter as large: the sessions read them a
// hundred times, and what they hold is how a reading is asked for and told.
func smallPhotos(t *testing.T) (folder string, err error) {
	folder = t.TempDir()
	readme, err := os.ReadFile("../../testdata/README.md")
	if err != nil {
		return "", err
	}
	for _, command := range regexp.MustCompile(`(?m)^\$ quadrille synth (.*)$`).FindAllStringSubmatch(string(readme), -1) {
		args := append([]string{"synth"}, strings.Fields(command[1])...)
		args[1] = filepath.Join(folder, args[1])
		var errs bytes.Buffer
		if status := run(t.Context(), append(args, "--megapixels", "0.6"), io.Discard, &errs); status != exitRead {
			return "", fmt.Errorf("%s: exit status %d: %s", command[1], status, errs.String())
		}
	}
	return folder, nil
}

// exits runs quadrille and checks its exit status: exits STATUS ARG...; what it printed is stdout and stderr of the
// session. That a reading is doubted must be told where the exit status says so, and nowhere else.
func exits(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) < 1 {
		ts.Fatalf("usage: exits STATUS ARG...")
	}
	status := 0
	if err := ts.Exec("quadrille", args[1:]...); err != nil {
		var exit *exec.ExitError
		if !errors.As(err, &exit) {
			ts.Fatalf("%v", err)
		}
		status = exit.ExitCode()
	}
	if fmt.Sprint(status) != args[0] {
		ts.Fatalf("exit status %d, want %s\n%s%s", status, args[0], ts.ReadFile("stdout"), ts.ReadFile("stderr"))
	}
	if len(args) > 1 && (args[1] == "read" || args[1] == "fit") {
		told := strings.Contains(ts.ReadFile("stdout"), "Look at this before you use the numbers") ||
			strings.Contains(ts.ReadFile("stderr"), "quadrille: doubt: ")
		if told != (status == exitDoubted) {
			ts.Fatalf("exit status %d, and a doubt is told: %v\n%s%s", status, told, ts.ReadFile("stdout"), ts.ReadFile("stderr"))
		}
	}
}

// zipped packs files, each under its name or under another: zip ARCHIVE [NAME=]FILE...
func zipped(ts *testscript.TestScript, _ bool, args []string) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, arg := range args[1:] {
		name, file, renamed := strings.Cut(arg, "=")
		if !renamed {
			file = name
		}
		w, err := z.Create(name)
		ts.Check(err)
		_, err = w.Write([]byte(ts.ReadFile(file)))
		ts.Check(err)
	}
	ts.Check(z.Close())
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), b.Bytes(), 0o666))
}

// makePhoto writes a picture of a kind that must be refused, or that is hard to read.
func makePhoto(ts *testscript.TestScript, _ bool, args []string) {
	if len(args) != 2 {
		ts.Fatalf("usage: make-photo KIND FILE")
	}
	data, err := map[string]func() ([]byte, error){
		"one-pixel":    func() ([]byte, error) { return encoded(1, 1, func(x, y float64) float64 { return 0.5 }) },
		"black":        func() ([]byte, error) { return encoded(1200, 900, func(x, y float64) float64 { return 0 }) },
		"cat":          cat,
		"truncated":    func() ([]byte, error) { b, err := cat(); return b[:len(b)/2], err },
		"huge-header":  hugeHeader,
		"many-scans":   manyScans,
		"drawing":      func() ([]byte, error) { return drawing(0) },
		"high-drawing": func() ([]byte, error) { return drawing(0.5) },
		"flat": func() ([]byte, error) {
			b, _, err := synth.Scene{Signals: []synth.Signal{{Form: synth.Level, VStart: 3, VEnd: 3, GroundBox: -4, VoltsPerBox: 1}}}.WithMegapixels(0.8).JPEG()
			return b, err
		},
	}[args[0]]()
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), data, 0o666))
}

func encoded(w, h int, light func(x, y float64) float64) ([]byte, error) {
	img := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			img.SetGray(x, y, color.Gray{Y: uint8(255 * min(max(light(float64(x), float64(y)), 0), 1))})
		}
	}
	var b bytes.Buffer
	err := jpeg.Encode(&b, img, nil)
	return b.Bytes(), err
}

// cat is an animal on a rug: soft shapes, fur, and no graticule.
func cat() ([]byte, error) {
	rng := rand.New(rand.NewPCG(1, 2))
	fur := make([]float64, 1200*900)
	for i := range fur {
		fur[i] = rng.NormFloat64()
	}
	blob := func(x, y, cx, cy, rx, ry float64) float64 {
		return 1 / (1 + math.Exp(6*(math.Hypot((x-cx)/rx, (y-cy)/ry)-1)))
	}
	return encoded(1200, 900, func(x, y float64) float64 {
		v := 0.35 + 0.1*math.Sin(x/190)*math.Cos(y/140)
		v += 0.35*blob(x, y, 600, 560, 330, 230) + 0.3*blob(x, y, 420, 330, 140, 130)
		v -= 0.4*blob(x, y, 375, 310, 18, 24) + 0.4*blob(x, y, 465, 310, 18, 24)
		return v + 0.03*fur[int(y)*1200+int(x)]
	})
}

// hugeHeader claims 25,000 × 20,000 pixels.
func hugeHeader() ([]byte, error) {
	b, err := encoded(16, 16, func(x, y float64) float64 { return 0.5 })
	i := bytes.Index(b, []byte{0xff, 0xc0}) // SOF0: marker, length, precision, height, width (ITU-T T.81, B.2.2)
	binary.BigEndian.PutUint16(b[i+5:], 20000)
	binary.BigEndian.PutUint16(b[i+7:], 25000)
	return b, err
}

// manyScans is a progressive JPEG (SOF2) of 4000 × 3000 pixels with 3,000 empty scans.
func manyScans() ([]byte, error) {
	b, err := encoded(16, 16, func(x, y float64) float64 { return 0.5 })
	i := bytes.Index(b, []byte{0xff, 0xc0})
	b[i+1] = 0xc2
	binary.BigEndian.PutUint16(b[i+5:], 3000)
	binary.BigEndian.PutUint16(b[i+7:], 4000)
	sos := bytes.Index(b, []byte{0xff, 0xda})
	head := b[:sos:sos]
	scan := []byte{0xff, 0xda, 0, 8, 1, 1, 0, 0, 0, 0} // one component, DC only (B.2.3)
	return append(append(head, bytes.Repeat(scan, 3000)...), 0xff, 0xd9), err
}

// drawing is a photo of the mist timer's slow discharge drawn by hand, so many boxes too high.
func drawing(high float64) ([]byte, error) {
	s := synth.MistSketch(high)
	s.Width, s.Height = 1200, 900
	b, _, err := s.JPEG()
	return b, err
}
