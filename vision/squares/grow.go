package squares

// Growth: from a seed to the whole ruled part of the sheet.
//
// As package lattice grows a display's graticule, with two differences: paper has many more squares, and it curls. So
// each piece of line is looked for where the pieces round it say, not where one plane has it, and what was seen bends
// the plane (bend.go).

import (
	"context"
	"math"

	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/raster"
	"quadrille/vision/scene"
)

const (
	// growMost is how many squares across or up are followed: an open exercise book of 5 mm squares has 84
	// (TestSquaresOfAllRulings).
	growMost = 120
	// reachFirst and reachGrow are how far beside its place a piece is looked for, in squares
	// (TestCurledPaperIsFollowed).
	reachFirst, reachGrow = 0.28, 0.2
	// leastPeak is the least height of a piece in the ridges' unit, the local rms (TestTooFewSquaresAreNoPaper).
	leastPeak = 0.25
	// goesOn is which part of the usual strength a new line must have, or the lines that cross the new strip
	// (TestSquaresOfAllRulings).
	goesOn = 0.40
	// toldFirst is at how many squares, and every so many more, it is asked whether some lines are heavy: thin ones lie
	// so near that a growing lattice may slip from one to the next (TestSquaresOfAllRulings).
	toldFirst = 10
	// planeMost is up to how many squares across the plane is fitted anew: a larger part of a curled sheet is bent
	// rather than turned (TestCurledPaperIsFollowed).
	planeMost = 12
)

// The dark lines of paper.
const dark = float32(-1)

// A grown is a lattice that grows.
type grown struct {
	ridges  *scene.Ridges
	plane   lattice.Map
	bend    *bend
	part    lattice.Extent
	seen    []lattice.Sighting
	asked   int // pieces that are on the photo
	rms     float64
	typical [2]float64
}

// begin starts a lattice round the origin of a seed.
func begin(r *scene.Ridges, h lattice.Map) *grown {
	g := &grown{ridges: r, plane: h, part: lattice.Extent{Left: -2, Right: 2, Bottom: -2, Top: 2}}
	g.bend = newBend(g.part)
	return g
}

// covered reports whether g begins on a lattice that was grown already.
func covered(known []*grown, g *grown) bool {
	for _, k := range known {
		const slack, same = 0.5, 0.2
		at := k.box(g.plane.Pixel(geom.Box{}))
		x, y := k.box(g.plane.Pixel(geom.Box{X: 1})), k.box(g.plane.Pixel(geom.Box{Y: 1}))
		if at.X > float64(k.part.Left)-slack && at.X < float64(k.part.Right)+slack &&
			at.Y > float64(k.part.Bottom)-slack && at.Y < float64(k.part.Top)+slack &&
			math.Hypot(x.X-at.X-1, x.Y-at.Y) < same && math.Hypot(y.X-at.X, y.Y-at.Y-1) < same {
			return true
		}
	}
	return false
}

// pixel and box are the two ways between the lattice and the photo; box without the bend, which is small.
func (g *grown) pixel(b geom.Box) geom.Pixel { return g.plane.Pixel(g.bend.moved(b)) }
func (g *grown) box(p geom.Pixel) geom.Box   { return g.plane.Box(p) }

// local gives the plane that the paper is near a piece.
func (g *grown) local(p lattice.Piece) lattice.Map {
	mid := g.pixel(p.At(0, 0.5))
	var across, along geom.Pixel
	a, b := g.pixel(p.At(-0.5, 0.5)), g.pixel(p.At(0.5, 0.5))
	across = geom.Pixel{X: b.X - a.X, Y: b.Y - a.Y}
	a, b = g.pixel(p.At(0, 0)), g.pixel(p.At(0, 1))
	along = geom.Pixel{X: b.X - a.X, Y: b.Y - a.Y}
	x, y := across, along
	if p.Of == lattice.Level {
		x, y = along, across
	}
	o := p.At(0, 0.5)
	return lattice.Map{
		x.X, y.X, mid.X - o.X*x.X - o.Y*y.X,
		x.Y, y.Y, mid.Y - o.X*x.Y - o.Y*y.Y,
		0, 0, 1,
	}
}

