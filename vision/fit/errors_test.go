package fit

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
)

// spreadOf gives what the covariance claims for the place b, in boxes.
func spreadOf(m *Model, s sightedGrid, obs []Observation, t *testing.T, b geom.Box) (x, y float64) {
	cov, ok := Adjust(m, obs)
	if !ok {
		t.Fatal("no fit")
	}
	for _, v := range m.Moves(cov, []geom.Box{b}) {
		x, y = x+v.DX[0]*v.DX[0], y+v.DY[0]*v.DY[0]
	}
	return math.Sqrt(x), math.Sqrt(y)
}

// However well lines are seen, all upright ones may lie 0.0011 box off together, for a panel's stripes of colour, and
// all level ones 0.0002.
func TestLinesOfOneFamilyShareAShift(t *testing.T) {
	s := sightedGrid{piece: 1e-5}
	obs, _, m := s.seen(rand.New(rand.NewPCG(1, 2)))
	x, y := spreadOf(m, s, obs, t, geom.Box{})
	if x < 0.0009 || x > 0.0015 || y < 0.00017 || y > 0.0003 {
		t.Errorf("the centre is claimed to %.5f box across and %.5f up", x, y)
	}
}

// A frame that fills a small part of the photo says nothing of the lens: what is known of it is what phones have.
func TestASmallFrameLeavesTheLensAsPhonesHaveIt(t *testing.T) {
	f := geom.Frame{Cols: 10, Rows: 8}
	m := New(4000, 3000, boxes(30, 30, 2000, 1500), f)
	xs, ys := Rulings(f, false)
	var obs []Observation
	rng := rand.New(rand.NewPCG(1, 2))
	for k, x := range xs {
		for c := range len(ys) - 1 {
			p := m.Pixel(geom.Box{X: x + 0.002*rng.NormFloat64(), Y: ys[c] + 0.5})
			obs = append(obs, Observation{lattice.Piece{Of: lattice.Upright, Line: k, Cell: c}, x, p, 1, false})
		}
	}
	for k, y := range ys {
		for c := range len(xs) - 1 {
			p := m.Pixel(geom.Box{X: xs[c] + 0.5, Y: y + 0.002*rng.NormFloat64()})
			obs = append(obs, Observation{lattice.Piece{Of: lattice.Level, Line: k, Cell: c}, y, p, 1, false})
		}
	}
	cov, ok := Adjust(m, obs)
	if !ok {
		t.Fatal("no fit")
	}
	if a, b := math.Sqrt(cov.At(8, 8)), math.Sqrt(cov.At(9, 9)); a < 0.016 || a > 0.0201 || b < 0.009 || b > 0.0101 {
		t.Errorf("the lens is known to %.4f and %.4f", a, b)
	}
}

// A piece counts fully within three spreads of its line and hardly beyond four and a half; a spread of under 0.0005 box
// is no spread.
func TestOutliersLoseTheirWeight(t *testing.T) {
	for _, spread := range []float64{0, 0.0005, 0.004} {
		unit := max(spread, 0.0005)
		for times, want := range map[float64][2]float64{2.8: {1, 1}, 4.5: {0, 0.25}} {
			var obs []Observation
			var res []float64
			for i := range 41 {
				obs = append(obs, Observation{Weight: 1})
				res = append(res, spread*float64(i%2*2-1)/1.4826) // whose median absolute deviation is that of the spread
			}
			res[0] = times * unit
			weigh(obs, res)
			if w := obs[0].Weight; w < want[0] || w > want[1] {
				t.Errorf("pieces spread %g: one %g spreads off has the weight %.2f", spread, times, w)
			}
		}
	}
}

// Pieces that fit exactly are claimed to be off by a ten thousandth of a box.
func TestNoFitOnPixelsIsExact(t *testing.T) {
	s := sightedGrid{}
	obs, _, m := s.seen(rand.New(rand.NewPCG(1, 2)))
	res := make([]float64, len(obs))
	n := linearise(m, obs, res).noise()
	if n.piece < 0.7e-4 || n.piece > 1.4e-4 {
		t.Errorf("pieces are claimed to lie off by %.6f box", n.piece)
	}
}

