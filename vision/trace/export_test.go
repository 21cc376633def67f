package trace

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/graticule"
	"quadrille/vision/photo"
)

// CentreBound gives, by column, the Cramér–Rao bound in boxes of the centre of the most prominent trace,
//
//	sd >= (s/A)·√(2w/√π),
//
// with the light A and the width w of its stroke in that column, on a slope more than on a level; s is the noise in the stroke, by
// which two photos of one scene differ there, as that of white noise with the noise's own first moment over the stroke: compressed
// photos have more of it over many rows than over few. It is NaN where the trace is absent or tall. It takes the way of Extract.
func CentreBound(ph, again *photo.Photo, g *graticule.Graticule) []float64 {
	s, f, ink := developed(ph, g)
	other, _, inkOther := developed(again, g)
	found := search(s, f, g, ink)
	if len(found) == 0 {
		return nil
	}
	c := found[0]
	plane, under, second := light(s, ink, c.tint), along(s, ink, c.tint), light(other, inkOther, c.tint)
	st := strokeOf(s, c.path, plane, under, nil)
	var white []float64 // for windows of so many rows each way
	for h := 1.0; h <= 2*windowWidths*st.usual; h++ {
		white = append(white, noiseMoment(s, f, c.path, plane, c.noise, h)/math.Sqrt(h*(h+1)*(2*h+1)/3))
	}
	out := make([]float64, s.nx)
	sum, n := 0.0, 0.0
	for i, r := range c.path.runs {
		out[i] = math.NaN()
		if !c.path.seen(i) || float64(r.hi-r.lo+1) > 1.3*st.usual {
			continue
		}
		st.load(s, i, r, plane, under, nil)
		w := max(st.breadth(), st.width)
		h := min(max(int(windowWidths*w+0.5), 1), len(white))
		out[i] = white[h-1] / st.peak * math.Sqrt(2*w/math.Sqrt(math.Pi)) * s.dy
		for k := i*s.ny + r.lo; k <= i*s.ny+r.hi; k++ {
			d := float64(plane[k] - second[k])
			sum, n = sum+d*d/2, n+1
		}
	}
	for i := range out {
		out[i] *= math.Sqrt(sum / n)
	}
	return out
}

// developed is a photo as Extract searches it.
func developed(ph *photo.Photo, g *graticule.Graticule) (*sheet, *field, *[3][]float32) {
	fine, _ := pitchOf(g)
	left, low := g.Frame.Left(), g.Frame.Bottom()
	m := math.Round(margin*float64(fine.up)) / float64(fine.up)
	s := sampleSheet(ph, g, geom.Box{X: left, Y: low - m}, geom.Box{X: -left, Y: -low + m}, fine)
	f := flatten(s, false)
	lines := newFold(s, g)
	s.own = s.ownPixels(lines)
	s.blur()
	ink := lines.ink(g.Frame)
	f.measureNoise(&ink)
	return s, f, &ink
}
