package trace

import "testing"

// A field that is quite black where it is quiet, as on screens drawn by light alone, has a noise all the same: there is no share of
// nothing in it.
func TestCrowdsOnABlackFieldHaveANoise(t *testing.T) {
	const np, nq = 11, 9
	f := &field{np: np, nq: nq}
	for c := range 3 {
		f.level[c], f.noise[c] = make([]float32, np*nq), make([]float32, np*nq)
		for k := range f.noise[c] {
			f.noise[c][k] = minNoise
			if q := k % nq; q > 2 && q < 7 {
				f.noise[c][k] = 100 * minNoise
			}
		}
	}
	f.calmCrowds()
	for c := range 3 {
		for k, v := range f.noise[c] {
			if !(v >= minNoise && v <= mostNoise*minNoise) {
				t.Fatalf("channel %d, knot %d: noise %g", c, k, v)
			}
		}
	}
}
