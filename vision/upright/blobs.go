package upright

// Blobs: connected samples that are lighter, or darker, than their neighbourhood.

import "quadrille/vision/raster"

const (
	// around is half the side of the neighbourhood, boxes: a letter and the gaps beside it.
	// TestInkIsHeldAgainstItsNeighbourhood would notice.
	around = 0.4
	// overSpread is how far from the mean of its neighbourhood a sample must be, in standard deviations of the
	// neighbourhood: strokes that cover a fifth of it lie 2 above the mean and the field between them 0.5 below, so that
	// the edge is 0.75 above. TestBlurredStrokesKeepTheirWidth would notice.
	overSpread = 0.8
	// leastContrast is the same in log lightness: fainter letters are noise (TestFaintInkIsNoise).
	leastContrast = 0.08
)

// A blob is one piece of ink; its rectangle is half open.
type blob struct {
	x0, y0, x1, y1 int
	area           int
}

func (b *blob) w() int { return b.x1 - b.x0 }
func (b *blob) h() int { return b.y1 - b.y0 }

// clockwise gives the blob as seen after a quarter turn of the sheet, which takes (x, y) to (-y, x).
func (b blob) clockwise() blob {
	return blob{-b.y1, b.x0, -b.y0, b.x1, b.area}
}

// contrast subtracts the mean of the neighbourhood, and gives the threshold of each sample.
func (s *sheet) contrast() (diff, least *raster.Plane) {
	mean, spread := s.log.Local(int(around*s.px), int(around*s.py))
	raster.Rows(s.h, func(y0, y1 int) {
		for k := y0 * s.w; k < y1*s.w; k++ {
			mean.Pix[k] = s.log.Pix[k] - mean.Pix[k]
			if spread.Pix[k] *= overSpread; spread.Pix[k] < leastContrast {
				spread.Pix[k] = leastContrast
			}
		}
	})
	return mean, spread
}

// blobs finds the pieces of ink of one polarity (sign 1 lighter, -1 darker), joined where they touch, corners included.
func blobs(diff, least *raster.Plane, sign float32) []blob {
	on := make([]bool, diff.W)
	var spans []raster.Span
	for y := range diff.H {
		row, t := diff.Row(y), least.Row(y)
		for x, v := range row {
			on[x] = sign*v > t[x]
		}
		spans = raster.Spans(spans, y, on)
	}
	list, _ := raster.Components(spans, 1)
	out := make([]blob, 0, len(list))
	for _, c := range list {
		if c.Area >= 2 {
			out = append(out, blob{c.From, c.Line0, c.To, c.Line1, c.Area})
		}
	}
	return out
}
