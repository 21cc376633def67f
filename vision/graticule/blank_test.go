package graticule_test

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

// Pictures without a display: ruled things of a lab and of a street, each of its own size, tilt, light
// and noise by seed, on 1.2 megapixels. None may be taken for a graticule without a doubt.

// A blank is one kind of thing: its light 0..1 at a place of its own plane, in cells of its ruling.
type blank struct {
	name  string
	light func(x, y float64) float64
}

var blanks = []blank{
	{"page of text", func(x, y float64) float64 { // words of random length on lines one cell apart
		line, in := math.Floor(y), y-math.Floor(y)
		word := math.Floor(x*1.7 + 3*hash(line, 0))
		if in < 0.25 || in > 0.7 || hash(word, line) < 0.15 || hash(math.Floor(x*9), line) < 0.3 {
			return 0.85
		}
		return 0.12
	}},
	{"window with panes", func(x, y float64) float64 {
		if edge(x/2) < 0.06 || edge(y/2) < 0.06 {
			return 0.25
		}
		return 0.6 + 0.3*hash(math.Floor(x/2), math.Floor(y/2))
	}},
	{"keyboard", func(x, y float64) float64 { // rows of keys, each row shifted
		row := math.Floor(y)
		if edge(x+0.31*row) < 0.09 || edge(y) < 0.09 {
			return 0.04
		}
		if math.Abs(x+0.31*row-math.Floor(x+0.31*row)-0.4) < 0.1 && math.Abs(y-row-0.4) < 0.15 {
			return 0.7
		}
		return 0.2
	}},
	{"tiled wall", func(x, y float64) float64 {
		if edge(x) < 0.03 || edge(y) < 0.03 {
			return 0.35
		}
		return 0.7 + 0.1*hash(math.Floor(x), math.Floor(y))
	}},
	{"spreadsheet", func(x, y float64) float64 { // cells two and a half times as wide as high, some with figures
		if edge(x/2.5) < 0.012 || edge(y) < 0.03 {
			return 0.6
		}
		in := y - math.Floor(y)
		if hash(math.Floor(x/2.5), math.Floor(y)) < 0.5 && in > 0.3 && in < 0.7 && hash(math.Floor(x*10), math.Floor(y)) < 0.5 && math.Mod(math.Abs(x), 2.5) > 1 {
			return 0.1
		}
		return 0.95
	}},
	{"brick", func(x, y float64) float64 {
		row := math.Floor(y)
		if edge(x/2+0.5*math.Mod(math.Abs(row), 2)) < 0.03 || edge(y) < 0.06 {
			return 0.55
		}
		return 0.2 + 0.1*hash(math.Floor(x/2), row)
	}},
	{"squared paper", func(x, y float64) float64 {
		if edge(x) < 0.04 || edge(y) < 0.04 {
			return 0.55
		}
		return 0.9
	}},
	{"squared paper with tens", func(x, y float64) float64 {
		switch {
		case edge(x/5) < 0.02 || edge(y/5) < 0.02:
			return 0.4
		case edge(x) < 0.05 || edge(y) < 0.05:
			return 0.7
		}
		return 0.9
	}},
}

// edge is the distance from the nearest whole number.
func edge(v float64) float64 { return math.Abs(v - math.Round(v)) }

// hash is a random number 0..1 that belongs to a cell.
func hash(x, y float64) float64 {
	var source rand.PCG // on the stack: a picture asks for ten million
	source.Seed(uint64(int64(x)+1<<20), uint64(int64(y)+1<<20))
	return float64(source.Uint64()<<11>>11) / (1 << 53) // as Rand.Float64 does
}

// picture shows the plane of b through a random homography, 3 × 3 samples to a pixel, with noise.
func (b blank) picture(t testing.TB, seed uint64) image.Image {
	t.Helper()
	const w, h = 1264, 948
	rng := rand.New(rand.NewPCG(seed, 77))
	cells := 7 + 12*rng.Float64() // across the picture
	off := func() float64 { return 120 * (2*rng.Float64() - 1) }
	half := [2]float64{cells / 2, cells / 2 * h / w}
	m, err := geom.HomographyOf([4]geom.Box{{X: -half[0], Y: half[1]}, {X: half[0], Y: half[1]}, {X: half[0], Y: -half[1]}, {X: -half[0], Y: -half[1]}},
		[4]geom.Pixel{{X: off(), Y: off()}, {X: w + off(), Y: off()}, {X: w + off(), Y: h + off()}, {X: off(), Y: h + off()}})
	if err != nil {
		t.Fatal(err)
	}
	img := image.NewGray(image.Rect(0, 0, w, h))
	slope, noise := 0.3*rng.Float64(), 3+5*rng.Float64()
	for y := range h {
		for x := range w {
			sum := 0.0
			for k := range 9 {
				p := m.Box(geom.Pixel{X: float64(x) + (float64(k%3)+0.5)/3, Y: float64(y) + (float64(k/3)+0.5)/3})
				sum += b.light(p.X+50.3, p.Y+50.7) / 9
			}
			v := 255*sum*(1-slope*float64(x)/w) + noise*rng.NormFloat64()
			img.SetGray(x, y, color.Gray{Y: uint8(min(max(v, 0), 255))})
		}
	}
	return img
}

// blankOf gives picture i: dark screens, on a bench or on a ruled mat, take turns with ruled things. Smaller
// pictures take longer: they are looked at closer.
func blankOf(t testing.TB, i int) (name string, img image.Image) {
	n := len(blanks) + 2
	seed, k := uint64(i/n+1), i%n
	if k < len(blanks) {
		return blanks[k].name, blanks[k].picture(t, seed)
	}
	dark, _ := synth.RandomBlank(2*seed + uint64(k-len(blanks))).WithMegapixels(1.2).Shoot()
	return "dark screen", dark
}

// Every second one of the first of BenchmarkBlankStudy.
func TestNothingButADisplayIsFoundWithoutADoubt(t *testing.T) {
	for i := 0; i < len(blanks)+2; i += 2 {
		name, img := blankOf(t, i)
		g, err := graticule.Find(t.Context(), photo.New(img), nil)
		if err == nil && len(g.Doubts) == 0 {
			t.Errorf("%s: taken for %v without a doubt", name, g.Frame)
		}
	}
}

// The study of pictures without a display: how many are refused, doubted, and taken for a graticule without a doubt.
//
//	go test -run '^$' -bench BlankStudy -benchtime 60x -timeout 0 ./vision/graticule
func BenchmarkBlankStudy(b *testing.B) {
	refused, doubted, silent := 0, 0, 0
	for i := range b.N {
		name, img := blankOf(b, i)
		switch g, err := graticule.Find(b.Context(), photo.New(img), nil); {
		case err != nil:
			refused++
		case len(g.Doubts) > 0:
			doubted++
		default:
			silent++
			b.Logf("picture %d (%s): taken for %v without a doubt", i, name, g.Frame)
		}
	}
	b.ReportMetric(float64(refused), "refused")
	b.ReportMetric(float64(doubted), "doubted")
	b.ReportMetric(float64(silent), "silent")
}
