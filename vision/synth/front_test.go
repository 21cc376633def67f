package synth

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// Reflections add up: a patch's own light at its middle, nothing of it far away, and of a lamp all of
// it up to the rim.
func TestGlassReflectsPatchesLampsAndVeil(t *testing.T) {
	soft := patch{x: 1, y: 2, sx: 0.5, sy: 1, p: 1, light: 0.4}
	lamp := patch{x: -3, y: 0, sx: 1, sy: 0.3, p: lampEdges, light: 0.2}
	g := &glass{veil: 0.01, patches: []patch{soft, lamp}, tint: [3]float64{1, 1, 0.5}}
	for _, c := range []struct{ x, y, want float64 }{
		{1, 2, 0.41}, {1.5, 2, 0.01 + 0.4*math.Exp(-0.5)}, {1, -4, 0.01}, {-3, 0, 0.21}, {-3.7, 0, 0.21}, {-4.5, 0, 0.01},
	} {
		got := g.light(spot{x: c.x, y: c.y})
		if math.Abs(float64(got[0])-c.want) > 0.005 || math.Abs(float64(got[2])-c.want/2) > 0.005 {
			t.Errorf("at (%g, %g): %v, want %g", c.x, c.y, got, c.want)
		}
	}
}

// The veil grows to one side and keeps its mean.
func TestVeilIsEvenOnAverage(t *testing.T) {
	for seed := range uint64(5) {
		s, v := ready(t, Scene{Seed: seed, Camera: Camera{Veil: 0.02}})
		p := panelOf(s, v)
		g := newGlass(s, p)
		left, right, bottom, top := p.edges()
		sum, n := 0.0, 0.0
		for x := left; x <= right; x += 0.1 {
			for y := bottom; y <= top; y += 0.1 {
				l := float64(g.light(spot{x: x, y: y})[0])
				if l < 0 || l > 0.04 {
					t.Fatalf("seed %d: veil of %g at (%g, %g)", seed, l, x, y)
				}
				sum, n = sum+l, n+1
			}
		}
		if math.Abs(sum/n/0.02-1) > 0.05 {
			t.Errorf("seed %d: mean veil %g, want 0.02", seed, sum/n)
		}
	}
}

// A lead across the screen hides a strip as wide as itself, from the top of the panel to the bottom.
func TestCableHidesAStripOfTheScreen(t *testing.T) {
	for seed := range uint64(4) {
		s := Scene{Seed: seed, Camera: Camera{Width: 640, Height: 480}}
		s.Display.Kind = Pale
		bare := greenLight(t, s)
		s.CableAcross = true
		hung := greenLight(t, s)
		_, v := ready(t, s)
		for y := -3.5; y <= 3.5; y++ {
			row := int(v.pixel(geom.Box{Y: y}).Y)
			hidden := 0
			for x := range bare.W {
				if bare.Row(row)[x] != hung.Row(row)[x] {
					hidden++
				}
			}
			if wide := float64(hidden) * v.plane(v.pixel(geom.Box{})).dx; wide < 0.15 || wide > 1.2 {
				t.Errorf("seed %d: the lead hides %.2f boxes at the height of %g", seed, wide, y)
			}
		}
	}
}

func TestBlankScreensShowNothing(t *testing.T) {
	for seed := range uint64(12) {
		s := RandomBlank(seed)
		if err := s.Validate(); err != nil {
			t.Fatal(err)
		}
		s, v := ready(t, s)
		p := panelOf(s, v)
		seen := map[rgb]bool{}
		for x := -3.9; x < 4; x += 0.05 {
			for y := -3.4; y < 3.5; y += 0.1 {
				c := p.shine(spot{x: x, y: y, dx: 0.5, dy: 0.5}) // wide: the elements themselves average out
				for k := range c {
					c[k] = float32(math.Round(float64(c[k])*500) / 500)
				}
				seen[c] = true
			}
		}
		if len(seen) > 2 {
			t.Errorf("seed %d, %v: %d different lights on a blank screen", seed, s.Display.Kind, len(seen))
		}
	}
}

// The mat's lines are straight and converge: along a line of the lattice the light stays the ruling's.
func TestMatIsALatticeInPerspective(t *testing.T) {
	m := &mat{middle: 400, horizon: -300, height: 600, sin: 0, cos: 1, pitch: 0.05, ground: rgb{0, 0, 0}, ruling: rgb{1, 1, 1}}
	for _, y := range []float64{50, 200, 400, 590} {
		z := 600 / (y + 300)
		x := 400 + 3*0.05/z*600 // the third line to the right of the middle
		if c := m.light(geom.Pixel{X: x, Y: y}); c[0] < 0.9 {
			t.Errorf("the third line has light %g at y = %g", c[0], y)
		}
	}
	// Half-way between lines both ways: a = 2.5, and z a half multiple of the pitch.
	z := 20.5 * 0.05
	if c := m.light(geom.Pixel{X: 400 + 2.5*0.05/z*600, Y: 600/z - 300}); c[0] > 0.1 {
		t.Errorf("between the lines: light %g", c[0])
	}
}
