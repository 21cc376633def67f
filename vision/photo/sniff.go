package photo

import (
	"bytes"
	"encoding/binary"
)

// sniff tells the kind of a file by its first bytes: "jpeg", "png", "webp" or "heic". For others it
// names the kind in an *UnsupportedError where it can, or gives a *FormatError.
func sniff(data []byte) (string, error) {
	switch {
	case len(data) == 0:
		return "", &FormatError{"the file is empty", hintCopy}
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return "jpeg", nil
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return "png", nil
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		if len(data) > 20 && string(data[12:16]) == "VP8X" && data[20]&animated != 0 {
			return "", &UnsupportedError{"the file is an animated WebP, which is not read here", hintStill}
		}
		return "webp", nil
	case len(data) >= 12 && string(data[4:8]) == "ftyp":
		return sniffBrand(data)
	}
	for _, s := range strangers {
		if bytes.HasPrefix(data, []byte(s.magic)) {
			return "", &UnsupportedError{"the file is " + s.name + ", which is not read here", hintExport}
		}
	}
	return "", &FormatError{"the file is not a picture", "choose a photo: JPEG, PNG or WebP"}
}

// Kinds that people hand over by mistake, told by their first bytes.
var strangers = []struct{ magic, name string }{
	{"GIF8", "a GIF"},
	{"BM", "a BMP"},
	{"II*\x00", "a TIFF or a camera's raw picture"},
	{"MM\x00*", "a TIFF or a camera's raw picture"},
	{"%PDF", "a PDF document"},
	{"\xff\x0a", "a JPEG XL"},
	{"\x00\x00\x00\x0cJXL ", "a JPEG XL"},
	{"\x00\x00\x00\x0cjP  ", "a JPEG 2000"},
	{"PK\x03\x04", "a ZIP archive or an office document"},
	{"\x1a\x45\xdf\xa3", "a video"},
}

// animated is a flag of the chunk VP8X (RFC 9649 section 2.7).
const animated = 0x02

const hintStill = "take a still from it and export that as a JPEG"

// sniffBrand looks at the brands of a file of boxes (ISO/IEC 14496-12 section 4.3; the brands of
// HEIF are in ISO/IEC 23008-12).
func sniffBrand(data []byte) (string, error) {
	end := min(int(binary.BigEndian.Uint32(data)), len(data))
	brands := []string{string(data[8:12])}
	for i := 16; i+4 <= end; i += 4 {
		brands = append(brands, string(data[i:i+4]))
	}
	still := false
	for _, b := range brands {
		switch b {
		case "heic", "heix", "heim", "heis", "hevc", "hevx":
			return "heic", nil
		case "avif", "avis":
			return "", &UnsupportedError{"the file is an AVIF, which is not read here", hintExport}
		case "mif1", "msf1":
			still = true
		}
	}
	if still {
		return "heic", nil
	}
	return "", &UnsupportedError{"the file is a video, which is not read here", hintStill}
}
