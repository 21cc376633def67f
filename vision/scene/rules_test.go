package scene

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// greyWith is a plane of linear light w×h, grey of square root 0.3, in which the samples that in picks have their red
// and blue raised so that the square roots of the largest and the smallest colour are apart by so much.
func greyWith(w, h int, apart float32, in func(x, y int) bool) (rgb [3]*raster.Plane) {
	for c := range rgb {
		rgb[c] = raster.New(w, h)
		for i := range rgb[c].Pix {
			root := float32(0.3)
			if c != 1 && in(i%w, i/w) {
				root += apart
			}
			rgb[c].Pix[i] = root * root
		}
	}
	return rgb
}

// What is taken out has much more colour than its surroundings, is thin, and covers neither next to nothing nor half of
// the picture.
func TestOnlyWhatIsLikeATraceIsTakenOut(t *testing.T) {
	const w, h = 480, 480
	rows := func(n int) func(x, y int) bool { // in each strip of 48 rows
		return func(x, y int) bool { return y%48 < n }
	}
	for _, c := range []struct {
		name  string
		apart float32
		in    func(x, y int) bool
		out   bool
	}{
		{"a clear colour", 0.2, rows(6), true},
		{"a tint, as lines have", 0.1, rows(6), false},
		{"a thick trace", 0.4, rows(14), true},
		{"traces that cover nearly half", 0.4, rows(21), false},
		{"a band of 30 rows, a menu or a lamp", 0.4, func(x, y int) bool { return y >= 96 && y < 126 }, false},
		{"a band of 20 rows", 0.4, func(x, y int) bool { return y >= 96 && y < 116 }, true},
		{"a few letters", 0.4, func(x, y int) bool { return x < 30 && y < 23 }, false},  // 0.003 of the picture
		{"a short stretch", 0.4, func(x, y int) bool { return x < 68 && y < 20 }, true}, // 0.006
	} {
		if p, _ := colourless(greyWith(w, h, c.apart, c.in), 1); (p != nil) != c.out {
			t.Errorf("%s: taken out is %v", c.name, p != nil)
		}
	}
}

// Blur leaves light of a trace up to four samples beside what is marked, also across a corner: five away it is the
// photo's own.
func TestBesideATraceTheLightIsNotThePhotosOwn(t *testing.T) {
	_, kept := colourless(greyWith(280, 280, 0.4, func(x, y int) bool { return x%14 == 7 && y%14 == 7 }), 1)
	if kept == nil {
		t.Fatal("nothing was taken out")
	}
	for d := range 7 {
		at := float64(147+d) + 0.5
		if own := kept.Own(geom.Pixel{X: at, Y: at}); own != (d > 4) {
			t.Errorf("%d samples beside a coloured one, both ways: own is %v", d, own)
		}
	}
}

// Two levels of 255 of noise in the dark are no contrast, and a line half as bright again as a dark field is one.
func TestNoiseInTheDarkIsNoContrast(t *testing.T) {
	log := func(level float64) float64 { return float64(logOf(float32(level / 255 * level / 255))) }
	if d := log(2) - log(0); d > 0.2 {
		t.Errorf("two levels above black are %.2f", d)
	}
	if d := log(30) - log(20); d < 0.25 {
		t.Errorf("30 levels on 20 are %.2f", d)
	}
}

// A bright magenta trace, the least clear of colours, is gone without its colour, and a tinted line is not.
func TestBleachingTakesATraceAndLeavesALine(t *testing.T) {
	const size = 300
	light, weak := raster.New(size, size), raster.New(size, size)
	for y := range size {
		for x := range size {
			switch i := y*size + x; {
			case y >= 120 && y < 124: // the trace
				light.Pix[i], weak.Pix[i] = 1, 0.6
			case x%20 < 4:
				light.Pix[i], weak.Pix[i] = 0.1, 0.08
			}
		}
	}
	d := limited(light, weak)
	trace := float64(d.Pix[122*size+70] - d.Pix[107*size+70])
	line := float64(d.Pix[75*size+101] - d.Pix[75*size+110])
	if math.Abs(trace) > 0.1 || line < 0.04 {
		t.Errorf("of a trace of 1 is left %.3f, of a line of 0.1 %.3f", trace, line)
	}
}

