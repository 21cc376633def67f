package photo

import (
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"os"
	"testing"
	"time"
)

func FuzzDecode(f *testing.F) {
	for _, m := range kinds(23, 17) {
		j := jpegOf(f, m, 80)
		f.Add(j)
		f.Add(withEXIF(j, tiffOf(binary.BigEndian, 6, "2026:03:04 05:06:07")))
		f.Add(pngOf(f, m))
	}
	f.Add(jpegOf(f, scene(1, 1, 1), 80))
	f.Add(pngWithEXIF(pngOf(f, scene(5, 3, 1)), tiffOf(binary.LittleEndian, 8, "")))
	f.Add(pngOf(f, image.NewPaletted(image.Rect(0, 0, 3, 3), color.Palette{color.Black, color.Transparent})))
	f.Add(emptyScans(jpegOf(f, scene(32, 32, 1), 80), 32, 32, 3))
	for _, name := range []string{"swatches.webp", "stripes.webp", "stripes.jpg", "odd22-restarts.jpg", "odd22-alone.jpg", "quadrants.heic", "quarter.heic"} {
		b, err := os.ReadFile("testdata/" + name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Decode(t.Context(), data, &Options{MaxBytes: 1 << 20, MaxPixels: 1 << 20, MaxTime: 2 * time.Second})
		if err != nil {
			var format *FormatError
			var unsupported *UnsupportedError
			switch {
			case p != nil:
				t.Error("a photo and an error")
			case errors.As(err, &format) && format.Hint != "" && format.Reason != "":
			case errors.As(err, &unsupported) && unsupported.Hint != "" && unsupported.Reason != "":
			default:
				t.Errorf("%T without a hint: %v", err, err)
			}
			return
		}
		if p.W < 1 || p.H < 1 || p.W*p.H > 1<<20 || p.Source.Orientation < 1 || p.Source.Orientation > 8 {
			t.Fatalf("%d×%d, %+v", p.W, p.H, p.Source)
		}
		for _, k := range []int{1, 3} {
			for _, plane := range p.Reduced(k) {
				if plane.W != p.W/k || plane.H != p.H/k {
					t.Fatalf("%d×%d reduced by %d to %d×%d", p.W, p.H, k, plane.W, plane.H)
				}
				for _, v := range plane.Pix {
					if !(v >= 0 && v <= 1.00001) { // a mean may round up
						t.Fatalf("light of %v", v)
					}
				}
			}
		}
		if l := lightAt(p, p.W-1, p.H-1); !(l[0] >= 0 && l[0] <= 1) {
			t.Fatal(l)
		}
		if b := p.Upright().Bounds(); b != image.Rect(0, 0, p.W, p.H) {
			t.Fatalf("upright is %v, the photo %d×%d", b, p.W, p.H)
		}
	})
}

func FuzzExif(f *testing.F) {
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		f.Add(tiffOf(order, 6, "2026:03:04 05:06:07"))
		f.Add(tiffOf(order, 0, ""))
	}
	f.Fuzz(func(t *testing.T, tiff []byte) {
		e := readEXIF(tiff)
		if e.orientation < 0 || e.orientation > 8 {
			t.Error("orientation", e.orientation)
		}
		if n := len(e.taken); n != 0 && n != 19 {
			t.Errorf("taken %q", e.taken)
		}
		// The finders of the segment, chunk and item have their own bounds to keep.
		exifOfPNG(append([]byte("\x89PNG\r\n\x1a\n"), tiff...))
		exifOfWebP(append([]byte("RIFF\x00\x00\x00\x00WEBP"), tiff...))
		scanJPEG(append([]byte("\xff\xd8"), tiff...))
	})
}
