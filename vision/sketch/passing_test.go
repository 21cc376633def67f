package sketch

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/raster"
)

// A stroke that is no darker than twice the grain is seen where it goes on, whatever its direction and round a crest,
// and grain alone is hardly ever taken for one; what is too pale for a pencil is none on the smoothest paper.
func TestAFaintStrokeIsSeen(t *testing.T) {
	const per, w, h = 60, 720, 480
	for name, x := range map[string]struct {
		dark, grain float32
		slope       float64
		bend        float64 // squares, radius; 0 is straight
		seen        bool
	}{
		"level":                 {0.025, 0.02, 0, 0, true},
		"between directions":    {0.025, 0.02, math.Tan(math.Pi / 24), 0, true},
		"steep":                 {0.025, 0.02, 3, 0, true},
		"round a crest":         {0.035, 0.02, 0, 0.25, true},
		"on coarse paper":       {0.125, 0.1, 0.4, 0, true},
		"hardly above grain":    {0.025, 0.04, 0.4, 0, false},
		"paler than a pencil's": {0.014, 0.001, 0.4, 0, false},
	} {
		e := &evidence{sheet: &sheet{per: per, w: w, h: h, outside: make([]bool, w*h)}, dark: raster.New(w, h)}
		rng := rand.New(rand.NewPCG(1, 2))
		for i := range e.dark.Pix {
			e.dark.Pix[i] = x.grain * float32(rng.NormFloat64())
		}
		// how far a cell is from the stroke's middle
		off := func(u, v int) float64 {
			dx, dy := float64(u)-w/2, float64(v)-h/2
			if x.bend > 0 {
				return math.Abs(math.Hypot(dx, dy) - x.bend*per)
			}
			return math.Abs(dy-x.slope*dx) / math.Hypot(1, x.slope)
		}
		for i := range e.dark.Pix {
			if off(i%w, i/w) < 2.5 {
				e.dark.Pix[i] += x.dark
			}
		}
		on, there, grain, blank := 0, 0, 0, 0
		for i, p := range e.passing() {
			u, v := i%w, i/w
			if u < per || v < per || u >= w-per || v >= h-per {
				continue
			}
			switch d := off(u, v); {
			case d < 1.5:
				there++
				if p {
					on++
				}
			case d > per/4:
				blank++
				if p {
					grain++
				}
			}
		}
		if share := float64(on) / float64(there); x.seen && share < 0.9 || !x.seen && share > 0.3 {
			t.Errorf("%s: %.2f of the stroke is seen", name, share)
		}
		if share := float64(grain) / float64(blank); share > 0.002 {
			t.Errorf("%s: %.4f of the paper is taken for strokes", name, share)
		}
	}
}

// A dark stroke is as broad where less is asked of its cells: what counts is how dark it is beside them.
func TestADarkStrokeStaysAsBroad(t *testing.T) {
	const per, w, h, sigma = 60, 480, 300, 5.0
	s := &sheet{per: per, w: w, h: h, outside: make([]bool, w*h)}
	for c := range s.colour {
		s.colour[c] = raster.New(w, h)
		for i := range s.colour[c].Pix {
			d := float64(i/w) - h/2 // the middle of a square
			s.colour[c].Pix[i] = float32(math.Exp(-d * d / (2 * sigma * sigma)))
		}
	}
	// Even paper: ink for nine tenths has 0.9 of inkLeast.
	want := 2 * sigma * math.Sqrt(-2*math.Log(0.9*inkLeast))
	e := evidenceOf(s)
	n := 0
	for _, v := range e.ink.Pix {
		if v > isInk {
			n++
		}
	}
	if got := float64(n) / w; math.Abs(got-want) > 1 {
		t.Errorf("%.1f cells broad, %.1f expected", got, want)
	}
}
