package trace

// The colours that are drawn with.
//
// What stands out from field and ink has a direction in linear RGB: that of a yellow stroke on black,
// of a pale stroke on blue, or, negative, of a dark stroke on a pale display. Glare adds to the field and
// leaves the direction alone. The directions of all such cells gather about few places of the sphere,
// found one after the other as the heaviest cluster (mean shift: Comaniciu, Meer, IEEE TPAMI 24
// (2002) 603). Each is tried as a trace's colour.

import (
	"fmt"
	"math"
	"strings"

	"quadrille/vision/raster"
)

const (
	// standsOut is how many standard deviations above the field a cell needs to tell a colour.
	standsOut = 6
	// clusterRadius is how far, in radians, colours of one stroke spread from its overexposed core
	// to its rim; yellow and green strokes, both half bleached, are 0.4 apart.
	clusterRadius = 0.22
	// leastShare is the share of all that stands out below which a colour is not tried.
	leastShare = 0.02
	// mostColours bounds the search; displays have four channels and white text.
	mostColours = 6
	// foreign is how many times the part of a cell's light off the colour's direction is taken from
	// the part along it: a cell 27° off scores 0 (TestTwoColoursAreToldApart).
	foreign = 2
	// coversInk is how many times brighter than the ink a cell must be to be judged as a stroke that
	// covers it (TestHorizontalTraceOnGridLine, at the lowest line).
	// Ink up to inkReach boxes away counts: the grid may lie a little beside its lines.
	coversInk, inkReach = 2, 0.03
	// otherColour is how alike the tint the graticule's ink may be, as a share of its light, and be of another colour: that of monochrome
	// displays has 0.9 to 1 (TestTicksAreNoTraceOfTheirInk).
	otherColour = 0.8
)

// A tint is a unit vector in linear RGB: what a stroke adds to the field.
type tint [3]float32

// grey is the cosine of the angle to white light; negative for what is darker than the field.
func (d tint) grey() float64 {
	return float64(d[0]+d[1]+d[2]) / math.Sqrt(3)
}

// angle is that between two tints, in radians.
func (d tint) angle(e tint) float64 {
	return math.Acos(min(max(float64(d[0]*e[0]+d[1]*e[1]+d[2]*e[2]), -1), 1))
}

// tints gives the colours drawn with, heaviest first.
func tints(s *sheet, f *field, ink *[3][]float32) []tint {
	const levels = 16
	var heap [levels * levels * levels]struct {
		sum    [3]float64
		weight float64
	}
	total := 0.0
	var brightest []float32
	each := func(visit func(v [3]float32, size float32)) {
		for i := 1; i < s.nx; i += 2 {
			for j := 0; j < s.ny; j += 2 {
				k := i*s.ny + j
				var v [3]float32
				over, size := float32(0), float32(0)
				for c := range 3 {
					v[c] = s.rgb[c][k] - ink[c][k]
					e := v[c] / f.at(f.noise[c], i, j)
					over += e * e
					size += v[c] * v[c]
				}
				if over > 3*standsOut*standsOut {
					visit(v, float32(math.Sqrt(float64(size))))
				}
			}
		}
	}
	each(func(_ [3]float32, size float32) { brightest = append(brightest, size) })
	top := quantile(brightest, 0.9) // so that a lamp's reflection does not outweigh a stroke
	each(func(v [3]float32, size float32) {
		if size < top/10 {
			return
		}
		w := float64(min(size, top))
		bin := 0
		for c := range 3 {
			u := float64(v[c] / size)
			bin = bin*levels + min(int((u+1)/2*levels), levels-1)
		}
		for c := range 3 {
			heap[bin].sum[c] += w * float64(v[c]/size)
		}
		heap[bin].weight += w
		total += w
	})
	var found []tint
	for len(found) < mostColours {
		best := 0
		for b := range heap {
			if heap[b].weight > heap[best].weight {
				best = b
			}
		}
		if heap[best].weight == 0 {
			break
		}
		d := unit(heap[best].sum)
		near := 0.0
		for range 8 {
			var sum [3]float64
			near = 0
			for b := range heap {
				h := &heap[b]
				if h.weight > 0 && dot(unit(h.sum), d) > math.Cos(clusterRadius) {
					for c := range sum {
						sum[c] += h.sum[c]
					}
					near += h.weight
				}
			}
			if near == 0 {
				break
			}
			d = unit(sum)
		}
		for b := range heap {
			h := &heap[b]
			if b == best || h.weight > 0 && dot(unit(h.sum), d) > math.Cos(1.2*clusterRadius) {
				h.weight = 0
			}
		}
		if near < leastShare*total {
			continue
		}
		found = append(found, tint{float32(d[0]), float32(d[1]), float32(d[2])})
	}
	return found
}

