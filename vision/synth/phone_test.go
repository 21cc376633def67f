package synth

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// grainy gives three equal planes, dark left and bright right of the middle, with grain.
func grainy(w, h int, dark, bright, grain float32) (p [3]*raster.Plane) {
	rng := rand.New(rand.NewPCG(1, 1))
	for c := range p {
		p[c] = raster.New(w, h)
	}
	for i := range w * h {
		v := dark
		if i%w >= w/2 {
			v = bright
		}
		v += grain * float32(rng.NormFloat64())
		p[0].Pix[i], p[1].Pix[i], p[2].Pix[i] = v, v, v
	}
	return p
}

// meanAndSpread are of the columns x0 to x1 of a plane.
func meanAndSpread(p *raster.Plane, x0, x1 int) (mean, sd float64) {
	n, sum, squares := 0.0, 0.0, 0.0
	for y := range p.H {
		for _, v := range p.Row(y)[x0:x1] {
			n, sum, squares = n+1, sum+float64(v), squares+float64(v)*float64(v)
		}
	}
	return sum / n, math.Sqrt(squares/n - sum/n*sum/n)
}

// The bilateral filter takes the grain and leaves the edge: what Tomasi and Manduchi 1998 made it for.
func TestDenoisingTakesGrainAndKeepsEdges(t *testing.T) {
	p := grainy(60, 60, 0.2, 0.8, 0.02)
	denoise(p, 1)
	if _, sd := meanAndSpread(p[1], 5, 25); sd > 0.01 {
		t.Errorf("grain of 0.02 is left as %.4f", sd)
	}
	left, _ := meanAndSpread(p[1], 29, 30)
	right, _ := meanAndSpread(p[1], 30, 31)
	if right-left < 0.58 {
		t.Errorf("an edge of 0.6 is left as %.3f", right-left)
	}
}

// Evening tones draws dark and bright neighbourhoods together and leaves their grain, and a halo along the border.
func TestEvenedTonesDrawNeighbourhoodsTogether(t *testing.T) {
	p := grainy(300, 60, 0.1, 0.6, 0)
	mapTones(p, 0.5)
	dark, _ := meanAndSpread(p[0], 0, 60)
	bright, _ := meanAndSpread(p[0], 240, 300)
	if ratio := bright / dark; math.Abs(ratio-math.Sqrt(6)) > 0.2 { // half of the logarithm is left
		t.Errorf("6 to 1 is left as %.2f to 1, want %.2f", ratio, math.Sqrt(6))
	}
	atBorder, _ := meanAndSpread(p[0], 151, 156)
	if atBorder < 1.1*bright {
		t.Errorf("no halo beside the dark side: %.3f, further off %.3f", atBorder, bright)
	}
}

// Dark bands lie across the picture over the screen alone, to the depth asked for.
func TestBandsDimTheScreenAlone(t *testing.T) {
	s := Scene{Display: Display{Kind: Pale}, Camera: Camera{Width: 400, Height: 300}}
	plain := greenLight(t, s)
	s.Camera.Bands = 0.4
	banded := greenLight(t, s)
	least, most := 1.0, 0.0
	for y := 100; y < 200; y++ { // on the screen, where the field is
		share := float64(banded.Row(y)[140] / plain.Row(y)[140])
		least, most = min(least, share), max(most, share)
	}
	if math.Abs(least-0.6) > 0.02 || most < 0.97 {
		t.Errorf("rows keep %.3f to %.3f of their light, want 0.6 to 1", least, most)
	}
	for y := range 300 {
		if banded.Row(y)[2] != plain.Row(y)[2] {
			t.Fatalf("row %d beside the screen is dimmed", y)
		}
	}
}

// A finger hides what lies under the rectangle that the truth tells, and nothing else of the frame.
func TestAFingerHidesWhatTheTruthSays(t *testing.T) {
	for seed := range uint64(8) {
		s := Scene{Seed: seed, Display: Display{Kind: Pale}, Camera: Camera{Width: 400, Height: 300}}
		plain := greenLight(t, s)
		s.Finger = true
		with := greenLight(t, s)
		truth, err := s.Truth()
		if err != nil {
			t.Fatal(err)
		}
		c, hidden := truth.CoveredBox[0], 0
		f, v := truth.Frame(), mustView(t, s)
		const near = 0.06 // box: a pixel and a half
		for y := range 300 {
			for x := range 400 {
				at := v.plane(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
				if math.Abs(at.x) > -f.Left()-near || math.Abs(at.y) > -f.Bottom()-near || with.Row(y)[x] == plain.Row(y)[x] {
					continue
				}
				hidden++
				if at.x < c[0]-near || at.x > c[2]+near || at.y < c[1]-near || at.y > c[3]+near {
					t.Fatalf("seed %d: hides %.2f, %.2f, outside %.2f", seed, at.x, at.y, c)
				}
			}
		}
		if hidden < 50 {
			t.Errorf("seed %d: hides %d pixels of the frame", seed, hidden)
		}
	}
}

func mustView(t *testing.T, s Scene) *view {
	_, v := ready(t, s)
	return v
}
