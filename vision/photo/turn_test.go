package photo

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"
	"testing"

	"github.com/disintegration/imaging"

	"quadrille/vision/geom"
)

// The table of tag 274 in TIFF 6.0 (1992) page 36 and CIPA DC-008 (values from memory): the visual side of
// the picture at which the stored row 0 and the stored column 0 are.
var sides = [8]struct{ row, column string }{
	{"top", "left"}, {"top", "right"}, {"bottom", "right"}, {"bottom", "left"},
	{"left", "top"}, {"right", "top"}, {"right", "bottom"}, {"left", "bottom"},
}

// store gives the picture that a camera with this orientation stores of the upright m.
func store(m image.Image, orientation int) *image.RGBA {
	s, b := sides[orientation-1], m.Bounds()
	w, h := b.Dx(), b.Dy()
	if s.row == "left" || s.row == "right" {
		w, h = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	for r := range h {
		for c := range w {
			var x, y int
			for _, e := range []struct {
				side string
				n    int
			}{{s.row, r}, {s.column, c}} {
				switch e.side {
				case "top":
					y = e.n
				case "bottom":
					y = b.Dy() - 1 - e.n
				case "left":
					x = e.n
				case "right":
					x = b.Dx() - 1 - e.n
				}
			}
			out.Set(c, r, m.At(x, y))
		}
	}
	return out
}

// withEXIF puts an APP1 segment after a JPEG's first marker.
func withEXIF(jpeg, tiff []byte) []byte {
	body := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte(nil), jpeg[:2]...)
	out = append(out, 0xff, markerAPP1)
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	return append(append(out, body...), jpeg[2:]...)
}

// tiffOf writes the directories that readEXIF reads; no directory for EXIF if taken is "".
func tiffOf(order binary.AppendByteOrder, orientation int, taken string) []byte {
	b := []byte("II*\x00")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		b = []byte("MM\x00*")
	}
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 2)
	entry := func(tag, kind uint16, count, value uint32) {
		b = order.AppendUint16(b, tag)
		b = order.AppendUint16(b, kind)
		b = order.AppendUint32(b, count)
		if kind == typeSHORT {
			b = order.AppendUint16(b, uint16(value))
			b = append(b, 0, 0)
			return
		}
		b = order.AppendUint32(b, value)
	}
	entry(tagOrientation, typeSHORT, 1, uint32(orientation))
	entry(tagEXIF, typeLONG, 1, 8+2+24+4)
	b = order.AppendUint32(b, 0)
	if taken != "" {
		b = order.AppendUint16(b, 1)
		entry(tagOriginal, typeASCII, uint32(len(taken)+1), uint32(len(b)+12+4))
		b = order.AppendUint32(b, 0)
		b = append(append(b, taken...), 0)
	}
	return b
}

func TestOrientationsFollowTheStandard(t *testing.T) {
	upright := scene(40, 26, 3)
	for o := 1; o <= 8; o++ {
		stored := store(upright, o)
		tiff := tiffOf(binary.BigEndian, o, "")
		for kind, data := range map[string][]byte{
			"jpeg": withEXIF(jpegOf(t, stored, 95), tiff),
			"png":  pngWithEXIF(pngOf(t, stored), tiff),
		} {
			p, err := Decode(t.Context(), data, nil)
			if err != nil {
				t.Fatal(err)
			}
			if p.W != 40 || p.H != 26 || p.Source.Orientation != o {
				t.Fatalf("%s with orientation %d: %d×%d, %d", kind, o, p.W, p.H, p.Source.Orientation)
			}
			tolerance := 5.0 // 8-bit steps on average, for what the JPEG loses of the noise
			if kind == "png" {
				tolerance = 0
			}
			off := 0.0
			seen := p.Upright()
			for y := range 26 {
				for x := range 40 {
					want, got := upright.RGBAAt(x, y), color.RGBAModel.Convert(seen.At(x, y)).(color.RGBA)
					off += math.Abs(float64(want.G)-float64(got.G)) / (40 * 26)
					if l := lightAt(p, x, y); kind == "png" && l[1] != light8[want.G] {
						t.Fatalf("%s with orientation %d: light at (%d, %d) = %v, want %v", kind, o, x, y, l[1], light8[want.G])
					}
				}
			}
			if off > tolerance {
				t.Errorf("%s with orientation %d: Upright is off by %.1f", kind, o, off)
			}
			// imaging v1.6.2 turns JPEGs too: an independent reader of the tag.
			if kind == "jpeg" {
				other, err := imaging.Decode(bytes.NewReader(data), imaging.AutoOrientation(true))
				if err != nil {
					t.Fatal(err)
				}
				mine := image.NewNRGBA(other.Bounds())
				draw.Draw(mine, mine.Rect, seen, image.Point{}, draw.Src)
				theirs := imaging.Clone(other)
				for i := range mine.Pix {
					if d := int(mine.Pix[i]) - int(theirs.Pix[i]); d < -1 || d > 1 {
						t.Fatalf("orientation %d: byte %d is %d, imaging has %d", o, i, mine.Pix[i], theirs.Pix[i])
					}
				}
			}
		}
	}
}

