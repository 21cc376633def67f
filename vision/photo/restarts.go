// JPEGs with restart markers in scans of one component. image/jpeg counts the restart interval of such a scan in the
// units of an interleaved one (as of Go 1.26), where ITU-T T.81, A.2.2 counts blocks, and refuses the file when chroma
// is subsampled. A picture of one component alone it counts rightly. So such a file is taken apart into three files of
// one component each, which are decoded one after the other. A scan of one component is copied as it is. The scans of
// several components that a progressive file has hold nothing but the first coefficient of each block (T.81,
// G.1.1.1.1), as a difference or as one more bit; these are sorted by component and coded anew. No coefficient changes.

package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/jpeg"
	"io"
	"math/bits"
)

// A part is one component of the picture and the file that is made of it.
type part struct {
	id, h, v byte // its name in the file, and sampling factors
	w, rows  int  // px
	file     bytes.Buffer
}

// across and down are the blocks that a scan of this component alone has.
func (p *part) across() int { return (p.w + 7) / 8 }
func (p *part) down() int   { return (p.rows + 7) / 8 }

var (
	errRestarts = errors.New("its scans and restart markers do not fit together")
	errSampling = jpeg.UnsupportedError("its colours with restart markers")
)

// decodeByComponent decodes a JPEG of three components; reader makes what the decoder reads a part's bytes from.
func decodeByComponent(data []byte, reader func([]byte) io.Reader) (image.Image, error) {
	parts, w, rows, err := takeApart(data)
	if err != nil {
		return nil, err
	}
	ratio, ok := ratios[[2]byte{parts[0].h, parts[0].v}]
	if !ok {
		return nil, errSampling
	}
	var planes [3]*image.Gray
	for i, p := range parts {
		img, err := jpeg.Decode(reader(p.file.Bytes()))
		if err != nil {
			return nil, err
		}
		grey, ok := img.(*image.Gray)
		if !ok {
			return nil, errRestarts
		}
		planes[i] = grey
		p.file = bytes.Buffer{}
	}
	return &image.YCbCr{Y: planes[0].Pix, YStride: planes[0].Stride, Cb: planes[1].Pix, Cr: planes[2].Pix, CStride: planes[1].Stride,
		SubsampleRatio: ratio, Rect: image.Rect(0, 0, w, rows)}, nil
}

// ratios by luma's sampling factors, chroma having 1 and 1.
var ratios = map[[2]byte]image.YCbCrSubsampleRatio{
	{2, 1}: image.YCbCrSubsampleRatio422, {2, 2}: image.YCbCrSubsampleRatio420, {1, 2}: image.YCbCrSubsampleRatio440,
	{4, 1}: image.YCbCrSubsampleRatio411, {4, 2}: image.YCbCrSubsampleRatio410,
}

// takeApart makes the three files and gives the size of the picture.
func takeApart(data []byte) (parts []*part, w, rows int, err error) {
	var tables [4]*huffman // of first coefficients
	head := []byte{0xff, markerSOI}
	interval := 0
	for rest := data; ; {
		m, segment, after, ok := nextSegment(rest)
		if !ok {
			return nil, 0, 0, io.ErrUnexpectedEOF
		}
		rest = after
		switch {
		case m == markerEOI && parts != nil:
			for _, p := range parts {
				p.file.Write([]byte{0xff, markerEOI})
			}
			return parts, w, rows, nil
		case m >= markerSOF0 && m <= markerSOF2 && parts == nil:
			if parts, w, rows, err = partsOf(m, segment, head); err != nil {
				return nil, 0, 0, err
			}
		case m == markerDRI && len(segment) == 2:
			interval = int(binary.BigEndian.Uint16(segment))
		case m == markerAPP14 && len(segment) >= 12 && string(segment[:5]) == "Adobe" && segment[11] == 0:
			return nil, 0, 0, errSampling // three colours and no luma
		case m == markerDHT || m == markerDQT:
			if m == markerDHT {
				if err := readTables(segment, &tables); err != nil {
					return nil, 0, 0, err
				}
			}
			if parts == nil {
				head = appendSegment(head, m, segment)
			}
			for _, p := range parts {
				p.segment(m, segment)
			}
		case m == markerSOS:
			n := entropyEnd(rest)
			if err := copyScan(parts, segment, rest[:n], interval, &tables); err != nil {
				return nil, 0, 0, err
			}
			rest = rest[n:]
		}
	}
}

