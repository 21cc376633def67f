package frame

// A lattice with its best frame, rated.

import (
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

// A Candidate is one lattice with its best frame.
type Candidate struct {
	Survey  *Survey
	Frame   Frame
	Margin  float64 // score of the frame above the next one of the same lattice
	Quality float64 // see Survey.Quality; times the root of the frame's score, less where lines lie off the lattice
	There   float64 // share of the frame's lines that are there
	// TwoInks says that the two families differ in colour: some of the lines may be a trace's.
	TwoInks bool
}

const (
	// A candidate this clear ends the search: the crossing lines stop at all its rims, no other place of the frame comes
	// near, and its boxes are of a usual shape. Wrong lattices have reached 2.3 and 23
	// (TestWhatMakesACandidateClear).
	ClearStops  = 2.7  // of 4: sum over the rims of how clearly the lines end there
	clearMargin = 12.0 // TestWhatMakesACandidateClear
	// clearThere, of its lines; where fewer are there, rows of dots may have been taken for lines
	// (TestWhatMakesACandidateClear)
	clearThere = 0.5
	clearCost  = 2.0 // of the size: rarer ones may be part of a larger frame (TestWhatMakesACandidateClear)
	// ClearWorth is what being clear adds to the quality (TestWhatMakesACandidateClear).
	clearWorth = 1.5
	inksWorth  = 0.6 // of the quality of a lattice whose families differ in colour (TestTwoInksAreWorthLess)
	// narrowWorth is the same where boxes are narrowBox and less as wide as high, on a display that is wider than high:
	// the real ones that were seen have 0.8 to 1.9, and half of 1 where the edges of a wave lie halfway between lines
	// (TestNarrowBoxesAndLooseLinesHalveTheQuality) (TestNarrowBoxesAndLooseLinesHalveTheQuality).
	narrowWorth, narrowBox = 0.5, 0.7
	// AspectUsual is the width to height of a box, either way, that is usual (TestWhatMakesACandidateClear).
	AspectUsual = 1.4
	// usualRMS, box, of the lattice's lines: farther off it, quality is halved
	// (TestNarrowBoxesAndLooseLinesHalveTheQuality)
	usualRMS = 0.06
	// dotThere, of the median row of dots: a row of dots that is there (TestBrightRowsOfDotsGainNothing).
	dotThere = 0.6
)

// CandidateOf surveys the lattice g and places its frame; ticks are seen on near, colours on l, which may be nil. ok is
// false if that comes to nothing.
func CandidateOf(g *lattice.Grown, near *scene.Picture, l *scene.Colours, want geom.Frame) (c *Candidate, ok bool) {
	c = &Candidate{Survey: Of(g, near)}
	c.place(want)
	if c.Quality > 0 && l != nil && !oneInk(l, &g.Map, &c.Frame, g.Sign) {
		c.TwoInks = true
		c.Quality *= inksWorth
	}
	return c, c.Quality > 0
}

// Candidates is CandidateOf for several lattices; those that come to nothing are left out.
func Candidates(gs []*lattice.Grown, near *scene.Picture, l *scene.Colours, want geom.Frame) (out []*Candidate) {
	cs, ok := make([]*Candidate, len(gs)), make([]bool, len(gs))
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i], ok[i] = CandidateOf(gs[i], near, l, want)
		}
	})
	for i := range cs {
		if ok[i] {
			out = append(out, cs[i])
		}
	}
	return out
}

// CandidatesOfDots is Candidates for the places that the origin of one lattice of dots may have. A division's dots are
// as strong as those between: all are measured in one unit, and they are there or not.
func CandidatesOfDots(gs []*lattice.Grown, near *scene.Picture, want geom.Frame) (out []*Candidate) {
	cs := make([]*Candidate, len(gs))
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i] = &Candidate{Survey: Of(gs[i], near)}
		}
	})
	for of := range 2 {
		var bases []float64
		for _, c := range cs {
			bases = append(bases, c.Survey.base[of])
		}
		unit := raster.Median(bases)
		for _, c := range cs {
			c.Survey.base[of] = unit
		}
	}
	raster.Rows(len(gs), func(a, b int) {
		for i := a; i < b; i++ {
			cs[i].Survey.measure(dotThere)
			cs[i].place(want)
		}
	})
	for i := range cs {
		if cs[i].Quality > 0 {
			out = append(out, cs[i])
		}
	}
	return out
}

