//go:build heic && nodynamic && !js

package photo

import "encoding/binary"

// heicSize gives the largest size that the file's ispe properties name: the picture itself, or for
// one cut into tiles the whole grid. Source: ISO/IEC 14496-12 section 4.2 for boxes, ISO/IEC 23008-12
// section 6.5.3 for ispe, which lies in meta / iprp / ipco.
func heicSize(data []byte) (w, h int, ok bool) {
	meta := box(data, "meta")
	if len(meta) < 4 {
		return 0, 0, false
	}
	ipco := box(box(meta[4:], "iprp"), "ipco") // meta has a version and flags first
	boxes(ipco, func(kind string, body []byte) bool {
		if kind == "ispe" && len(body) >= 12 {
			bw, bh := uint64(binary.BigEndian.Uint32(body[4:])), uint64(binary.BigEndian.Uint32(body[8:]))
			if bw*bh >= uint64(w)*uint64(h) {
				w, h, ok = int(bw), int(bh), true
			}
		}
		return true
	})
	return w, h, ok
}

// box gives the body of the first box of a kind, nil if there is none.
func box(data []byte, kind string) (body []byte) {
	boxes(data, func(k string, b []byte) bool {
		if k == kind {
			body = b
		}
		return body == nil
	})
	return body
}

// boxes calls f for each box in data until f gives false.
func boxes(data []byte, f func(kind string, body []byte) bool) {
	for len(data) >= 8 {
		n, head := uint64(binary.BigEndian.Uint32(data)), uint64(8)
		switch {
		case n == 0: // to the end
			n = uint64(len(data))
		case n == 1 && len(data) >= 16:
			n, head = binary.BigEndian.Uint64(data[8:]), 16
		}
		if n < head || n > uint64(len(data)) {
			return
		}
		if !f(string(data[4:8]), data[head:n]) {
			return
		}
		data = data[n:]
	}
}
