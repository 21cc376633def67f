package scene

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"sync"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
)

const barHigh = 12 // px

// speckled is a photo of w×h pixels whose samples all differ; with colour, a bright magenta bar lies across its middle.
func speckled(w, h int, colour bool) *photo.Photo {
	rng := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 + rng.IntN(40))
			img.SetRGBA(x, y, color.RGBA{v, v, v, 255})
			if colour && y >= h/2 && y < h/2+barHigh {
				img.SetRGBA(x, y, color.RGBA{250, 40, 220, 255})
			}
		}
	}
	return photo.New(img)
}

// counted is how many pictures of any sort a scene has made.
func (s *Scene) counted() (n int) {
	for v := range views {
		for l := range levels {
			if s.pictures[v][l] != nil {
				n++
			}
			if s.ridges[v][l] != nil {
				n++
			}
		}
	}
	if s.colours != nil {
		n++
	}
	if s.closer != nil {
		n++
	}
	return n
}

func TestPicturesAreMadeOnceAndWhenAskedFor(t *testing.T) {
	s := Of(speckled(1300, 900, true))
	if s.counted() != 0 {
		t.Fatal("something was made that nobody asked for")
	}
	// A view is made at both levels; its ridges for themselves. The colours come with the photo as it is; of fine
	// ridges those of one view are kept.
	made := 1
	for v := range views {
		var first, again [2 * int(levels)]any
		for _, list := range []*[2 * int(levels)]any{&first, &again} {
			for l := range levels {
				list[2*l], list[2*l+1] = s.Picture(v, l), s.Ridges(v, l)
			}
		}
		made += 4
		switch v {
		case Limited:
			made-- // the fine ridges of the photo as it is
		case Colourless:
			made -= 2 // the fine picture and ridges of limited light
		}
		if first != again || s.counted() != made {
			t.Errorf("view %d was made again, or more than it: %d pictures in place of %d", v, s.counted(), made)
		}
	}
	if a, b := s.Colours(), s.Colours(); a != b {
		t.Error("the colours were made again")
	}
	if a, b := s.Kept(), s.Kept(); a == nil || a != b {
		t.Error("what the colourless picture keeps is not told, or was made again")
	}
}

func TestAGreyPhotoHasNoColourlessView(t *testing.T) {
	s := Of(speckled(640, 480, false))
	for range 2 {
		if s.Kept() != nil || s.Picture(Colourless, Fine) != nil || s.Ridges(Colourless, Coarse) != nil {
			t.Fatal("there is a colourless view")
		}
	}
	if s.Picture(Photographed, Fine) == nil || s.Picture(Limited, Coarse) == nil {
		t.Error("there is no other view either")
	}
}

// The coloured bar is filled in, and only there the light is not the photo's own.
func TestTheColourlessViewKeepsWhatIsGrey(t *testing.T) {
	const w, h = 1300, 900
	s := Of(speckled(w, h, true))
	kept, with, without := s.Kept(), s.Picture(Photographed, Fine), s.Picture(Colourless, Fine)
	for y := 20.5; y < h; y++ {
		in := y > h/2 && y < h/2+barHigh
		if !in && y > h/2-12 && y < h/2+barHigh+12 {
			continue // the rim, which is filled in too
		}
		p := geom.Pixel{X: w / 3, Y: y}
		if own := kept.Own(p); own == in {
			t.Errorf("at %g: the photo's own light is %v", y, own)
		}
		a, _ := with.At(p)
		b, _ := without.At(p)
		if !in && a != b || in && math.Abs(float64(b)-math.Log(60+12)) > 0.2 {
			t.Errorf("at %g: log lightness is %.2f with colour and %.2f without", y, a, b)
		}
	}
	if kept.Own(geom.Pixel{X: -1, Y: 3}) || kept.Own(geom.Pixel{X: 3, Y: h + 1}) {
		t.Error("light outside the photo is its own")
	}
}

// Several goroutines get the same pictures.
func TestASceneIsSharedByGoroutines(t *testing.T) {
	s := Of(speckled(700, 500, true))
	var got [8]*Ridges
	var wg sync.WaitGroup
	for i := range got {
		wg.Go(func() {
			got[i] = s.Ridges(View(i%int(views)), Coarse)
			s.Closer(Photographed, []geom.Pixel{{X: 10, Y: 10}, {X: 300, Y: 300}}, 20, 64)
		})
	}
	wg.Wait()
	for i, r := range got {
		if r != s.Ridges(View(i%int(views)), Coarse) {
			t.Errorf("goroutine %d got a picture of its own", i)
		}
	}
}

