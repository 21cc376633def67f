package frame

// Which rectangle of the surveyed lattice is the frame?
//
// A frame's score is a sum of clues. Those that are sums over pieces come first, for all rectangles; ticks and axes are
// looked for where they could still change which two are foremost (branch and bound: A. H. Land, A. G. Doig,
// Econometrica 28 (1960) 497).

import (
	"math"
	"sort"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
)

const (
	pricePiece = 3.0 // a size's cost of one unit (TestWhatCluesAreWorthInPieces)
	// runsOn, of the median line: crossing lines seen that strong beyond a rim are no chance
	// (TestWhatCluesAreWorthInPieces)
	runsOn = 0.4
	// runsOnCost: and tell more against it than missing ones inside, which may be covered
	// (TestWhatCluesAreWorthInPieces)
	runsOnCost  = 2.0
	stopWorth   = 12.0 // of the crossing lines' ending at a rim (TestWhatCluesAreWorthInPieces)
	centreWorth = 12.0 // of the ticks of a centre line through the frame's middle (TestWhatCluesAreWorthInPieces)
	// axesWorth: of a frame in whose middle two lines cross that are drawn otherwise (TestWhatCluesAreWorthInPieces)
	axesWorth  = 16.0
	ticksWorth = 8.0 // of those inside a rim, which a bright rim may drown (TestWhatCluesAreWorthInPieces)
	rimWorth   = 4.0 // of a rim as strong as the median line and a half (TestWhatCluesAreWorthInPieces)
	// rimOfDots: the same where dots are all over: only rims are drawn as lines there
	// (TestWhatCluesAreWorthInPieces)
	rimOfDots   = 12.0
	provenTicks = 0.9  // of a centre line's ticks, see tickClue (TestARimIsKnownFromTheOppositeOne)
	provenRim   = 0.7  // of the median line (TestARimIsKnownFromTheOppositeOne)
	provenStop  = 0.6  // of the crossing lines' ending at a rim (TestARimIsKnownFromTheOppositeOne)
	rimSeen     = 0.5  // of the median line: half a box outside the lines (TestWhatCluesAreWorthInPieces)
	rimMissing  = 20.0 // cost of a half-box frame neither of whose rims is seen (TestWhatCluesAreWorthInPieces)
	// rimCovered: and of one with one rim seen; a menu or glare may cover the other (TestWhatCluesAreWorthInPieces)
	rimCovered = 4.0
)

// A Frame is one rectangle with its score. Of a centred frame the extent is that of the lines; its rims are half a box
// out.
type Frame struct {
	lattice.Extent
	Size  Size
	Score float64
	// Parts of the score.
	CentreTicks [2]float64 // 0..1: ticks on the upright and the level centre line
	Axes        float64    // 0..1: how clearly the centre lines stand out
	Rims        [4]float64 // strengths: left, right, bottom, top, in units of the median line
	Stops       [4]float64 // how clearly the crossing lines end at each rim, likewise
}

// Stopped says how clearly the crossing lines end at all four rims: the sum of Stops.
func (f *Frame) Stopped() float64 { return f.Stops[0] + f.Stops[1] + f.Stops[2] + f.Stops[3] }

// Known says of which rims, left, right, bottom, top, the place follows from others: a frame is as far on both sides of
// the centre line, which ticks prove, and the opposite rim is clear.
func (f *Frame) Known() (k [4]bool) {
	for i := range k {
		opposite := i ^ 1
		k[i] = max(f.CentreTicks[i/2], f.Axes) >= provenTicks && f.Rims[opposite] >= provenRim && f.Stops[opposite] >= provenStop
	}
	return k
}

