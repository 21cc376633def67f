package analysis

import (
	"testing"

	"quadrille/calibrate/remark"
)

// Half a turn: time runs backwards and the voltage changes its sign.
func turnedBy180(v func(float64) float64, span float64) func(float64) float64 {
	return func(t float64) float64 { return -v(span - t) }
}

func TestADecayUpsideDownIsDoubted(t *testing.T) {
	for name, c := range map[string]struct {
		s       specimen
		upended bool
	}{
		"a fall":              {specimen{n: 500, span: 50, sigma: 0.02, v: turnedBy180(slowDischarge(9, 0, 5, 8), 50)}, true},
		"a fall without knee": {specimen{n: 500, span: 40, sigma: 0.02, v: turnedBy180(slowDischarge(9, 0, 0, 10), 40)}, true},
		"driven":              {specimen{n: 500, span: 10e-3, sigma: 0.02, v: turnedBy180(squareDriven(5, 2e-3, 0.5e-3, 0.7e-3), 10e-3)}, true},
		"driven, upright":     {specimen{n: 500, span: 10e-3, sigma: 0.02, v: squareDriven(5, 2e-3, 0.5e-3, 0.7e-3)}, false},
		"a fall, upright":     {specimen{n: 500, span: 50, sigma: 0.02, v: slowDischarge(9, 0, 5, 8)}, false},
		"a square wave":       {specimen{n: 500, span: 10e-3, sigma: 0.02, v: pulseOf(0, 5, 1e-3, 4e-3, 2e-3, 2e-5)}, false},
		"slow edges":          {specimen{n: 500, span: 10e-3, sigma: 0.02, v: pulseOf(0, 5, 1e-3, 4e-3, 2e-3, 6e-4)}, false},
		"a sine":              {specimen{n: 500, span: 10e-3, sigma: 0.02, v: sineOf(0, 3, 300, 0.3)}, false},
		"a triangle":          {specimen{n: 500, span: 10e-3, sigma: 0.02, v: triangleOf(0, 3, 300, 0.3)}, false},
		"a ramp":              {specimen{n: 500, span: 10e-3, sigma: 0.02, v: func(x float64) float64 { return 800 * x }}, false},
		"a level":             {specimen{n: 500, span: 10e-3, sigma: 0.02, v: func(float64) float64 { return 2 }}, false},
		"part of a sine":      {specimen{n: 500, span: 50, sigma: 0.02, v: sineOf(0, 3, 0.015, 0.2)}, false},
	} {
		for seed := range uint64(6) {
			f := analyse(t, c.s.record(seed), nil)
			if remark.Any(f.Doubts, KindUpsideDown) != c.upended {
				t.Errorf("%s, seed %d: taken for %s, doubts %q", name, seed, f.Signal, f.Doubts)
			}
		}
	}
}