// ridgeOf gives the upright ridges of upright strokes, light(x) high.
func ridgeOf(w int, light func(x, y int) float64) *raster.Plane {
	p := &Picture{Plane: raster.New(w, 160), Scale: 1}
	for y := range 160 {
		for x := range w {
			p.Plane.Pix[y*w+x] = float32(light(x, y))
		}
	}
	return RidgesOf(p).Upright
}

// Where light differs by far less than the floor of noise, ridges are the second difference over the floor: what lines
// of each width come to can be read off.
func TestLinesOfOneToFourPixelsAreRidges(t *testing.T) {
	const step = 1e-4
	height := func(width int) float64 {
		p := ridgeOf(120, func(x, _ int) float64 {
			if x >= 60 && x < 60+width {
				return step
			}
			return 0
		})
		return float64(p.Row(80)[60+width/2]) / step
	}
	// A Gaussian of 1.1 samples leaves 0.35 of a line of one sample, and the second difference is 0.55 of it; of one of
	// four 0.80; over 0.006.
	if thin, wide := height(1), height(4); thin < 70 || thin > 110 || wide < 110 || wide > 150 {
		t.Errorf("lines of one and of four pixels have ridges of %.0f and %.0f times their height", thin, wide)
	}
	two := ridgeOf(120, func(x, _ int) float64 {
		if x == 60 || x == 64 {
			return step
		}
		return 0
	})
	if row := two.Row(80); row[62] >= 0 || row[60] <= 0 {
		t.Errorf("lines four pixels apart run together: %v", row[58:67])
	}
}

// The display's own pixels, three of the photo's each, are no lines; nor is bare noise.
func TestPixelsAndNoiseAreNoRidges(t *testing.T) {
	rms := func(p *raster.Plane) float64 {
		sum, n := 0.0, 0.0
		for y := 40; y < 120; y++ {
			for _, v := range p.Row(y)[40 : p.W-40] {
				sum, n = sum+float64(v*v), n+1
			}
		}
		return math.Sqrt(sum / n)
	}
	if r := rms(ridgeOf(200, func(x, _ int) float64 { return 0.02 * math.Cos(2*math.Pi*float64(x)/3) })); r > 0.5 {
		t.Errorf("a raster of three pixels: ridges of %.2f rms", r)
	}
	rng := rand.New(rand.NewPCG(1, 2))
	if r := rms(ridgeOf(200, func(int, int) float64 { return 0.01 * rng.NormFloat64() })); r > 0.35 {
		t.Errorf("noise of a hundredth: ridges of %.2f rms", r)
	}
}

// A row of dots is a line, a trace counts no more than a good line, and a faint line a box beside it is seen as well as
// alone.
func TestATraceDoesNotOutshoutALine(t *testing.T) {
	with := func(trace float64) []float32 {
		return ridgeOf(300, func(x, y int) float64 {
			switch {
			case x >= 150 && x < 154:
				return trace
			case x == 205 && y%10 < 2:
				return 0.1
			}
			return 0
		}).Row(85) // between two dots
	}
	alone, beside := with(0), with(2)
	if v := beside[151]; math.Abs(float64(v)-2) > 1e-6 {
		t.Errorf("the trace is a ridge of %v rms", v)
	}
	if a, b := alone[205], beside[205]; a < 1 || b < 0.9*a {
		t.Errorf("a line of dots 55 samples beside a trace has a ridge of %.2f, alone %.2f", b, a)
	}
}

// The size of a close-up: boxes of 64 samples where the photo has them, and four million samples at most.
func TestACloseUpIsAsLargeAsItIsOfUse(t *testing.T) {
	s := Of(speckled(2600, 1900, false))
	for _, c := range []struct {
		to   image.Point
		box  float64
		want float64 // scale
	}{
		{image.Pt(500, 500), 60, 1},
		{image.Pt(500, 500), 120, 1},
		{image.Pt(500, 500), 140, 1. / 2},
		{image.Pt(500, 500), 260, 1. / 4},
		{image.Pt(2000, 1500), 100, 1},      // three million
		{image.Pt(2600, 1900), 100, 1. / 2}, // five
	} {
		p := s.Closer(Photographed, []geom.Pixel{{}, {X: float64(c.to.X), Y: float64(c.to.Y)}}, c.box, 400)
		if p.Scale != c.want {
			t.Errorf("up to %v, boxes of %g: scale %g, want %g", c.to, c.box, p.Scale, c.want)
		}
	}
}