func unit(v [3]float64) [3]float64 {
	n := math.Sqrt(dot(v, v))
	if n == 0 {
		return v
	}
	return [3]float64{v[0] / n, v[1] / n, v[2] / n}
}

func dot(a, b [3]float64) float64 { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }

// light gives, for every cell, the light above field and ink along the tint.
func light(s *sheet, ink *[3][]float32, d tint) []float32 {
	out := make([]float32, s.nx*s.ny)
	raster.Rows(s.nx, func(a, b int) {
		for k := a * s.ny; k < b*s.ny; k++ {
			out[k] = d[0]*(s.rgb[0][k]-ink[0][k]) + d[1]*(s.rgb[1][k]-ink[1][k]) + d[2]*(s.rgb[2][k]-ink[2][k])
		}
	})
	return out
}

// along gives the ink's own light along the tint.
func along(s *sheet, ink *[3][]float32, d tint) []float32 {
	out := make([]float32, s.nx*s.ny)
	for k := range out {
		out[k] = d[0]*ink[0][k] + d[1]*ink[1][k] + d[2]*ink[2][k]
	}
	return out
}

// likeness gives light less what the cell has of other colours: the score by which a stroke of this
// tint is found. A stroke covers the ink below it, so a cell that is much brighter than its ink, or than what a level line has of
// the tint, is also judged as it is.
func likeness(s *sheet, ink *[3][]float32, d tint) []float32 {
	out := make([]float32, s.nx*s.ny)
	other := d.unlike(ink)
	reach, beside := int(inkReach*float64(s.up)+0.5), int(lineBeside*float64(s.across)+0.5)
	raster.Rows(s.nx, func(a, b int) {
		under, alike := make([]float32, s.ny), make([]float32, s.ny)
		inked := func(k int) float32 { return d[0]*ink[0][k] + d[1]*ink[1][k] + d[2]*ink[2][k] }
		for i := a; i < b; i++ {
			left, right := max(i-beside, 0)*s.ny, min(i+beside, s.nx-1)*s.ny
			for j := range under {
				k := i*s.ny + j
				under[j] = inked(k)
				// Of an upright line, the edges have colours of their own, and a display's three stripes.
				if alike[j] = under[j]; other && min(inked(left+j), inked(right+j)) > under[j]/2 {
					alike[j] = d.alike(under[j], ink[0][k], ink[1][k], ink[2][k])
				}
			}
			for j := range under {
				k := i*s.ny + j
				v0, v1, v2 := s.rgb[0][k], s.rgb[1][k], s.rgb[2][k]
				m := d[0]*v0 + d[1]*v1 + d[2]*v2
				if m <= 0 {
					continue
				}
				best := d.alike(m-under[j], v0-ink[0][k], v1-ink[1][k], v2-ink[2][k])
				if under[j] > 0.1*m {
					near := alike[j]
					for _, w := range alike[max(j-reach, 0):min(j+reach+1, s.ny)] {
						near = max(near, w)
					}
					if as := d.alike(m, v0, v1, v2); as > coversInk*near {
						best = max(best, as)
					}
				}
				out[k] = best
			}
		}
	})
	return out
}

