package graticule_test

import (
	"context"
	"errors"
	"fmt"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// ruled draws a plain picture of a graticule of the frame f under h: bright lines on a dark field.
// With f of zero the lines go on over the whole picture.
func ruled(w, h int, m geom.Homography, f geom.Frame) image.Image {
	img := image.NewGray(image.Rect(0, 0, w, h))
	c := f.Corners()
	for y := range h {
		for x := range w {
			b := m.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			v := 60.0
			if f == (geom.Frame{}) || b.X >= c[0].X-0.02 && b.X <= c[1].X+0.02 && b.Y >= c[2].Y-0.02 && b.Y <= c[1].Y+0.02 {
				v = 30
				for _, d := range [2]float64{math.Abs(b.X - math.Round(b.X)), math.Abs(b.Y - math.Round(b.Y))} {
					v += 70 * math.Exp(-d*d/(2*0.015*0.015))
				}
			}
			img.SetGray(x, y, color.Gray{Y: uint8(min(v, 255))})
		}
	}
	return img
}

// turned gives the picture after a quarter turn anticlockwise.
func turned(img image.Image) image.Image {
	b := img.Bounds()
	out := image.NewRGBA(image.Rect(0, 0, b.Dy(), b.Dx()))
	for y := range b.Dy() {
		for x := range b.Dx() {
			out.Set(y, b.Dx()-1-x, img.At(b.Min.X+x, b.Min.Y+y))
		}
	}
	return out
}

func TestFindRecoversAnyPlainGrid(t *testing.T) {
	frames := []geom.Frame{{Cols: 10, Rows: 8}, {Cols: 12, Rows: 8}, {Cols: 10, Rows: 10}}
	rng := rand.New(rand.NewPCG(5, 6))
	for n := range 6 {
		f := frames[n%len(frames)]
		var corners [4]geom.Pixel
		for i, p := range [4]geom.Pixel{{X: 90, Y: 80}, {X: 570, Y: 80}, {X: 570, Y: 420}, {X: 90, Y: 420}} {
			corners[i] = geom.Pixel{X: p.X + 50*rng.Float64() - 25, Y: p.Y + 50*rng.Float64() - 25}
		}
		truth, err := geom.HomographyOf(f.Corners(), corners)
		if err != nil {
			t.Fatal(err)
		}
		g, err := graticule.Find(t.Context(), photo.New(ruled(660, 500, truth, f)), nil)
		if err != nil {
			t.Fatal(err)
		}
		if g.Frame != f {
			t.Fatalf("found %v, want %v; doubts %q", g.Frame, f, g.Doubts)
		}
		for _, b := range f.Corners() {
			if p, q := truth.Pixel(b), g.Pixel(b); math.Hypot(p.X-q.X, p.Y-q.Y) > 1 {
				t.Errorf("corner %v is at %v, should be at %v", b, q, p)
			}
		}
	}
}

func TestFindRefusesOrDoubtsWhatIsNoDisplay(t *testing.T) {
	gray := func(f func(x, y int) float64) image.Image {
		img := image.NewGray(image.Rect(0, 0, 640, 480))
		for y := range 480 {
			for x := range 640 {
				img.SetGray(x, y, color.Gray{Y: uint8(min(max(f(x, y), 0), 255))})
			}
		}
		return img
	}
	rng := rand.New(rand.NewPCG(1, 2))
	squared, err := geom.HomographyOf(geom.Frame{Cols: 20, Rows: 15}.Corners(), [4]geom.Pixel{{X: 3, Y: 4}, {X: 630, Y: -10}, {X: 650, Y: 485}, {X: -7, Y: 470}})
	if err != nil {
		t.Fatal(err)
	}
	for name, img := range map[string]image.Image{
		"blank": image.NewGray(image.Rect(0, 0, 640, 480)),
		"pixel": image.NewGray(image.Rect(0, 0, 1, 1)),
		"strip": image.NewGray(image.Rect(0, 0, 2000, 3)),
		"noise": gray(func(x, y int) float64 { return 128 + 40*rng.NormFloat64() }),
		"text": gray(func(x, y int) float64 { // rows of dark marks, as of a printed page
			if y%24 < 12 && (x*7919/9+y/24*104729)%5 < 3 && x%9 < 6 {
				return 40
			}
			return 230
		}),
		"bricks": gray(func(x, y int) float64 {
			if y%30 < 3 || (x+y/30%2*35)%70 < 3 {
				return 200
			}
			return 120 + 10*rng.NormFloat64()
		}),
		"stripes":       gray(func(x, y int) float64 { return 128 + 100*math.Sin(float64(x)/6) }),
		"squared paper": ruled(640, 480, squared, geom.Frame{}),
	} {
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		var none *graticule.NotFoundError
		switch {
		case err == nil && len(g.Doubts) == 0:
			t.Errorf("%s: taken for %v without a doubt", name, g.Frame)
		case err != nil && (g != nil || !errors.As(err, &none) || none.Hint == ""):
			t.Errorf("%s: %v, %v", name, g, err)
		}
	}
}

func TestFindRejectsImpossibleOptions(t *testing.T) {
	ph := photo.New(image.NewGray(image.Rect(0, 0, 640, 480)))
	nan := math.NaN()
	for name, o := range map[string]graticule.Options{
		"negative count":  {Frame: geom.Frame{Cols: -1, Rows: 8}},
		"huge count":      {Frame: geom.Frame{Cols: 10, Rows: 4000}},
		"far outside":     {Corners: &[4]geom.Pixel{{X: 10, Y: 10}, {X: 990, Y: 10}, {X: 600, Y: 400}, {X: 10, Y: 400}}},
		"not a number":    {Corners: &[4]geom.Pixel{{X: nan, Y: 10}, {X: 600, Y: 10}, {X: 600, Y: 400}, {X: 10, Y: 400}}},
		"crossed":         {Corners: &[4]geom.Pixel{{X: 10, Y: 10}, {X: 600, Y: 400}, {X: 600, Y: 10}, {X: 10, Y: 400}}},
		"anticlockwise":   {Corners: &[4]geom.Pixel{{X: 10, Y: 10}, {X: 10, Y: 400}, {X: 600, Y: 400}, {X: 600, Y: 10}}},
		"on one line":     {Corners: &[4]geom.Pixel{{X: 10, Y: 10}, {X: 20, Y: 20}, {X: 30, Y: 30}, {X: 10, Y: 400}}},
		"all in one spot": {Corners: &[4]geom.Pixel{{X: 10, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 10}, {X: 10, Y: 10}}},
	} {
		g, err := graticule.Find(t.Context(), ph, &o)
		var bad *graticule.OptionsError
		if g != nil || !errors.As(err, &bad) || bad.Field == "" || bad.Hint == "" {
			t.Errorf("%s: %v, %v", name, g, err)
		}
	}
}

func TestCornersOnABlankPhotoAreTakenAsTheyAre(t *testing.T) {
	c := [4]geom.Pixel{{X: 100, Y: 90}, {X: 520, Y: 100}, {X: 530, Y: 400}, {X: 90, Y: 390}}
	ph := photo.New(image.NewGray(image.Rect(0, 0, 640, 480)))
	g, err := graticule.Find(t.Context(), ph, &graticule.Options{Corners: &c, Frame: geom.Frame{Cols: 10, Rows: 8}})
	if err != nil {
		t.Fatal(err)
	}
	if !g.ByHand || len(g.Doubts) == 0 || g.Cov == nil || !math.IsNaN(g.RMS) {
		t.Errorf("%+v", g)
	}
	boxes := g.Frame.Corners()
	moves := g.Moves(boxes[:])
	for i, b := range boxes {
		if p := g.Pixel(b); math.Hypot(p.X-c[i].X, p.Y-c[i].Y) > 1e-6 {
			t.Errorf("corner %d moved to %v", i, p)
		}
		var u float64
		for _, m := range moves {
			u += m.DX[i] * m.DX[i]
		}
		// A click is good to 0.4 % of the diagonal, some 0.05 box here; the unknown lens adds to it.
		if s := math.Sqrt(u); s < 0.03 || s > 0.2 {
			t.Errorf("corner %d: u(x) = %.3f box", i, s)
		}
	}
	wide, err := graticule.Find(t.Context(), ph, &graticule.Options{Corners: &c, Frame: g.Frame, CornerSigma: 9})
	if err != nil {
		t.Fatal(err)
	}
	// 9 px are 0.2 box here.
	if u := math.Sqrt(variance(wide, boxes[0])); u < 0.15 || u > 0.35 {
		t.Errorf("corners good to 9 px: u(x) = %.3f box", u)
	}
	if _, err := graticule.Find(t.Context(), ph, &graticule.Options{Corners: &c}); err == nil {
		t.Error("boxes were counted on a blank photo")
	}
}

// variance is that of the x of place b.
func variance(g *graticule.Graticule, b geom.Box) (v float64) {
	for _, m := range g.Moves([]geom.Box{b}) {
		v += m.DX[0] * m.DX[0]
	}
	return v
}

// The moves' sum of squares must be what the covariance gives by the derivatives of the map, here by
// differences in each parameter.
func TestMovesAddUpToTheCovariance(t *testing.T) {
	g := graticule.Graticule{
		H:     geom.Homography{70, 3, 500, -2, -68, 400, 0.004, -0.003, 1},
		Lens:  geom.Radial{Centre: geom.Pixel{X: 512, Y: 384}, Scale: 640, K: -0.02, K2: 0.005},
		Face:  geom.Face{Half: geom.Box{X: 5, Y: 4}, DX: [7]float64{0.01, 0, 0, -0.02}, DY: [7]float64{0, 0, 0.01, 0, 0.02}},
		Frame: geom.Frame{Cols: 10, Rows: 8},
	}
	parts := func(g *graticule.Graticule) (p []*float64) {
		for i := range 8 {
			p = append(p, &g.H[i])
		}
		p = append(p, &g.Lens.K, &g.Lens.K2)
		for i := range g.Face.DX {
			p = append(p, &g.Face.DX[i])
		}
		for i := range g.Face.DY {
			p = append(p, &g.Face.DY[i])
		}
		return p
	}
	rng := rand.New(rand.NewPCG(3, 4))
	size := []float64{0.05, 0.05, 0.3, 0.05, 0.05, 0.3, 1e-5, 1e-5, 2e-3, 2e-3}
	for len(size) < len(parts(&g)) {
		size = append(size, 1e-3)
	}
	n := len(size)
	root := mat.NewDense(n, n, nil)
	for r := range n {
		for c := range n {
			root.Set(r, c, size[r]*rng.NormFloat64()/3)
		}
	}
	var full mat.Dense
	full.Mul(root, root.T())
	g.Cov = mat.NewSymDense(n, nil)
	for r := range n {
		for c := r; c < n; c++ {
			g.Cov.SetSym(r, c, full.At(r, c))
		}
	}
	boxes := []geom.Box{{}, {X: 5, Y: 4}, {X: -5, Y: 4}, {X: -3, Y: -4}}
	moves := g.Moves(boxes)
	for i, b := range boxes {
		p := g.Pixel(b)
		jx, jy := make([]float64, n), make([]float64, n)
		for k := range n {
			d := size[k] * 1e-3
			moved := func(d float64) geom.Box {
				other := g
				*parts(&other)[k] += d
				return other.Box(p)
			}
			u, v := moved(d), moved(-d)
			jx[k], jy[k] = (u.X-v.X)/(2*d), (u.Y-v.Y)/(2*d)
		}
		var vx, vy, mx, my float64
		for r := range n {
			for c := range n {
				vx += jx[r] * g.Cov.At(r, c) * jx[c]
				vy += jy[r] * g.Cov.At(r, c) * jy[c]
			}
		}
		for _, m := range moves {
			mx += m.DX[i] * m.DX[i]
			my += m.DY[i] * m.DY[i]
		}
		// The face's own slope, here 0.02, is left out of the derivatives.
		if math.Abs(mx/vx-1) > 0.05 || math.Abs(my/vy-1) > 0.05 {
			t.Errorf("at %v: moves give %g, %g; covariance %g, %g", b, mx, my, vx, vy)
		}
	}
	g.Cov = nil
	if g.Moves(boxes) != nil {
		t.Error("moves without a covariance")
	}
}

func ExampleFind() {
	f := geom.Frame{Cols: 10, Rows: 8}
	truth, _ := geom.HomographyOf(f.Corners(), [4]geom.Pixel{{X: 150, Y: 120}, {X: 850, Y: 150}, {X: 880, Y: 700}, {X: 130, Y: 680}})
	g, err := graticule.Find(context.Background(), photo.New(ruled(1000, 800, truth, f)), nil)
	if err != nil {
		panic(err)
	}
	p := g.Pixel(geom.Box{X: -5, Y: 4})
	fmt.Printf("%d × %d boxes, top left at (%.0f, %.0f)\n", g.Frame.Cols, g.Frame.Rows, p.X, p.Y)
	// Output: 10 × 8 boxes, top left at (150, 120)
}
