// A figure as PNG (W3C, Portable Network Graphics, second edition). A line covers of a pixel what a disc of its width
// covers that is drawn along it, to half a pixel; letters are filled outlines of the font. All is laid on white.

package handout

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"

	"quadrille/cmd/internal/report"
)

// dotsAnInch is the resolution of a picture: what printers are told apart by (common practice, no source;
// TestAPictureIsToScale).
const dotsAnInch = 300

const millimetresAnInch = 25.4

// A canvas is a picture that is being drawn. It is a report.Pen.
type canvas struct {
	img   *image.RGBA
	cover *image.Alpha // of what is being drawn, empty between two shapes
	font  *sfnt.Font
	known sfnt.Buffer
	err   error // the first of the font
}

// newCanvas is a white one as large as a drawing.
func newCanvas(d report.Drawing) (*canvas, error) {
	letters, err := sfnt.Parse(report.Letters())
	if err != nil {
		return nil, err
	}
	frame := image.Rect(0, 0, int(math.Ceil(dots(d.Width))), int(math.Ceil(dots(d.Height))))
	c := &canvas{img: image.NewRGBA(frame), cover: image.NewAlpha(frame), font: letters}
	draw.Draw(c.img, frame, image.White, image.Point{}, draw.Src)
	return c, nil
}

func picture(d report.Drawing) ([]byte, error) {
	c, err := newCanvas(d)
	if err != nil {
		return nil, err
	}
	d.By(c)
	if c.err != nil {
		return nil, c.err
	}
	var b bytes.Buffer
	if err := png.Encode(&b, c.img); err != nil {
		return nil, err
	}
	return withSize(b.Bytes()), nil
}

func dots(mm float64) float64 { return mm * dotsAnInch / millimetresAnInch }

// withSize says in a PNG how many dots there are to a metre, behind its header, which is 33 bytes long (11.3.5.3).
func withSize(b []byte) []byte {
	const header = 33
	perMetre := uint32(math.Round(1000 * dots(1)))
	chunk := append(binary.BigEndian.AppendUint32(nil, 9), "pHYs"...)
	chunk = binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(chunk, perMetre), perMetre)
	chunk = append(chunk, 1) // the unit is the metre
	chunk = binary.BigEndian.AppendUint32(chunk, crc32.ChecksumIEEE(chunk[4:]))
	return append(append(bytes.Clone(b[:header]), chunk...), b[header:]...)
}

func (c *canvas) Strokes(colour [3]int, width float64, lines [][][2]float64) {
	var touched image.Rectangle
	half := max(dots(width)/2, 0.5) // a thinner line would be paler
	for _, l := range lines {
		for i, q := range l {
			touched = touched.Union(c.segment(l[max(i-1, 0)], q, half))
		}
	}
	c.lay(colour, touched)
}

func (c *canvas) Disc(x, y, radius float64, fill, rim *[3]int, width float64) {
	at, r, half := [2]float64{x, y}, dots(radius), max(dots(width)/2, 0.5)
	if fill != nil {
		c.lay(*fill, c.segment(at, at, r))
	}
	if rim != nil {
		c.lay(*rim, c.ring(at, r, half))
	}
}

// segment covers what is at most half dots from the line from a to b, and gives where that is.
func (c *canvas) segment(a, b [2]float64, half float64) image.Rectangle {
	ax, ay, bx, by := dots(a[0]), dots(a[1]), dots(b[0]), dots(b[1])
	dx, dy := bx-ax, by-ay
	long2 := max(dx*dx+dy*dy, 1e-12)
	return c.covered(min(ax, bx), min(ay, by), max(ax, bx), max(ay, by), half, func(x, y float64) float64 {
		t := min(max(((x-ax)*dx+(y-ay)*dy)/long2, 0), 1)
		return math.Hypot(x-ax-t*dx, y-ay-t*dy) - half
	})
}

// ring covers what is at most half dots from a circle.
func (c *canvas) ring(at [2]float64, radius, half float64) image.Rectangle {
	ax, ay := dots(at[0]), dots(at[1])
	return c.covered(ax, ay, ax, ay, radius+half, func(x, y float64) float64 {
		return math.Abs(math.Hypot(x-ax, y-ay)-radius) - half
	})
}