func TestReadersAgreeInEachOrientation(t *testing.T) {
	for o := 1; o <= 8; o++ {
		for name, img := range kinds(23, 17) {
			p := assemble(img, o)
			one := p.Reduced(1)
			region, cut := p.Region(image.Rect(4, 2, 15, 13))
			three := p.Reduced(3)
			part, at := p.ReducedRegion(image.Rect(3, 3, p.W-2, p.H-1), 3)
			for j := range part[0].H {
				for i := range part[0].W {
					for c := range part {
						if got, want := part[c].Row(j)[i], three[c].Row(at.Min.Y/3 + j)[at.Min.X/3+i]; got != want {
							t.Fatalf("%s, orientation %d: a reduced region has %g at (%d, %d), the reduced photo %g", name, o, got, i, j, want)
						}
					}
				}
			}
			small := p.Preview(3)
			for y := range p.H {
				for x := range p.W {
					l := lightAt(p, x, y)
					for c := range l {
						if one[c].Row(y)[x] != l[c] {
							t.Fatalf("%s, orientation %d, (%d, %d): alone %v, Reduced %v", name, o, x, y, l[c], one[c].Row(y)[x])
						}
						if image.Pt(x, y).In(cut) && region[c].Row(y - cut.Min.Y)[x-cut.Min.X] != l[c] {
							t.Fatalf("%s, orientation %d: region differs at (%d, %d)", name, o, x, y)
						}
					}
				}
			}
			for j := range three[0].H {
				for i := range three[0].W {
					var want float64
					for y := 3 * j; y < 3*j+3; y++ {
						for x := 3 * i; x < 3*i+3; x++ {
							u, v := p.turn.pixel(x, y, 23, 17)
							want += naive(img, u, v, false)[1] / 9
						}
					}
					if !near(three[1].Row(j)[i], want) {
						t.Fatalf("%s, orientation %d: Reduced(3) at (%d, %d) is %v, want %v", name, o, i, j, three[1].Row(j)[i], want)
					}
					if got := small.RGBAAt(i, j).G; math.Abs(linear(float64(got)/255)-want) > 0.005 {
						t.Fatalf("%s, orientation %d: Preview(3) at (%d, %d) is %d", name, o, i, j, got)
					}
				}
			}
		}
	}
}

// An edge at x = a + b·y: to its left dark, to its right bright; each pixel has the mean of the light
// that falls on it, so that the mean of a row's light tells where the edge is.
func edge(w, h int, a, b float64) *image.RGBA {
	const dark, bright = 0.1, 0.7
	m, code := image.NewRGBA(image.Rect(0, 0, w, h)), codeTable()
	for y := range h {
		for x := range w {
			cover := 0.0 // of the pixel by the bright side; 64 lines of it
			for k := range 64 {
				at := a + b*(float64(y)+(float64(k)+0.5)/64)
				cover += min(max(float64(x+1)-at, 0), 1) / 64
			}
			v := code[index(float32(dark+(bright-dark)*cover))]
			m.SetRGBA(x, y, color.RGBA{v, v, v, 255})
		}
	}
	return m
}

// whereEdge gives the mean x of the edge over the rows y0 to y1 of width pixels, from light read at
// step apart, first at step/2: as far from the left as all the light that is missing is wide.
func whereEdge(light func(x, y float64) float64, width, y0, y1 int, step float64) float64 {
	sum, n := 0.0, 0
	for y := float64(y0) + step/2; y < float64(y1); y += step {
		lo, hi := light(2*step+step/2, y), light(float64(width)-2*step-step/2, y)
		for x := 3*step + step/2; x < float64(width)-3*step; x += step {
			sum += (hi - light(x, y)) / (hi - lo) * step
		}
		sum += 3 * step
		n++
	}
	return sum / float64(n)
}

