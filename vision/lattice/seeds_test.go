package lattice

import (
	"math"
	"testing"

	"quadrille/vision/scene"
)

// turnedMap is a lattice round the middle of a picture of side samples: uprights by the angles u and level lines by l
// in degrees, boxes across wide and up high.
func turnedMap(side, u, l, across, up float64) Map {
	su, cu := math.Sincos(u * math.Pi / 180)
	sl, cl := math.Sincos(l * math.Pi / 180)
	// The level lines run along (cl, sl), the upright ones along (su, -cu); steps are taken across the other family.
	d := cl*cu + sl*su
	return Map{cl * across / d, su * up / d, side / 2, sl * across / d, -cu * up / d, side / 2, 0, 0, 1}
}

// Seeds are found of lattices that stand up to 25° from upright, whose families meet at 70° to 110°, whose boxes are at
// most 2.6 times as wide as high and no smaller than 14 samples; in a window a lattice has some 2.4 boxes or more.
func TestSeedsAreFoundOfWhatADisplayMayBe(t *testing.T) {
	for _, c := range []struct {
		name       string
		m          Map
		small, has bool
	}{
		{"upright", turnedMap(640, 0, 0, 40, 40), false, true},
		{"turned by 24°", turnedMap(640, 24, 24, 40, 40), false, true},
		{"turned by 35°", turnedMap(640, 35, 35, 40, 40), false, false},
		{"15° out of square", turnedMap(640, 10, -5, 40, 40), false, true},
		{"26° out of square", turnedMap(640, 13, -13, 40, 40), false, false},
		{"boxes 2.3 times as wide", turnedMap(640, 0, 0, 69, 30), false, true},
		{"boxes 3.2 times as wide", turnedMap(640, 0, 0, 80, 25), false, false},
		{"boxes 3.2 times as high", turnedMap(640, 0, 0, 25, 80), false, false},
		{"boxes of 16 samples", turnedMap(640, 0, 0, 16, 16), false, true},
		{"boxes of 10 samples", turnedMap(640, 0, 0, 10, 10), false, false},
		{"boxes of 200 samples", turnedMap(640, 0, 0, 200, 200), false, true},
		{"boxes of 100 samples in small windows", turnedMap(640, 0, 0, 100, 100), true, true},
		{"boxes of 200 samples in small windows", turnedMap(640, 0, 0, 200, 200), true, false},
	} {
		r := ruled(640, 640, c.m, func(_ Family, _ int, off, _ float64) float64 {
			across, _ := BoxSize(c.m, Extent{}.Mid())
			d := off * across / 1.5
			return math.Exp(-d * d / 2)
		})
		if has := seedOf(r, c.m, c.small); has != c.has {
			t.Errorf("%s: a seed is found: %v", c.name, has)
		}
	}
}

// seedOf reports whether one of the seeds of r is the lattice m.
func seedOf(r *scene.Ridges, m Map, small bool) bool {
	for _, sd := range Seeds(r, 30, small) {
		if Agree(m, sd.Map, Extent{-1, 1, -1, 1}) {
			return true
		}
	}
	return false
}
