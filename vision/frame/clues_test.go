package frame

import (
	"math"
	"math/rand/v2"
	"testing"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// What each clue to a frame is worth, in pieces as strong as the median line: one of them gains 0.6.
func TestWhatCluesAreWorthInPieces(t *testing.T) {
	in, all := spread(8), spread(24)
	score := func(d tabled, z Size, change func(s *Survey)) float64 {
		d.part, d.all = in, all
		s := d.survey()
		if change != nil {
			change(s)
		}
		return s.frameOf(in, z).Score
	}
	inside := func(of lattice.Family, k, c int) float64 {
		if k >= -4 && k <= 4 && c >= -4 && c < 4 {
			return 1
		}
		return 0
	}
	// The crossing lines go on beyond the right rim at a strength.
	goesOn := func(v float64) tabled {
		return tabled{strength: func(of lattice.Family, k, c int) float64 {
			if of == lattice.Level && c >= 4 && k >= -4 && k <= 4 {
				return v
			}
			return inside(of, k, c)
		}}
	}
	rim := func(v float64) tabled {
		return tabled{strength: func(of lattice.Family, k, c int) float64 {
			if of == lattice.Upright && k == 4 && c >= -4 && c < 4 {
				return v
			}
			return inside(of, k, c)
		}}
	}
	ticked := func(on func(of lattice.Family, k int) bool) tabled {
		return tabled{ticks: func(of lattice.Family, k, c int) (float64, float64) {
			if on(of, k) && c >= -4 && c < 4 {
				return 1, 0
			}
			return 0, 0
		}}
	}
	axes := tabled{height: func(of lattice.Family, k, c int) float64 {
		if k == 0 {
			return 3
		}
		return 1
	}}
	ten := Size{Cols: 8, Rows: 8}
	plain := score(tabled{}, ten, nil)
	halves := Size{Cols: 9, Rows: 8, Centred: true}
	rims := func(l, r float64) func(s *Survey) {
		return func(s *Survey) {
			for c := -12; c < 12; c++ {
				s.between[lattice.Piece{Of: lattice.Upright, Line: -5, Cell: c}] = l
				s.between[lattice.Piece{Of: lattice.Upright, Line: 4, Cell: c}] = r
			}
		}
	}
	dotted := func(s *Survey) { s.Lattice.Dotted = true }
	for _, c := range []struct {
		name   string
		gain   float64
		pieces float64
	}{
		{"a size rarer by one", plain - score(tabled{}, Size{Cols: 8, Rows: 8, Cost: 1}, nil), 5},
		{"lines that do not end at a rim, but fade to 0.38", plain - score(goesOn(0.38), ten, nil), 7.6},
		{"lines that do not end there at all", plain - score(goesOn(1), ten, nil), 44},
		{"ticks on the upright centre line", score(ticked(func(of lattice.Family, k int) bool { return of == lattice.Upright && k == 0 }), ten, nil) - plain, 20},
		{"ticks inside the lowest rim", score(ticked(func(of lattice.Family, k int) bool { return of == lattice.Level && (k == -4 || k == -3) }), ten, nil) - plain, 13.3},
		{"lines drawn through that cross in the middle", score(axes, ten, nil) - plain, 26.7},
		// Its eight pieces are stronger too, by half of the median line, and end more clearly at both other rims.
		{"a rim one and a half times as strong", score(rim(1.5), ten, nil) - plain - 8*0.5, 3.3 + 2.2},
		{"the same of dots", score(rim(1.5), ten, dotted) - score(tabled{}, ten, dotted) - 8*0.5, 10 + 2.2},
		{"both rims of half boxes, over none", score(tabled{}, halves, rims(0.55, 0.55)) - score(tabled{}, halves, rims(0.45, 0.45)), 33.3 + 1.3},
		{"both, over one", score(tabled{}, halves, rims(0.55, 0.55)) - score(tabled{}, halves, rims(0.55, 0.45)), 6.7 + 0.7},
	} {
		if p := c.gain / 0.6; p < c.pieces/1.3 || p > c.pieces*1.3 {
			t.Errorf("%s: worth %.1f pieces, want %.1f", c.name, p, c.pieces)
		}
	}
}

// A piece is worth what it is stronger than 0.4 of the median line; one that is covered costs half a piece at most, one
// of a trace gains no more than one and a half, and a line that no crossing line reaches is a bezel's.
func TestWhatPiecesAreWorth(t *testing.T) {
	at := func(v float64) *Survey {
		return tabled{part: spread(8), all: spread(16), strength: func(of lattice.Family, k, c int) float64 {
			if of == lattice.Upright && k == 1 && c == 1 {
				return v
			}
			return 1
		}}.survey()
	}
	for v, want := range map[float64]float64{1: 0.6, 0.5: 0.1, 0.3: -0.1, 0: -0.4, -2: -0.5, 3: 1.1, math.NaN(): -0.5} {
		s := at(v)
		if got := s.lines[0].worth[1+8][1+8]; math.Abs(got-want) > 0.02 {
			t.Errorf("a piece of %g is worth %.2f, want %.2f", v, got, want)
		}
		if r := s.rims(lattice.Extent{Left: 1, Right: 4, Bottom: 1, Top: 2}, false)[0]; v > 0 && math.Abs(r-min(v, 1.5)) > 0.02 {
			t.Errorf("a rim of %g is taken for %.2f", v, r)
		}
	}
	for crossing, want := range map[float64]float64{0: -0.3, 0.02: -0.3, 0.2: 0.1, 0.3: 0.35, 0.5: 0.6} {
		s := tabled{part: spread(8), all: spread(16), strength: func(of lattice.Family, k, c int) float64 {
			if of == lattice.Level && (c < -4 || c >= 4) {
				return crossing
			}
			return 1
		}}.survey()
		if got := s.lines[0].worth[6+8][1+8]; math.Abs(got-want) > 0.03 {
			t.Errorf("a line that crossing lines of %g reach: a piece is worth %.2f, want %.2f", crossing, got, want)
		}
	}
}

// A trace counts no more than a strong line, what is dark where a line is bright is no great fault, and where all is
// fainter than a twentieth of the ridges' unit there are no lines.
func TestPiecesAreMeasuredByTheMedianLine(t *testing.T) {
	m := lattice.Map{40, 0, 200, 0, -40, 200, 0, 0, 1}
	of := func(height func(of lattice.Family, b geom.Box) float64) *Survey {
		line := func(x float64) float64 { return math.Exp(-x * x / (2 * 0.04 * 0.04)) }
		r := &scene.Ridges{Scale: 1, W: 400, H: 400, Upright: raster.New(400, 400), Level: raster.New(400, 400)}
		up := drawn(400, 400, m, func(b geom.Box) float64 { return height(lattice.Upright, b) * line(off(b.X)) })
		lv := drawn(400, 400, m, func(b geom.Box) float64 { return height(lattice.Level, b) * line(off(b.Y)) })
		r.Upright, r.Level = up.Plane, lv.Plane.Transpose()
		g := &lattice.Grown{Map: m, Sign: 1, Part: spread(6), From: func(float64) *scene.Ridges { return r }}
		return Of(g, up)
	}
	odd := func(v float64) float64 { // the strength of a piece that is v high
		s := of(func(of lattice.Family, b geom.Box) float64 {
			if of == lattice.Upright && math.Abs(b.X) < 0.5 && b.Y > 0 && b.Y < 1 {
				return v
			}
			return 1
		})
		t := &s.lines[lattice.Upright]
		return t.strength[-t.k0][-t.c0]
	}
	for v, want := range map[float64]float64{2: 1.2, 1: 0.95, -2: -0.6} {
		if got := odd(v); math.Abs(got-want) > 0.1 {
			t.Errorf("a piece with a ridge of %g has the strength %.2f, want %.2f", v, got, want)
		}
	}
	for v, want := range map[float64][2]float64{0.065: {0.45, 0.65}, 0.018: {-0.4, 0}} {
		s := of(func(lattice.Family, geom.Box) float64 { return v })
		if w := s.lines[0].worth[-s.lines[0].k0][-s.lines[0].c0]; w < want[0] || w > want[1] {
			t.Errorf("where all ridges are %g high a piece is worth %.2f", v, w)
		}
	}
}

// What is looked at around a lattice: five boxes more, or what makes 16 with its own, at most as many as it has and
// eight; and never past the horizon.
func TestHowFarAroundALatticeIsLookedAt(t *testing.T) {
	for boxes, past := range map[int]int{3: 5, 4: 5, 6: 7, 7: 8, 8: 8, 9: 7, 10: 6, 12: 5, 18: 5} {
		g := &lattice.Grown{Map: lattice.Map{10, 0, 200, 0, -10, 200, 0, 0, 1}, Part: lattice.Extent{Right: boxes, Top: 5}}
		if x := surveyed(g); x.Left != -past || x.Right != boxes+past {
			t.Errorf("of %d boxes %d and %d more are looked at, want %d", boxes, -x.Left, x.Right-boxes, past)
		}
	}
	g := &lattice.Grown{Map: lattice.Map{10, 0, 200, 0, -10, 200, 0.098, 0, 1}, Part: lattice.Extent{Left: -4, Right: 4, Bottom: -4, Top: 4}}
	// Past -8 what is seen is five times as near to the camera as the origin.
	if x := surveyed(g); x.Left != -7 {
		t.Errorf("towards the horizon it is looked at up to %d", x.Left)
	}
}

// A candidate is clear if its lines stop at its rims, no other frame comes near, half of its lines are there, and its
// count and boxes are usual; it is preferred to one that is not if that has less than one and a half times its quality.
func TestWhatMakesACandidateClear(t *testing.T) {
	sound := func() *Candidate {
		c := &Candidate{Survey: tabled{part: spread(8), all: spread(8)}.survey(), Margin: 15, There: 0.6, Quality: 100}
		c.Frame = Frame{Extent: spread(8), Size: Size{Cols: 10, Rows: 8, Cost: 1.5}, Stops: [4]float64{0.8, 0.8, 0.8, 0.5}}
		return c
	}
	for name, change := range map[string]func(c *Candidate){
		"a rim less":        func(c *Candidate) { c.Frame.Stops[0] = 0.3 },
		"another frame":     func(c *Candidate) { c.Margin = 9 },
		"most lines hidden": func(c *Candidate) { c.There = 0.4 },
		"a rare size":       func(c *Candidate) { c.Frame.Size.Cost = 3 },
		"wide boxes":        func(c *Candidate) { c.Survey.Lattice.Map = lattice.Times(c.Survey.Lattice.Map, 1.6, 1) },
		"high boxes":        func(c *Candidate) { c.Survey.Lattice.Map = lattice.Times(c.Survey.Lattice.Map, 1, 1.9) },
		"two inks":          func(c *Candidate) { c.TwoInks = true },
	} {
		c := sound()
		c.Survey.Lattice.Map = lattice.Times(c.Survey.Lattice.Map, 1.2, 1)
		if !c.Clear() {
			t.Fatal("a sound candidate is not clear")
		}
		if change(c); c.Clear() {
			t.Errorf("%s: it is clear", name)
		}
	}
	for quality, better := range map[float64]bool{130: false, 170: true} {
		other := sound()
		other.TwoInks, other.Quality = true, quality
		if got := other.Worth() > sound().Worth(); got != better {
			t.Errorf("one that is not clear, of quality %g, is preferred to a clear one of 100: %v", quality, got)
		}
	}
}

// Boxes far higher than wide, and lines off the lattice by 0.06 box, each halve the quality.
func TestNarrowBoxesAndLooseLinesHalveTheQuality(t *testing.T) {
	quality := func(aspect, rms float64) float64 {
		c := &Candidate{Survey: tabled{part: spread(8), all: spread(16)}.survey()}
		g := c.Survey.Lattice
		g.Map, g.RMS = lattice.Times(g.Map, aspect, 1), rms
		c.rate(*c.Survey.frameOf(spread(8), Size{Cols: 10, Rows: 8}), 10)
		return c.Quality
	}
	one := quality(1, 0)
	for _, c := range []struct{ aspect, rms, want float64 }{{0.8, 0, 1}, {0.65, 0, 0.5}, {1, 0.06, 0.5}} {
		if q := quality(c.aspect, c.rms) / one; math.Abs(q-c.want) > 0.1 {
			t.Errorf("boxes of %g, lines off by %g: %.2f of the quality, want %.2f", c.aspect, c.rms, q, c.want)
		}
	}
}

// Two frames are the same if their corners are within a quarter of a box.
func TestFramesAreTheSameToAQuarterOfABox(t *testing.T) {
	c := &Candidate{Survey: tabled{part: spread(8), all: spread(8)}.survey(), Frame: Frame{Extent: spread(8), Size: Size{Cols: 8, Rows: 8}}}
	for shift, same := range map[float64]bool{0: true, 0.2: true, 0.3: false, 1: false} {
		d := &Candidate{Survey: tabled{part: spread(8), all: spread(8)}.survey(), Frame: c.Frame}
		d.Survey.Lattice.Map = lattice.Shift(d.Survey.Lattice.Map, shift, 0)
		if got := c.SameFrame(d); got != same {
			t.Errorf("%g box apart: the same is %v", shift, got)
		}
	}
}

// A line is there that has a third of the others' strength; of every second line, two fifths.
func TestWhichLinesAreThere(t *testing.T) {
	for _, c := range []struct {
		lines []float64
		want  float64
	}{
		{[]float64{1, 1, 1, 1, 1, 1, 1, 1}, 1},
		{[]float64{1, 1, 1, 0.4, 1, 1, 1, 1}, 1},
		{[]float64{1, 1, 1, 0.3, 1, 1, 1, 1}, 7. / 8},
		{[]float64{1, 0.45, 1, 0.45, 1, 0.45, 1, 0.45}, 1},
		{[]float64{1, 0.2, 1, 0.2, 1, 0.2, 1, 0.2}, 0.25},
		{[]float64{1, 0, 1, 0, 1, 0, 1, 0}, 0},
	} {
		if q := lineQuality(c.lines); math.Abs(q-c.want) > 0.02 {
			t.Errorf("%v: %.3f, want %.3f", c.lines, q, c.want)
		}
	}
}

// A rim is known from the opposite one if that is clear and ticks prove the centre.
func TestARimIsKnownFromTheOppositeOne(t *testing.T) {
	for _, c := range []struct {
		ticks, rim, stop float64
		want             bool
	}{{0.95, 0.8, 0.7, true}, {0.8, 0.8, 0.7, false}, {0.95, 0.6, 0.7, false}, {0.95, 0.8, 0.5, false}} {
		f := Frame{CentreTicks: [2]float64{c.ticks, 0}, Rims: [4]float64{0, c.rim, 1, 1}, Stops: [4]float64{0, c.stop, 1, 1}}
		if k := f.Known(); k != [4]bool{c.want, false, false, false} {
			t.Errorf("ticks %g, rim %g, stop %g: known are %v", c.ticks, c.rim, c.stop, k)
		}
	}
}

// Frames overlap the grown part by two boxes or more.
func TestFramesOverlapWhatWasGrown(t *testing.T) {
	s := tabled{part: spread(20), all: spread(32)}.survey()
	least, most := 100, 0
	for _, f := range s.Where(geom.Frame{Cols: 7, Rows: 5}, func(Frame) bool { return true }) {
		over := min(f.Right, 10) - max(f.Left, -10)
		least, most = min(least, over), max(most, over)
	}
	if least != 2 || most != 7 {
		t.Errorf("frames overlap the part by %d to %d boxes", least, most)
	}
}

// The frame of the highest score is found though others lie ahead of it before ticks and axes are looked for: tables
// drawn at random, with ticks on one frame's centre lines and rims and lines missing inside it.
func TestAFrameMayComeFromBehindByItsTicks(t *testing.T) {
	behind := 0
	for seed := range uint64(200) {
		rng := rand.New(rand.NewPCG(seed, 7))
		own := lattice.Extent{Left: rng.IntN(8) - 6, Bottom: rng.IntN(8) - 6}
		own.Right, own.Top = own.Left+6, own.Bottom+6
		gone := rng.Float64()
		s := tabled{
			part: spread(12), all: spread(24),
			strength: func(of lattice.Family, k, c int) float64 {
				first, last, from, to := own.Lines(of)
				if k > first && k < last && c >= from && c < to && rng.Float64() < gone {
					return 0
				}
				return 0.7 + 0.3*rng.Float64()
			},
			ticks: func(of lattice.Family, k, c int) (float64, float64) {
				first, last, from, to := own.Lines(of)
				if c >= from && c < to && (k == first || k == last || 2*k == first+last) {
					return 1, 0
				}
				return 0, 0
			},
			height: func(of lattice.Family, k, c int) float64 {
				if first, last, _, _ := own.Lines(of); 2*k == first+last {
					return 3
				}
				return 1
			},
		}.survey()
		want := geom.Frame{Cols: 6, Rows: 6}
		best, _, ok := s.Best(want)
		top, _, any := bestOfAll(s, want)
		if ok != any || ok && best != top {
			t.Errorf("seed %d: %v, scored %.1f, is taken, and the best is %v, %.1f", seed, best.Extent, best.Score, top.Extent, top.Score)
		}
		if top.Extent == own && top.Score > 0 {
			behind++
		}
	}
	if behind < 20 {
		t.Errorf("the frame with the ticks is the best in %d tables only", behind)
	}
}

// On a display of dots all over, rows that are brighter than others gain a frame nothing: dots are there or not.
func TestBrightRowsOfDotsGainNothing(t *testing.T) {
	m := lattice.Map{100, 0, 350, 0, -100, 350, 0, 0, 1}
	row := func(x float64) float64 {
		k := math.Round(5 * x)
		h := 1.0
		if math.Mod(k, 5) == 0 {
			h = 1.4
		}
		return h * bell((x-k/5)/0.013)
	}
	inside := func(of func(geom.Box) float64) func(geom.Box) float64 {
		return func(b geom.Box) float64 {
			if math.Abs(b.X) > 3.25 || math.Abs(b.Y) > 3.25 {
				return 0
			}
			return of(b)
		}
	}
	up := drawn(700, 700, m, inside(func(b geom.Box) float64 { return row(b.X) }))
	lv := drawn(700, 700, m, inside(func(b geom.Box) float64 { return row(b.Y) }))
	r := &scene.Ridges{Scale: 1, W: 700, H: 700, Upright: up.Plane, Level: lv.Plane.Transpose()}
	var gs []*lattice.Grown
	for _, off := range []float64{0, 0.2} {
		gs = append(gs, &lattice.Grown{Map: lattice.Shift(m, off, off), Sign: 1, Dotted: true,
			Part: lattice.Extent{Left: -3, Right: 3, Bottom: -3, Top: 3}, From: func(float64) *scene.Ridges { return r }})
	}
	cs := CandidatesOfDots(gs, up, geom.Frame{Cols: 6, Rows: 6})
	if len(cs) != 2 {
		t.Fatalf("%d candidates", len(cs))
	}
	a, b := cs[0].Survey.sum(spread(4)), cs[1].Survey.sum(spread(4))
	if a < 5 || b < 5 || math.Abs(a-b) > 2 {
		t.Errorf("the bright rows come to %.1f, the others to %.1f", a, b)
	}
}
