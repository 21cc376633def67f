package synth

import (
	"math"
	"testing"
)

// Voltages that follow from the definitions of the waveforms (the terms are those of IEEE Std 181).
func TestWaveformsHaveTheirDefinedVoltages(t *testing.T) {
	for _, c := range []struct {
		name     string
		sig      Signal
		at, want float64 // s, V
	}{
		{"a triangle's start", Signal{Form: Triangle, VStart: 2, VEnd: -2, Frequency: 10, Knee: 0.01}, 0.01, -2},
		{"half-way up a triangle", Signal{Form: Triangle, VStart: 2, VEnd: -2, Frequency: 10}, 0.025, 0},
		{"a triangle's top", Signal{Form: Triangle, VStart: 2, VEnd: -2, Frequency: 10}, 0.05, 2},
		{"half-way down a triangle", Signal{Form: Triangle, VStart: 2, VEnd: -2, Frequency: 10}, 0.075, 0},
		{"half-way up a ramp", Signal{Form: Ramp, VStart: 1, Frequency: 1, Duty: 0.8}, 0.4, 0.5},
		{"half-way down a ramp", Signal{Form: Ramp, VStart: 1, Frequency: 1, Duty: 0.8}, 0.9, 0.5},
		{"the middle of a pulse's first edge", Signal{Form: Pulse, VStart: 4, VEnd: 1, Knee: 2, Width: 1, Edge: 0.2}, 2, 2.5},
		{"a pulse's top", Signal{Form: Pulse, VStart: 4, VEnd: 1, Knee: 2, Width: 1, Edge: 0.2}, 2.5, 4},
		{"the middle of a pulse's last edge", Signal{Form: Pulse, VStart: 4, VEnd: 1, Knee: 2, Width: 1, Edge: 0.2}, 3, 2.5},
		{"after a pulse", Signal{Form: Pulse, VStart: 4, VEnd: 1, Knee: 2, Width: 1, Edge: 0.2}, 3.2, 1},
		{"the third pulse of a train", Signal{Form: Pulses, VStart: 1, Frequency: 2, Duty: 0.1, Edge: 0.01}, 1.025, 1},
		{"between pulses of a train", Signal{Form: Pulses, VStart: 1, Frequency: 2, Duty: 0.1, Edge: 0.01}, 1.2, 0},
		{"before a burst", Signal{Form: Burst, VStart: 1, Frequency: 2, Count: 3, Knee: 1}, 0.9, 0},
		{"the last pulse of a burst", Signal{Form: Burst, VStart: 1, Frequency: 2, Count: 3, Knee: 1}, 2.1, 1},
		{"after a burst", Signal{Form: Burst, VStart: 1, Frequency: 2, Count: 3, Knee: 1}, 2.6, 0},
		{"the first bit", Signal{Form: Bits, VStart: 5, Pattern: 0b01, Frequency: 1}, 0.5, 5},
		{"the second bit", Signal{Form: Bits, VStart: 5, Pattern: 0b01, Frequency: 1}, 1.5, 0},
		{"the bit before the first is the last", Signal{Form: Bits, VStart: 5, Pattern: 1 << 63, Frequency: 1}, -0.5, 5},
		{"before a step", Signal{Form: Step, VStart: 3, VEnd: 1, Knee: 1}, 0.99, 1},
		{"after a step", Signal{Form: Step, VStart: 3, VEnd: 1, Knee: 1}, 1.01, 3},
		{"the crest of a half-wave", Signal{Form: HalfWave, VStart: 3, Frequency: 1}, 0.25, 3},
		{"the cut half of a half-wave", Signal{Form: HalfWave, VStart: 3, Frequency: 1}, 0.75, 0},
		{"a rounded square, a time constant up", Signal{Form: Rounded, VStart: 1, Frequency: 1, Tau: .01}, .01, 1 - 1/math.E},
		{"the knee of a bent decay", Signal{Form: Bent, VStart: 2, Tau: 1, Edge: 0.5, Knee: 1}, 1, 2},
		{"a time constant after its knee", Signal{Form: Bent, VStart: 2, Tau: 1, Edge: 0.5, Knee: 1}, 2, 2 / math.E},
		{"before it bends", Signal{Form: Bent, VStart: 2, Tau: 1, Edge: 0.5, Knee: 1}, 0, 2.5},
	} {
		if got := c.sig.Volts(c.at); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g V, want %g", c.name, got, c.want)
		}
	}
}

// A bent decay has no corner: its slope before the knee is the exponential's at the knee.
func TestABentDecayHasNoCorner(t *testing.T) {
	s := Signal{Form: Bent, VStart: 2, VEnd: 0.5, Tau: 0.3, Edge: 0.2, Knee: 1}
	const h = 1e-6
	for _, at := range []float64{s.Knee, s.Knee - s.Edge} {
		before, after := (s.Volts(at)-s.Volts(at-h))/h, (s.Volts(at+h)-s.Volts(at))/h
		if math.Abs(before-after) > 1e-3 {
			t.Errorf("at %g s the slope goes from %g to %g V/s", at, before, after)
		}
	}
}

// Samples that are held make steps of their length, each at the voltage of its beginning.
func TestAHeldRecordGoesInSteps(t *testing.T) {
	s := Signal{Form: Sine, VStart: 1, Frequency: 1, Hold: 0.1}
	for _, at := range []float64{0.2, 0.25, 0.2999} {
		if got, want := s.box(at), math.Sin(2*math.Pi*0.2); math.Abs(got-want) > 1e-9 {
			t.Errorf("at %g s: %g, want %g", at, got, want)
		}
	}
}
