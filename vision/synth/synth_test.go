package synth

import (
	"bytes"
	"image/jpeg"
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// greenLight gives the green light on the sensor, before the file's 8 bits.
func greenLight(t *testing.T, s Scene) *raster.Plane {
	t.Helper()
	s = s.withDefaults()
	v, err := newView(s)
	if err != nil {
		t.Fatal(err)
	}
	return expose(s, v, panelOf(s, v))[1]
}

// centreOf gives the centre, near p, of the light by which two pictures differ.
func centreOf(img, without *raster.Plane, p geom.Pixel, half int) geom.Pixel {
	x0, y0 := int(p.X)-half, int(p.Y)-half
	var s, sx, sy float64
	for y := y0; y <= y0+2*half; y++ {
		for x := x0; x <= x0+2*half; x++ {
			w := float64(img.Row(y)[x] - without.Row(y)[x])
			s += w
			sx += w * (float64(x) + 0.5)
			sy += w * (float64(y) + 0.5)
		}
	}
	return geom.Pixel{X: sx / s, Y: sy / s}
}

// A dot of the grid stands on every node; its centre of light must be the truth's.
func TestGridIsDrawnWhereTheTruthSays(t *testing.T) {
	for _, kind := range []Kind{Colour, Pale, Blue} {
		s := Scene{Seed: 3, Signals: []Signal{{Form: Level, VStart: 0.5}}}
		s.Display.Kind, s.Display.GridLight = kind, 1
		s.Camera = Camera{Yaw: 0.15, Pitch: -0.1, Roll: 0.05, K1: -0.03, Blur: 0.8, Width: 1600, Height: 1200}
		img, truth := greenLight(t, s), truthOfScene(t, s)
		s.Display.GridLight = 1e-9
		bare := greenLight(t, s)
		for _, at := range [][2]int{{2, 2}, {8, 2}, {2, 6}, {7, 7}, {4, 1}} {
			want := truth.NodesPx[at[1]][at[0]]
			got := centreOf(img, bare, geom.Pixel{X: want[0], Y: want[1]}, 5)
			if d := math.Hypot(got.X-want[0], got.Y-want[1]); !(d < 0.02) {
				t.Errorf("%v: node %v: light centred at (%.3f, %.3f), truth (%.3f, %.3f)", kind, at, got.X, got.Y, want[0], want[1])
			}
		}
	}
}

func truthOfScene(t *testing.T, s Scene) Truth {
	t.Helper()
	s = s.withDefaults()
	v, err := newView(s)
	if err != nil {
		t.Fatal(err)
	}
	return truthOf(s, v)
}

func TestSameSeedSamePhoto(t *testing.T) {
	s := Scene{Seed: 9}
	s.Camera = Camera{Width: 400, Height: 300, FullWell: 3000, Glare: 0.1}
	a, _, err := s.JPEG()
	if err != nil {
		t.Fatal(err)
	}
	b, _, _ := s.JPEG()
	if !bytes.Equal(a, b) {
		t.Error("two shots of one scene differ")
	}
	s.Seed++
	if c, _, _ := s.JPEG(); bytes.Equal(a, c) {
		t.Error("another seed gives the same photo")
	}
	if _, err := jpeg.Decode(bytes.NewReader(a)); err != nil {
		t.Error(err)
	}
}