// BestFrame gives the candidate with the best frame, of those of one lattice with its origin at different places: its
// margin is that above the others as well. It is nil if there is none.
func BestFrame(cs []*Candidate) (best *Candidate) {
	for _, c := range cs {
		switch {
		case best == nil:
			best = c
		case c.Frame.Score > best.Frame.Score:
			c.Margin = min(c.Margin, c.Frame.Score-best.Frame.Score)
			best = c
		default:
			best.Margin = min(best.Margin, best.Frame.Score-c.Frame.Score)
		}
	}
	return best
}

// place finds the best frame of c's survey, and rates it.
func (c *Candidate) place(want geom.Frame) {
	f, margin, ok := c.Survey.Best(want)
	if ok {
		c.rate(f, margin)
	}
}

// rate gives c the frame f and its quality.
func (c *Candidate) rate(f Frame, margin float64) {
	c.Frame, c.Margin = f, margin
	stopped := 0.25 + min(max(f.Stopped(), 0), 4)
	c.Quality, c.There = c.Survey.Quality(&c.Frame)
	off := c.Survey.Lattice.RMS / usualRMS
	across, up := c.Survey.box(f.Extent)
	if f.Size.Cols < f.Size.Rows { // on its side
		across, up = up, across
	}
	if across < narrowBox*up {
		c.Quality *= narrowWorth
	}
	c.Quality *= math.Sqrt(f.Score) * stopped * stopped / (1 + off*off)
}

// Take gives c another frame of its lattice.
func (c *Candidate) Take(f Frame) { c.Frame = f }

// At is the lattice g, fitted to a frame of size z whose lines are g's part, as a candidate with that frame; ticks are
// seen on near.
func At(g *lattice.Grown, near *scene.Picture, z Size) *Candidate {
	c := &Candidate{Survey: Of(g, near)}
	c.Frame = Frame{Extent: g.Part, Size: z}
	c.Frame.Score = c.Survey.sum(g.Part)
	c.Quality, c.There = c.Survey.Quality(&c.Frame)
	c.Quality *= math.Sqrt(max(c.Frame.Score, 0))
	return c
}

// Settled reports whether c's frame is beyond question for its lattice.
func (c *Candidate) Settled() bool {
	return !c.TwoInks && c.Frame.Stopped() >= ClearStops && c.Margin >= clearMargin && c.There >= clearThere
}

// Clear reports whether c is settled, and its size and the shape of its boxes are usual.
func (c *Candidate) Clear() bool {
	a, u := c.Survey.box(c.Frame.Extent)
	return c.Settled() && c.Frame.Size.Cost <= clearCost && a < AspectUsual*u && u < AspectUsual*a
}

// Worth is the quality, more for a clear candidate: candidates of one picture are ordered by it.
func (c *Candidate) Worth() float64 {
	if c.Clear() {
		return clearWorth * c.Quality
	}
	return c.Quality
}

// Homography gives the map from boxes with the origin at the frame's centre to the photo.
func (c *Candidate) Homography() geom.Homography { return c.Survey.Homography(c.Frame.Extent) }

// SameFrame reports whether two candidates are the same frame: their corners are within a quarter of a box.
func (c *Candidate) SameFrame(d *Candidate) bool {
	const apart = 0.25 // box (TestFramesAreTheSameToAQuarterOfABox)
	if c.Frame.Size.Boxes() != d.Frame.Size.Boxes() || c.Frame.Size.Centred != d.Frame.Size.Centred {
		return false
	}
	g, h := c.Homography(), d.Homography()
	for _, b := range c.Frame.Size.Boxes().Corners() {
		o := h.Box(g.Pixel(b))
		if !(math.Abs(o.X-b.X) < apart && math.Abs(o.Y-b.Y) < apart) {
			return false
		}
	}
	return true
}

// SameLattice reports whether two candidates have the lines of one lattice, be their frames what they may.
func (c *Candidate) SameLattice(d *Candidate) bool {
	g, h := c.Survey.Lattice, d.Survey.Lattice
	return lattice.Agree(g.Map, h.Map, h.Part)
}

// Squarer gives the lattices with every second line of the family that stands too close for square boxes (the steep
// edges of a trace halfway between lines make a lattice of half boxes), and with lines halfway between those of the
// other family, which a sparse graticule may have lost.
func (c *Candidate) Squarer() (out []*lattice.Grown) {
	g := c.Survey.Lattice
	a, u := c.Survey.box(c.Frame.Extent)
	if max(a, u) < AspectUsual*min(a, u) {
		return nil
	}
	dense, wide := lattice.Upright, lattice.Level
	if u < a {
		dense, wide = lattice.Level, lattice.Upright
	}
	out = g.EverySecond(dense)
	if n, ok := g.Halfway(wide); ok {
		out = append(out, n)
	}
	return out
}
