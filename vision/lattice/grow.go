package lattice

// Growth: from a seed to a lattice as large as its lines go.
//
// Look at every box-long piece of line in the part that is known, fit the lattice to the pieces seen, add a line on
// each side where either the line itself or the lines that cross the new strip go on. The projective terms are held
// back at first, or four boxes tip over, and let go as the lattice grows. Growth goes past a frame rather than stop
// short of it; where a frame ends is found later.

import (
	"math"
	"slices"

	"quadrille/vision/geom"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	growMost   = 19   // boxes across or up; displays have up to 18 (TestALatticeGrowsAsFarAsItsLinesGo)
	peakHeight = 0.25 // of the ridges' unit: lower peaks are not taken (TestWhichPiecesOfAKnownLatticeAreSeen)
	// peakNoise, of the profile's median absolute deviation: nor such (TestWhichPiecesOfAKnownLatticeAreSeen)
	peakNoise = 2.2
	// lineGoesOn, of the median line's strength: a new line that strong is a line
	// (TestALatticeGrowsAsFarAsItsLinesGo)
	lineGoesOn = 0.40
	// crossGoesOn, of the crossing lines' strength: in the strip before the new line
	// (TestALatticeGrowsAsFarAsItsLinesGo)
	crossGoesOn = 0.45
	// coarseBox: px of the fine picture: wider boxes are looked at on the coarse one
	// (TestWideBoxesAreLookedAtOnTheCoarsePicture)
	coarseBox = 75
)

// How far beside a line it is searched, in profile samples: at first, while growing, and at the end.
const (
	reachFirst = 9 // 0.28 box (TestASeedMayLieAQuarterOfABoxOff)
	reachGrow  = 6 // 0.2 box (TestASeedMayLieAQuarterOfABoxOff)
	reachFinal = 5 // 0.15 box (TestWhichPiecesOfAKnownLatticeAreSeen)
	reachDots  = 3 // 0.09 box: under half of a fifth (TestWhichPiecesOfAKnownLatticeAreSeen)
)

// How much of what the data say of the projective terms they are held back by: at first, then, and after holdRounds.
const (
	holdFirst  = 0.3  // nothing changes from 0.075 to 1.2 (TestHardPhotosKeepTheirLattices, TestFindIsNeverSilentlyWrong)
	holdThen   = 0.1  // nothing changes from 0.025 to 0.4 (TestHardPhotosKeepTheirLattices, TestFindIsNeverSilentlyWrong)
	holdLater  = 0.03 // nothing changes from 0.0075 to 0.12 (TestHardPhotosKeepTheirLattices, TestFindIsNeverSilentlyWrong)
	holdRounds = 3    // nothing changes from 1 to 12 (TestHardPhotosKeepTheirLattices, TestFindIsNeverSilentlyWrong)
)

// A Source gives the ridges on which a lattice with boxes of so many pixels of the photo is looked at.
type Source func(box float64) *scene.Ridges

// SourceOf gives the ridges of a view of s: the coarse picture's for large boxes, the fine one's for small ones, each
// made when it is first wanted. A view that the photo does not have must not be asked for.
func SourceOf(s *scene.Scene, v scene.View) Source {
	scale := s.Picture(v, scene.Fine).Scale
	return func(box float64) *scene.Ridges {
		if box*scale > coarseBox {
			return s.Ridges(v, scene.Coarse)
		}
		return s.Ridges(v, scene.Fine)
	}
}

// A Grown is a lattice with the part of it that was seen.
type Grown struct {
	Map  Map
	Sign float32 // +1: lines are brighter than the field; -1: darker
	Part Extent
	RMS  float64 // box
	// From gives the ridges it is looked at on, by the size of its boxes when it was begun.
	From Source
	box  float64
	Seen []Sighting
	// Dotted lattices have dots between their lines, and are looked at no farther beside a line than halfway to the
	// next.
	Dotted  bool
	typical [2]float64 // median strength of the lines of each family, as the last fit saw them
}

// Ridges gives the ridges that the lattice is looked at on.
func (g *Grown) Ridges() *scene.Ridges { return g.From(g.box) }

