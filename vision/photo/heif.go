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

// heicEXIF gives the TIFF header and directories of the item of type Exif, nil if there is none that
// lies in the file in one piece. Source: ISO/IEC 14496-12 sections 8.11.3 (iloc) and 8.11.6 (iinf);
// ISO/IEC 23008-12 annex A.2.1: the item starts with the offset of the TIFF header behind that.
func heicEXIF(data []byte) []byte {
	meta := box(data, "meta")
	if len(meta) < 4 {
		return nil
	}
	item, found := uint64(0), false
	if iinf := box(meta[4:], "iinf"); len(iinf) >= 8 {
		skip := 6 // version, flags and a count of 2 bytes
		if iinf[0] > 0 {
			skip = 8
		}
		boxes(iinf[skip:], func(kind string, b []byte) bool {
			switch {
			case kind != "infe" || len(b) < 12:
			case b[0] == 2 && string(b[8:12]) == "Exif":
				item, found = uint64(binary.BigEndian.Uint16(b[4:])), true
			case b[0] == 3 && len(b) >= 14 && string(b[10:14]) == "Exif":
				item, found = uint64(binary.BigEndian.Uint32(b[4:])), true
			}
			return !found
		})
	}
	if !found {
		return nil
	}
	at, n, ok := itemPlace(box(meta[4:], "iloc"), item)
	if !ok || at > uint64(len(data)) || n > uint64(len(data))-at || n < 4 {
		return nil
	}
	exif := data[at : at+n]
	skip := uint64(binary.BigEndian.Uint32(exif)) + 4
	if skip > n {
		return nil
	}
	return exif[skip:]
}

// itemPlace looks an item up in the body of an iloc box: where in the file it is, in one extent.
func itemPlace(iloc []byte, item uint64) (at, n uint64, ok bool) {
	r := fields{b: iloc}
	version := r.next(1)
	r.next(3) // flags
	sizes, more := r.next(1), r.next(1)
	offset, length, base, index := int(sizes>>4), int(sizes&15), int(more>>4), int(more&15)
	wide := 2 // bytes of an item's number and of their count
	if version == 2 {
		wide = 4
	}
	for range r.next(wide) {
		id, method := r.next(wide), uint64(0)
		if version > 0 {
			method = r.next(2) & 15
		}
		r.next(2) // which file: 0 is this one
		start := r.next(base)
		extents := r.next(2)
		for range extents {
			if version > 0 {
				r.next(index)
			}
			at, n = start+r.next(offset), r.next(length)
			if r.bad {
				return 0, 0, false
			}
		}
		if r.bad || id == item {
			return at, n, !r.bad && method == 0 && extents == 1 && at >= start
		}
	}
	return 0, 0, false
}

// fields reads big-endian numbers; after the end it gives zeros and is bad.
type fields struct {
	b   []byte
	bad bool
}

// next reads a number of n bytes, at most 8; of no byte it is 0.
func (r *fields) next(n int) (v uint64) {
	if n > len(r.b) || n > 8 {
		r.bad = true
		return 0
	}
	for _, c := range r.b[:n] {
		v = v<<8 | uint64(c)
	}
	r.b = r.b[n:]
	return v
}
