package photo

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/draw"
	"image/jpeg"
	"math"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"quadrille/calibrate/remark"
)

// pngHeader is a PNG that claims a size and has no more than its header.
func pngHeader(w, h uint32) []byte {
	body := []byte("IHDR")
	body = binary.BigEndian.AppendUint32(body, w)
	body = binary.BigEndian.AppendUint32(body, h)
	body = append(body, 8, 2, 0, 0, 0) // 8-bit RGB
	b := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	b = append(b, body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(body))
}

// deepHeader is the same of 16 bits a channel.
func deepHeader(w, h uint32) []byte {
	b := pngHeader(w, h)
	b[24] = 16
	return binary.BigEndian.AppendUint32(b[:29], crc32.ChecksumIEEE(b[12:29]))
}

// withSize changes the size in a JPEG's frame header, and its process if sof is not 0.
func withSize(jpeg []byte, w, h uint16, sof byte) []byte {
	b := bytes.Clone(jpeg)
	i := bytes.Index(b, []byte{0xff, markerSOF0, 0, 17})
	binary.BigEndian.PutUint16(b[i+5:], h)
	binary.BigEndian.PutUint16(b[i+7:], w)
	if sof != 0 {
		b[i+1] = sof
	}
	return b
}

// emptyScans is a sound progressive JPEG of w×h pixels with n scans that hold nothing: in each, a few
// end-of-band runs of 16384 blocks (symbol 0xe0 of T.81 table G.1) cover the first component. Its
// one Huffman code is the bit 0, so that the data are zeros.
func emptyScans(header []byte, w, h, n int) []byte {
	b := bytes.Clone(withSize(header, uint16(w), uint16(h), markerSOF2))
	b = b[:bytes.Index(b, []byte{0xff, 0xc4})] // up to the encoder's own Huffman tables
	b = append(b, 0xff, 0xc4, 0, 20, 0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0xe0)
	symbols := (w+7)/8*((h+7)/8)/16384 + 3 // the frame's blocks are whole groups of 4
	for range n {
		b = append(b, 0xff, markerSOS, 0, 8, 1, 1, 0, 1, 63, 0)
		b = append(b, make([]byte, (symbols*15+7)/8)...)
	}
	return append(b, 0xff, markerEOI)
}

