package path

// The colours that are drawn with.
//
// What stands out from field and ink has a direction in linear RGB: that of a yellow stroke on black,
// of a pale stroke on blue, or, negative, of a dark stroke on a pale display. Glare adds to the field and
// leaves the direction alone. The directions of all strokes gather about few places of the sphere,
// found one after the other as the heaviest cluster (mean shift: Comaniciu, Meer, IEEE TPAMI 24
// (2002) 603). Each is tried as a trace's colour.

import (
	"cmp"
	"math"
	"slices"

	"quadrille/vision/raster"
	"quadrille/vision/sheet"
)

const (
	// standsOut is how many standard deviations above the field a cell needs to tell a colour
	// (TestWhichColoursAreDrawnWith).
	standsOut = 6
	// A stroke's light is summed over its height, or over pieceHigh boxes of a steep one, and over pieceWide boxes along
	// it: cells of its core are bleached, those of its edges have the stripes of the display, and moiré colours columns,
	// 0.05 to 0.3 radians, but their sum is 0.02 to 0.06 off (traces of 13 busy displays). Strokes within clusterRadius
	// are of one colour; pink and white ones are 0.21 apart. A stroke up to spreadOfStroke off adds to the mean colour of
	// the centre nearest to it (TestAStrokeHasOneColour, TestWhichColoursAreDrawnWith, TestWhichStrokesAreOfAColour).
	pieceHigh, pieceWide, clusterRadius, spreadOfStroke = 0.12, 0.1, 0.13, 0.22
	// leastShare is the share of all that stands out below which a colour is not tried
	// (TestWhichColoursAreDrawnWith).
	leastShare = 0.02
	// mostColours bounds the search; displays have four channels and white text
	// (TestWhichColoursAreDrawnWith).
	mostColours = 6
	// foreign is how many times the part of a cell's light off the colour's direction is taken from
	// the part along it: a cell 27° off scores 0 (TestWhatACellScores).
	foreign = 2
	// coversInk is how many times brighter than the ink a cell must be to be judged as a stroke that
	// covers it (TestWhatACellScores).
	// Ink up to inkReach boxes away counts: the grid may lie a little beside its lines.
	coversInk, inkReach = 2, 0.03
	// lineBeside is how far beside an upright line, in boxes, there is none of its light
	// (TestTheInkOfAnUprightLineCounts).
	lineBeside = 0.1
	// otherColour is how alike the tint the graticule's ink may be, as a share of its light, and be of another
	// colour: that of monochrome displays has 0.9 to 1 (TestWhichInkIsOfAnotherColour).
	otherColour = 0.8
)

// A hue is the strokes whose colours fall into one bin: the sum of their directions, each with its weight.
type hue struct {
	sum    [3]float64
	weight float64
}

func (h *hue) add(o hue) {
	for c := range h.sum {
		h.sum[c] += o.sum[c]
	}
	h.weight += o.weight
}

// angle is that between two hues, in radians.
func (h *hue) angle(d [3]float64) float64 { return math.Acos(min(sheet.Dot(sheet.Unit(h.sum), d), 1)) }

// tints gives the colours drawn with, heaviest first.
func tints(s *sheet.Sheet) []sheet.Tint {
	hues := huesOf(s)
	total := 0.0
	for _, h := range hues {
		total += h.weight
	}
	var centres [][3]float64
	for rest := slices.Clone(hues); len(rest) > 0 && len(centres) < mostColours; {
		heaviest := slices.MaxFunc(rest, func(a, b hue) int { return cmp.Compare(a.weight, b.weight) })
		d, near := sheet.Unit(heaviest.sum), 0.0
		for range 8 {
			var about hue
			for _, h := range rest {
				if h.angle(d) < clusterRadius {
					about.add(h)
				}
			}
			if about.weight == 0 {
				break
			}
			d, near = sheet.Unit(about.sum), about.weight
		}
		rest = slices.DeleteFunc(rest, func(h hue) bool { return h == heaviest || h.angle(d) < 1.2*clusterRadius })
		if near >= leastShare*total {
			centres = append(centres, d)
		}
	}
	return settled(centres, hues)
}

// settled gives each centre the mean colour of the hues that are nearest to it and that a stroke of it may have.
func settled(centres [][3]float64, hues []hue) (found []sheet.Tint) {
	about := make([]hue, len(centres))
	for _, h := range hues {
		nearest, best := -1, spreadOfStroke
		for k, d := range centres {
			if a := h.angle(d); a < best {
				nearest, best = k, a
			}
		}
		if nearest >= 0 {
			about[nearest].add(h)
		}
	}
	for _, h := range about {
		found = append(found, sheet.UnitTint(h.sum))
	}
	return found
}

// A piece of a stroke, while it is gathered: its last column's rows, the columns so far, and their light.
type strokePiece struct {
	lo, hi, columns int
	light           [3]float32
}

