package synth

import (
	"math"
	"math/rand/v2"
)

// busyColours are those of traces on colour panels, in linear light: yellow, orange, light blue, pink,
// green, blue, red, white.
var busyColours = [...][3]float32{tracePalette[0], tracePalette[1], tracePalette[2], tracePalette[3],
	{0.15, 0.85, 0.2}, {0.2, 0.35, 1}, {0.9, 0.12, 0.1}, {0.8, 0.82, 0.8}}

// busyForms has each form of signal as often as it should be met.
var busyForms = [...]Form{Decay, Decay, Decay, Decay, Driven, Driven, Sine, Sine, Sine, Square, Square, Level,
	Triangle, Triangle, Ramp, Ramp,
	Pulse, Pulses, Pulses, Burst, Bits, Step, HalfWave, Rounded, Rounded, Bent, Noise}

// busySignals gives the scene one to four traces that overlap or lie apart.
func busySignals(s *Scene, rng *rand.Rand) {
	rows := float64(s.Display.Frame.Rows)
	s.TimePerBox = oneTwoFive(math.Pow(10, within(rng, -7, -0.5)))
	if chance(rng, 0.2) {
		s.TimePerBox = oneTwoFive(math.Pow(10, within(rng, -0.3, 1)))
	}
	n := oneOf(rng, 1, 1, 1, 1, 1, 1, 2, 2, 2, 3, 4)
	if s.Display.Kind != Colour { // more would not be told apart
		n = oneOf(rng, 1, 1, 2)
	}
	if n > 2 { // dots of many traces would not be joined by eye
		s.Display.Dots = false
	}
	colours := rng.Perm(len(busyColours))
	if chance(rng, 0.3) {
		colours[0] = 0
	}
	apart := chance(rng, 0.6)
	for i := range n {
		bottom, high := s.Display.Frame.Bottom(), rows
		if apart { // each in a band of its own, the first at the top
			high = rows / float64(n)
			bottom += float64(n-1-i) * high
		}
		low := bottom + within(rng, 0.05, 0.25)*high
		top := bottom + within(rng, 0.7, 0.95)*high
		if n == 1 && chance(rng, 0.2) { // a small trace
			low = bottom + within(rng, 0.2, 0.6)*high
			top = low + within(rng, 0.12, 0.3)*high
		}
		sig := s.busySignal(low, top, rng)
		sig.Colour = busyColours[colours[i]]
		s.Signals = append(s.Signals, sig)
	}
	for i := range s.Signals { // noise widens the one beam that writes all that a tube shows
		if sig := &s.Signals[i]; s.Display.Kind == Tube && !(n == 1 && sig.Form == Noise) {
			sig.Noise = min(sig.Noise, 0.03)
		}
	}
	if n == 1 && chance(rng, 0.25) {
		s.Signals[0].Channel = 2 + rng.IntN(3)
	}
	if f := s.Signals[0].Form; n == 1 && (f == Decay || f == Bent) && s.TimePerBox >= 0.5 && chance(rng, 0.6) {
		cols := float64(s.Display.Frame.Cols)
		s.Pen, s.GapBoxes = within(rng, 0.1, 0.45)*cols, within(rng, 0.2, 0.6)
	}
}