// A line is left out that lies 0.02 box and four times the spread of the lines off the others.
func TestLinesBesideTheGridAreLeftOut(t *testing.T) {
	for _, c := range []struct {
		spread, off float64
		out         bool
	}{{0, 0.015, false}, {0, 0.03, true}, {0.01, 0.03, false}, {0.01, 0.06, true}} {
		var obs []Observation
		var res []float64
		for k := range 11 {
			for cell := range 8 {
				off := c.spread / 1.4826 * float64(k%2*2-1)
				if k == 5 {
					off = c.off
				}
				obs = append(obs, Observation{Piece: lattice.Piece{Line: k, Cell: cell}, Weight: 1})
				res = append(res, off)
			}
		}
		DropLines(obs, res)
		for _, o := range obs {
			if out := o.Weight == 0; out != (c.out && o.Line == 5) {
				t.Fatalf("lines spread %g, one %g off: line %d is left out: %v", c.spread, c.off, o.Line, out)
			}
		}
	}
}

// Before lines that a table covers its edge may lie, and is no line if it is far off for its uncertainty.
func TestTheEdgeOfATableIsNoLine(t *testing.T) {
	for off, out := range map[float64]bool{0: false, 0.004: false, 0.009: true, 0.05: true} {
		s := sightedGrid{line: 0.0005, piece: 0.002}
		obs, _, m := s.seen(rand.New(rand.NewPCG(5, 6)))
		const edge = 7
		var left []Observation
		for _, o := range obs {
			switch {
			case o.Of == lattice.Upright && o.Line > edge, o.Of == lattice.Level && o.Cell >= edge:
				continue
			case o.Of == lattice.Upright && o.Line == edge:
				o.Place.X += 100 * off
			}
			left = append(left, o)
		}
		Approach(m, left)
		dropEnds(m, left, 11, 9)
		for _, o := range left {
			if o.Of == lattice.Upright && o.Line == edge && (o.Weight == 0) != out {
				t.Errorf("%g box off: left out is %v", off, o.Weight == 0)
				break
			}
		}
	}
}

// Rims that ticks draw outwards by 0.006 box move the grid inside by far less.
func TestRimsThatAreDrawnAwayDoNotMoveTheGrid(t *testing.T) {
	s := sightedGrid{piece: 0.001}
	obs, truth, m := s.seen(rand.New(rand.NewPCG(7, 8)))
	for i, o := range obs {
		if o.Outer && o.Of == lattice.Upright {
			obs[i].Place.X += 0.6 * math.Copysign(1, o.At)
		}
		if o.Outer && o.Of == lattice.Level {
			obs[i].Place.Y -= 0.6 * math.Copysign(1, o.At)
		}
	}
	if !Approach(m, obs) {
		t.Fatal("no fit")
	}
	if _, ok := Adjust(m, obs); !ok {
		t.Fatal("no fit")
	}
	sum := 0.0
	for _, b := range [4]geom.Box{{X: -4, Y: 3}, {X: 4, Y: 3}, {X: 4, Y: -3}, {X: -4, Y: -3}} {
		q := m.Box(truth(b))
		sum += math.Hypot(q.X-b.X, q.Y-b.Y) / 4
	}
	if sum > 0.0008 {
		t.Errorf("inner corners are %.5f box off", sum)
	}
}

// A piece agrees with the fit if it has a fifth of its weight.
func TestPiecesOfLittleWeightDoNotAgree(t *testing.T) {
	f := Fit{Model: *New(400, 400, boxes(40, 40, 200, 200), geom.Frame{Cols: 4, Rows: 4})}
	f.Tell([]Observation{{Weight: 1, Place: geom.Pixel{X: 200, Y: 200}}, {Weight: 0.3, Place: geom.Pixel{X: 204, Y: 200}}, {Weight: 0.15, Place: geom.Pixel{X: 240, Y: 200}}})
	if f.Seen != 2 || math.Abs(f.RMS-0.1/math.Sqrt2) > 1e-9 {
		t.Errorf("%d agree, rms %.4f", f.Seen, f.RMS)
	}
}
