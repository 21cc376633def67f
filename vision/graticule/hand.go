package graticule

// Corners and counts that a person gave.

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"quadrille/calibrate/remark"
	"quadrille/vision/fit"
	"quadrille/vision/frame"
	"quadrille/vision/geom"
	"quadrille/vision/lattice"
	"quadrille/vision/marks"
	"quadrille/vision/photo"
	"quadrille/vision/scene"
)

const (
	mostBoxes = 40 // across or up: more are no display's (TestHowFarAHandMayBeOff)
	// handClick, of the frame's diagonal: standard deviation of a corner set by hand, a finger on a phone's screen
	// (TestHowFarAHandMayBeOff)
	handClick = 0.004
	// Corners may be off by handReach of the photo's width each way; farther off is another frame
	// (TestHowFarAHandMayBeOff).
	handReach = 0.03
	// cutOff is how far outside the photo a corner may lie, in widths and heights of it: of a frame of
	// which the photo shows less than half, nothing is measured (TestHowFarAHandMayBeOff).
	cutOff    = 0.5
	handSlack = 1.15 // of handReach: the lens and the last fit move corners too (TestHowFarAHandMayBeOff)
	// handWorth is what corners off by what is usual then, 1/√3 of it, cost a frame: with fewer pieces'
	// worth a box too far is taken for small displays, with more a hand counts more than a rim
	// (nothing changes from 3 to 12, TestCornersByHandAreRefined).
	handWorth = 6.0
)

// nudges are the shifts in boxes, either way, at which a grid given by hand is tried: corners may be
// off by 3 % of the frame's width, which is more than a line is searched beside its place
// (TestCornersHalfABoxOffStillGiveTheLattice, TestCornersByHandAreRefined).
var nudges = []float64{0, -0.22, 0.22}

// check says what is wrong with the options, nil if nothing is.
func (o *Options) check(ph *photo.Photo) error {
	for _, n := range []struct {
		field string
		count int
	}{{"columns", o.Frame.Cols}, {"rows", o.Frame.Rows}} {
		if n.count < 0 || n.count > mostBoxes || n.count == 1 {
			return &OptionsError{"boxes", fmt.Sprintf("%d %s of boxes: no display has that many", n.count, n.field),
				"count the boxes between the outermost lines, across and down, as in 10x8"}
		}
	}
	if !(o.CornerSigma >= 0) || math.IsInf(o.CornerSigma, 0) {
		return &OptionsError{"corner_uncertainty", fmt.Sprintf("corners good to %g pixels", o.CornerSigma), "give how far off a corner may be, in pixels, as a standard uncertainty: 3"}
	}
	if o.Corners == nil {
		return nil
	}
	const order = "give the four outermost corners of the graticule in pixels of the photo: top-left, top-right, bottom-right, bottom-left"
	w, h := float64(ph.W), float64(ph.H)
	for i, c := range o.Corners {
		if !(c.X >= -cutOff*w && c.Y >= -cutOff*h && c.X <= (1+cutOff)*w && c.Y <= (1+cutOff)*h) {
			return &OptionsError{"corners", fmt.Sprintf("corner %d at (%g, %g) is far outside the photo of %d × %d pixels", i+1, c.X, c.Y, ph.W, ph.H), order}
		}
	}
	m, err := geom.HomographyOf(geom.Frame{Cols: 2, Rows: 2}.Corners(), *o.Corners)
	if err != nil {
		return &OptionsError{"corners", "the four corners do not make a frame: two coincide, three lie on a line, or they are crossed", order}
	}
	if m[0]*m[4]-m[1]*m[3] > 0 { // box y is up, pixel y down: a frame seen from the front turns over
		return &OptionsError{"corners", "the four corners run anticlockwise: the grid would be mirrored", order}
	}
	return nil
}

