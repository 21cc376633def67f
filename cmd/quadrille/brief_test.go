package main

import (
	"bytes"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// What the README's first command prints fits a window of ordinary height, in the order of what a person needs: the
// answer, whether it agrees, the results. Nobody sits at a terminal, so that no progress is shown.
func TestAUsualPhotoFitsAWindow(t *testing.T) {
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	first := regexp.MustCompile(`(?m)^go run \./cmd/quadrille (read .*) --out result$`).FindStringSubmatch(string(text))
	if first == nil {
		t.Fatal("the README has no first command")
	}
	t.Chdir("../..")
	var out, errs bytes.Buffer
	if status := run(t.Context(), strings.Fields(first[1]), &out, &errs); status != exitRead {
		t.Fatalf("exit status %d: %s", status, errs.String())
	}
	if strings.Contains(errs.String(), "…") || strings.Contains(errs.String(), "\r") {
		t.Errorf("a pipe is shown progress: %q", errs.String())
	}
	if n := strings.Count(out.String(), "\n"); n > 25 {
		t.Errorf("%d lines:\n%s", n, out.String())
	}
	inOrder(t, out.String(), "Decay: time constant τ = (10.3", "Do they agree?", "half-lives", "R·C", "τ: curve through the points", "Read with", "--full")
}

// A photo that lies on its side is one doubt, with what to do, and not also all that comes of it.
func TestAPhotoOnItsSideIsOneDoubt(t *testing.T) {
	f, err := os.Open("../../testdata/photos/sine-colour.jpg")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	upright, err := jpeg.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	b := upright.Bounds()
	side := image.NewRGBA(image.Rect(0, 0, b.Dy(), b.Dx()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			side.Set(b.Dy()-1-y, x, upright.At(x, y))
		}
	}
	var photo bytes.Buffer
	if err := jpeg.Encode(&photo, side, &jpeg.Options{Quality: 92}); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "side.jpg")
	if err := os.WriteFile(name, photo.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	var out, errs bytes.Buffer
	if status := run(t.Context(), []string{"read", name, "--volts-per-box", "1V", "--time-per-box", "5ms"}, &out, &errs); status != exitDoubted {
		t.Fatalf("exit status %d: %s", status, errs.String())
	}
	if n := strings.Count(out.String(), "\n  ! "); n != 1 {
		t.Errorf("%d doubts:\n%s", n, out.String())
	}
	inOrder(t, out.String(), "Look at this before you use the numbers:", "lie on their side: try --turn 270", "more may come of that")
}

// inOrder checks that all of the parts are in the text, one after the other.
func inOrder(t *testing.T, text string, parts ...string) {
	t.Helper()
	rest := text
	for _, p := range parts {
		_, after, ok := strings.Cut(rest, p)
		if !ok {
			t.Fatalf("%q is not behind what comes before it in\n%s", p, text)
		}
		rest = after
	}
}
