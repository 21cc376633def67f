package trace

// What stands out in the strip left of the frame, whatever its colour: small things that differ from what surrounds
// them, of the size of a channel's mark.
//
// The strip is cut at a row of thresholds, each half as much again as the one before. What holds together at several of
// them is a sign, for a mark may be faint, lie in glare or touch the rim, and there may be brighter things beside it.
// The method is that of the components of level sets that change least (Matas, Chum, Urban, Pajdla, Image and Vision
// Computing 22 (2004) 761), with colour differences for grey levels. A digit and the pointer beside it are one sign.

import (
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// surroundings is how far above and below a cell, in boxes, its surroundings reach, so that their median is that of
	// the bezel and not of a mark in it: at 0.45 a flag drawn in outline was lost on a busy display, seed 1 of RandomBusy
	// (TestALargeMarkHasSurroundings).
	surroundings = 0.9
	// surroundStep is how far apart the medians are taken, in boxes; nothing changes from 0.12 to 0.5.
	surroundStep = 0.25
	// signNoise is from how many times the usual difference on a cell stands out; nothing changes from 1.5 to 6
	// (TestNoiseAtTheRimIsNoMark).
	signNoise = 3
	// A cell stands out from signContrast in linear light on; thresholds rise by signRise (TestWhichSignsAreMarks).
	signContrast, signRise = 0.02, 1.5
	// signLevels is the number of thresholds; with ten, marks up to four fifths of white are seen above a rim of
	// half their light (TestABrightSignMayRunIntoTheRim).
	signLevels = 10
	// signThresholds is how many thresholds in a row a sign holds together at; from signBright on, in linear light, two
	// are enough, for a bright one runs into the rim at all lower ones (TestABrightSignMayRunIntoTheRim).
	signThresholds = 4
	// signBright is that light (TestABrightSignMayRunIntoTheRim).
	signBright = 0.2
	// A sign is at least signWide boxes wide and signHigh high, half of a mark that the screen's end cuts in two: the
	// ticks of the rim are smaller (TestWhichSignsAreMarks).
	signWide, signHigh = 0.12, 0.09
	// A waist has less than waistLight of the light of the columns on both its sides; a tip, over tipColumns, less than
	// tipLight of the most (TestWhatHasTheShapeOfAMark).
	waistLight, tipLight, tipColumns = 0.5, 0.6, 3
	// signMost is the most width and height of a sign, in boxes: a digit and a pointer in a flag (TestWhichSignsAreMarks).
	signMost = 0.75
)

// A sign is a thing at the rim of the size of a mark, as it looks at one threshold after the other.
type sign struct {
	looks []look
	level float32 // the highest threshold that it was seen at, linear light
}

// A look is a sign at one threshold.
type look struct {
	*group
	arrow  *blob // its rightmost part
	shaped bool  // whether it has a waist or a tip
	waist  bool
	beauty float64 // how alike the arrow is to its mirror image, 0 to 1
}

// signs lists what stands out, size being by how much each cell does.
func (r *rim) signs(size []float32) (out []*sign) {
	level := max(signNoise*raster.Rank(slices.Clone(size), 0.5), signContrast)
	mask := make([][]bool, r.NX)
	for range signLevels {
		for i := range mask {
			mask[i] = make([]bool, r.NY)
			for j := range mask[i] {
				mask[i][j] = size[i*r.NY+j] > level
			}
		}
		for _, g := range grouped(blobsOf(mask), int(numberApart*float64(r.Across)+0.5)) {
			wide, high := float64(g.i1-g.i0+1)*r.DX, float64(g.j1-g.j0+1)*r.DY
			if g.i0 < besideFrame || wide > signMost || high > signMost || wide < signWide || high < signHigh {
				continue
			}
			l := look{group: g, arrow: g.arrow(int(markThin*float64(r.Across)+0.5), int(markLeast*float64(r.Up)+0.5))}
			columns := r.columns(&g.blob, size)
			l.beauty, l.waist = max(l.arrow.mirrored()), hasWaist(columns)
			l.shaped = l.waist || hasTip(columns)
			k := slices.IndexFunc(out, func(s *sign) bool { return s.level < level && l.within(s.looks[len(s.looks)-1]) })
			if k < 0 {
				k = len(out)
				out = append(out, &sign{})
			}
			out[k].looks, out[k].level = append(out[k].looks, l), level
		}
		level *= signRise
	}
	return slices.DeleteFunc(out, func(s *sign) bool {
		return len(s.looks) < signThresholds && (len(s.looks) < 2 || s.level < signBright)
	})
}

// within reports whether l lies in the box round o, but for a cell.
func (l look) within(o look) bool {
	return l.i0 >= o.i0-1 && l.i1 <= o.i1+1 && l.j0 >= o.j0-1 && l.j1 <= o.j1+1
}

// tint is the colour of the sign that looks like l: at the lowest threshold, where the most of it is not overexposed,
// but within l's box, for there it may have run into something else.
func (s *sign) tint(l look, light *[3][]float32, rows int) sheet.Tint {
	var b blob
	for _, c := range s.looks[0].cells {
		if c[0] >= l.i0-1 && c[0] <= l.i1+1 && c[1] >= l.j0-1 && c[1] <= l.j1+1 {
			b.add(c[0], c[1])
		}
	}
	return tintOf(&b, light, rows, func(int, int) float32 { return 0 })
}

// columns is by how much the columns of the box round b stand out.
func (r *rim) columns(b *blob, size []float32) []float32 {
	out := make([]float32, 0, b.i1-b.i0+1)
	for i := b.i0; i <= b.i1; i++ {
		sum := float32(0)
		for _, v := range size[i*r.NY+b.j0 : i*r.NY+b.j1+1] {
			sum += v
		}
		out = append(out, sum)
	}
	return out
}

// hasTip reports whether the columns have a tip at the frame, and hasWaist whether they have a waist, as there is
// between a digit and its pointer: a stroke that runs on past the frame, and the glow of one, have neither.
func hasTip(columns []float32) bool {
	last := raster.Rank(slices.Clone(columns[max(len(columns)-tipColumns, 0):]), 0.5)
	return last < tipLight*slices.Max(columns)
}

func hasWaist(columns []float32) bool {
	for i := 1; i < len(columns)-1; i++ {
		if columns[i] < waistLight*min(slices.Max(columns[:i]), slices.Max(columns[i+1:])) {
			return true
		}
	}
	return false
}

// differences gives by how much each cell differs from its surroundings, by channel and in all, in linear light.
func (r *rim) differences() (light [3][]float32, size []float32) {
	reach, step := int(surroundings*float64(r.Up)), max(int(surroundStep*float64(r.Up)), 1)
	size = make([]float32, r.NX*r.NY)
	for c := range light {
		light[c] = make([]float32, r.NX*r.NY)
		for i := range r.NX {
			col, out := r.Light[c][i*r.NY:(i+1)*r.NY], light[c][i*r.NY:(i+1)*r.NY]
			about := func(j int) float32 {
				return raster.Rank(slices.Clone(col[max(j-reach, 0):min(j+reach+1, r.NY)]), 0.5)
			}
			for j, here := 0, about(0); j < r.NY; j += step {
				next := about(min(j+step, r.NY-1))
				for k := j; k < min(j+step, r.NY); k++ {
					out[k] = col[k] - here - (next-here)*float32(k-j)/float32(step)
					size[i*r.NY+k] += out[k] * out[k]
				}
				here = next
			}
		}
	}
	for k, v := range size {
		size[k] = float32(math.Sqrt(float64(v)))
	}
	return light, size
}
