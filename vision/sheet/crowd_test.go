package sheet

import "testing"

// noisy is a sheet with a quiet field and a quiet noise, but in the rows of knots 3 to 6, where share of the knots
// have so many times the noise.
func noisy(quiet float32, share float64, times float32) *Sheet {
	const np, nq = 21, 9
	s := &Sheet{}
	for c := range 3 {
		s.Field[c] = &Knots{np: np, nq: nq, V: make([]float32, np*nq)}
		s.Noise[c] = &Knots{np: np, nq: nq, V: make([]float32, np*nq)}
		for k := range s.Noise[c].V {
			s.Noise[c].V[k] = quiet
			p, q := k/nq, k%nq
			if q > 2 && q < 7 && float64(p%10) < 10*share {
				s.Noise[c].V[k] = times * quiet
			}
		}
	}
	return s
}

// A field that is quite black where it is quiet, as on screens drawn by light alone, has a noise all the same: there
// is no share of nothing in it.
func TestCrowdsOnABlackFieldHaveANoise(t *testing.T) {
	s := noisy(minNoise, 1, 100)
	s.calmCrowds()
	for c := range 3 {
		for k, v := range s.Noise[c].V {
			if !(v >= minNoise && v <= 3*minNoise) {
				t.Fatalf("channel %d, knot %d: noise %g", c, k, v)
			}
		}
	}
}

// Heights are crowded where many knots, left and right, are much noisier than the quiet part. Their noise is held to
// three times that.
func TestWhichHeightsAreCrowded(t *testing.T) {
	const quiet = 0.002
	for _, c := range []struct {
		name  string
		share float64
		times float32
		want  float32 // times the quiet part's noise
	}{
		{"all knots, much noisier", 1, 20, 3},
		{"all knots, six times as noisy", 1, 6, 3},
		{"all knots, four times as noisy", 1, 4, 4},
		{"four in ten", 0.4, 20, 3},
		{"two in ten", 0.2, 20, 20},
	} {
		s := noisy(quiet, c.share, c.times)
		s.calmCrowds()
		if got := s.Noise[1].V[4] / quiet; got < 0.95*c.want || got > 1.05*c.want { // of the first knot in row 4
			t.Errorf("%s: %.2f times the quiet part's noise, want %.2f", c.name, got, c.want)
		}
	}
	// A wave that leaves a third of the height bare is crowded all the same.
	s := noisy(quiet, 1, 20)
	for c := range 3 {
		for k := range s.Noise[c].V {
			if k%9 > 0 && k%9 < 7 {
				s.Noise[c].V[k] = 20 * quiet
			}
		}
	}
	s.calmCrowds()
	if got := s.Noise[0].V[4] / quiet; got > 3.2 {
		t.Errorf("over two thirds of the height: %.2f times the quiet part's noise", got)
	}
}
