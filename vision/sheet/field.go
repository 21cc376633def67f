package sheet

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

// Knots holds values half a box apart over a grid, left to right and bottom to top, that of knot (p, q) at V[p*nq+q];
// knot 0 lies on the grid's lower left corner. Between them values are linear.
type Knots struct {
	V      []float32
	g      *Grid
	np, nq int
}

const (
	// knotStep is the distance of knots in boxes (TestTheFieldFollowsItsGlare).
	knotStep = 0.5
	// MADToSD turns the median absolute deviation of a normal distribution into its standard deviation
	// (TestTheNoiseIsThatOfTheCells).
	MADToSD = 1.4826
	// minNoise is the least noise of a cell in linear light: a third of one 8-bit step near black, where
	// the sRGB curve has the slope 1/12.92. A drawn picture without any noise would have 0
	// (TestTheNoiseIsThatOfTheCells).
	minNoise = 1e-4
)

// fieldStride are steps over the cells of a box that do not beat with dotted lines (TestKnotsDoNotBeatWithDots).
var fieldStride = [2]int{3, 13}

func newKnots(g *Grid) *Knots {
	k := &Knots{g: g, np: int(math.Ceil(float64(g.NX)*g.DX/knotStep)) + 1, nq: int(math.Ceil(float64(g.NY)*g.DY/knotStep)) + 1}
	k.V = make([]float32, k.np*k.nq)
	return k
}

// Column interpolates the knots at all cells of column i; out has a place for each row.
func (k *Knots) Column(out []float32, i int) {
	line := make([]float32, k.nq)
	t := (float64(i) + 0.5) * k.g.DX / knotStep
	p := min(int(t), k.np-2)
	w := float32(t - float64(p))
	for q := range line {
		a, b := k.V[p*k.nq+q], k.V[(p+1)*k.nq+q]
		line[q] = a + w*(b-a)
	}
	for j := range out {
		q, t := k.between(j)
		out[j] = line[q] + t*(line[q+1]-line[q])
	}
}

// between gives the knot below row j and how far the row is towards the next.
func (k *Knots) between(j int) (q int, t float32) {
	v := (float64(j) + 0.5) * k.g.DY / knotStep
	q = min(int(v), k.nq-2)
	return q, float32(v - float64(q))
}

// At interpolates the knots at cell (i, j).
func (k *Knots) At(i, j int) float32 {
	u := (float64(i) + 0.5) * k.g.DX / knotStep
	p := min(int(u), k.np-2)
	w := float32(u - float64(p))
	q, t := k.between(j)
	n := p*k.nq + q
	lo := k.V[n] + t*(k.V[n+1]-k.V[n])
	hi := k.V[n+k.nq] + t*(k.V[n+k.nq+1]-k.V[n+k.nq])
	return lo + w*(hi-lo)
}

// around collects cells within half a box beside knot (p, q) and a box above and below it, those of NaN
// left out.
func (k *Knots) around(buf []float32, p, q int, plane []float32) []float32 {
	g := k.g
	ci, cj := int(float64(p)*knotStep*float64(g.Across)), int(float64(q)*knotStep*float64(g.Up))
	for i := max(ci-g.Across/2, 0); i < min(ci+g.Across/2, g.NX); i += fieldStride[0] {
		for j := max(cj-g.Up, 0); j < min(cj+g.Up, g.NY); j += fieldStride[1] {
			if v := plane[i*g.NY+j]; v == v {
				buf = append(buf, v)
			}
		}
	}
	return buf
}

// fillKnots sets every knot of the three channels to what of gives of its cells.
func fillKnots(k *[3]*Knots, of func(buf []float32, c, p, q int) float32) {
	raster.Rows(k[0].np, func(a, b int) {
		buf := make([]float32, 0, 4*(k[0].g.Across/fieldStride[0]+1)*(k[0].g.Up/fieldStride[1]+2)) // room for two planes
		for p := a; p < b; p++ {
			for q := range k[0].nq {
				for c := range k {
					k[c].V[p*k[c].nq+q] = of(buf[:0], c, p, q)
				}
			}
		}
	})
}

// flatten finds the field and leaves in Light what differs from it. Cells off the photo become 0. With crowds,
// heights that a wave covers have the field beneath it.
func (s *Sheet) flatten(crowds bool) {
	for c := range s.Field {
		s.Field[c], s.Light[c] = newKnots(&s.Grid), make([]float32, s.NX*s.NY)
	}
	fillKnots(&s.Field, func(buf []float32, c, p, q int) float32 {
		return raster.Rank(s.Field[c].around(buf, p, q, s.raw[c]), 0.5)
	})
	if crowds {
		s.seeCrowds()
	}
	raster.Rows(s.NX, func(a, b int) {
		field := make([]float32, s.NY)
		for i := a; i < b; i++ {
			for c := range 3 {
				s.Field[c].Column(field, i)
				raw, col := s.raw[c][i*s.NY:(i+1)*s.NY], s.Light[c][i*s.NY:(i+1)*s.NY]
				for j, v := range raw {
					d := v - field[j]
					if d != d {
						d = 0
					}
					col[j] = d
				}
			}
		}
	})
}

// measureNoise finds the noise of the sheet less the ink.
func (s *Sheet) measureNoise() {
	for c := range s.Noise {
		s.Noise[c] = newKnots(&s.Grid)
	}
	fillKnots(&s.Noise, func(buf []float32, c, p, q int) float32 {
		n := s.Noise[c]
		buf = n.around(buf, p, q, s.Light[c])
		all := len(buf)
		buf = n.around(buf, p, q, s.Ink[c]) // no cell of either is NaN
		rest := buf[:all]
		for k, ink := range buf[all:] {
			rest[k] = abs(rest[k] - ink)
		}
		return max(MADToSD*raster.Rank(rest, 0.5), minNoise)
	})
}
