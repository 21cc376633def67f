//go:build heic && nodynamic && !js

package photo

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"time"

	"github.com/gen2brain/heic"
)

// HEIC is built in with -tags heic,nodynamic. Both tags are needed: without nodynamic the module
// would load whatever libheif it finds on the machine as native code. With it, libheif and libde265
// run as WebAssembly: a fault in them stays inside the sandbox's memory, at most 4 GB by the nature
// of WebAssembly.
//
// Licences: the module is MIT; the WebAssembly that it embeds is libheif and libde265, LGPL 3.

// oneHEIC lets one decoder run at a time. The module cannot be stopped, so that one that was given up
// on holds its place until it ends by itself, and hostile files cannot pile up.
var oneHEIC = make(chan struct{}, 1)

// heicConfig reads the size from the file's boxes; the module's own reader would run the decoder.
func heicConfig(data []byte) (image.Config, error) {
	w, h, ok := heicSize(data)
	if !ok {
		return image.Config{}, &FormatError{"the heic does not tell its size", hintCopy}
	}
	if n := int64(w) * int64(h); n > maxHEICPixels {
		return image.Config{}, &UnsupportedError{fmt.Sprintf("the heic has %d×%d pixels, the limit is %d million", w, h, maxHEICPixels/1_000_000), hintExport}
	}
	if min(w, h) < minHEICSide {
		return image.Config{}, &UnsupportedError{fmt.Sprintf("the heic has %d×%d pixels, and at least %d×%d are needed", w, h, minHEICSide, minHEICSide), hintExport}
	}
	return image.Config{Width: w, Height: h}, nil
}

// heicDecode gives the picture, and may smooth its chroma a little: v0.4.5 of the module passes it
// through full resolution and back, with the weights 1/8, 3/4, 1/8, and is wrong in the two outermost
// pixels. Luma is exact. The picture is turned and mirrored as the file's irot and imir properties say,
// which bind where the EXIF orientation only informs (ISO/IEC 23008-12): that is not applied again.
func heicDecode(ctx context.Context, data []byte, limit time.Duration) (image.Image, error) {
	type result struct {
		img image.Image
		err error
	}
	end := time.After(limit)
	select {
	case oneHEIC <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-end:
		return nil, errTooSlow
	}
	done := make(chan result, 1)
	go func() {
		var r result
		func() {
			defer catch(&r.err)
			r.img, r.err = heic.Decode(bytes.NewReader(data))
		}()
		<-oneHEIC
		done <- r
	}()
	select {
	case r := <-done:
		return owned(r.img), r.err
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-end:
		return nil, errTooSlow
	}
}

// owned copies the planes out of the sandbox's memory, which would be kept whole for their sake. The
// module frees the result before it hands it over, and the sandbox's allocator then writes up to 24
// bytes of its own at the start: the first samples are taken from the row below.
func owned(img image.Image) image.Image {
	pix := func(b []byte, stride int) []byte {
		b = bytes.Clone(b)
		if len(b) >= stride+freed {
			copy(b[:freed], b[stride:])
		}
		return b
	}
	switch m := img.(type) {
	case *image.YCbCr:
		c := *m
		c.Y, c.Cb, c.Cr = pix(m.Y, m.YStride), bytes.Clone(m.Cb), bytes.Clone(m.Cr)
		return &c
	case *image.Gray:
		return &image.Gray{Pix: pix(m.Pix, m.Stride), Stride: m.Stride, Rect: m.Rect}
	case *image.RGBA:
		return &image.RGBA{Pix: pix(m.Pix, m.Stride), Stride: m.Stride, Rect: m.Rect}
	case *image.NRGBA:
		return &image.NRGBA{Pix: pix(m.Pix, m.Stride), Stride: m.Stride, Rect: m.Rect}
	}
	return img
}

const (
	freed = 24 // bytes, see owned; seen with v0.4.5 of the module

	// minHEICSide, px: under 64 chroma columns libheif pads its planes to 64, which the module does not
	// expect: it would give other colours, and write beyond its buffer in the sandbox.
	minHEICSide = 128

	// maxHEICPixels keeps the sandbox under 800 MB: it took 30 bytes a pixel for 12 million pixels.
	maxHEICPixels = 26_000_000
)
