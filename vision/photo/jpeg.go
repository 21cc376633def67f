package photo

import (
	"bytes"
	"encoding/binary"
)

// A jpegHeader is what the markers of a JPEG tell before it is decoded. Source: ITU-T T.81 annex B.
type jpegHeader struct {
	progressive bool
	components  int
	scans       int     // headers of scans in the whole file
	exif        []byte  // of the first APP1 segment with EXIF, nil if none
	ended       bool    // has an end marker
	coarseness  float64 // mean of the luma quantization table over the mean of T.81 table K.1; 0 if none
}

// Markers of T.81 table B.1.
const (
	markerSOF0 = 0xc0
	markerSOF2 = 0xc2 // progressive
	markerRST0 = 0xd0
	markerRST7 = 0xd7
	markerSOI  = 0xd8
	markerEOI  = 0xd9
	markerSOS  = 0xda
	markerDQT  = 0xdb
	markerAPP1 = 0xe1
	markerTEM  = 0x01
)

// scanJPEG goes through the markers of the whole file. It looks for each 0xff, so that it costs about
// a millisecond for a phone's photo; segments with a length are stepped over.
func scanJPEG(data []byte) (h jpegHeader) {
	for b := data; ; {
		i := bytes.IndexByte(b, 0xff)
		if i < 0 || i+1 >= len(b) {
			return h
		}
		m := b[i+1]
		if m == 0xff { // fill byte
			b = b[i+1:]
			continue
		}
		b = b[i+2:]
		if m == 0 || m == markerTEM || m == markerSOI || m >= markerRST0 && m <= markerRST7 {
			continue
		}
		if m == markerEOI {
			h.ended = true
			return h
		}
		if len(b) < 2 {
			return h
		}
		n := int(binary.BigEndian.Uint16(b))
		if n < 2 || n > len(b) {
			return h
		}
		segment := b[2:n]
		b = b[n:]
		switch {
		case m == markerSOS:
			h.scans++
		case m >= markerSOF0 && m <= markerSOF2 && len(segment) >= 6:
			h.progressive = h.progressive || m == markerSOF2
			h.components = max(h.components, int(segment[5]))
		case m == markerDQT && h.coarseness == 0:
			h.coarseness = coarseness(segment)
		case m == markerAPP1 && h.exif == nil && bytes.HasPrefix(segment, []byte("Exif\x00\x00")):
			h.exif = segment[6:]
		}
	}
}

// meanK1 is the mean of the 64 steps of T.81 table K.1, the example for luma: they add up to 3688.
// TestDoubtsNameStrongCompressionAndSmallPictures would notice.
const meanK1 = 3688.0 / 64

// coarseness gives the mean step of table 0, that luma uses by custom, over meanK1; 0 if the segment
// does not have it.
func coarseness(segment []byte) float64 {
	for len(segment) > 0 {
		bytes16, id := segment[0]>>4 != 0, segment[0]&15
		n := 64
		if bytes16 {
			n = 128
		}
		if len(segment) < 1+n {
			return 0
		}
		if id == 0 {
			sum := 0
			for i, v := range segment[1 : 1+n] {
				if bytes16 && i%2 == 0 {
					sum += int(v) << 8
				} else {
					sum += int(v)
				}
			}
			return float64(sum) / 64 / meanK1
		}
		segment = segment[1+n:]
	}
	return 0
}
