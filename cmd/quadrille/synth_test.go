package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/spf13/pflag"

	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// The commands that the README of the test data gives must still make the truths that lie beside the
// photos, and the photos must be what the truths say: as large, and a few hundred kilobytes.
func TestCommittedPhotosAreMadeByTheirCommands(t *testing.T) {
	readme, err := os.ReadFile("../../testdata/README.md")
	if err != nil {
		t.Fatal(err)
	}
	made := 0
	for line := range strings.Lines(string(readme)) {
		command, ok := strings.CutPrefix(line, "$ quadrille synth ")
		if !ok {
			continue
		}
		made++
		args := strings.Fields(command)
		f, flags := new(synthFlags), pflag.NewFlagSet("synth", pflag.ContinueOnError)
		f.bind(flags)
		if err := flags.Parse(args[1:]); err != nil {
			t.Errorf("%s: %v", args[0], err)
			continue
		}
		scene, err := f.scene()
		if err != nil {
			t.Errorf("%s: %v", args[0], err)
			continue
		}
		want, err := scene.Truth()
		if err != nil {
			t.Errorf("%s: %v", args[0], err)
			continue
		}
		name := filepath.Join("../../testdata/photos", args[0])
		text, err := os.ReadFile(strings.TrimSuffix(name, ".jpg") + ".json")
		if err != nil {
			t.Error(err)
			continue
		}
		got, err := synth.DecodeTruth(text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		checkTruth(t, args[0], got, want)
		data, err := os.ReadFile(name)
		if err != nil {
			t.Error(err)
			continue
		}
		ph, err := photo.Decode(t.Context(), data, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if ph.W != got.WidthPx || ph.H != got.HeightPx || ph.Source.Orientation != got.Orientation || len(data) > 400e3 {
			t.Errorf("%s: %d × %d, orientation %d, %d bytes; truth %d × %d, orientation %d", name, ph.W, ph.H, ph.Source.Orientation, len(data), got.WidthPx, got.HeightPx, got.Orientation)
		}
	}
	if photos, _ := filepath.Glob("../../testdata/photos/*.jpg"); made != len(photos) || made < 4 {
		t.Errorf("%d commands for %d photos", made, len(photos))
	}
}

// checkTruth compares within rounding: other machines add up in another order.
func checkTruth(t *testing.T, name string, got, want synth.Truth) {
	t.Helper()
	for j := range want.NodesPx {
		for i, w := range want.NodesPx[j] {
			if g := got.NodesPx[j][i]; math.Hypot(g[0]-w[0], g[1]-w[1]) > 1e-6 {
				t.Errorf("%s: node %d, %d lies at %v, the command gives %v", name, j, i, g, w)
				return
			}
		}
	}
	a, b := got.Traces[0], want.Traces[0]
	for i := range b.XBox {
		if len(a.XBox) != len(b.XBox) || math.Abs(a.YBox[i]-b.YBox[i]) > 1e-9 {
			t.Errorf("%s: the ideal curve differs from the command's", name)
			return
		}
	}
	if a.Signal != b.Signal || a.VoltsPerBox != b.VoltsPerBox || a.GroundBox != b.GroundBox || got.TimePerBox != want.TimePerBox || got.Seed != want.Seed {
		t.Errorf("%s: signal and settings %+v differ from the command's", name, a)
	}
}

func TestSynthWritesPhotoAndTruth(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"a.jpg", "b.png"} {
		var out, errs bytes.Buffer
		path := filepath.Join(dir, name)
		if status := run(t.Context(), []string{"synth", path, "--megapixels", "0.1", "--display", "tube"}, &out, &errs); status != exitRead {
			t.Fatalf("%s: exit %d: %s", name, status, &errs)
		}
		if !strings.Contains(out.String(), "τ = 10.34 s") {
			t.Errorf("%s: says %q", name, &out)
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := photo.Decode(t.Context(), data, nil); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		text, err := os.ReadFile(strings.TrimSuffix(path, filepath.Ext(path)) + ".json")
		if err != nil {
			t.Fatal(err)
		}
		var truth map[string]any
		if err := json.Unmarshal(text, &truth); err != nil || truth["columns"] != 10.0 {
			t.Errorf("%s: truth %v, %v", name, truth["columns"], err)
		}
	}
}

func TestSynthRefusesAndWritesNothing(t *testing.T) {
	for _, args := range [][]string{
		{}, {"a.jpg", "b.jpg"}, {"a.tif"}, {"a.jpg", "--display", "paper"}, {"a.jpg", "--boxes", "10y8"}, {"a.jpg", "--boxes", "10x8x"},
		{"a.jpg", "--tau", "-1s"}, {"a.jpg", "--tau", "5V"}, {"a.jpg", "--tilt", "8"}, {"a.jpg", "--tilt", "89,0"}, {"a.jpg", "--megapixels", "1e9"}, {"a.jpg", "--megapixels", "17"},
		{"a.jpg", "--quality", "0"}, {"a.jpg", "--quality", "80.5"}, {"a.jpg", "--orientation", "9"}, {"a.png", "--orientation", "6"},
		{"a.jpg", "--random", "x"}, {"a.jpg", "--trouble", "thunder"}, {"a.jpg", "--noise", "NaN"}, {"a.jpg", "--grid", "none"}, {"a.jpg", "--volts-per-box", "0V"},
	} {
		dir := t.TempDir()
		for i, a := range args {
			if strings.HasPrefix(a, "a.") || strings.HasPrefix(a, "b.") {
				args[i] = filepath.Join(dir, a)
			}
		}
		var out, errs bytes.Buffer
		if status := run(t.Context(), append([]string{"synth"}, args...), &out, &errs); status != exitUsage {
			t.Errorf("%v: exit %d", args, status)
		}
		if !strings.Contains(errs.String(), "quadrille: error: ") || !strings.Contains(errs.String(), "quadrille: hint: ") {
			t.Errorf("%v: says %q", args, &errs)
		}
		if left, _ := os.ReadDir(dir); len(left) > 0 {
			t.Errorf("%v: left %s behind", args, left[0].Name())
		}
	}
	var out, errs bytes.Buffer
	if status := run(t.Context(), []string{"synth", "/dev/null/a.jpg", "--megapixels", "0.02"}, &out, &errs); status != exitFailed {
		t.Errorf("a folder that cannot be: exit %d, %s", status, &errs)
	}
}
