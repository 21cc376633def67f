package scene

// What lies around each sample: the mean of a plane, or of its squares, over a neighbourhood much wider than a line.
//
// Such a mean changes slowly, so it is worked out on blocks of several samples and interpolated between their middles:
// a small part of the time of running means over all samples, and the same within a few per cent, which no threshold
// notices (TestNeighbourhoodIsTheMeanAround).

import "quadrille/vision/raster"

// blocksAcross is how many blocks a neighbourhood is wide (TestNeighbourhoodIsTheMeanAround).
const blocksAcross = 9

// A neighbourhood has one mean for each block of side×side samples.
type neighbourhood struct {
	means *raster.Plane
	side  int
	at    []int32   // for each column of the plane, the block to its left
	part  []float32 // and how far it lies towards the next, 0..1
}

// around gives the means of p over two running means of width samples both ways; of the squares of p if squares is
// true. Beyond the border there is nothing, and fewer samples are averaged.
func around(p *raster.Plane, width int, squares bool) *neighbourhood {
	n := &neighbourhood{side: max(1, width/blocksAcross), at: make([]int32, p.W), part: make([]float32, p.W)}
	w, h := (p.W+n.side-1)/n.side, (p.H+n.side-1)/n.side
	n.means = raster.New(w, h)
	raster.Rows(h, func(j0, j1 int) {
		sum := make([]float32, p.W)
		for j := j0; j < j1; j++ {
			clear(sum)
			last := min((j+1)*n.side, p.H)
			for y := j * n.side; y < last; y++ {
				if row := p.Row(y); squares {
					for x, v := range row {
						sum[x] += v * v
					}
				} else {
					for x, v := range row {
						sum[x] += v
					}
				}
			}
			dst := n.means.Row(j)
			for i := range dst {
				x0, x1 := i*n.side, min((i+1)*n.side, p.W)
				s := float32(0)
				for _, v := range sum[x0:x1] {
					s += v
				}
				dst[i] = s / float32((x1-x0)*(last-j*n.side))
			}
		}
	})
	const wide = blocksAcross
	n.means.MeanDownTwice(wide)
	n.means.MeanAcrossTwice(wide)
	for x := range n.at {
		c := min(max((float32(x)+0.5)/float32(n.side)-0.5, 0), float32(w-1))
		i := min(int32(c), int32(max(w-2, 0)))
		n.at[x], n.part[x] = i, c-float32(i)
	}
	return n
}

// row writes the means around the samples of row y to dst; between is for its use, as long as a row of blocks.
func (n *neighbourhood) row(dst, between []float32, y int) {
	c := min(max((float32(y)+0.5)/float32(n.side)-0.5, 0), float32(n.means.H-1))
	j := min(int(c), max(n.means.H-2, 0))
	f := c - float32(j)
	a, b := n.means.Row(j), n.means.Row(min(j+1, n.means.H-1))
	for i, v := range a {
		between[i] = v + f*(b[i]-v)
	}
	if len(between) == 1 {
		for x := range dst {
			dst[x] = between[0]
		}
		return
	}
	for x, i := range n.at {
		v := between[i]
		dst[x] = v + n.part[x]*(between[i+1]-v)
	}
}

// each calls f with each row of p and the means around its samples; rows come from several goroutines.
func (n *neighbourhood) each(p *raster.Plane, f func(row, means []float32, y int)) {
	raster.Rows(p.H, func(y0, y1 int) {
		means, between := make([]float32, p.W), make([]float32, n.means.W)
		for y := y0; y < y1; y++ {
			n.row(means, between, y)
			f(p.Row(y), means, y)
		}
	})
}
