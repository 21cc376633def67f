package photo

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
)

// scene is a smooth coloured picture with some noise, in the kind named.
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
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestLinearSampleAndReducedAgree(t *testing.T) {
	data := jpegOf(t, scene(101, 67, 1), 95)
	p, err := Decode(data, nil)
	if err != nil {
		t.Fatal(err)
	}
	ref, _ := jpeg.Decode(bytes.NewReader(data))
	r1 := p.Reduced(1)
	for y := range 67 {
		for x := range 101 {
			l := p.Linear(x, y)
			s, ok := p.Sample(geom.Pixel{X: float64(x) + .5, Y: float64(y) + .5})
			c := color.RGBAModel.Convert(ref.At(x, y)).(color.RGBA)
			_ = ok
			for k, v := range []uint8{c.R, c.G, c.B} {
				if math.Abs(float64(l[k])-linear(float64(v)/255)) > 0.08 || ok && math.Abs(float64(l[k]-s[k])) > 1e-6 || l[k] != r1[k].Row(y)[x] {
					t.Fatal(x, y, k, l[k], linear(float64(v)/255), s[k], r1[k].Row(y)[x])
				}
			}
		}
	}
}

func BenchmarkReduced(b *testing.B) {
	p, err := Decode(jpegOf(b, scene(4000, 3000, 1), 90), nil)
	if err != nil {
		b.Fatal(err)
	}
	for _, k := range []int{1, 3} {
		b.Run("k="+string(rune('0'+k)), func(b *testing.B) {
			for b.Loop() {
				p.Reduced(k)
			}
		})
	}
	b.Run("Sample", func(b *testing.B) {
		i := 0
		for b.Loop() {
			i++
			p.Sample(geom.Pixel{X: 1000 + float64(i%1000)*.7, Y: 700})
		}
	})
}