// busySignal draws a signal that goes from low to high, places in boxes.
func (s *Scene) busySignal(low, high float64, rng *rand.Rand) Signal {
	f := s.Display.Frame
	span := float64(f.Cols) * s.TimePerBox
	sig := Signal{Form: busyForms[rng.IntN(len(busyForms))],
		VoltsPerBox: oneTwoFive(math.Pow(10, within(rng, -2, 1))), Noise: within(rng, 0.005, 0.035)}
	sig.Knee = rng.Float64() * span
	from, to := high, low // of VStart and VEnd
	fast := within(rng, 1.2, 7) / span
	if chance(rng, 0.15) {
		fast = within(rng, 7, 20) / span
	}
	alternating := false
	switch sig.Form {
	case Decay, Bent:
		sig.Tau, sig.Knee, sig.Edge = within(rng, 0.1, 0.3)*span, within(rng, 0.08, 0.3)*span, within(rng, 0.02, 0.07)*span
		if chance(rng, 0.25) {
			from, to = low, high
		}
	case Driven:
		sig.Frequency = within(rng, 1.2, 3) / span
		sig.Tau = within(rng, 0.08, 0.14) / sig.Frequency
	case Sine:
		sig.Frequency, alternating = fast, true
		to = (low + high) / 2
	case Square:
		sig.Frequency, sig.Duty = fast, oneOf(rng, 0.5, 0.5, within(rng, 0.25, 0.75))
		alternating = chance(rng, 0.4)
	case Triangle:
		sig.Frequency, alternating = fast, true
	case Ramp:
		sig.Frequency, sig.Duty, alternating = fast, oneOf(rng, within(rng, 0.8, 0.97), within(rng, 0.03, 0.2)), true
	case HalfWave, Rounded:
		sig.Frequency = fast
		sig.Tau = within(rng, 0.025, 0.06) / fast
	case Level, Noise:
		from = within(rng, low, high)
		if sig.Form == Noise {
			from, sig.Noise = (low+high)/2, min((high-low)/6, within(rng, 0.1, 0.45))
		}
		alternating = sig.Form == Noise && chance(rng, 0.5)
		low, high = from, from
	case Pulse:
		sig.Width = within(rng, 0.01, 0.12) * span
		sig.Knee, sig.Edge = within(rng, 0.15, 0.8)*span, within(rng, 0.05, 0.5)*sig.Width
	case Pulses:
		sig.Frequency, sig.Duty = fast, within(rng, 0.04, 0.15)
		sig.Edge = 0.2 * sig.Duty / fast
	case Burst:
		sig.Count = 3 + rng.IntN(6)
		whole := within(rng, 0.3, 0.6) * span
		sig.Frequency, sig.Knee = float64(sig.Count)/whole, within(rng, 0.1, 0.35)*span
	case Bits:
		sig.Frequency, sig.Pattern = within(rng, 8, 24)/span, rng.Uint64()
		sig.Edge = within(rng, 0, 0.15) / sig.Frequency
	case Step:
		sig.Knee, sig.Edge = within(rng, 0.2, 0.8)*span, within(rng, 0, 0.03)*span
	}
	switch sig.Form {
	case Pulse, Pulses, Burst, Step, HalfWave:
		if chance(rng, 0.25) {
			from, to = to, from
		}
	}
	sig.GroundBox = busyGround(s.Display, low, high, alternating, rng)
	if sig.Form == Driven {
		sig.GroundBox, to = low, low
	}
	sig.VStart, sig.VEnd = (from-sig.GroundBox)*sig.VoltsPerBox, (to-sig.GroundBox)*sig.VoltsPerBox
	if (sig.Form == Sine || sig.Form == Triangle || sig.Form == Decay) && chance(rng, 0.12) {
		sig.Hold = span / within(rng, 30, 60)
		if sig.Frequency > 0 { // ten steps a period at least
			sig.Hold = min(sig.Hold, 0.1/sig.Frequency)
		}
	}
	switch sig.Form {
	case Sine, Triangle, Ramp, Square, Decay:
		if chance(rng, 0.12) {
			sig.Noise = within(rng, 0.05, 0.12)
		}
	}
	return sig
}

// busyGround is where the ground of a signal between low and high lies: in its middle if it alternates,
// on its lower level, off the screen (but of tubes, whose users know it from before), or anywhere.
func busyGround(d Display, low, high float64, alternating bool, rng *rand.Rand) float64 {
	bottom := d.Frame.Bottom()
	offScreen, anywhere := d.Kind != Tube && chance(rng, 0.12), chance(rng, 0.3)
	switch {
	case offScreen && chance(rng, 0.8):
		return bottom - within(rng, 0.4, 3)
	case offScreen:
		return -bottom + within(rng, 0.4, 2)
	case anywhere:
		return within(rng, bottom, max(low, bottom+0.5))
	case alternating:
		return (low + high) / 2
	}
	return low
}
