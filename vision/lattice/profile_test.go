package lattice

import (
	"math"
	"testing"
)

// A line beside its place is seen where it is, and its strength is what it is higher than both sides.
func TestAPieceIsSeenWhereItIs(t *testing.T) {
	m := square(100, 320, 320)
	for _, c := range []struct {
		off       float64
		low, high float64 // strength
	}{
		{0, 0.95, 1.01}, {0.08, 0.85, 1.01}, {0.15, -0.1, 0.5}, {0.25, -0.55, -0.4}, {0.35, -0.55, -0.4},
	} {
		r := ruled(640, 640, m, func(_ Family, _ int, off, _ float64) float64 {
			d := (off - c.off) / 0.025
			return math.Exp(-d * d / 2)
		})
		for of := range Family(2) {
			p, ok := ProfileOf(r, &m, Piece{of, 1, -1})
			off, height, _, edge := p.peak(1, 13)
			if !ok || edge || math.Abs(off-c.off) > 0.004 || height < 0.85 {
				t.Errorf("family %d, %g beside the line: seen at %.3f, %.2f high, at an edge %v", of, c.off, off, height, edge)
			}
			if s := p.Strength(1); s < c.low || s > c.high {
				t.Errorf("family %d, %g beside the line: strength %.2f", of, c.off, s)
			}
		}
	}
}

// The crossing lines at its ends are not in a piece's profile, what is beside them is, and what crosses a tenth of a
// piece changes it by no more than a fifth. The thirds at the ends are told apart.
func TestAPieceIsTheMeanAlongIt(t *testing.T) {
	m := square(64, 320, 320)
	along := func(light func(t float64) float64) (whole float64, ends [2]float64) {
		r := ruled(640, 640, m, func(_ Family, k int, off, at float64) float64 {
			return light(at-math.Floor(at)) * math.Exp(-off*off/(2*0.03*0.03))
		})
		p, _ := ProfileOf(r, &m, Piece{Upright, 1, 1})
		_, ends, ok := Ends(r, &m, Piece{Upright, 1, 1}, 1)
		if !ok {
			t.Fatal("the piece is not on the picture")
		}
		return p.Strength(1), ends
	}
	within := func(a, b float64) func(float64) float64 {
		return func(t float64) float64 {
			if t > a && t < b {
				return 1
			}
			return 0
		}
	}
	if v, _ := along(within(0.1, 0.9)); v < 0.95 {
		t.Errorf("without its crossings a piece comes to %.2f", v)
	}
	if v, _ := along(func(t float64) float64 { return 1 - within(0.45, 0.55)(t) }); v < 0.8 {
		t.Errorf("with a gap of a tenth it comes to %.2f", v)
	}
	if _, ends := along(within(0, 0.2)); !(ends[0] >= 0.3) || math.Abs(ends[1]) > 0.01 {
		t.Errorf("of its first fifth it has %.2f at its ends", ends)
	}
	if _, ends := along(within(0, 0.36)); !(ends[0] >= 0.95) || math.Abs(ends[1]) > 0.01 {
		t.Errorf("of its first third it has %.2f at its ends", ends)
	}
}
