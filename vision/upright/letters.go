package upright

// From a sheet to its letters, with the likelihoods of each.

import "quadrille/vision/raster"

// A letter is a piece of ink in a row of such.
type letter struct {
	blob         // on the sheet
	view     int // 0 if the row runs along x, 1 if it does so after a quarter turn clockwise
	shape    patch
	up, down float64 // log likelihoods, see likeness
}

// letters finds the rows on the sheet, of light ink and of dark, along either axis.
func (s *sheet) letters() (out []letter) {
	diff, least := s.contrast()
	for _, sign := range []float32{1, -1} {
		all := blobs(diff, least, sign)
		turned := make([]blob, len(all))
		for i := range all {
			turned[i] = all[i].clockwise()
		}
		for view, seen := range [2][]blob{all, turned} {
			box := [2]float64{s.py, s.px}[view]
			for _, b := range rowsOf(seen, box) {
				l := letter{blob: b, view: view}
				if view == 1 {
					l.blob = b.clockwise().clockwise().clockwise()
				}
				if !shape(&l.shape, diff, &l.blob, view, sign) {
					continue
				}
				l.up, l.down = likeness(&l.shape, float64(b.w())/float64(b.h()))
				out = append(out, l)
			}
		}
	}
	return out
}

// shape stretches the ink of a blob to a patch, as it is seen in a view; not ok if it is even.
func shape(p *patch, diff *raster.Plane, b *blob, view int, sign float32) bool {
	nx, ny := patchW, patchH
	if view == 1 {
		nx, ny = ny, nx
	}
	w, h := float64(b.w())/float64(nx), float64(b.h())/float64(ny)
	for j := range ny {
		for i := range nx {
			v := sign * mean(diff, float64(b.x0)+w*float64(i), float64(b.y0)+h*float64(j), w, h)
			if view == 1 { // column i of the sheet is row i of the view, row j its column from the right
				p[i*patchW+ny-1-j] = v
			} else {
				p[j*patchW+i] = v
			}
		}
	}
	return p.normalise()
}

// mean is the mean of diff over a rectangle w × h from (x, y) on, whose sides lie anywhere between samples.
func mean(diff *raster.Plane, x, y, w, h float64) float32 {
	x1, y1 := min(x+w, float64(diff.W)), min(y+h, float64(diff.H))
	var sum, area float64
	for j := int(y); float64(j) < y1; j++ {
		fy := min(float64(j+1), y1) - max(float64(j), y)
		row := diff.Row(j)
		for i := int(x); float64(i) < x1; i++ {
			f := fy * (min(float64(i+1), x1) - max(float64(i), x))
			sum += f * float64(row[i])
			area += f
		}
	}
	if area == 0 {
		return 0
	}
	return float32(sum / area)
}
