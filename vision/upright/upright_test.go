package upright_test

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
	"quadrille/vision/upright"
)

// quarters gives the photo of a scene turned clockwise by 0 to 3 quarters, each with its true grid as one would be
// found that knows nothing of up.
func quarters(t testing.TB, s synth.Scene) (photos [4]*photo.Photo, grids [4]*graticule.Graticule) {
	img, truth := s.Shoot()
	ph, f := photo.New(img), truth.Frame()
	var c [4]geom.Pixel
	for i, p := range truth.CornersPx {
		c[i] = geom.Pixel{X: p[0], Y: p[1]}
	}
	for q := range photos {
		photos[q] = ph.Clockwise(90 * q)
		h, err := geom.HomographyOf(f.Corners(), c)
		if err != nil {
			t.Fatal(err)
		}
		grids[q] = &graticule.Graticule{H: h, Frame: f}
		for i := range c { // a quarter turn takes (x, y) to (height - y, x)
			c[i] = geom.Pixel{X: float64(photos[q].H) - c[i].Y, Y: c[i].X}
		}
		c = [4]geom.Pixel{c[3], c[0], c[1], c[2]}
		f = geom.Frame{Cols: f.Rows, Rows: f.Cols}
	}
	return photos, grids
}

// words reads those of a photo.
func words(t testing.TB, ph *photo.Photo, g *graticule.Graticule) *upright.Words {
	t.Helper()
	w, err := upright.Read(t.Context(), ph, g, nil)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// A cancelled context ends the reading of words before the next window: a photo whose words tell nothing has seven.
func TestACancelledContextEndsTheReading(t *testing.T) {
	photos, grids := quarters(t, synth.Scene{Seed: 3, Display: synth.Display{Kind: synth.Tube}, Camera: synth.Phone()}.WithMegapixels(1.2))
	ctx, cancel := context.WithCancel(t.Context())
	windows := 0
	w, err := upright.Read(ctx, photos[0], grids[0], &upright.Options{Stage: func(string, image.Image) {
		windows++
		cancel()
	}})
	if w != nil || !errors.Is(err, context.Canceled) || windows != 1 {
		t.Errorf("%v, %v after %d windows", w, err, windows)
	}
}

func scene(seed uint64, d synth.Display) synth.Scene {
	return synth.Scene{Seed: seed, Display: d, Camera: synth.Phone()}.WithMegapixels(2)
}

func TestWordsTellEveryTurn(t *testing.T) {
	for i, d := range []synth.Display{
		{Table: true},
		{Kind: synth.Blue, Menu: true},
		{Frame: geom.Frame{Cols: 8, Rows: 10}, Menu: true},
		{Frame: geom.Frame{Cols: 10, Rows: 10}, Menu: true, Table: true},
	} {
		t.Run(fmt.Sprint(d.Kind, d.Frame), func(t *testing.T) {
			photos, grids := quarters(t, scene(uint64(i+1), d))
			for q := range photos {
				w := words(t, photos[q], grids[q])
				if want := (360 - 90*q) % 360; !w.Told() || w.Turn != want {
					t.Errorf("turned by %d: %+v", 90*q, *w)
				}
			}
		})
	}
}

// Whatever the display and the trouble, a told turn is the right one.
func TestWordsAreNeverWrong(t *testing.T) {
	told := 0
	for seed := uint64(31); seed < 36; seed++ {
		photos, grids := quarters(t, synth.Random(seed).WithMegapixels(1.5))
		for q := range photos {
			w := words(t, photos[q], grids[q])
			if !w.Told() {
				continue
			}
			told++
			if w.Turn != (360-90*q)%360 {
				t.Errorf("seed %d turned by %d: %+v", seed, 90*q, *w)
			}
		}
	}
	if told == 0 {
		t.Error("no photo had legible words")
	}
}

func TestWithoutWordsNothingIsTold(t *testing.T) {
	g := &graticule.Graticule{H: geom.Homography{60, 0, 400, 0, -60, 300, 0, 0, 1}, Frame: geom.Frame{Cols: 10, Rows: 8}}
	rng := rand.New(rand.NewPCG(1, 2))
	draw := func(at func(x, y int) uint8) *photo.Photo {
		m := image.NewGray(image.Rect(0, 0, 800, 600))
		for y := range 600 {
			for x := range 800 {
				m.SetGray(x, y, color.Gray{Y: at(x, y)})
			}
		}
		return photo.New(m)
	}
	for name, ph := range map[string]*photo.Photo{
		"black": draw(func(x, y int) uint8 { return 0 }),
		"noise": draw(func(x, y int) uint8 { return uint8(rng.IntN(256)) }),
		"coarse noise": draw(func() func(x, y int) uint8 {
			cells := make([]uint8, 200*150)
			for i := range cells {
				cells[i] = uint8(rng.IntN(256))
			}
			return func(x, y int) uint8 { return cells[y/4*200+x/4] }
		}()),
		"stripes": draw(func(x, y int) uint8 { return uint8(255 * (x / 7 % 2)) }),
		"dashes":  draw(func(x, y int) uint8 { return uint8(255 * (x / 5 % 2) * (y / 11 % 2)) }),
		// Marks that point down, in rows, are many but of one shape.
		"triangles": draw(func(x, y int) uint8 {
			u, v := x%16-8, y%30
			if v < 12 && 2*max(u, -u) < 12-v {
				return 255
			}
			return 20
		}),
	} {
		// Blocks of a stroke's width all over are the worst of all: of 40 such pictures 5 were told, none surely.
		if w := words(t, ph, g); w.Sure() || w.Told() && name != "coarse noise" {
			t.Errorf("%s: %+v", name, *w)
		}
	}
	photos, grids := quarters(t, scene(9, synth.Display{Kind: synth.Tube}))
	for q := range photos {
		if w := words(t, photos[q], grids[q]); w.Told() {
			t.Errorf("tube turned by %d: %+v", 90*q, *w)
		}
	}
}

// Grids that no photo has are no reason to fail.
func TestDegenerateGridsAreBorne(t *testing.T) {
	ph := photo.New(image.NewGray(image.Rect(0, 0, 40, 30)))
	rng := rand.New(rand.NewPCG(3, 4))
	grids := []geom.Homography{{}, {math.NaN()}, {1e300, 0, 0, 0, 1e300, 0, 0, 0, 1}, {5, 0, 1e7, 0, -5, 0, 0, 0, 1}, {5, 0, 20, 0, -5, 15, 0.2, 0, 1}, {math.Inf(1), 0, 0, 0, 5, 0, 0, 0, 1}}
	for range 300 {
		var h geom.Homography
		for i := range h {
			h[i] = math.Exp(4*rng.NormFloat64()) * rng.NormFloat64()
		}
		grids = append(grids, h)
	}
	for _, h := range grids {
		for _, f := range []geom.Frame{{}, {Cols: 10, Rows: 8}, {Cols: 1, Rows: 1}} {
			if w := words(t, ph, &graticule.Graticule{H: h, Frame: f}); w.Told() {
				t.Errorf("%v %v: told %+v", h, f, *w)
			}
		}
	}
	for _, size := range []image.Point{{1, 1}, {2, 900}, {0, 0}} {
		words(t, photo.New(image.NewGray(image.Rect(0, 0, size.X, size.Y))), &graticule.Graticule{H: geom.Homography{60, 0, 10, 0, -60, 10, 0, 0, 1}, Frame: geom.Frame{Cols: 10, Rows: 8}})
	}
}

func BenchmarkRead(b *testing.B) {
	for _, d := range []struct {
		name string
		synth.Display
	}{{"words", synth.Display{Table: true, Menu: true}}, {"none", synth.Display{Kind: synth.Tube}}} {
		b.Run(d.name, func(b *testing.B) {
			photos, grids := quarters(b, synth.Scene{Seed: 1, Display: d.Display, Camera: synth.Phone()}.WithMegapixels(12))
			for b.Loop() {
				words(b, photos[0], grids[0])
			}
		})
	}
}

// The study: photos of our own simulator, in four turns each; the number of photos is the benchmark's count.
//
//	go test -run '^$' -bench Turns -benchtime 40x -timeout 0 ./vision/upright
func BenchmarkTurns(b *testing.B) {
	var count [4][3]int // by turn: right, not told, wrong
	sure := 0
	for i := range b.N {
		photos, grids := quarters(b, synth.Random(uint64(500+i)).WithMegapixels(2.5))
		for q := range photos {
			w := words(b, photos[q], grids[q])
			switch {
			case !w.Told():
				count[q][1]++
			case w.Turn != (360-90*q)%360:
				count[q][2]++
				b.Logf("seed %d turned by %d: %+v", 500+i, 90*q, *w)
			default:
				count[q][0]++
			}
			if q > 0 && w.Sure() {
				sure++
			}
		}
	}
	b.Logf("right, not told, wrong by turn: %v; %d of %d turned ones surely", count, sure, 3*b.N)
}