// covered covers each dot by what is off a shape's edge inwards, no dot twice. The shape lies within so many dots of a
// rectangle, and off tells how far outside of it a place is.
func (c *canvas) covered(x0, y0, x1, y1, within float64, off func(x, y float64) float64) image.Rectangle {
	within++
	touched := image.Rect(int(x0-within), int(y0-within), int(x1+within)+1, int(y1+within)+1).Intersect(c.cover.Rect)
	for y := touched.Min.Y; y < touched.Max.Y; y++ {
		row := c.cover.Pix[y*c.cover.Stride:]
		for x := touched.Min.X; x < touched.Max.X; x++ {
			share := min(max(0.5-off(float64(x)+0.5, float64(y)+0.5), 0), 1)
			row[x] = max(row[x], uint8(math.Round(255*share)))
		}
	}
	return touched
}

// lay puts a colour on what is covered and uncovers it.
func (c *canvas) lay(colour [3]int, touched image.Rectangle) {
	draw.DrawMask(c.img, touched, image.NewUniform(opaque(colour)), image.Point{}, c.cover, touched.Min, draw.Over)
	draw.Draw(c.cover, touched, image.Transparent, image.Point{}, draw.Src)
}

func opaque(c [3]int) color.RGBA { return color.RGBA{uint8(c[0]), uint8(c[1]), uint8(c[2]), 255} }

func (c *canvas) Label(colour [3]int, size, x, y float64, anchor, words string) {
	em := fixed.Int26_6(math.Round(64 * dots(size)))
	width := fixed.Int26_6(0)
	for _, r := range words {
		width += c.advance(r, em)
	}
	left := dots(x)
	switch anchor {
	case "middle":
		left -= units(width) / 2
	case "end":
		left -= units(width)
	}
	base := dots(y)
	// No letter reaches farther than its em up, down or to a side.
	box := image.Rect(int(left-units(em)), int(base-units(em)), int(left+units(width+em))+1, int(base+units(em))+1)
	box = box.Intersect(c.img.Rect)
	if box.Empty() {
		return
	}
	fill := vector.NewRasterizer(box.Dx(), box.Dy())
	left, base = left-float64(box.Min.X), base-float64(box.Min.Y)
	for _, r := range words {
		c.letter(fill, r, em, left, base)
		left += units(c.advance(r, em))
	}
	fill.Draw(c.img, box, image.NewUniform(opaque(colour)), image.Point{})
}

func units(v fixed.Int26_6) float64 { return float64(v) / 64 }

func (c *canvas) advance(r rune, em fixed.Int26_6) fixed.Int26_6 {
	g, err := c.font.GlyphIndex(&c.known, r)
	c.keep(err)
	a, err := c.font.GlyphAdvance(&c.known, g, em, font.HintingNone)
	c.keep(err)
	return a
}

// letter adds the outline of a letter whose base line begins at x, y.
func (c *canvas) letter(fill *vector.Rasterizer, r rune, em fixed.Int26_6, x, y float64) {
	g, err := c.font.GlyphIndex(&c.known, r)
	c.keep(err)
	outline, err := c.font.LoadGlyph(&c.known, g, em, nil)
	c.keep(err)
	for _, s := range outline {
		var p [3][2]float32
		for i, a := range s.Args {
			p[i] = [2]float32{float32(x + units(a.X)), float32(y + units(a.Y))}
		}
		switch s.Op {
		case sfnt.SegmentOpMoveTo:
			fill.ClosePath()
			fill.MoveTo(p[0][0], p[0][1])
		case sfnt.SegmentOpLineTo:
			fill.LineTo(p[0][0], p[0][1])
		case sfnt.SegmentOpQuadTo:
			fill.QuadTo(p[0][0], p[0][1], p[1][0], p[1][1])
		case sfnt.SegmentOpCubeTo:
			fill.CubeTo(p[0][0], p[0][1], p[1][0], p[1][1], p[2][0], p[2][1])
		}
	}
	fill.ClosePath()
}

func (c *canvas) keep(err error) {
	if c.err == nil {
		c.err = err
	}
}
