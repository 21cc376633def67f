// The letters of a PDF: a TrueType font (OpenType specification 1.9), of which only the glyphs that are used go into
// the file. Each character has a code of its own there, so that it is copied as the character that it is (ISO 32000-1,
// 9.10.3).

package report

import (
	_ "embed"
	"encoding/binary"
	"fmt"
	"slices"
	"strings"
)

// The Go font without what fits it to the pixels of a screen, which is half of it (TestLettersAreTheGoFont makes it).
// Bold letters are the same with an outline: a second font would be a hundredth of what a phone loads.
//
//go:embed letters/regular.ttf
var regularTTF []byte

// Letters are a font and the characters of it that a file uses, in the order of their first use: the first has code 1.
type letters struct {
	name   string // in the file
	tables map[string][]byte
	perEm  int
	used   []rune
	codes  map[rune]uint16
}

func goRegular() *letters { return lettersOf("Go", regularTTF) }

// lettersOf takes the tables of a font that is known to be whole: it is part of the program.
func lettersOf(name string, ttf []byte) *letters {
	l := &letters{name: name, tables: map[string][]byte{}, codes: map[rune]uint16{}}
	for i := range int(binary.BigEndian.Uint16(ttf[4:])) {
		entry := ttf[12+16*i:]
		at, n := binary.BigEndian.Uint32(entry[8:]), binary.BigEndian.Uint32(entry[12:])
		l.tables[string(entry[:4])] = ttf[at : at+n]
	}
	l.perEm = l.word("head", 18)
	return l
}

func (l *letters) word(table string, at int) int {
	return int(binary.BigEndian.Uint16(l.tables[table][at:]))
}

func (l *letters) signed(table string, at int) int { return int(int16(l.word(table, at))) }

// glyph finds a character in the table of format 4, which the font has for those of the first plane; 0 is the sign for
// one that it lacks.
func (l *letters) glyph(r rune) int {
	if r > 0xffff {
		return 0
	}
	cmap := l.tables["cmap"]
	at := -1
	for i := range l.word("cmap", 2) {
		if p, e, o := l.word("cmap", 4+8*i), l.word("cmap", 6+8*i), binary.BigEndian.Uint32(cmap[8+8*i:]); p == 3 && e == 1 {
			at = int(o)
		}
	}
	if at < 0 || l.word("cmap", at) != 4 {
		return 0
	}
	twice := l.word("cmap", at+6) // the segments
	for k := 0; k < twice; k += 2 {
		if end := l.word("cmap", at+14+k); int(r) > end {
			continue
		}
		start, delta, offset := l.word("cmap", at+16+twice+k), l.word("cmap", at+16+2*twice+k), l.word("cmap", at+16+3*twice+k)
		if int(r) < start {
			return 0
		}
		if offset == 0 {
			return (int(r) + delta) & 0xffff
		}
		g := l.word("cmap", at+16+3*twice+k+offset+2*(int(r)-start))
		if g != 0 {
			g = (g + delta) & 0xffff
		}
		return g
	}
	return 0
}

// advance is the width of a character, in perEm-ths of the size.
func (l *letters) advance(r rune) int {
	n := l.word("hhea", 34) // of widths; the last holds for all glyphs after it
	return l.word("hmtx", 4*min(l.glyph(r), n-1))
}

// code is that of a character in the file.
func (l *letters) code(r rune) uint16 {
	if c, ok := l.codes[r]; ok {
		return c
	}
	l.used = append(l.used, r)
	l.codes[r] = uint16(len(l.used))
	return l.codes[r]
}

