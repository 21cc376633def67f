package photo

import (
	"image"
	"io"

	"golang.org/x/image/webp"
)

// decodeWebP decodes and, where the file is lossy, widens the planes. VP8 codes video range: luma 16
// to 235 and chroma 16 to 240 (ITU-R BT.601, as libwebp reads it), but x/image/webp hands the planes
// out as if they were the full range of a JPEG, which makes black grey and white dull.
func decodeWebP(r io.Reader) (image.Image, error) {
	img, err := webp.Decode(r)
	if err != nil {
		return nil, err
	}
	switch m := img.(type) {
	case *image.YCbCr:
		widen(m)
	case *image.NYCbCrA:
		widen(&m.YCbCr)
	}
	return img, nil
}

func widen(m *image.YCbCr) {
	var luma, chroma [256]uint8
	for i := range 256 {
		luma[i] = clip8((i-16)*255, 219)
		chroma[i] = clip8((i-128)*255+128*224, 224)
	}
	for i, v := range m.Y {
		m.Y[i] = luma[v]
	}
	for i, v := range m.Cb {
		m.Cb[i] = chroma[v]
	}
	for i, v := range m.Cr {
		m.Cr[i] = chroma[v]
	}
}

// clip8 gives n/d, rounded and kept within a byte.
func clip8(n, d int) uint8 { return uint8(min(max((n+d/2)/d, 0), 255)) }