// Grow gives the lattice that sd starts; ok is false when it comes to nothing, or to a part of one of known, which are
// not grown twice.
func Grow(from Source, sd Seed, known []*Grown) (g Grown, ok bool) {
	g = Start(from, sd.Map, Extent{-2, 2, -2, 2})
	if g.Sign == 0 || !g.refit(reachFirst, holdFirst) {
		return g, false
	}
	if slices.ContainsFunc(known, func(d *Grown) bool { return d.within(&g) }) {
		return g, false
	}
	return g, g.Spread()
}

// Start gives the lattice h with the part x of it, not yet fitted; its sign is 0 if nothing was seen there.
func Start(from Source, h Map, x Extent) Grown {
	across, up := BoxSize(h, x.Mid())
	g := Grown{Map: h, Part: x, From: from, box: math.Sqrt(across * up)}
	g.Sign = g.polarity()
	return g
}

// Spread fits and extends the lattice until it goes on on no side; false if it comes to nothing.
func (g *Grown) Spread() bool {
	ended := [4]bool{}
	for round := 0; ; round++ {
		hold := holdThen
		if round >= holdRounds {
			hold = holdLater
		}
		if !g.refit(reachGrow, hold) {
			return false
		}
		if !g.extend(&ended) {
			break
		}
	}
	return g.refit(reachFinal, 0)
}

// Settle fits the part that is known, without growing: from far to near, the projective terms let go by and by. It
// reports whether the pieces fix a lattice.
func (g *Grown) Settle() bool {
	for _, step := range []struct {
		reach int
		hold  float64
	}{{reachFirst, holdFirst}, {reachFirst, holdThen}, {reachGrow, 0}, {reachFinal, 0}} {
		if !g.refit(step.reach, step.hold) {
			return false
		}
	}
	return true
}

// Refit fits the part that is known once more, each line searched close to its place. It reports whether the pieces fix
// a lattice.
func (g *Grown) Refit() bool { return g.refit(reachFinal, 0) }

// polarity says whether the pieces have higher peaks upwards or downwards; 0 if hardly any is on the picture.
func (g *Grown) polarity() float32 {
	const least = 20 // pieces (TestTheSignOfLinesTakesTwentyPieces)
	var up, down float64
	n, ridges := 0, g.Ridges()
	g.Part.Pieces(func(pc Piece) {
		p, ok := ProfileOf(ridges, &g.Map, pc)
		if !ok {
			return
		}
		n++
		_, a, _, _ := p.peak(1, reachFirst)
		_, b, _, _ := p.peak(-1, reachFirst)
		up += a
		down += b
	})
	switch {
	case n < least:
		return 0
	case up >= down:
		return 1
	}
	return -1
}

// refit looks at all pieces of the part and fits the lattice to those seen.
func (g *Grown) refit(reach int, hold float64) bool {
	g.Seen = g.Seen[:0]
	if g.Dotted {
		reach = min(reach, reachDots)
	}
	var strengths [2][]float64
	ridges := g.Ridges()
	for of := range Family(2) {
		first, last, from, to := g.Part.Lines(of)
		for k := first; k <= last; k++ {
			var sum Profile
			n := 0
			for c := from; c < to; c++ {
				pc := Piece{of, k, c}
				p, ok := ProfileOf(ridges, &g.Map, pc)
				if !ok {
					continue
				}
				sum.Add(&p)
				n++
				off, height, noise, edge := p.peak(g.Sign, reach)
				if edge || height < peakHeight || height < peakNoise*noise {
					continue
				}
				g.Seen = append(g.Seen, Sighting{pc, off, height, g.Map.Pixel(pc.At(off, 0.5))})
			}
			strength := 0.0
			if 2*n >= to-from {
				strength = sum.Strength(g.Sign) / float64(max(n, 1))
			}
			strengths[of] = append(strengths[of], strength)
		}
		g.typical[of] = raster.Median(strengths[of])
	}
	h, rms, ok := Fit(g.Seen, g.Map, hold)
	if !ok || !g.plausible(&h) {
		return false
	}
	g.Map, g.RMS = h, rms
	return true
}

// plausible reports whether h neither folds the part over nor leaves it far from square boxes.
func (g *Grown) plausible(h *Map) bool {
	const (
		// nearest, of the distance of the part's origin: a corner nearer to the camera is folded over
		// (TestAFoldedOrFlatLatticeIsNotPlausible)
		nearest = 0.3
		least   = minStep / 4 // px (TestAFoldedOrFlatLatticeIsNotPlausible)
	)
	corners, scale := g.Part.Corners(), g.Ridges().Scale
	for _, b := range append(corners[:], g.Part.Mid()) {
		if h[6]*b.X+h[7]*b.Y+1 < nearest {
			return false
		}
		a, u := BoxSize(*h, b)
		if !(a < aspectMax*u && u < aspectMax*a && min(a, u)*scale > least) {
			return false
		}
	}
	return true
}

