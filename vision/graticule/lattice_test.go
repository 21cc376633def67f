package graticule

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

// anyLattice draws a homography of a display as photos show it.
func anyLattice(t *rapid.T) lattice {
	in := func(name string, a, b float64) float64 { return rapid.Float64Range(a, b).Draw(t, name) }
	turn, size, aspect := in("turn", -0.4, 0.4), in("size", 25, 300), in("aspect", 0.7, 1.4)
	return lattice{
		size * math.Cos(turn), size * math.Sin(turn) / aspect, in("x", 500, 3500),
		size * math.Sin(turn), -size * math.Cos(turn) / aspect, in("y", 500, 2500),
		in("px", -0.02, 0.02), in("py", -0.02, 0.02), 1,
	}
}

func TestFitLatticeGoesThroughCleanPiecesAndIgnoresStrayOnes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		truth := anyLattice(t)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		part := extent{-5, 5, -4, 4}
		var seen []sighting
		part.pieces(func(pc piece) {
			off := 0.0
			switch u := rng.Float64(); {
			case u < 0.3: // hidden
				return
			case u < 0.4: // a trace's edge in place of the line
				off = 0.3 * (rng.Float64() - 0.5)
			}
			seen = append(seen, sighting{piece: pc, place: truth.Pixel(pc.at(off, 0.5))})
		})
		h, _, ok := fitLattice(seen, truth, 0)
		if !ok {
			t.Fatal("no fit")
		}
		for _, b := range []geom.Box{{X: -5, Y: -4}, {X: 5, Y: -4}, {X: 5, Y: 4}, {X: -5, Y: 4}} {
			if q := h.Box(truth.Pixel(b)); math.Hypot(q.X-b.X, q.Y-b.Y) > 0.02 {
				t.Fatalf("%v comes out at %v", b, q)
			}
		}
	})
}

func TestShiftMovesTheOriginOnly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := anyLattice(t)
		x, y := float64(rapid.IntRange(-5, 5).Draw(t, "dx")), float64(rapid.IntRange(-5, 5).Draw(t, "dy"))
		s := shift(h, x, y)
		a, b := s.Pixel(geom.Box{X: 1, Y: 2}), h.Pixel(geom.Box{X: 1 + x, Y: 2 + y})
		if math.Hypot(a.X-b.X, a.Y-b.Y) > 1e-6 {
			t.Fatalf("%v, %v", a, b)
		}
		part := extent{-3, 3, -3, 3}
		if !agree(h, s, part) {
			t.Fatal("a lattice does not agree with itself about another origin")
		}
		if agree(h, shift(h, 0.5, 0), part) {
			t.Fatal("a lattice agrees with itself half a box off")
		}
	})
}

// meanTwin is the naive running mean down a column.
func meanTwin(p *raster.Plane, x, y, n int) float64 {
	s, k := 0.0, 0
	for d := -n / 2; d <= n/2; d++ {
		if y+d >= 0 && y+d < p.H {
			s += float64(p.Pix[(y+d)*p.W+x])
			k++
		}
	}
	return s / float64(k)
}

func TestRunningMeansEqualTheirNaiveTwin(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 8))
	for _, size := range [][2]int{{1, 1}, {3, 50}, {150, 2}, {70, 90}, {64, 35}} {
		p := raster.New(size[0], size[1])
		for i := range p.Pix {
			p.Pix[i] = rng.Float32()
		}
		for _, n := range []int{3, 7, 35} {
			down, across := raster.New(p.W, p.H), transpose(p)
			copy(down.Pix, p.Pix)
			meanDown(down, n)
			meanAcross(across, n)
			for y := range p.H {
				for x := range p.W {
					want := meanTwin(p, x, y, n)
					if a, b := float64(down.Row(y)[x]), float64(across.Row(x)[y]); math.Abs(a-want) > 1e-5 || math.Abs(b-want) > 1e-5 {
						t.Fatalf("%v, n = %d at (%d, %d): down %v, across %v, want %v", size, n, x, y, a, b, want)
					}
				}
			}
		}
	}
}

func TestHalvingAndDoublingKeepPlaces(t *testing.T) {
	p := raster.New(40, 30)
	for y := range p.H {
		for x := range p.W {
			p.Row(y)[x] = float32(3*(float64(x)+0.5) - 2*(float64(y)+0.5))
		}
	}
	big, small := double(p), halve(p)
	for _, q := range []geom.Pixel{{X: 5.3, Y: 7.9}, {X: 20, Y: 15}, {X: 33.1, Y: 22.2}} {
		want := 3*q.X - 2*q.Y
		a, _ := big.Bilinear(geom.Pixel{X: 2 * q.X, Y: 2 * q.Y})
		b, _ := small.Bilinear(geom.Pixel{X: q.X / 2, Y: q.Y / 2})
		if math.Abs(float64(a)-want) > 1e-3 || math.Abs(float64(b)-want) > 1e-3 {
			t.Errorf("at %v: %v and %v, want %v", q, a, b, want)
		}
	}
}

// A trace ten times as bright as the lines is brought to within six times, and the lines keep half.
func TestDimmingBringsATraceNearerToTheLines(t *testing.T) {
	const size, step, line, trace = 400, 50, 0.1, 1.0
	p := raster.New(size, size)
	rng := rand.New(rand.NewPCG(1, 2))
	for y := range size {
		for x := range size {
			v := 0.01 * rng.NormFloat64()
			if x%step < 2 || y%step < 2 {
				v += line
			}
			if y >= 170 && y < 174 {
				v += trace
			}
			p.Pix[y*size+x] = float32(v)
		}
	}
	grey := raster.New(size, size)
	copy(grey.Pix, p.Pix)
	d := dimmed(light{scale: 1, log: p}, grey).log
	ridge := func(x, y int) float64 {
		return float64(d.Pix[y*size+x] - (d.Pix[(y-15)*size+x-15]+d.Pix[(y+15)*size+x+15])/2)
	}
	var lines, traces float64
	for k := 60; k < 340; k++ {
		lines += ridge(200, k)
		traces += ridge(k, 172)
	}
	if lines < 280*line/2 || traces > 6*lines {
		t.Errorf("the line is %.3f high, the trace %.3f", lines/280, traces/280)
	}
}
