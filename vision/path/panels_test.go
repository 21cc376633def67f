package path

import (
	"math/rand/v2"
	"testing"

	"quadrille/vision/sheet"
)

// A dim border of two cells, of which noise leaves three in four lit, is a side; a dotted one is none.
func TestASideIsSeenThroughNoise(t *testing.T) {
	for _, c := range []struct {
		lit  float64
		want bool
	}{{0.75, true}, {0.4, false}} {
		rng := rand.New(rand.NewPCG(5, 2))
		const rows, column = 120, 10
		var on [rows][2]bool
		for j := range on {
			on[j] = [2]bool{rng.Float64() < c.lit, rng.Float64() < c.lit}
		}
		s := &sheet.Sheet{Grid: sheet.Grid{NX: 40, NY: rows, Across: 50, Up: 50}}
		seen := make([]sight, s.NX*s.NY)
		for j := range on {
			for k := range on[j] {
				if on[j][k] {
					seen[(column+k)*rows+j] = lit
				}
			}
		}
		b := newBorders(s, seen)
		if got := b.hasSide(column+1, 0, rows-1); got != c.want {
			t.Errorf("%.0f %% of the cells lit: a side is %v", 100*c.lit, got)
		}
	}
}
