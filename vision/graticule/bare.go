package graticule

// The picture without what has a trace's colour.
//
// A colour panel draws its graticule in grey and its traces in pure colours. The steep flanks of a wave that fills the
// screen stand at even distances, and outdo dotted lines: on them a lattice fits that has nothing to do with the
// boxes. So where the search found nothing clear, what is far more colourful than its surroundings is taken out of the picture, and
// the light around it put in its place (normalised convolution: H. Knutsson, C.-F. Westin, CVPR 1993, 515; from memory).

import (
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/photo"
	"quadrille/vision/raster"
)

const (
	// colourful is by how much the largest and the smallest of a sample's three square roots of light differ more than
	// those of its surroundings. Traces of panels have 0.3 to 0.9, lines of any display 0 to 0.08 (TestWavesAreNoLines).
	colourful = 0.15
	// colourBlock is the side in px of the surroundings, of which a wave covers less than half.
	colourBlock = 48
	// colourRim is how far around a colourful sample, in px, blur leaves light of a trace.
	colourRim = 3
	// leastColour and mostColour are the shares of a picture's samples between which a trace may be: with fewer there is
	// nothing to take out, with more it is no trace.
	leastColour, mostColour = 0.004, 0.4
	// fillReach is the width in px of the running means that fill in.
	fillReach = 15
	// Of the pieces of a family's lines that lie clear of a trace, enoughClear or more, leastClear are seen on a true graticule:
	// 0.8 to 1 on real photos, and 0.1 to 0.35 of lines that are a wave's flanks.
	enoughClear, leastClear = 5, 0.45
)

// A barePicture is a light without what is colourful.
type barePicture struct {
	light
	kept      *raster.Plane // 1 where the light is the photo's own, 0 where it was filled in
	keptScale float64       // of kept, as of light
}

// bare gives fine, the light of ph that is searched, without what is colourful; ok is false if there is hardly any.
func bare(ph *photo.Photo, fine light) (out *barePicture, ok bool) {
	rgb := ph.Reduced(reduction(ph))
	w, h := rgb[0].W, rgb[0].H
	colour := raster.New(w, h)
	raster.Rows(h, func(y0, y1 int) {
		for i := y0 * w; i < y1*w; i++ {
			colour.Pix[i] = colourOf([3]float32{rgb[0].Pix[i], rgb[1].Pix[i], rgb[2].Pix[i]})
		}
	})
	weight, share := raster.New(w, h), 0.0
	var block []float32
	for y0 := 0; y0 < h; y0 += colourBlock {
		for x0 := 0; x0 < w; x0 += colourBlock {
			x1, y1 := min(x0+colourBlock, w), min(y0+colourBlock, h)
			block = block[:0]
			for y := y0; y < y1; y += 2 {
				for x := x0; x < x1; x += 2 {
					block = append(block, colour.Row(y)[x])
				}
			}
			slices.Sort(block)
			usual := block[len(block)/2]
			for y := y0; y < y1; y++ {
				for x := x0; x < x1; x++ {
					if colour.Row(y)[x] > usual+colourful {
						weight.Row(y)[x] = 1
						share += 1 / float64(w*h)
					}
				}
			}
		}
	}
	if share < leastColour || share > mostColour {
		return nil, false
	}
	// What a running mean of the marks reaches is within colourRim of one.
	meanAcross(weight, 2*colourRim+1)
	meanDown(weight, 2*colourRim+1)
	for i, v := range weight.Pix {
		weight.Pix[i] = 1
		if v > 0 {
			weight.Pix[i] = 0
		}
	}
	plain := logLight(rgb)
	sum, count := raster.New(w, h), raster.New(w, h)
	for i, v := range plain.Pix {
		sum.Pix[i], count.Pix[i] = v*weight.Pix[i], weight.Pix[i]
	}
	for range 2 {
		meanAcross(sum, fillReach)
		meanDown(sum, fillReach)
		meanAcross(count, fillReach)
		meanDown(count, fillReach)
	}
	for i, n := range count.Pix {
		if weight.Pix[i] == 0 && n > 0.01 {
			plain.Pix[i] = sum.Pix[i] / n
		}
	}
	out = &barePicture{light{fine.scale, plain, fine.colour}, weight, fine.scale}
	if plain.W < fine.log.W { // the searched picture is enlarged
		out.log, out.keptScale = double(plain), fine.scale/2
	}
	return out, true
}

// colourOf is how far the colours of linear light are apart, 0 to 1.
func colourOf(rgb [3]float32) float32 {
	lo, hi := min(rgb[0], rgb[1], rgb[2]), max(rgb[0], rgb[1], rgb[2])
	return float32(math.Sqrt(float64(hi)) - math.Sqrt(float64(max(lo, 0))))
}

// bears reports whether enough of the lines of g, whose families differ in colour, are there on the bare picture.
func (b *barePicture) bears(g *Graticule, v *verdict) bool {
	asked, seen := b.standing(g, v)
	for fam := range asked {
		if asked[fam] < enoughClear || float64(seen[fam]) < leastClear*float64(asked[fam]) {
			return false
		}
	}
	return true
}

// standing counts the pieces of lines of each family that lie where nothing was taken out of the picture, and those of them
// that are seen on it.
func (b *barePicture) standing(g *Graticule, v *verdict) (asked, seen [2]int) {
	xs, ys := rulings(g.Frame, g.Centred)
	free := func(fam family, k, c int) bool {
		for t := 0.1; t < 1; t += 0.2 {
			at := geom.Box{}
			if fam == upright {
				at = geom.Box{X: xs[k], Y: ys[c] + t}
			} else {
				at = geom.Box{X: xs[c] + t, Y: ys[k]}
			}
			p := v.model.pixel(at)
			x, y := int(p.X*b.keptScale), int(p.Y*b.keptScale)
			if x < 0 || y < 0 || x >= b.kept.W || y >= b.kept.H || b.kept.Row(y)[x] == 0 {
				return false
			}
		}
		return true
	}
	for k := range xs {
		for c := range len(ys) - 1 {
			if free(upright, k, c) {
				asked[upright]++
			}
		}
	}
	for k := range ys {
		for c := range len(xs) - 1 {
			if free(level, k, c) {
				asked[level]++
			}
		}
	}
	obs, _ := observe(&closeUp{plane: b.log, scale: b.scale}, v.model, xs, ys, v.sign)
	for _, o := range obs {
		if free(o.fam, o.k, o.c) {
			seen[o.fam]++
		}
	}
	return asked, seen
}
