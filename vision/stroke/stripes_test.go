package stroke

import (
	"math"
	"testing"

	"quadrille/vision/sheet"
)

// A dark stroke that takes away the colour of the field has none of its own.
func TestWhatADarkStrokeTakesAway(t *testing.T) {
	for _, c := range []struct {
		angle      float64 // radians, between the field's colour and what the stroke takes away
		colourless bool
	}{
		{0, true}, {0.1, true}, {0.22, false}, {1, false},
	} {
		s := plainSheet()
		for k, v := range []float32{0.6, 0.6, 0} {
			s.Field[k] = &sheet.Knots{V: []float32{v, v, v}}
		}
		turn := math.Pi/4 + c.angle
		of := sheet.Tint{-float32(math.Cos(turn)), -float32(math.Sin(turn)), 0}
		if got := isColourless(s, of); got != c.colourless {
			t.Errorf("%g radians off: without colour: %v", c.angle, got)
		}
	}
}