// embed puts the font into a file and gives the number of its object (9.7.4, 9.8, 9.9).
func (l *letters) embed(f *pdfObjects) int {
	const tag = "QUADRI+" // says that it is a part of a font
	thousandths := func(v int) int { return (v*1000 + l.perEm/2) / l.perEm }
	program := l.subset()
	file := f.stream(fmt.Sprintf("/Length1 %d", len(program)), program)
	ascent, descent := thousandths(l.signed("hhea", 4)), -thousandths(-l.signed("hhea", 6))
	descriptor := f.add("<</Type /FontDescriptor /FontName /%s%s /Flags 4 /FontBBox [%d %d %d %d] /ItalicAngle 0 /Ascent %d /Descent %d "+
		"/CapHeight %d /StemV 80 /FontFile2 %d 0 R>>", tag, l.name, -thousandths(-l.signed("head", 36)), -thousandths(-l.signed("head", 38)),
		thousandths(l.signed("head", 40)), thousandths(l.signed("head", 42)), ascent, descent, thousandths(l.signed("OS/2", 88)), file)
	glyphs := make([]byte, 2, 2+2*len(l.used)) // code 0 is glyph 0
	var widths, texts strings.Builder
	for i, r := range l.used {
		glyphs = binary.BigEndian.AppendUint16(glyphs, uint16(l.glyph(r)))
		fmt.Fprintf(&widths, "%d ", thousandths(l.advance(r)))
		if i%100 == 0 { // no more may stand together
			if i > 0 {
				texts.WriteString("endbfchar\n")
			}
			fmt.Fprintf(&texts, "%d beginbfchar\n", min(100, len(l.used)-i))
		}
		fmt.Fprintf(&texts, "<%04x> <%04x>\n", i+1, r)
	}
	font := f.add("<</Type /Font /Subtype /CIDFontType2 /BaseFont /%s%s /CIDSystemInfo <</Registry (Adobe) /Ordering (Identity) /Supplement 0>> "+
		"/FontDescriptor %d 0 R /DW 0 /W [1 [%s]] /CIDToGIDMap %d 0 R>>", tag, l.name, descriptor, widths.String(), f.stream("", glyphs))
	toText := f.stream("", []byte("/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"+
		"/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"+
		"1 begincodespacerange\n<0000> <ffff>\nendcodespacerange\n"+texts.String()+
		"endbfchar\nendcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n"))
	return f.add("<</Type /Font /Subtype /Type0 /BaseFont /%s%s /Encoding /Identity-H /DescendantFonts [%d 0 R] /ToUnicode %d 0 R>>",
		tag, l.name, font, toText)
}

// outline is the description of a glyph.
func (l *letters) outline(g int) []byte {
	place := func(g int) int {
		if l.word("head", 50) == 0 {
			return 2 * l.word("loca", 2*g)
		}
		return int(binary.BigEndian.Uint32(l.tables["loca"][4*g:]))
	}
	return l.tables["glyf"][place(g):place(g+1)]
}

// subset is the font with no other glyphs than those that are used, and those that these are made of. They keep their
// numbers.
func (l *letters) subset() []byte {
	count := l.word("maxp", 4)
	keep := make([]bool, count)
	var take func(g int)
	take = func(g int) {
		if g >= count || keep[g] {
			return
		}
		keep[g] = true
		glyph := l.outline(g)
		if len(glyph) < 10 || int16(binary.BigEndian.Uint16(glyph)) >= 0 {
			return
		}
		for at := 10; at > 0; { // one made of others
			take(int(binary.BigEndian.Uint16(glyph[at+2:])))
			at = nextPart(glyph, at)
		}
	}
	take(0)
	for _, r := range l.used {
		take(l.glyph(r))
	}
	var glyf, loca []byte
	for g := range count {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		if keep[g] {
			glyf = append(glyf, l.outline(g)...)
			glyf = append(glyf, make([]byte, (4-len(glyf)%4)%4)...)
		}
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	head := slices.Clone(l.tables["head"])
	head[50], head[51] = 0, 1 // places of 32 bits
	return fontFile(map[string][]byte{"glyf": glyf, "loca": loca, "head": head, "hhea": l.tables["hhea"], "hmtx": l.tables["hmtx"],
		"maxp": l.tables["maxp"]})
}

// nextPart is where the next part of a composite glyph is described, after the one at a place; 0 after the last.
func nextPart(glyph []byte, at int) int {
	const words, scale, twoScales, matrix, more = 0x01, 0x08, 0x40, 0x80, 0x20
	flags := binary.BigEndian.Uint16(glyph[at:])
	if flags&more == 0 {
		return 0
	}
	at += 6
	for flag, size := range map[uint16]int{words: 2, scale: 2, twoScales: 4, matrix: 8} {
		if flags&flag != 0 {
			at += size
		}
	}
	return at
}

// fontFile puts tables together.
func fontFile(tables map[string][]byte) []byte {
	var names []string
	for name, data := range tables {
		if len(data) > 0 {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	n := len(names)
	power, log := 1, 0 // of two, not above n
	for 2*power <= n {
		power, log = 2*power, log+1
	}
	out := []byte{0, 1, 0, 0}
	for _, v := range []int{n, 16 * power, log, 16 * (n - power)} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	var body []byte
	for _, name := range names {
		data := tables[name]
		padded := append(slices.Clone(data), make([]byte, (4-len(data)%4)%4)...)
		sum := uint32(0)
		for i := 0; i < len(padded); i += 4 {
			sum += binary.BigEndian.Uint32(padded[i:])
		}
		out = append(out, name...)
		out = binary.BigEndian.AppendUint32(out, sum)
		out = binary.BigEndian.AppendUint32(out, uint32(12+16*n+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(data)))
		body = append(body, padded...)
	}
	return append(out, body...)
}
