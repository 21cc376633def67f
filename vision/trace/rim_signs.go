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
	// signNoise is from how many times the usual difference on a cell stands out; nothing changes from 1.5 to 6
	// (TestNoiseAtTheRimIsNoMark).
	signNoise = 3
	// A cell stands out from signContrast in linear light on; thresholds rise by signRise (TestWhichSignsAreMarks).
	signContrast, signRise = 0.02, 1.5
	// signLevels is the number of thresholds; with ten, marks up to four fifths of white are seen above a rim of
	// half their light (TestABrightSignMayRunIntoTheRim).
	signLevels = 10
	// signThresholds is how many thresholds in a row a sign holds together at; from signBright on, in linear light, two
	// are enough, for a bright one runs into the rim at all lower ones (TestABrightSignMayRunIntoTheRim,
	// TestWhichSignsAreMarks).
	signThresholds = 4
	// signBright is that light (TestABrightSignMayRunIntoTheRim).
	signBright = 0.2
	// highest is how many thresholds tell of a sign's end; nothing changes from 1 to 6
	// (TestAWaveThatRunsOnPastTheFrameIsNoMark).
	highest = 3
	// A sign is taken as it looks where it is most like its mirror image, times its size to the power sizeCounts: what
	// is left of it at the highest thresholds has lost its shape (TestWhichLookIsTaken).
	sizeCounts = 0.25
	// numberApart is the greatest distance, in boxes, of a number from the sign beside it
	// (TestANumberStandsBesideItsMark).
	numberApart = 0.14
	// A pointer is at least arrowShare as high as it is with its number (TestAPointerIsNotMuchLowerThanItsNumber).
	arrowShare = 0.45
	// What touches the outermost besideFrame columns of the strip comes from further off (TestWhichSignsAreMarks).
	besideFrame = 2
	// A sign is at least signWide boxes wide and signHigh high, half of a mark that the screen's end cuts in two: the
	// ticks of the rim are smaller (TestWhichSignsAreMarks).
	signWide, signHigh = 0.12, 0.09
	// tintsApart is by how many radians the colours of two traces differ whose marks are told apart where they touch
	// (TestMarksOfTwoColoursMayTouch).
	tintsApart = 0.2
	// A waist has less than waistLight of the light of the columns on both its sides; a tip, over tipColumns, less than
	// tipLight of the most (TestWhatHasTheShapeOfAMark).
	waistLight, tipLight, tipColumns = 0.5, 0.6, 3
	// signMost is the most width and height of a sign, in boxes: a digit and a pointer in a flag (TestWhichSignsAreMarks,
	// TestWhereAMarkPoints).
	signMost = 0.95
)

// A sign is a thing at the rim of the size of a mark, as it looks at one threshold after the other.
type sign struct {
	looks []look
	level float32 // the highest threshold that it was seen at, linear light
}

// A look is a sign at one threshold.
type look struct {
	*group
	arrow      *blob // its rightmost part
	waist, tip bool
	beauty     float64 // how alike the arrow is to its mirror image, 0 to 1
}

// worth says how well the sign is seen in this look.
func (l look) worth() float64 { return l.beauty * math.Pow(float64(len(l.arrow.cells)), sizeCounts) }

// signs lists what stands out: what is brighter than its surroundings, or darker, as traces of the tints are, and,
// where marks of several colours may touch, what has each of the tints.
func (r *rim) signs(tints []sheet.Tint) (out []*sign) {
	for _, way := range []float32{1, -1} {
		if slices.ContainsFunc(tints, func(t sheet.Tint) bool { return way*(t[0]+t[1]+t[2]) > 0 }) {
			out = append(out, r.signsOf(func(k int) bool { return way*(r.Light[0][k]+r.Light[1][k]+r.Light[2][k]) > 0 })...)
		}
	}
	var apart []sheet.Tint
	for _, t := range tints {
		if !slices.ContainsFunc(apart, func(o sheet.Tint) bool { return t.Angle(o) < tintsApart }) {
			apart = append(apart, t)
		}
	}
	if len(apart) < 2 {
		return out
	}
	nearest := make([]int8, len(r.size))
	for k := range nearest {
		cell, most := sheet.Tint{r.Light[0][k], r.Light[1][k], r.Light[2][k]}, float32(0)
		nearest[k] = none
		for n, t := range apart {
			if v := t[0]*cell[0] + t[1]*cell[1] + t[2]*cell[2]; v > most {
				nearest[k], most = int8(n), v
			}
		}
	}
	for n := range apart {
		out = append(out, r.signsOf(func(k int) bool { return nearest[k] == int8(n) })...)
	}
	return out
}

