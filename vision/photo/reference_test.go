package photo

import (
	"bytes"
	"image"
	"image/png"
	"os"
	"slices"
	"testing"
)

// The stripes were decoded by the formats' reference libraries too, libjpeg-turbo 2.1.5 and libwebp
// 1.2.4, which spread halved chroma as lightRow does. The inverse cosine transforms may round
// differently: a few 8-bit steps at worst, and none on average.
func TestPixelsAgreeWithTheReferenceDecoders(t *testing.T) {
	for _, kind := range []string{"jpg", "webp"} {
		data, err := os.ReadFile("testdata/stripes." + kind)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Decode(t.Context(), data, nil)
		if err != nil {
			t.Fatal(err)
		}
		reference, err := os.ReadFile("testdata/stripes-" + kind + ".png")
		if err != nil {
			t.Fatal(err)
		}
		want, err := png.Decode(bytes.NewReader(reference))
		if err != nil {
			t.Fatal(err)
		}
		if want.Bounds().Dx() != p.W || want.Bounds().Dy() != p.H {
			t.Fatalf("%s: %d×%d, the reference has %v", kind, p.W, p.H, want.Bounds())
		}
		got := p.Preview(1)
		var sum, worst [3]int
		for y := range p.H {
			for x := range p.W {
				g := got.RGBAAt(x, y)
				r, gr, b, _ := want.At(x, y).RGBA()
				for c, d := range [3]int{int(g.R) - int(r>>8), int(g.G) - int(gr>>8), int(g.B) - int(b>>8)} {
					sum[c] += d
					worst[c] = max(worst[c], d, -d)
				}
			}
		}
		for c := range sum {
			if mean := float64(sum[c]) / float64(p.W*p.H); mean < -0.3 || mean > 0.3 || worst[c] > 3 {
				t.Errorf("%s, channel %d: %.2f steps off on average, %d at worst", kind, c, mean, worst[c])
			}
		}
	}
}

// stripes-progressive.jpg has the coefficients of stripes.jpg in other scans, by jpegtran.
func TestProgressiveFilesGiveTheSamePixels(t *testing.T) {
	var rows [2][]float32
	for i, name := range []string{"stripes.jpg", "stripes-progressive.jpg"} {
		data, err := os.ReadFile("testdata/" + name)
		if err != nil {
			t.Fatal(err)
		}
		if h := scanJPEG(data); h.progressive != (i == 1) || h.components != 3 || !h.ended {
			t.Errorf("%s: %+v", name, h)
		}
		p, err := Decode(t.Context(), data, nil)
		if err != nil {
			t.Fatal(err)
		}
		grey, _ := p.Grey(image.Rect(0, 0, p.W, p.H), 1, [3]float32{0.3, 0.6, 0.1})
		rows[i] = grey.Pix
	}
	if !slices.Equal(rows[0], rows[1]) {
		t.Error("the pixels differ")
	}
}
