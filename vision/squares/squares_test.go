package squares_test

import (
	"context"
	"errors"
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/squares"
	"quadrille/vision/synth"
)

// sheet is a photo of an ordinary sheet with a pencil curve.
func sheet(r synth.Ruling) synth.Sketch {
	return synth.Sketch{Seed: 5, Ruling: r, Cols: 14, Rows: 10, Pen: synth.Pens()[0], Lines: synth.Pens()[0],
		From: 1, To: 12, Zero: 2, High: 6, Tau: 3, Axes: true, Width: 1200, Height: 900, Tilt: 6, Lean: -4, Roll: 1,
		Blur: 0.7, Noise: 0.01, Quality: 88, Zoom: 0.95}
}

// off is the rms and the most by which the true crossings lie off whole squares as found, after one whole shift.
func off(p *squares.Paper, truth *synth.SketchTruth) (rms, most float64) {
	sum, n := 0.0, 0.0
	var shift *geom.Box
	for j, line := range truth.Nodes {
		for i, q := range line {
			b := p.Box(q)
			b.X, b.Y = b.X-p.Frame.Left()-float64(i), b.Y-p.Frame.Bottom()-float64(j)
			if shift == nil {
				shift = &geom.Box{X: math.Round(b.X), Y: math.Round(b.Y)}
			}
			d := math.Hypot(b.X-shift.X, b.Y-shift.Y)
			sum, n, most = sum+d*d, n+1, max(most, d)
		}
	}
	return math.Sqrt(sum / n), most
}

// Every ruling that shops sell: how many squares, how fine, where each crossing is.
func TestSquaresOfAllRulings(t *testing.T) {
	for _, r := range synth.Rulings() {
		s := sheet(r)
		img, truth := s.Shoot()
		p, err := squares.Find(context.Background(), photo.New(img))
		if err != nil {
			t.Errorf("%s: %v", r.Name, err)
			continue
		}
		rms, most := off(p, &truth)
		if p.Frame != (geom.Frame{Cols: s.Cols, Rows: s.Rows}) || !(rms < 0.02) || !(most < 0.08) {
			t.Errorf("%s: %d × %d squares, crossings off by %.3f, at most %.3f", r.Name, p.Frame.Cols, p.Frame.Rows, rms, most)
		}
		// Thin lines may be too fine for the photo; those that are not there must not be seen.
		if p.Thin != r.Thin && !(r.Thin > 1 && r.Thin%p.Thin == 0) {
			t.Errorf("%s: %d thin squares in one, there are %d", r.Name, p.Thin, r.Thin)
		}
		if p.Share < 0.9 {
			t.Errorf("%s: only %.2f of the lines were seen", r.Name, p.Share)
		}
	}
}

// Paper that bends by half a square is followed to a twentieth at every crossing.
func TestCurledPaperIsFollowed(t *testing.T) {
	s := sheet(synth.Rulings()[0])
	s.Cols, s.Rows, s.Curl = 24, 17, 0.6
	img, truth := s.Shoot()
	p, err := squares.Find(context.Background(), photo.New(img))
	if err != nil {
		t.Fatal(err)
	}
	if rms, most := off(p, &truth); !(rms < 0.02) || !(most < 0.06) {
		t.Errorf("crossings off by %.3f, at most %.3f", rms, most)
	}
	if p.Curl < 0.2 || p.Curl > 0.8 {
		t.Errorf("the curl is told as %.2f squares", p.Curl)
	}
	for _, b := range []geom.Box{{}, {X: 9.3, Y: -6.1}, {X: -11, Y: 7.7}} {
		if back := p.Box(p.Pixel(b)); math.Hypot(back.X-b.X, back.Y-b.Y) > 1e-4 {
			t.Errorf("%v comes back as %v", b, back)
		}
	}
}

