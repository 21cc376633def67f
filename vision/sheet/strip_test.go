package sheet

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// patterned is a picture without edges, whose light changes by less than 0.3 a pixel.
func patterned(w, h int) *photo.Photo {
	img := image.NewNRGBA(image.Rect(0, 0, w, h))
	for x := range w {
		for y := range h {
			u, v := math.Sin(float64(x)/3), math.Cos(float64(y)/4)
			img.SetNRGBA(x, y, color.NRGBA{ToSRGB(0.5 + 0.4*u), ToSRGB(0.5 + 0.4*v), ToSRGB(0.5 + 0.4*u*v), 255})
		}
	}
	return photo.New(img)
}

// straight is the graticule of a display seen straight on, of pitch px a box, whose centre is at (x, y) px.
func straight(t *testing.T, frame geom.Frame, pitch, x, y float64) *graticule.Graticule {
	t.Helper()
	var corners [4]geom.Pixel
	for k, b := range frame.Corners() {
		corners[k] = geom.Pixel{X: x + pitch*b.X, Y: y - pitch*b.Y}
	}
	h, err := geom.HomographyOf(frame.Corners(), corners)
	if err != nil {
		t.Fatal(err)
	}
	return &graticule.Graticule{H: h, Frame: frame}
}

// read samples the cells between two boxes.
func read(t *testing.T, ph *photo.Photo, g *graticule.Graticule, lo, hi geom.Box, p pitch) (Grid, [3][]float32) {
	t.Helper()
	cells := gridOf(lo, hi, p)
	rgb, err := cells.sample(t.Context(), ph, g, p)
	if err != nil {
		t.Fatal(err)
	}
	return cells, rgb
}

// A cell of one sample is what the photo shows at the cell's centre.
func TestSheetIsThePhotoThroughTheGraticule(t *testing.T) {
	frame := geom.Frame{Cols: 10, Rows: 8}
	ph := patterned(580, 480)
	g := straight(t, frame, 50, 290, 240)
	// Tilt and bend: the sheet need not lie on the display to be compared with the photo.
	var to [4]geom.Pixel
	for k, b := range frame.Corners() {
		to[k] = g.H.Pixel(b)
	}
	to[0].X, to[1].Y, to[2].X, to[3].Y = to[0].X+40, to[1].Y+25, to[2].X-30, to[3].Y-35
	h, err := geom.HomographyOf(frame.Corners(), to)
	if err != nil {
		t.Fatal(err)
	}
	g.H = h
	g.Lens = geom.Radial{Centre: geom.Pixel{X: float64(ph.W) / 2, Y: float64(ph.H) / 2}, Scale: math.Hypot(float64(ph.W), float64(ph.H)) / 2, K: 0.04}
	s, rgb := read(t, ph, g, geom.Box{X: -5.5, Y: -4.5}, geom.Box{X: 5.5, Y: 4.5}, pitch{20, 24, 1, 1, 1})
	// Light changes by at most 0.3 a pixel here, and a sample may lie 0.001 px off (straightRows).
	const tolerance = 1e-3
	rng := rand.New(rand.NewPCG(8, 8))
	whole := ph.Reduced(1)
	for range 2000 {
		i, j := rng.IntN(s.NX), rng.IntN(s.NY)
		at := g.Pixel(geom.Box{X: s.X(i), Y: s.Y(float64(j))})
		for c, plane := range whole {
			want, ok := plane.Bilinear(at)
			got := rgb[c][i*s.NY+j]
			if ok != (got == got) || ok && math.Abs(float64(got-want)) > tolerance {
				t.Fatalf("cell (%d, %d), channel %d: %g, the photo has %g (inside: %v)", i, j, c, got, want, ok)
			}
		}
	}
}

// Where many pixels of a photo are averaged first, what is left over at a strip's end is inside it no more: a sheet
// that lies on the photo has no holes all the same.
func TestALargePhotosSheetHasNoHoles(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 2000, 2000))
	frame := geom.Frame{Cols: 2, Rows: 2}
	for _, pitch := range []float64{140, 233, 307, 349, 380.5, 431, 553, 611.3} { // px a box
		g := straight(t, frame, pitch, 1000.3, 1000.6)
		fine, _ := pitchOf(g)
		_, rgb := read(t, photo.New(img), g, geom.Box{X: -1, Y: -1.2}, geom.Box{X: 1, Y: 1.2}, fine)
		holes := 0
		for _, v := range rgb[0] {
			if v != v {
				holes++
			}
		}
		if holes > 0 {
			t.Errorf("%g pixels a box, %d averaged: %d of %d cells are empty", pitch, fine.reduce, holes, len(rgb[0]))
		}
	}
}

