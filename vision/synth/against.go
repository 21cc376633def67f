package synth

import (
	"math"
	"math/rand/v2"
)

// A display of one signal against another, x against y: the first signal moves the spot across, the second
// up. There is no time on it, and no trace that could be read.

// againstSteps is how many places of the curve a record of the span has: a step is less than an element
// for curves that go twelve times across.
const againstSteps = 20_000

// RandomAgainst draws a display of x against y: two sines of frequencies in a simple ratio (Lissajous
// curves), or a sine against itself, delayed. The display and the camera are those of Random.
func RandomAgainst(seed uint64) Scene {
	rng := rand.New(rand.NewPCG(seed, streamAgainst))
	s := Random(seed)
	f := s.Display.Frame
	ratio := oneOf(rng, [2]float64{1, 1}, [2]float64{1, 1}, [2]float64{1, 2}, [2]float64{2, 3}, [2]float64{3, 4})
	span := float64(f.Cols) * s.TimePerBox
	s.Signals = nil
	for i, half := range [2]float64{-f.Left(), -f.Bottom()} {
		s.Signals = append(s.Signals, Signal{Form: Sine, VStart: within(rng, 0.4, 0.9) * half, Frequency: ratio[i] / span,
			Knee: rng.Float64() * span, VoltsPerBox: 1, Noise: within(rng, 0.005, 0.02), Colour: tracePalette[rng.IntN(2)]})
	}
	s.Against, s.Pen, s.GapBoxes, s.Display.Graded = true, 0, 0, false
	return s
}

// spotAt is where the spot of a display of x against y is at step k, boxes.
func (s Scene) spotAt(k int, rng *rand.Rand) (x, y float64) {
	t := float64(k) / againstSteps * float64(s.Display.Frame.Cols) * s.TimePerBox
	if rng == nil {
		return s.Signals[0].box(t), s.Signals[1].box(t)
	}
	return s.Signals[0].sample(t, rng), s.Signals[1].sample(t, rng)
}

// drawAgainst lights the curve in the first signal's colour.
func (l *lcd) drawAgainst(s Scene, rng *rand.Rand) {
	half := s.Display.Stroke / 2
	for k := range againstSteps {
		x, y := s.spotAt(k, rng)
		i, j := int(math.Round(l.centreX+x*l.perBox)), int(math.Round(l.row(y)))
		if i >= l.frameL && i <= l.frameR && j >= l.frameT && j <= l.frameB {
			l.fill(i-half, j-half, i+half, j+half, l.ink.traces[0])
		}
	}
}

// writeAgainst moves the beam of a tube along the curve.
func (t *tube) writeAgainst(s Scene) {
	light := float64(s.Display.Frame.Cols) * t.perBox / againstSteps
	for k := range againstSteps {
		x, y := s.spotAt(k, nil)
		t.drop(x, y, light)
	}
}
