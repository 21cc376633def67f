package photo

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"math"
	"time"

	"golang.org/x/image/webp"
)

// Options limits what Decode accepts. Nil or zero fields mean the defaults.
type Options struct {
	MaxBytes  int           // bytes of the file; 0 means 64 MB
	MaxPixels int           // pixels of the picture; 0 means 80 million
	MaxTime   time.Duration // of decoding; 0 means 20 s
}

// The default limits. Phones' largest usual pictures have 50 million pixels and 30 MB.
// TestLimitsAreWhereTheySay would notice others.
const (
	DefaultBytes  = 64 << 20
	defaultPixels = 80_000_000

	// defaultTime is far beyond what a sound picture takes, one second for 80 million pixels and seven as WebAssembly:
	// nothing changes from 10 to 60 s.
	defaultTime = 20 * time.Second

	maxSide  = 1 << 16 // px, more than any of the four formats can hold
	maxScans = 100     // of a progressive JPEG; encoders make about ten

	// maxDecoding is the bytes that the file and a decoder may take together, and maxKept the bytes of the file and the
	// picture that is kept of it. A search takes up to 96 MB beside what is kept, so that a process stays within 250 MB
	// (TestLargePicturesStayWithin250MB).
	maxDecoding = 200_000_000
	maxKept     = 150_000_000
)

// A FormatError says that the file is damaged or not a picture at all: another file is needed.
type FormatError struct{ Reason, Hint string }

func (e *FormatError) Error() string { return e.Reason }

// An UnsupportedError says that the file is sound but of a kind or size that is not read here.
type UnsupportedError struct{ Reason, Hint string }

func (e *UnsupportedError) Error() string { return e.Reason }

const (
	hintExport = "export the photo as a JPEG and read that"
	hintCopy   = "copy the photo from the camera again, or choose another file"
	hintSmall  = "save a smaller copy of the photo as a JPEG and read that"
)

// Decode reads JPEG, PNG and WebP, and HEIC where that is built in (see heic_on.go). The first bytes
// tell the kind and that one decoder is called. The file's length, the sides and the product of the
// sides in the header are checked before anything is decoded, and the memory that takes: kinds with
// many bytes a pixel have a lower limit of pixels. So is the number of a progressive JPEG's scans. A
// decoder is stopped after MaxTime, and its panics become errors.
//
// The error is a *FormatError or an *UnsupportedError, which have a hint; or, once ctx is cancelled, the error of ctx,
// at most 50 ms later.
func Decode(ctx context.Context, data []byte, o *Options) (*Photo, error) {
	lim := limits(o)
	if len(data) > lim.MaxBytes {
		return nil, &UnsupportedError{fmt.Sprintf("the file has %.4g MB, the limit is %.4g MB", mebibytes(len(data)), mebibytes(lim.MaxBytes)), hintSmall}
	}
	kind, err := sniff(data)
	if err != nil {
		return nil, err
	}
	f, err := inspect(kind, data, lim)
	if err != nil {
		return nil, err
	}
	img, err := decode(ctx, kind, data, f.apart, lim)
	var damage *FormatError
	switch {
	case errors.As(err, &damage) && f.cut:
		return nil, &FormatError{"the " + kind + " is cut short", hintCopy}
	case err != nil:
		return nil, err
	}
	if b := img.Bounds(); b.Dx() <= 0 || b.Dy() <= 0 {
		return nil, &FormatError{"the picture is empty", hintCopy}
	}
	p := assemble(img, f.orientation)
	p.Source.Noted = f.noted
	sum := sha256.Sum256(data)
	p.Source.SHA256 = hex.EncodeToString(sum[:])
	p.Source.Kind = kind
	p.Source.Taken = f.taken
	p.Doubts = doubts(p, f)
	return p, nil
}

// mebibytes counts in units of 2^20 bytes, rounded up to a tenth: what is over a limit does not look like it.
func mebibytes(n int) float64 { return math.Ceil(float64(n)/(1<<20)*10) / 10 }

