package trace

import (
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// A cell of one sample is what the photo shows at the cell's centre.
func TestSheetIsThePhotoThroughTheGraticule(t *testing.T) {
	p := plain()
	p.curves = []curve{{sine(2, 2, 0.5), yellow, 0.02}}
	ph, g := p.paint(t)
	// Tilt and bend: the sheet need not lie on the display to be compared with the photo.
	var to [4]geom.Pixel
	for k, b := range p.frame.Corners() {
		to[k] = g.H.Pixel(b)
	}
	to[0].X, to[1].Y, to[2].X, to[3].Y = to[0].X+40, to[1].Y+25, to[2].X-30, to[3].Y-35
	h, err := geom.HomographyOf(p.frame.Corners(), to)
	if err != nil {
		t.Fatal(err)
	}
	g.H = h
	g.Lens = geom.Radial{Centre: geom.Pixel{X: float64(ph.W) / 2, Y: float64(ph.H) / 2}, Scale: math.Hypot(float64(ph.W), float64(ph.H)) / 2, K: 0.04}
	s, _ := sampleSheet(t.Context(), ph, g, geom.Box{X: -5.5, Y: -4.5}, geom.Box{X: 5.5, Y: 4.5}, pitch{20, 24, 1, 1, 1})
	// Light changes by at most 0.8 a pixel here, and a sample may lie 0.001 px off (straightRows).
	const tolerance = 1e-3
	rng := rand.New(rand.NewPCG(8, 8))
	for range 2000 {
		i, j := rng.IntN(s.nx), rng.IntN(s.ny)
		want, ok := ph.Sample(g.Pixel(geom.Box{X: s.x(i), Y: s.y(float64(j))}))
		for c := range want {
			got := s.rgb[c][i*s.ny+j]
			if ok != (got == got) || ok && math.Abs(float64(got-want[c])) > tolerance {
				t.Fatalf("cell (%d, %d), channel %d: %g, the photo has %g (inside: %v)", i, j, c, got, want[c], ok)
			}
		}
	}
}

// Where many pixels of a photo are averaged first, what is left over at a strip's end is inside it no more: a sheet that lies on the
// photo has no holes all the same.
func TestALargePhotosSheetHasNoHoles(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 2000, 2000))
	frame := geom.Frame{Cols: 2, Rows: 2}
	for _, pitch := range []float64{140, 233, 307, 349, 380.5, 431, 553, 611.3} { // px a box
		var corners [4]geom.Pixel
		for k, b := range frame.Corners() {
			corners[k] = geom.Pixel{X: 1000.3 + pitch*b.X, Y: 1000.6 - pitch*b.Y}
		}
		h, err := geom.HomographyOf(frame.Corners(), corners)
		if err != nil {
			t.Fatal(err)
		}
		g := &graticule.Graticule{H: h, Frame: frame}
		fine, _ := pitchOf(g)
		s, _ := sampleSheet(t.Context(), photo.New(img), g, geom.Box{X: -1, Y: -1.2}, geom.Box{X: 1, Y: 1.2}, fine)
		holes := 0
		for _, v := range s.rgb[0] {
			if v != v {
				holes++
			}
		}
		if holes > 0 {
			t.Errorf("%g pixels a box, %d averaged: %d of %d cells are empty", pitch, fine.reduce, holes, len(s.rgb[0]))
		}
	}
}

// Averaged over the pixels that a cell holds, a large photo gives the same sheet, and the same trace.
func TestALargePhotoMayBeReducedFirst(t *testing.T) {
	p := plain()
	p.frame, p.pitch = geom.Frame{Cols: 4, Rows: 4}, 230
	truth := sine(1.3, 1.5, 0.1)
	p.curves = []curve{{truth, yellow, 0.02}}
	ph, g := p.paint(t)
	fine, ok := pitchOf(g)
	if !ok || fine.reduce != 2 {
		t.Fatalf("a box of %g px is read with %+v", p.pitch, fine)
	}
	whole := fine
	whole.reduce, whole.subX, whole.subY = 1, maxSub, maxSub
	lo, hi := geom.Box{X: -2, Y: -2}, geom.Box{X: 2, Y: 2}
	a, _ := sampleSheet(t.Context(), ph, g, lo, hi, fine)
	b, _ := sampleSheet(t.Context(), ph, g, lo, hi, whole)
	sum := 0.0
	for k, v := range a.rgb[1] {
		d := float64(v - b.rgb[1][k])
		sum += d * d / float64(len(a.rgb[1]))
	}
	if rms := math.Sqrt(sum); rms > 0.01 {
		t.Errorf("the sheets differ by %.4f of the white, rms", rms)
	}
	if mean, rms := meanAndRMS(errorsOf(p.only(t), truth, nil)); math.Abs(mean) > 5e-4 || rms > 1e-3 {
		t.Errorf("mean error %.5f, rms %.5f box", mean, rms)
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