// Where one corner curls alone, all pieces there lie off what the rest says, by up to a quarter of a square of 5 mm and
// nearly half of one of 10 mm.
func TestACornerThatCurlsIsFollowed(t *testing.T) {
	for _, seed := range []uint64{43, 100, 239, 255} {
		img, truth := synth.RandomSketch(seed).Shoot()
		p, err := squares.Find(context.Background(), photo.New(img))
		if err != nil {
			t.Fatal(err)
		}
		if rms, most := off(p, &truth); !(rms < 0.02) || !(most < 0.08) || p.Frame.Cols < truth.Cols-2 || p.Frame.Rows < truth.Rows-2 {
			t.Errorf("seed %d: %d by %d squares of %d by %d, crossings off by %.3f, at most %.3f", seed, p.Frame.Cols, p.Frame.Rows,
				truth.Cols, truth.Rows, rms, most)
		}
	}
}

// In a deep shadow every third line was found, on lightness that is held level.
func TestEveryThirdLineIsNoRuling(t *testing.T) {
	p, truth := seeded(t, synth.RandomSketch(960))
	if p.Frame.Cols != truth.Cols || p.Frame.Rows != truth.Rows {
		t.Errorf("%d by %d squares of %d by %d", p.Frame.Cols, p.Frame.Rows, truth.Cols, truth.Rows)
	}
}

// Noise is no paper, nor are three squares, nor a sheet of lines.
func TestTooFewSquaresAreNoPaper(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	draw := func(line func(x, y int) bool) *image.Gray {
		m := image.NewGray(image.Rect(0, 0, 1000, 750))
		for y := range 750 {
			for x := range 1000 {
				v := 200 + 6*rng.NormFloat64()
				if line(x, y) {
					v -= 60
				}
				m.SetGray(x, y, color.Gray{Y: uint8(v)})
			}
		}
		return m
	}
	for name, m := range map[string]*image.Gray{
		"noise": draw(func(int, int) bool { return false }),
		"lines": draw(func(_, y int) bool { return y%40 < 2 }),
		"three squares": draw(func(x, y int) bool {
			return x >= 300 && x < 482 && y >= 300 && y < 482 && ((x-300)%60 < 2 || (y-300)%60 < 2)
		}),
	} {
		var none *squares.NotFoundError
		p, err := squares.Find(context.Background(), photo.New(m))
		if !errors.As(err, &none) {
			t.Errorf("%s: %v, %+v", name, err, p)
		} else if none.Hint == "" {
			t.Errorf("%s: no hint", name)
		}
	}
}

// seeded reads the photo of a simulated sketch.
func seeded(t *testing.T, s synth.Sketch) (*squares.Paper, *synth.SketchTruth) {
	data, truth, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	ph, err := photo.Decode(context.Background(), data, nil)
	if err != nil {
		t.Fatal(err)
	}
	p, err := squares.Find(context.Background(), ph)
	if err != nil {
		t.Fatalf("seed %d: %v", s.Seed, err)
	}
	return p, &truth
}

// A side of a curled sheet that ended while few lines crossed it is asked once more: the whole sheet is found.
func TestASideIsAskedOnceMore(t *testing.T) {
	s := synth.RandomSketch(163)
	if p, _ := seeded(t, s); p.Frame.Cols < s.Cols-1 || p.Frame.Rows < s.Rows-1 {
		t.Errorf("of %d × %d squares %d × %d", s.Cols, s.Rows, p.Frame.Cols, p.Frame.Rows)
	}
}

// A lattice that began on thin lines beside the heavy ones ends on these, and flanks that are drawn along lines halfway
// between make them no heavier.
func TestSquaresLieBetweenHeavyLines(t *testing.T) {
	for _, seed := range []uint64{1070, 1315} {
		p, truth := seeded(t, synth.RandomSketch(seed))
		if rms, _ := off(p, truth); !(rms < 0.05) {
			t.Errorf("seed %d: crossings off by %.2f", seed, rms)
		}
	}
}
