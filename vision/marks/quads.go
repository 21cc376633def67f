package marks

// Rectangles of four long lines that meet at their corners, as the display's frame may be one.

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"quadrille/vision/geom"
	"quadrille/vision/scene"
)

const (
	quadSmall = 0.15 // of the picture's side: smaller rectangles are no frame (TestWhichLinesMakeARectangle)
	quadFlat  = 2.6  // of one side over the other: flatter ones neither (TestWhichLinesMakeARectangle)
	// sideWeak: rms: mean evidence along the weakest side, which a menu may cover in part
	// (TestWhichLinesMakeARectangle)
	sideWeak   = 0.2
	sideStrong = 0.5 // of the others (TestWhichLinesMakeARectangle)
	// cornerEnd, of a side: how far beyond a corner the lines are asked whether they go on
	// (TestWhichLinesMakeARectangle)
	cornerEnd  = 0.03
	quadsKept  = 24   // TestRectanglesThatAreTriedDiffer
	quadAlike  = 0.03 // of the diagonal, distance of corners (TestRectanglesThatAreTriedDiffer)
	quadsAlike = 3    // TestRectanglesThatAreTriedDiffer
	// quadsRanked: of which the kept ones are picked (nothing changes from 2000 to 8000,
	// TestRectanglesThatAreTriedDiffer)
	quadsRanked = 4000
	// quadApart, samples: corners nearer than that to those of a better rectangle are the same (nothing changes from
	// 1 to 4, TestDisplaysWithoutLinesAcrossTheFieldAreFoundByTheirMarks)
	quadApart = 2.0
)

// A quad is one such rectangle.
type quad struct {
	corners [4]geom.Pixel // photo, top-left first, clockwise
	sign    float32
	score   float64
	sides   [4]int // which lines of its polarity: left, right, top, bottom
}

// quadsOf gives the best rectangles in the evidence, of those with corners within reach pixels of near if
// that is not nil.
func quadsOf(e *scene.Ridges, near *[4]geom.Pixel, reach float64) (out []quad) {
	for _, sign := range [2]float32{1, -1} {
		out = append(out, join(e, longLines(e.Upright, sign), longLines(e.Level, sign), sign)...)
	}
	if near != nil {
		by := quad{corners: *near}
		out = slices.DeleteFunc(out, func(q quad) bool { return !by.near(&q, reach) })
	}
	sort.SliceStable(out, func(i, j int) bool { return cmp.Less(out[j].score, out[i].score) })
	return diverse(out, quadApart/e.Scale)
}

// diverse picks from the rectangles, best first. Edges of bezels lie in bundles and make hundreds of
// rectangles with each other, a frame inside them makes one of its own: a rectangle counts for less
// the more often its sides have been taken, and of rectangles much alike only the best few are of use.
func diverse(from []quad, apart float64) (kept []quad) {
	from = from[:min(len(from), quadsRanked)]
	type side struct {
		sign float32
		of   int // left, right, top, bottom
		line int
	}
	used := map[side]int{}
	gone := make([]bool, len(from))
	for len(kept) < quadsKept {
		best, most := -1, 0.0
		for i, q := range from {
			if gone[i] || q.score <= most {
				continue
			}
			v := q.score
			for of, line := range q.sides {
				v *= usedSide[min(used[side{q.sign, of, line}], len(usedSide)-1)]
			}
			if v > most {
				best, most = i, v
			}
		}
		if best < 0 {
			break
		}
		q := from[best]
		gone[best] = true
		like, same := 0, false
		for _, k := range kept {
			same = same || k.sign == q.sign && k.near(&q, apart)
			if k.sign == q.sign && k.near(&q, quadAlike*math.Hypot(q.corners[2].X-q.corners[0].X, q.corners[2].Y-q.corners[0].Y)) {
				like++
			}
		}
		if same || like >= quadsAlike {
			continue
		}
		kept = append(kept, q)
		for of, line := range q.sides {
			used[side{q.sign, of, line}]++
		}
	}
	return kept
}

// usedSide is what a rectangle is worth by how often one of its sides has been taken
// (TestAFrameInsideABezelIsAmongTheRectangles).
var usedSide = [...]float64{1, 0.95, 0.88, 0.8, 0.7, 0.6}

func (q *quad) near(k *quad, px float64) bool {
	for i, c := range q.corners {
		if !(math.Hypot(c.X-k.corners[i].X, c.Y-k.corners[i].Y) < px) {
			return false
		}
	}
	return true
}

// join tries all pairs of upright lines with all pairs of level ones.
func join(e *scene.Ridges, us, ls []longLine, sign float32) (out []quad) {
	w, h := float64(e.W), float64(e.H)
	// cross[i][j] is where upright i and level j meet, x and y in samples.
	cross := make([][]geom.Pixel, len(us))
	for i := range us {
		cross[i] = make([]geom.Pixel, len(ls))
		for j := range ls {
			x, y := us[i].c0, ls[j].c0
			for range 6 { // slopes are under one: it converges
				x = us[i].at(y)
				y = ls[j].at(x)
			}
			cross[i][j] = geom.Pixel{X: x, Y: y}
		}
	}
	for a := range us {
		for b := range us {
			if us[b].at(h/2)-us[a].at(h/2) < quadSmall*w/2 {
				continue
			}
			for c := range ls {
				// The top side first: most pairs fail there.
				tl, tr := cross[a][c], cross[b][c]
				width := tr.X - tl.X
				if width < quadSmall*w || ls[c].support(tl.X, tr.X) < sideWeak {
					continue
				}
				for d := range ls {
					bl, br := cross[a][d], cross[b][d]
					height := (bl.Y - tl.Y + br.Y - tr.Y) / 2
					if !(height > quadSmall*h) || height > quadFlat*width || width > quadFlat*height {
						continue
					}
					sides := [4]float64{ls[c].support(tl.X, tr.X), ls[d].support(bl.X, br.X), us[a].support(tl.Y, bl.Y), us[b].support(tr.Y, br.Y)}
					total := 0.0
					weak := 0
					for _, s := range sides {
						total += s
						if s < sideStrong {
							weak++
						}
						if s < sideWeak {
							weak = 4
						}
					}
					if weak > 1 {
						continue
					}
					closed := 0.0
					ends := func(l *longLine, lo, hi float64) {
						g := cornerEnd * (hi - lo)
						closed += max(l.support(lo+g/3, lo+4*g/3), 0) - max(l.support(lo-4*g/3, lo-g/3), 0)
						closed += max(l.support(hi-4*g/3, hi-g/3), 0) - max(l.support(hi+g/3, hi+4*g/3), 0)
					}
					ends(&ls[c], tl.X, tr.X)
					ends(&ls[d], bl.X, br.X)
					ends(&us[a], tl.Y, bl.Y)
					ends(&us[b], tr.Y, br.Y)
					q := quad{sign: sign, sides: [4]int{a, b, c, d}, score: (total + 0.5*closed) * math.Pow(width*height/(w*h), 0.25)}
					for i, p := range [4]geom.Pixel{tl, tr, br, bl} {
						q.corners[i] = geom.Pixel{X: (p.X + 0.5) / e.Scale, Y: (p.Y + 0.5) / e.Scale}
					}
					if closed > 0 {
						out = append(out, q)
					}
				}
			}
		}
	}
	return out
}
