package lattice

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
)

// anyMap draws a homography of a display as photos show it.
func anyMap(t *rapid.T) Map {
	in := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
	turn, size, aspect := in("turn", -0.4, 0.4), in("size", 25, 300), in("aspect", 0.7, 1.4)
	return Map{
		size * math.Cos(turn), size * math.Sin(turn) / aspect, in("x", 500, 3500),
		size * math.Sin(turn), -size * math.Cos(turn) / aspect, in("y", 500, 2500),
		in("px", -0.02, 0.02), in("py", -0.02, 0.02), 1,
	}
}

func TestFitGoesThroughCleanPiecesAndIgnoresStrayOnes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := anyMap(t)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		part := Extent{-5, 5, -4, 4}
		var seen []Sighting
		part.Pieces(func(pc Piece) {
			off := 0.0
			switch u := rng.Float64(); {
			case u < 0.3: // hidden
				return
			case u < 0.4: // a trace's edge in place of the line
				off = 0.3 * (rng.Float64() - 0.5)
			}
			seen = append(seen, Sighting{Piece: pc, Off: off, Place: truth.Pixel(pc.At(off, 0.5))})
		})
		h, _, ok := Fit(seen, truth, 0)
		if !ok {
			t.Fatal("no fit")
		}
		for _, b := range []geom.Box{{X: -5, Y: -4}, {X: 5, Y: -4}, {X: 5, Y: 4}, {X: -5, Y: 4}} {
			if q := h.Box(truth.Pixel(b)); math.Hypot(q.X-b.X, q.Y-b.Y) > 0.02 {
				t.Fatalf("%v comes out at %v", b, q)
			}
		}
	})
}

// A photo that is enlarged, turned by a quarter and moved has the same lattice on it.
func TestFitMovesWithThePhoto(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := anyMap(t)
		scale := rapid.Float64Range(0.3, 3).Draw(t, "scale")
		dx, dy := rapid.Float64Range(-2000, 2000).Draw(t, "dx"), rapid.Float64Range(-2000, 2000).Draw(t, "dy")
		move := func(p geom.Pixel) geom.Pixel { return geom.Pixel{X: dx - scale*p.Y, Y: dy + scale*p.X} }
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 2))
		var seen, moved []Sighting
		Extent{-4, 5, -3, 4}.Pieces(func(pc Piece) {
			s := Sighting{Piece: pc, Place: truth.Pixel(pc.At(0.02*rng.NormFloat64(), 0.5))}
			seen = append(seen, s)
			s.Place = move(s.Place)
			moved = append(moved, s)
		})
		a, rmsA, okA := Fit(seen, truth, 0)
		b, rmsB, okB := Fit(moved, truth, 0)
		if !okA || !okB || math.Abs(rmsA-rmsB) > 1e-6 {
			t.Fatalf("fits of spread %v (%v) and %v (%v)", rmsA, okA, rmsB, okB)
		}
		for _, p := range (Extent{-4, 5, -3, 4}).Corners() {
			if q := b.Box(move(a.Pixel(p))); math.Hypot(q.X-p.X, q.Y-p.Y) > 1e-6 {
				t.Fatalf("%v comes out at %v", p, q)
			}
		}
	})
}

// Held back fully, the projective terms stay near zero; let go, they are what the pieces say.
func TestHoldKeepsAFewBoxesFromTippingOver(t *testing.T) {
	truth := Map{60, 2, 800, -2, -60, 600, 0.01, -0.008, 1}
	var seen []Sighting
	Extent{-2, 2, -2, 2}.Pieces(func(pc Piece) {
		seen = append(seen, Sighting{Piece: pc, Place: truth.Pixel(pc.At(0, 0.5))})
	})
	tipped := func(hold float64) float64 {
		h, _, ok := Fit(seen, truth, hold)
		if !ok {
			t.Fatalf("no fit when held back by %g", hold)
		}
		return math.Hypot(h[6], h[7])
	}
	want := math.Hypot(truth[6], truth[7])
	if got := tipped(0); math.Abs(got-want) > 1e-9 {
		t.Errorf("let go, the terms are %g in place of %g", got, want)
	}
	if a, b := tipped(0.03), tipped(0.3); !(b < a && a < want && b > want/2) {
		t.Errorf("held back first to %g, later to %g, of %g", b, a, want)
	}
	if got := tipped(1e6); got > 1e-3*want {
		t.Errorf("held back fully, the terms are %g", got)
	}
}

func TestTooFewPiecesFixNoLattice(t *testing.T) {
	truth := Map{60, 2, 800, -2, -60, 600, 0, 0, 1}
	var line, few, spread []Sighting
	Extent{-3, 3, -3, 3}.Pieces(func(pc Piece) {
		s := Sighting{Piece: pc, Place: truth.Pixel(pc.At(0, 0.5))}
		if pc.Of == Upright {
			line = append(line, s)
		}
		if len(few) < 7 {
			few = append(few, s)
		}
		if (pc.Line+3*pc.Cell)%7 == 0 {
			spread = append(spread, s)
		}
	})
	if h, _, ok := Fit(few, truth, 0); ok || h != truth {
		t.Errorf("%d pieces fix %v", len(few), h)
	}
	if h, _, ok := Fit(spread, truth, 0); len(spread) > 14 || !ok || !Agree(truth, h, Extent{-3, 3, -3, 3}) {
		t.Errorf("%d pieces all over the lattice do not fix it", len(spread))
	}
	if _, _, ok := Fit(line, truth, 0); ok {
		t.Error("lines of one family fix a lattice")
	}
}

func TestShiftMovesTheOriginOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyMap(t)
		x, y := float64(rapid.IntRange(-5, 5).Draw(t, "dx")), float64(rapid.IntRange(-5, 5).Draw(t, "dy"))
		s := Shift(h, x, y)
		a, b := s.Pixel(geom.Box{X: 1, Y: 2}), h.Pixel(geom.Box{X: 1 + x, Y: 2 + y})
		if math.Hypot(a.X-b.X, a.Y-b.Y) > 1e-6 {
			t.Fatalf("%v, %v", a, b)
		}
		part := Extent{-3, 3, -3, 3}
		if !Agree(h, s, part) {
			t.Fatal("a lattice does not agree with itself about another origin")
		}
		if Agree(h, Shift(h, 0.5, 0), part) {
			t.Fatal("a lattice agrees with itself half a box off")
		}
	})
}
