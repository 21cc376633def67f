//go:build heic && nodynamic && !js

package photo

import (
	"errors"
	"image/color"
	"os"
	"testing"
	"time"
)

// Both files hold four quadrants of 8-bit colours. In quarter.heic an irot property asks for a turn
// by 270° anticlockwise and the EXIF has orientation 6, the same turn: it must be made once.
func TestHEICIsTurnedOnce(t *testing.T) {
	red, green := color.RGBA{200, 40, 40, 255}, color.RGBA{40, 200, 40, 255}
	blue, grey := color.RGBA{40, 40, 200, 255}, color.RGBA{200, 200, 200, 255}
	for _, c := range []struct {
		file, taken string
		w, h        int
		want        [4]color.RGBA // top left, top right, bottom left, bottom right
	}{
		{"quadrants.heic", "", 192, 128, [4]color.RGBA{red, green, blue, grey}},
		{"quarter.heic", "2026:03:04 05:06:07", 128, 192, [4]color.RGBA{blue, red, grey, green}},
	} {
		p, err := Decode(t.Context(), read(t, c.file), nil)
		if err != nil {
			t.Fatal(c.file, err)
		}
		if p.W != c.w || p.H != c.h || p.Source.Kind != "heic" || p.Source.Orientation != 1 || p.Source.Taken != c.taken {
			t.Errorf("%s: %d×%d %+v", c.file, p.W, p.H, p.Source)
		}
		seen := p.Preview(1)
		for i, want := range c.want {
			got := seen.RGBAAt(c.w/4+i%2*c.w/2, c.h/4+i/2*c.h/2)
			for _, d := range [3]int{int(got.R) - int(want.R), int(got.G) - int(want.G), int(got.B) - int(want.B)} {
				if d < -3 || d > 3 {
					t.Errorf("%s: quadrant %d is %v, want %v", c.file, i, got, want)
					break
				}
			}
		}
		for x := range 40 { // luma is whole, also where the module's allocator writes
			if l, m := p.stored.ycc.Y[x], p.stored.ycc.Y[x+2*p.stored.ycc.YStride]; l != m {
				t.Errorf("%s: luma of the first row is %v at %d, of the third %v", c.file, l, x, m)
			}
		}
	}
}

func TestBadHEICIsRefused(t *testing.T) {
	good := read(t, "quadrants.heic")
	for n := 12; n < len(good); n += 29 {
		if p, err := Decode(t.Context(), good[:n], nil); err == nil && n < len(good)-200 {
			t.Errorf("cut to %d bytes: %d×%d", n, p.W, p.H)
		}
	}
	size := func(w, h byte) []byte { // ispe says w·256 × h·256
		b := append([]byte(nil), good...)
		i := index4(b, "ispe") + 8
		copy(b[i:], []byte{0, 0, w, 0, 0, 0, h, 0})
		return b
	}
	var u *UnsupportedError
	if _, err := Decode(t.Context(), size(100, 100), nil); !errors.As(err, &u) {
		t.Error("655 million pixels:", err)
	}
	if _, err := Decode(t.Context(), size(0, 1), nil); err == nil {
		t.Error("no width")
	}
	if _, err := Decode(t.Context(), good, &Options{MaxTime: time.Nanosecond}); !errors.As(err, &u) {
		t.Error("no time:", err)
	}
}

func FuzzHEIFBoxes(f *testing.F) {
	for _, name := range []string{"quadrants.heic", "quarter.heic"} {
		b, err := os.ReadFile("testdata/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		if w, h, ok := heicSize(data); ok && (w < 0 || h < 0) {
			t.Error(w, h)
		}
		if len(heicEXIF(data)) > len(data) {
			t.Error("more EXIF than file")
		}
	})
}

func read(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func index4(b []byte, s string) int {
	for i := range len(b) - 4 {
		if string(b[i:i+4]) == s {
			return i
		}
	}
	return -1
}
