package trace

// Where the trace rests before its signal begins, or after it has ended: a flat stretch at one end of the
// screen, at the lowest height of the trace. Ground is often there, which is a guess, not a reading: the
// flat start of a discharge is its highest level and is not taken.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

// A Stretch is a flat part of a trace, From to To boxes across; none if both are 0.
type Stretch struct {
	From, To float64
	Y, Sigma float64 // box; the level and its standard deviation, the display's pixels included
}

// Seen reports whether there is one.
func (r Stretch) Seen() bool { return r.To > r.From }

const (
	// leastRest is the least length of a flat stretch in boxes, restSpread how far its samples may lie from the
	// median of that length, restDrift how far its halves may differ: a decay that has not settled does
	// (TestWhereATraceRests).
	leastRest, restSpread, restDrift = 0.6, 0.08, 0.012
	// restLowest is how far above the trace's lowest samples it may lie, and restRise how far the
	// trace must go elsewhere, in boxes (TestWhereATraceRests).
	restLowest, restRise = 0.08, 0.5
)

// restLevel finds the stretch, that at the left before that at the right; pixel is the standard deviation of a place
// on the display's pixels.
func (t *Trace) restLevel(pixel float64) Stretch {
	y := finite(t.Y)
	low, high := raster.Rank(y, 0.03), raster.Rank(y, 0.97)
	if high-low < restRise {
		return Stretch{}
	}
	for _, step := range []int{1, -1} {
		s := t.flatEnd(step)
		if s.Seen() && s.Y < low+restLowest && s.To-s.From < -2*t.Frame.Left()-leastRest {
			s.Sigma = math.Hypot(s.Sigma, pixel)
			return s
		}
	}
	return Stretch{}
}

// flatEnd grows the flat stretch from the left (step 1) or the right end (step -1) of the screen.
func (t *Trace) flatEnd(step int) (s Stretch) {
	const most = 3 // samples in a row that may lie off it (TestWhereATraceRests)
	i, end := 0, len(t.Y)
	if step < 0 {
		i, end = len(t.Y)-1, -1
	}
	rim := t.Frame.Left() * float64(step)
	var x, y []float64
	off, level := 0, 0.0
	for ; i != end && off <= most; i += step {
		switch {
		case math.IsNaN(t.Y[i]):
			if len(y) == 0 && math.Abs(t.X[i]-rim) < markTip {
				continue
			}
			off++
		case len(y) > 0 && math.Abs(t.Y[i]-level) > restSpread:
			off++
		default:
			x, y, off = append(x, t.X[i]), append(y, t.Y[i]), 0
			if math.Abs(x[len(x)-1]-x[0]) < leastRest {
				level = middle(y)
			}
		}
	}
	if len(y) < enoughLevel || math.Abs(x[len(x)-1]-x[0]) < leastRest {
		return Stretch{}
	}
	// The signal's beginning bends the inner end already.
	n := len(y) - int(0.1*float64(len(y)))
	level = middle(y[:n])
	if math.Abs(middle(y[:n/2])-middle(y[n/2:n])) > restDrift {
		return Stretch{}
	}
	dev := make([]float64, n)
	for k, v := range y[:n] {
		dev[k] = math.Abs(v - level)
	}
	return Stretch{From: min(x[0], x[n-1]), To: max(x[0], x[n-1]), Y: level, Sigma: sheet.MADToSD * raster.Rank(dev, 0.5)}
}

// middle is the median of v, of an even number the upper of the two in the middle.
func middle(v []float64) float64 { return raster.Rank(slices.Clone(v), 0.5) }