// Averaged over the pixels that a cell holds, a large photo gives the same sheet.
func TestALargePhotoMayBeReducedFirst(t *testing.T) {
	const wide = 920
	img := image.NewGray(image.Rect(0, 0, wide, wide))
	for x := range wide {
		for y := range wide { // a stroke of the usual width, which rises
			d := (float64(y) - wide/2 - 120*math.Sin(float64(x)/150)) / (0.02 * 230)
			img.SetGray(x, y, color.Gray{ToSRGB(0.05 + 0.7*math.Exp(-d*d/2))})
		}
	}
	g := straight(t, geom.Frame{Cols: 4, Rows: 4}, 230, wide/2, wide/2)
	fine, ok := pitchOf(g)
	if !ok || fine.reduce != 2 {
		t.Fatalf("a box of 230 px is read with %+v", fine)
	}
	whole := fine
	whole.reduce, whole.subX, whole.subY = 1, maxSub, maxSub
	lo, hi := geom.Box{X: -2, Y: -2}, geom.Box{X: 2, Y: 2}
	_, a := read(t, photo.New(img), g, lo, hi, fine)
	_, b := read(t, photo.New(img), g, lo, hi, whole)
	sum, n := 0.0, 0
	for k, v := range a[1] {
		if d := float64(v - b[1][k]); d == d { // the outermost cells lie on the photo's border
			sum, n = sum+d*d, n+1
		}
	}
	if rms := math.Sqrt(sum / float64(n)); rms > 0.01 || n < len(a[1])*9/10 {
		t.Errorf("the sheets differ by %.4f of the white, rms, over %d of %d cells", rms, n, len(a[1]))
	}
}

func TestRunningMeanAgreesWithItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(9, 9))
	for _, width := range []float64{0.5, 1, 1.25, 2, 3.7, 4, 6.3} {
		const n = 40
		v := make([]float32, n)
		for i := range v {
			v[i] = rng.Float32()
		}
		got := append([]float32(nil), v...)
		runningMean(got, make([]float32, n), 1, width)
		for i := range v {
			want := float64(v[i])
			if width > 1 {
				// The integral over width of the steps v, the ends going on outside.
				sum := 0.0
				for k := i - 10; k <= i+10; k++ {
					a, b := max(float64(i)-width/2, float64(k)-0.5), min(float64(i)+width/2, float64(k)+0.5)
					sum += max(b-a, 0) * float64(v[min(max(k, 0), n-1)])
				}
				want = sum / width
			}
			if math.Abs(float64(got[i])-want) > 1e-5 {
				t.Fatalf("width %g, sample %d: %g, want %g", width, i, got[i], want)
			}
		}
	}
}

// How finely a display is read goes by its pixels in the photo, up to what a display has itself.
func TestHowFinelyADisplayIsRead(t *testing.T) {
	for _, c := range []struct {
		px   float64 // a box
		ok   bool
		want pitch
	}{
		{6, false, pitch{}},
		{12, true, pitch{12, 12, 1, 1, 1}},
		{40, true, pitch{40, 40, 1, 1, 1}},
		{90, true, pitch{50, 90, 2, 1, 1}},
		{150, true, pitch{50, 100, 3, 2, 1}},
		{198, true, pitch{50, 100, 3, 2, 1}},
		{400, true, pitch{50, 100, 2, 1, 4}},
	} {
		got, ok := pitchOf(straight(t, geom.Frame{Cols: 10, Rows: 8}, c.px, 2000, 2000))
		if ok != c.ok || ok && got != c.want {
			t.Errorf("%g px a box: %+v, %v, want %+v, %v", c.px, got, ok, c.want, c.ok)
		}
	}
}

// The part of a photo that is read for a strip holds the way of its sides through a lens that bends them.
func TestAStripsBoundsHoldItsSides(t *testing.T) {
	g := straight(t, geom.Frame{Cols: 10, Rows: 8}, 400, 2400, 1920)
	g.Lens = geom.Radial{Centre: geom.Pixel{X: 2000, Y: 1500}, Scale: 2500, K: 0.08}
	p, _ := pitchOf(g)
	p.reduce = 1
	s := gridOf(geom.Box{X: -5, Y: -4.2}, geom.Box{X: 5, Y: 4.2}, p)
	for i := 0; i+25 <= s.NX; i += 25 {
		r := s.bounds(g, i, i+25, 1)
		for j := range 1001 {
			y := s.Y(-0.5) + float64(j)/1000*float64(s.NY)*s.DY
			for _, x := range []float64{s.X(i) - s.DX/2, s.X(i+25) - s.DX/2} {
				if q := g.Pixel(geom.Box{X: x, Y: y}); !(image.Point{X: int(q.X), Y: int(q.Y)}).In(r) {
					t.Fatalf("columns from %d: %v is outside %v", i, q, r)
				}
			}
		}
	}
}

// Of a graticule that lies nowhere nothing is read, and nothing overflows.
func TestAStripThatIsFarOffIsEmpty(t *testing.T) {
	g := straight(t, geom.Frame{Cols: 10, Rows: 8}, 400, 2000, 1600)
	for _, k := range []float64{1e12, 1e30, math.Inf(1)} {
		g.H[2], g.H[5] = k, -k
		s := gridOf(geom.Box{X: -5, Y: -4.2}, geom.Box{X: 5, Y: 4.2}, pitch{50, 100, 1, 1, 1})
		if r := s.bounds(g, 0, 25, 1); r.Overlaps(image.Rect(0, 0, 65535, 65535)) || r.Dx() < 0 || r.Dy() < 0 {
			t.Errorf("%g px away: %v", k, r)
		}
	}
}

// A stroke on the highest or lowest line is 0.15 box high with its glow; a bezel's writing begins 0.3 box off.
func TestASheetReachesBeyondTheRims(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 500, 400))
	s, err := Read(t.Context(), photo.New(img), straight(t, geom.Frame{Cols: 10, Rows: 8}, 40, 250, 200))
	if err != nil {
		t.Fatal(err)
	}
	if low, high := s.Y(-0.5), s.Y(float64(s.NY)-0.5); low > -4.15 || low < -4.3 || high < 4.15 || high > 4.3 {
		t.Errorf("the sheet goes from %.2f to %.2f", low, high)
	}
}
