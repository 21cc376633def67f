package synth

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/png"
	"runtime"
	"testing"

	"github.com/disintegration/imaging"
)

// A reader of its own kind, imaging's AutoOrientation, must see every stored picture upright.
func TestStoredPicturesTurnBackUpright(t *testing.T) {
	upright := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for i := range upright.Pix {
		upright.Pix[i] = 255
	}
	for y := range 16 { // a dark block at the top left, a grey one right of it
		for x := range 32 {
			v := uint8(0)
			if x >= 16 {
				v = 128
			}
			o := upright.PixOffset(x, y)
			upright.Pix[o], upright.Pix[o+1], upright.Pix[o+2] = v, v, v
		}
	}
	for orientation := 1; orientation <= 8; orientation++ {
		b, err := EncodeJPEG(upright, 95, orientation)
		if err != nil {
			t.Fatal(err)
		}
		seen, err := imaging.Decode(bytes.NewReader(b), imaging.AutoOrientation(true))
		if err != nil {
			t.Fatal(err)
		}
		if seen.Bounds().Dx() != 64 || seen.Bounds().Dy() != 48 {
			t.Errorf("orientation %d: seen as %v", orientation, seen.Bounds())
			continue
		}
		for _, c := range []struct{ x, y, want int }{{8, 8, 0}, {24, 8, 128}, {48, 8, 255}, {8, 40, 255}, {48, 40, 255}} {
			r, _, _, _ := seen.At(c.x, c.y).RGBA()
			if d := int(r>>8) - c.want; d < -12 || d > 12 {
				t.Errorf("orientation %d: (%d, %d) has level %d, want %d", orientation, c.x, c.y, r>>8, c.want)
			}
		}
	}
}

// The bytes of the note by the standards: start of image, APP1 with its length, "Exif", two zeros, a
// big-endian TIFF header, one entry of tag 0x0112, type SHORT, count 1 (Exif 2.3 section 4.5.4; TIFF
// 6.0 section 2).
func TestExifNoteIsInOrder(t *testing.T) {
	b, err := EncodeJPEG(image.NewRGBA(image.Rect(0, 0, 8, 8)), 80, 6)
	if err != nil {
		t.Fatal(err)
	}
	be := binary.BigEndian
	if be.Uint16(b) != 0xFFD8 || be.Uint16(b[2:]) != 0xFFE1 || string(b[6:12]) != "Exif\x00\x00" {
		t.Fatalf("begins % x", b[:12])
	}
	length := int(be.Uint16(b[4:]))
	if next := b[4+length]; next != 0xFF {
		t.Errorf("no marker follows the note of %d bytes", length)
	}
	tiff := b[12:]
	if string(tiff[:2]) != "MM" || be.Uint16(tiff[2:]) != 42 {
		t.Fatalf("TIFF header % x", tiff[:4])
	}
	dir := tiff[be.Uint32(tiff[4:]):]
	if be.Uint16(dir) != 1 || be.Uint16(dir[2:]) != 0x0112 || be.Uint16(dir[4:]) != 3 || be.Uint32(dir[6:]) != 1 || be.Uint16(dir[10:]) != 6 {
		t.Errorf("directory % x", dir[:14])
	}
	if be.Uint32(dir[14:]) != 0 {
		t.Error("the directory does not end")
	}
}

func TestSameSeedSamePhotoOnAnyCountOfCores(t *testing.T) {
	s := Scene{Seed: 9}.WithMegapixels(0.1)
	s.Camera = Camera{Width: 400, Height: 304, FullWell: 3000, Glare: 0.1, Mosaic: true, Sharpen: 0.5, Disc: 1.2, Halo: 0.03, Dust: 5}
	a, _, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(3))
	if b, _, _ := s.JPEG(); !bytes.Equal(a, b) {
		t.Error("two shots of one scene differ")
	}
	s.Seed++
	if c, _, _ := s.JPEG(); bytes.Equal(a, c) {
		t.Error("another seed gives the same photo")
	}
}

func TestPNGHoldsTheShotItself(t *testing.T) {
	s := Scene{Camera: Camera{Width: 200, Height: 152}}
	b, truth, err := s.PNG()
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	shot, _ := s.Shoot()
	if img.Bounds().Dx() != truth.WidthPx || img.Bounds().Dy() != truth.HeightPx {
		t.Errorf("picture %v, truth %d × %d", img.Bounds(), truth.WidthPx, truth.HeightPx)
	}
	for y := range 152 {
		for x := range 200 {
			if r, _, _, _ := img.At(x, y).RGBA(); uint8(r>>8) != shot.Pix[shot.PixOffset(x, y)] {
				t.Fatalf("(%d, %d) differs", x, y)
			}
		}
	}
	s.Camera.Orientation = 6
	if _, _, err := s.PNG(); err == nil {
		t.Error("a turned PNG was written, which no reader would turn back")
	}
}
