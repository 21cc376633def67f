package synth

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
	"image/png"

	"github.com/disintegration/imaging"
)

// JPEG shoots the scene and writes the file a phone would: turned as the camera's orientation says,
// with the EXIF note that tells how to turn it back.
func (s Scene) JPEG() ([]byte, Truth, error) {
	if err := s.Validate(); err != nil {
		return nil, Truth{}, fmt.Errorf("synth: %w", err)
	}
	img, truth := s.Shoot()
	c := s.withDefaults().Camera
	b, err := EncodeJPEG(img, c.Quality, c.Orientation)
	return b, truth, err
}

// PNG is like JPEG, without loss; it must be stored upright (orientation 1).
func (s Scene) PNG() ([]byte, Truth, error) {
	if err := s.Validate(); err != nil {
		return nil, Truth{}, fmt.Errorf("synth: %w", err)
	}
	if o := s.withDefaults().Camera.Orientation; o != 1 {
		return nil, Truth{}, fmt.Errorf("synth: PNG is written upright only, not in orientation %d", o)
	}
	img, truth := s.Shoot()
	var b bytes.Buffer
	e := png.Encoder{CompressionLevel: png.BestSpeed}
	if err := e.Encode(&b, img); err != nil {
		return nil, Truth{}, fmt.Errorf("synth: %w", err)
	}
	return b.Bytes(), truth, nil
}

// EncodeJPEG writes an upright picture at a quality of 1..100, stored so that a reader who applies
// the EXIF orientation (1..8) sees it upright.
func EncodeJPEG(upright image.Image, quality, orientation int) ([]byte, error) {
	stored := upright
	switch orientation { // the inverse of what the reader will do
	case 2:
		stored = imaging.FlipH(upright)
	case 3:
		stored = imaging.Rotate180(upright)
	case 4:
		stored = imaging.FlipV(upright)
	case 5:
		stored = imaging.Transpose(upright)
	case 6:
		stored = imaging.Rotate90(upright)
	case 7:
		stored = imaging.Transverse(upright)
	case 8:
		stored = imaging.Rotate270(upright)
	}
	// The encoder's quick way is for image.RGBA; the pictures are opaque, so NRGBA holds the same bytes.
	if n, ok := stored.(*image.NRGBA); ok {
		stored = &image.RGBA{Pix: n.Pix, Stride: n.Stride, Rect: n.Rect}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, stored, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("synth: %w", err)
	}
	// APP1 goes right behind the start-of-image marker (Exif 2.3, section 4.5.4).
	file := b.Bytes()
	out := append([]byte{}, file[:2]...)
	out = append(out, exifSegment(orientation)...)
	return append(out, file[2:]...), nil
}

// exifSegment is an APP1 segment with one entry, the orientation: a TIFF header in big-endian order
// and an image file directory (TIFF 6.0, section 2; Exif 2.3, tag 0x0112, type SHORT).
func exifSegment(orientation int) []byte {
	be := binary.BigEndian
	tiff := []byte("MM")
	tiff = be.AppendUint16(tiff, 42)
	tiff = be.AppendUint32(tiff, 8)      // where the directory begins
	tiff = be.AppendUint16(tiff, 1)      // one entry
	tiff = be.AppendUint16(tiff, 0x0112) // orientation
	tiff = be.AppendUint16(tiff, 3)      // SHORT
	tiff = be.AppendUint32(tiff, 1)      // one value
	tiff = be.AppendUint16(tiff, uint16(orientation))
	tiff = be.AppendUint16(tiff, 0) // fills the value's four bytes
	tiff = be.AppendUint32(tiff, 0) // no further directory
	body := append([]byte("Exif\x00\x00"), tiff...)
	seg := be.AppendUint16([]byte{0xFF, 0xE1}, uint16(len(body)+2))
	return append(seg, body...)
}