// strokePieces gathers the light of all strokes: of each column the cells that stand out, pieceHigh boxes at a time,
// and of pieceWide boxes of columns those that touch.
func strokePieces(s *sheet.Sheet) (light [][3]float32) {
	high, wide := max(int(pieceHigh*float64(s.Up)+0.5), 1), max(int(pieceWide*float64(s.Across)+0.5), 1)
	var open, next []strokePiece
	var noise [3][]float32
	for c := range noise {
		noise[c] = make([]float32, s.NY)
	}
	end := func(p strokePiece) {
		for k, o := range open {
			if o.columns < wide && o.lo <= p.hi && p.lo <= o.hi {
				for c := range p.light {
					p.light[c] += o.light[c]
				}
				p.columns += o.columns
				open = slices.Delete(open, k, k+1)
				break
			}
		}
		next = append(next, p)
	}
	for i := range s.NX {
		for c := range noise {
			s.Noise[c].Column(noise[c], i)
		}
		next = next[:0]
		p := strokePiece{columns: 1}
		for j := range s.NY {
			v, lit := litBy(s, i*s.NY+j, [3]float32{noise[0][j], noise[1][j], noise[2][j]})
			if !lit || p.light != [3]float32{} && p.hi-p.lo+1 == high {
				if p.light != [3]float32{} {
					end(p)
				}
				p = strokePiece{columns: 1}
			}
			if lit {
				if p.light == [3]float32{} {
					p.lo = j
				}
				p.hi = j
				for c := range v {
					p.light[c] += v[c]
				}
			}
		}
		if p.light != [3]float32{} {
			end(p)
		}
		for _, o := range open {
			light = append(light, o.light)
		}
		open, next = next, open
	}
	for _, o := range open {
		light = append(light, o.light)
	}
	return light
}

// huesOf gathers the colours of all strokes into bins.
func huesOf(s *sheet.Sheet) []hue {
	pieces := strokePieces(s)
	sizes := make([]float32, len(pieces))
	for k, v := range pieces {
		sizes[k] = float32(math.Sqrt(float64(v[0]*v[0] + v[1]*v[1] + v[2]*v[2])))
	}
	top := raster.Rank(slices.Clone(sizes), 0.9) // so that a lamp's reflection does not outweigh a stroke
	const levels = 32                            // of each channel (TestWhichColoursAreDrawnWith)
	bins := map[[3]int]hue{}
	var order [][3]int // of the bins, as they are met: the same for the same photo
	for k, v := range pieces {
		size := sizes[k]
		if size < top/10 {
			continue
		}
		w := float64(min(size, top))
		var at [3]int
		h := hue{weight: w}
		for c := range v {
			u := float64(v[c] / size)
			at[c] = min(int((u+1)/2*levels), levels-1)
			h.sum[c] = w * u
		}
		before, known := bins[at]
		if !known {
			order = append(order, at)
		}
		h.add(before)
		bins[at] = h
	}
	hues := make([]hue, len(order))
	for k, at := range order {
		hues[k] = bins[at]
	}
	return hues
}

// lightOf is what cell (i, j) has above field and ink, and whether it stands out.
func lightOf(s *sheet.Sheet, i, j int) (v [3]float32, lit bool) {
	return litBy(s, i*s.NY+j, [3]float32{s.Noise[0].At(i, j), s.Noise[1].At(i, j), s.Noise[2].At(i, j)})
}

// litBy is the same of cell k, whose noise is given.
func litBy(s *sheet.Sheet, k int, noise [3]float32) (v [3]float32, lit bool) {
	over := float32(0)
	for c := range v {
		v[c] = s.Light[c][k] - s.Ink[c][k]
		e := v[c] / noise[c]
		over += e * e
	}
	return v, over > 3*standsOut*standsOut
}

// likeness gives light less what the cell has of other colours: the score by which a stroke of this tint is found. A
// stroke covers the ink below it, so a cell that is much brighter than its ink, or than what a level line has of the
// tint, is also judged as it is. Other says that the ink has another colour.
func likeness(s *sheet.Sheet, d sheet.Tint, other bool) []float32 {
	out := make([]float32, s.NX*s.NY)
	reach, beside := int(inkReach*float64(s.Up)+0.5), int(lineBeside*float64(s.Across)+0.5)
	raster.Rows(s.NX, func(a, b int) {
		under, alike := make([]float32, s.NY), make([]float32, s.NY)
		inked := func(k int) float32 { return d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k] }
		for i := a; i < b; i++ {
			left, right := max(i-beside, 0)*s.NY, min(i+beside, s.NX-1)*s.NY
			for j := range under {
				k := i*s.NY + j
				under[j] = inked(k)
				// Of an upright line, the edges have colours of their own, and a display's three stripes.
				if alike[j] = under[j]; other && min(inked(left+j), inked(right+j)) > under[j]/2 {
					alike[j] = d.Alike(foreign, under[j], s.Ink[0][k], s.Ink[1][k], s.Ink[2][k])
				}
			}
			for j := range under {
				k := i*s.NY + j
				v0, v1, v2 := s.Light[0][k], s.Light[1][k], s.Light[2][k]
				m := d[0]*v0 + d[1]*v1 + d[2]*v2
				if m <= 0 {
					continue
				}
				best := d.Alike(foreign, m-under[j], v0-s.Ink[0][k], v1-s.Ink[1][k], v2-s.Ink[2][k])
				if under[j] > 0.1*m {
					near := alike[j]
					for _, w := range alike[max(j-reach, 0):min(j+reach+1, s.NY)] {
						near = max(near, w)
					}
					if as := d.Alike(foreign, m, v0, v1, v2); as > coversInk*near {
						best = max(best, as)
					}
				}
				out[k] = best
			}
		}
	})
	return out
}

// unlike reports whether the graticule's ink has another colour than the tint. Its own is that of its cells, each
// with the weight of its light along the tint.
func unlike(s *sheet.Sheet, d sheet.Tint) bool {
	var sum [3]float32
	for k := range s.Ink[0] {
		if m := d[0]*s.Ink[0][k] + d[1]*s.Ink[1][k] + d[2]*s.Ink[2][k]; m > 0 {
			for c := range sum {
				sum[c] += m * s.Ink[c][k]
			}
		}
	}
	m := d[0]*sum[0] + d[1]*sum[1] + d[2]*sum[2]
	return d.Alike(foreign, m, sum[0], sum[1], sum[2]) < otherColour*m
}