// signsOf lists what stands out among the cells of a kind.
func (r *rim) signsOf(kind func(k int) bool) (out []*sign) {
	// Inside the frame more is drawn, and its noise is another; marks are as bright there as outside.
	level := max(signNoise*raster.Rank(slices.Clone(r.size[:r.edge*r.NY]), 0.5), signContrast)
	mask := make([][]bool, r.NX)
	for i := range mask {
		mask[i] = make([]bool, r.NY)
	}
	smear, _ := r.smear()
	for range signLevels {
		for i := range mask {
			for j := range mask[i] {
				k := i*r.NY + j
				mask[i][j] = r.size[k] > level && kind(k)
			}
		}
		for _, g := range r.fitting(grouped(r.cutAtRim(blobsOf(mask)), int(numberApart*float64(r.Across)+0.5))) {
			l := look{group: g, arrow: g.arrow(int(markThin*float64(r.Across)+0.5), int(markLeast*float64(r.Up)+0.5))}
			columns := r.columns(&g.blob)
			upright, sideways := l.arrow.mirrored()
			l.beauty, l.waist = max(upright, sideways), hasWaist(columns)
			if l.waist && l.beauty > numberAlike && upright < evenShape && l.arrow.endHeight() < leadHeight {
				l.beauty = max(l.beauty, evenShape) // a sign of earth
			}
			if g.i1 < r.edge+smear { // the mean has blunted its end; inside the frame a trace may have
				columns = columns[:max(len(columns)-smear, 1)]
			}
			l.tip = hasTip(columns)
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

// fitting are the groups of the size of a sign, of those that reach across the rim what is outside too, and of those
// that are too large their parts.
func (r *rim) fitting(groups []*group) (out []*group) {
	fits := func(g *group) bool {
		wide, high := float64(g.i1-g.i0+1)*r.DX, float64(g.j1-g.j0+1)*r.DY
		return g.i0 >= besideFrame && wide <= signMost && high <= signMost && wide >= signWide && high >= signHigh
	}
	add := func(g *group) bool {
		if fits(g) {
			out = append(out, g)
			return true
		}
		return false
	}
	for _, g := range groups {
		whole := add(g)
		if smear, _ := r.smear(); g.i0 < r.edge && g.i1 >= r.edge+smear {
			o := r.outside(g)
			o.cut = whole
			whole = len(o.cells) > 0 && add(o) || whole
		}
		for _, b := range g.parts {
			if !whole {
				add(&group{blob: *b, parts: []*blob{b}})
			}
		}
	}
	return out
}

// outside is what of a group lies outside the frame.
func (r *rim) outside(g *group) *group {
	out := &group{}
	for _, b := range g.parts {
		part := &blob{}
		for _, c := range b.cells {
			if c[0] < r.edge {
				part.add(c[0], c[1])
				out.add(c[0], c[1])
			}
		}
		if len(part.cells) > 0 {
			out.parts = append(out.parts, part)
		}
	}
	return out
}

// cutAtRim cuts what runs through the strip's part inside the frame at the rim: a trace or a line may run into its
// mark.
func (r *rim) cutAtRim(blobs []*blob) (out []*blob) {
	mask := make([][]bool, r.edge)
	for _, b := range blobs {
		if b.i1 < r.NX-1 {
			out = append(out, b)
			continue
		}
		for _, c := range b.cells {
			if i := c[0]; i < r.edge {
				if mask[i] == nil {
					mask[i] = make([]bool, r.NY)
				}
				mask[i][c[1]] = true
			}
		}
	}
	for _, b := range blobsOf(mask) {
		b.cut = true
		out = append(out, b)
	}
	return out
}

// shaped reports whether the sign has a waist or a tip at most thresholds.
func (s *sign) shaped() bool {
	n := 0
	for _, l := range s.looks {
		if l.waist || l.tip {
			n++
		}
	}
	return 2*n >= len(s.looks)
}

// endHeight is the median height of its right end over that of the whole at the highest thresholds: a stroke is blunt
// there.
func (s *sign) endHeight() float64 {
	var h []float64
	for _, l := range s.looks[max(len(s.looks)-highest, 0):] {
		h = append(h, l.arrow.endHeight())
	}
	return raster.Rank(h, 0.5)
}

// within reports whether l lies in the box round o, but for a cell.
func (l look) within(o look) bool {
	return l.i0 >= o.i0-1 && l.i1 <= o.i1+1 && l.j0 >= o.j0-1 && l.j1 <= o.j1+1
}

// tint is the colour of the sign that looks like l: at the lowest threshold, where the most of it is not overexposed,
// but within l's box, for there it may have run into something else.
func (s *sign) tint(l look, r *rim) sheet.Tint {
	var b blob
	for _, c := range s.looks[0].cells {
		if c[0] >= l.i0-1 && c[0] <= l.i1+1 && c[1] >= l.j0-1 && c[1] <= l.j1+1 {
			b.add(c[0], c[1])
		}
	}
	var sum [3]float64
	for _, at := range b.cells {
		k := at[0]*r.NY + at[1]
		for c := range sum {
			sum[c] += float64(r.Light[c][k])
		}
	}
	return sheet.UnitTint(sum)
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
