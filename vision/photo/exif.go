package photo

import (
	"bytes"
	"encoding/binary"
	"strings"
)

// Reads two tags of the EXIF that a picture file carries: Orientation and DateTimeOriginal. Source:
// CIPA DC-008 (Exif 2.32), which uses the directories of TIFF 6.0 section 2. Damaged EXIF is no
// error: phones' photos are copied and edited by many hands, and the picture may be sound.

type exif struct {
	orientation int    // 1..8, 0 if not told
	taken       string // as written, "" if not told
}

// Tags of CIPA DC-008, and types of fields by TIFF 6.0 (1992), page 15 (TestFieldTypesAreThoseOfTheStandard).
const (
	tagOrientation = 0x0112 // SHORT, in directory 0
	tagEXIF        = 0x8769 // LONG: where the EXIF directory is
	tagOriginal    = 0x9003 // ASCII, "YYYY:MM:DD HH:MM:SS", in the EXIF directory

	typeASCII = 2
	typeSHORT = 3
	typeLONG  = 4
)

// readEXIF reads a TIFF header and its directories. Every offset is checked; nothing is followed
// twice, so that no file can keep it busy.
func readEXIF(tiff []byte) (e exif) {
	if len(tiff) < 8 {
		return e
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return e
	}
	var sub uint32
	directory(tiff, order, order.Uint32(tiff[4:]), func(tag, kind uint16, count uint32, value []byte) {
		switch {
		case tag == tagOrientation && kind == typeSHORT && count == 1:
			if v := int(order.Uint16(value)); v >= 1 && v <= 8 {
				e.orientation = v
			}
		case tag == tagEXIF && kind == typeLONG && count == 1:
			sub = order.Uint32(value)
		}
	})
	if sub == 0 {
		return e
	}
	directory(tiff, order, sub, func(tag, kind uint16, count uint32, value []byte) {
		if tag == tagOriginal && kind == typeASCII && count >= 19 && count <= 20 {
			at := uint64(order.Uint32(value))
			if at+19 <= uint64(len(tiff)) {
				e.taken = moment(string(tiff[at : at+19]))
			}
		}
	})
	return e
}

// directory calls f for each entry of the directory at offset at. value is the entry's last four
// bytes: the value itself if it fits there, else where it is.
func directory(tiff []byte, order binary.ByteOrder, at uint32, f func(tag, kind uint16, count uint32, value []byte)) {
	if uint64(at)+2 > uint64(len(tiff)) {
		return
	}
	n := int(order.Uint16(tiff[at:]))
	for b := tiff[at+2:]; n > 0 && len(b) >= 12; n, b = n-1, b[12:] {
		f(order.Uint16(b), order.Uint16(b[2:]), order.Uint32(b[4:]), b[8:12])
	}
}

// moment gives s if it has the form "2006:01:02 15:04:05", else "". A camera whose clock is not set
// writes spaces or zeros.
func moment(s string) string {
	const form = "dddd:dd:dd dd:dd:dd"
	if len(s) != len(form) || strings.HasPrefix(s, "0000") {
		return ""
	}
	for i := range s {
		digit := s[i] >= '0' && s[i] <= '9'
		if digit != (form[i] == 'd') || !digit && s[i] != form[i] {
			return ""
		}
	}
	return s
}

// exifOfPNG finds the eXIf chunk (PNG specification, third edition) before or after the picture.
func exifOfPNG(data []byte) []byte {
	for b := data[8:]; len(b) >= 12; {
		n := uint64(binary.BigEndian.Uint32(b))
		if n+12 > uint64(len(b)) {
			return nil
		}
		if string(b[4:8]) == "eXIf" {
			return b[8 : 8+n]
		}
		b = b[12+n:]
	}
	return nil
}

// exifOfWebP finds the EXIF chunk (RFC 9649 section 2.7).
func exifOfWebP(data []byte) []byte {
	for b := data[12:]; len(b) >= 8; {
		n := uint64(binary.LittleEndian.Uint32(b[4:]))
		if n+8 > uint64(len(b)) {
			return nil
		}
		if string(b[:4]) == "EXIF" {
			// Some writers leave the JPEG segment's name in front.
			return bytes.TrimPrefix(b[8:8+n], []byte("Exif\x00\x00"))
		}
		b = b[8+min(n+n%2, uint64(len(b)-8)):]
	}
	return nil
}