// spread fits the lattice and lets it grow; false if it comes to nothing.
func (g *grown) spread(ctx context.Context) bool {
	return g.fit(reachFirst, 0.3, true) && g.fit(reachGrow, 0.3, true) && g.grow(ctx)
}

// growOut lets the lattice grow until no side goes on that is asked once more: one may have ended while few lines
// crossed it. False if it comes to nothing.
func (g *grown) growOut(ctx context.Context) bool {
	for {
		size := g.part.Cols() + g.part.Rows()
		if !g.grow(ctx) {
			return false
		}
		if g.part.Cols()+g.part.Rows() <= size {
			return true
		}
	}
}

// grow extends the lattice until it goes on on no side; false if it comes to nothing.
func (g *grown) grow(ctx context.Context) bool {
	ended, toldAt := [4]bool{}, toldFirst
	for ctx.Err() == nil && g.extend(&ended) {
		if !g.fit(reachGrow, 0.1, max(g.part.Cols(), g.part.Rows()) <= planeMost) {
			return false
		}
		if size := min(g.part.Cols(), g.part.Rows()); size >= toldAt {
			toldAt += toldFirst
			if h, ok := g.heavy(); ok {
				*g, ended, toldAt = *h, [4]bool{}, toldFirst
				if !g.fit(reachGrow, 0.1, true) {
					return false
				}
			}
		}
	}
	return ctx.Err() == nil && g.fit(reachGrow, 0, false) && g.trim() && g.fit(reachGrow, 0, false)
}

// trim takes off the lines at the rims that are not seen, or not on the photo by more than half; false if hardly
// anything is left.
func (g *grown) trim() bool {
	for of := range lattice.Family(2) {
		for g.part.Cols() >= leastSquares && g.part.Rows() >= leastSquares {
			first, last, from, to := g.part.Lines(of)
			a, b := g.strength(of, first, first+1, from, to), g.strength(of, last, last+1, from, to)
			low, high := a < goesOn*g.typical[of], b < goesOn*g.typical[of]
			if !low && !high {
				break
			}
			if low && of == lattice.Upright {
				g.part.Left++
			} else if low {
				g.part.Bottom++
			}
			if high && of == lattice.Upright {
				g.part.Right--
			} else if high {
				g.part.Top--
			}
		}
	}
	g.bend = g.bend.over(g.part)
	return g.part.Cols() >= leastSquares && g.part.Rows() >= leastSquares
}

// fit looks at all pieces of the part, and lays plane and bend through those seen.
func (g *grown) fit(reach, hold float64, plane bool) bool {
	g.seen, g.asked = g.seen[:0], 0
	var strengths [2][]float64
	for of := range lattice.Family(2) {
		first, last, from, to := g.part.Lines(of)
		for k := first; k <= last; k++ {
			sum, n := 0.0, 0
			for c := from; c < to; c++ {
				pc := lattice.Piece{Of: of, Line: k, Cell: c}
				h := g.local(pc)
				p, ok := lattice.ProfileOf(g.ridges, &h, pc)
				if !ok {
					continue
				}
				g.asked++
				n++
				sum += p.Strength(dark)
				if off, height, ok := peak(&p, reach); ok && height > leastPeak {
					g.seen = append(g.seen, lattice.Sighting{Piece: pc, Off: off, Height: height, Place: h.Pixel(pc.At(off, 0.5))})
				}
			}
			if 2*n >= to-from {
				strengths[of] = append(strengths[of], sum/float64(n))
			}
		}
		if len(strengths[of]) == 0 {
			return false
		}
		g.typical[of] = raster.Median(strengths[of])
	}
	if plane {
		h, _, ok := lattice.Fit(g.seen, g.plane, hold)
		if !ok || !g.plausible(&h) {
			return false
		}
		g.plane = h
		if g.part.Cols() < 6 || g.part.Rows() < 6 {
			g.bend = newBend(g.part)
			g.rms = g.misfit()
			return g.rms < worstFit
		}
	}
	g.lay()
	return g.rms < worstFit
}

