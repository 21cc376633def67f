package graticule

// Minor ticks: the strongest single clue to where a graticule's centre and rims are.
//
// Most displays draw short ticks, five to a box, across their two centre lines and inwards from their
// rims, and nowhere else. Close beside a line (0.05 to 0.13 box: ticks reach there, the dots of a
// dotted line do not) the lightness along the line then has a component of five periods a box with
// its crest at the crossings. A Hann window over each box keeps the crossing lines out.

import (
	"math"
)

const (
	ticksPerBox  = 5
	tickSamples  = 40 // a box, eight to a tick
	tickFlatClip = 0.5
)

// tickOffsets are the distances from the line, in boxes, that are averaged.
var tickOffsets = [3]float64{0.06, 0.09, 0.12}

// tickWave has the Hann window times the wave of five periods, and the window, both over one box.
var tickWave = func() (w [tickSamples]struct{ cos, sin, win float64 }) {
	for i := range w {
		t := (float64(i) + 0.5) / tickSamples
		win := 1 - math.Cos(2*math.Pi*t)
		w[i].win = win
		w[i].cos = win * math.Cos(2*math.Pi*ticksPerBox*t)
		w[i].sin = win * math.Sin(2*math.Pi*ticksPerBox*t)
	}
	return w
}()

// A tickSight is the component of one side of one piece, in log lightness; ok is false outside the photo.
type tickSight struct {
	re, im float64
	ok     bool
}

// tick gives the component beside pc, on the side of growing k (side = +1) or of falling k (-1).
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
		s.re += d * w.cos / n
		s.im += d * w.sin / n
	}
	s.ok = true
	return s
}
