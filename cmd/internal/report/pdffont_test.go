package report

import (
	"bytes"
	"encoding/binary"
	"flag"
	"os"
	"slices"
	"testing"

	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// withoutHints leaves out of a font the instructions that fit glyphs to pixels, and the tables that no PDF needs.
func withoutHints(ttf []byte) []byte {
	const instructed = 0x100 // of a part of a composite glyph: instructions follow the last part
	l := lettersOf("", ttf)
	var glyf, loca []byte
	for g := range l.word("maxp", 4) {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		glyph := slices.Clone(l.outline(g))
		if len(glyph) >= 10 {
			if contours := int(int16(binary.BigEndian.Uint16(glyph))); contours >= 0 {
				at := 10 + 2*contours // of the length of the instructions
				n := int(binary.BigEndian.Uint16(glyph[at:]))
				glyph = slices.Delete(glyph, at+2, at+2+n)
				glyph[at], glyph[at+1] = 0, 0
			} else {
				last := 0
				for at := 10; at > 0; at = nextPart(glyph, at) {
					last = at
					glyph[at] &^= instructed >> 8
				}
				size := 6 // of a part, as nextPart counts
				rest := slices.Concat(glyph[last:], make([]byte, 20))
				rest[1] |= 0x20
				size = nextPart(rest, 0)
				glyph = glyph[:last+size]
			}
		}
		glyf = append(glyf, glyph...)
		glyf = append(glyf, make([]byte, (4-len(glyf)%4)%4)...)
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	head := slices.Clone(l.tables["head"])
	head[50], head[51] = 0, 1
	return fontFile(map[string][]byte{"glyf": glyf, "loca": loca, "head": head, "hhea": l.tables["hhea"], "hmtx": l.tables["hmtx"],
		"maxp": l.tables["maxp"], "cmap": l.tables["cmap"], "OS/2": l.tables["OS/2"]})
}

// The letters that ship are those of golang.org/x/image, with the same widths and outlines.
func TestLettersAreTheGoFonts(t *testing.T) {
	for name, ttf := range map[string][]byte{"letters/regular.ttf": goregular.TTF, "letters/bold.ttf": gobold.TTF} {
		want := withoutHints(ttf)
		if flag.Lookup("update").Value.String() == "true" {
			if err := os.WriteFile(name, want, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		got, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not made of the font as it is now: go test ./cmd/internal/report -run Letters -update", name)
		}
		ours, theirs := lettersOf("", got), lettersOf("", ttf)
		for r := rune(' '); r < 0x2300; r++ {
			if ours.glyph(r) != theirs.glyph(r) || ours.advance(r) != theirs.advance(r) {
				t.Errorf("%s: %q differs", name, r)
			}
		}
		// What the pages say must be there, as a character of its own.
		for _, r := range "µΩτ±−²·×÷≤≥∞νχ√°′" {
			if ours.glyph(r) == 0 {
				t.Errorf("%s has no %q", name, r)
			}
		}
	}
}