// nextSegment gives the next marker that is no restart, and the body of its segment, nil if it has none.
func nextSegment(b []byte) (m byte, segment, rest []byte, ok bool) {
	for {
		i := bytes.IndexByte(b, 0xff)
		if i < 0 || i+1 >= len(b) {
			return 0, nil, nil, false
		}
		m, b = b[i+1], b[i+1:]
		if m == 0xff { // fill byte
			continue
		}
		b = b[1:]
		switch {
		case m == 0 || m == markerTEM || m == markerSOI || m >= markerRST0 && m <= markerRST7:
			continue
		case m == markerEOI:
			return m, nil, b, true
		}
		if len(b) < 2 {
			return 0, nil, nil, false
		}
		n := int(binary.BigEndian.Uint16(b))
		if n < 2 || n > len(b) {
			return 0, nil, nil, false
		}
		return m, b[2:n], b[n:], true
	}
}

func appendSegment(b []byte, m byte, segment []byte) []byte {
	return append(binary.BigEndian.AppendUint16(append(b, 0xff, m), uint16(len(segment)+2)), segment...)
}

func (p *part) segment(m byte, segment []byte) { p.file.Write(appendSegment(nil, m, segment)) }

// partsOf begins the three files of a frame of three components (T.81, B.2.2).
func partsOf(m byte, frame, head []byte) (parts []*part, w, rows int, err error) {
	if len(frame) != 15 || frame[5] != 3 {
		return nil, 0, 0, errSampling
	}
	rows, w = int(binary.BigEndian.Uint16(frame[1:])), int(binary.BigEndian.Uint16(frame[3:]))
	hmax, vmax := int(frame[7]>>4), int(frame[7]&15) // of luma: ratios has no others
	for c := frame[6:]; len(c) > 0; c = c[3:] {
		p := &part{id: c[0], h: c[1] >> 4, v: c[1] & 15}
		if len(parts) > 0 && (p.h != 1 || p.v != 1) || hmax == 0 || vmax == 0 {
			return nil, 0, 0, errSampling
		}
		p.w, p.rows = (w*int(p.h)+hmax-1)/hmax, (rows*int(p.v)+vmax-1)/vmax // A.1.1
		p.file.Write(head)
		own := binary.BigEndian.AppendUint16([]byte{frame[0]}, uint16(p.rows))
		p.segment(m, append(binary.BigEndian.AppendUint16(own, uint16(p.w)), 1, p.id, 0x11, c[2]))
		parts = append(parts, p)
	}
	return parts, w, rows, nil
}

// entropyEnd is the length of the coded data at the beginning of b: up to the next marker that is no restart.
func entropyEnd(b []byte) int {
	for i := 0; ; i++ {
		k := bytes.IndexByte(b[i:], 0xff)
		if k < 0 || i+k+1 >= len(b) {
			return len(b)
		}
		i += k
		if m := b[i+1]; m != 0 && m != 0xff && (m < markerRST0 || m > markerRST7) {
			return i
		}
	}
}

// copyScan adds a scan to the files of its components. scan is its header (T.81, B.2.3), coded what follows it.
func copyScan(parts []*part, scan, coded []byte, interval int, tables *[4]*huffman) error {
	if len(scan) < 6 || len(scan) != 4+2*int(scan[0]) || parts == nil {
		return errRestarts
	}
	n := int(scan[0])
	list, selected := make([]*part, n), make([]byte, n)
	for i := range n {
		for _, p := range parts {
			if p.id == scan[1+2*i] {
				list[i], selected[i] = p, scan[2+2*i]
			}
		}
		if list[i] == nil {
			return errRestarts
		}
	}
	if n == 1 {
		list[0].segment(markerDRI, binary.BigEndian.AppendUint16(nil, uint16(interval)))
		list[0].segment(markerSOS, scan)
		list[0].file.Write(coded)
		return nil
	}
	if end := scan[len(scan)-3:]; end[0] != 0 || end[1] != 0 {
		return errSampling // a sequential scan of several components beside those of one
	}
	values, err := firstCoefficients(parts, list, selected, scan[len(scan)-1]>>4 != 0, coded, interval, tables)
	if err != nil {
		return err
	}
	for i, p := range list {
		p.firstScan(values[i], scan[len(scan)-1])
	}
	return nil
}

// firstCoefficients reads an interleaved scan: for each of its components the values of the blocks, row by row, without
// those beyond the picture's sides; of a refining scan one bit of each.
func firstCoefficients(parts, list []*part, selected []byte, refine bool, coded []byte, interval int, tables *[4]*huffman) ([][]int32, error) {
	values := make([][]int32, len(list))
	for i, p := range list {
		values[i] = make([]int32, p.across()*p.down())
	}
	luma := parts[0]
	mx, my := (luma.across()+int(luma.h)-1)/int(luma.h), (luma.down()+int(luma.v)-1)/int(luma.v)
	var in bitReader
	var last []int32 // of each component: what a difference is taken from
	for unit := range mx * my {
		if unit == 0 || interval > 0 && unit%interval == 0 {
			in, coded = nextInterval(coded)
			last = make([]int32, len(list))
		}
		for i, p := range list {
			for j := range int(p.h) * int(p.v) {
				var v int32
				if refine {
					v = int32(in.bits(1))
				} else {
					table := tables[selected[i]>>4&3]
					if table == nil {
						return nil, errRestarts
					}
					last[i] += in.difference(table)
					v = last[i]
				}
				x, y := unit%mx*int(p.h)+j%int(p.h), unit/mx*int(p.v)+j/int(p.h)
				if x < p.across() && y < p.down() {
					values[i][y*p.across()+x] = v
				}
			}
		}
		if in.bad {
			return nil, errRestarts
		}
	}
	return values, nil
}

