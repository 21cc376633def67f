package graticule_test

import (
	"strings"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
	"quadrille/vision/synth"
)

func TestEachWayHasANameAndAReason(t *testing.T) {
	names, whys := graticule.Ways()
	seen := map[string]bool{}
	for i, name := range names {
		if name == "" || seen[name] || len(strings.Fields(whys[i])) < 3 {
			t.Errorf("way %d, %q: %q", i, name, whys[i])
		}
		seen[name] = true
	}
}

// Each scene is found right because of the ways that are named, and no other way finds it right in their stead. No
// scene was found, in about 150, on which another view than the coarse one of limited light or the dots would not do.
func TestEachWayEarnsItsPlace(t *testing.T) {
	random := func(seed uint64, change func(*synth.Scene)) synth.Scene {
		s := synth.Random(seed).WithMegapixels(1.2)
		s.Display.Kind = synth.Colour
		change(&s)
		return s
	}
	blue := [3]float32{0.05, 0.2, 0.9}
	for _, c := range []struct {
		ways  string // one, or several that do for each other
		scene synth.Scene
	}{
		// Boxes of a tenth of the photo, ruled in blue.
		{"ruled lines, coarse", random(5023, func(s *synth.Scene) { s.Display.GridColour, s.Camera.Fill = blue, 0.987 })},
		// Boxes of 20 pixels, likewise.
		{"ruled lines, fine", random(5001, func(s *synth.Scene) {
			s.Display.GridColour, s.Display.GridLight, s.Camera.Fill = blue, 0.73, 0.206
		})},
		// Small boxes on a pale panel, under glare, with a wave as strong as its lines.
		{"limited light, fine", random(5002, func(s *synth.Scene) {
			d, c := &s.Display, &s.Camera
			d.Kind, d.Frame, d.PixelsPerBox, d.GridLight = synth.Pale, geom.Frame{Cols: 10, Rows: 8}, 30, 0.3
			d.Centred = false
			c.Fill, c.Glare, c.Lamps = 0.35, 0.235, 2
			s.TimePerBox = 1e-3
			s.Signals = []synth.Signal{{Form: synth.Sine, VStart: 3.45, VoltsPerBox: 1, Frequency: 544, Noise: 0.11}}
		})},
		// The flanks of a wave of ten cycles.
		{"colourless, coarse; colourless, fine; marks, colourless", faintWave(2, synth.Dotted, geom.Frame{Cols: 8, Rows: 10}, 10.4)},
		{"marks; marks, late", random(5001, func(s *synth.Scene) {
			s.Display.Grid, s.Display.GridLight = synth.Ticks, 0.46
		})},
	} {
		img, tr := c.scene.Shoot()
		ph := photo.New(img)
		g, err := graticule.Find(t.Context(), ph, nil)
		if r := judge(tr, g, err); !r.right {
			t.Errorf("%s: found %v, %v", c.ways, r.frame, err)
		}
		g, err = graticule.FindWithout(t.Context(), ph, strings.Split(c.ways, "; ")...)
		if r := judge(tr, g, err); r.right {
			t.Errorf("%s: found without it too", c.ways)
		}
	}
}