// extend adds a line to each side that goes on; it reports whether any did.
func (g *Grown) extend(ended *[4]bool) (grew bool) {
	for side := range 4 {
		if ended[side] {
			continue
		}
		wider, of, line, cell := g.Part.OneMore(side)
		_, _, from, to := g.Part.Lines(of)
		goesOn := wider.Cols() <= growMost && wider.Rows() <= growMost &&
			(g.strength(Piece{of, line, from}, Piece{of, line, to}) > lineGoesOn*g.typical[of] ||
				g.strength(Piece{1 - of, from, cell}, Piece{1 - of, to + 1, cell}) > crossGoesOn*g.typical[1-of])
		if goesOn {
			g.Part = wider
			grew = true
		} else {
			ended[side] = true
		}
	}
	return grew
}

// strength is that of the mean of the pieces from a, up to but without b, which differ in their line or in their cell;
// 0 where less than half of them are on the picture.
func (g *Grown) strength(a, b Piece) float64 {
	var sum Profile
	seen, asked, ridges := 0, 0, g.Ridges()
	for pc := a; pc != b; {
		if p, ok := ProfileOf(ridges, &g.Map, pc); ok {
			sum.Add(&p)
			seen++
		}
		asked++
		if pc.Line < b.Line {
			pc.Line++
		} else {
			pc.Cell++
		}
	}
	if 2*seen < asked {
		return 0
	}
	return sum.Strength(g.Sign) / float64(max(seen, 1))
}

// LineStrength is the strength of line k of a family over the cells of the part.
func (g *Grown) LineStrength(of Family, k int) float64 {
	_, _, from, to := g.Part.Lines(of)
	return g.strength(Piece{of, k, from}, Piece{of, k, to})
}

// Promise says how much speaks for the lattice before any frame is looked for: the heights of the pieces seen, less
// where they lie off it as far as chance puts them.
func (g *Grown) Promise() float64 {
	// chance, box, of pieces seen at random places within reach: 0.075 and more (TestALatticePromisesWhatLiesOnIt)
	const chance = 0.06
	sum := 0.0
	for _, p := range g.Seen {
		sum += p.Height
	}
	return sum / (1 + g.RMS*g.RMS/(chance*chance))
}

// Covers reports whether k is the same lattice as g and no larger.
func (g *Grown) Covers(k *Grown) bool {
	return g.Part.Cols()*g.Part.Rows() >= k.Part.Cols()*k.Part.Rows() && Agree(g.Map, k.Map, k.Part)
}

// within reports whether k is the same lattice as g and lies in its part.
func (g *Grown) within(k *Grown) bool {
	if !Agree(g.Map, k.Map, k.Part) {
		return false
	}
	for _, b := range k.Part.Corners() {
		const slack = 0.5 // box (TestLatticesAreTheSameToAFifthOfABox)
		o := g.Map.Box(k.Map.Pixel(b))
		if o.X < float64(g.Part.Left)-slack || o.X > float64(g.Part.Right)+slack ||
			o.Y < float64(g.Part.Bottom)-slack || o.Y > float64(g.Part.Top)+slack {
			return false
		}
	}
	return true
}

// Agree reports whether the lattice b is a with another origin: at the corners and the middle of its part x the lines
// of both fall together to a fifth of a box.
func Agree(a, b Map, x Extent) bool {
	const apart = 0.2 // box (TestLatticesAreTheSameToAFifthOfABox)
	var shift geom.Box
	corners := x.Corners()
	for i, p := range append(corners[:], geom.Box{X: math.Round(x.Mid().X), Y: math.Round(x.Mid().Y)}) {
		q := a.Box(b.Pixel(p))
		if i == 0 {
			shift = geom.Box{X: math.Round(q.X - p.X), Y: math.Round(q.Y - p.Y)}
		}
		if !(math.Abs(q.X-p.X-shift.X) < apart && math.Abs(q.Y-p.Y-shift.Y) < apart) {
			return false
		}
	}
	return true
}
