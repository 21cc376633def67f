package scene

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/raster"
)

// meanAround is the naive twin: two running means of width samples both ways; what lies beyond the border has no part
// in them.
func meanAround(p *raster.Plane, width int, squares bool) *raster.Plane {
	out := raster.New(p.W, p.H)
	copy(out.Pix, p.Pix)
	if squares {
		for i, v := range out.Pix {
			out.Pix[i] = v * v
		}
	}
	for range 2 {
		for _, across := range []bool{true, false} {
			n, lines := out.W, out.H
			if !across {
				n, lines = lines, n
			}
			at := func(line, i int) *float32 {
				if across {
					return &out.Pix[line*out.W+i]
				}
				return &out.Pix[i*out.W+line]
			}
			for line := range lines {
				means := make([]float32, n)
				for i := range means {
					sum, count := 0.0, 0.0
					for k := max(0, i-width/2); k <= min(n-1, i+width/2); k++ {
						sum += float64(*at(line, k))
						count++
					}
					means[i] = float32(sum / count)
				}
				for i, v := range means {
					*at(line, i) = v
				}
			}
		}
	}
	return out
}

func TestNeighbourhoodIsTheMeanAround(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	noise := func(x, y int) float64 { return math.Abs(rng.NormFloat64()) }
	edge := func(x, y int) float64 {
		if x+y/3 > 120 {
			return 2
		}
		return 1
	}
	for _, c := range []struct {
		name    string
		w, h    int
		light   func(x, y int) float64
		width   int
		squares bool
	}{
		{"noise", 250, 190, noise, 41, false},
		{"squares of noise", 250, 190, noise, 35, true},
		{"edge", 250, 190, edge, 41, false},
		{"squares of an edge", 250, 190, edge, 35, true},
		{"a plane of less than a block", 2, 3, noise, 41, false},
		{"one row of blocks", 190, 3, noise, 41, false},
	} {
		p := raster.New(c.w, c.h)
		for y := range p.H {
			for x := range p.W {
				p.Row(y)[x] = float32(c.light(x, y))
			}
		}
		want := meanAround(p, c.width, c.squares)
		got := raster.New(p.W, p.H)
		around(p, c.width, c.squares).each(p, func(row, means []float32, y int) {
			copy(got.Row(y), means)
		})
		worst, sum := 0.0, 0.0
		for i, v := range got.Pix {
			e := math.Abs(float64(v/want.Pix[i]) - 1)
			if c.squares { // of which the root is taken
				e = math.Abs(math.Sqrt(float64(v/want.Pix[i])) - 1)
			}
			worst, sum = max(worst, e), sum+e*e
		}
		// A neighbourhood of nine blocks is up to a quarter narrower than it should be, which an edge shows.
		if rms := math.Sqrt(sum / float64(len(p.Pix))); rms > 0.02 || worst > 0.09 {
			t.Errorf("%s: off by %.4f in the mean, %.4f at most, of the mean around", c.name, rms, worst)
		}
	}
}