// byHand gives the graticule at the corners in o: of what the ways found, what lies there; else what is found from the
// corners themselves, by lines or by marks; else the corners as they are.
func (s *search) byHand() (*Graticule, error) {
	h := s.leader
	if h == nil || h.standing < clear {
		if c := s.fromCorners(); c != nil && c.over(h) {
			h = c
		}
	}
	if h == nil || h.standing < clear {
		if m := s.marksAtCorners(); m != nil && m.over(h) {
			h = m
		}
	}
	if h != nil {
		s.showFit(h)
		s.o.sign(h.Graticule)
		return h.Graticule, nil
	}
	if s.o.Frame.Cols == 0 || s.o.Frame.Rows == 0 {
		return nil, &NotFoundError{"no lines were seen between the corners given, so the boxes cannot be counted", "give the count of boxes too, as in 10x8"}
	}
	return asGiven(s.scene.Photo, s.o)
}

// nearCorners gives the foremost candidate of a list that has a frame at the corners given; nil if there is none.
func (s *search) nearCorners(p *pool, list []*frame.Candidate) *hypothesis {
	for _, c := range list {
		if f, ok := s.frameAt(c); ok {
			at := *c
			at.Take(f)
			if h := s.accepted(p, &at); h != nil {
				return h
			}
		}
	}
	return nil
}

// frameAt gives the best frame of c's lattice whose corners are near those given; false if there is none.
func (s *search) frameAt(c *frame.Candidate) (best frame.Frame, ok bool) {
	reach := handReach * float64(s.scene.Photo.W)
	offs := map[lattice.Extent]float64{} // sum of squares of the corners' distances, of those near enough
	all := c.Survey.Where(s.want, func(f frame.Frame) bool {
		h := c.Survey.Homography(f.Extent)
		worst, sum := 0.0, 0.0
		for i, b := range f.Size.Boxes().Corners() {
			p := h.Pixel(b)
			dx, dy := (p.X-s.o.Corners[i].X)/reach, (p.Y-s.o.Corners[i].Y)/reach
			worst = max(worst, math.Abs(dx), math.Abs(dy))
			sum += (dx*dx + dy*dy) / 8
		}
		offs[f.Extent] = sum
		return worst < handSlack
	})
	most := math.Inf(-1)
	for _, f := range all {
		if score := f.Score - handWorth*3*offs[f.Extent]; f.Score > 0 && score > most {
			most, best, ok = score, f, true
		}
	}
	return best, ok
}

// accepted is the hypothesis of a candidate if it lies where the corners are; nil if it does not.
func (s *search) accepted(p *pool, c *frame.Candidate) *hypothesis {
	h := s.finish(p, c)
	if h == nil || h.share < leastShare || h.rms > mostRMS || h.bend > mostBend || !s.o.near(h.Graticule, s.scene.Photo) {
		return nil
	}
	h.margin, h.rival = math.Inf(1), 0
	h.cut = h.cut && (s.o.Frame.Cols == 0 || s.o.Frame.Rows == 0) // a person who counted knows where the frame ends
	h.Doubts = h.remarks(h.Frame)
	h.standing = h.verdict.stand(h.quality, h.view)
	return h
}

// fromCorners gives the lattice that starts at the corners, each size tried at some shifts; nil if no lines are seen
// there.
func (s *search) fromCorners() *hypothesis {
	var best *frame.Candidate
	from := lattice.SourceOf(s.scene, scene.Photographed)
	for _, z := range frame.Sizes(s.want) {
		h, err := geom.HomographyOf(z.Boxes().Corners(), *s.o.Corners)
		if err != nil {
			return nil
		}
		cols := z.Cols
		if z.Centred {
			cols--
		}
		x := lattice.Extent{Left: 0, Right: cols, Bottom: 0, Top: z.Rows}
		for _, dx := range nudges {
			for _, dy := range nudges {
				if s.ctx.Err() != nil {
					return nil
				}
				g := lattice.Start(from, lattice.Shift(h, dx-float64(cols)/2, dy-float64(z.Rows)/2), x)
				if g.Sign == 0 || !g.Settle() {
					continue
				}
				c := frame.At(&g, s.scene.Picture(scene.Photographed, scene.Fine), z)
				if c.Quality > 0 && (best == nil || c.Quality > best.Quality) {
					best = c
				}
			}
		}
	}
	if best == nil {
		return nil
	}
	return s.accepted(&s.pools[0], best)
}