func TestBadInputIsRefusedWithAHint(t *testing.T) {
	small := jpegOf(t, scene(64, 48, 1), 90)
	const enough = 1 << 20 // bytes: of what is refused no picture is made first, be it hostile or huge
	for _, c := range []struct {
		name string
		data []byte
		o    *Options
		want string // part of the message
		kind any
	}{
		{"nil", nil, nil, "empty", &FormatError{}},
		{"one byte", []byte{0xff}, nil, "not a picture", &FormatError{}},
		{"text", []byte("time,volts\n0,1.5\n"), nil, "not a picture", &FormatError{}},
		{"first bytes only", small[:3], nil, "cut short", &FormatError{}},
		{"cut in the header", small[:40], nil, "cut short", &FormatError{}},
		{"cut in the picture", small[:len(small)-60], nil, "cut short", &FormatError{}},
		{"a hole in the picture", append(bytes.Clone(small[:len(small)/2]), 0xff, markerEOI), nil, "damaged", &FormatError{}},
		{"header of a PNG only", pngHeader(64, 48), nil, "cut short", &FormatError{}},
		{"noise", append([]byte("\xff\xd8\xff\xe0"), bytes.Repeat([]byte{7, 250}, 500)...), nil, "cut short", &FormatError{}},
		{"no width", withSize(small, 0, 48, 0), nil, "0×48", &FormatError{}},
		{"no height", withSize(small, 64, 0, 0), nil, "64×0", &FormatError{}},
		{"500 million pixels", withSize(small, 25000, 20000, 0), nil, "25000×20000", &UnsupportedError{}},
		{"4 billion pixels", withSize(small, 65500, 65500, 0), nil, "65500×65500", &UnsupportedError{}},
		{"a PNG of 4 billion squared", pngHeader(1<<31-1, 1<<31-1), nil, "PNG", nil},
		{"a PNG of 10^9 by 1", pngHeader(1e9, 1), nil, "1000000000×1", &UnsupportedError{}},
		{"progressive, 40 million pixels", withSize(small, 8000, 5000, markerSOF2), nil, "300 MB", &UnsupportedError{}},
		{"16 bits, 40 million pixels", deepHeader(8000, 5000), nil, "320 MB", &UnsupportedError{}},
		{"1500 empty scans", emptyScans(small, 4000, 3000, 1500), nil, "1500 scans", &UnsupportedError{}},
		{"arithmetic coding", withSize(small, 64, 48, 0xc9), nil, "variety", &UnsupportedError{}},
		{"too many bytes", small, &Options{MaxBytes: 1000}, "limit", &UnsupportedError{}},
		{"too many pixels", small, &Options{MaxPixels: 3000}, "64×48", &UnsupportedError{}},
		{"GIF", []byte("GIF89a\x01\x00\x01\x00"), nil, "a GIF", &UnsupportedError{}},
		{"BMP", []byte("BM\x00\x00\x00\x00"), nil, "a BMP", &UnsupportedError{}},
		{"TIFF", []byte("II*\x00\x08\x00\x00\x00"), nil, "a TIFF", &UnsupportedError{}},
		{"TIFF of the other order", []byte("MM\x00*\x00\x00\x00\x08"), nil, "a TIFF", &UnsupportedError{}},
		{"PDF", []byte("%PDF-1.7"), nil, "a PDF", &UnsupportedError{}},
		{"AVIF", []byte("\x00\x00\x00\x1cftypavif\x00\x00\x00\x00mif1avifmiaf"), nil, "an AVIF", &UnsupportedError{}},
		{"animated WebP", append([]byte("RIFF\x20\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x02\x00\x00\x00\x3f\x00\x00\x3f\x00\x00"), "ANIM"...), nil, "an animated WebP", &UnsupportedError{}},
		{"70 MB", make([]byte, 70<<20), nil, "has 70 MB, the limit is 64 MB", &UnsupportedError{}},
		{"video", []byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00isommp42"), nil, "a video", &UnsupportedError{}},
		{"cut brand", []byte("\xff\xff\xff\xffftypmp42"), nil, "a video", &UnsupportedError{}},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		p, err := Decode(t.Context(), c.data, c.o)
		runtime.ReadMemStats(&after)
		if p != nil || err == nil {
			t.Errorf("%s: decoded", c.name)
			continue
		}
		if took := after.TotalAlloc - before.TotalAlloc; took > enough {
			t.Errorf("%s: %d bytes were taken before it was refused", c.name, took)
		}
		var f *FormatError
		var u *UnsupportedError
		hint := ""
		switch {
		case errors.As(err, &f):
			hint = f.Hint
		case errors.As(err, &u):
			hint = u.Hint
		}
		if hint == "" {
			t.Errorf("%s: %v has no hint", c.name, err)
		}
		if _, isFormat := c.kind.(*FormatError); c.kind != nil && isFormat != (f != nil) {
			t.Errorf("%s: error is a %T", c.name, err)
		}
		if !strings.Contains(strings.ToLower(err.Error()), strings.ToLower(c.want)) {
			t.Errorf("%s: error is %q, want something with %q", c.name, err, c.want)
		}
	}
}

// A header that is just within a limit goes on to the decoder, which finds no picture behind it; just beyond, it is
// refused.
func TestLimitsAreWhereTheySay(t *testing.T) {
	small := jpegOf(t, scene(64, 48, 1), 90)
	for _, c := range []struct {
		name           string
		within, beyond []byte
		want           string
	}{
		{"64 MB", make([]byte, 64<<20), make([]byte, 64<<20+1), "the limit is 64 MB"},
		{"80 million pixels", withSize(small, 10000, 8000, 0), withSize(small, 10000, 8001, 0), "the limit is 80 million"},
		{"65536 pixels a side", pngHeader(65536, 1), pngHeader(65537, 1), "65537×1"},
		{"150 MB of a picture", deepHeader(5000, 3749), deepHeader(5000, 3751), "the limit is 150 MB"},
		{"150 MB of the file and a picture", deepHeader(5000, 3740), append(deepHeader(5000, 3740), make([]byte, 1e6)...), "the limit is 150 MB"},
		{"200 MB of a decoder", withSize(small, 6600, 4000, markerSOF2), withSize(small, 6700, 4000, markerSOF2), "the limit is 200 MB"},
		{"100 scans", emptyScans(small, 64, 48, 100), emptyScans(small, 64, 48, 101), "101 scans"},
	} {
		var u *UnsupportedError
		if _, err := Decode(t.Context(), c.within, nil); errors.As(err, &u) {
			t.Errorf("%s: %v", c.name, err)
		}
		if _, err := Decode(t.Context(), c.beyond, nil); !errors.As(err, &u) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("beyond %s: %v", c.name, err)
		}
	}
}

