package photo

import (
	"encoding/binary"
	"hash/crc32"
	"os"
	"testing"
)

// pngWithEXIF puts an eXIf chunk after the header chunk of a PNG.
func pngWithEXIF(png, tiff []byte) []byte {
	const header = 8 + 12 + 13
	chunk := append([]byte("eXIf"), tiff...)
	out := append([]byte(nil), png[:header]...)
	out = binary.BigEndian.AppendUint32(out, uint32(len(tiff)))
	out = append(out, chunk...)
	out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(chunk))
	return append(out, png[header:]...)
}

// webpWithEXIF makes a simple WebP an extended one with an EXIF chunk (RFC 9649 section 2.7).
func webpWithEXIF(webp, tiff []byte, w, h int) []byte {
	le := binary.LittleEndian
	body := []byte("WEBPVP8X")
	body = le.AppendUint32(body, 10)
	body = le.AppendUint32(body, 1<<3) // flags: has EXIF
	body = append(body, byte(w-1), byte((w-1)>>8), 0, byte(h-1), byte((h-1)>>8), 0)
	body = append(body, webp[12:]...)
	body = append(body, "EXIF"...)
	body = le.AppendUint32(body, uint32(len(tiff)))
	body = append(body, tiff...)
	if len(tiff)%2 == 1 {
		body = append(body, 0)
	}
	return append(le.AppendUint32([]byte("RIFF"), uint32(len(body))), body...)
}

func TestEXIFIsFoundInEachKindOfFile(t *testing.T) {
	m := scene(40, 26, 3)
	swatches, err := os.ReadFile("testdata/swatches.webp")
	if err != nil {
		t.Fatal(err)
	}
	const taken = "2026:03:04 05:06:07"
	for _, order := range []binary.AppendByteOrder{binary.BigEndian, binary.LittleEndian} {
		tiff := tiffOf(order, 6, taken)
		for kind, data := range map[string][]byte{
			"jpeg": withEXIF(jpegOf(t, m, 90), tiff),
			"png":  pngWithEXIF(pngOf(t, m), tiff),
			"webp": webpWithEXIF(swatches, tiff, 64, 64),
		} {
			p, err := Decode(t.Context(), data, nil)
			if err != nil {
				t.Errorf("%s %v: %v", kind, order, err)
				continue
			}
			if p.Source.Kind != kind || p.Source.Orientation != 6 || p.Source.Taken != taken {
				t.Errorf("%s %v: %+v", kind, order, p.Source)
			}
		}
	}
}

// The bytes of a whole EXIF block, written out by hand after TIFF 6.0 and CIPA DC-008: the other tests write theirs
// with the constants that they test.
func TestFieldTypesAreThoseOfTheStandard(t *testing.T) {
	tiff := []byte("MM\x00*\x00\x00\x00\x08" +
		"\x00\x02" +
		"\x01\x12\x00\x03\x00\x00\x00\x01\x00\x08\x00\x00" + // orientation, SHORT, 1, 8
		"\x87\x69\x00\x04\x00\x00\x00\x01\x00\x00\x00\x26" + // EXIF directory, LONG, 1, at 38
		"\x00\x00\x00\x00" +
		"\x00\x01" +
		"\x90\x03\x00\x02\x00\x00\x00\x14\x00\x00\x00\x38" + // time of the original, ASCII, 20, at 56
		"\x00\x00\x00\x00" +
		"2026:03:04 05:06:07\x00")
	if e := readEXIF(tiff); e.orientation != 8 || e.taken != "2026:03:04 05:06:07" {
		t.Errorf("%+v", e)
	}
}

func TestDamagedEXIFIsIgnored(t *testing.T) {
	good := tiffOf(binary.BigEndian, 6, "2026:03:04 05:06:07")
	if e := readEXIF(good); e.orientation != 6 || e.taken != "2026:03:04 05:06:07" {
		t.Fatal(e)
	}
	for n := range good { // cut anywhere
		if e := readEXIF(good[:n]); e.taken != "" && n < len(good)-1 {
			t.Errorf("cut to %d bytes: %+v", n, e)
		}
	}
	change := func(at int, with ...byte) []byte {
		b := append([]byte(nil), good...)
		copy(b[at:], with)
		return b
	}
	for name, b := range map[string][]byte{
		"no byte order":          change(0, 'X', 'X'),
		"wrong magic":            change(3, 43),
		"directory far away":     change(4, 0xff, 0xff, 0xff, 0xff),
		"orientation 0":          change(18, 0, 0),
		"orientation 9":          change(18, 0, 9),
		"orientation of a text":  change(12, 0, typeASCII),
		"two orientations":       change(14, 0, 0, 0, 2),
		"directory of no length": change(8, 0, 0),
	} {
		if e := readEXIF(b); e.orientation != 0 {
			t.Errorf("%s: %+v", name, e)
		}
	}
	for name, b := range map[string][]byte{
		"date far away":       change(48, 0xff, 0xff, 0xff, 0xf0),
		"EXIF far away":       change(30, 0xff, 0xff, 0xff, 0xfe),
		"EXIF is directory 0": change(30, 0, 0, 0, 8),
		"clock not set":       tiffOf(binary.BigEndian, 6, "0000:00:00 00:00:00"),
		"blank":               tiffOf(binary.BigEndian, 6, "    :  :     :  :  "),
		"other form":          tiffOf(binary.BigEndian, 6, "2026-03-04 05:06:07"),
	} {
		if e := readEXIF(b); e.orientation != 6 || e.taken != "" {
			t.Errorf("%s: %+v", name, e)
		}
	}
}
