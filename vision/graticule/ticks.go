package graticule

// Minor ticks: the strongest single clue to where a graticule's centre and rims are.
//
// Most displays draw short ticks, five to a box, some four or two, across their two centre lines and inwards from
// their rims, and nowhere else. Close beside a line (0.05 to 0.13 box: ticks reach there, the dots of a
// dotted line do not) the lightness along the line then has a component of as many periods a box with
// its crest at the crossings. A Hann window over each box keeps the crossing lines out; what it lets through of
// a neighbouring count has its trough at the crossings.

import (
	"math"
	"slices"
)

const (
	ticksPerBox  = 5
	tickSamples  = 40 // a box, eight to a tick
	tickFlatClip = 0.5
	tickNoise    = 1.8 // times its uncertainty: a lower amplitude is none
	// What stands at four or two to a box must be as strong both ways to ticksBothWays, and beside the median line be less than
	// ticksOfAll of the strongest: minor lines, wide dots and words are no ticks. Nothing that looks like five was seen to mislead.
	ticksBothWays, ticksOfAll = 0.4, 0.3
)

// tickOffsets are the distances from the line, in boxes, that are averaged.
var tickOffsets = [3]float64{0.06, 0.09, 0.12}

// tickCounts are the counts of ticks a box that are told apart.
var tickCounts = [3]int{ticksPerBox, 4, 2}

// tickWave has the Hann window times the waves of tickCounts, and the window, all over one box.
var tickWave = func() (w [tickSamples]struct {
	cos, sin [len(tickCounts)]float64
	win      float64
}) {
	for i := range w {
		t := (float64(i) + 0.5) / tickSamples
		win := 1 - math.Cos(2*math.Pi*t)
		w[i].win = win
		for m, n := range tickCounts {
			w[i].cos[m] = win * math.Cos(2*math.Pi*float64(n)*t)
			w[i].sin[m] = win * math.Sin(2*math.Pi*float64(n)*t)
		}
	}
	return w
}()

// A tickSight has the components of one side of one piece, in log lightness; ok is false outside the photo.
type tickSight struct {
	re, im [len(tickCounts)]float64
	ok     bool
}

// tick gives the components beside pc, on the side of growing k (side = +1) or of falling k (-1).
func (f *closeUp) tick(h *lattice, pc piece, side float64, sign float32) (s tickSight) {
	var v [tickSamples]float64
	var row [tickSamples]float32
	n := 0.0
	for _, off := range tickOffsets {
		a, b := h.Pixel(pc.at(side*off, 0.5/tickSamples)), h.Pixel(pc.at(side*off, 1-0.5/tickSamples))
		if !f.run(row[:], a, b) {
			return s
		}
		for i, g := range row {
			v[i] += float64(sign*g) / float64(len(tickOffsets))
		}
	}
	mean := 0.0
	for i, w := range tickWave {
		mean += v[i] * w.win
		n += w.win
	}
	mean /= n
	for i, w := range tickWave {
		d := min(max(v[i]-mean, -tickFlatClip), tickFlatClip)
		for m := range tickCounts {
			s.re[m] += d * w.cos[m] / n
			s.im[m] += d * w.sin[m] / n
		}
	}
	s.ok = true
	return s
}

// tickClues gives a function that rates the ticks of line k of fam along x, 0..1: on the side of
// falling k (side = 0), of growing k (1), or on both (2).
func (s *survey) tickClues() func(fam family, k int, x extent, side int) float64 {
	// The count of ticks a box whose strongest lines are strongest. Axes and rims have the same both ways; words and
	// tables have not.
	var m int
	var amps [2][]float64 // amplitude of each line's ticks, over the cells that were grown
	most := -1.0
	for n := range tickCounts {
		trial := [2][]float64{s.tickAmplitudes(upright, n), s.tickAmplitudes(level, n)}
		a, b := slices.Max(trial[upright]), slices.Max(trial[level])
		if n > 0 && (s.g.dotted || min(a, b) < ticksBothWays*max(a, b) || max(typical(trial[upright]), typical(trial[level])) > ticksOfAll) {
			continue
		}
		if a+b > most {
			m, amps, most = n, trial, a+b
		}
	}
	return func(fam family, k int, x extent, side int) float64 {
		lo, hi := x.bottom, x.top
		first, last := x.left, x.right
		if fam == level {
			lo, hi, first, last = first, last, lo, hi
		}
		// The frame's own inner lines set the measure: words beneath it look like ticks too.
		k0, _, _, _ := s.ranges(fam)
		most := slices.Max(amps[fam][first+1-k0 : last-k0])
		if most == 0 {
			return 0
		}
		a, z := s.ticksAlong(fam, k, lo, hi, side, m)
		r := min(max(a/most, 0), 1)
		return min(max((z-tickNoise)/2, 0), 1) * r * r
	}
}

// typical is the median of amps over the largest; 0 if there are none.
func typical(amps []float64) float64 {
	if most := slices.Max(amps); most > 0 {
		return median(slices.Clone(amps)) / most
	}
	return 0
}

// tickAmplitudes gives, of each line of fam, the amplitude of the ticks of count m over the cells that were grown;
// 0 where there are none.
func (s *survey) tickAmplitudes(fam family, m int) (amps []float64) {
	k0, k1, _, _ := s.ranges(fam)
	lo, hi := s.g.part.bottom-1, s.g.part.top+1
	if fam == level {
		lo, hi = s.g.part.left-1, s.g.part.right+1
	}
	for k := k0; k <= k1; k++ {
		a, z := s.ticksAlong(fam, k, lo, hi, 2, m)
		if z <= tickNoise {
			a = 0
		}
		amps = append(amps, a)
	}
	return amps
}

// ticksAlong gives the amplitude of the ticks of count m beside line k of fam over the cells lo..hi-1, and how many times
// its uncertainty that is; side is as in tickClues.
func (s *survey) ticksAlong(fam family, k, lo, hi, side, m int) (a, z float64) {
	k0, k1, c0, c1 := s.ranges(fam)
	if k < k0 || k > k1 {
		return 0, 0
	}
	re, sq, n := 0.0, 0.0, 0
	for c := max(lo, c0); c < min(hi, c1); c++ {
		t := s.ticks[fam][k-k0][c-c0]
		for d := range 2 {
			if (side == 2 || side == d) && t[d].ok {
				re += t[d].re[m]
				sq += t[d].re[m]*t[d].re[m] + t[d].im[m]*t[d].im[m]
				n++
			}
		}
	}
	if n == 0 {
		return 0, 0
	}
	return re / float64(n), re / math.Sqrt(sq/2+1e-12)
}