func limits(o *Options) Options {
	var lim Options
	if o != nil {
		lim = *o
	}
	if lim.MaxBytes <= 0 {
		lim.MaxBytes = DefaultBytes
	}
	if lim.MaxPixels <= 0 {
		lim.MaxPixels = defaultPixels
	}
	if lim.MaxTime <= 0 {
		lim.MaxTime = defaultTime
	}
	return lim
}

// facts is what the file says of itself, read before it is decoded.
type facts struct {
	orientation int     // 1..8
	noted       bool    // the file tells an orientation
	taken       string  // "" if not told
	cut         bool    // a JPEG has no end marker
	coarseness  float64 // of a JPEG's luma quantization: 1 is the example table of T.81; 0 if not known
	apart       bool    // a JPEG that has to be decoded component by component
}

// inspect reads the header, checks it against the limits, and finds the EXIF.
func inspect(kind string, data []byte, lim Options) (f facts, err error) {
	f.orientation = 1
	var exif []byte
	var c image.Config
	var jpegs jpegHeader
	switch kind {
	case "jpeg":
		h := scanJPEG(data)
		jpegs = h
		exif, f.coarseness, f.cut, f.apart = h.exif, h.coarseness, !h.ended, h.apart
		if h.scans > maxScans {
			return f, &UnsupportedError{fmt.Sprintf("the JPEG is cut into %d scans, the limit is %d", h.scans, maxScans), hintExport}
		}
		c, err = config(jpeg.DecodeConfig, data)
	case "png":
		exif = exifOfPNG(data)
		c, err = config(png.DecodeConfig, data)
	case "webp":
		exif = exifOfWebP(data)
		c, err = config(webp.DecodeConfig, data)
	case "heic":
		exif = heicEXIF(data)
		c, err = heicConfig(data)
	}
	if err != nil {
		return f, refused(kind, err)
	}
	if c.Width <= 0 || c.Height <= 0 {
		return f, &FormatError{fmt.Sprintf("the picture has %d×%d pixels", c.Width, c.Height), hintCopy}
	}
	n := int64(c.Width) * int64(c.Height)
	if c.Width > maxSide || c.Height > maxSide || n > int64(lim.MaxPixels) {
		return f, &UnsupportedError{fmt.Sprintf("the picture has %d×%d pixels, the limit is %.3g million", c.Width, c.Height, float64(lim.MaxPixels)/1e6), hintSmall}
	}
	decoding, kept := bytesPerPixel(kind, c.ColorModel, jpegs, data)
	for _, m := range []struct {
		what  string
		pixel float64
		limit int64
	}{{"decoding", decoding, maxDecoding}, {"keeping", kept, maxKept}} {
		if need := int64(m.pixel*float64(n)) + int64(len(data)); need > m.limit {
			return f, &UnsupportedError{fmt.Sprintf("%s this %s of %d×%d pixels takes %d MB of memory (%.2g bytes a pixel and the file), the limit is %d MB",
				m.what, kind, c.Width, c.Height, need/1_000_000, m.pixel, m.limit/1_000_000), hintSmall}
		}
	}
	if exif != nil {
		e := readEXIF(exif)
		f.taken, f.noted = e.taken, e.orientation != 0
		if e.orientation != 0 && kind != "heic" { // libheif has turned the picture already
			f.orientation = e.orientation
		}
	}
	return f, nil
}

