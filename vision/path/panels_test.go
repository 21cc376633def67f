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
		b := &borders{s: &sheet.Sheet{Grid: sheet.Grid{NX: 40, NY: rows, Across: 50, Up: 50}}, look: func(i, j int) sight {
			if k := i - column; (k == 0 || k == 1) && on[j][k] {
				return lit
			}
			return unlit
		}}
		if got := b.side(column+1, 0, rows-1); got != c.want {
			t.Errorf("%.0f %% of the cells lit: a side is %v", 100*c.lit, got)
		}
	}
}
