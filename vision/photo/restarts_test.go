package photo

import (
	"errors"
	"image"
	"os"
	"slices"
	"testing"
)

// The files were made by cjpeg and jpegtran of libjpeg-turbo 2.1.5: odd22.jpg has 65 × 49 pixels and chroma halved both
// ways, odd22-restarts.jpg the same coefficients in progressive scans with a restart marker every two units, and
// odd22-alone.jpg in sequential scans of one component each, one every three; likewise odd21 and odd12.
func TestRestartMarkersChangeNoPixel(t *testing.T) {
	for _, c := range []struct{ plain, restarts string }{
		{"odd22", "odd22-restarts"}, {"odd21", "odd21-restarts"}, {"odd12", "odd12-restarts"}, {"odd22", "odd22-alone"},
	} {
		var light [2][]float32
		for i, name := range []string{c.plain, c.restarts} {
			data, err := os.ReadFile("testdata/" + name + ".jpg")
			if err != nil {
				t.Fatal(err)
			}
			if apart := scanJPEG(data).apart; apart != (i == 1) {
				t.Errorf("%s: taken apart %t", name, apart)
			}
			p, err := Decode(t.Context(), data, nil)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			if p.W != 65 || p.H != 49 {
				t.Fatalf("%s: %d × %d", name, p.W, p.H)
			}
			for k, plane := range p.Reduced(1) {
				light[i] = append(light[i], plane.Pix...)
				if k == 0 && slices.Min(plane.Pix) == slices.Max(plane.Pix) {
					t.Errorf("%s: nothing is on the picture", name)
				}
			}
		}
		if !slices.Equal(light[0], light[1]) {
			t.Errorf("%s differs from %s", c.restarts, c.plain)
		}
	}
}

// Cut or altered anywhere, such a file is a picture or an error with a hint.
func TestDamagedRestartsAreAnError(t *testing.T) {
	data, err := os.ReadFile("testdata/odd22-restarts.jpg")
	if err != nil {
		t.Fatal(err)
	}
	wrong := 0
	for i := range data {
		for _, damaged := range [][]byte{data[:i], slices.Concat(data[:i], []byte{data[i] ^ 0x55}, data[i+1:])} {
			p, err := Decode(t.Context(), damaged, &Options{MaxPixels: 1 << 16})
			var format *FormatError
			var unsupported *UnsupportedError
			switch {
			case err == nil && !image.Rect(0, 0, p.W, p.H).Empty():
			case errors.As(err, &format) && format.Hint != "", errors.As(err, &unsupported) && unsupported.Hint != "":
				wrong++
			default:
				t.Errorf("at %d: %v", i, err)
			}
		}
	}
	if wrong < len(data) {
		t.Errorf("only %d of %d damaged files are an error", wrong, 2*len(data))
	}
}
