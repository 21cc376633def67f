package frame

import (
	"math"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

// Axes stand out where the middle lines are clearly higher than the others, most of which are there; not where they are
// as high as a trace, or where more than a quarter of their pieces are low.
func TestWhatMakesAnAxis(t *testing.T) {
	x := spread(10)
	for _, c := range []struct {
		name   string
		middle float64
		low    int // of the ten pieces of each middle line
		gone   int // of the eight other lines
		want   float64
	}{
		{"like the others", 1, 0, 0, 0}, {"with ticks", 1.2, 0, 0, 0}, {"a little higher", 1.65, 0, 0, 0.5},
		{"drawn", 2.2, 0, 0, 1}, {"drawn bright", 8, 0, 0, 1}, {"a trace", 12, 0, 0, 0},
		{"a fifth covered", 3, 2, 0, 1}, {"two fifths covered", 3, 4, 0, 0},
		{"a quarter of the others gone", 3, 0, 2, 1}, {"three of eight gone", 3, 0, 3, 0},
	} {
		s := tabled{part: x, all: x, height: func(of lattice.Family, k, cell int) float64 {
			switch {
			case k == 0 && cell+5 < c.low, k >= 1 && k <= c.gone:
				return 0.1
			case k == 0:
				return c.middle
			}
			return 1
		}}.survey()
		if a := s.axes(x); math.Abs(a-c.want) > 0.1 {
			t.Errorf("%s: an axis to %.2f, want %.2f", c.name, a, c.want)
		}
	}
}

// Neither ticks nor minor lines beside a line, nor the lines that cross it, change its height.
func TestTheHeightOfALineIsThatOverTheFieldBesideIt(t *testing.T) {
	m := lattice.Map{60, 0, 150, 0, -60, 150, 0, 0, 1}
	for name, beside := range map[string]func(b geom.Box) float64{
		"nothing":       func(geom.Box) float64 { return 0 },
		"ticks":         func(b geom.Box) float64 { return bell((math.Abs(b.X) - 0.08) / 0.02) },
		"minor lines":   func(b geom.Box) float64 { return bell((math.Abs(b.X) - 0.32) / 0.02) },
		"crossing line": func(b geom.Box) float64 { return bell(math.Max(off(b.Y)-0.08, 0) / 0.01) },
	} {
		p := drawn(300, 300, m, func(b geom.Box) float64 { return max(bell(b.X/0.03), beside(b)) })
		s := tabled{part: spread(2), all: spread(2)}.survey()
		s.Lattice.Map, s.picture = m, p
		if h := s.seeHeight(lattice.Piece{Of: lattice.Upright, Line: 0, Cell: 0}); h < 0.93 {
			t.Errorf("%s beside it: a line of 1 is %.2f high", name, h)
		}
	}
}

func bell(x float64) float64 { return math.Exp(-x * x / 2) }

// Ticks at four to a box are counted if they are as strong both ways to two fifths and stand beside few lines; else
// they are minor lines or words.
func TestWhichTicksAreCounted(t *testing.T) {
	x := spread(8)
	for _, c := range []struct {
		name          string
		level, others float64 // amplitude beside the level centre line, and beside all others, of the upright one's
		counted       bool
	}{
		{"both ways", 1, 0, true}, {"half as strong one way", 0.5, 0, true}, {"a third as strong", 0.33, 0, false},
		{"a little everywhere", 1, 0.2, true}, {"everywhere", 1, 0.45, false},
	} {
		s := tabled{part: x, all: x, ticks: func(of lattice.Family, k, cell int) (float64, float64) {
			switch {
			case k == 0 && of == lattice.Upright:
				return 0.1, 1
			case k == 0:
				return 0.1, c.level
			}
			return 0, c.others
		}}.survey()
		if got := s.countTicks().m == 1; got != c.counted {
			t.Errorf("%s: counted is %v", c.name, got)
		}
	}
}

// What two sides of one piece show is hardly above chance, of two pieces it is nearly sure.
func TestFewTicksMayBeChance(t *testing.T) {
	x := spread(8)
	for pieces, want := range map[int][2]float64{1: {0.05, 0.2}, 2: {0.4, 0.65}, 8: {1, 1}} {
		s := tabled{part: x, all: x, ticks: func(of lattice.Family, k, cell int) (float64, float64) {
			if k == 0 {
				return 1, 0
			}
			return 0, 0
		}}.survey()
		for of := range lattice.Family(2) {
			for c := pieces; c < 8; c++ {
				s.lines[of].tick[4][c].side[0].ok, s.lines[of].tick[4][c].side[1].ok = false, false
			}
		}
		s.ticks = tickCount{told: true, amps: [2][]float64{{0, 0, 0, 0, 1, 0, 0, 0, 0}, {0, 0, 0, 0, 1, 0, 0, 0, 0}}}
		if v := s.tickClue(lattice.Upright, 0, x, both); v < want[0] || v > want[1] {
			t.Errorf("ticks beside %d pieces: a centre line to %.2f", pieces, v)
		}
	}
}

// Ticks beside another line than the middle one are told where the middle one has hardly any.
func TestTicksBesideAnotherLineAreTold(t *testing.T) {
	x := spread(8)
	s := tabled{part: x, all: x, ticks: func(of lattice.Family, k, cell int) (float64, float64) {
		if of == lattice.Level && k == 1 {
			return 1, 0
		}
		return 0, 0
	}}.survey()
	for middle, told := range map[float64]bool{0: true, 0.2: true, 0.4: false, 1: false} {
		f := &Frame{Extent: x, CentreTicks: [2]float64{1, middle}}
		if got := s.TicksElsewhere(f); got != told {
			t.Errorf("the middle line has ticks to %g: told is %v", middle, got)
		}
	}
}

// Ticks reach a tenth of a box from their line, the dots of a dotted line a twentieth: only the former are seen, and
// one bright trace across them does not pass for them.
func TestDotsOfALineAreNoTicks(t *testing.T) {
	m := lattice.Map{100, 0, 250, 0, -100, 250, 0, 0, 1}
	comb := func(b geom.Box) float64 { return bell(off(5*b.Y) / 5 / 0.02) }
	amplitude := func(light func(b geom.Box) float64) float64 {
		s := tabled{part: spread(4), all: spread(4)}.survey()
		s.Lattice.Map, s.picture = m, drawn(500, 500, m, light)
		return s.tickSight(lattice.Piece{Of: lattice.Upright, Line: 0, Cell: 0}, 1).re[0]
	}
	ticks := amplitude(func(b geom.Box) float64 {
		if math.Abs(b.X) < 0.13 {
			return 0.3 * comb(b)
		}
		return 0
	})
	dots := amplitude(func(b geom.Box) float64 { return 0.3 * comb(b) * bell(b.X/0.02) })
	trace := amplitude(func(b geom.Box) float64 { return 3 * bell((b.Y-0.4)/0.03) })
	if ticks < 0.06 || dots > 0.03*ticks || trace > 2*ticks {
		t.Errorf("amplitudes are %.4f of ticks, %.4f of dots, %.4f of a trace", ticks, dots, trace)
	}
}
