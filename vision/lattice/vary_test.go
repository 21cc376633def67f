package lattice

import (
	"math"
	"testing"
)

// Rows of dots between the lines are found where each is at least half as strong as a line and a tenth of the ridges'
// unit, up to eight steps to a line.
func TestRowsOfDotsAreFoundBetweenLines(t *testing.T) {
	for _, c := range []struct {
		name    string
		m       int // steps to a line
		line    float64
		between float64 // of a line
		want    int     // steps found, 0 for none
	}{
		{"three", 3, 1, 1, 3},
		{"seven", 7, 1, 1, 7},
		{"ten, of which each second is", 10, 1, 1, 5},
		{"weaker", 3, 1, 0.7, 3},
		{"too weak", 3, 1, 0.35, 0},
		{"faint", 3, 0.15, 1, 3},
		{"hardly there", 3, 0.07, 1, 0},
	} {
		box := float64(20 * c.m)
		dots := square(20, 6*box, 3*box)
		r := ruled(int(12*box), int(6*box), dots, func(of Family, k int, off, _ float64) float64 {
			h := c.line * math.Exp(-off*off/(2*0.08*0.08))
			if of == Upright && k%c.m != 0 {
				h *= c.between
			}
			return h
		})
		g := Grown{Map: square(box, 6*box, 3*box), Sign: 1, Part: Extent{-4, 4, -2, 2}, From: from(r)}
		got := 0
		if g.toDots(Upright) {
			across, _ := BoxSize(g.Map, g.Part.Mid())
			got = int(math.Round(box / across))
		}
		if got != c.want {
			t.Errorf("%s: %d steps of dots to a line, want %d", c.name, got, c.want)
		}
	}
}

// Of lattices that took each third row of dots for lines, those that lie on them to 0.03 box count, and of two a
// smaller one that is right throughout rather than a larger one that slipped.
func TestDivisionsAreThoseOfTheLatticeThatLiesOnTheDots(t *testing.T) {
	dots := square(20, 600, 300)
	r := ruled(1200, 600, dots, func(_ Family, _ int, off, _ float64) float64 { return bump(0, 1)(off) })
	grown := func(part Extent, rms float64) *Grown {
		return &Grown{Map: square(60, 600, 300), Sign: 1, Part: part, From: from(r), RMS: rms}
	}
	whole, small := Extent{-8, 8, -4, 4}, Extent{-5, 5, -4, 4}
	for rms, want := range map[float64]int{0: 25, 0.02: 25, 0.04: 0} {
		if n := len(Divisions([]*Grown{grown(whole, rms)}, from(r))); n != want {
			t.Errorf("an rms of %g box: %d lattices, want %d", rms, n, want)
		}
	}
	// The chosen one's origin is seen by a phase that is its own.
	for rms, slipped := range map[float64]bool{0.002: true, 0.006: false} {
		large, right := grown(whole, rms), grown(small, 0)
		large.Map = Shift(large.Map, 1./3, 0)
		out := Divisions([]*Grown{large, right}, from(r))
		if len(out) != 25 {
			t.Fatalf("%d lattices", len(out))
		}
		b := large.Map.Box(out[0].Map.Pixel(Extent{}.Mid()))
		if got := math.Abs(b.X-math.Round(b.X)) < 0.01; got != slipped {
			t.Errorf("an rms of %g box: the larger lattice is taken: %v", rms, got)
		}
	}
}

// When every second line is taken out, three boxes both ways must be left.
func TestALatticeOfEverySecondLineHasThreeBoxes(t *testing.T) {
	m := square(20, 200, 200)
	r := ruled(400, 400, m, lines(Extent{-8, 8, -8, 8}, 0))
	for part, want := range map[Extent]int{{-3, 3, -3, 3}: 1, {-3, 4, -3, 3}: 2, {-2, 3, -3, 3}: 0} {
		g := Start(from(r), m, part)
		if n := len(g.EverySecond(Upright)); n != want {
			t.Errorf("of %d columns: %d lattices of every second line, want %d", part.Cols(), n, want)
		}
	}
}