func TestSlowDecodingIsStopped(t *testing.T) {
	data := jpegOf(t, scene(600, 400, 1), 95)
	_, err := Decode(t.Context(), data, &Options{MaxTime: time.Nanosecond})
	var u *UnsupportedError
	if !errors.As(err, &u) || !strings.Contains(err.Error(), "too long") {
		t.Error(err)
	}
	// A hundred scans of nothing in 3 kB decode well in about a tenth of a second, the largest
	// picture let through in one. Stopped between two scans, the decoder has the error, not the picture.
	slow := emptyScans(data, 2000, 1500, 100)
	if _, err := Decode(t.Context(), slow, nil); err != nil {
		t.Fatal("without a limit:", err)
	}
	if _, err := Decode(t.Context(), slow, &Options{MaxTime: 5 * time.Millisecond}); !errors.As(err, &u) {
		t.Errorf("in 5 ms: %v", err)
	}
}

func TestPanicsOfADecoderBecomeErrors(t *testing.T) {
	var err error
	func() {
		defer catch(&err)
		panic("index out of range")
	}()
	if err == nil || !strings.Contains(refused("jpeg", err).Error(), "index out of range") {
		t.Error(err)
	}
}

func TestUsualPicturesPass(t *testing.T) {
	m := scene(400, 320, 1)
	grey := image.NewGray(m.Rect)
	draw.Draw(grey, m.Rect, m, image.Point{}, draw.Src)
	for name, data := range map[string][]byte{
		"colour JPEG": jpegOf(t, m, 90), "grey JPEG": jpegOf(t, grey, 90), "PNG": pngOf(t, m), "grey PNG": pngOf(t, grey),
		"JPEG with a tail": append(jpegOf(t, m, 90), "a phone's own data"...),
	} {
		p, err := Decode(t.Context(), data, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if p.W != 400 || p.H != 320 || len(p.Source.SHA256) != 64 || p.Source.Orientation != 1 || p.Source.Taken != "" || p.Doubts != nil {
			t.Errorf("%s: %d×%d %+v %q", name, p.W, p.H, p.Source, p.Doubts)
		}
	}
}

func TestHashIsTheFiles(t *testing.T) {
	data, err := os.ReadFile("testdata/swatches.webp")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Decode(t.Context(), data, nil)
	if err != nil {
		t.Fatal(err)
	}
	const want = "bbd6da8abf892203b4c4eacc786bfeed484b46e79a7a86a786645b5a1f480d64" // by sha256sum of GNU coreutils
	if p.Source.SHA256 != want {
		t.Errorf("hash %s, want %s", p.Source.SHA256, want)
	}
}

func TestDoubtsNameStrongCompressionAndSmallPictures(t *testing.T) {
	big := scene(400, 320, 1)
	compressed := func(quality float64) remark.Remark {
		return remark.Of(KindCompressed, remark.Number("quality", quality))
	}
	small := func(w, h, box int) remark.Remark {
		return remark.Of(KindSmall, remark.Count("width_px", w), remark.Count("height_px", h), remark.Count("box_px", box))
	}
	for _, c := range []struct {
		m       image.Image
		quality int
		want    []remark.Remark
	}{
		{big, 90, nil}, {big, 51, nil},
		{big, 35, []remark.Remark{compressed(35)}},
		{scene(399, 319, 1), 90, []remark.Remark{small(399, 319, 39)}},
		{scene(100, 80, 1), 20, []remark.Remark{compressed(20), small(100, 80, 10)}},
	} {
		p, err := Decode(t.Context(), jpegOf(t, c.m, c.quality), nil)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Doubts) != len(c.want) {
			t.Errorf("quality %d, %d×%d: doubts %q", c.quality, p.W, p.H, p.Doubts)
			continue
		}
		for i, w := range c.want {
			if d := p.Doubts[i]; d.Kind == KindCompressed && w.Kind == d.Kind && math.Round(d.Number("quality")) == w.Number("quality") {
				continue
			} else if !d.Equal(w) {
				t.Errorf("quality %d, %d×%d: doubt %q, want %q", c.quality, p.W, p.H, d, w)
			}
		}
	}
}

