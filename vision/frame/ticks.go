package frame

// Minor ticks: the strongest single clue to where a graticule's centre and rims are.
//
// Most displays draw short ticks, five to a box, some four or two, across their two centre lines and inwards from
// their rims, and nowhere else. Close beside a line (0.05 to 0.13 box: ticks reach there, the dots of a dotted line do
// not) the lightness along the line then has a component of as many periods a box with its crest at the crossings. A
// Hann window over each box keeps the crossing lines out; what it lets through of a neighbouring count has its trough
// at the crossings.

import (
	"math"
	"slices"

	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	tickSamples  = 40  // a box, eight to a tick (TestDotsOfALineAreNoTicks)
	tickFlatClip = 0.5 // TestDotsOfALineAreNoTicks
	tickNoise    = 1.8 // times its uncertainty: a lower amplitude is none (TestFewTicksMayBeChance)
	// What stands at four or two to a box must be as strong both ways to ticksBothWays, and beside the median line be less
	// than ticksOfAll of the strongest: minor lines, wide dots and words are no ticks. Nothing that looks like five was
	// seen to mislead (TestWhichTicksAreCounted) (TestWhichTicksAreCounted).
	ticksBothWays, ticksOfAll = 0.4, 0.3
)

// tickOffsets are the distances from the line, in boxes, that are averaged (TestDotsOfALineAreNoTicks).
var tickOffsets = [3]float64{0.06, 0.09, 0.12}

// tickCounts are the counts of ticks a box that are told apart (TestDotsOfALineAreNoTicks).
var tickCounts = [3]int{5, 4, 2}

// tickWave has the Hann window times the waves of tickCounts, over one box, and windowSum the sum of the window.
var tickWave, windowSum = func() (w [tickSamples]struct {
	cos, sin [len(tickCounts)]float64
	window   float64
}, sum float64) {
	for i := range w {
		t := (float64(i) + 0.5) / tickSamples
		w[i].window = 1 - math.Cos(2*math.Pi*t)
		sum += w[i].window
		for m, n := range tickCounts {
			w[i].cos[m] = w[i].window * math.Cos(2*math.Pi*float64(n)*t)
			w[i].sin[m] = w[i].window * math.Sin(2*math.Pi*float64(n)*t)
		}
	}
	return w, sum
}()

// A tickSight has the components of one side of one piece, in log lightness; ok is false outside the photo.
type tickSight struct {
	re, im [len(tickCounts)]float64
	ok     bool
}

// A tickPair has the sights on both sides of a piece, that of falling lines first.
type tickPair struct {
	side [2]tickSight
	seen bool // whether they were looked at
}

// ticksBeside gives the ticks beside the piece p.
func (s *Survey) ticksBeside(p lattice.Piece) *tickPair {
	t := &s.lines[p.Of]
	pair := &t.tick[p.Line-t.k0][p.Cell-t.c0]
	if !pair.seen {
		pair.seen = true
		pair.side[0], pair.side[1] = s.tickSight(p, -1), s.tickSight(p, 1)
	}
	return pair
}

// tickSight gives the components beside p, on the side of growing lines (side = +1) or of falling ones (-1).
func (s *Survey) tickSight(p lattice.Piece, side float64) (out tickSight) {
	var v [tickSamples]float64
	var row [tickSamples]float32
	g := s.Lattice
	for _, off := range tickOffsets {
		a, b := g.Map.Pixel(p.At(side*off, 0.5/tickSamples)), g.Map.Pixel(p.At(side*off, 1-0.5/tickSamples))
		if !s.picture.Run(row[:], a, b) {
			return out
		}
		for i, l := range row {
			v[i] += float64(g.Sign*l) / float64(len(tickOffsets))
		}
	}
	mean := 0.0
	for i, w := range tickWave {
		mean += v[i] * w.window
	}
	mean /= windowSum
	for i, w := range tickWave {
		d := raster.Clip(v[i]-mean, -tickFlatClip, tickFlatClip) / windowSum
		for m := range tickCounts {
			out.re[m] += d * w.cos[m]
			out.im[m] += d * w.sin[m]
		}
	}
	out.ok = true
	return out
}

