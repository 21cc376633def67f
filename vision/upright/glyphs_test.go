package upright

import (
	"bytes"
	"flag"
	"image"
	"math"
	"os"
	"strings"
	"testing"

	"golang.org/x/image/font"
	"golang.org/x/image/font/basicfont"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/inconsolata"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	"quadrille/vision/raster"
)

var update = flag.Bool("update", false, "write glyphs.bin anew from the types")

// alphabet has the characters and how often each is met.
var alphabet = []struct {
	chars  string
	weight byte
}{
	{"0123456789", 6}, {"ABCDEFGHIJKLMNOPQRSTUVWXYZ", 3}, {"abcdefghijklmnopqrstuvwxyz", 2}, {"µΩ%?", 1},
}

// types gives the faces: four drawn ones, and two of dots, as many displays have.
func types(t testing.TB) (faces []font.Face) {
	for _, ttf := range [][]byte{goregular.TTF, gobold.TTF, gomono.TTF, gomonobold.TTF} {
		f, err := opentype.Parse(ttf)
		if err != nil {
			t.Fatal(err)
		}
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: 96, DPI: 72})
		if err != nil {
			t.Fatal(err)
		}
		faces = append(faces, face)
	}
	return append(faces, basicfont.Face7x13, inconsolata.Regular8x16)
}

// glyphTable renders the characters of all types, and lists them in order.
func glyphTable(t testing.TB) (table []byte, order []rune) {
	for _, face := range types(t) {
		h := face.Metrics().Height.Ceil()
		for _, a := range alphabet {
			for _, r := range a.chars {
				if r > 127 && h < 20 {
					continue // not in the types of dots
				}
				m := image.NewAlpha(image.Rect(0, 0, 3*h, 3*h))
				d := font.Drawer{Dst: m, Src: image.Opaque, Face: face, Dot: fixed.P(h, 2*h)}
				d.DrawString(string(r))
				table, order = append(table, glyphOf(m, a.weight, strings.ContainsRune(symmetric, r))...), append(order, r)
			}
		}
	}
	return table, order
}

// symmetric characters look the same upside down, but for the type's taste: they are taken for what they are meant to
// be.
const symmetric = "08HINOSXZosxz%"

// glyphOf stores the largest piece of a character; of a symmetric one, the mean of it and of it upside down.
func glyphOf(m *image.Alpha, weight byte, same bool) []byte {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	diff, least := raster.New(w, h), raster.New(w, h)
	for i, v := range m.Pix {
		diff.Pix[i], least.Pix[i] = float32(v)/255, 0.5
	}
	var b blob
	for _, c := range blobs(diff, least, 1) {
		if c.area > b.area {
			b = c
		}
	}
	// Ink of other pieces, as the dot of i, is not part of it.
	var p patch
	shape(&p, diff, &b, 0, 1)
	if same {
		q := p.upsideDown()
		for i := range p {
			p[i] += q[i]
		}
	}
	low, high := float32(math.Inf(1)), float32(math.Inf(-1))
	for _, v := range p {
		low, high = min(low, v), max(high, v)
	}
	out := []byte{weight, byte(math.Round(64 * float64(b.w()) / float64(b.h())))}
	for _, v := range p {
		out = append(out, byte(255*(v-low)/(high-low)))
	}
	return out
}

func TestGlyphsAreThoseOfTheTypes(t *testing.T) {
	got, _ := glyphTable(t)
	if *update {
		if err := os.WriteFile("glyphs.bin", got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(got, glyphData) {
		t.Error("glyphs.bin differs from what the types give: run with -update")
	}
}
