package photo

// Rows of means in linear light, and the two loops that touch every pixel: lightRow for one pixel to one,
// foldRow for blocks of k. Both work on one stored row. In a JPEG with halved chroma they differ in how chroma
// is spread over luma: lightRow interpolates it (blend); foldRow repeats the nearest, which moves nothing on
// average over a block and takes a third of the time. Luma, which carries position, is the same in both.

// scratch is the room that a goroutine's rows are worked in.
type scratch struct {
	cb, cr []int32 // chroma of each luma sample of a row, in 1/whole
	tint   []tint  // of chroma row tintRow
	row    int
}

// A tint is what chroma adds to luma's index in the table of light.
type tint struct{ r, g, b int32 }

func (p *pixels) newScratch(n int) *scratch {
	if p.ycc == nil {
		return nil
	}
	return &scratch{cb: make([]int32, n), cr: make([]int32, n), tint: make([]tint, p.cw), row: -1}
}

// meanRow sets dst to the means over k×k pixels of the stored rows from y on, from column x0 on.
func (p *pixels) meanRow(dst *[3][]float32, x0, y, k int, s *scratch) {
	if k == 1 {
		p.lightRow(dst, x0, y, s)
		return
	}
	for c := range dst {
		clear(dst[c])
	}
	for j := range k {
		p.foldRow(dst, x0, y+j, k, s)
	}
	scale := float32(1) / float32(k*k)
	for c := range dst {
		for i := range dst[c] {
			dst[c][i] *= scale
		}
	}
}

// foldRow adds to element i of dst the linear light of the k pixels of stored row y from column
// x0 + i·k on.
func (p *pixels) foldRow(dst *[3][]float32, x0, y, k int, s *scratch) {
	n := len(dst[0])
	r, g, b := dst[0][:n], dst[1][:n], dst[2][:n]
	switch {
	case p.ycc != nil:
		p.tintRow(s, y/p.sy, x0/p.sx, (x0+n*k-1)/p.sx+1)
		row, shift := p.ycc.Y[y*p.ycc.YStride+x0:][:n*k], uint(p.sx)>>1 // sx of 1, 2, 4 is a shift by 0, 1, 2
		for i := range r {
			var sr, sg, sb float32
			x := x0 + i*k
			for _, l := range row[i*k:][:k] {
				j, t := luma(l), s.tint[x>>(shift&3)]
				sr += lightOf[(j+t.r)&mask]
				sg += lightOf[(j+t.g)&mask]
				sb += lightOf[(j+t.b)&mask]
				x++
			}
			r[i] += sr
			g[i] += sg
			b[i] += sb
		}
	case p.grey != nil:
		row := p.grey.Pix[y*p.grey.Stride+x0:][:n*k]
		for i := range r {
			var v float32
			for _, l := range row[i*k:][:k] {
				v += light8[l]
			}
			r[i] += v
			g[i] += v
			b[i] += v
		}
	case p.rgb != nil:
		row := p.rgb.Pix[y*p.rgb.Stride+4*x0:][:4*n*k]
		for i := range r {
			var sr, sg, sb float32
			for c := row[4*i*k:][:4*k]; len(c) >= 4; c = c[4:] {
				sr += light8[c[0]]
				sg += light8[c[1]]
				sb += light8[c[2]]
			}
			r[i] += sr
			g[i] += sg
			b[i] += sb
		}
	default:
		row, t := p.deep.Pix[y*p.deep.Stride+8*x0:][:8*n*k], light16()
		for i := range r {
			var sr, sg, sb float32
			for c := row[8*i*k:][:8*k]; len(c) >= 8; c = c[8:] {
				sr += t[int(c[0])<<8|int(c[1])]
				sg += t[int(c[2])<<8|int(c[3])]
				sb += t[int(c[4])<<8|int(c[5])]
			}
			r[i] += sr
			g[i] += sg
			b[i] += sb
		}
	}
}

// tintRow computes the tints of chroma row j from column i0 to before i1, which are the same for all rows of a scratch,
// unless they are there from the row above.
func (p *pixels) tintRow(s *scratch, j, i0, i1 int) {
	if s.row == j {
		return
	}
	s.row = j
	cb, cr, tints := p.ycc.Cb[j*p.ycc.CStride:][i0:i1], p.ycc.Cr[j*p.ycc.CStride:][i0:i1], s.tint[i0:i1]
	for i := range tints {
		tints[i] = tintOf(whole*int32(cb[i]), whole*int32(cr[i]))
	}
}

// lightRow sets dst to the linear light of stored row y from column x0 on.
func (p *pixels) lightRow(dst *[3][]float32, x0, y int, s *scratch) {
	if p.ycc == nil {
		for c := range dst {
			clear(dst[c])
		}
		p.foldRow(dst, x0, y, 1, s)
		return
	}
	n := len(dst[0])
	r, g, b := dst[0][:n], dst[1][:n], dst[2][:n]
	p.chromaRow(s.cb, p.ycc.Cb, x0, y)
	p.chromaRow(s.cr, p.ycc.Cr, x0, y)
	cb, cr := s.cb[:n], s.cr[:n]
	for x, l := range p.ycc.Y[y*p.ycc.YStride+x0:][:n] {
		i, t := luma(l), tintOf(cb[x], cr[x])
		r[x] = lightOf[(i+t.r)&mask]
		g[x] = lightOf[(i+t.g)&mask]
		b[x] = lightOf[(i+t.b)&mask]
	}
}

// chromaRow fills out with the chroma of the luma samples of row y from column x0 on, in 1/whole,
// interpolated as blend says.
func (p *pixels) chromaRow(out []int32, plane []uint8, x0, y int) {
	j0, j1, v := blend(y, p.sy, p.ch)
	a, b := plane[j0*p.ycc.CStride:][:p.cw], plane[j1*p.ycc.CStride:][:p.cw]
	u := 8 - v
	switch p.sx {
	case 1:
		a, b = a[x0:][:len(out)], b[x0:][:len(out)]
		for x := range out {
			out[x] = 8 * (u*int32(a[x]) + v*int32(b[x]))
		}
	case 2: // each chroma sample serves two luma samples, 3/4 of the near one and 1/4 of the far one
		c := x0 / 2
		last, here := u*int32(a[max(c-1, 0)])+v*int32(b[max(c-1, 0)]), u*int32(a[c])+v*int32(b[c])
		for x := 2*c - x0; x < len(out); x += 2 {
			c = min(c+1, p.cw-1)
			next := u*int32(a[c]) + v*int32(b[c])
			if x >= 0 {
				out[x] = 6*here + 2*last
			}
			if x+1 < len(out) {
				out[x+1] = 6*here + 2*next
			}
			last, here = here, next
		}
	default:
		for x := range out {
			i0, i1, w := blend(x0+x, p.sx, p.cw)
			out[x] = (8-w)*(u*int32(a[i0])+v*int32(b[i0])) + w*(u*int32(a[i1])+v*int32(b[i1]))
		}
	}
}