// Best gives the frame of the highest score, of equal ones the first, and how far the next lies below it; ok is false
// if there is none that is better than nothing. want is the count as a person knows it, zero where it is not known.
func (s *Survey) Best(want geom.Frame) (best Frame, margin float64, ok bool) {
	all := s.rectangles(want, nil)
	// What ticks and axes can add at most (TestAFrameMayComeFromBehindByItsTicks).
	const most = 2*centreWorth + axesWorth + 4*ticksWorth
	order := make([]int, len(all)) // frames are large and hundreds: their places are put in order instead
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(i, j int) bool {
		a, b := order[i], order[j]
		return all[a].Score > all[b].Score || all[a].Score == all[b].Score && a < b
	})
	next := math.Inf(-1)
	for _, i := range order {
		f := all[i]
		if bound := f.Score + most; bound <= max(next, 0) {
			next = max(next, bound) // the margin is this or more
			break
		}
		s.addTicks(&f)
		if f.Score+axesWorth <= next {
			continue // it is neither of the two
		}
		s.addAxes(&f)
		switch {
		case !ok:
			best, ok = f, true
		case f.Score > best.Score:
			best, next = f, best.Score
		default:
			next = max(next, f.Score)
		}
	}
	return best, best.Score - next, ok && best.Score > 0
}

// Where gives the frames that near accepts, scored.
func (s *Survey) Where(want geom.Frame, near func(Frame) bool) []Frame {
	all := s.rectangles(want, near)
	for i := range all {
		s.addTicks(&all[i])
		s.addAxes(&all[i])
	}
	return all
}

// rectangles gives all frames that near accepts, all if it is nil, with the scores of what is summed over pieces.
func (s *Survey) rectangles(want geom.Frame, near func(Frame) bool) (out []Frame) {
	const overlap = 2 // boxes of the grown part (TestFramesOverlapWhatWasGrown)
	part := s.Lattice.Part
	for _, z := range Sizes(want) {
		c, r := z.Cols, z.Rows
		if z.Centred {
			c--
		}
		for left := max(s.all.Left, part.Left+overlap-c); left <= min(s.all.Right-c, part.Right-overlap); left++ {
			for bottom := max(s.all.Bottom, part.Bottom+overlap-r); bottom <= min(s.all.Top-r, part.Top-overlap); bottom++ {
				f := Frame{Extent: lattice.Extent{Left: left, Right: left + c, Bottom: bottom, Top: bottom + r}, Size: z}
				if near == nil || near(f) {
					s.addPieces(&f)
					out = append(out, f)
				}
			}
		}
	}
	return out
}

// TicksElsewhere reports whether ticks prove that another line than the middle one of f is a centre line: a table or a
// menu may cover the rows that are missing on the other side of it.
func (s *Survey) TicksElsewhere(f *Frame) bool {
	const none = 0.3 // of a centre line's ticks: hardly any (TestTicksBesideAnotherLineAreTold)
	for of := range lattice.Family(2) {
		first, last, _, _ := f.Lines(of)
		if f.CentreTicks[of] > none {
			continue
		}
		for k := first + 1; k < last; k++ {
			if 2*k != first+last && s.tickClue(of, k, f.Extent, both) >= provenTicks {
				return true
			}
		}
	}
	return false
}

// addPieces scores what is summed over pieces.
func (s *Survey) addPieces(f *Frame) {
	f.Rims = s.rims(f.Extent, f.Size.Centred)
	f.Stops = s.stops(f.Extent, f.Size.Centred)
	rim := rimWorth
	if s.Lattice.Dotted {
		rim = rimOfDots
	}
	f.Score = s.sum(f.Extent) - pricePiece*f.Size.Cost + stopWorth*f.Stopped()
	for _, r := range f.Rims {
		f.Score += rim * (r - 0.5)
	}
	if f.Size.Centred {
		switch l, r := f.Rims[0], f.Rims[1]; {
		case max(l, r) < rimSeen:
			f.Score -= rimMissing
		case min(l, r) < rimSeen:
			f.Score -= rimCovered
		}
	}
}

// addAxes adds what axes that are drawn otherwise say.
func (s *Survey) addAxes(f *Frame) {
	f.Axes = s.axes(f.Extent)
	f.Score += axesWorth * f.Axes
}

