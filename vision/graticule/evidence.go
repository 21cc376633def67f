package graticule

// Evidence of ruled lines: where the picture is brighter or darker than both of its sides.
//
// For upright lines the second difference -g(x-d) + 2·g(x) - g(x+d) of the smoothed log lightness is
// positive on a bright line and negative on a dark one; one signed picture serves both. It is
// smoothed along the line, so that dots join, and divided by its own local rms, so that a bright
// trace or a bezel does not outshout a faint grid. Lines of the other family come from the
// transposed picture, and their evidence stays transposed.
// Ridge by second differences: C. Steger, An unbiased detector of curvilinear structures, IEEE PAMI
// 20 (1998) 113, section 2, taken with a fixed width because the width of a line is nearly known here.

import (
	"math"

	"quadrille/vision/raster"
)

const (
	preBlur      = 1.1   // px, Gaussian: sensor noise and a display's own pixels; wider blurs lose thin lines
	ridgeStep    = 2     // px, d above: lines of 1 to 4 px, which reduced photos have
	joinWidth    = 7     // px, two running means along the line: dots a fifth of a box apart join, 25° still adds up
	localWidth   = 35    // px, two running means: the neighbourhood whose rms is divided out, under a box
	evidenceSoft = 0.006 // log units, added to the rms: bare noise must not grow into evidence
	evidenceClip = 2.0   // rms: a trace's edge counts no more than a good line
)

// evidence has the two signed pictures of lines. upright answers vertical lines; level answers
// horizontal ones and is transposed: its sample (y, x) belongs to the picture's (x, y).
type evidence struct {
	scale          float64 // as of light
	upright, level *raster.Plane
	w, h           int
}

func evidenceOf(l light) evidence {
	e := evidence{scale: l.scale, w: l.log.W, h: l.log.H}
	smooth := l.log.Blur(preBlur)
	e.upright = ridges(smooth)
	e.level = ridges(transpose(smooth))
	return e
}

// ridges gives the evidence of vertical lines in the smoothed log picture b.
func ridges(b *raster.Plane) *raster.Plane {
	r := raster.New(b.W, b.H)
	const d = ridgeStep
	raster.Rows(b.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			src, dst := b.Row(y), r.Row(y)
			for x := d; x < b.W-d; x++ {
				dst[x] = 2*src[x] - src[x-d] - src[x+d]
			}
		}
	})
	meanDown(r, joinWidth)
	meanDown(r, joinWidth)
	power := raster.New(b.W, b.H)
	raster.Rows(b.H, func(y0, y1 int) {
		for i, v := range r.Pix[y0*b.W : y1*b.W] {
			power.Pix[y0*b.W+i] = v * v
		}
	})
	for range 2 {
		meanDown(power, localWidth)
		meanAcross(power, localWidth)
	}
	raster.Rows(b.H, func(y0, y1 int) {
		for i := y0 * b.W; i < y1*b.W; i++ {
			v := r.Pix[i] / (float32(math.Sqrt(float64(max(power.Pix[i], 0)))) + evidenceSoft)
			r.Pix[i] = min(max(v, -evidenceClip), evidenceClip)
		}
	})
	return r
}

// meanAcross replaces each sample by the mean of the n (odd) around it in its row; beyond the border
// there is nothing, and fewer are averaged.
func meanAcross(p *raster.Plane, n int) {
	raster.Rows(p.H, func(y0, y1 int) {
		old := make([]float32, p.W)
		r := n / 2
		for y := y0; y < y1; y++ {
			row := p.Row(y)
			copy(old, row)
			sum, count := 0.0, 0
			for x := 0; x < min(r, p.W); x++ {
				sum += float64(old[x])
				count++
			}
			for x := range row {
				if x+r < p.W {
					sum += float64(old[x+r])
					count++
				}
				if x-r-1 >= 0 {
					sum -= float64(old[x-r-1])
					count--
				}
				row[x] = float32(sum / float64(count))
			}
		}
	})
}

// meanDown is meanAcross for columns. It goes down in stripes so that a stripe's rows stay in cache.
func meanDown(p *raster.Plane, n int) {
	const stripe = 64 // columns
	raster.Rows((p.W+stripe-1)/stripe, func(s0, s1 int) {
		r := n / 2
		ring := make([]float32, (r+1)*stripe) // the originals of the last r+1 rows
		var sum [stripe]float64
		for s := s0; s < s1; s++ {
			x0, x1 := s*stripe, min((s+1)*stripe, p.W)
			clear(sum[:])
			count := 0
			for y := 0; y < min(r, p.H); y++ {
				for x, v := range p.Pix[y*p.W+x0 : y*p.W+x1] {
					sum[x] += float64(v)
				}
				count++
			}
			for y := range p.H {
				slot := ring[y%(r+1)*stripe:][:x1-x0]
				if y-r-1 >= 0 {
					for x, v := range slot {
						sum[x] -= float64(v)
					}
					count--
				}
				if y+r < p.H {
					for x, v := range p.Pix[(y+r)*p.W+x0 : (y+r)*p.W+x1] {
						sum[x] += float64(v)
					}
					count++
				}
				row := p.Pix[y*p.W+x0 : y*p.W+x1]
				copy(slot, row)
				f := 1 / float64(count)
				for x := range row {
					row[x] = float32(sum[x] * f)
				}
			}
		}
	})
}