// marksAtCorners gives the frame at the corners by its marks, or, if the count is given and none are seen, by its rims
// alone; nil if there is none.
func (s *search) marksAtCorners() *hypothesis {
	ph := s.scene.Photo
	marked, rims := marks.Near(s.ctx, s.scene, *s.o.Corners, 1.5*handReach*float64(ph.W), marks.Options{Want: s.want})
	for i := range marked {
		if h := s.reading(&marked[i]); s.o.near(h.Graticule, ph) {
			return h
		}
	}
	var best *hypothesis
	least := math.Inf(1)
	for i := range rims {
		h := s.reading(&rims[i])
		off := 0.0
		for k, b := range h.Frame.Corners() {
			p := h.Pixel(b)
			off += math.Hypot(p.X-s.o.Corners[k].X, p.Y-s.o.Corners[k].Y)
		}
		if s.o.near(h.Graticule, ph) && h.rms < doubtRMS && off < least {
			best, least = h, off
		}
	}
	if best != nil {
		best.Doubts = []remark.Remark{remark.Of(NoMarks)}
	}
	return best
}

// near reports whether g's corners are those given, as near as a hand may be off.
func (o *Options) near(g *Graticule, ph *photo.Photo) bool {
	for i, b := range g.Frame.Corners() {
		p := g.Pixel(b)
		if !(math.Max(math.Abs(p.X-o.Corners[i].X), math.Abs(p.Y-o.Corners[i].Y)) < handSlack*handReach*float64(ph.W)) {
			return false
		}
	}
	return true
}

// sign says on g that it is by hand, and doubts a count that the person did not give.
func (o *Options) sign(g *Graticule) {
	g.ByHand = true
	if o.Frame.Cols == 0 || o.Frame.Rows == 0 {
		g.Doubts = append(g.Doubts, remark.Of(CountRead, remark.Count("columns", g.Frame.Cols), remark.Count("rows", g.Frame.Rows)))
	}
}

// asGiven takes the corners as they are, with the uncertainty of a hand.
func asGiven(ph *photo.Photo, o *Options) (*Graticule, error) {
	h, err := geom.HomographyOf(o.Frame.Corners(), *o.Corners)
	if err != nil {
		return nil, &OptionsError{"corners", "the four corners do not make a frame", "give them clockwise from the top-left"}
	}
	c := o.Corners
	sigma := o.CornerSigma
	if sigma == 0 {
		sigma = handClick * math.Hypot(c[2].X-c[0].X, c[2].Y-c[0].Y)
	}
	cov := mat.NewSymDense(fit.Parameters, nil)
	// Each corner coordinate is an independent error; the lens is not known either.
	for i := range 8 {
		up, down := *o.Corners, *o.Corners
		move := func(q *[4]geom.Pixel, d float64) {
			if i%2 == 0 {
				q[i/2].X += d
			} else {
				q[i/2].Y += d
			}
		}
		move(&up, sigma/2)
		move(&down, -sigma/2)
		a, errA := geom.HomographyOf(o.Frame.Corners(), up)
		b, errB := geom.HomographyOf(o.Frame.Corners(), down)
		if errA != nil || errB != nil {
			return nil, &OptionsError{"corners", "the corners are too close to each other or to one line", "give the outermost corners of the graticule"}
		}
		var d [8]float64
		for k := range d {
			d[k] = a[k] - b[k]
		}
		for r := range d {
			for s := r; s < 8; s++ {
				cov.SetSym(r, s, cov.At(r, s)+d[r]*d[s])
			}
		}
	}
	cov.SetSym(8, 8, fit.LensSigma*fit.LensSigma)
	return &Graticule{
		H:      h,
		Lens:   geom.Radial{Centre: geom.Pixel{X: float64(ph.W) / 2, Y: float64(ph.H) / 2}, Scale: math.Hypot(float64(ph.W), float64(ph.H)) / 2},
		Face:   geom.Face{Half: geom.Box{X: float64(o.Frame.Cols) / 2, Y: float64(o.Frame.Rows) / 2}},
		Frame:  o.Frame,
		Cov:    cov,
		RMS:    math.NaN(),
		ByHand: true,
		Doubts: []remark.Remark{remark.Of(CornersTaken, remark.Number("sigma_px", sigma))},
	}, nil
}
