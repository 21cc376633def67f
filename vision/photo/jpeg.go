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
	samples     float64 // a pixel, of all components together; 3 if it is not told
	apart       bool    // has to be taken apart, see decodeByComponent
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
	markerDHT  = 0xc4
	markerDRI  = 0xdd
	markerAPP1 = 0xe1
	markerTEM  = 0x01

	markerAPP14 = 0xee
)

// scanJPEG goes through the markers of the whole file. It looks for each 0xff, so that it costs about
// a millisecond for a phone's photo; segments with a length are stepped over.
func scanJPEG(data []byte) (h jpegHeader) {
	var frame []byte
	interval := 0
	h.samples = 3
	for b := data; ; {
		m, segment, rest, ok := nextSegment(b)
		if !ok {
			return h
		}
		b = rest
		switch {
		case m == markerEOI:
			h.ended = true
			return h
		case m == markerSOS:
			h.scans++
			if len(segment) >= 2 && segment[0] == 1 && interval > 0 && sampling(frame, segment[1]) > 1 {
				h.apart = true
			}
		case m == markerDRI && len(segment) == 2:
			interval = int(binary.BigEndian.Uint16(segment))
		case m >= markerSOF0 && m <= markerSOF2 && len(segment) >= 6:
			h.progressive = h.progressive || m == markerSOF2
			h.components = max(h.components, int(segment[5]))
			frame = segment
			h.samples = samples(frame)
		case m == markerDQT && h.coarseness == 0:
			h.coarseness = coarseness(segment)
		case m == markerAPP1 && h.exif == nil && bytes.HasPrefix(segment, []byte("Exif\x00\x00")):
			h.exif = segment[6:]
		}
	}
}

// samples gives those of all components for each pixel of a frame (T.81, A.1.1): 1.5 with chroma halved both ways.
func samples(frame []byte) float64 {
	if frame[5] == 1 {
		return 1
	}
	sum, across, down := 0, 1, 1
	for c := frame[6:]; len(c) >= 3; c = c[3:] {
		h, v := int(c[1]>>4), int(c[1]&15)
		sum, across, down = sum+h*v, max(across, h), max(down, v)
	}
	return float64(sum) / float64(across*down)
}

// sampling is how many blocks the component of this name has in a unit of several components; 1 in a frame of one, and
// if it is not told.
func sampling(frame []byte, id byte) int {
	if len(frame) < 6 || frame[5] < 2 {
		return 1
	}
	for c := frame[6:]; len(c) >= 3; c = c[3:] {
		if c[0] == id {
			return int(c[1]>>4) * int(c[1]&15)
		}
	}
	return 1
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
