package stroke

import (
	"math"

	"quadrille/vision/path"
	"quadrille/vision/sheet"
)

// Bound gives, by column, the Cramér–Rao bound in boxes of the centre of the candidate's stroke on sheet s, again
// being the sheet of another photo of the same scene. Of a stroke of light A·g(o) at o rows from its centre, in noise
// of standard deviation s(o) that differs from row to row but is white,
//
//	1/sd² <= Σ (A·g'(o)/s(o))²,   for even noise sd >= (s/A)·√(2w/√π),
//
// with the light A and the width w of its stroke in that column, on a slope more than on a level. s(o) is what the
// two photos differ by there, over all columns: a stroke has another noise than its surround, more on a dark display,
// less on a pale one. It is multiplied by the noise's own first moment over the stroke, for compressed photos have
// more of it over many rows than over few. The bound is NaN where the trace is absent or tall. It is no part of a
// measurement, for which one photo must do: it tells how near Measure comes to what can be known
// (TestNoiseOfPhotosReachesTheBound in package trace).
func Bound(s, again *sheet.Sheet, c *path.Candidate) []float64 {
	plane, under, second := s.LightAlong(c.Tint), s.InkAlong(c.Tint), again.LightAlong(c.Tint)
	st := strokeOf(s, c.Path, plane, under, nil)
	reach := int(2*windowWidths*st.usual) + 1
	var white []float64 // for windows of so many rows each way
	for h := 1; h <= reach; h++ {
		white = append(white, noiseMoment(s, c.Path, plane, c.Noise, float64(h))/math.Sqrt(float64(h*(h+1)*(2*h+1))/3))
	}
	thin := func(i int) bool {
		r := c.Path.Runs[i]
		return c.Path.Seen(i) && float64(r.Hi-r.Lo+1) <= 1.3*st.usual
	}
	noise, n := make([]float64, reach+1), make([]float64, reach+1) // by rows from the centre, either way
	for i, r := range c.Path.Runs {
		for o := -reach; o <= reach && thin(i); o++ {
			if j := (r.Lo+r.Hi+1)/2 + o; j >= 0 && j < s.NY {
				d := float64(plane[i*s.NY+j] - second[i*s.NY+j])
				noise[max(o, -o)] += d * d / 2
				n[max(o, -o)]++
			}
		}
	}
	out := make([]float64, s.NX)
	for i, r := range c.Path.Runs {
		out[i] = math.NaN()
		if !thin(i) {
			continue
		}
		st.load(s, i, r, plane, under, nil)
		w := max(st.breadth(), st.width)
		information := 0.0
		for o := 1; o <= reach; o++ {
			slope := st.peak * float64(o) / (w * w) * math.Exp(-float64(o*o)/(2*w*w))
			information += 2 * slope * slope * n[o] / noise[o]
		}
		out[i] = white[min(max(int(windowWidths*w+0.5), 1), reach)-1] / math.Sqrt(information) * s.DY
	}
	return out
}