// unlike reports whether the graticule's ink has another colour than the tint. Its own is that of its cells, each with the weight of
// its light along the tint.
func (d tint) unlike(ink *[3][]float32) bool {
	var sum [3]float32
	for k := range ink[0] {
		if m := d[0]*ink[0][k] + d[1]*ink[1][k] + d[2]*ink[2][k]; m > 0 {
			for c := range sum {
				sum[c] += m * ink[c][k]
			}
		}
	}
	m := d[0]*sum[0] + d[1]*sum[1] + d[2]*sum[2]
	return d.alike(m, sum[0], sum[1], sum[2]) < otherColour*m
}

// alike scores a cell of m light along the tint and v in all.
func (d tint) alike(m, v0, v1, v2 float32) float32 { return d.alikeBut(foreign, m, v0, v1, v2) }

// alikeBut is alike with another price of what is off the tint.
func (d tint) alikeBut(foreign, m, v0, v1, v2 float32) float32 {
	if m <= 0 {
		return 0
	}
	off := v0*v0 + v1*v1 + v2*v2 - m*m
	return max(m-foreign*float32(math.Sqrt(float64(max(off, 0)))), 0)
}

// noiseAlong gives one standard deviation of light at the knots of f. The channels of a photo share
// their luma and its noise, so they add up in amplitude, not in power.
func noiseAlong(f *field, d tint) []float32 {
	n := make([]float32, len(f.noise[0]))
	for k := range n {
		n[k] = abs(d[0])*f.noise[0][k] + abs(d[1])*f.noise[1][k] + abs(d[2])*f.noise[2][k]
	}
	return n
}

// photographed is the mean colour of the photo on the trace's centre line, in sRGB.
func photographed(s *sheet, f *field, t *Trace) (srgb [3]uint8) {
	var rgb [3]float32
	n := float32(0)
	for i, y := range t.Y {
		if math.IsNaN(y) {
			continue
		}
		j := min(max(int(s.row(y)+0.5), 0), s.ny-1)
		for c := range rgb {
			rgb[c] += s.rgb[c][i*s.ny+j] + f.at(f.level[c], i, j)
		}
		n++
	}
	for c := range srgb {
		srgb[c] = toSRGB(float64(rgb[c] / n))
	}
	return srgb
}

// toSRGB encodes linear light 0..1 (IEC 61966-2-1).
func toSRGB(v float64) uint8 {
	v = min(max(v, 0), 1)
	if v <= 0.0031308 {
		v *= 12.92
	} else {
		v = 1.055*math.Pow(v, 1/2.4) - 0.055
	}
	return uint8(v*255 + 0.5)
}

// fromSRGB is the inverse of toSRGB, for three channels.
func fromSRGB(c [3]uint8) (rgb [3]float32) {
	for k, b := range c {
		v := float64(b) / 255
		if v <= 0.04045 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		rgb[k] = float32(v)
	}
	return rgb
}

// mostApart is how far, in hue and chroma, a trace may be from the colour asked for: yellow and
// green, 60° of hue apart, are told from each other (TestTwoColoursAreToldApart).
const mostApart = 0.8

// Nearest gives the trace whose colour is nearest to rgb, nil if none is near. Brightness does not
// count when the wanted colour has a hue.
func Nearest(traces []*Trace, rgb [3]uint8) *Trace {
	var best *Trace
	least := mostApart
	for _, t := range traces {
		if d := apart(t.Colour, rgb); d < least {
			best, least = t, d
		}
	}
	return best
}

// apart is the distance of two colours on the plane across the grey axis, where pure colours are 1 from grey,
// each divided by its own brightest channel.
func apart(a, b [3]uint8) float64 {
	plane := func(c [3]uint8) (u, v float64) {
		top := float64(max(c[0], c[1], c[2], 1))
		r, g, b := float64(c[0])/top, float64(c[1])/top, float64(c[2])/top
		return r - (g+b)/2, math.Sqrt(3) / 2 * (g - b)
	}
	au, av := plane(a)
	bu, bv := plane(b)
	return math.Hypot(au-bu, av-bv)
}

// coloursOf lists the traces' colours for a message.
func coloursOf(traces []*Trace) string {
	var list []string
	for _, t := range traces {
		list = append(list, fmt.Sprintf("#%02x%02x%02x", t.Colour[0], t.Colour[1], t.Colour[2]))
	}
	return strings.Join(list, ", ")
}