// addTicks adds what ticks say.
func (s *Survey) addTicks(f *Frame) {
	x := f.Extent
	f.CentreTicks = [2]float64{
		s.tickClue(lattice.Upright, (x.Left+x.Right)/2, x, both), s.tickClue(lattice.Level, (x.Bottom+x.Top)/2, x, both)}
	rims := s.tickClue(lattice.Level, x.Bottom, x, behind) + s.tickClue(lattice.Level, x.Top, x, before)
	if !f.Size.Centred {
		rims += s.tickClue(lattice.Upright, x.Left, x, behind) + s.tickClue(lattice.Upright, x.Right, x, before)
	}
	f.Score += centreWorth*(f.CentreTicks[0]+f.CentreTicks[1]) + ticksWorth*rims
}

// sum is that of the worths of all pieces of x.
func (s *Survey) sum(x lattice.Extent) (total float64) {
	for of := range lattice.Family(2) {
		t := &s.lines[of]
		first, last, from, to := x.Lines(of)
		for k := first; k <= last; k++ {
			row := t.worthSum[k-t.k0]
			total += row[to-t.c0] - row[from-t.c0]
		}
	}
	return total
}

// stops says how clearly the crossing lines end at each of the four rims of x, left, right, bottom, top: their mean
// strength just inside, less that just outside, of the median line. It is zero where either is not to be seen: a
// display that the photo's edge cuts off may go on there. Of a centred frame the left and right rim are half a box
// outside x.
func (s *Survey) stops(x lattice.Extent, centred bool) (d [4]float64) {
	stop := func(of lattice.Family, lo, hi, inside, insideEnd, outside, outsideEnd int) float64 {
		in := s.crossing(of, lo, hi, inside, insideEnd)
		out := s.crossing(of, lo, hi, outside, outsideEnd)
		if math.IsNaN(in) || math.IsNaN(out) {
			return 0
		}
		return in - out - runsOnCost*max(out-runsOn, 0)
	}
	if centred {
		d[0] = stop(lattice.Level, x.Bottom, x.Top, x.Left-1, 1, x.Left-1, 0)
		d[1] = stop(lattice.Level, x.Bottom, x.Top, x.Right, 0, x.Right, 1)
	} else {
		d[0] = stop(lattice.Level, x.Bottom, x.Top, x.Left, 0, x.Left-1, 1)
		d[1] = stop(lattice.Level, x.Bottom, x.Top, x.Right-1, 1, x.Right, 0)
	}
	d[2] = stop(lattice.Upright, x.Left, x.Right, x.Bottom, 0, x.Bottom-1, 1)
	d[3] = stop(lattice.Upright, x.Left, x.Right, x.Top-1, 1, x.Top, 0)
	return d
}

// rims gives the mean strengths of the four rims of x, left, right, bottom, top, in units of the median line. Of a
// centred frame the left and right rim are half a box outside x.
func (s *Survey) rims(x lattice.Extent, centred bool) (r [4]float64) {
	mean := func(of lattice.Family, line int) float64 {
		t := &s.lines[of]
		_, _, from, to := x.Lines(of)
		sum, count := t.rimSum[line-t.k0], t.rimCount[line-t.k0]
		a, b := from-t.c0, to-t.c0
		return (sum[b] - sum[a]) / max(count[b]-count[a], 1)
	}
	r[2], r[3] = mean(lattice.Level, x.Bottom), mean(lattice.Level, x.Top)
	if !centred {
		r[0], r[1] = mean(lattice.Upright, x.Left), mean(lattice.Upright, x.Right)
		return r
	}
	for i, line := range [2]int{x.Left - 1, x.Right} {
		sum, n := 0.0, 0.0
		for c := x.Bottom; c < x.Top; c++ {
			if v := s.halfway(line, c); !math.IsNaN(v) {
				sum += raster.Clip(v/s.base[lattice.Upright], pieceFloor, pieceCap)
				n++
			}
		}
		r[i] = sum / max(n, 1)
	}
	return r
}
