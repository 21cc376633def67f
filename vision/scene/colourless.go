package scene

// The picture without what has a trace's colour.
//
// A colour panel draws its graticule in grey and its traces in pure colours. The steep flanks of a wave that fills the
// screen stand at even distances, and outdo dotted lines: on them a lattice fits that has nothing to do with the
// boxes. So what is far more colourful than its surroundings is taken out of the picture, and the light around it put
// in its place (normalised convolution: H. Knutsson, C.-F. Westin, CVPR 1993, 515; from memory).

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
)

const (
	// colourful is by how much the largest and the smallest of a sample's three square roots of light differ more than
	// those of its surroundings. Traces of panels have 0.3 to 0.9, lines of any display 0 to 0.08
	// (TestOnlyWhatIsLikeATraceIsTakenOut).
	colourful = 0.15
	// colourBlock is the side in px of the surroundings, of which a wave covers less than half
	// (TestOnlyWhatIsLikeATraceIsTakenOut).
	colourBlock = 48
	// colourRim is how far around a colourful sample, in px, blur leaves light of a trace
	// (TestBesideATraceTheLightIsNotThePhotosOwn).
	colourRim = 4
	// leastColour and mostColour are the shares of a picture's samples between which a trace may be: with fewer there is
	// nothing to take out, with more it is no trace (TestOnlyWhatIsLikeATraceIsTakenOut).
	leastColour, mostColour = 0.004, 0.4
	// fillReach is the width in px of the running means that fill in (TestTheColourlessViewKeepsWhatIsGrey).
	fillReach = 15
)

// Kept tells where the light of the colourless picture is the photo's own.
type Kept struct {
	own   *raster.Plane // 1 where it is, 0 where it was filled in
	scale float64       // samples to a pixel of the photo
}

// Own reports whether the light at the place p of the photo is the photo's own; false outside.
func (k *Kept) Own(p geom.Pixel) bool {
	x, y := int(math.Floor(p.X*k.scale)), int(math.Floor(p.Y*k.scale))
	return x >= 0 && y >= 0 && x < k.own.W && y < k.own.H && k.own.Row(y)[x] != 0
}

// colourless gives the log lightness of linear light without what is colourful, and what it kept; nil if there is
// hardly any. scale is that of rgb.
func colourless(rgb [3]*raster.Plane, scale float64) (*raster.Plane, *Kept) {
	w, h := rgb[0].W, rgb[0].H
	colour := raster.New(w, h)
	raster.Rows(h, func(y0, y1 int) {
		for i := y0 * w; i < y1*w; i++ {
			colour.Pix[i] = colourOf(rgb[0].Pix[i], rgb[1].Pix[i], rgb[2].Pix[i])
		}
	})
	own := colour // which is marked in place: 1 where something is taken out
	marked := 0
	var block []float32
	for y0 := 0; y0 < h; y0 += colourBlock {
		for x0 := 0; x0 < w; x0 += colourBlock {
			x1, y1 := min(x0+colourBlock, w), min(y0+colourBlock, h)
			block = block[:0]
			for y := y0; y < y1; y += 2 {
				row := colour.Row(y)
				for x := x0; x < x1; x += 2 {
					block = append(block, row[x])
				}
			}
			limit := raster.Rank(block, 0.5) + colourful
			for y := y0; y < y1; y++ {
				row := own.Row(y)[x0:x1]
				for x, v := range row {
					if row[x] = 0; v > limit {
						row[x] = 1
						marked++
					}
				}
			}
		}
	}
	if share := float64(marked) / float64(w*h); share < leastColour || share > mostColour {
		return nil, nil
	}
	// What two running means of the marks reach is within colourRim of one.
	own.MeanAcrossTwice(colourRim + 1)
	own.MeanDownTwice(colourRim + 1)
	const rounding = 1e-3 // a mark as far as that leaves 0.0016 (TestBesideATraceTheLightIsNotThePhotosOwn)
	for i, v := range own.Pix {
		own.Pix[i] = 1
		if v > rounding {
			own.Pix[i] = 0
		}
	}
	out := logLight(rgb)
	sum, count := raster.New(w, h), raster.New(w, h)
	for i, v := range out.Pix {
		sum.Pix[i], count.Pix[i] = v*own.Pix[i], own.Pix[i]
	}
	for _, p := range [2]*raster.Plane{sum, count} {
		p.MeanAcrossTwice(fillReach)
		p.MeanDownTwice(fillReach)
	}
	for i, n := range count.Pix {
		if own.Pix[i] == 0 && n > 0.01 {
			out.Pix[i] = sum.Pix[i] / n
		}
	}
	return out, &Kept{own, scale}
}

// colourOf is how far three colours of linear light are apart, 0 to 1.
func colourOf(r, g, b float32) float32 {
	lo, hi := r, r
	for _, v := range [2]float32{g, b} {
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
	}
	return float32(math.Sqrt(float64(hi))) - float32(math.Sqrt(float64(max(lo, 0))))
}
