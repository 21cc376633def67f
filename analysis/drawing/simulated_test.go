package drawing

import (
	"math"
	"math/rand/v2"
)

// Drawings of which everything is known: a trace by a formula, a hand that wobbles, and what it does wrong.

// A shown is a trace and its formula.
type shown struct {
	Screen
	name string
	at   func(x float64) float64 // boxes from the centre
}

const (
	cols, rows = 10, 8
	left       = -cols / 2.0
	bottom     = -rows / 2.0
)

// traced samples a formula as a display does: a hundred columns a box, noise, and steep edges that are not seen.
func traced(name string, rng *rand.Rand, at func(float64) float64) *shown {
	s := &shown{Screen: Screen{Cols: cols, Rows: rows, Ground: math.NaN(), Middle: math.NaN()}, name: name, at: at}
	for i := range 100 * cols {
		x := left + (float64(i)+0.5)/100
		y := at(x) + 0.012*rng.NormFloat64()
		if math.Abs(at(x+0.005)-at(x-0.005)) > 0.5 || math.Abs(y) > rows/2.0 {
			y = math.NaN()
		}
		s.X, s.Y = append(s.X, x), append(s.Y, y)
	}
	return s
}

// kinds of traces, with random sizes.
var kinds = []string{"decay", "decay without a knee", "driven", "sine", "square", "triangle"}

func traceOf(kind string, rng *rand.Rand) *shown {
	in := func(low, high float64) float64 { return low + rng.Float64()*(high-low) }
	switch kind {
	case "decay", "decay without a knee":
		knee, start, end, tau := in(0.8, 2.5), in(1, 3.5), in(-3.8, -2.5), in(1.2, 2.8)
		if kind != "decay" {
			knee = 0
		}
		s := traced(kind, rng, func(x float64) float64 {
			if t := x - left - knee; t > 0 {
				return end + (start-end)*math.Exp(-t/tau)
			}
			return start
		})
		s.Ground, s.Decays = bottom, []Decay{{left + knee, -left, start, end}}
		return s
	case "driven":
		knee, half, high, low, tau := in(0.3, 1.5), in(2, 3), in(1.5, 3.5), in(-3.5, -2.5), in(0.3, 0.6)
		s := traced(kind, rng, func(x float64) float64 {
			t := x - left - knee
			k := math.Floor(t / half)
			a, b := high, low
			if math.Mod(math.Abs(k), 2) == 1 {
				a, b = low, high
			}
			return b + (a-b)*math.Exp(-(t-k*half)/tau)
		})
		s.Ground = low
		for k := 0.0; left+knee+k*half < -left; k++ {
			d := Decay{left + knee + k*half, left + knee + (k+1)*half, high, low}
			if math.Mod(k, 2) == 1 {
				d.Start, d.End = low, high
			}
			s.Decays = append(s.Decays, d)
		}
		return s
	case "sine":
		height, period, phase, middle := in(1.5, 3), in(2.5, 6), in(0, 6), in(-0.5, 0.5)
		s := traced(kind, rng, func(x float64) float64 { return middle + height*math.Sin(2*math.Pi*x/period+phase) })
		s.Middle, s.Ground = middle, 0
		return s
	case "square":
		high, low, period, phase := in(1, 3.5), in(-3.5, -1), in(2.5, 6), in(0, 1)
		s := traced(kind, rng, func(x float64) float64 {
			if _, f := math.Modf(x/period + 10 + phase); f < 0.5 {
				return high
			}
			return low
		})
		s.Middle, s.Ground = (high+low)/2, low
		return s
	case "triangle":
		height, period, phase, middle := in(1.5, 3), in(3, 6), in(0, 1), in(-0.5, 0.5)
		s := traced(kind, rng, func(x float64) float64 {
			_, f := math.Modf(x/period + 10 + phase)
			return middle + height*(4*math.Abs(f-0.5)-1)
		})
		s.Middle, s.Ground = middle, 0
		return s
	}
	panic(kind)
}

// A hand draws a trace on paper.
type hand struct {
	squares     float64 // a box
	corner      Point   // squares: of the screen
	wobble      float64 // box; standard deviation
	alike       float64 // box, over which it is; 0 for 0.7
	axes, frame bool    // axes at the left and bottom rims; a frame round the screen
	from, to    float64 // box from the centre: what is drawn; both 0 for all
	// wrong takes a place of the screen to where it is drawn.
	wrong func(Point) Point
}

func (h hand) draw(s *shown, rng *rand.Rand) *Sketch {
	from, to := h.from, h.to
	if from == to {
		from, to = left+0.05*rng.Float64(), -left-0.05*rng.Float64()
	}
	wx, wy := wobbles(rng, h.wobble, h.alike), wobbles(rng, h.wobble, h.alike)
	out := &Sketch{}
	put := func(p Point) {
		i := p.X
		p = Point{p.X + wx(i)/2, p.Y + wy(i)}
		if h.wrong != nil {
			p = h.wrong(p)
		}
		if math.Abs(p.X) > -left+0.02 || p.X < from-0.02 && h.wrong == nil || math.IsNaN(p.Y) {
			return
		}
		x, y := h.corner.X+h.squares*(p.X-left), h.corner.Y+h.squares*(p.Y-bottom)
		if n := len(out.X); n > 0 && x <= out.X[n-1] {
			x = out.X[n-1] + 1e-6 // a pencil's edge
		}
		out.X, out.Y = append(out.X, x), append(out.Y, y+0.01*h.squares*rng.NormFloat64())
	}
	for x := from; x <= to; x += 0.03 {
		a, b := s.at(x-0.015), s.at(x+0.015)
		if n := math.Ceil(math.Abs(b-a) / 0.1); n > 5 {
			for k := range int(n) {
				put(Point{x, a + (b-a)*float64(k)/n})
			}
			continue
		}
		put(Point{x, s.at(x)})
	}
	if h.axes || h.frame {
		out.Upright, out.Level = []float64{h.corner.X + 0.03*rng.NormFloat64()}, []float64{h.corner.Y + 0.03*rng.NormFloat64()}
	}
	if h.frame {
		out.Upright = append(out.Upright, h.corner.X+h.squares*cols)
		out.Level = append(out.Level, h.corner.Y+h.squares*rows)
	}
	return out
}

// wobbles is a smooth random curve through knots so many boxes apart; 0 for 0.7.
func wobbles(rng *rand.Rand, sigma, every float64) func(x float64) float64 {
	if every == 0 {
		every = 0.7
	}
	v := make([]float64, max(64, int(30/every)))
	for i := range v {
		v[i] = sigma * rng.NormFloat64()
	}
	return func(x float64) float64 {
		i := (x + 20) / every
		k := min(max(int(i), 0), len(v)-2)
		f := i - float64(k)
		f = f * f * (3 - 2*f)
		return (1-f)*v[k] + f*v[k+1]
	}
}
