package stroke

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// scattered is a trace that rises by so many boxes over 0.16 box, over so many columns, and scatters from column to
// column, means over blur columns, by so much.
func scattered(rise, scatter float64, columns, blur int) *Centres {
	rng := rand.New(rand.NewPCG(7, 1))
	noise := make([]float64, 500+blur)
	for i := range noise {
		noise[i] = scatter * rng.NormFloat64() / math.Sqrt(float64(blur))
	}
	c := &Centres{Y: make([]float64, 500), Sigma: make([]float64, 500), Thick: make([]float64, 500)}
	for i := range c.Y {
		c.Y[i] = math.NaN()
		if i < columns {
			c.Y[i] = rise * float64(i) / 8
			for _, n := range noise[i : i+blur] {
				c.Y[i] += n
			}
		}
	}
	return c
}

// A trace of a record is ragged where it is level and where it rises slowly; a beam's is not.
func TestABeamIsNotRagged(t *testing.T) {
	wave := scattered(0, 0, 500, 1) // smooth, of a period of 0.9 box
	for i := range wave.Y {
		wave.Y[i] = 0.18 * math.Sin(float64(i)*0.02*2*math.Pi/0.9)
	}
	stairs := scattered(0, 0, 500, 1) // two columns wide, as one of the lags is
	for i := range stairs.Y {
		stairs.Y[i] = 0.01 * float64(i/2)
	}
	for _, c := range []struct {
		name  string
		trace *Centres
		beam  bool
	}{
		{"a quiet level", scattered(0, 0.001, 500, 1), true},
		{"a ragged level", scattered(0, 0.0023, 500, 1), false},
		{"a level of 45 columns", scattered(0, 0.004, 45, 1), true},
		{"a level of 60 columns", scattered(0, 0.004, 60, 1), false},
		{"a level, ragged over three columns", scattered(0, 0.0021, 500, 3), false},
		{"a quiet rise", scattered(0.1, 0.0016, 500, 1), true},
		{"a ragged rise", scattered(0.1, 0.003, 500, 1), false},
		{"hardly a rise, as ragged as rises may be", scattered(0.045, 0.0017, 500, 1), true},
		{"hardly more than level", scattered(0.022, 0.0017, 500, 1), false},
		{"a ragged steep rise", scattered(0.15, 0.004, 500, 1), false},
		{"a steeper one, which tells nothing", scattered(0.3, 0.004, 500, 1), true},
		{"a smooth wave", wave, true},
		{"stairs", stairs, false},
	} {
		beam := c.trace.mayBeBeam(plainSheet(), &path.Candidate{Tint: sheet.Tint{0, 1, 0}, Path: &path.Path{Runs: make([]path.Run, 500)}}, nil, sheet.Lines{})
		if beam != c.beam {
			t.Errorf("%s: may be a beam: %v", c.name, beam)
		}
	}
}

// The light of tall strokes grows with their height on a panel, and hardly does on a tube.
func TestABeamIsDimWhereItIsFast(t *testing.T) {
	for _, c := range []struct {
		name   string
		tall   int     // how many strokes are
		height float64 // of those, in level strokes
		power  float64 // of the height that their light goes by
		beam   bool
	}{
		{"even light", 20, 6, 0, true},
		{"a bleached beam", 20, 6, 0.3, true},
		{"a bleached panel", 20, 6, 0.6, false},
		{"a panel", 20, 6, 1, false},
		{"four tall strokes of a panel", 4, 6, 1, true},
		{"eight of them", 8, 6, 1, false},
		{"low strokes of a panel", 20, 2, 1, true},
		{"higher ones", 20, 4.5, 1, false},
	} {
		s := plainSheet()
		trace := scattered(0, 0, 500, 1)
		trace.level = 0.041 // some strokes are thicker than others
		p, plane := &path.Path{Runs: make([]path.Run, s.NX)}, make([]float32, s.NX*s.NY)
		for i := range p.Runs {
			rows := 2.0
			if i%20 == 10 && i/20 < c.tall {
				rows *= c.height
			}
			trace.Thick[i] = rows / float64(s.Up)
			p.Runs[i] = path.Run{Lo: 200, Hi: 200 + int(rows) - 1}
			for j := p.Runs[i].Lo; j <= p.Runs[i].Hi; j++ {
				plane[i*s.NY+j] = float32(math.Pow(rows/2, c.power) / rows)
			}
		}
		if beam := trace.mayBeBeam(s, &path.Candidate{Tint: sheet.Tint{0, 1, 0}, Path: p}, plane, sheet.Lines{}); beam != c.beam {
			t.Errorf("%s: may be a beam: %v", c.name, beam)
		}
	}
}