func TestASmallPhotoIsSearchedEnlarged(t *testing.T) {
	for _, c := range []struct {
		w, h  int
		scale float64 // of the fine picture
	}{{800, 600, 2}, {1200, 900, 1}, {1300, 800, 1}, {2600, 1900, 0.5}, {4000, 3000, 1. / 3}} {
		s := Of(speckled(c.w, c.h, false))
		fine, coarse := s.Picture(Photographed, Fine), s.Picture(Photographed, Coarse)
		if fine.Scale != c.scale || coarse.Scale != c.scale/2 {
			t.Errorf("%d × %d: scales %g and %g, want %g and half of it", c.w, c.h, fine.Scale, coarse.Scale, c.scale)
		}
		for _, p := range []*Picture{fine, coarse} {
			if d := float64(p.Plane.W) - float64(c.w)*p.Scale; math.Abs(d) > 1 {
				t.Errorf("%d × %d: a picture of scale %g is %d samples wide", c.w, c.h, p.Scale, p.Plane.W)
			}
		}
	}
}

func TestCloserReusesWhatItHas(t *testing.T) {
	s := Of(speckled(2600, 1900, false))
	at := func(l, t, r, b float64) []geom.Pixel { return []geom.Pixel{{X: l, Y: t}, {X: r, Y: b}} }
	fine := s.Picture(Photographed, Fine)
	if s.Closer(Photographed, at(100, 100, 900, 900), 140, 64) != fine {
		t.Error("boxes of enough samples are not looked at on the fine picture")
	}
	big := s.Closer(Photographed, at(100, 100, 900, 900), 100, 64)
	for name, again := range map[string]*Picture{
		"the same part":           s.Closer(Photographed, at(100, 100, 900, 900), 100, 64),
		"a part of it":            s.Closer(Photographed, at(200, 300, 600, 700), 100, 64),
		"boxes of a similar size": s.Closer(Photographed, at(100, 100, 900, 900), 90, 64),
	} {
		if again != big {
			t.Errorf("%s is looked at anew", name)
		}
	}
	if s.Closer(Photographed, at(100, 100, 901, 1000), 100, 64) == big {
		t.Error("a part is taken for one that it leaves")
	}
	if s.Closer(Photographed, at(200, 300, 600, 700), 127, 128) == s.Closer(Photographed, at(200, 300, 600, 700), 128, 128) {
		t.Error("boxes of two sizes are looked at on one picture")
	}
	if p := s.Closer(Photographed, at(0, 0, 1e6, 1e6), 127, 128); p.Plane.W*p.Plane.H > 4<<20 {
		t.Errorf("a close-up has %d × %d samples", p.Plane.W, p.Plane.H)
	}
}

// A sample of a close-up is the mean light of k×k pixels, and lies where they do.
func TestACloseUpShowsThePhoto(t *testing.T) {
	ph := speckled(2600, 1900, false)
	for box, k := range map[float64]int{60: 1, 150: 2} {
		p := Of(ph).Closer(Photographed, []geom.Pixel{{X: 1003, Y: 501}, {X: 1500, Y: 907}}, box, 200)
		if p.Scale != 1/float64(k) {
			t.Fatalf("boxes of %g px: scale %g", box, p.Scale)
		}
		for _, q := range []image.Point{{1100, 600}, {1320, 700}, {1498, 905}} {
			x0 := int(p.Origin.X) + (q.X-int(p.Origin.X))/k*k
			y0 := int(p.Origin.Y) + (q.Y-int(p.Origin.Y))/k*k
			rgb, _ := ph.ReducedRegion(image.Rect(x0, y0, x0+k, y0+k), k)
			want := logLight(rgb).Pix[0]
			got, ok := p.At(geom.Pixel{X: float64(x0) + float64(k)/2, Y: float64(y0) + float64(k)/2})
			if !ok || math.Abs(float64(got-want)) > 1e-5 {
				t.Errorf("boxes of %g px: at %v log lightness %v, want %v", box, q, got, want)
			}
		}
	}
}