func BenchmarkDecode(b *testing.B) {
	benchmarkDecoder(b, func(d []byte) error { _, err := Decode(b.Context(), d, nil); return err })
}
func BenchmarkImageJPEG(b *testing.B) {
	benchmarkDecoder(b, func(d []byte) error { _, err := jpeg.Decode(bytes.NewReader(d)); return err })
}

// benchmarkDecoder runs on a picture of a phone's size, 12 million pixels, about 4 MB.
func benchmarkDecoder(b *testing.B, decode func([]byte) error) {
	data := jpegOf(b, scene(4000, 3000, 1), 90)
	b.Run("mp=12", func(b *testing.B) {
		b.SetBytes(int64(len(data)))
		b.ReportAllocs()
		for b.Loop() {
			if err := decode(data); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkReduced(b *testing.B) {
	p := New(decoded(b, 4000, 3000))
	for _, k := range []int{1, 2, 3, 4} {
		b.Run("mp=12/k="+string(rune('0'+k)), func(b *testing.B) {
			for b.Loop() {
				p.Reduced(k)
			}
		})
	}
}

func BenchmarkGrey(b *testing.B) {
	p := New(decoded(b, 4000, 3000))
	b.Run("mp=12/k=3", func(b *testing.B) {
		for b.Loop() {
			p.Grey(image.Rect(0, 0, p.W, p.H), 3, [3]float32{0.3, 0.6, 0.1})
		}
	})
}

func decoded(b *testing.B, w, h int) image.Image {
	m, err := jpeg.Decode(bytes.NewReader(jpegOf(b, scene(w, h, 1), 90)))
	if err != nil {
		b.Fatal(err)
	}
	return m
}

// A decoder that nobody waits for any more is stopped at its next read: 3 kB of a hundred scans are read in a dozen
// sips.
func TestACancelledContextEndsDecoding(t *testing.T) {
	slow := emptyScans(jpegOf(t, scene(600, 400, 1), 95), 2000, 1500, 100)
	ctx, cancel := context.WithCancel(t.Context())
	in := &untilReader{ctx, bytes.NewReader(slow), time.Now().Add(time.Hour)}
	if n, err := in.Read(make([]byte, 1000)); n != sip || err != nil {
		t.Fatalf("%d bytes, %v", n, err)
	}
	cancel()
	if n, err := in.Read(make([]byte, 1000)); n != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("%d bytes, %v", n, err)
	}
	if p, err := Decode(ctx, slow, nil); p != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("%v, %v", p, err)
	}
}
