package report

import (
	"bytes"
	"encoding/binary"
	"flag"
	"math"
	"os"
	"slices"
	"strings"
	"testing"

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
func TestLettersAreTheGoFont(t *testing.T) {
	const name = "letters/regular.ttf"
	want := withoutHints(goregular.TTF)
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
	ours, theirs := lettersOf("", got), lettersOf("", goregular.TTF)
	for r := rune(' '); r < 0x2300; r++ {
		if ours.glyph(r) != theirs.glyph(r) || ours.advance(r) != theirs.advance(r) {
			t.Errorf("%q differs", r)
		}
	}
	// What the pages say must be there, as a character of its own.
	for _, r := range "µΩτ±−²·×÷≤≥∞νχ√°′" {
		if ours.glyph(r) == 0 {
			t.Errorf("no %q", r)
		}
	}
}

// Bold text is drawn round by a rim, takes a rim more a letter, and leaves the state as it was.
func TestBoldIsTheSameLettersThicker(t *testing.T) {
	c := newCanvas("", 210, 297, 10)
	c.addPage()
	c.pen(10, "", [3]int{})
	plain := c.textWidth("level")
	c.write(10, 20, "level")
	was := c.out.Len()
	c.pen(10, "B", [3]int{255, 0, 0})
	if d := (c.textWidth("level") - plain) * pointsAMillimetre; math.Abs(d-5*boldRim*10) > 1e-9 {
		t.Errorf("five bold letters are %v points wider than plain ones", d)
	}
	c.write(10, 30, "level")
	got := string(c.out.Bytes()[was:])
	if !strings.HasPrefix(got, "q 2 Tr 0.35 w 0.35 Tc 1 0 0 RG BT /Go 10 Tf") || !strings.HasSuffix(got, " Tj ET Q\n") {
		t.Errorf("bold is %q", got)
	}
}
