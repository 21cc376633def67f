package trace

// The field: what the display shows where nothing is drawn, with its glare and vignetting, and how
// noisy it is.
//
// At knots half a box apart the field is the median over a box across and two boxes up around the knot,
// channel by channel; between knots it is linear. A median holds as long as traces and graticule cover
// less than half: a band of noise may be nearly a box high. The noise is the median absolute deviation
// over the same cells, when the ink is off too: the display's own pixels, where a photo shows them,
// repeat from box to box and are taken for ink. Of a fast wave that fills the screen, see crowd.go.

import (
	"math"

	"quadrille/vision/raster"
)

// A field has knots (p, q), left to right and bottom to top, at index p*nq+q; knot 0 lies on the
// sheet's lower left corner.
type field struct {
	np, nq int
	step   float64      // box between knots
	level  [3][]float32 // linear light
	noise  [3][]float32 // linear light, one standard deviation of a cell
	s      *sheet       // whose frame is used
}

// fieldStride are steps over the cells of a box that do not beat with dotted lines.
var fieldStride = [2]int{3, 13}

// madToSD turns the median absolute deviation of a normal distribution into its standard deviation.
const madToSD = 1.4826

// flatten takes the field off s, in place: afterwards s holds differences from the field. Cells off
// the photo become 0. With crowds, heights that a wave covers have the field beneath it.
func flatten(s *sheet, crowds bool) *field {
	f := &field{step: 0.5, s: s}
	f.np = int(math.Ceil(float64(s.nx)*s.dx/f.step)) + 1
	f.nq = int(math.Ceil(float64(s.ny)*s.dy/f.step)) + 1
	for c := range 3 {
		f.level[c] = make([]float32, f.np*f.nq)
		f.noise[c] = make([]float32, f.np*f.nq)
	}
	raster.Rows(f.np, func(a, b int) {
		var buf []float32
		for p := a; p < b; p++ {
			for q := range f.nq {
				for c := range 3 {
					buf = f.around(buf[:0], p, q, s.rgb[c])
					f.level[c][p*f.nq+q] = median(buf)
				}
			}
		}
	})
	if crowds {
		f.seeCrowds()
	}
	raster.Rows(s.nx, func(a, b int) {
		line := make([]float32, f.nq)
		for i := a; i < b; i++ {
			for c := range 3 {
				f.column(line, i, f.level[c])
				col := s.rgb[c][i*s.ny : (i+1)*s.ny]
				for j := range col {
					q, t := f.between(j)
					d := col[j] - (line[q] + t*(line[q+1]-line[q]))
					if d != d {
						d = 0
					}
					col[j] = d
				}
			}
		}
	})
	return f
}

// measureNoise fills in the noise of s less the ink.
func (f *field) measureNoise(ink *[3][]float32) {
	raster.Rows(f.np, func(a, b int) {
		var buf, under []float32
		for p := a; p < b; p++ {
			for q := range f.nq {
				for c := range 3 {
					buf = f.around(buf[:0], p, q, f.s.rgb[c])
					under = f.around(under[:0], p, q, ink[c])
					for k, v := range under {
						buf[k] = abs(buf[k] - v)
					}
					f.noise[c][p*f.nq+q] = max(madToSD*median(buf), minNoise)
				}
			}
		}
	})
}

// minNoise is the least noise of a cell in linear light: a third of one 8-bit step near black, where
// the sRGB curve has the slope 1/12.92. A drawn picture without any noise would have 0.
const minNoise = 1e-4

// around collects cells within half a box beside knot (p, q) and a box above and below it, those of NaN
// left out.
func (f *field) around(buf []float32, p, q int, plane []float32) []float32 {
	s := f.s
	ci, cj := int(float64(p)*f.step*float64(s.across)), int(float64(q)*f.step*float64(s.up))
	for i := max(ci-s.across/2, 0); i < min(ci+s.across/2, s.nx); i += fieldStride[0] {
		for j := max(cj-s.up, 0); j < min(cj+s.up, s.ny); j += fieldStride[1] {
			if v := plane[i*s.ny+j]; v == v {
				buf = append(buf, v)
			}
		}
	}
	return buf
}

// column interpolates the knots to column i of the sheet.
func (f *field) column(line []float32, i int, knots []float32) {
	t := (float64(i) + 0.5) * f.s.dx / f.step
	p := min(int(t), f.np-2)
	w := float32(t - float64(p))
	for q := range line {
		a, b := knots[p*f.nq+q], knots[(p+1)*f.nq+q]
		line[q] = a + w*(b-a)
	}
}

// between gives the knot below row j and how far the row is towards the next.
func (f *field) between(j int) (q int, t float32) {
	v := (float64(j) + 0.5) * f.s.dy / f.step
	q = min(int(v), f.nq-2)
	return q, float32(v - float64(q))
}

// at interpolates knots at cell (i, j).
func (f *field) at(knots []float32, i, j int) float32 {
	u := (float64(i) + 0.5) * f.s.dx / f.step
	p := min(int(u), f.np-2)
	w := float32(u - float64(p))
	q, t := f.between(j)
	k := p*f.nq + q
	lo := knots[k] + t*(knots[k+1]-knots[k])
	hi := knots[k+f.nq] + t*(knots[k+f.nq+1]-knots[k+f.nq])
	return lo + w*(hi-lo)
}

// median reorders v; it is 0 for an empty list.
func median(v []float32) float32 { return quantile(v, 0.5) }

// quantile gives the element of rank p·(n-1) by selection (Hoare); it reorders v.
func quantile(v []float32, p float64) float32 {
	if len(v) == 0 {
		return 0
	}
	k := int(p*float64(len(v)-1) + 0.5)
	lo, hi := 0, len(v)-1
	for lo < hi {
		x := v[(lo+hi)/2]
		i, j := lo, hi
		for i <= j {
			for v[i] < x {
				i++
			}
			for v[j] > x {
				j--
			}
			if i <= j {
				v[i], v[j] = v[j], v[i]
				i++
				j--
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	return v[k]
}
