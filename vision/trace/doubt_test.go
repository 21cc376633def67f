package trace

import (
	"math"
	"testing"

	"quadrille/vision/geom"
)

// drawnWith is a trace of f with a stroke as thick as the height makes it; at a step its samples are strokes, but for
// the hidden ones, which are absent.
func drawnWith(f, thick func(x float64) float64, hidden func(x float64) bool) *Trace {
	const step = 0.02
	t := &Trace{Frame: geom.Frame{Cols: 10, Rows: 8}}
	for i := range 500 {
		x := -5 + step*(float64(i)+0.5)
		y, w := f(x), thick(x)
		if before := f(x - step); math.Abs(y-before) > 0.5 {
			y, w = (y+before)/2, math.Abs(y-before)
		}
		if hidden(x) {
			y, w = math.NaN(), math.NaN()
		}
		t.X, t.Y, t.Thick = append(t.X, x), append(t.Y, y), append(t.Thick, w)
	}
	return t
}

// A square wave with noise on one level only is itself, also where one of its edges is not drawn.
func TestAWaveMayChangeItsStroke(t *testing.T) {
	square := func(x float64) float64 { return 4*math.Mod(math.Floor(x/1.3+10), 2) - 2 }
	thick := func(x float64) float64 { return 0.1 + 0.03*square(x) }
	edge := func(x float64) bool { return math.Abs(x-1.3) < 0.03 }
	wave := drawnWith(square, thick, edge)
	if x, ok := wave.changes(); ok {
		t.Errorf("a wave is doubted at %.2f", x)
	}
}

// A decay that goes on as something thicker at another height is doubted, though it has passed that height before.
func TestATraceThatGoesOnThickerIsDoubted(t *testing.T) {
	const at = 2.0
	decay := func(x float64) float64 {
		if x > at {
			return 0
		}
		return 6*math.Exp(-(x+5)/2) - 3
	}
	thick := func(x float64) float64 {
		if x > at {
			return 0.3
		}
		return 0.06
	}
	cable := drawnWith(decay, thick, func(x float64) bool { return math.Abs(x-at) < 0.03 })
	if x, ok := cable.changes(); !ok || math.Abs(x-at) > 0.1 {
		t.Errorf("doubted at %.2f, %v", x, ok)
	}
}