// worstFit is the rms in squares of pieces that lie at chance places within reach: a lattice is better
// (TestTooFewSquaresAreNoPaper).
const worstFit = 0.08

// plausible reports whether h has squares, nearly as wide as high, of a size that can be seen.
func (g *grown) plausible(h *lattice.Map) bool {
	const (
		aspect = 1.3 // paper is looked at from above; other steps each way are 4 to 3 or more (TestSquaresOfAllRulings)
		least  = 6   // samples to a square (TestSquaresOfAllRulings)
	)
	corners := g.part.Corners()
	for _, b := range append(corners[:], g.part.Mid()) {
		if !(h[6]*b.X+h[7]*b.Y+1 > 0.3) {
			return false
		}
		a, u := lattice.BoxSize(*h, b)
		if !(a < aspect*u && u < aspect*a && min(a, u)*g.ridges.Scale > least) {
			return false
		}
	}
	return true
}

// lay lays the bend through the pieces seen. One that lies off where the pieces round it do not counts little (Cauchy's
// weights): off the bend a whole corner of a sheet may lie, which curls.
func (g *grown) lay() {
	const rounds, steps = 2, 24
	for range rounds {
		scale := max(g.misfit(), 0.01)
		for of := range lattice.Family(2) {
			var pulls []pull
			usual := g.usualOff(of)
			for _, s := range g.seen {
				if s.Of != of {
					continue
				}
				off, now := g.offOf(s)
				e := (off - now - usual(s.Piece)) / (2 * scale)
				a := s.At(0, 0)
				i := (int(a.Y)-g.part.Bottom)*g.bend.n + int(a.X) - g.part.Left
				next := g.bend.n
				if of == lattice.Level {
					next = 1
				}
				pulls = append(pulls, pull{i, i + next, off, 1 / (1 + e*e)})
			}
			g.bend.through(of, pulls, steps)
		}
	}
	g.rms = g.misfit()
}

// usualOff gives how far off the bend the pieces of a family lie round one, by their middle.
func (g *grown) usualOff(of lattice.Family) func(p lattice.Piece) float64 {
	// So many lines and cells to both sides: one line of three may be wrong, that an axis lies beside, and at a corner
	// that curls they are not far away (TestACornerThatCurlsIsFollowed).
	const lines, cells = 1, 2
	first, last, from, to := g.part.Lines(of)
	n := to - from
	off := make([]float64, (last-first+1)*n)
	for i := range off {
		off[i] = math.NaN()
	}
	for _, s := range g.seen {
		if s.Of == of {
			o, now := g.offOf(s)
			off[(s.Line-first)*n+s.Cell-from] = o - now
		}
	}
	return func(p lattice.Piece) float64 {
		var v [(2*lines + 1) * (2*cells + 1)]float64
		k := 0
		for l := max(p.Line-lines, first); l <= min(p.Line+lines, last); l++ {
			for c := max(p.Cell-cells, from); c <= min(p.Cell+cells, to-1); c++ {
				if o := off[(l-first)*n+c-from]; !math.IsNaN(o) {
					v[k] = o
					k++
				}
			}
		}
		return raster.Median(v[:k])
	}
}

// offOf gives how far beside the plane's line a sighting lies, and how far the bend has it.
func (g *grown) offOf(s lattice.Sighting) (off, now float64) {
	b := g.plane.Box(s.Place)
	at := s.At(0, 0.5)
	m := g.bend.moved(at)
	if s.Of == lattice.Upright {
		return b.X - float64(s.Line), m.X - at.X
	}
	return b.Y - float64(s.Line), m.Y - at.Y
}

