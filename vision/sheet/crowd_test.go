package sheet

import "testing"

// A field that is quite black where it is quiet, as on screens drawn by light alone, has a noise all the same: there is no share of
// nothing in it.
func TestCrowdsOnABlackFieldHaveANoise(t *testing.T) {
	const np, nq = 11, 9
	s := &Sheet{}
	for c := range 3 {
		s.Field[c] = &Knots{np: np, nq: nq, V: make([]float32, np*nq)}
		s.Noise[c] = &Knots{np: np, nq: nq, V: make([]float32, np*nq)}
		for k := range s.Noise[c].V {
			s.Noise[c].V[k] = minNoise
			if q := k % nq; q > 2 && q < 7 {
				s.Noise[c].V[k] = 100 * minNoise
			}
		}
	}
	s.calmCrowds()
	for c := range 3 {
		for k, v := range s.Noise[c].V {
			if !(v >= minNoise && v <= mostNoise*minNoise) {
				t.Fatalf("channel %d, knot %d: noise %g", c, k, v)
			}
		}
	}
}
