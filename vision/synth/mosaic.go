package synth

import "quadrille/vision/raster"

// A sensor sees one colour a pixel: red and green in even rows, green and blue in odd ones (the
// mosaic of B. Bayer). The missing two are interpolated linearly with a correction by the seen one:
// H. Malvar, L. He, R. Cutler, High-quality linear interpolation for demosaicing of Bayer-patterned
// color images, ICASSP 2004, figure 2. Fine patterns of a panel give coloured moiré this way, as on
// real photos.

// mosaicColour is the colour that pixel (x, y) sees: 0 red, 1 green, 2 blue.
func mosaicColour(x, y int) int { return x&1 + y&1 }

// demosaic fills, in each plane, the pixels that do not see its colour.
func demosaic(seen [3]*raster.Plane) {
	w, h := seen[0].W, seen[0].H
	// The raw picture with two pixels of border, mirrored so that the mosaic goes on.
	const rim = 2
	raw := raster.New(w+2*rim, h+2*rim)
	mirror := func(k, n int) int {
		if k < 0 {
			return -k
		}
		if k >= n {
			return 2*n - 2 - k
		}
		return k
	}
	raster.Rows(raw.H, func(y0, y1 int) {
		for j := y0; j < y1; j++ {
			y := mirror(j-rim, h)
			dst := raw.Row(j)
			for i := range dst {
				x := mirror(i-rim, w)
				dst[i] = seen[mosaicColour(x, y)].Pix[y*w+x]
			}
		}
	})
	raster.Rows(h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			var r [5][]float32
			for k := range r {
				r[k] = raw.Row(y + k)
			}
			for x := range w {
				c := r[2][x+2]
				level1, level2 := r[2][x+1]+r[2][x+3], r[2][x]+r[2][x+4]
				up1, up2 := r[1][x+2]+r[3][x+2], r[0][x+2]+r[4][x+2]
				diagonal := r[1][x+1] + r[1][x+3] + r[3][x+1] + r[3][x+3]
				k := y*w + x
				if mosaicColour(x, y) == 1 {
					row := (5*c + 4*level1 - diagonal - level2 + up2/2) / 8 // the colour of this row
					column := (5*c + 4*up1 - diagonal - up2 + level2/2) / 8 // the colour of this column
					seen[1].Pix[k], seen[0].Pix[k], seen[2].Pix[k] = c, row, column
					if y&1 == 1 {
						seen[0].Pix[k], seen[2].Pix[k] = column, row
					}
					continue
				}
				own, other := seen[0], seen[2]
				if y&1 == 1 {
					own, other = other, own
				}
				own.Pix[k] = c
				seen[1].Pix[k] = (4*c + 2*(level1+up1) - level2 - up2) / 8
				other.Pix[k] = (6*c + 2*diagonal - 1.5*(level2+up2)) / 8
			}
		}
	})
}
