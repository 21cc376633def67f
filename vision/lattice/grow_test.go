package lattice

import (
	"image"
	"math"
	"testing"

	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

// A lattice grows over a line that is hardly half as strong as the others, or where the crossing lines go on half as
// strong; not over what is a third; and to 19 boxes at most.
func TestALatticeGrowsAsFarAsItsLinesGo(t *testing.T) {
	m := square(30, 400, 300)
	inner := Extent{-4, 4, -4, 4}
	for _, c := range []struct {
		name string
		of   ruling
		want int // columns
	}{
		{"nothing outside", lines(inner, 0), 8},
		{"a line more at half strength", func(of Family, k int, off, t float64) float64 {
			v := lines(inner, 0)(of, k, off, t)
			if of == Upright && k == 5 && math.Abs(t) < 4 {
				return 0.55 * math.Exp(-off*off/(2*0.03*0.03))
			}
			return v
		}, 9},
		{"a line more at a third", func(of Family, k int, off, t float64) float64 {
			v := lines(inner, 0)(of, k, off, t)
			if of == Upright && k == 5 && math.Abs(t) < 4 {
				return 0.3 * math.Exp(-off*off/(2*0.03*0.03))
			}
			return v
		}, 8},
		{"crossing lines go on at half strength", func(of Family, k int, off, t float64) float64 {
			v := lines(inner, 0)(of, k, off, t)
			if of == Level && k >= -4 && k <= 4 && t > 4 && t < 5 {
				return 0.6 * math.Exp(-off*off/(2*0.03*0.03))
			}
			return v
		}, 9},
		{"crossing lines go on at a third", func(of Family, k int, off, t float64) float64 {
			v := lines(inner, 0)(of, k, off, t)
			if of == Level && k >= -4 && k <= 4 && t > 4 && t < 5 {
				return 0.3 * math.Exp(-off*off/(2*0.03*0.03))
			}
			return v
		}, 8},
		{"18 columns", lines(Extent{-9, 9, -4, 4}, 0), 18},
		{"26 columns", lines(Extent{-13, 13, -4, 4}, 0), 19},
	} {
		g, ok := Grow(from(ruled(800, 600, m, c.of)), Seed{Map: m}, nil)
		if !ok || g.Part.Cols() != c.want || g.Part.Rows() != 8 {
			t.Errorf("%s: %d × %d boxes (%v), want %d × 8", c.name, g.Part.Cols(), g.Part.Rows(), ok, c.want)
		}
	}
}

// A seed is fitted though it lies a quarter of a box off, and not when it lies a third off.
func TestASeedMayLieAQuarterOfABoxOff(t *testing.T) {
	m := square(40, 400, 300)
	r := ruled(800, 600, m, lines(Extent{-9, 9, -7, 7}, 0))
	for off, caught := range map[float64]bool{0: true, 0.2: true, 0.25: true, 0.36: false} {
		g, ok := Grow(from(r), Seed{Map: Shift(m, off, -off)}, nil)
		if right := ok && Agree(m, g.Map, Extent{-2, 2, -2, 2}); right != caught {
			t.Errorf("%g off: found is %v", off, right)
		}
		s := Start(from(r), Shift(m, off, -off), Extent{-3, 3, -3, 3})
		if right := s.Settle() && Agree(m, s.Map, Extent{-2, 2, -2, 2}); right != caught {
			t.Errorf("%g off, by hand: found is %v", off, right)
		}
	}
	// What is not a seed any more is searched nearer by.
	for off, caught := range map[float64]bool{0.14: true, 0.25: false} {
		g := Start(from(r), Shift(m, off, -off), Extent{-3, 3, -3, 3})
		if right := g.Spread() && Agree(m, g.Map, Extent{-2, 2, -2, 2}); right != caught {
			t.Errorf("%g off in growth: found is %v", off, right)
		}
	}
}

// Which pieces are seen once a lattice is known: those within 0.15 box, or 0.09 among rows of dots, a quarter of the
// ridges' unit high, and clearly higher than what lies beside them.
func TestWhichPiecesOfAKnownLatticeAreSeen(t *testing.T) {
	m := square(64, 400, 300)
	for _, c := range []struct {
		name   string
		odd    func(off float64) float64 // of the upright line in the middle
		dotted bool
		seen   bool
	}{
		{"on its place", bump(0, 1), false, true},
		{"0.12 beside it", bump(0.12, 1), false, true},
		{"0.19 beside it", bump(0.19, 1), false, false},
		{"0.05 beside it, dotted", bump(0.05, 1), true, true},
		{"0.12 beside it, dotted", bump(0.12, 1), true, false},
		{"faint", bump(0, 0.32), false, true},
		{"hardly there", bump(0, 0.19), false, false},
		{"ripples", func(off float64) float64 { return 0.5 * math.Cos(2*math.Pi*6*off) }, false, false},
		{"among ripples", func(off float64) float64 { return 0.4*math.Cos(2*math.Pi*6*off) + bump(0, 0.5)(off) }, false, true},
	} {
		r := ruled(800, 600, m, func(of Family, k int, off, t float64) float64 {
			if of == Upright && k == 0 {
				return c.odd(off)
			}
			return bump(0, 1)(off)
		})
		g := Start(from(r), m, Extent{-3, 3, -3, 3})
		g.Dotted = c.dotted
		if !g.Refit() {
			t.Fatalf("%s: no fit", c.name)
		}
		n := 0
		for _, s := range g.Seen {
			if s.Of == Upright && s.Line == 0 {
				n++
			}
		}
		if (n == 6) != c.seen || (n == 0) == c.seen {
			t.Errorf("%s: %d of 6 pieces are seen", c.name, n)
		}
	}
}

// bump is a ridge of that height at a place beside the line.
func bump(at, height float64) func(off float64) float64 {
	return func(off float64) float64 { return height * math.Exp(-(off-at)*(off-at)/(2*0.02*0.02)) }
}

// Of a part with a dozen pieces the sign of the lines is not told, of one with two dozen it is.
func TestTheSignOfLinesTakesTwentyPieces(t *testing.T) {
	m := square(40, 200, 200)
	r := ruled(400, 400, m, lines(Extent{-5, 5, -5, 5}, 0))
	for i := range r.Upright.Pix {
		r.Upright.Pix[i], r.Level.Pix[i] = -r.Upright.Pix[i], -r.Level.Pix[i]
	}
	for x, want := range map[Extent]float32{{-1, 1, -1, 1}: 0, {-2, 2, -1, 1}: -1} {
		if g := Start(from(r), m, x); g.Sign != want {
			t.Errorf("%v: sign %g, want %g", x, g.Sign, want)
		}
	}
}

// A lattice whose far corner is more than three times as near to the camera as its origin, whose boxes are smaller than
// the display's own pixels, or far from square, is none.
func TestAFoldedOrFlatLatticeIsNotPlausible(t *testing.T) {
	r := ruled(400, 400, square(40, 200, 200), lines(Extent{-2, 2, -2, 2}, 0))
	tilted := func(by float64) Map { return Map{40, 0, 0, 0, -60, 0, by, 0, 1} }
	for _, c := range []struct {
		name string
		m    Map
		want bool
	}{
		{"straight on", square(40, 200, 200), true},
		{"tilted", tilted(0.15), true}, // 0.4 of the distance at the near corner
		{"folded", tilted(0.2), false}, // 0.2
		{"small", square(4, 200, 200), true},
		{"smaller", square(2.5, 200, 200), false},
		{"wide", Map{80, 0, 200, 0, -40, 200, 0, 0, 1}, true},
		{"flat", Map{120, 0, 200, 0, -40, 200, 0, 0, 1}, false},
		{"narrow", Map{40, 0, 200, 0, -120, 200, 0, 0, 1}, false},
	} {
		g := Start(from(r), c.m, Extent{-4, 2, -2, 2})
		if got := g.plausible(&c.m); got != c.want {
			t.Errorf("%s: plausible is %v", c.name, got)
		}
	}
}

// Two lattices are the same if their lines fall together to a fifth of a box; one lies within another if it is the same
// and no larger.
func TestLatticesAreTheSameToAFifthOfABox(t *testing.T) {
	m, x := square(40, 200, 200), Extent{-4, 4, -3, 3}
	for off, same := range map[float64]bool{0: true, 0.15: true, 0.25: false} {
		if got := Agree(m, Times(m, 1+off/4, 1), x); got != same {
			t.Errorf("%g box off at the sides: the same is %v", off, got)
		}
	}
	g := Grown{Map: m, Part: x}
	for part, within := range map[Extent]bool{x: true, {-3, 4, -3, 2}: true, {-5, 4, -3, 3}: false, {-4, 5, -3, 3}: false, {-4, 4, -4, 3}: false, {-4, 4, -3, 4}: false} {
		k := Grown{Map: Shift(m, 0.1, 0.1), Part: part}
		if got := g.within(&k); got != within {
			t.Errorf("%v within %v: %v", part, x, got)
		}
	}
}

// What lies off the lattice as far as chance puts it promises a fifth, what lies on it nearly all.
func TestALatticePromisesWhatLiesOnIt(t *testing.T) {
	g := Grown{Seen: []Sighting{{Height: 1}, {Height: 0.5}}}
	for rms, share := range map[float64][2]float64{0: {1, 1}, 0.02: {0.85, 0.95}, 0.12: {0.15, 0.25}} {
		g.RMS = rms
		if p := g.Promise() / 1.5; p < share[0] || p > share[1] {
			t.Errorf("an rms of %g box: promises %.2f of its heights", rms, p)
		}
	}
}

// Boxes of 60 pixels are looked at on the fine picture, of 100 on the coarse one.
func TestWideBoxesAreLookedAtOnTheCoarsePicture(t *testing.T) {
	s := scene.Of(photo.New(image.NewGray(image.Rect(0, 0, 1200, 900))))
	of := SourceOf(s, scene.Photographed)
	if of(60) != s.Ridges(scene.Photographed, scene.Fine) || of(100) != s.Ridges(scene.Photographed, scene.Coarse) {
		t.Error("boxes are looked at on the wrong picture")
	}
}
