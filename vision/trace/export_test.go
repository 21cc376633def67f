package trace

import (
	"context"
	"math"

	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// CentreBound gives, by column, the Cramér–Rao bound in boxes of the centre of the most prominent trace. Of a stroke of light A·g(o) at o
// rows from its centre, in noise of standard deviation s(o) that differs from row to row but is white,
//
//	1/sd² <= Σ (A·g'(o)/s(o))²,   for even noise sd >= (s/A)·√(2w/√π),
//
// with the light A and the width w of its stroke in that column, on a slope more than on a level. s(o) is what two photos of one scene
// differ by there, over all columns: a stroke has another noise than its surround, more on a dark display, less on a pale one. It is
// multiplied by the noise's own first moment over the stroke, for compressed photos have more of it over many rows than over few. The
// bound is NaN where the trace is absent or tall. It takes the way of Extract.
func CentreBound(ph, again *photo.Photo, g *graticule.Graticule) []float64 {
	fine, _ := pitchOf(g)
	one, errOne := lookAt(context.Background(), ph, g, fine, false)
	other, errOther := lookAt(context.Background(), again, g, fine, false)
	if errOne != nil || errOther != nil || len(one.found) == 0 {
		return nil
	}
	s, f, ink, c := one.s, one.f, &one.ink, one.found[0]
	plane, under, second := light(s, ink, c.tint), along(s, ink, c.tint), light(other.s, &other.ink, c.tint)
	st := strokeOf(s, c.path, plane, under, nil)
	reach := int(2*windowWidths*st.usual) + 1
	var white []float64 // for windows of so many rows each way
	for h := 1; h <= reach; h++ {
		white = append(white, noiseMoment(s, f, c.path, plane, c.noise, float64(h))/math.Sqrt(float64(h*(h+1)*(2*h+1))/3))
	}
	thin := func(i int) bool {
		r := c.path.runs[i]
		return c.path.seen(i) && float64(r.hi-r.lo+1) <= 1.3*st.usual
	}
	noise, n := make([]float64, reach+1), make([]float64, reach+1) // by rows from the centre, either way
	for i, r := range c.path.runs {
		for o := -reach; o <= reach && thin(i); o++ {
			if j := (r.lo+r.hi+1)/2 + o; j >= 0 && j < s.ny {
				d := float64(plane[i*s.ny+j] - second[i*s.ny+j])
				noise[max(o, -o)] += d * d / 2
				n[max(o, -o)]++
			}
		}
	}
	out := make([]float64, s.nx)
	for i, r := range c.path.runs {
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
		out[i] = white[min(max(int(windowWidths*w+0.5), 1), reach)-1] / math.Sqrt(information) * s.dy
	}
	return out
}
