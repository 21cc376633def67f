package handout

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"quadrille/cmd/internal/report"
	"quadrille/cmd/internal/wire"
)

// reading is the document of the hand-made reading that wire's own test keeps.
func reading(t *testing.T) *wire.Document {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("..", "wire", "testdata", "decay.json"))
	if err != nil {
		t.Fatal(err)
	}
	d, err := wire.Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Every figure comes in each form, and the same reading makes the same bytes.
func TestAHandoutHasEachFigureInEachForm(t *testing.T) {
	files, err := Files(reading(t), report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	again, err := Files(reading(t), report.Print{})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"paper", "v-t", "ln-v", "tau"} {
		for _, form := range []string{".svg", ".png"} {
			if len(files[name+form]) == 0 || !bytes.Equal(files[name+form], again[name+form]) {
				t.Errorf("%s%s is not there, or differs from run to run", name, form)
			}
		}
	}
	if len(files) != 9 || len(files["figures.pdf"]) == 0 {
		t.Errorf("%d files, want four figures in two forms and figures.pdf", len(files))
	}
	held := report.MayHold(reading(t))
	for name := range files {
		found := false
		for _, h := range held {
			found = found || h == name
		}
		if !found {
			t.Errorf("%s would stay in the folder when another result is written there", name)
		}
	}
}

// A box of the display is as wide as was asked for, measured between its lines by the dots to the metre that the file
// says.
func TestAPictureIsToScale(t *testing.T) {
	for _, p := range []report.Print{{}, {Box: 5}, {Box: 25.4 / 4, Letter: true}} {
		want := p.Box
		if want == 0 {
			want = 10
		}
		d := reading(t)
		d.Traces = nil // only the paper
		b, err := picture(report.Drawings(d, p)[0])
		if err != nil {
			t.Fatal(err)
		}
		at := bytes.Index(b, []byte("pHYs"))
		perMetre := float64(binary.BigEndian.Uint32(b[at+4:]))
		if at != 37 || binary.BigEndian.Uint32(b[at+8:]) != uint32(perMetre) || b[at+12] != 1 || perMetre != 11811 {
			t.Fatalf("pHYs at %d: %v, want 300 dots an inch", at, b[at+4:at+13])
		}
		img, err := png.Decode(bytes.NewReader(b)) // which refuses a wrong checksum
		if err != nil {
			t.Fatal(err)
		}
		lines := darkColumns(img, color.RGBA{0xcf, 0xdc, 0xd8, 255})
		if len(lines) != d.Graticule.Columns+1 {
			t.Fatalf("%+v: %d lines of boxes, want %d", p, len(lines), d.Graticule.Columns+1)
		}
		for i, x := range lines[1:] {
			if off := (x-lines[0])/perMetre*1000 - float64(i+1)*want; math.Abs(off) > 0.03 {
				t.Errorf("%+v: line %d lies %.3f mm off", p, i+1, off)
			}
		}
	}
}

// darkColumns gives the middles of the upright lines that reach through the middle of a picture and are as dark as c.
func darkColumns(img image.Image, c color.RGBA) (middles []float64) {
	b := img.Bounds()
	dark := make([]float64, b.Dx()) // share of white that is lacking, at its palest between two lines across
	for x := range dark {
		dark[x] = math.Inf(1)
		for y := b.Dy() / 3; y < b.Dy()/2; y++ {
			r, _, _, _ := img.At(x, y).RGBA()
			dark[x] = min(dark[x], float64(0xffff-r)/float64(0xff-int(c.R))/0x101)
		}
	}
	for x := 0; x < len(dark); x++ {
		sum, weighed, most := 0.0, 0.0, 0.0
		for ; x < len(dark) && dark[x] > 0.02; x++ {
			sum, weighed, most = sum+dark[x], weighed+dark[x]*(float64(x)+0.5), max(most, dark[x])
		}
		if most > 0.9 {
			middles = append(middles, weighed/sum)
		}
	}
	return middles
}

func blank(w, h int) *canvas {
	frame := image.Rect(0, 0, w, h)
	return &canvas{img: image.NewRGBA(frame), cover: image.NewAlpha(frame)}
}

// ink is how many dots are covered in all.
func (c *canvas) ink() (sum float64) {
	for i := 3; i < len(c.img.Pix); i += 4 {
		sum += float64(c.img.Pix[i]) / 255
	}
	return sum
}

// A line, a dot and a ring cover their areas, however they lie, and a line in many pieces no more than one in one.
func TestShapesCoverTheirAreas(t *testing.T) {
	const mm = 1 / (dotsAnInch / millimetresAnInch) // a dot
	black := [3]int{}
	line := func(width, x0, y0, x1, y1 float64, pieces int) float64 {
		c := blank(200, 200)
		var l [][2]float64
		for i := range pieces + 1 {
			f := float64(i) / float64(pieces)
			l = append(l, [2]float64{(x0 + f*(x1-x0)) * mm, (y0 + f*(y1-y0)) * mm})
		}
		c.Strokes(black, width*mm, [][][2]float64{l})
		return c.ink()
	}
	for _, width := range []float64{2, 5.5, 12} {
		for _, end := range [][2]float64{{150, 40}, {40.3, 160.7}, {133, 171}, {40, 40}} {
			long := math.Hypot(end[0]-40, end[1]-40)
			want := long*width + math.Pi*width*width/4
			for _, pieces := range []int{1, 70} {
				if got := line(width, 40, 40, end[0], end[1], pieces); math.Abs(got-want) > 0.01*want+0.5 {
					t.Errorf("width %g to %v in %d: %.1f dots, want %.1f", width, end, pieces, got, want)
				}
			}
		}
	}
	c := blank(200, 200)
	c.Disc(100*mm, 90*mm, 30*mm, nil, &black, 4*mm)
	if got, want := c.ink(), 2*math.Pi*30*4; math.Abs(got-want) > 0.01*want {
		t.Errorf("the ring covers %.1f dots, want %.1f", got, want)
	}
	c.Disc(100*mm, 90*mm, 30*mm, &black, nil, 0)
	if got, want := c.ink(), math.Pi*32*32; math.Abs(got-want) > 0.01*want {
		t.Errorf("disc and ring cover %.1f dots, want %.1f", got, want)
	}
}

// Letters stand on their base line and end where they should.
func TestWordsStandWhereTheyShould(t *testing.T) {
	for _, anchor := range []string{"start", "middle", "end"} {
		d := report.Drawing{Width: 30, Height: 10}
		c, err := newCanvas(d)
		if err != nil {
			t.Fatal(err)
		}
		c.Label([3]int{}, 4, 15, 7, anchor, "HΩ±H")
		if c.err != nil {
			t.Fatal(c.err)
		}
		box := image.Rectangle{}
		for y := range c.img.Rect.Dy() {
			for x := range c.img.Rect.Dx() {
				if c.img.RGBAAt(x, y).R < 0x80 {
					box = box.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		left, right := float64(box.Min.X)/dots(1), float64(box.Max.X)/dots(1)
		at := map[string]float64{"start": left, "middle": (left + right) / 2, "end": right}[anchor]
		// An H keeps a tenth of its em from its neighbours.
		if bottom := float64(box.Max.Y) / dots(1); math.Abs(bottom-7) > 0.1 || math.Abs(at-15) > 0.5 {
			t.Errorf("%s: the words end at %.2f mm and lie from %.2f to %.2f", anchor, bottom, left, right)
		}
		if high := float64(box.Dy()) / dots(1); high < 2.6 || high > 3.2 { // capitals of 0.72 em
			t.Errorf("the letters are %.2f mm high", high)
		}
	}
}
