package graticule

import (
	"image"
	"image/color"
	"math"
	"testing"

	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// largePhoto is one of 2600 × 1950 pixels, twice the size of the fine picture, of 12 × 8 boxes that are box pixels
// wide.
func largePhoto(box float64) *photo.Photo {
	h := geom.Homography{box, 0.03 * box, 1300, -0.02 * box, -box, 975, 0, 0, 1}
	img := image.NewGray(image.Rect(0, 0, 2600, 1950))
	for y := range 1950 {
		for x := range 2600 {
			b := h.Box(geom.Pixel{X: float64(x) + 0.5, Y: float64(y) + 0.5})
			v := 60.0
			if math.Abs(b.X) < 6.02 && math.Abs(b.Y) < 4.02 {
				v = 30
				if d := min(math.Abs(b.X-math.Round(b.X)), math.Abs(b.Y-math.Round(b.Y))); d < 0.08 {
					v += 70 * math.Exp(-d*d/(2*0.015*0.015))
				}
			}
			img.SetGray(x, y, color.Gray{Y: uint8(v)})
		}
	}
	return photo.New(img)
}

// searchOf gives a search that has grown the lattices of the coarse picture.
func searchOf(t *testing.T, ph *photo.Photo) (*search, *pool) {
	s := &search{Finder: NewFinder(ph), ctx: t.Context(), o: &Options{}}
	p := &s.pools[0]
	s.grow(p, rung{view: scene.Photographed, level: scene.Coarse})
	if len(p.candidates) == 0 {
		t.Fatal("no lattice")
	}
	return s, p
}

// Ticks are looked for on a close-up where a box has fewer than 36 samples of the fine picture, and the last fit is
// made on one where it has fewer than 56.
func TestSmallBoxesAreLookedAtOnACloseUp(t *testing.T) {
	for box, closer := range map[float64][2]bool{60: {true, true}, 86: {false, true}, 130: {false, false}} {
		s, p := searchOf(t, largePhoto(box))
		best := p.candidates[0]
		s.improve(p)
		if got := p.candidates[0] != best; got != closer[0] {
			t.Errorf("boxes of %g px: ticks are looked for on a close-up: %v", box, got)
		}
		c := p.candidates[0]
		f := c.Frame.Size.Boxes()
		h := s.finish(p, c)
		fine, ok := fit.Lines(s.scene.Picture(scene.Photographed, scene.Fine), 2600, 1950, c.Homography(), f, c.Frame.Size.Centred, 1)
		if h == nil || !ok || f != (geom.Frame{Cols: 12, Rows: 8}) {
			t.Fatalf("boxes of %g px: no fit, or of %v", box, f)
		}
		if got := h.fit.RMS != fine.RMS; got != closer[1] {
			t.Errorf("boxes of %g px: the last fit is made on a close-up: %v", box, got)
		}
	}
}

// Of the candidates the three foremost are looked at on a close-up, if they have a fifth of the best one's quality.
func TestWhichCandidatesAreLookedAtOnACloseUp(t *testing.T) {
	s, p := searchOf(t, largePhoto(60))
	first := p.candidates[0]
	for _, c := range []struct {
		qualities []float64
		want      int
	}{{[]float64{100, 90, 80, 70, 60, 50}, 3}, {[]float64{100, 25, 15}, 2}} {
		p.candidates = nil
		for _, q := range c.qualities {
			g := *first.Survey.Lattice
			p.candidates = append(p.candidates, &frame.Candidate{Survey: frame.Of(&g, s.scene.Picture(scene.Photographed, scene.Fine)), Frame: first.Frame, Quality: q})
			p.varied[&g] = true
		}
		before := len(p.closer)
		if s.improve(p); len(p.closer)-before != c.want {
			t.Errorf("of qualities %g %d are looked at, want %d", c.qualities, len(p.closer)-before, c.want)
		}
	}
}

// Corners by hand may be nearly half a box off, which is more than a line is searched beside its place.
func TestCornersHalfABoxOffStillGiveTheLattice(t *testing.T) {
	ph := largePhoto(60)
	f := geom.Frame{Cols: 12, Rows: 8}
	h := geom.Homography{60, 1.8, 1300, -1.2, -60, 975, 0, 0, 1}
	for _, off := range []float64{0, 0.25, 0.48} {
		var at [4]geom.Pixel
		for i, b := range f.Corners() {
			at[i] = h.Pixel(geom.Box{X: b.X + off, Y: b.Y - off})
		}
		s := &search{Finder: NewFinder(ph), ctx: t.Context(), o: &Options{Frame: f, Corners: &at}}
		s.want = f
		g := s.fromCorners()
		if g == nil {
			t.Errorf("%g box off: no lattice", off)
		} else if q := g.Pixel(geom.Box{X: 6, Y: 4}); math.Hypot(q.X-h.Pixel(geom.Box{X: 6, Y: 4}).X, q.Y-h.Pixel(geom.Box{X: 6, Y: 4}).Y) > 2 {
			t.Errorf("%g box off: the corner is at %v", off, q)
		}
	}
}

// A lattice is surveyed if it promises half as much as the poorest true one did, 80, and a sixth of what the best one
// found does; a few pieces that fall in line by chance promise 20.
func TestWhichLatticesAreSurveyed(t *testing.T) {
	for _, c := range []struct {
		promise, most float64
		want          bool
	}{{40, 0, true}, {40, 200, true}, {20, 0, false}, {20, 20, false}, {180, 1000, true}, {120, 1000, false}} {
		if got := promising(c.promise, c.most); got != c.want {
			t.Errorf("a promise of %g, where the best has %g: surveyed is %v", c.promise, c.most, got)
		}
	}
}