// misfit is the robust spread of the sightings about the lattice, in squares, of the family that fits worse.
func (g *grown) misfit() float64 {
	var off [2][]float64
	for _, s := range g.seen {
		o, now := g.offOf(s)
		off[s.Of] = append(off[s.Of], o-now)
	}
	if len(off[0]) == 0 || len(off[1]) == 0 {
		return 1
	}
	return max(raster.Spread(off[0]), raster.Spread(off[1]))
}

// extend adds a line to each side that goes on; it reports whether any did.
func (g *grown) extend(ended *[4]bool) (grew bool) {
	for side := range 4 {
		if ended[side] {
			continue
		}
		wider, of, line, cell := g.part.OneMore(side)
		_, _, from, to := g.part.Lines(of)
		if wider.Cols() <= growMost && wider.Rows() <= growMost &&
			(g.strength(of, line, line+1, from, to) > goesOn*g.typical[of] ||
				g.strength(1-of, from, to+1, cell, cell+1) > goesOn*g.typical[1-of]) {
			g.part = wider
			g.bend = g.bend.over(wider)
			grew = true
		} else {
			ended[side] = true
		}
	}
	return grew
}

// strength is the mean strength of the pieces of lines from..to in cells first..last, both half open; 0 where less than
// half of them are on the photo.
func (g *grown) strength(of lattice.Family, from, to, first, last int) float64 {
	sum, n := 0.0, 0
	for k := from; k < to; k++ {
		for c := first; c < last; c++ {
			pc := lattice.Piece{Of: of, Line: k, Cell: c}
			h := g.local(pc)
			if p, ok := lattice.ProfileOf(g.ridges, &h, pc); ok {
				n++
				sum += p.Strength(dark)
			}
		}
	}
	if 2*n < (to-from)*(last-first) {
		return 0
	}
	return sum / float64(n)
}

// peak gives the highest place of a dark line within reach squares, and its height above the median.
func peak(p *lattice.Profile, reach float64) (off, height float64, ok bool) {
	mid := len(p) / 2
	// A profile's step is 1/32 square.
	const perSquare = 32
	r := int(reach * perSquare)
	best := mid - r
	for i := mid - r; i <= mid+r; i++ {
		if p[i] < p[best] {
			best = i
		}
	}
	sorted := *p
	height = float64(raster.Median(sorted[:]) - p[best])
	if best == mid-r || best == mid+r {
		return 0, height, false
	}
	a, b, c := float64(p[best-1]), float64(p[best]), float64(p[best+1])
	d := 0.0
	if den := a - 2*b + c; den > 0 {
		d = 0.5 * (a - c) / den
	}
	return (float64(best-mid) + d) / perSquare, height, true
}

// promise says how much speaks for the lattice: the heights of the pieces seen, less where they lie as chance puts
// them.
func (g *grown) promise() float64 {
	const chance = 0.05 // square
	sum := 0.0
	for _, p := range g.seen {
		sum += p.Height
	}
	// A lattice of every second line sees each line that it has; what counts is the area that is ruled.
	a, u := lattice.BoxSize(g.plane, g.part.Mid())
	return sum * math.Pow(a*u, 0.75) / (1 + g.rms*g.rms/(chance*chance))
}

// good reports whether the lattice is one of squared paper.
func (g *grown) good() bool {
	return g.part.Cols() >= leastSquares && g.part.Rows() >= leastSquares &&
		float64(len(g.seen)) > leastShare*float64(g.asked) && g.rms < goodFit
}

// paper gives the result.
func (g *grown) paper() *Paper {
	m := g.part.Mid()
	return &Paper{
		Frame: geom.Frame{Cols: g.part.Cols(), Rows: g.part.Rows()},
		Thin:  1, RMS: g.rms, Seen: len(g.seen), Share: float64(len(g.seen)) / float64(max(g.asked, 1)), Curl: g.bend.most(),
		plane: g.plane, bend: g.bend, left: m.X, up: m.Y,
	}
}