func TestAnEdgeStaysWhereItIs(t *testing.T) {
	const w, h, a, b = 96, 72, 40.3, 0.17
	upright := edge(w, h, a, b)
	for o := 1; o <= 8; o++ {
		stored := store(upright, o)
		tiff := tiffOf(binary.LittleEndian, o, "")
		for kind, data := range map[string][]byte{
			"jpeg": withEXIF(jpegOf(t, stored, 100), tiff),
			"png":  pngWithEXIF(pngOf(t, stored), tiff),
		} {
			p, err := Decode(t.Context(), data, nil)
			if err != nil {
				t.Fatal(err)
			}
			check := func(by string, light func(x, y float64) float64, step float64) {
				t.Helper()
				want := a + b*h/2
				if got := whereEdge(light, w, 12, h-12, step); math.Abs(got-want) > 0.01 {
					t.Errorf("%s, orientation %d, by %s: edge at %.4f px, want %.4f", kind, o, by, got, want)
				}
			}
			whole := p.Reduced(1)
			check("Bilinear", func(x, y float64) float64 {
				l, _ := whole[1].Bilinear(geom.Pixel{X: x, Y: y})
				return float64(l)
			}, 0.25)
			region, cut := p.Region(image.Rect(-5, 2, 200, h-1))
			check("Region", func(x, y float64) float64 {
				return float64(region[1].Row(int(y) - cut.Min.Y)[int(x)-cut.Min.X])
			}, 1)
			for _, k := range []int{1, 2, 3, 4, 6} {
				rgb := p.Reduced(k)
				grey, _ := p.Grey(image.Rect(0, 0, w, h), k, [3]float32{0.3, 0.6, 0.1})
				check(fmt.Sprintf("Reduced(%d)", k), func(x, y float64) float64 {
					return float64(rgb[1].Row(int(y) / k)[int(x)/k])
				}, float64(k))
				check(fmt.Sprintf("Grey(%d)", k), func(x, y float64) float64 {
					return float64(grey.Row(int(y) / k)[int(x)/k])
				}, float64(k))
			}
		}
	}
}

// Where only colour changes, a JPEG with halved chroma has nothing else to tell where the edge is. The
// camera's averaging of chroma is not in linear light, which moves the edge in red one way and in blue
// the other, by 0.1 to 0.2 px here; what is common to both would be chroma in the wrong place: a
// quarter of a pixel for the other usual siting, half a pixel for a slip.
func TestAColourEdgeStaysWhereItIs(t *testing.T) {
	const w, h, a, b = 96, 72, 40.3, 0.17
	grey, code := edge(w, h, a, b), codeTable()
	m := image.NewRGBA(grey.Rect)
	for y := range h {
		for x := range w {
			c := (light8[grey.RGBAAt(x, y).R] - 0.1) / 0.6
			m.SetRGBA(x, y, color.RGBA{code[index(0.1+0.5*c)], 60, code[index(0.6-0.5*c)], 255})
		}
	}
	for o := 1; o <= 8; o++ {
		p, err := Decode(t.Context(), withEXIF(jpegOf(t, store(m, o), 100), tiffOf(binary.BigEndian, o, "")), nil)
		if err != nil {
			t.Fatal(err)
		}
		check := func(by string, light func(c int, x, y float64) float64, step float64) {
			t.Helper()
			var off [3]float64
			for _, c := range []int{0, 2} {
				off[c] = whereEdge(func(x, y float64) float64 { return light(c, x, y) }, w, 12, h-12, step) - (a + b*h/2)
			}
			if common := (off[0] + off[2]) / 2; math.Abs(common) > 0.05 || math.Abs(off[0]) > 0.3 {
				t.Errorf("orientation %d, by %s: red is off by %.3f px, blue by %.3f px", o, by, off[0], off[2])
			}
		}
		whole := p.Reduced(1)
		check("Bilinear", func(c int, x, y float64) float64 {
			l, _ := whole[c].Bilinear(geom.Pixel{X: x, Y: y})
			return float64(l)
		}, 0.25)
		for _, k := range []int{1, 2, 3, 4} {
			rgb := p.Reduced(k)
			check(fmt.Sprintf("Reduced(%d)", k), func(c int, x, y float64) float64 {
				return float64(rgb[c].Row(int(y) / k)[int(x)/k])
			}, float64(k))
		}
	}
}