// A tickCount is the count of ticks a box that a display has: the one whose strongest lines are strongest.
type tickCount struct {
	told bool
	m    int          // index of tickCounts
	amps [2][]float64 // amplitude of each line's ticks, over the cells that were grown
}

// countTicks tells the count of ticks. Axes and rims have the same both ways; words and tables have not.
func (s *Survey) countTicks() *tickCount {
	if s.ticks.told {
		return &s.ticks
	}
	s.ticks.told = true
	most := -1.0
	for n := range tickCounts {
		trial := [2][]float64{s.tickAmplitudes(lattice.Upright, n), s.tickAmplitudes(lattice.Level, n)}
		a, b := slices.Max(trial[0]), slices.Max(trial[1])
		if n > 0 && (s.Lattice.Dotted || min(a, b) < ticksBothWays*max(a, b) || max(typical(trial[0]), typical(trial[1])) > ticksOfAll) {
			continue
		}
		if a+b > most {
			s.ticks.m, s.ticks.amps, most = n, trial, a+b
		}
	}
	return &s.ticks
}

// Sides on which ticks are asked for.
const (
	before = iota // of falling lines
	behind        // of growing lines
	both
)

// tickClue rates the ticks of line k of a family along x, 0..1, on the sides asked for.
func (s *Survey) tickClue(of lattice.Family, k int, x lattice.Extent, side int) float64 {
	n := s.countTicks()
	first, last, lo, hi := x.Lines(of)
	// The frame's own inner lines set the measure: words beneath it look like ticks too.
	k0 := s.lines[of].k0
	most := slices.Max(n.amps[of][first+1-k0 : last-k0])
	if most == 0 {
		return 0
	}
	a, z := s.ticksAlong(of, k, lo, hi, side, n.m)
	r := raster.Clip(a/most, 0, 1)
	return raster.Clip((z-tickNoise)/2, 0, 1) * r * r
}

// typical is the median of amps over the largest; 0 if there are none.
func typical(amps []float64) float64 {
	if most := slices.Max(amps); most > 0 {
		return raster.Median(slices.Clone(amps)) / most
	}
	return 0
}

// tickAmplitudes gives, of each line of a family, the amplitude of the ticks of count m over the cells that were grown;
// 0 where there are none.
func (s *Survey) tickAmplitudes(of lattice.Family, m int) (amps []float64) {
	_, _, lo, hi := s.Lattice.Part.Lines(of)
	for k := s.lines[of].k0; k <= s.lines[of].k1; k++ {
		a, z := s.ticksAlong(of, k, lo-1, hi+1, both, m)
		if z <= tickNoise {
			a = 0
		}
		amps = append(amps, a)
	}
	return amps
}

// ticksAlong gives the amplitude of the ticks of count m beside line k of a family over the cells lo..hi-1, and how
// many times its uncertainty that is.
func (s *Survey) ticksAlong(of lattice.Family, k, lo, hi, side, m int) (a, z float64) {
	t := &s.lines[of]
	if k < t.k0 || k > t.k1 {
		return 0, 0
	}
	re, sq, n := 0.0, 0.0, 0
	for c := max(lo, t.c0); c < min(hi, t.c1); c++ {
		if math.IsNaN(t.strength[k-t.k0][c-t.c0]) {
			continue // it is not on the picture
		}
		pair := s.ticksBeside(lattice.Piece{Of: of, Line: k, Cell: c})
		for d := range pair.side {
			if p := &pair.side[d]; (side == both || side == d) && p.ok {
				re += p.re[m]
				sq += p.re[m]*p.re[m] + p.im[m]*p.im[m]
				n++
			}
		}
	}
	if n == 0 {
		return 0, 0
	}
	return re / float64(n), re / math.Sqrt(sq/2+1e-12)
}