// bytesPerPixel is the most memory that a decoder and pixelsOf take together, and what pixelsOf keeps.
func bytesPerPixel(kind string, m color.Model, h jpegHeader, data []byte) (decoding, kept float64) {
	if kind == "jpeg" {
		kept = h.samples // as the decoder has them
		decoding = kept
		if m == color.CMYKModel || m == color.RGBAModel { // made of these samples
			kept = 4
			decoding += 4
		}
		if m == color.CMYKModel {
			decoding = max(decoding, 8) // and then made RGBA
		}
		if h.progressive {
			decoding += 4 * h.samples // all coefficients
		}
		return decoding, kept
	}
	switch m {
	case color.YCbCrModel: // of a WebP
		decoding, kept = 1.5, 1.5
	case color.GrayModel:
		decoding, kept = 1, 1
	case color.RGBAModel:
		decoding, kept = 4, 4
	case color.NRGBAModel, color.NYCbCrAModel:
		decoding, kept = 8, 4
	case color.RGBA64Model:
		decoding, kept = 8, 8
	case color.Gray16Model:
		decoding, kept = 10, 8
	case color.NRGBA64Model:
		decoding, kept = 16, 8
	default: // a palette, drawn anew
		decoding, kept = 5, 4
	}
	const interlace = 28 // of a PNG's bytes: the last of the header
	if kind == "png" && len(data) > interlace && data[interlace] != 0 {
		decoding *= 1.5 // a pass of half the rows beside the whole
	}
	return decoding, kept
}

// config calls a decoder's reader of headers, whose panics become errors.
func config(read func(io.Reader) (image.Config, error), data []byte) (c image.Config, err error) {
	defer catch(&err)
	return read(bytes.NewReader(data))
}

// decode calls the one decoder of kind, and does not wait for one that has been cancelled: the reader stops it soon.
func decode(ctx context.Context, kind string, data []byte, apart bool, lim Options) (image.Image, error) {
	type result struct {
		img image.Image
		err error
	}
	done := make(chan result, 1)
	go func() {
		var r result
		r.img, r.err = decodeNow(ctx, kind, data, apart, lim)
		done <- r
	}()
	select {
	case r := <-done:
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if r.err != nil {
			return nil, refused(kind, r.err)
		}
		return r.img, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

func decodeNow(ctx context.Context, kind string, data []byte, apart bool, lim Options) (img image.Image, err error) {
	defer catch(&err)
	end := time.Now().Add(lim.MaxTime)
	until := func(data []byte) io.Reader { return &untilReader{ctx, bytes.NewReader(data), end} }
	in := until(data)
	switch kind {
	case "jpeg":
		if apart {
			return decodeByComponent(data, until)
		}
		return jpeg.Decode(in)
	case "png":
		return png.Decode(in)
	case "webp":
		return decodeWebP(in)
	}
	return heicDecode(ctx, data, lim.MaxTime)
}

// catch turns a decoder's panic into an error.
func catch(err *error) {
	if r := recover(); r != nil {
		*err = fmt.Errorf("the decoder failed: %v", r)
	}
}

var errTooSlow = errors.New("decoding took too long")

// An untilReader fails after a moment or when ctx is cancelled, and so stops a decoder that a hostile file keeps busy,
// or that nobody waits for any more.
type untilReader struct {
	ctx context.Context
	r   *bytes.Reader
	end time.Time
}

func (u *untilReader) Read(b []byte) (int, error) {
	if err := u.ctx.Err(); err != nil {
		return 0, err
	}
	if time.Now().After(u.end) {
		return 0, errTooSlow
	}
	return u.r.Read(b[:min(len(b), sip)])
}

// sip is the bytes a decoder gets at a time: a few scans of nothing, which take tens of milliseconds
// each on a large picture. Nothing changes from 64 to 1024; a file that is read at once is never stopped, as
// TestSlowDecodingIsStopped would notice.
const sip = 256

// refused sorts a decoder's error by who can act.
func refused(kind string, err error) error {
	var format *FormatError
	var unsupported *UnsupportedError
	var ju jpeg.UnsupportedError
	var pu png.UnsupportedError
	switch {
	case errors.As(err, &format), errors.As(err, &unsupported):
		return err
	case errors.Is(err, errTooSlow):
		return &UnsupportedError{"decoding the " + kind + " took too long", hintExport}
	case errors.As(err, &ju), errors.As(err, &pu):
		return &UnsupportedError{fmt.Sprintf("this variety of %s is not read (%v)", kind, err), hintExport}
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return &FormatError{"the " + kind + " is cut short", hintCopy}
	}
	return &FormatError{fmt.Sprintf("the %s is damaged (%v)", kind, err), hintCopy}
}
