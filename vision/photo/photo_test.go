package photo

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"testing"

	"quadrille/vision/geom"
)

// scene is a smooth coloured picture with some noise, both chosen by seed.
func scene(w, h int, seed uint64) *image.RGBA {
	r := rand.New(rand.NewPCG(seed, 1))
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			m.SetRGBA(x, y, color.RGBA{
				uint8(40 + 180*u + r.Float64()*20), uint8(30 + 190*v + r.Float64()*20),
				uint8(120 + 80*math.Sin(9*u+5*v) + r.Float64()*20), 255})
		}
	}
	return m
}

func jpegOf(t testing.TB, m image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(t testing.TB, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// kinds are pictures of every kind that is kept, at odd sizes, by name.
func kinds(w, h int) map[string]image.Image {
	m := scene(w, h, 7)
	all := map[string]image.Image{"rgb": m}
	for name, ratio := range map[string]image.YCbCrSubsampleRatio{
		"444": image.YCbCrSubsampleRatio444, "422": image.YCbCrSubsampleRatio422, "420": image.YCbCrSubsampleRatio420,
		"440": image.YCbCrSubsampleRatio440, "411": image.YCbCrSubsampleRatio411, "410": image.YCbCrSubsampleRatio410,
	} {
		c := image.NewYCbCr(m.Rect, ratio)
		for y := range h {
			for x := range w {
				p := m.RGBAAt(x, y)
				yy, cb, cr := color.RGBToYCbCr(p.R, p.G, p.B)
				c.Y[c.YOffset(x, y)], c.Cb[c.COffset(x, y)], c.Cr[c.COffset(x, y)] = yy, cb, cr
			}
		}
		all[name] = c
	}
	grey := image.NewGray(m.Rect)
	draw.Draw(grey, m.Rect, m, image.Point{}, draw.Src)
	all["grey"] = grey
	deep := image.NewNRGBA64(m.Rect)
	draw.Draw(deep, m.Rect, m, image.Point{}, draw.Src)
	for i := range deep.Pix {
		if i%8 < 6 && i%2 == 1 {
			deep.Pix[i] = byte(i * 37)
		}
	}
	all["deep"] = deep
	return all
}

// naive is the light of a stored pixel by the textbook, in float64, with chroma interpolated or the
// nearest.
func naive(img image.Image, x, y int, interpolate bool) [3]float64 {
	m, ok := img.(*image.YCbCr)
	if !ok {
		r, g, b, _ := img.At(x, y).RGBA()
		return [3]float64{linear(float64(r) / 65535), linear(float64(g) / 65535), linear(float64(b) / 65535)}
	}
	cb, cr := float64(m.Cb[m.COffset(x, y)]), float64(m.Cr[m.COffset(x, y)])
	if interpolate {
		cb, cr = naiveChroma(m, float64(x)+0.5, float64(y)+0.5)
	}
	return naiveColour(float64(m.Y[m.YOffset(x, y)]), cb, cr)
}

// naiveChroma is chroma at a position, whose samples lie as T.871 says: in the middle of the luma they cover.
func naiveChroma(m *image.YCbCr, x, y float64) (cb, cr float64) {
	w, h := m.Rect.Dx(), m.Rect.Dy()
	sx, sy := 1, 1
	for m.COffset(sx, 0) == 0 && sx < w {
		sx++
	}
	for m.COffset(0, sy) == 0 && sy < h {
		sy++
	}
	cw, ch := (w+sx-1)/sx, (h+sy-1)/sy
	u, v := x/float64(sx)-0.5, y/float64(sy)-0.5
	i, j := math.Floor(u), math.Floor(v)
	u, v = u-i, v-j
	at := func(plane []uint8) float64 {
		get := func(i, j float64) float64 {
			a, b := min(max(int(i), 0), cw-1), min(max(int(j), 0), ch-1)
			return float64(plane[b*m.CStride+a])
		}
		return (1-v)*((1-u)*get(i, j)+u*get(i+1, j)) + v*((1-u)*get(i, j+1)+u*get(i+1, j+1))
	}
	return at(m.Cb), at(m.Cr)
}

// naiveColour is the conversion to RGB of T.871 and the sRGB curve.
func naiveColour(l, cb, cr float64) (rgb [3]float64) {
	for c, v := range [3]float64{
		l + 1.402*(cr-128), l - 0.344136286*(cb-128) - 0.714136286*(cr-128), l + 1.772*(cb-128),
	} {
		rgb[c] = linear(min(max(v, 0), 255) / 255)
	}
	return rgb
}

// step is how far the tables may be from the naive twin: an eighth of an 8-bit step, where the sRGB
// curve is steepest, and some for the rounded coefficients.
const step = 2.4 / 1.055 / 255 * 0.16

func near(a float32, b float64) bool { return math.Abs(float64(a)-b) <= step }

func TestRegionFollowsTheTextbook(t *testing.T) {
	const w, h = 23, 17
	for name, img := range kinds(w, h) {
		p := New(img)
		region, cut := p.Region(image.Rect(3, 5, 100, 14))
		if cut != image.Rect(3, 5, w, 14) {
			t.Fatalf("%s: cut to %v", name, cut)
		}
		for y := range h {
			for x := range w {
				want := naive(img, x, y, true)
				got := lightAt(p, x, y)
				for c := range want {
					if !near(got[c], want[c]) {
						t.Fatalf("%s: light at (%d, %d)[%d] = %v, want %v", name, x, y, c, got[c], want[c])
					}
					if image.Pt(x, y).In(cut) && region[c].Row(y - 5)[x-3] != got[c] {
						t.Fatalf("%s: region at (%d, %d)[%d] = %v, alone %v", name, x, y, c, region[c].Row(y - 5)[x-3], got[c])
					}
				}
			}
		}
	}
}

func TestReducedFollowsTheTextbook(t *testing.T) {
	const w, h = 23, 17
	for name, img := range kinds(w, h) {
		p := New(img)
		for k := 1; k <= 5; k++ {
			rgb := p.Reduced(k)
			// The weights of luminance, by ITU-R BT.709 item 3.2.
			grey, _ := p.Grey(image.Rect(0, 0, w, h), k, [3]float32{0.2126, 0.7152, 0.0722})
			if rgb[0].W != w/k || rgb[0].H != h/k {
				t.Fatalf("%s: reduced by %d to %d×%d", name, k, rgb[0].W, rgb[0].H)
			}
			for j := range h / k {
				for i := range w / k {
					var want [3]float64
					for y := j * k; y < j*k+k; y++ {
						for x := i * k; x < i*k+k; x++ {
							for c, v := range naive(img, x, y, k == 1) {
								want[c] += v / float64(k*k)
							}
						}
					}
					for c := range want {
						if !near(rgb[c].Row(j)[i], want[c]) {
							t.Fatalf("%s: Reduced(%d) at (%d, %d)[%d] = %v, want %v", name, k, i, j, c, rgb[c].Row(j)[i], want[c])
						}
					}
					if y := 0.2126*want[0] + 0.7152*want[1] + 0.0722*want[2]; !near(grey.Row(j)[i], y) {
						t.Fatalf("%s: Grey(%d) at (%d, %d) = %v, want %v", name, k, i, j, grey.Row(j)[i], y)
					}
				}
			}
		}
	}
}

// lightAt gives the linear light of one pixel.
func lightAt(p *Photo, x, y int) [3]float32 {
	rgb, _ := p.Region(image.Rect(x, y, x+1, y+1))
	return [3]float32{rgb[0].Pix[0], rgb[1].Pix[0], rgb[2].Pix[0]}
}

func TestSmallestPictureCanBeRead(t *testing.T) {
	for _, data := range [][]byte{jpegOf(t, scene(1, 1, 1), 90), pngOf(t, scene(1, 1, 1))} {
		p, err := Decode(t.Context(), data, nil)
		if err != nil || p.W != 1 || p.H != 1 {
			t.Fatal(p, err)
		}
		if r := p.Reduced(3); len(r[0].Pix) != 0 {
			t.Error("reduced to", len(r[0].Pix), "pixels")
		}
		if r, cut := p.Region(image.Rect(5, 5, 9, 9)); !cut.Empty() || len(r[0].Pix) != 0 {
			t.Error("region outside is", cut)
		}
	}
}

func TestReducedDoesNotDependOnTheNumberOfCores(t *testing.T) {
	p := New(kinds(67, 61)["420"])
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	one := p.Reduced(3)
	runtime.GOMAXPROCS(7)
	if seven := p.Reduced(3); !slices.Equal(one[0].Pix, seven[0].Pix) {
		t.Error("seven cores give other light than one")
	}
}

func TestPicturesWithoutAPlaneKindAreDrawn(t *testing.T) {
	r := image.Rect(0, 0, 2, 1)
	paletted := image.NewPaletted(r, color.Palette{color.Black, color.RGBA{255, 0, 0, 255}})
	paletted.Pix[1] = 1
	glass := image.NewNRGBA(r) // the left pixel is transparent: white paper
	glass.SetNRGBA(0, 0, color.NRGBA{0, 0, 0, 0})
	glass.SetNRGBA(1, 0, color.NRGBA{255, 0, 0, 255})
	half := image.NewNRGBA64(r) // half transparent black on white: sRGB 0.5
	half.SetNRGBA64(0, 0, color.NRGBA64{0, 0, 0, 0x8000})
	half.SetNRGBA64(1, 0, color.NRGBA64{0xffff, 0, 0, 0xffff})
	cmyk := image.NewCMYK(r)
	cmyk.SetCMYK(0, 0, color.CMYK{0, 0, 0, 255})
	cmyk.SetCMYK(1, 0, color.CMYK{0, 255, 255, 0})
	moved := image.NewRGBA(image.Rect(10, 20, 12, 21))
	moved.SetRGBA(10, 20, color.RGBA{0, 0, 0, 255})
	moved.SetRGBA(11, 20, color.RGBA{255, 0, 0, 255})
	for _, c := range []struct {
		img  image.Image
		left float64
	}{{paletted, 0}, {glass, 1}, {half, 0.21404}, {cmyk, 0}, {moved, 0}} {
		p := New(c.img)
		if l := lightAt(p, 0, 0); math.Abs(float64(l[0])-c.left) > 1e-4 || l[0] != l[1] || l[1] != l[2] {
			t.Errorf("%T: left is %v, want %v", c.img, l, c.left)
		}
		if l := lightAt(p, 1, 0); l != [3]float32{1, 0, 0} {
			t.Errorf("%T: right is %v, want red", c.img, l)
		}
	}
}

func TestDeepPicturesKeepTheirDepth(t *testing.T) {
	m := image.NewGray16(image.Rect(0, 0, 2, 1))
	m.SetGray16(0, 0, color.Gray16{30000})
	m.SetGray16(1, 0, color.Gray16{30001})
	p, err := Decode(t.Context(), pngOf(t, m), nil)
	if err != nil {
		t.Fatal(err)
	}
	if a, b := lightAt(p, 0, 0), lightAt(p, 1, 0); !(a[0] < b[0]) || math.Abs(float64(a[0])-linear(30000.0/65535)) > 1e-7 {
		t.Error(a, b)
	}
}

func TestPreviewOfOneIsThePicture(t *testing.T) {
	m := image.NewRGBA(image.Rect(0, 0, 256, 3))
	for v := range 256 {
		for y := range 3 {
			m.SetRGBA(v, y, color.RGBA{uint8(v), uint8(255 - v), uint8(v ^ 0x55), 255})
		}
	}
	if got := New(m).Preview(1); !bytes.Equal(got.Pix, m.Pix) {
		t.Error("the picture changed on its way through linear light")
	}
}

func ExampleDecode() {
	// A display's dark field with a bright line, as a camera would store it.
	m := image.NewGray(image.Rect(0, 0, 400, 320))
	draw.Draw(m, m.Rect, image.NewUniform(color.Gray{40}), image.Point{}, draw.Src)
	draw.Draw(m, image.Rect(0, 100, 400, 103), image.NewUniform(color.Gray{220}), image.Point{}, draw.Src)
	var file bytes.Buffer
	if err := png.Encode(&file, m); err != nil {
		fmt.Println(err)
		return
	}
	p, err := Decode(context.Background(), file.Bytes(), nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	green := p.Reduced(1)[1]
	field, _ := green.Bilinear(geom.Pixel{X: 200, Y: 50})
	line, _ := green.Bilinear(geom.Pixel{X: 200, Y: 101.5})
	fmt.Printf("%s of %d×%d pixels: field %.4f, line %.4f\n", p.Source.Kind, p.W, p.H, field, line)
	// Output: png of 400×320 pixels: field 0.0212, line 0.7157
}
