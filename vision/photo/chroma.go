package photo

// chromaRow gives the chroma of n luma samples of row y from column x0 on, in units of 1/whole,
// interpolated as blend says, in buf.
func (p *pixels) chromaRow(plane []uint8, buf []int32, x0, y, n int) []int32 {
	j0, j1, v := blend(y, p.sy, p.chRow)
	a, b := plane[j0*p.ycc.CStride:][:p.cw], plane[j1*p.ycc.CStride:][:p.cw]
	out := buf[:n]
	u := 8 - v
	switch p.sx {
	case 1:
		a, b = a[x0:][:n], b[x0:][:n]
		for x := range out {
			out[x] = 8 * (u*int32(a[x]) + v*int32(b[x]))
		}
	case 2:
		// Each chroma sample serves two luma samples, 3/4 near and 1/4 far.
		c := x0 / 2
		last := u*int32(a[max(c-1, 0)]) + v*int32(b[max(c-1, 0)])
		here := u*int32(a[c]) + v*int32(b[c])
		for x := x0; x < x0+n; c++ {
			next := here
			if c+1 < p.cw {
				next = u*int32(a[c+1]) + v*int32(b[c+1])
			}
			if x == 2*c {
				out[x-x0] = 6*here + 2*last
				x++
			}
			if x < x0+n {
				out[x-x0] = 6*here + 2*next
				x++
			}
			last, here = here, next
		}
	default:
		for x := range out {
			i0, i1, w := blend(x0+x, p.sx, p.cw)
			out[x] = (8-w)*(u*int32(a[i0])+v*int32(b[i0])) + w*(u*int32(a[i1])+v*int32(b[i1]))
		}
	}
	return out
}