// firstScan writes a scan of first coefficients, with a table of its own: 17 categories in codes of 5 bits.
func (p *part) firstScan(values []int32, approximation byte) {
	p.segment(markerDRI, []byte{0, 0})
	const categories, length = 17, 5
	table := make([]byte, 17, 17+categories)
	table[length] = categories
	for k := range byte(categories) {
		table = append(table, k)
	}
	p.segment(markerDHT, table)
	p.segment(markerSOS, []byte{1, p.id, 0, 0, 0, approximation})
	out := bitWriter{to: &p.file}
	last := int32(0)
	for _, v := range values {
		if approximation>>4 != 0 {
			out.bits(uint32(v), 1)
			continue
		}
		d := v - last
		last = v
		size := bits.Len32(uint32(max(d, -d)))
		out.bits(uint32(size), length)
		if d < 0 {
			d += 1<<size - 1 // T.81, F.1.2.1.1
		}
		out.bits(uint32(d), size)
	}
	out.bits(0xff, (8-out.n)%8)
}

// A huffman is a table by code length (T.81, C.2 and F.2.2.3).
type huffman struct {
	first [17]int // the first code of a length
	count [17]int
	at    [17]int // of its symbol in symbols
	all   []byte
}

// readTables keeps the tables of a segment that are of first coefficients (class 0).
func readTables(b []byte, tables *[4]*huffman) error {
	for len(b) > 0 {
		if len(b) < 17 {
			return errRestarts
		}
		var h huffman
		code, n := 0, 0
		for l := 1; l <= 16; l++ {
			h.first[l], h.count[l], h.at[l] = code, int(b[l]), n
			code, n = (code+h.count[l])<<1, n+h.count[l]
		}
		if len(b) < 17+n {
			return errRestarts
		}
		h.all = b[17 : 17+n]
		if b[0]>>4 == 0 {
			tables[b[0]&3] = &h
		}
		b = b[17+n:]
	}
	return nil
}

// A bitReader reads the coded data of one restart interval, without the zeros that are stuffed in. Beyond its end it is
// bad.
type bitReader struct {
	b   []byte
	at  int // bit
	bad bool
}

// nextInterval takes the data up to the next restart marker off coded.
func nextInterval(coded []byte) (bitReader, []byte) {
	var r bitReader
	for i := 0; i < len(coded); i++ {
		if coded[i] == 0xff && i+1 < len(coded) {
			m := coded[i+1]
			if m >= markerRST0 && m <= markerRST7 {
				return r, coded[i+2:]
			}
			if m == 0xff {
				continue // fill byte
			}
			i++ // a stuffed zero
			r.b = append(r.b, 0xff)
			continue
		}
		r.b = append(r.b, coded[i])
	}
	return r, nil
}

func (r *bitReader) bits(n int) (v int) {
	for range n {
		if r.at >= 8*len(r.b) {
			r.bad = true
			return 0
		}
		v = v<<1 | int(r.b[r.at/8]>>(7-r.at%8)&1)
		r.at++
	}
	return v
}

// difference reads a category and as many bits (T.81, F.2.2.1).
func (r *bitReader) difference(h *huffman) int32 {
	code := 0
	for l := 1; l <= 16 && !r.bad; l++ {
		code = code<<1 | r.bits(1)
		if k := code - h.first[l]; k >= 0 && k < h.count[l] {
			size := int(h.all[h.at[l]+k])
			if size > 16 {
				break
			}
			v := r.bits(size)
			if size > 0 && v < 1<<(size-1) {
				v -= 1<<size - 1
			}
			return int32(v)
		}
	}
	r.bad = true
	return 0
}

// A bitWriter writes coded data, with a zero after each byte of ones.
type bitWriter struct {
	to   *bytes.Buffer
	hold uint32
	n    int // bits in hold, fewer than 8
}

func (w *bitWriter) bits(v uint32, n int) {
	w.hold, w.n = w.hold<<n|v&(1<<n-1), w.n+n
	for w.n >= 8 {
		w.n -= 8
		c := byte(w.hold >> w.n)
		w.to.WriteByte(c)
		if c == 0xff {
			w.to.WriteByte(0)
		}
	}
}
