package sheet

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Glare that changes over two boxes is the field's and leaves nothing.
func TestTheFieldFollowsItsGlare(t *testing.T) {
	s := blank(t)
	for c := range s.raw {
		s.raw[c] = make([]float32, s.NX*s.NY)
	}
	for k := range s.raw[0] {
		x, y := s.X(k/s.NY), s.Y(float64(k%s.NY))
		for c := range s.raw {
			s.raw[c][k] = float32(0.3 + 0.1*math.Sin(2*math.Pi*x/4) + 0.05*math.Cos(2*math.Pi*y/8))
		}
	}
	s.flatten(false)
	most := float32(0)
	for i := s.Across; i < s.NX-s.Across; i++ {
		for j := 2 * s.Up; j < s.NY-2*s.Up; j++ {
			most = max(most, abs(s.Light[0][i*s.NY+j]))
		}
	}
	if most > 0.02 {
		t.Errorf("%.3f of a glare of 0.15 is left", most)
	}
}

// The noise of a sheet is the standard deviation of its cells; of a picture without any it is a third of a step of
// eight bits near black, where sRGB has the slope 1/12.92 (IEC 61966-2-1).
func TestTheNoiseIsThatOfTheCells(t *testing.T) {
	for _, c := range []struct{ noise, want float64 }{{0.01, 0.01}, {0.003, 0.003}, {0, 1. / 3 / 255 / 12.92}} {
		s := blank(t)
		rng := rand.New(rand.NewPCG(1, 9))
		for ch := range 3 {
			for k := range s.Light[ch] {
				s.Light[ch][k] = float32(c.noise * rng.NormFloat64())
			}
		}
		s.measureNoise()
		if got := float64(s.Noise[1].At(250, 200)); math.Abs(got-c.want) > 0.2*c.want {
			t.Errorf("a noise of %g counts as %.5f, want %.5f", c.noise, got, c.want)
		}
	}
}

// The cells that are taken for a knot do not beat with rows of dots: a line of them has the share there that it has.
func TestKnotsDoNotBeatWithDots(t *testing.T) {
	for _, every := range []int{2, 5, 10, 25} { // columns from dot to dot
		s := blank(t)
		for k := range s.Light[0] {
			s.Light[0][k] = sometimes(k/s.NY%every == 0, 1)
		}
		sum, cells := 0.0, s.Noise[0].around(nil, 8, 8, s.Light[0])
		for _, v := range cells {
			sum += float64(v)
		}
		if share := sum / float64(len(cells)); math.Abs(share*float64(every)-1) > 0.6 {
			t.Errorf("dots in a column of %d are %.2f of the cells", every, share)
		}
	}
}
